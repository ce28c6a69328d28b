"""4 Evidence: is each tested requirement decided, with uncertainty?"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier import units
from dossier.checks.evidence_equipment import calibration_words
from dossier.checks.margin import limit_in_words
from dossier.checks.told import margin_words, sheet_answer
from dossier.checks.told_equivalence import compared_items, deviation_words, mode_words, modes_of, set_sentence
from dossier.checks.told_evidence import Decided, attached_words, deciding_words, decisions, left_out_words, undecided_words
from dossier.checks.told_power import power_of, power_sentence
from dossier.checks.told_prediction_error import item_error_words
from dossier.checks.view import View
from dossier.methods.evidence_links import WITH_FILES
from dossier.methods.evidence_lives import life_samples
from dossier.methods.judged_plots import can_draw
from dossier.records.calculation import ResultValue
from dossier.records.evidence import EvidenceItem, Specimen
from dossier.store.project import Project
from dossier.units import amount
from screens import bars, keys
from screens.cells import at_word, cell_len, cut, wrap, wrap_most
from screens.paint import LineLike, Piece, line, state
from screens.sheets.bringing import Brings
from screens.sheets.evidence_judged import judged_lines
from screens.sheets.evidence_next import next_words
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

STRIP = 44
ABOVE, LEAST_BLOCK = 12, 6  # rows of the terminal that the block leaves to the list and the frame; least of the block
PARTING = 16  # columns that two wrapped lines may lose between words
WAY = " i tells all"
WIDE = 86


class EvidenceSheet(Brings):
    """Items with parts, value, decision and what they serve; the interval of the one under the cursor."""

    NUMBER = "4"
    TITLE_WORD = "Evidence"
    QUESTION = "Is each tested requirement decided, with uncertainty?"
    KEYS = (("enter", "plot"), "detail", "new", "edit", "rests-on")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("new", "edit", "detail", "next-open", "previous-open")]

    def body(self) -> Sequence[Widget]:
        self.items = SheetList(_columns, id="items")
        self.detail = Lines(id="detail", classes="below")
        self._found: list[EvidenceItem] = []
        return (self.items, self.detail)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "4")

    def fill(self) -> None:
        self._found = self.session.opened.project.evidence
        self.items.set_rows([item.id for item in self._found], lambda index: _row(self, self._found[index]))
        self.items.set_empty([line("   No evidence is planned. n plans a test, inspection or outside analysis.")])
        self._show_detail()
        self.items.focus()

    def decision(self, item: EvidenceItem) -> str:
        """The worst decision of the requirements this item serves, or the item's own state before there is one."""
        if item.state != "finished":
            return "open" if item.state in ("planned", "running") else "not met"
        verdicts = self.session.opened.view.verdicts
        states = [
            support.state
            for served in item.serves
            if served.requirement in verdicts
            for support in verdicts[served.requirement].supports
            if support.record == item.id
        ]
        order = ("not met", "undecided", "outdated", "open", "met")
        return min(states, key=lambda word: order.index(word) if word in order else 3, default="open")

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()

    @property
    def _item(self) -> EvidenceItem | None:
        found = self.session.opened.project.find(self.items.row_id or "")
        return found if isinstance(found, EvidenceItem) else None

    def why_not(self, key_id: str) -> str:
        """Enter shows a plot where curves or two values were measured."""
        if key_id in ("next-open", "previous-open") and not self._found:
            return "No evidence is planned yet; n plans a test, inspection or outside analysis."
        if key_id == "detail":
            return _why_no_working(self._item)
        if key_id != "enter" or _has_curve(self._item):
            return super().why_not(key_id)
        name = self._item.id if self._item else "This row"
        if self._item and self._item.state == "planned":
            return f"{name} is planned, nothing is measured yet; n brings in what was."
        return f"{name} has no curve and no two values to draw; r leads to its specimens, machine and files."

    @on(SheetList.Opened)
    def _opened(self, message: SheetList.Opened) -> None:
        item = self._item
        if item is None or not _has_curve(item):
            self.say(self.why_not("enter"), message.row_id)
            return
        from screens.sheets.curve import CurveSheet

        self.app.push_screen(CurveSheet(self.session, item.id))

    def _show_detail(self) -> None:
        item, view = self._item, self.session.opened.view
        most = max(self.app.size.height - ABOVE, LEAST_BLOCK)
        self.detail.show((lambda columns: _at_most(detail_lines(view, item, columns), next_words(view.project, item), item, most,
                                                   columns)) if item else [""])  # fmt: skip

    def action_detail(self) -> None:
        """How the value comes from what was measured."""
        item = self._item
        if item is None or item.result is None:
            self.say(_why_no_working(item), item.id if item else "")
        else:
            self.app.show_working(item.id)  # type: ignore[attr-defined]

    def action_next_open(self) -> None:
        """To the next item that is not met."""
        self._go_open(1)

    def action_previous_open(self) -> None:
        """To the one before."""
        self._go_open(-1)

    def _go_open(self, direction: int) -> None:
        if not self.items.go_to_next(lambda index: self.decision(self._found[index]) != "met", direction):
            self.say("Every item is met.")


