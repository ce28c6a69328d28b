"""8 Changes: what changed since I last looked, and what did it touch?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from itertools import islice
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.records.collections import collection_of_path
from dossier.store.clock import utc_stamp
from dossier.store.errors import StoreError
from dossier.store.history import Entry
from dossier.units import amount
from screens import keys
from screens.cells import cell_len, wrap, wrap_most
from screens.changes import ChangeReader, ToldField, Touched, named, when_in_words
from screens.paint import Line, LineLike, Piece, line
from screens.session import Session
from screens.sheets.sheet import Sheet
from screens.widgets.columns import Column
from screens.widgets.house import Lines, Page
from screens.widgets.sheet_list import Row, SheetList

PAGE = 100
NEAR_END = 20
OUTSIDE, ENTRY, SEEN = "outside:", "entry:", "seen"
DETAIL_ROWS = 6
DETAIL_ROWS_LOW, HIGH = 3, 32  # fields told in a terminal of less rows than that


class ChangesSheet(Sheet):
    """Edits made outside the tool, then the history with the line "seen up to here"; long ones are read in pages."""

    NUMBER = "8"
    TITLE_WORD = "Changes"
    QUESTION = "What changed since I last looked, and what did it touch?"
    KEYS = (("enter", "record"), "difference", "take-back", "serves", "find")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("accept", "withhold", "difference")]

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.reader = ChangeReader(session)
        self.only = ""
        self.seen_head, self.seen_on = session.seen.head, session.seen.on
        self._log: Iterator[Entry] = iter(())
        self._entries: list[Entry] = []
        self._head: str | None = ""
        self._more = False
        self._looked = ""

    def body(self) -> Sequence[Widget]:
        self.list = SheetList(_columns, id="changes")
        self.detail = Lines(id="detail", classes="below")
        self.page = Page(id="differences")
        self.page.display = False
        return (self.list, self.detail, self.page)

    def answer(self) -> str:
        outside = len(self.session.opened.snapshot.foreign)
        told = f"{outside} file{'s' if outside > 1 else ''} edited outside the tool: not taken in. " if outside else ""
        if self.only:
            least = "at least " if self._more else ""
            return f"{told}{least}{amount(len(self._entries), 'change')} of {self.only}; Esc shows all changes."
        new = self._new()
        if self.seen_head and new is not None:
            since = when_in_words(self.seen_on, datetime.now(UTC)) if self.seen_on else "you last looked"
            if not new:
                return f"{told}Nothing since {since}."
            void = sorted({step for entry in new for step in self.reader.touched(entry).steps})
            about = f" The sign-off of step {', '.join(void)} is superseded." if void else ""
            return f"{told}{amount(len(new), 'change')} since {since}.{about}"
        more = "The newest " if self._more else ""
        return f"{told}{more}{amount(len(self._entries), 'change')}; you look for the first time."

    def _new(self) -> list[Entry] | None:
        """Entries since the person last looked; None when that entry is not among those read."""
        for index, entry in enumerate(self._entries):
            if entry.id == self.seen_head:
                return self._entries[:index]
        return None

    def fill(self) -> None:
        opened = self.session.opened
        if self._head != opened.snapshot.head:
            self._begin()
        self._show_rows()
        if opened.snapshot.head and self._looked != opened.snapshot.head:
            self._looked = opened.snapshot.head
            now = utc_stamp()
            if reason := self.session.state.look(opened.snapshot.head, now):
                self.say(reason)
        (self.page if self.page.display else self.list).focus()

    def _begin(self) -> None:
        """Read the history from its newest entry on."""
        self._head = self.session.opened.snapshot.head
        self.reader = ChangeReader(self.session)
        self._log = self.reader.history.log()
        self._entries = []
        self._read()

    def _read(self) -> None:
        """Read one page more."""
        try:
            found = list(islice((entry for entry in self._log if self._wanted_entry(entry)), PAGE))
        except (StoreError, OSError) as error:
            self.say(f"The history cannot be read on: {error}")
            found = []
        self._entries += found
        self._more = len(found) == PAGE

    def _wanted_entry(self, entry: Entry) -> bool:
        if not self.only:
            return True
        kind = self.session.opened.project.kinds.get(self.only)
        near = any((c := collection_of_path(path)) is not None and c.kind == kind for path in entry.paths)
        return near and self.only in self.reader.ids(entry)

    def _show_rows(self) -> None:
        rows: list[str] = [OUTSIDE + edit.path for edit in self.session.opened.snapshot.foreign] if not self.only else []
        for entry in self._entries:
            if entry.id == self.seen_head and not self.only:
                rows.append(SEEN)
            rows.append(ENTRY + entry.id)
        self._by_id = {entry.id: entry for entry in self._entries}
        self.list.set_rows(rows, lambda index: self._row(rows[index]))
        self.list.set_empty([line("   No change is recorded yet.")])
        self._show_detail()

    def _row(self, name: str) -> Row:
        if name == SEEN:
            when = f", {when_in_words(self.seen_on, datetime.now(UTC))}" if self.seen_on else ""
            return Row(line=Piece(f" ── seen up to here{when} " + "─" * 200, "quiet"), selectable=False)
        if name.startswith(OUTSIDE):
            path = name.removeprefix(OUTSIDE)
            kind = next((e.kind for e in self.session.opened.snapshot.foreign if e.path == path), "changed")
            told = line(Piece(f"{path} {kind} outside the tool", "outdated"))
            return Row(("on disk", "?", told, "not taken in"), Piece("∆", "outdated"))
        entry = self._by_id[name.removeprefix(ENTRY)]
        touched = self.reader.touched(entry)
        role = "outdated" if touched.outdated or touched.steps else "quiet"
        when = when_in_words(entry.time, datetime.now(UTC))
        return Row((when, entry.author, entry.message.splitlines()[0], Piece(touched.short, role)))

    @property
    def _entry(self) -> Entry | None:
        return self._by_id.get((self.list.row_id or "").removeprefix(ENTRY))

    @property
    def _outside_path(self) -> str:
        name = self.list.row_id or ""
        return name.removeprefix(OUTSIDE) if name.startswith(OUTSIDE) else ""

    def record_at_cursor(self) -> str:
        return next((name for name in self._ids() if name in self.session.opened.project.records), "")

    def _ids(self) -> list[str]:
        entry = self._entry
        if entry is not None:
            return list(self.reader.touched(entry).records)
        return [told.record for told in self._fields()] if self._outside_path else []

    def _fields(self) -> list[ToldField]:
        try:
            if self._outside_path:
                return self.reader.outside_fields(self._outside_path)
            return self.reader.fields(self._entry) if self._entry else []
        except (StoreError, OSError) as error:
            return [ToldField("", "", "", str(error))]

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()
        if self._more and self.list.model.cursor >= self.list.row_count() - NEAR_END:
            self._read()
            self._show_rows()
            self.show_answer()

    def _show_detail(self) -> None:
        fields, effects = self._fields(), self._effects()

        def lines(columns: int) -> list[LineLike]:
            shown = fields[: DETAIL_ROWS if self.app.size.height >= HIGH else DETAIL_ROWS_LOW]
            rows = [_field_lines(entry, columns) for entry in shown]
            told = ["", *self._title(columns), *(_first_of(entry) for entry in rows)]
            if len(fields) > len(shown):
                told.append(line(Piece(f"   {len(fields) - len(shown)} more fields; d shows all", "quiet")))
            elif any(len(entry) > 1 for entry in rows):
                told.append(line(Piece("   d shows all of it", "quiet")))
            return [*told, *effects]

        self.detail.show(lines)

    def _title(self, columns: int) -> list[LineLike]:
        """The change in full, with who and when; or the file edited outside the tool and what can be done."""
        entry = self._entry
        if entry is not None:
            when = entry.time.replace("T", " ").replace("Z", " UTC")
            title, beside = entry.message.splitlines()[0], f"{entry.author}, {when}"
        elif self._outside_path:
            title, beside = self._outside_path, "a takes it in under your name, w restores the recorded file"
        else:
            return [""]
        if cell_len(title) + cell_len(beside) + 4 <= columns:
            return [line(Piece(f" {title}", "heading"), Piece(f"  {beside}", "quiet"))]
        titles = [line(Piece(f" {text}", "heading")) for text in wrap_most(title, columns - 2, 2)]
        return [*titles, line(Piece(f"   {beside}", "quiet"))]

    def _effects(self) -> list[LineLike]:
        ids = list(dict.fromkeys(self._ids()))
        touched: Touched = self.reader.touched_by(ids) if self._outside_path else Touched(())
        if self._entry is not None:
            touched = self.reader.touched(self._entry)
        lines: list[LineLike] = []
        if touched.outdated:
            told = f"{named(touched.outdated, 6)}; C calculates them"
            lines.append(line("   outdated now     ", Piece(told, "outdated")))
        if touched.steps:
            told = f"the sign-off of step {', '.join(touched.steps)} no longer covers what it says now"
            lines.append(line("   superseded       ", Piece(told, "outdated")))
        if touched.requirements:
            lines.append(line("   serves           ", named(touched.requirements, 8)))
        return lines

    @on(SheetList.Opened)
    def _opened(self) -> None:
        if self._outside_path:
            self.action_difference()
            return
        ids = [name for name in self._ids() if name in self.session.opened.project.records]
        if not ids:
            self.action_difference()
        elif len(ids) == 1:
            self.app.go(ids[0])  # type: ignore[attr-defined]
        else:
            from screens.sheets.told import record_line

            options = [(name, record_line(self.session, name)) for name in ids]
            self.choose(amount(len(ids), "record"), options, self.app.go)  # type: ignore[attr-defined]

    def action_difference(self) -> None:
        """Every field, was and now; again goes back to the list."""
        self._turn(not self.page.display)

    def _turn(self, to_page: bool) -> None:
        if to_page:
            fields, effects = self._fields(), self._effects()

            def lines(columns: int) -> list[LineLike]:
                told = [row for entry in fields for row in _field_lines(entry, columns)]
                return [*self._title(columns), "", *told, "", *effects]

            self.page.show(lines)
        self.page.display = to_page
        self.list.display = not to_page
        self.detail.set_class(to_page, "put-away")
        self.show_keys()
        (self.page if to_page else self.list).focus()

    def action_back(self) -> None:
        """From the differences to the list, from one record's changes to all, else back."""
        if self.page.display:
            self._turn(False)
        elif self.only:
            self.show_only("")
        else:
            super().action_back()

    def show_only(self, record_id: str) -> None:
        """Only the changes of one record; empty: all."""
        self.only, self._head = record_id, ""
        if self.is_mounted:
            self.refill()

    def go_to(self, record_id: str) -> None:
        """The newest change of a record among those read."""
        for entry in self._entries:
            if record_id in self.reader.touched(entry).records:
                self.list.go_to(ENTRY + entry.id)
                return

    def action_accept(self) -> None:
        """Take the outside edit in under the person's name."""
        self._decide(take_in=True)

    def action_withhold(self) -> None:
        """Put the file back as recorded; the edited file is kept aside."""
        self._decide(take_in=False)

    def _decide(self, *, take_in: bool) -> None:
        if not self._outside_path:
            self.say("This change is recorded already; a and w decide about edits made outside the tool, listed first.")
            return
        self.session.outside_edits(take_in=take_in, paths=[self._outside_path])
        self._turn(False)
        self.refill()

    def why_not(self, key_id: str) -> str:
        if key_id in ("accept", "withhold") and not self._outside_path:
            return "The row at the cursor is recorded already; these decide about edits made outside the tool."
        return super().why_not(key_id)

    def keys_now(self) -> Sequence[str | tuple[str, str]]:
        """An edit made outside the tool is decided about first; from the differences the same key leads back."""
        if self.page.display:
            return (("difference", "list"), ("page-down", "more"), "back")
        return (("accept", "take in"), ("withhold", "restore"), "difference", "find") if self._outside_path else self.KEYS


def _columns(width: int) -> list[Column]:
    touches = 16 if width < 86 else 28
    return [Column("when", 12), Column("who", 13), Column("change", 0), Column("touches", touches)]


def _first_of(rows: list[Line]) -> Line:
    """The first row of a field, marked where more follow."""
    return rows[0] if len(rows) == 1 else [*rows[0], Piece(" ...", "quiet")]


def _field_lines(told: ToldField, columns: int) -> list[Line]:
    """A field with its old and new value in as many rows as it needs; a name that is longer pushes the values on."""
    name = f"   {told.record:<8} {told.field:<22} "
    was = f"was {told.was}   now " if told.was else ""
    share = f"   {told.share}" if told.share else ""
    indent = min(cell_len(name), columns // 2)
    rows = wrap(f"{was}{told.now}{share}", max(columns - indent - 5, 20)) or [""]
    if cell_len(name) > indent:
        return [line(Piece(name, "quiet")), *(line(" " * indent, row) for row in rows)]
    return [line(Piece(name if index == 0 else " " * indent, "quiet"), row) for index, row in enumerate(rows)]
