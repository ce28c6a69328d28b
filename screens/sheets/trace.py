"""7 Trace: why do we believe this number?"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.records.collections import COLLECTIONS
from screens import keys
from screens.cells import balance
from screens.ladder import Rung, ladder, ladder_answer
from screens.paint import Line, LineLike, Piece, line, state
from screens.session import Place, Session
from screens.sheets.asking import Asks
from screens.sheets.record_block import record_block
from screens.sheets.register import NOT_BEGUN_HERE
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

RUNG = "rung:"
MOST_LINES, LEAST_LINES = 11, 4


class TraceSheet(Asks):
    """The ladder of one record; r and s move the ladder itself, Enter opens the record at the cursor."""

    NUMBER = "7"
    STATION = 2
    TITLE_WORD = "Trace"
    QUESTION = "Why do we believe this number?"
    KEYS = ("serves", "rests-on", ("enter", "open"), ("group", "all records"), "edit")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("edit", "new", "group")]

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.subject = ""
        self._rungs: list[Rung] = []

    def body(self) -> Sequence[Widget]:
        self.list = SheetList(_columns, id="ladder", titles=False)
        self.detail = Lines(id="detail", classes="below")
        return (self.list, self.detail)

    def answer(self) -> str:
        if self.subject not in self.session.opened.project.records:
            return "The project holds no record yet; nothing can be traced."
        return ladder_answer(self.session, self.subject)

    def fill(self) -> None:
        if self.subject not in self.session.opened.project.records:
            self.subject = self._first()
        self._rungs = ladder(self.session, self.subject) if self.subject else []
        names = [f"{RUNG}{index}:{rung.record}" for index, rung in enumerate(self._rungs)]
        self.list.set_rows(names, lambda index: self._row(self._rungs[index]))
        self.list.set_empty([line("   No record yet; n on 2 Requirements begins with a demand.")])
        self._to_subject()
        self._show_detail()
        self.list.focus()

    def _first(self) -> str:
        """The record to begin with: the next cause that names one, else the first requirement."""
        project = self.session.opened.project
        causes = [cause.record for step in self.session.standing.steps for cause in step.causes]
        demands = [requirement.id for requirement in project.requirements]
        return next((name for name in [*causes, *demands, *project.records] if name in project.records), "")

    def _to_subject(self) -> None:
        place = next((index for index, rung in enumerate(self._rungs) if rung.depth == 0), 0)
        self.list.go_to(f"{RUNG}{place}:{self.subject}")
        self.call_after_refresh(lambda: self.list.scroll_rows(max(place - self.list.page_rows + 1, 0)))

    def _row(self, rung: Rung) -> Row:
        lead = "" if rung.depth < 0 else " "
        role = "heading" if rung.depth == 0 else "ink"
        name: Line = line(Piece(f"{lead}{rung.branch}", "rule"), Piece(f"{rung.record} ", "key") if rung.record else "")
        told = line(name, Piece(rung.title, role if rung.record else "quiet"))
        word = state(rung.state) if rung.state else ""
        return Row((told, rung.value, word), selectable=bool(rung.record))

    def record_at_cursor(self) -> str:
        return (self.list.row_id or "").rpartition(":")[2]

    def place(self) -> Place:
        """The ladder that is shown, so that Esc brings it back."""
        return Place(self.NUMBER, self.subject)

    def place_record(self) -> str:
        return self.subject

    def go_to(self, record_id: str) -> None:
        """Show the ladder of a record."""
        if record_id in self.session.opened.project.records and record_id != self.subject:
            self.subject = record_id
            self.refill()

    def _climb(self, record_id: str) -> None:
        """Show another ladder, remembering this one."""
        self.session.walked(self.place())
        self.go_to(record_id)

    def action_rests_on(self) -> None:
        """The ladder of what the record at the cursor rests on."""
        self._move(self.session.opened.project.rests_on, "rests on", "rests on nothing yet")

    def action_serves(self) -> None:
        """The ladder of what the record at the cursor serves."""
        self._move(self.session.opened.project.serves, "serves", "serves nothing")

    def action_group(self) -> None:
        """All records, kind by kind."""
        self.app.show_register()  # type: ignore[attr-defined]

    def action_new(self) -> None:
        """A new record of any kind."""
        self.choose_new([collection.kind for collection in COLLECTIONS if collection.kind not in NOT_BEGUN_HERE])

    def _move(self, targets_of, word: str, none: str) -> None:
        record = self.record_at_cursor()
        targets = [name for name in targets_of(record) if name in self.session.opened.project.records] if record else []
        if not targets:
            self.say(f"{record or 'This row'} {none}.", record)
        elif len(targets) == 1:
            self._climb(targets[0])
        else:
            from screens.sheets.told import record_line

            options: list[tuple[str, LineLike]] = [(name, record_line(self.session, name)) for name in targets]
            self.choose(f"{record} {word}", options, self._climb)

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()

    @on(SheetList.Opened)
    def _opened(self) -> None:
        if self.record_at_cursor():
            self.app.go(self.record_at_cursor())  # type: ignore[attr-defined]

    def _show_detail(self) -> None:
        record = self.record_at_cursor()
        walked = [place.record or f"sheet {place.sheet}" for place in self.session.path[-5:]]
        steps = [name for name, _ in groupby([*walked, self.subject])]
        path = " > ".join(steps) if self.subject else ""
        most = MOST_LINES if self.app.size.height >= 34 else LEAST_LINES

        def lines(columns: int) -> list[LineLike]:
            walk = line(Piece(" path  ", "quiet"), balance(path, columns - 25), Piece("   Esc walks back", "quiet"))
            return ["", walk, *(record_block(self.session, record, columns, most) if record else [])]

        self.detail.show(lines)


def _columns(width: int) -> list[Column]:
    return [Column("", 0), Column("", 22 if width < 86 else 30, gap=1), Column("", 11)]
