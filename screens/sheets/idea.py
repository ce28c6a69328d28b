"""1 Idea: which measure saves mass, and at what risk?"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import Any, ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier import units
from dossier.actions.edit import add_record, replace_record, set_field
from dossier.actions.refusal import Refusal
from dossier.actions.told import in_words
from dossier.checks.told import sheet_answer
from dossier.records.concept import Concept, Idea
from dossier.store.change import Change
from screens import keys
from screens.cells import cut, wrap
from screens.paint import LineLike, Piece, line
from screens.sheets.margins import fill_margin
from screens.sheets.preview import Previews
from screens.widgets.columns import Column, cells_line
from screens.widgets.entry import Entry
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList
from screens.widgets.trace_margin import TraceMargin

FATES = {"chosen": "met", "rejected": "notmet", "kept": "ink", "open": "open"}
GENERAL, PAGE = "general", "page"
FIRST = ("mass", "fate", "reason", "risks", "cost_tendency", "title")


class IdeaSheet(Previews):
    """The concepts against the reference part, whose row never scrolls away."""

    NUMBER = "1"
    TITLE_WORD = "Idea"
    QUESTION = "Which measure saves mass, and at what risk?"
    KEYS = ("edit", "new", "difference", "rests-on", "variant")
    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("edit", "new", "difference", "variant", "next-open", "previous-open")
    ]
    CSS = """
    #concepts { height: 1fr; }
    #concept { height: auto; }
    """
    as_difference = False

    def body(self) -> Sequence[Widget]:
        self.rows = SheetList(self._columns, id="concepts")
        self.detail = Lines(id="concept")
        self._concepts: list[Concept] = []
        return (self.rows, self.detail)

    def margin(self) -> Sequence[Widget]:
        self.left = TraceMargin()
        return (self.left,)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "1")

    def _columns(self, width: int) -> list[Column]:
        mass = "against, g" if self.as_difference else "mass, g"
        size = 10 if self.as_difference else 7
        numbers = [Column(mass, size, "right", gap=1), Column("saves", 7, "right", gap=1), Column("cost", 6, "right")]
        return [Column("", 4, gap=1), Column("concept", 0), *numbers, Column("top risk", 0, gap=1), Column("fate", 8)]

    @property
    def _idea(self) -> Idea | None:
        return self.session.opened.project.idea

    @property
    def _reference_mass(self) -> float | None:
        return self._idea.weighing.mass if self._idea and self._idea.weighing else None

    def fill(self) -> None:
        self._concepts = list(self._idea.concept) if self._idea else []
        self.rows.set_columns(self._columns)
        self.rows.set_rows([str(number) for number in range(len(self._concepts))], lambda index: self._row(self._concepts[index]))
        self.rows.set_empty([line("   No concept yet; at least three are needed (check 1.3). n begins one.")])
        width = self.rows.size.width or self.size.width
        columns = self.rows._columns_at(width)
        self.rows.set_head([line("   ", cells_line(self._reference_cells(), columns))])
        self._show_detail()
        self.rows.focus()

    def on_resize(self) -> None:
        """The reference's row keeps to the columns."""
        if self.is_mounted:
            self.call_after_refresh(self.fill_head)

    def fill_head(self) -> None:
        """The row that never scrolls."""
        if self.rows.size.width:
            columns = self.rows._columns_at(self.rows.size.width)
            self.rows.set_head([line("   ", cells_line(self._reference_cells(), columns))])

    def _reference_cells(self) -> list[LineLike]:
        reference = self.session.opened.project.reference
        number = reference.part_number or reference.id if reference else "not recorded"
        mass = "0" if self.as_difference else _grams(self._reference_mass)
        cells = ["ref", f"reference {number}", mass if self._reference_mass else "-", "-", "-", "-", "-"]
        return [Piece(text, "heading") for text in cells]

    def _row(self, concept: Concept) -> Row:
        reference = self._reference_mass
        saved = f"{100 * (concept.mass / reference - 1):+.1f} %" if reference else "-"
        mass = _grams(concept.mass)
        if self.as_difference and reference:
            mass = f"{1000 * (concept.mass - reference):+.0f}"
        risk = concept.risks[0] if concept.risks else "-"
        fate = Piece(concept.fate, FATES.get(concept.fate, "ink"))
        return Row((Piece(concept.id, "key"), concept.title, mass, saved, concept.cost_tendency or "-", Piece(risk), fate))

    @property
    def _concept(self) -> tuple[int, Concept] | None:
        index = int(self.rows.row_id) if self.rows.row_id else -1
        return (index, self._concepts[index]) if 0 <= index < len(self._concepts) else None

    def record_at_cursor(self) -> str:
        return "idea" if self._idea else ""

    def go_to(self, record_id: str) -> None:
        for index, concept in enumerate(self._concepts):
            if record_id in (concept.id, concept.design):
                self.rows.go_to(str(index))

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()

    @on(SheetList.Opened)
    def _opened(self) -> None:
        """Enter: to the concept's design where it has one, else its fields."""
        found = self._concept
        if found and found[1].design in self.session.opened.project.records:
            self.app.go(found[1].design)  # type: ignore[attr-defined]
        else:
            self.action_edit()

    def _show_detail(self) -> None:
        found, tall = self._concept, self.app.size.height >= 36
        concept, volume = found[1] if found else None, self.session.opened.project.header.annual_volume
        self.detail.show(lambda columns: detail_lines(self._idea, concept, volume, columns, tall))
        design = found[1].design if found else ""
        fill_margin(self.left, self.session, design or self.record_at_cursor())

    # Keys ---------------------------------------------------------------------------------------------------------

    def action_edit(self) -> None:
        """A field of the concept under the cursor, or of the idea as a whole."""
        found = self._concept
        if self._idea is None:
            self.say("No concept yet; n begins one.")
            return
        if found is None:
            self._edit_part(GENERAL)
            return
        index, concept = found
        parts = [(f"concept.{index}.", line(Piece(f"{concept.id:<6}", "key"), concept.title)),
                 (GENERAL, "problem, goal, weighing, what must not change, worth of the mass"),
                 (PAGE, "the page of the idea, with every field, list and entry")]  # fmt: skip
        self.choose("change what", parts, self._edit_part)

    def _edit_part(self, part: str) -> None:
        if part == PAGE:
            super().action_edit()
        elif part == GENERAL:
            self.edit_record("idea", ("problem", "mass_goal", "interfaces", "worth_per_kg", "worth_source", "weighing"))
        else:
            self.edit_record("idea", [part + name for name in FIRST], part)

    def action_new(self) -> None:
        """A new concept: title, then mass."""
        name = f"V{max((int(c.id[1:]) for c in self._concepts if c.id[1:].isdigit()), default=0) + 1}"
        entry = Entry("edit", "new concept title", f"{name} title", width=50, hint="the measure in a few words",
                      check=lambda text: "" if text.strip() else "title is empty; name the measure")  # fmt: skip
        self.ask(entry, lambda title: self._mass(name, title.strip()))

    def _mass(self, name: str, title: str) -> None:
        entry = Entry("edit", "new concept mass", f"{name} mass", unit="g", hint="estimated mass of the joint",
                      check=_mass_objection)  # fmt: skip
        self.ask(entry, lambda text: self._add({"id": name, "title": title, "mass": units.parse(text, "g") / 1000}))

    def _add(self, concept: dict[str, Any]) -> bool:
        done = self.record(lambda: self._with(concept))
        if done:
            self.go_to(concept["id"])
        return done

    def _with(self, concept: dict[str, Any]) -> Change:
        project, person = self.session.opened.project, self.session.person
        message = f"idea concept {concept['id']} added: {in_words(concept['title'])}"
        if project.idea is None:
            return add_record(project, "idea", {"id": "idea", "concept": [concept]}, person, message=message)
        raw = copy.deepcopy(project.raw["idea"])
        raw.setdefault("concept", []).append(concept)
        return replace_record(project, "idea", raw, message, person)

    def action_difference(self) -> None:
        """Masses as they are, or as differences against the reference."""
        if self._reference_mass is None:
            self.say("The reference part is not weighed yet; e records its weighing, then d shows differences.")
            return
        self.as_difference = not self.as_difference
        self.fill()

    def action_variant(self) -> None:
        """Choose the variant in work of the project, from the designs."""
        project = self.session.opened.project
        variants = [design for design in project.designs if design.kind == "variant"]
        if len(variants) < 2:
            self.say("Fewer than two variants are designed; n on 3 Design copies one.")
            return
        options = [(design.id, line(Piece(f"{design.id:<6}", "key"), design.title)) for design in variants]
        self.choose("variant in work", options, self._take_variant)

    def _take_variant(self, name: str) -> None:
        self.record(lambda: set_field(self.session.opened.project, "project", "variant", name, self.session.person))

    def action_rests_on(self) -> None:
        """Down the trace: the design that carries the concept out."""
        found = self._concept
        if found and found[1].design in self.session.opened.project.records:
            self.app.go(found[1].design)  # type: ignore[attr-defined]
        elif found and self._idea:
            self.say(f"{found[1].id} has no design yet; e fills its field design, n on 3 Design makes one.")
        else:
            super().action_rests_on()

    def action_next_open(self) -> None:
        """To the next concept whose fate is open."""
        self._next(1)

    def action_previous_open(self) -> None:
        """To the previous one."""
        self._next(-1)

    def _next(self, direction: int) -> None:
        if not self.rows.go_to_next(lambda index: self._concepts[index].fate == "open", direction):
            self.say("The fate of every concept is decided.")