def _at_most(lines: list[LineLike], words: str, item: EvidenceItem, most: int, columns: int) -> list[LineLike]:
    """The block in `most` lines, what is next in the last of them; where it is longer it names the key to the rest."""
    after: list[LineLike] = [line(Piece(f"   {part}", "key")) for part in wrap_most(f"next: {words}", columns - 4, 2) if words]
    room = most - len(after)
    if len(lines) <= room:
        return [*lines, *after]
    rest = f"   {len(lines) - room + 1} more lines; {'i tells all' if item.result else 'F1 tells all fields'}"
    return [*lines[: room - 1], line(Piece(rest, "quiet")), *after]


def _why_no_working(item: EvidenceItem | None) -> str:
    if item is None:
        return "No item under the cursor."
    if not item.result and item.state in ("aborted", "invalid"):
        return f"{item.id} was {item.state} and has no result."
    return "" if item.result else f"{item.id} has no result yet; n brings in what was measured, c evaluates it."


def _row(sheet: EvidenceSheet, item: EvidenceItem) -> Row:
    value = _first_value(sheet, item)
    decided = sheet.decision(item)
    told: LineLike = line(state(decided)) if item.state == "finished" else Piece(item.state, "quiet")
    serves = " ".join(served.requirement for served in item.serves)
    return Row((item.id, item.title, _parts(sheet.session.opened.project, item), value, told, serves))


def _parts(project: Project, item: EvidenceItem) -> str:
    """Counted parts, before the test the planned ones; "5 : 5" where the reference part is measured too."""
    samples = life_samples(item) if item.lives_from else [sample for sample in item.samples if not sample.left_out]
    counted = [project.find(sample.specimen) for sample in samples]
    reference = sum(isinstance(found, Specimen) and found.design == item.reference for found in counted)
    variant = len(counted) - reference
    if not counted:
        variant, reference = item.planned_variant, item.planned_reference
    return f"{variant} : {reference}" if reference else str(variant or "-")


def _first_value(sheet: EvidenceSheet, item: EvidenceItem) -> str:
    if item.result is None or not item.serves:
        return "-"
    decided = next(iter(decisions(sheet.session.opened.view, item)), None)
    return (deciding_words(item, decided) if decided else "") or "-"


def _columns(width: int) -> list[Column]:
    """What an item serves stands in the list from 86 columns on, else in the block below only."""
    found = [Column("id", 6, gap=1), Column("item", 0), Column("V : ref", 7), Column("value", 20), Column("decision", 12)]
    return [*found, Column("serves", 12)] if width >= WIDE else found


def _has_curve(item: EvidenceItem | None) -> bool:
    """Whether a curve was measured for the item, or single values that can be drawn."""
    if item is None:
        return False
    return can_draw(item) or (item.quantity in WITH_FILES and any(sample.file for sample in item.samples))


def detail_lines(view: View, item: EvidenceItem, columns: int) -> list[LineLike]:
    """What the item says about each requirement it serves, how it was done, on which machine and files."""
    lines: list[LineLike] = ["", line(Piece(f" {item.id}  ", "key"), Piece(cut(item.title, columns - 9), "heading"))]
    if item.reason:
        lines += [line(Piece(f"   {text}", "notmet")) for text in wrap_most(f"{item.state}: {item.reason}", columns - 4, 3)]
    for decided in decisions(view, item):
        lines += _decided_lines(item, decided, columns)
    against = undecided_words(view, item) if item.state == "finished" else []
    if not any("calibration of" in text for text in against):
        against = [*against, *calibration_words(view, item)]
    for text in against:
        lines += [line(Piece(f"   {part}", "notmet")) for part in wrap_most(text, columns - 4, 3)]
    lines += judged_lines(view, item, columns)
    texts = told_beside(view, item)
    if columns < WIDE:
        texts = ["; ".join(text.rstrip(".") for text in texts)] if texts else []
    for text in texts:
        lines += [line(Piece(f"   {part}", "quiet")) for part in _cut_with_way(text, columns - 4, bool(item.result))]
    when = item.done_on or item.started_on or "not yet"
    who = f"{when}, {item.operator or 'nobody named'}"
    procedure = at_word(item.procedure, max(2 * (columns - 4) - cell_len(who) - PARTING, 12))
    lines += [line(f"   {text}") for text in wrap_most("; ".join(filter(None, (procedure, who))), columns - 4, 2)]
    files = sum(bool(sample.file) for sample in item.samples)
    machines = ", ".join(item.equipment) or "none named"
    lines.append(line(f"   machine {machines}; {amount(len(item.samples), 'sample')}, {amount(files, 'file')}; {item.state}"))
    return lines


