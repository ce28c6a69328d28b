"""The table of the house: no vertical rules, a heavy rule under the head, hairlines between the rows.

Own layout, linear in the rows: each row is measured once, splits fall between rows, the head repeats, and a
row that no page could hold splits inside its cells.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from reportlab.platypus import Flowable

from dossier.release.cells import Cell, cell_for
from dossier.release.kit import Kit
from dossier.release.page import FOOT_RULE, HAIR, HEAD_RULE, INK, ROW_RULE, RULE, TINT
from dossier.release.pen import rule
from dossier.release.text import Content, Markup, dec, plain
from dossier.release.trace import RECORD_LEVEL
from dossier.release.typefaces import BOLD, BOOK

HEAD_LINES = 4  # a longer head is cut
LEAST_PART = 24  # points of a row that may stand alone on a page
FEW_ROWS = 5  # tables as short as this stay whole
HEAD_SIZE, CELL_SIZE, NOTE_SIZE = 6.7, 7.4, 6.7
CellContent = Content | Flowable | None


@dataclass(frozen=True)
class Column:
    """Head, width in points (None: takes the rest), alignment l, r, c or d (decimal point), white at the right."""

    head: Content = ""
    width: float | None = None
    align: str = "l"
    gap: float = 5
    font: str = BOOK
    size: float | None = None


@dataclass(frozen=True)
class Row:
    """One row. `kind` is body, group (a bold line over all columns), note (small type under its row, from
    column `start` on), total (bold between rules) or result (bold on tint).

    `anchor` makes the row the place of a record, `anchor_title` its entry in the outline. `together` keeps it
    on one page with the next row.
    """

    cells: Sequence[CellContent]
    kind: str = "body"
    start: int = 0
    anchor: str | None = None
    anchor_title: str = ""
    together: bool = False


class _Line:
    """A measured row."""

    def __init__(self, row: Row, cells: list[Cell], above: float, below: float) -> None:
        self.row, self.cells, self.above, self.below = row, cells, above, below
        self.height = above + max((cell.height for cell in cells), default=0) + below

    def split(self, height: float) -> tuple[_Line, _Line] | None:
        """Two rows of which the first takes at most `height`, if that is worth while."""
        room = height - self.above - self.below
        if room < LEAST_PART:
            return None
        parts = [cell.split(room) for cell in self.cells]
        if not any(first.height for first, _ in parts) or not any(rest.height for _, rest in parts):
            return None
        first = _Line(self.row, [a for a, _ in parts], self.above, self.below)
        rest = _Line(
            Row((), kind=self.row.kind, together=self.row.together), [b for _, b in parts], 2, self.below
        )
        return first, rest


@dataclass(frozen=True)
class Look:
    """Size of the type, white above and below a row, head shown, closing rule."""

    size: float = CELL_SIZE
    pad: float = 2.1
    head: bool = True
    closed: bool = True


class Table(Flowable):
    """Rows under their head, as wide as the place it stands in; see `table`."""

    def __init__(self, kit: Kit, columns: Sequence[Column], rows: Sequence[Row], look: Look) -> None:
        super().__init__()
        self.kit, self.columns, self.rows, self.look = kit, columns, rows, look
        self.head: list[_Line] = []
        self.lines: list[_Line] | None = None
        self.spaceBefore = self.spaceAfter = 4

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        if self.lines is None:
            builder = _Builder(self.kit, self.columns, available_width, self.look)
            self.head, self.lines = builder.head() if self.look.head else [], builder.body(list(self.rows))
        self.height = self._head_height + sum(line.height for line in self.lines)
        return self.width, self.height

    @property
    def ends_ruled(self) -> bool:
        """Whether a rule closes the table."""
        return bool(self.lines and self.look.closed and self.head)

    @property
    def _head_height(self) -> float:
        return sum(line.height for line in self.head)

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        whole = self.wrap(available_width, available_height)[1]
        limit = self.kit.page.must_split - self._head_height
        if len(self.lines) <= FEW_ROWS and whole <= limit / 2:
            return []
        left = available_height - self._head_height
        count, used = 0, 0.0
        while count < len(self.lines) and used + self.lines[count].height <= left:
            used += self.lines[count].height
            count += 1
        if count == len(self.lines):
            return [self]
        if self.lines[count].height > limit:
            parts = self.lines[count].split(left - used)
            if parts:
                return self._parts([*self.lines[:count], parts[0]], [parts[1], *self.lines[count + 1 :]])
        count = self._break_before(count, used > limit / 2)
        return self._parts(self.lines[:count], self.lines[count:]) if count else []

    def _break_before(self, count: int, page_is_full: bool) -> int:
        """The break at or before row `count` that parts no rows to be kept together and leaves none alone."""
        kept = count
        if kept == len(self.lines) - 1 and kept > 2:
            kept -= 1
        while kept and self.lines[kept - 1].row.together:
            kept -= 1
        if (
            kept == 1
            and len(self.lines) > 2
            and not page_is_full
            and self.lines[0].height < self.kit.page.height / 4
        ):
            kept = 0
        return count if not kept and page_is_full else kept

    def _parts(self, first: list[_Line], rest: list[_Line]) -> list[Flowable]:
        tables = []
        for lines in (first, rest):
            part = Table(self.kit, self.columns, (), self.look)
            part.head, part.lines = self.head, lines
            tables.append(part)
        return tables

    def draw(self) -> None:
        y = self.height
        for line in self.head:
            self._draw_line(line, y, last=False)
            y -= line.height
        if self.head:
            rule(self.canv, 0, self.width, y, HEAD_RULE)
        for i, line in enumerate(self.lines):
            self._draw_line(line, y, last=i == len(self.lines) - 1)
            y -= line.height
            if i + 1 < len(self.lines):
                self._rule_between(line.row, self.lines[i + 1].row, y)
        if self.ends_ruled:
            rule(self.canv, 0, self.width, y, FOOT_RULE, RULE)

    def _draw_line(self, line: _Line, top: float, *, last: bool) -> None:
        if line.row.anchor:
            self.kit.trace.anchor(self.canv, line.row.anchor, top, line.row.anchor_title, RECORD_LEVEL)
        if self.kit.trace.measuring:
            return
        if line.row.kind == "result":
            self.canv.setFillColor(TINT)
            self.canv.rect(0, top - line.height, self.width, line.height, fill=1, stroke=0)
        for cell in line.cells:
            cell.draw(self.canv, top - line.above)

    def _rule_between(self, above: Row, below: Row, y: float) -> None:
        if below.kind in ("total", "result") or above.kind == "total":
            rule(self.canv, 0, self.width, y, HEAD_RULE, INK)
        elif above.kind == "group":
            rule(self.canv, 0, self.width, y, FOOT_RULE, RULE)
        elif below.kind not in ("note", "group"):
            rule(self.canv, 0, self.width, y, ROW_RULE, HAIR)


def table(
    kit: Kit, columns: Sequence[Column], rows: Iterable[Row | Sequence[CellContent]], *, head: bool = True,
    size: float = CELL_SIZE, pad: float = 2.1, empty: Content = "none", closed: bool = True,
) -> Table:  # fmt: skip
    """A table as wide as its place; open columns share what the others leave.

    Rows are sequences of cells or `Row`s; a cell is plain text, markup, a flowable or None. `empty` stands in
    the only row of a table without rows. Raises ValueError if a row has more cells than there are columns,
    and, when it is laid out, if the columns do not fit.
    """
    rows = [row if isinstance(row, Row) else Row(tuple(row)) for row in rows] or [Row((empty,), kind="note")]
    most = max(len(row.cells) for row in rows)
    if most > len(columns):
        raise ValueError(f"table row has {most} cells for {len(columns)} columns; leave some out")
    return Table(kit, columns, rows, Look(size, pad, head, closed))


def _widths(columns: Sequence[Column], width: float) -> list[float]:
    given = sum(column.width or 0 for column in columns)
    open_columns = sum(column.width is None for column in columns)
    left = width - given
    if left < -0.01 or (open_columns and left < 12 * open_columns):
        raise ValueError(
            f"table columns take {given:.1f} pt of {width:.1f} pt; make the given columns narrower"
        )
    return [left / open_columns if column.width is None else column.width for column in columns]


class _Builder:
    """Turns rows into measured lines."""

    def __init__(self, kit: Kit, columns: Sequence[Column], width: float, look: Look) -> None:
        self.kit, self.columns, self.size, self.pad = kit, columns, look.size, look.pad
        self.widths = widths = _widths(columns, width)
        self.lefts = [sum(widths[:i]) for i in range(len(widths) + 1)]

    def head(self) -> list[_Line]:
        cells = [
            self._cell(i, column.head, BOOK, HEAD_SIZE, quiet=True, lines=HEAD_LINES)
            for i, column in enumerate(self.columns)
        ]
        tallest = max((cell.height for cell in cells), default=0)
        for cell in cells:
            cell.drop = tallest - cell.height
        return [_Line(Row(()), cells, 0, self.pad + 0.6)]

    def body(self, rows: list[Row]) -> list[_Line]:
        rows = self._aligned(rows)
        following = [*rows[1:], None]
        return [self._line(row, below) for row, below in zip(rows, following, strict=True)]

    def _line(self, row: Row, below: Row | None) -> _Line:
        tied = row.together or row.kind == "group"
        tied = tied or (below is not None and below.kind in ("note", "total", "result"))
        row = replace(row, together=tied and below is not None)
        above = self.pad + 5 if row.kind == "group" else 0.4 if row.kind == "note" and row.start else self.pad
        return _Line(row, self._cells(row), above, self.pad)

    def _cells(self, row: Row) -> list[Cell]:
        if row.kind in ("group", "note"):
            left, content = self.lefts[row.start], row.cells[-1] if row.cells else ""
            room = self.lefts[-1] - left
            font, size = (BOLD, self.size) if row.kind == "group" else (BOOK, NOTE_SIZE)
            return [cell_for(self.kit, content, left, room, "l", font, size, quiet=row.kind == "note")]
        font = BOLD if row.kind in ("total", "result") else None
        return [
            self._cell(i, content, font) for i, content in enumerate(row.cells) if content not in (None, "")
        ]

    def _cell(
        self,
        i: int,
        content: CellContent,
        font: str | None = None,
        size: float | None = None,
        **options: object,
    ) -> Cell:
        column = self.columns[i]
        room = self.widths[i] - (column.gap if i + 1 < len(self.columns) or column.align == "l" else 0)
        size = size or column.size or self.size
        return cell_for(
            self.kit, content, self.lefts[i], room, column.align, font or column.font, size, **options
        )

    def _aligned(self, rows: list[Row]) -> list[Row]:
        """Decimal columns padded over all rows that have a plain string there."""
        cells = [list(row.cells) for row in rows]
        for i, column in enumerate(self.columns):
            if column.align != "d":
                continue
            places = [
                k for k, row in enumerate(rows)
                if row.kind not in ("group", "note") and i < len(row.cells) and _is_plain(row.cells[i])
            ]  # fmt: skip
            for k, padded in zip(places, dec([plain(cells[k][i]) for k in places]), strict=True):
                cells[k][i] = padded
        return [replace(row, cells=tuple(new)) for row, new in zip(rows, cells, strict=True)]


def _is_plain(content: CellContent) -> bool:
    return isinstance(content, str) and not isinstance(content, Markup)
