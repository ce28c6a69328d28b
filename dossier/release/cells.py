"""Cells of a table: one line of text where it fits, a paragraph where it does not, or any flowable."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reportlab.platypus import Flowable, Paragraph

from dossier.release.kit import ENDLESS, Kit
from dossier.release.page import INK, QUIET
from dossier.release.pen import write
from dossier.release.text import Content, Markup, plain, text
from dossier.release.typefaces import BOLD, width

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

LEADING = 1.3
SHORT = 200  # characters; longer strings are set as paragraphs without measuring


class Cell:
    """Content at a place in its row: left edge, height, and `drop` below the row's upper edge."""

    def __init__(self, left: float, room: float, height: float) -> None:
        self.left, self.room, self.height, self.drop = left, room, height, 0.0

    def draw(self, canvas: Canvas, top: float) -> None:
        """Draw with the upper edge at `top`."""

    def split(self, height: float) -> tuple[Cell, Cell]:
        """The part that fits `height`, and the rest."""
        return self, Cell(self.left, self.room, 0)


class LineCell(Cell):
    """One line of literal text."""

    def __init__(
        self, left: float, room: float, line: str, align: str, font: str, size: float, *, quiet: bool
    ) -> None:
        super().__init__(left, room, size * LEADING)
        self.line, self.align, self.font, self.size, self.quiet = line, align, font, size, quiet

    def draw(self, canvas: Canvas, top: float) -> None:
        align = "r" if self.align == "d" else self.align
        x = self.left + {"l": 0, "r": self.room, "c": self.room / 2}[align]
        y = top - self.drop - self.size
        write(canvas, x, y, self.line, self.font, self.size, QUIET if self.quiet else INK, align)


class FlowableCell(Cell):
    """A paragraph, a mark, a stack."""

    def __init__(self, left: float, room: float, content: Flowable, align: str = "l") -> None:
        self.content, self.align = content, align
        is_text = isinstance(content, Paragraph)
        self.sink = _sink(content) if is_text else 0.0
        taken, height = content.wrap(room, ENDLESS)
        super().__init__(left, room, height)
        self.shift = 0.0 if is_text else {"l": 0, "c": (room - taken) / 2}.get(align, room - taken)

    def draw(self, canvas: Canvas, top: float) -> None:
        self.content.drawOn(canvas, self.left + self.shift, top - self.drop - self.sink - self.height)

    def split(self, height: float) -> tuple[Cell, Cell]:
        if self.height <= height:
            return self, Cell(self.left, self.room, 0)
        parts = self.content.split(self.room, height)
        if len(parts) != 2:
            return Cell(self.left, self.room, 0), self
        return tuple(FlowableCell(self.left, self.room, part, self.align) for part in parts)


def cell_for(
    kit: Kit, content: Content | Flowable | None, left: float, room: float, align: str, font: str, size: float,
    *, quiet: bool = False, lines: int | None = None,
) -> Cell:  # fmt: skip
    """The simplest cell that holds the content, cut after so many lines if `lines` is given."""
    if content is None:
        return Cell(left, room, 0)
    if isinstance(content, Flowable):
        return FlowableCell(left, room, content, align)
    if _is_one_line(content):
        line = plain(content, font)
        if width(line, font, size) <= room:
            return LineCell(left, room, line, align, font, size, quiet=quiet)
    changes = {
        "fontName": font,
        "fontSize": size,
        "leading": size * LEADING,
        "textColor": QUIET if quiet else INK,
    }
    if font == BOLD and isinstance(content, Markup):
        content = Markup(f"<b>{content}</b>")
    if lines is not None:
        paragraph = kit.clipped(content, "cell", room, lines, align=align, **changes)[0]
    else:
        paragraph = kit.paragraph(text(content), "cell", align=align, **changes)
    return FlowableCell(left, room, paragraph, align)


def _sink(paragraph: Paragraph) -> float:
    """Puts smaller type, as a digest, on the baseline of the row: paragraphs begin at their own size."""
    sizes = [f.fontSize for f in paragraph.frags if hasattr(f, "fontSize")]
    return max(paragraph.style.fontSize - max(sizes, default=paragraph.style.fontSize), 0.0)


def _is_one_line(content: Content) -> bool:
    if isinstance(content, Markup) or not isinstance(content, str):
        return False
    return len(content) <= SHORT and "\n" not in content
