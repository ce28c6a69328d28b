"""Working of a measured value: can I follow this by hand?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from dossier import units
from dossier.checks.evidence_equipment import calibration_words
from dossier.checks.told_evidence import evidence_in_short, shown_unit, undecided_words, value_words
from dossier.checks.told_sign_rates import item_rates_words
from dossier.methods.evidence_links import method_of_item
from dossier.methods.evidence_signs import kept_signs
from dossier.methods.evidence_stored import stored_working
from dossier.records.evidence import EvidenceItem
from screens import keys
from screens.paint import LineLike, Piece, line
from screens.session import Session
from screens.sheets.evidence import told_beside
from screens.sheets.margins import fill_margin
from screens.sheets.sheet import Sheet
from screens.sheets.working_lines import rule_line, told_lines, worked_lines
from screens.widgets.house import Page
from screens.widgets.trace_margin import TraceMargin

SPECIMEN = "specimen:"


class MeasuredWorkingSheet(Sheet):
    """From the specimens of an item to its decided value: uncertainty, signs, warnings, digest."""

    NUMBER = "4"
    QUESTION = "Can I follow this number by hand?"
    KEYS = ("back", "serves", "rests-on", "remark", "calculate")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("enter", "calculate", "detail")]

    def __init__(self, session: Session, item_id: str) -> None:
        self.item_id = item_id
        self.TITLE_WORD = f"Evidence, working of {item_id}"  # type: ignore[misc]
        super().__init__(session)

    def body(self) -> Sequence[Widget]:
        self.page = Page(id="page")
        return (self.page,)

    def margin(self) -> Sequence[Widget]:
        self.left = TraceMargin()
        return (self.left,)

    @property
    def _item(self) -> EvidenceItem | None:
        found = self.session.opened.project.find(self.item_id)
        return found if isinstance(found, EvidenceItem) else None

    def answer(self) -> str:
        item = self._item
        return evidence_in_short(self.session.opened.view, item) if item else f"{self.item_id} is not there any more."

    def fill(self) -> None:
        item, top = self._item, self.page.top
        self.page.show((lambda columns: measured_lines(self.session, item, columns)) if item else [])
        self.page.scroll_rows(top)
        fill_margin(self.left, self.session, self.item_id)
        self.page.focus()

    def record_at_cursor(self) -> str:
        return self.item_id if self._item else ""

    def go_to(self, record_id: str) -> None:
        """The whole page is one record."""

    def action_back(self) -> None:
        """Back to where the number stood."""
        self.app.pop_screen()

    def action_enter(self) -> None:
        """Back as well: there is nothing farther in."""
        self.app.pop_screen()

    def action_detail(self) -> None:
        """The same key that opened it closes it."""
        self.app.pop_screen()


def measured_lines(session: Session, item: EvidenceItem, columns: int) -> list[LineLike]:
    """The whole page for a width."""
    view, result = session.opened.view, item.result
    lines: list[LineLike] = [line(" ", Piece(f"{item.id} ", "key"), Piece(item.title, "heading"))]
    lines += told_lines("procedure", item.procedure, columns)
    if result is None:
        return [*lines, rule_line(columns), f" {item.id} has no result yet; c evaluates what was measured."]
    lines += told_lines("method", f"{method_of_item(item).id} version {result.method_version}", columns)
    for text in (*undecided_words(view, item), *calibration_words(view, item)):
        lines += told_lines("against", text, columns, "notmet")
    lines += [rule_line(columns), *_specimens(session, item, columns)]
    working = stored_working(item)
    lines += worked_lines(working, columns, False, {}) if working else told_lines(
        "working", "the values above are read from the files; no formula leads from one to another", columns)  # fmt: skip
    lines += [rule_line(columns), *_results(session, item, columns)]
    for text in told_beside(view, item):
        lines += told_lines("beside", text, columns)
    lines += _sign_lines(item, columns)
    if rates := item_rates_words(view, item):
        lines += told_lines("error rates", rates, columns)
    for warning in result.warnings:
        lines += told_lines("warning", warning, columns, "notmet")
    digest = " ".join(result.inputs_sha256[start : start + 4] for start in range(0, 16, 4))
    computed = f"computed {result.computed_at.replace('T', ' ').replace('Z', ' UTC')} by {result.computed_by or 'nobody named'}"
    return [*lines, *told_lines("inputs", f"digest {digest}   {computed}", columns)]


def _specimens(session: Session, item: EvidenceItem, columns: int) -> list[LineLike]:
    """Each specimen's own value in the unit of the requirement."""
    lines: list[LineLike] = []
    for value in item.result.values if item.result else []:
        if value.name.startswith(SPECIMEN) and value.value is not None:
            shown = units.show_quantity(value.value, value.unit, shown_unit(session.opened.view, item, value), 4)
            lines += told_lines(value.name.removeprefix(SPECIMEN), shown, columns)
    return lines


def _results(session: Session, item: EvidenceItem, columns: int) -> list[LineLike]:
    """Variant, reference part and ratio with the contributions to their uncertainty."""
    lines: list[LineLike] = []
    for name in ("variant", "reference", "ratio"):
        value = item.result.value(name) if item.result else None
        if value is None or value.value is None:
            continue
        unit = value.unit if name == "ratio" else shown_unit(session.opened.view, item, value)
        lines += told_lines(name, value_words(value, unit), columns)
        causes = [f"{entry.cause} ± {units.show_quantity(abs(entry.plus), value.unit, unit, 3)}" for entry in value.lines]
        lines += told_lines("", "; ".join(causes), columns, "quiet") if causes else []
    return lines


def _sign_lines(item: EvidenceItem, columns: int) -> list[LineLike]:
    """Every sign found with the answer to it; what it means stands in the warnings, what was looked for in the working."""
    lines: list[LineLike] = []
    for sign in kept_signs(item):
        told = f"{sign.letter} {sign.title} in {sign.specimen}, row {sign.row}, confidence {sign.confidence:.2f}: {sign.standing}"
        lines += told_lines("sign", told, columns, "ink" if sign.answer else "notmet")
    return lines