def _mass_objection(text: str) -> str:
    try:
        return "" if units.parse(text, "g") > 0 else f"mass = {text} g must exceed 0 g; give the estimated mass of the joint"
    except (units.UnitError, Refusal) as error:
        return f"mass: {error}"


def _grams(mass: float | None) -> str:
    return "-" if mass is None else f"{1000 * mass:.0f}"


def detail_lines(idea: Idea | None, concept: Concept | None, volume: float | None, columns: int, tall: bool) -> list[LineLike]:
    """Reason, risks and origin of the concept, then what holds for all of them."""
    if idea is None:
        return []
    lines: list[LineLike] = [""]

    def told(name: str, text: str, most: int) -> None:
        parts = wrap(text, columns - 25)
        if len(parts) > most:
            parts = [*parts[: most - 1], cut(" ".join(parts[most - 1 :]), columns - 25)]
        for number, part in enumerate(parts):
            lines.append(line(Piece(f" {name if number == 0 else '':<22} ", "quiet"), part))

    if concept is not None:
        lines.append(line(Piece(f" {concept.id}  ", "key"), Piece(cut(concept.title, columns - 8), "heading")))
        told("reason", concept.reason or "none given yet", 6 if tall else 2)
        for risk in concept.risks if tall else ():
            told("risk", risk, 2)
        if tall:
            told("origin of mass", ", ".join(part for part in (concept.mass_origin, concept.estimated_on or "") if part), 1)
        told("stop if", concept.stop_if or "no condition", 3 if tall else 1)
        lines.append("")
    weighing = idea.weighing
    told("reference weighed", f"{_grams(weighing.mass)} g, n = {weighing.count}, {weighing.on}" if weighing else "not yet", 1)
    if tall:
        told("problem", idea.problem or "not written", 6)
    told("what must not change", "; ".join(idea.interfaces) or "nothing listed", 6 if tall else 2)
    told("worth of the mass", _worth(idea, concept, volume), 3 if tall else 1)
    return lines


def _worth(idea: Idea, concept: Concept | None, volume: float | None) -> str:
    if idea.worth_per_kg is None:
        return "not given"
    source = f"; {idea.worth_source}" if idea.worth_source else "; no source"
    if concept is None or idea.weighing is None or not volume:
        return f"{idea.worth_per_kg:g} EUR/kg{source}"
    saved = idea.weighing.mass - concept.mass
    total = saved * idea.worth_per_kg * volume
    return (f"{units.show(saved, 3)} kg × {idea.worth_per_kg:g} EUR/kg × {volume:g} a year = "
            f"{units.show(total / 1000, 3)} kEUR a year{source}")  # fmt: skip
