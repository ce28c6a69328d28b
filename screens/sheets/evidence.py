"""4 Evidence: is each tested requirement decided, with uncertainty?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier import units
from dossier.checks.told import sheet_answer
from dossier.checks.told_evidence import shown_unit, value_words
from dossier.checks.verdict import Verdict
from dossier.records.calculation import ResultValue
from dossier.records.evidence import EvidenceItem, Specimen
from dossier.records.requirement import Requirement
from dossier.store.project import Project
from screens import bars, keys
from screens.paint import LineLike, Piece, line, state
from screens.sheets.bringing import Brings
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

STRIP = 44
CURVES = ("radial", "axial", "torsional", "conical")


class EvidenceSheet(Brings):
    """Items with parts, value, decision and what they serve; the interval of the one under the cursor."""

    NUMBER = "4"
    TITLE_WORD = "Evidence"
    QUESTION = "Is each tested requirement decided, with uncertainty?"
    KEYS = (("enter", "curve"), "new", "edit", "rests-on", "next-open")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("new", "edit", "next-open", "previous-open")]

    def body(self) -> Sequence[Widget]:
        columns = (
            Column("id", 6, gap=1), Column("item", 0), Column("V : ref", 7), Column("value", 23), Column("decision", 12),
            Column("serves", 12),
        )  # fmt: skip
        self.items = SheetList(columns, id="items")
        self.detail = Lines(id="detail")
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

    @on(SheetList.Opened)
    def _opened(self, message: SheetList.Opened) -> None:
        item = self.session.opened.project.find(message.row_id)
        if not isinstance(item, EvidenceItem) or item.quantity not in CURVES:
            self.say(f"{message.row_id} has no curve; r leads to its specimens, machine and files.", message.row_id)
            return
        from screens.sheets.curve import CurveSheet

        self.app.push_screen(CurveSheet(self.session, item.id))

    def _show_detail(self) -> None:
        item = self.session.opened.project.find(self.items.row_id or "")
        self.detail.show(self._detail(item) if isinstance(item, EvidenceItem) else [""])

    def _detail(self, item: EvidenceItem) -> list[LineLike]:
        lines: list[LineLike] = ["", line(Piece(f" {item.id}  {item.title}", "heading"))]
        if item.reason:
            lines.append(line(f"   {item.state}: ", Piece(item.reason, "notmet")))
        for served in item.serves:
            requirement = self.session.opened.project.find(served.requirement)
            value = item.result.value(served.value) if item.result else None
            if isinstance(requirement, Requirement) and value is not None:
                lines += _interval(requirement, value, self.session.opened.view.verdicts[requirement.id])
        when = f"{item.done_on or item.started_on or 'not yet'}"
        lines.append(line(f"   {item.procedure}; {when}, {item.operator or 'nobody named'}"))
        machines = ", ".join(item.equipment) or "none named"
        files = sum(bool(sample.file) for sample in item.samples)
        lines.append(line(f"   machine {machines}; {len(item.samples)} samples, {files} files; {item.state}"))
        return lines

    def action_next_open(self) -> None:
        """To the next item that is not met."""
        self._go_open(1)

    def action_previous_open(self) -> None:
        """To the one before."""
        self._go_open(-1)

    def _go_open(self, direction: int) -> None:
        if not self.items.go_to_next(lambda index: self.decision(self._found[index]) != "met", direction):
            self.say("Every item is met.")


def _row(sheet: EvidenceSheet, item: EvidenceItem) -> Row:
    value = _first_value(sheet, item)
    decided = sheet.decision(item)
    told: LineLike = line(state(decided)) if item.state == "finished" else Piece(item.state, "quiet")
    serves = " ".join(served.requirement for served in item.serves)
    return Row((item.id, item.title, _parts(sheet.session.opened.project, item), value, told, serves))


def _parts(project: Project, item: EvidenceItem) -> str:
    """Counted parts, "5 : 5" where the reference part is measured too."""
    counted = [project.find(sample.specimen) for sample in item.samples if not sample.left_out]
    reference = sum(isinstance(found, Specimen) and found.design == item.reference for found in counted)
    return f"{len(counted) - reference} : {reference}" if reference else str(len(counted) or item.planned_variant or "-")


def _first_value(sheet: EvidenceSheet, item: EvidenceItem) -> str:
    if item.result is None or not item.serves:
        return "-"
    value = item.result.value(item.serves[0].value)
    if value is None or value.value is None:
        return "-"
    return value_words(value, shown_unit(sheet.session.opened.view, item, value))


def _interval(requirement: Requirement, value: ResultValue, verdict: Verdict) -> list[LineLike]:
    """Value and uncertainty against the limits, drawn as a dimension line."""
    limits = [limit for limit in (requirement.limit.min, requirement.limit.max) if limit is not None]
    if value.value is None or not limits or not units.same_dimension(value.unit, requirement.unit):
        return []
    ends = [value.value if end is None else end for end in (value.low, value.high)]
    low, middle, high = (units.convert(number, value.unit, requirement.unit) for number in (ends[0], value.value, ends[1]))
    span = max(high, *limits) - min(low, *limits) or abs(middle) or 1.0
    axis = (min(low, *limits) - 0.15 * span, max(high, *limits) + 0.15 * span)
    strip = bars.interval_strip(axis, (low, middle, high), limits, STRIP)
    told = value_words(value, requirement.unit)
    return [line(f"   {requirement.id:<7}{strip}  {told}  ", state(verdict.state))]
