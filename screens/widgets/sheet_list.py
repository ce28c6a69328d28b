"""The list of a sheet: any number of rows, made only when they come into view."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import events
from textual.binding import BindingType
from textual.message import Message

from screens import keys
from screens.glyphs import CURSOR, MARKED
from screens.paint import LineLike, Piece, line
from screens.widgets.columns import Column, cells_line, fitted, head_line
from screens.widgets.house import Scrolled, paint_of
from screens.widgets.list_model import ListModel

BLANK = Piece(" ")


@dataclass(frozen=True)
class Row:
    """One row: cells under the columns, or one free `line` over all of them.

    `mark` is the character before the first cell (`*` changed by me, `+` by others, or a state's glyph). A row
    that is not selectable is passed over by the cursor: a group's heading, a line of separation.
    """

    cells: Sequence[LineLike] = ()
    mark: Piece = BLANK
    line: LineLike | None = None
    selectable: bool = True


Columns = Sequence[Column] | Callable[[int], Sequence[Column]]


class SheetList(Scrolled, inherit_bindings=False):
    """Rows with a cursor `>`, marks, page keys, order and filter; the cursor keeps to its row id.

    `columns` is a sequence or a function of the width; `indent` is where the first cell begins. Rows come from
    `set_rows`; `head` lines stand above the column titles and never scroll. Beside another area the list is not
    `lit` while that one has the keys: then no cursor is shown.
    """

    BINDINGS: ClassVar[list[BindingType]] = [*keys.move_bindings(), *keys.bind_all("mark", "enter")]

    class Moved(Message):
        """The cursor came to another row (id None: the list is empty)."""

        def __init__(self, sheet_list: SheetList, row_id: str | None) -> None:
            self.sheet_list, self.row_id = sheet_list, row_id
            super().__init__()

        @property
        def control(self) -> SheetList:
            """The list."""
            return self.sheet_list

        def can_replace(self, message: Message) -> bool:
            """Only the newest place matters."""
            return isinstance(message, SheetList.Moved) and message.sheet_list is self.sheet_list

    class Opened(Message):
        """Enter on a row."""

        def __init__(self, sheet_list: SheetList, row_id: str) -> None:
            self.sheet_list, self.row_id = sheet_list, row_id
            super().__init__()

        @property
        def control(self) -> SheetList:
            """The list."""
            return self.sheet_list

    def __init__(
        self, columns: Columns = (), *, indent: int = 3, titles: bool = True, id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.model = ListModel()
        self._columns = columns
        self._indent = indent
        self._titles = titles
        self._head: Sequence[LineLike] = ()
        self._empty: Sequence[LineLike] = ()
        self._no_hit: Sequence[LineLike] = ()
        self._provider: Callable[[int], Row] = lambda index: Row()
        self._fitted: tuple[int, list[Column]] | None = None
        self._title_lines: list[LineLike] = []
        self.lit = True

    def set_lit(self, lit: bool) -> None:
        """Show the cursor, or leave it to the area that has the keys."""
        if lit != self.lit:
            self.lit = lit
            self.refresh()

    def set_rows(self, ids: Sequence[str], provider: Callable[[int], Row]) -> None:
        """Show the rows `provider(0)` to `provider(len(ids) - 1)`; `ids` tell them apart."""
        self._provider = provider
        self.model.selectable = lambda index: provider(index).selectable
        self._change(lambda: self.model.set_ids(ids))

    def set_columns(self, columns: Columns) -> None:
        """Use other columns."""
        self._columns, self._fitted = columns, None
        self.refresh()

    def set_head(self, lines: Sequence[LineLike]) -> None:
        """Lines between the titles' rule and the first row that never scroll, such as the reference part's."""
        self._head = lines
        self.refresh()

    def set_empty(self, lines: Sequence[LineLike]) -> None:
        """What stands where there is no row."""
        self._empty = lines
        self.refresh()

    def set_no_hit(self, lines: Sequence[LineLike]) -> None:
        """What stands where there are rows, but a filter shows none of them."""
        self._no_hit = lines
        self.refresh()

    def order(self, key: Callable[[int], Any] | None, reverse: bool = False) -> None:
        """Sort by a function of the source index; None restores the source's order."""
        self._change(lambda: self.model.order(key, reverse))

    def filter(self, keep: Callable[[int], bool] | None) -> None:
        """Show rows for which `keep(index)` is true; None shows all."""
        self._change(lambda: self.model.filter(keep))

    def _change(self, change: Callable[[], None]) -> None:
        before, offset = self.model.row_id, self.model.cursor - self.top
        change()
        self.top = min(max(self.model.cursor - offset, 0), self.last_top)
        self._into_view()
        self.refresh()
        if self.model.row_id != before:
            self.post_message(self.Moved(self, self.model.row_id))

    @property
    def row_id(self) -> str | None:
        """Id of the cursor's row."""
        return self.model.row_id

    def go_to(self, row_id: str) -> bool:
        """Put the cursor on a row; False when it is not shown."""
        place = self.model.place_of(row_id)
        if place is None:
            return self.model.want(row_id)
        self._move(place)
        return True

    def go_to_next(self, wanted: Callable[[int], bool], direction: int = 1) -> bool:
        """Put the cursor on the next row whose source index is wanted, going round once; False without one."""
        place = self.model.find(wanted, direction)
        if place is not None:
            self._move(place, direction)
        return place is not None

    def row_count(self) -> int:
        """Rows shown."""
        return len(self.model)

    def _columns_at(self, columns: int) -> list[Column]:
        if self._fitted is None or self._fitted[0] != columns:
            given = self._columns(columns) if callable(self._columns) else self._columns
            self._fitted = columns, fitted(given, columns - self._indent - 2)
            titles = head_line(self._fitted[1])
            rule = line(" ", Piece("─" * (columns - 2), "rule"))
            self._title_lines = [line(" " * self._indent, titles), rule] if self._titles and columns > 2 else []
        return self._fitted[1]

    def head_lines(self, columns: int) -> Sequence[LineLike]:
        """Titles, their rule, and the fixed lines."""
        self._columns_at(columns)
        instead = () if len(self.model) else self._no_hit if len(self.model.ids) else self._empty
        return [*self._title_lines, *self._head, *instead]

    def row_line(self, index: int, columns: int) -> tuple[LineLike, str]:
        """Cursor, mark and cells of the row at place `index`."""
        row = self._provider(self.model.shown[index])
        at_cursor = index == self.model.cursor and row.selectable and self.lit
        area = ("focus" if self.has_focus else "lifted") if at_cursor else "ground"
        if row.line is not None and not row.selectable:
            return row.line, area
        marked = self.model.id_at(index) in self.model.marks
        mark = Piece(MARKED, "key") if marked else row.mark
        lead = line(" ", Piece(CURSOR if at_cursor else " ", "key"), mark, " " * (self._indent - 3))
        content = row.line if row.line is not None else self._cells(row)
        return line(lead, [content] if isinstance(content, str | Piece) else content), area

    def _cells(self, row: Row) -> LineLike:
        paint = paint_of(self)
        columns = self._columns_at(self.size.width)
        printable = [paint.printable(content, self.size.width) for content in row.cells]
        return cells_line(printable, columns)

    def _into_view(self) -> None:
        cursor = self.model.cursor
        if cursor < self.top:
            self.top = cursor
        elif cursor >= self.top + self.page_rows:
            self.top = cursor - self.page_rows + 1
        self.top = min(max(self.top, 0), self.last_top)

    def _move(self, place: int, direction: int = 1) -> None:
        before, top = self.model.cursor, self.top
        if not self.model.move_to(place, direction):
            if place <= 0:
                self.scroll_rows(0)
            return
        self._into_view()
        if self.top != top:
            self.refresh()
        else:
            self.refresh_row(before)
            self.refresh_row(self.model.cursor)
        self.post_message(self.Moved(self, self.model.row_id))

    def on_resize(self) -> None:
        """Keep the cursor in view."""
        top = self.top
        self._into_view()
        if self.top != top:
            self.refresh()

    def on_focus(self) -> None:
        """The cursor's row changes its area."""
        self.refresh_row(self.model.cursor)

    def on_blur(self) -> None:
        """The cursor's row changes its area."""
        self.refresh_row(self.model.cursor)

    def on_click(self, event: events.Click) -> None:
        """The cursor goes to the row that was clicked."""
        place = event.y - len(self.head_lines(self.size.width)) + self.top
        if 0 <= place < len(self.model) and event.y >= len(self.head_lines(self.size.width)):
            self._move(place)

    def action_up(self) -> None:
        """One row up."""
        self._move(self.model.cursor - 1, -1)

    def action_down(self) -> None:
        """One row down."""
        self._move(self.model.cursor + 1, 1)

    def action_page_up(self) -> None:
        """One page up, one row of it staying."""
        self._move(self.model.cursor - max(1, self.page_rows - 1), -1)

    def action_page_down(self) -> None:
        """One page down, one row of it staying."""
        self._move(self.model.cursor + max(1, self.page_rows - 1), 1)

    def action_first(self) -> None:
        """To the first row."""
        self._move(0, 1)

    def action_last(self) -> None:
        """To the last row."""
        self._move(len(self.model) - 1, -1)

    def action_mark(self) -> None:
        """Mark the row, or take the mark away, and go one down."""
        self.model.toggle_mark()
        self.refresh_row(self.model.cursor)
        self.action_down()

    def action_enter(self) -> None:
        """Open the row."""
        if self.model.row_id is not None:
            self.post_message(self.Opened(self, self.model.row_id))
