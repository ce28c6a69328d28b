"""Working of a number: can I follow this by hand?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from dossier.checks.told import calculation_sentence
from dossier.records.calculation import Calculation
from dossier.units import amount
from screens import keys
from screens.session import Session
from screens.sheets.margins import fill_margin
from screens.sheets.sheet import Sheet
from screens.sheets.working_lines import working_lines
from screens.widgets.house import Page
from screens.widgets.trace_margin import TraceMargin


class WorkingSheet(Sheet):
    """Givens, lines, result, band, basis and state of one calculation."""

    NUMBER = "3"
    STATION = 3
    QUESTION = "Can I follow this number by hand?"
    KEYS = (("back", "back"), "serves", "rests-on", "remark", "calculate")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("enter", "calculate", "detail")]

    def __init__(self, session: Session, calculation: str) -> None:
        self.calculation = calculation
        self.TITLE_WORD = f"Design, working of {calculation}"  # type: ignore[misc]
        super().__init__(session)

    def body(self) -> Sequence[Widget]:
        self.page = Page(id="page")
        return (self.page,)

    def margin(self) -> Sequence[Widget]:
        self.left = TraceMargin()
        return (self.left,)

    @property
    def _record(self) -> Calculation | None:
        found = self.session.opened.project.find(self.calculation)
        return found if isinstance(found, Calculation) else None

    def answer(self) -> str:
        record = self._record
        if record is None:
            return f"{self.calculation} is not there any more."
        if record.result is None:
            waits = self.session.opened.view.freshness[record.id].problems
            way = f"it waits for {amount(len(waits), 'input')}" if waits else "c runs it"
            return f"{record.id} was never run on {record.design or 'this project'}; {way}."
        return calculation_sentence(self.session.opened.view, record)

    def fill(self) -> None:
        record, top = self._record, self.page.top
        if record is None:
            self.page.show([])
        else:
            self.page.show(lambda columns: working_lines(self.session, record, columns))
            self.page.scroll_rows(top)
        fill_margin(self.left, self.session, self.calculation)
        self.page.focus()

    def record_at_cursor(self) -> str:
        return self.calculation if self._record else ""

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

    def action_calculate(self) -> None:
        """Run this calculation."""
        self.app.calculate([self.calculation])  # type: ignore[attr-defined]