def told_beside(view: View, item: EvidenceItem) -> list[str]:
    """What stands beside the decisions: left out samples, comparison of the groups, prediction error, attached documents."""
    told = (left_out_words(view, item), *_compared_words(view, item), *item_error_words(view, item), attached_words(view, item))
    return list(filter(None, told))


def _cut_with_way(text: str, columns: int, worked: bool) -> list[str]:
    """The text in two lines; where it is longer, with the key that leads to the whole of it."""
    parts = wrap_most(text, columns, 2)
    if len(wrap(text, columns)) <= 2 or not worked:
        return parts
    return [*wrap_most(text, columns - len(WAY), 2)[:1], wrap_most(text, columns - len(WAY), 2)[1] + WAY]


def _compared_words(view: View, item: EvidenceItem) -> list[str]:
    """Of an item that compares: its power while planned, else curves and failure modes; then the whole set."""
    if item not in compared_items(view):
        return []
    if item.state == "planned":
        power = power_of(item)
        return [*([power.words] if power else []), power_sentence(view)]
    found = [set_sentence(view), *deviation_words(item), mode_words(modes_of(view.project, item))]
    return [words for words in found if words]


def _decided_lines(item: EvidenceItem, decided: Decided, columns: int) -> list[LineLike]:
    """Value, limit, margin and decision; below them the interval on its scale, where there is one."""
    requirement, value = decided.requirement, item.result.value(decided.value) if item.result else None
    lead = line("   ", Piece(f"{requirement.id:<7}", "key"))
    part = decided.support.part if decided.support else ""
    margin = ""
    if decided.support is not None and decided.support.margin.value is not None:
        margin = f"margin {margin_words(decided.support.margin, requirement.unit)}"
    words = [Piece("listed, decides nothing", "quiet")] if decided.support is None else [state(decided.state)]
    room = columns - 11 - sum(cell_len(piece.text) for piece in words) - 2
    first, *more = _in_one_or_two(
        (f"worst {part} " if part else "") + deciding_words(item, decided),
        [f"limit {limit_in_words(requirement.limit, unit)}" for unit in (requirement.unit, "-")],
        margin,
        room,
    )
    lines: list[LineLike] = [line(lead, cut(first, room), "  ", words), *(
        line(f"          {part}") for text in more for part in wrap_most(text, columns - 11, 2)
    )]  # fmt: skip
    scale = _interval(decided, value, columns) if value is not None else None
    return [*lines, line(Piece(f"          {scale}", "quiet"))] if scale else lines


def _in_one_or_two(value: str, limits: Sequence[str], margin: str, room: int) -> list[str]:
    """Value, limit and margin in one line of `room` columns, the limit without its unit if need be; else in two."""
    for limit in limits:
        told = "   ".join(filter(None, (value, limit, margin)))
        if cell_len(told) <= room:
            return [told]
    rest = "   ".join(filter(None, (limits[0], margin)))
    return [value, rest] if value else [rest]


def _interval(decided: Decided, value: ResultValue, columns: int) -> str:
    """Value and uncertainty against the limits, drawn as a dimension line between the ends of its scale."""
    requirement, support = decided.requirement, decided.support
    limits = [limit for limit in (requirement.limit.min, requirement.limit.max) if limit is not None]
    if value.value is None or not limits or not units.same_dimension(value.unit, requirement.unit):
        return ""
    if support is not None and support.part:
        low, middle, high = support.low or 0.0, support.value or 0.0, support.high or 0.0
    else:
        ends = [value.value if end is None else end for end in (value.low, value.high)]
        low, middle, high = (units.convert(number, value.unit, requirement.unit) for number in (ends[0], value.value, ends[1]))
    span = max(high, *limits) - min(low, *limits) or abs(middle) or 1.0
    axis = (min(low, *limits) - 0.15 * span, max(high, *limits) + 0.15 * span)
    strip = bars.interval_strip(axis, (low, middle, high), limits, min(STRIP, max(columns - 34, 8)))
    unit = "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
    digits = max(3, math.floor(math.log10(max(abs(axis[0]), abs(axis[1])) / span)) + 2)
    return f"{units.show(axis[0], digits)} {strip} {units.show(axis[1], digits)}{unit}"
