"""A picture of a running app, drawn cell by cell, for looking at during development.

The toolkit's own SVG export lets braille drift; here each cell is drawn where a terminal draws it.
"""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw, ImageFont
from rich.cells import cell_len
from rich.color import Color
from rich.segment import Segment
from rich.style import Style
from textual.app import App

from tests.screens.look import rows_of

WIDTH, HEIGHT = 10, 20
FONTS = Path(__file__).parents[2] / "dossier" / "release" / "fonts"
DEFAULT_INK, DEFAULT_GROUND = (220, 220, 220), (12, 12, 12)
BRAILLE_DOTS = ((0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3))


def draw(app: App, path: Path | str) -> None:
    """Write the app's screen to a PNG file."""
    draw_rows(rows_of(app), path)


def draw_rows(rows: list[list[Segment]], path: Path | str) -> None:
    """Write rows of segments to a PNG file."""
    columns = max(sum(cell_len(segment.text) for segment in row) for row in rows)
    image = Image.new("RGB", (columns * WIDTH, len(rows) * HEIGHT), DEFAULT_GROUND)
    pen = ImageDraw.Draw(image)
    font = ImageFont.truetype(str(FONTS / "DejaVuSansMono.ttf"), 16)
    for y, row in enumerate(rows):
        x = 0
        for segment in row:
            for character in segment.text:
                size = cell_len(character)
                _cell(pen, font, x * WIDTH, y * HEIGHT, size, character, segment.style or Style())
                x += size
    image.save(path)


def _cell(pen, font, x: int, y: int, size: int, character: str, style: Style) -> None:
    ink, ground = _colour(style.color, DEFAULT_INK), _colour(style.bgcolor, DEFAULT_GROUND)
    if style.reverse:
        ink, ground = ground, ink
    if size:
        pen.rectangle((x, y, x + size * WIDTH - 1, y + HEIGHT - 1), fill=ground)
    code = ord(character)
    if 0x2800 <= code < 0x2900:
        for bit, (column, line) in enumerate(BRAILLE_DOTS):
            if code >> bit & 1:
                left, top = x + 1 + column * 5, y + 1 + line * 5
                pen.ellipse((left, top, left + 2, top + 2), fill=ink)
        return
    if character in "─│┃┼┌┐└┘":
        _rule(pen, x, y, character, ink)
        return
    pen.text((x, y), character, font=font, fill=ink)
    if style.bold:
        pen.text((x + 1, y), character, font=font, fill=ink)
    if style.strike:
        pen.line((x, y + HEIGHT // 2, x + WIDTH * size, y + HEIGHT // 2), fill=ink)


def _rule(pen, x: int, y: int, character: str, ink: tuple[int, int, int]) -> None:
    middle, across, width = x + WIDTH // 2, y + HEIGHT // 2, 3 if character == "┃" else 1
    if character in "─┼┐┘":
        pen.line((x, across, middle, across), fill=ink)
    if character in "─┼┌└":
        pen.line((middle, across, x + WIDTH, across), fill=ink)
    if character in "│┃┼└┘":
        pen.line((middle, y, middle, across), fill=ink, width=width)
    if character in "│┃┼┌┐":
        pen.line((middle, across, middle, y + HEIGHT), fill=ink, width=width)


def _colour(colour: Color | None, otherwise: tuple[int, int, int]) -> tuple[int, int, int]:
    if colour is None or colour.is_default:
        return otherwise
    return tuple(colour.get_truecolor())  # type: ignore[return-value]
