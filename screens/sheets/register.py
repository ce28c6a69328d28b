"""All records of the project, kind by kind."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.actions.edit import withdraw_record
from dossier.records.collections import COLLECTIONS
from dossier.units import amount
from screens import keys
from screens.ladder import state_of, title_of
from screens.paint import Piece, line, state
from screens.sheets.asking import Asks
from screens.widgets.columns import Column
from screens.widgets.sheet_list import Row, SheetList

NOT_BEGUN_HERE = ("project", "step")


class RegisterSheet(Asks):
    """Every record with its kind and state; Enter opens its page, n begins one, x withdraws one."""

    NUMBER = "7"
    TITLE_WORD = "Trace, register"
    QUESTION = "Which records does this project hold?"
    KEYS = (("enter", "record"), "new", "cross-out", "serves", "find")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("edit", "new", "cross-out")]

    def body(self) -> Sequence[Widget]:
        columns = (
            Column("id", 12, gap=1), Column("kind", 15), Column("what it is", 0, gap=1), Column("serves", 7, "right"),
            Column("rests on", 8, "right", gap=1), Column("state", 12),
        )  # fmt: skip
        self.rows = SheetList(columns, id="records")
        return (self.rows,)

    def answer(self) -> str:
        kinds = [kind for kind in self.session.opened.project.kinds.values() if kind != "project"]
        return f"{amount(len(kinds), 'record')} of {len(set(kinds))} kinds; f narrows them to words, an id or a kind."

    def fill(self) -> None:
        project = self.session.opened.project
        order = {collection.kind: place for place, collection in enumerate(COLLECTIONS)}
        self._ids = sorted(project.kinds, key=lambda name: order.get(project.kinds[name], len(order)))
        self.rows.set_rows(self._ids, lambda index: self._row(self._ids[index]))
        self.rows.set_empty([line("   No record yet; n begins one.")])
        self.rows.focus()

    def _row(self, name: str) -> Row:
        project = self.session.opened.project
        word = state_of(self.session, name)
        counts = [str(len(targets(name)) or "-") for targets in (project.serves, project.rests_on)]
        return Row((Piece(name, "key"), Piece(project.kinds[name], "quiet"), title_of(self.session, name), *counts,
                    line(state(word)) if word else ""))  # fmt: skip

    @on(SheetList.Opened)
    def action_edit(self) -> None:
        """The page of the record under the cursor."""
        if self.record_at_cursor():
            self.app.show_record(self.record_at_cursor())  # type: ignore[attr-defined]

    def action_new(self) -> None:
        """A new record; the kind under the cursor stands first."""
        here = self.session.opened.project.kinds.get(self.record_at_cursor(), "")
        kinds = [collection.kind for collection in COLLECTIONS if collection.kind not in NOT_BEGUN_HERE]
        self.choose_new(sorted(kinds, key=lambda kind: kind != here))

    def action_cross_out(self) -> None:
        """Withdraw the record under the cursor, after a question."""
        record = self.record_at_cursor()
        if record:
            options = [(record, f"withdraw {record}; it stays in the history, and u brings it back"), ("", "keep it")]
            self.choose("cross out", options, self._withdraw)

    def _withdraw(self, record: str) -> None:
        if record:
            self.record(lambda: withdraw_record(self.session.opened.project, record, self.session.person))

    def action_back(self) -> None:
        """Back to the trace."""
        self.app.pop_screen()
