"""What every widget of the house shares: its paint, a screen without default keys, lines of text, a scrolled page.

Scrolled widgets keep their own first row and draw their bar as a rule in the last column; the toolkit's scroll
bars are never shown.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.geometry import Region, Size
from textual.screen import Screen
from textual.strip import Strip
from textual.widget import Widget

from screens import keys
from screens.paint import LineLike, Paint, Piece, line

TRACK, THUMB = Piece("│", "rule"), Piece("┃", "quiet")


def paint_of(widget: Widget) -> Paint:
    """The paint of the app a widget lives in."""
    return widget.app.paint  # type: ignore[attr-defined]


class HouseScreen(Screen[None], inherit_bindings=False):
    """A screen that binds Tab only; everything else is bound from the table of keys."""

    BINDINGS: ClassVar[list[BindingType]] = [keys.bind("next-area", "app.focus_next")]


class Lines(Widget, inherit_bindings=False):
    """A block of lines, as high as they are many. `lines` is a list, or a function of the width giving one."""

    def __init__(
        self, lines: Sequence[LineLike] | Callable[[int], Sequence[LineLike]] = (), *, area: str = "ground",
        id: str | None = None, classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._source = lines
        self._area = area
        self._made: tuple[int, Sequence[LineLike]] | None = None

    def show(self, lines: Sequence[LineLike] | Callable[[int], Sequence[LineLike]]) -> None:
        """Replace the lines; a function is asked once for each width."""
        self._source, self._made = lines, None
        self.refresh(layout=True)

    def lines_at(self, columns: int) -> Sequence[LineLike]:
        """The lines as they are at a width of `columns`."""
        if self._made is None or self._made[0] != columns:
            self._made = columns, self._source(columns) if callable(self._source) else self._source
        return self._made[1]

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """One row per line."""
        return len(self.lines_at(width))

    def render_line(self, y: int) -> Strip:
        """One line, blank below the last."""
        lines = self.lines_at(self.size.width)
        content = lines[y] if 0 <= y < len(lines) else ""
        return paint_of(self).strip(content, self.size.width, self._area)


def bar_cell(y: int, height: int, rows: int, top: int) -> Piece:
    """Cell `y` of the scroll rule beside `height` of `rows` rows, the first shown being `top`."""
    length = max(1, round(height * height / rows))
    start = round((height - length) * top / max(rows - height, 1))
    return THUMB if start <= y < start + length else TRACK


class Scrolled(Widget, inherit_bindings=False):
    """A widget showing rows from `top` on below a fixed head, with a rule as scroll bar when not all rows fit.

    Subclasses give `row_count`, `head_lines` and `row_line`.
    """

    can_focus = True

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.top = 0

    def row_count(self) -> int:
        """Number of rows below the head."""
        raise NotImplementedError

    def head_lines(self, columns: int) -> Sequence[LineLike]:
        """Lines above the rows that never scroll."""
        return ()

    def row_line(self, index: int, columns: int) -> tuple[LineLike, str]:
        """Content and area of row `index`."""
        raise NotImplementedError

    @property
    def page_rows(self) -> int:
        """Rows visible at once, at least one."""
        return max(1, self.size.height - len(self.head_lines(self.size.width)))

    @property
    def last_top(self) -> int:
        """Greatest first row."""
        return max(0, self.row_count() - self.page_rows)

    def scroll_rows(self, top: int) -> None:
        """Let `top`, kept within the rows, be the first row shown."""
        top = min(max(top, 0), self.last_top)
        if top != self.top:
            self.top = top
            self.refresh()

    def refresh_row(self, index: int) -> None:
        """Repaint one row only, if it is in view."""
        y = index - self.top + len(self.head_lines(self.size.width))
        if 0 <= y < self.size.height:
            self.refresh(Region(0, y, self.size.width, 1))

    def on_resize(self) -> None:
        """Keep the rows in view."""
        self.scroll_rows(self.top)

    def render_line(self, y: int) -> Strip:
        """Head, row, or blank; the last column holds the scroll rule."""
        paint, columns = paint_of(self), self.size.width
        head = self.head_lines(columns)
        if y < len(head):
            return paint.strip(head[y], columns)
        bar = self.row_count() > self.page_rows
        index = y - len(head) + self.top
        content, area = self.row_line(index, columns - bar) if index < self.row_count() else ("", "ground")
        if not bar:
            return paint.strip(content, columns, area)
        cell = bar_cell(y - len(head), self.page_rows, self.row_count(), self.top)
        rule = paint.strip(line(cell), 1)
        return Strip.join([paint.strip(content, columns - 1, area), rule])

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Three rows down."""
        event.stop()
        self.scroll_rows(self.top + 3)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Three rows up."""
        event.stop()
        self.scroll_rows(self.top - 3)


class Page(Scrolled, inherit_bindings=False):
    """Text that is read by paging. `lines` is a list, or a function of the width giving one."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.move_bindings()]

    def __init__(
        self, lines: Sequence[LineLike] | Callable[[int], Sequence[LineLike]] = (), *, id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self._source = lines
        self._made: tuple[int, Sequence[LineLike]] | None = None

    def show(self, lines: Sequence[LineLike] | Callable[[int], Sequence[LineLike]]) -> None:
        """Replace the text and go to its beginning."""
        self._source, self._made, self.top = lines, None, 0
        self.refresh()

    def _lines(self) -> Sequence[LineLike]:
        columns = max(1, self.size.width - 1)
        if self._made is None or self._made[0] != columns:
            self._made = columns, self._source(columns) if callable(self._source) else self._source
        return self._made[1]

    @property
    def rest(self) -> int:
        """Lines still below the view."""
        return max(0, self.row_count() - self.top - self.page_rows)

    def row_count(self) -> int:
        """Number of lines."""
        return len(self._lines())

    def row_line(self, index: int, columns: int) -> tuple[LineLike, str]:
        """Line `index`."""
        return self._lines()[index], "ground"

    def action_up(self) -> None:
        """One line up."""
        self.scroll_rows(self.top - 1)

    def action_down(self) -> None:
        """One line down."""
        self.scroll_rows(self.top + 1)

    def action_page_up(self) -> None:
        """One page up, one line of it staying."""
        self.scroll_rows(self.top - max(1, self.page_rows - 1))

    def action_page_down(self) -> None:
        """One page down, one line of it staying."""
        self.scroll_rows(self.top + max(1, self.page_rows - 1))

    def action_first(self) -> None:
        """To the first line."""
        self.scroll_rows(0)

    def action_last(self) -> None:
        """To the last line."""
        self.scroll_rows(self.last_top)
