"""Columns of a list: widths, alignment and heads, with one column taking what the others leave."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from screens.cells import at_point, cell_len, pad
from screens.paint import Line, LineLike, Piece, cut_line, line


@dataclass(frozen=True)
class Column:
    """One column: `width` in cells (0 = what is left), `align` left, right or point, `gap` blanks after it.

    With `align="point"` the last `after` cells of the column are for the decimal point and what follows it.
    """

    title: str
    width: int
    align: str = "left"
    after: int = 0
    gap: int = 2


def fitted(columns: Sequence[Column], room: int) -> list[Column]:
    """The columns with every width known: those of width 0 share what is left of `room`.

    When even the fixed columns do not fit, the last ones are narrowed, then left out.
    """
    fixed = sum(column.width for column in columns) + sum(column.gap for column in columns[:-1])
    free = [index for index, column in enumerate(columns) if column.width == 0]
    result = list(columns)
    for number, index in enumerate(free):
        share = max((room - fixed) // len(free), 0)
        share += max(room - fixed, 0) % len(free) if number == 0 else 0
        result[index] = replace(columns[index], width=max(share, 6))
    return _within(result, room)


def _within(columns: list[Column], room: int) -> list[Column]:
    kept, used = [], 0
    for column in columns:
        if used + 2 > room:
            break
        kept.append(replace(column, width=min(column.width, room - used)))
        used += column.width + column.gap
    return kept


def cell(content: LineLike, column: Column) -> Line:
    """Content of one cell in exactly the column's width."""
    pieces = line(content) if isinstance(content, str | Piece) else line(*content)
    if column.align == "point" and len(pieces) == 1:
        text = at_point(pieces[0].text, column.width - column.after, column.after)
        return [pieces[0]._replace(text=text)]
    pieces = cut_line(pieces, column.width)
    blank = column.width - sum(cell_len(piece.text) for piece in pieces)
    if blank <= 0:
        return pieces
    filler = Piece(" " * blank, pieces[0].role if pieces else "ink")
    return [*pieces, filler] if column.align == "left" else [filler, *pieces]


def cells_line(contents: Sequence[LineLike], columns: Sequence[Column]) -> Line:
    """One row of cells; contents beyond the columns are left out."""
    pieces: Line = []
    for content, column in zip(contents, columns, strict=False):
        pieces += cell(content, column)
        pieces.append(Piece(" " * column.gap))
    return pieces[:-1]


def head_line(columns: Sequence[Column]) -> Line:
    """The column titles, aligned as their columns are."""
    pieces: Line = []
    for column in columns:
        align = "left" if column.align == "left" else "right"
        pieces += [Piece(pad(column.title, column.width, align), "heading"), Piece(" " * column.gap)]
    return pieces[:-1]
