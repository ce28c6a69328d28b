"""3 Design: how does the variant differ from the reference part?"""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.widget import Widget

from dossier.actions.edit import add_record, next_id
from dossier.checks.told import sheet_answer
from dossier.mechanics.shapes import GeometryError
from dossier.records.calculation import Calculation
from dossier.records.design import Design, carrier_word
from dossier.store.project import Project
from dossier.units import amount
from screens import keys
from screens.cells import cell_len, wrap, wrap_most
from screens.glyphs import CURSOR
from screens.paint import Piece, line, text_of
from screens.section_of import modelled, section_of, with_call_outs
from screens.sheets.asking import Asks
from screens.sheets.design_field import Utilisations
from screens.sheets.design_rows import (
    Dimension,
    dimension_columns,
    dimension_row,
    dimension_told,
    dimensions,
    mass_lines,
    needs_run,
    record_ids,
    record_row,
)  # fmt: skip
from screens.sheets.margins import EMPTY, fill_margin
from screens.sheets.told import record_line
from screens.sheets.trial import masses_of
from screens.widgets.columns import Column
from screens.widgets.entry import Entry
from screens.widgets.house import Lines
from screens.widgets.section_view import SectionView
from screens.widgets.sheet_list import Row, SheetList
from screens.widgets.trace_margin import TraceMargin

TALL = 36
NOTHING_RUN = "No calculation yet; n adds one of the methods that `dossier methods` lists."
BEGIN = "No design yet; n begins the reference part, and then copies it as a variant."

KINDS = ("calculation", "load case", "material", "assumption")


