"""From lines of named pieces to strips of the toolkit: the only place where roles become colours.

A line is a list of pieces; a piece is text with a role (how it is coloured) and an area (what it stands on).
Widgets and sheets speak of roles only, so the appearance, NO_COLOR and plain glyphs need no thought there.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip

from screens.cells import CUT, cell_len, crop
from screens.glyphs import clean, one_minus, role_of, state_text, to_plain
from screens.palette import Appearance


class Piece(NamedTuple):
    """Text with the role that colours it; an empty area is that of the line it stands in."""

    text: str
    role: str = "ink"
    area: str = ""


# Characters of a text that can share one cell, combining marks included, before it is cut as noise.
MOST_PER_CELL = 8
Line = list[Piece]
LineLike = str | Piece | Sequence["str | Piece"]


def line(*parts: str | Piece | Iterable[str | Piece]) -> Line:
    """A line of strings (in ink), pieces and lists of them."""
    pieces: Line = []
    for part in parts:
        if isinstance(part, Piece):
            pieces.append(part)
        elif isinstance(part, str):
            pieces.append(Piece(part))
        else:
            pieces.extend(line(*part))
    return pieces


def text_of(pieces: Iterable[Piece]) -> str:
    """The bare text of a line."""
    return "".join(piece.text for piece in pieces)


def state(word: str) -> Piece:
    """Glyph and word of a state in its colour."""
    return Piece(state_text(word), role_of(word))


def fit(pieces: Iterable[Piece], columns: int) -> Line:
    """The pieces in exactly `columns` columns, cropped or filled with blanks of the line's area."""
    fitted: Line = []
    left = columns
    for piece in pieces:
        size = cell_len(piece.text)
        if size > left:
            piece, size = piece._replace(text=crop(piece.text, left)), left
        if piece.text:
            fitted.append(piece)
        left -= size
    if left > 0:
        fitted.append(Piece(" " * left))
    return fitted


def cut_line(pieces: LineLike, columns: int) -> Line:
    """The pieces in at most `columns` columns, the end replaced by "..." when they are longer."""
    parts = line(pieces) if isinstance(pieces, str | Piece) else line(*pieces)
    if sum(cell_len(piece.text) for piece in parts) <= columns:
        return parts
    kept: Line = []
    left = columns - len(CUT)
    for piece in parts:
        kept.append(piece._replace(text=crop(piece.text, left)))
        left -= cell_len(piece.text)
        if left <= 0:
            break
    return fit([*kept, Piece(CUT, kept[-1].role, kept[-1].area)], columns)


class Paint:
    """Turns pieces into styled strips for one appearance, with or without colour, rich or plain glyphs."""

    def __init__(self, appearance: Appearance, no_color: bool = False, plain: bool = False) -> None:
        self.appearance = appearance
        self.no_color = no_color
        self.plain = plain
        self._styles: dict[tuple[str, str], Style] = {}

    def style(self, role: str, area: str = "ground") -> Style:
        """Style of a role on an area; without colour the focus is reverse video and headings are bold."""
        key = role, area
        if key not in self._styles:
            self._styles[key] = self._make(role, area)
        return self._styles[key]

    def _make(self, role: str, area: str) -> Style:
        bold = role == "heading" or (self.no_color and role == "key")
        caret, struck = role == "caret", role == "struck"
        if self.no_color:
            return Style(bold=bold, strike=struck, reverse=caret != (area == "focus"))
        colour, back = self.appearance.text(role), self.appearance.area(area or "ground")
        if caret:
            colour, back = back, colour
        return Style(color=colour, bgcolor=back, bold=bold, strike=struck)

    def text(self, text: str) -> str:
        """`text` as it may be printed: cleaned of control characters, one minus sign, plain glyphs when these are on."""
        text = one_minus(clean(text))
        return to_plain(text) if self.plain else text

    def printable(self, pieces: LineLike, columns: int | None = None) -> Line:
        """The line's pieces as they may be printed, without what surely lies beyond `columns`."""
        parts = line(pieces) if isinstance(pieces, str | Piece) else line(*pieces)
        most = None if columns is None else MOST_PER_CELL * columns + 64
        return [piece._replace(text=self.text(piece.text[:most])) for piece in parts]

    def strip(self, pieces: LineLike, columns: int, area: str = "ground") -> Strip:
        """The line in exactly `columns` columns on `area`, printable whatever its text is."""
        segments = [
            Segment(piece.text, self.style(piece.role, piece.area or area))
            for piece in fit(self.printable(pieces, columns), columns)
        ]
        return Strip(segments, max(columns, 0))