class DesignSheet(Utilisations, Asks):
    """Section, masses, dimensions beside the reference's, and the calculations that rest on them."""

    NUMBER = "3"
    STATION = 4
    TITLE_WORD = "Design"
    QUESTION = "How does the variant differ from the reference part?"
    KEYS = ("edit", "difference", "load", "calculate", "next-area")
    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("edit", "new", "difference", "both", "variant", "zoom-in", "zoom-out", "calculate", "calculate-all",
                       "detail", "next-open", "previous-open", "next-area"),
        keys.bind("load", word="utilisation"), keys.bind("load-before"),
    ]  # fmt: skip
    AUTO_FOCUS = ""
    CSS = """
    #design { width: 100%; height: 1fr; }
    #design-left { width: 1fr; height: 100%; }
    #design-right { width: 42; height: 100%; }
    #section { height: 1fr; width: 100%; }
    #records { height: 5; }
    #dimensions { height: 1fr; }
    DesignSheet.-margin #told { display: none; }
    DesignSheet.-margin #design { layout: vertical; }
    DesignSheet.-margin #design-left { width: 100%; height: 68%; }
    DesignSheet.-margin #design-right { width: 100%; height: 32%; }
    DesignSheet.-margin #masses { display: none; }
    DesignSheet.-margin #records { height: 5; }
    DesignSheet.-small #design-right, DesignSheet.-low #design-right { width: 100%; }
    """

    only_differing = False
    chosen = ""

    def body(self) -> Sequence[Widget]:
        self.section = SectionView(id="section")
        self.runs_title = Lines(id="runs-title")
        self.records = SheetList((Column("", 6, gap=1), Column("", 0, gap=1), Column("", 11)), id="records", titles=False)
        self.masses = Lines(id="masses")
        self.rows = SheetList(id="dimensions")
        self.told = Lines(id="told")
        self.area: Widget = self.rows
        self._dimensions: list[Dimension] = []
        self._records: list[str] = []
        left = Vertical(self.section, self.runs_title, self.records, id="design-left", classes="second")
        return (Horizontal(left, Vertical(self.masses, self.rows, self.told, id="design-right"), id="design"),)

    def margin(self) -> Sequence[Widget]:
        self.left = TraceMargin()
        return (self.left,)

    def answer(self) -> str:
        return self.field_told() or sheet_answer(self.session.opened.view, "3")

    def designs(self, project: Project) -> tuple[Design | None, Design | None]:
        chosen = project.find(self.chosen)
        return project.reference, chosen if isinstance(chosen, Design) else project.variant

    @property
    def variant(self) -> Design | None:
        """The variant that is shown."""
        return self.designs(self.session.opened.project)[1]

    def fill(self) -> None:
        project = self.session.opened.project
        self.records.display = self.runs_title.display = not self.field_on or self.app.size.height >= TALL
        if self.area is self.records and not self.records.display:
            self.area = self.rows
        self._records = record_ids(project, self.variant)
        self.records.set_rows(self._records, lambda index: record_row(self.session, self._records[index]))
        self.records.set_empty([line(f"   {text}") for text in wrap(NOTHING_RUN, 32)])
        self.show_now(project)
        if not self.frame.strip.is_open:
            self.area.focus()
        self._mark_area()

    @property
    def _areas(self) -> dict[Widget, str]:
        """The areas in the order of Tab, with their words; the strip comes first while it asks."""
        shown = {self.rows: "dimensions", self.records: "calculations", self.section: "drawing"}
        strip = {self.frame.strip: "entry"} if self.frame.strip.is_open else {}
        return {**strip, **{area: word for area, word in shown.items() if area.display and area.parent.display}}  # type: ignore

    def action_next_area(self) -> None:
        """From the dimensions to the calculations, the drawing, and round."""
        areas = list(self._areas)
        now = areas.index(self.focused) if self.focused in areas else -1
        areas[(now + 1) % len(areas)].focus()

    def _mark_area(self) -> None:
        """Cursor and mark stand in the area that has the keys; the key row names the one Tab goes to."""
        self.rows.set_lit(self.area is self.rows)
        self.records.set_lit(self.area is self.records)
        name = self.variant.id if self.variant else "the project"
        short, rest = f"calculations of {name}", ", and what they rest on"
        lead = Piece(CURSOR, "key") if self.area is self.records else " "
        self.runs_title.show(
            lambda columns: [line(lead, Piece(short + rest * (cell_len(short + rest) < columns), "heading"))]
        )
        self.show_keys()

    def keys_now(self) -> Sequence[str | tuple[str, str]]:
        """Tab is named by the area it goes to, l by what the drawing then shows."""
        areas, words = list(self._areas), list(self._areas.values())
        now = areas.index(self.area) if self.area in areas else -1
        named = {"next-area": words[(now + 1) % len(words)], "load": self.load_word()}
        shown = self.drawing_keys() if self.area is self.section else self.KEYS
        return [(key_id, named[key_id]) if key_id in named else key_id for key_id in shown]  # type: ignore[index]

    def why_not(self, key_id: str) -> str:
        """Without a design nothing can be changed, compared or calculated."""
        if key_id in ("edit", "difference", "calculate", "detail", "load") and not self.record_at_cursor():
            return BEGIN
        return "" if key_id == "calculate" else super().why_not(key_id)

    def show_now(self, project: Project, draft: bool = False) -> None:
        try:
            self.show_parts(project, draft)
        except GeometryError as error:
            self._list(project)
            self.section.show(EMPTY)
            self.show_fields(project, wanted=draft)
            self.masses.show([line(Piece(" no shape: see the message", "notmet"))])
            self.say(str(error), self.variant.id if self.variant else "")

    def show_parts(self, project: Project, draft: bool = False) -> None:
        reference, variant = self.designs(project)
        section = section_of(reference, variant)
        if self.field_on:
            section = modelled(section, self.clamp_edges(project))
        if draft:
            self.records.display = self.runs_title.display = self.app.size.height >= TALL
        self._list(project)
        sides = self._weigh(project)
        self.masses.show(mass_lines(*sides, ("ref", variant.id if variant else "-"), carrier_word(reference, variant), 15))
        self._margin(project)
        self.section.show(with_call_outs(section, self._told()) if self.size.width >= 120 else section)
        self.show_fields(project, wanted=draft)

    def _weigh(self, project: Project) -> list[dict[str, float] | str]:
        return [masses_of(project, design) if design else "" for design in self.designs(project)]

    def _told(self) -> list[tuple[str, str]]:
        """What is written beside the drawing: sizes and materials that differ."""
        told = [d for d in self._dimensions if d.differs and (d.unit == "mm" or d.name == "material")]
        told = [d for d in told if not d.name.endswith((" start", " end", " lower", " upper"))]
        return [(d.letter, f"{d.name} {d.variant} (ref {d.reference})") for d in told]

    def _list(self, project: Project) -> None:
        reference, variant = self.designs(project)
        found = dimensions(project, reference, variant)
        self._dimensions = [d for d in found if d.differs or not self.only_differing]
        self.rows.set_columns(dimension_columns("ref", variant.id if variant else "-"))
        self.rows.set_rows([d.path for d in self._dimensions], self._row)
        empty = BEGIN if variant is None and reference is None else "Nothing differs; d shows all."
        self.rows.set_empty([line(f"   {text}") for text in wrap(empty, 34)])
        self._tell_row()

    def _row(self, index: int) -> Row:
        columns = self.rows._columns_at(self.rows.size.width or 80)
        dimension = self._dimensions[index]
        room = columns[1].width if 1 < len(columns) <= 4 else 0
        return dimension_row(dimension, room, dimension.path == self.drafted)

    @property
    def _dimension(self) -> Dimension | None:
        return next((d for d in self._dimensions if d.path == self.rows.row_id), None)

    @property
    def _letter(self) -> str:
        return self._dimension.letter if self._dimension and self.area is not self.records else ""

    def record_at_cursor(self) -> str:
        if self.area is self.records and self.records.row_id:
            return self.records.row_id
        design = self.variant or self.session.opened.project.reference
        return design.id if design else ""

    def go_to(self, record_id: str) -> None:
        found = self.session.opened.project.find(record_id)
        if isinstance(found, Design):
            if found.kind == "variant" and self.variant and found.id != self.variant.id:
                self.chosen = found.id
                self.fill()
            self.rows.focus()
        elif record_id in self._records:
            self.records.focus()
            self.records.go_to(record_id)
        self._margin()

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._margin()
        self._tell_row()

    def on_descendant_focus(self) -> None:
        """The marks and the trace follow the keys to another area."""
        if self.focused in (self.rows, self.records, self.section):
            self.area = self.focused
            self._mark_area()
            self._tell_row()
        self._margin()

    def _tell_row(self) -> None:
        """The dimension or record under the cursor in full, where the lists have no room for it."""
        name = self.variant.id if self.variant else "variant"
        text = dimension_told(self._dimension, name) if self._dimension else ""
        if self.area is self.records and self.records.row_id:
            text = text_of(record_line(self.session, self.records.row_id))
        self.told.show(lambda columns: [line(Piece(f" {row}", "quiet")) for row in wrap_most(text, columns - 2, 3)])

    def _margin(self, project: Project | None = None) -> None:
        """Section, masses and trace at the left; while a draft is typed only its masses move."""
        if not self.is_mounted or (self.frame.strip.is_open and project is None):
            return
        sides = self._weigh(project or self.session.opened.project)
        names = ("ref", self.variant.id if self.variant else "-")
        above = mass_lines(*sides, names, carrier_word(*self.designs(project or self.session.opened.project)), 10)
        fill_margin(self.left, self.session, self.record_at_cursor(), self._letter, above)

    @on(SheetList.Opened)
    def _opened(self) -> None:
        """Enter: the working of a calculation, else the field."""
        if self.area is self.records and self._run_at_cursor():
            self.action_detail()
        else:
            self.action_edit()

    # Keys ---------------------------------------------------------------------------------------------------------

    def action_edit(self) -> None:
        """Change the dimension, or a field of the record under the cursor."""
        record = self.record_at_cursor()
        if not record:
            self.say(BEGIN)
        elif self.area is self.records:
            self.edit_record(record)
        elif self._dimension is not None:
            self.edit_field(record, self._dimension.path)
        else:
            self.say("No dimension under the cursor; d shows those that are equal as well.")

    def action_difference(self) -> None:
        """Only what differs, in the list and in the drawing; or all again."""
        self.only_differing = not self.only_differing
        if self.field_on and self.only_differing:
            self._show_place(0)
        self.section.set_mode("difference" if self.only_differing else "halves")
        self._list(self.session.opened.project)
        self.say("Only what differs: removed steel is o, added +." if self.only_differing else "All dimensions of both parts.")

    def action_both(self) -> None:
        """Halves, the variant whole, the reference whole."""
        self.section.action_both()
        self.say(f"Drawing: {self.section.look.mode}.")

    def action_variant(self) -> None:
        """The next variant beside the reference."""
        variants = [design.id for design in self.session.opened.project.designs if design.kind == "variant"]
        if len(variants) < 2:
            self.say(f"{variants[0]} is the only variant; n makes another." if variants else "No variant yet; n makes one.")
            return
        now = variants.index(self.variant.id) if self.variant and self.variant.id in variants else -1
        self.chosen = variants[(now + 1) % len(variants)]
        self.refill()
        self.say(f"{self.chosen} beside the reference. The variant in work is set on sheet 1 with v.", self.chosen)

    def action_zoom_in(self) -> None:
        """Closer, around the drawing's cursor."""
        self.section.action_zoom_in()

    def action_zoom_out(self) -> None:
        """Farther."""
        self.section.action_zoom_out()

    def _run_at_cursor(self) -> str:
        record = self.records.row_id or ""
        return record if isinstance(self.session.opened.project.find(record), Calculation) else ""

    def action_detail(self) -> None:
        """The working of the calculation under the cursor, or of the mass; in the utilisation field what it knows of the cell."""
        if self.field_on and self.area is self.section:
            self.tell_cell()
            return
        runs = self.session.opened.project.calculations
        name = self.variant.id if self.variant else ""
        mass = next((run.id for run in runs if run.method == "mass.joint" and run.design == name), "")
        found = self._run_at_cursor() if self.area is self.records else mass
        if found:
            self.app.show_working(found)  # type: ignore[attr-defined]
        else:
            self.say("No calculation under the cursor; Tab goes to the list of calculations.")

    def action_calculate(self) -> None:
        """The calculation under the cursor, or all that rest on this design and are not current."""
        if self.area is self.records and self._run_at_cursor():
            self.app.calculate([self._run_at_cursor()])  # type: ignore[attr-defined]
            return
        design = self.variant.id if self.variant else ""
        project = self.session.opened.project
        mine = [run.id for run in project.calculations if design and design in (run.design, run.reference)]
        if wanted := needs_run(self.session, mine):
            self.app.calculate(wanted)  # type: ignore[attr-defined]
        else:
            self.say(f"All {amount(len(mine), 'calculation')} of {design or 'this project'} are current; nothing to calculate.")

    def action_next_open(self) -> None:
        """To the next calculation that is outdated, failed or was never run."""
        self._next(1)

    def action_previous_open(self) -> None:
        """To the previous one."""
        self._next(-1)

    def _next(self, direction: int) -> None:
        wanted = set(needs_run(self.session, self._records))
        self.records.focus()
        if not self.records.go_to_next(lambda index: self._records[index] in wanted, direction):
            self.say("Every calculation has a current result.")

    def action_new(self) -> None:
        """A variant copied from a design, or another record of this step."""
        designs = self.session.opened.project.designs
        copies = [(d.id, line("a variant, copied from ", Piece(f"{d.id:<6}", "key"), d.title)) for d in designs]
        self.choose_new(KINDS if designs else ("design", *KINDS), copies)

    def other_new(self, name: str) -> None:
        """The title of a copy."""
        self._copy(name)

    def _copy(self, source: str) -> None:
        project = self.session.opened.project
        name = next_id(project, "design")
        raw = copy.deepcopy(project.raw[source])
        entry = Entry("edit", f"new design {name}", f"{name} title", str(raw["title"]), width=50,
                      check=lambda text: "" if text.strip() else "title is empty; say what is new in this variant")  # fmt: skip
        self.ask(entry, lambda title: self._add({**raw, "id": name, "kind": "variant", "title": title}))

    def _add(self, raw: dict) -> bool:
        for field in ("part_number", "drawing", "drawing_index"):
            raw.pop(field, None)
        done = self.record(lambda: add_record(self.session.opened.project, "design", raw, self.session.person))
        if done:
            self.chosen = raw["id"]
            self.refill()
        return done
