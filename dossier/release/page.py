"""Page sizes, colours, line weights and paragraph styles of the release document; all lengths in points."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from reportlab.lib.colors import Color, HexColor
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm

from dossier.release.typefaces import BOLD, BOOK, MONO

INK, QUIET, RULE, HAIR = HexColor("#1E2A2F"), HexColor("#4B5757"), HexColor("#8B9899"), HexColor("#C5CCCC")
TINT, BAND, PAPER = HexColor("#F1F0EC"), HexColor("#E9EBE8"), HexColor("#FFFFFF")
LINK = "#744C1D"

OUTLINE, THIN, HATCH, LEADER, CHART = 1.0, 0.5, 0.25, 0.25, 0.6
SHEET_RULE, HEAD_RULE, FOOT_RULE, ROW_RULE = 1.4, 0.7, 0.5, 0.3
CHAIN = (9, 2, 1.2, 2)

SIZES = MappingProxyType({"a4": ("A4", A4), "letter": ("Letter", LETTER)})


@dataclass(frozen=True)
class Page:
    """Geometry of one page size, "a4" or "letter"; x to the right, y upwards from the lower left corner.

    A filing margin on the left, a margin column with its gutter, the main column; a title block at the
    bottom edge. `main` is the width of the main column, `full` that of both columns.
    """

    size: str

    filing = 20 * mm
    right = 12 * mm
    top = 15 * mm
    bottom = 8 * mm
    block = 16 * mm
    gap = 4 * mm
    side = 30 * mm
    gutter = 4 * mm
    head = 11 * mm

    def __post_init__(self) -> None:
        if self.size not in SIZES:
            raise ValueError(
                f'page.size = "{self.size}" must be one of {", ".join(SIZES)}; choose one of them'
            )

    @property
    def name(self) -> str:
        """The size as printed in the title block."""
        return SIZES[self.size][0]

    @property
    def paper(self) -> tuple[float, float]:
        """Width and height of the paper."""
        return SIZES[self.size][1]

    @property
    def width(self) -> float:
        """Width of the paper."""
        return self.paper[0]

    @property
    def full(self) -> float:
        """Width of margin column, gutter and main column together."""
        return self.width - self.filing - self.right

    @property
    def indent(self) -> float:
        """From the left edge of the margin column to that of the main column."""
        return self.side + self.gutter

    @property
    def main(self) -> float:
        """Width of the main column."""
        return self.full - self.indent

    @property
    def left(self) -> float:
        """Left edge of the margin column."""
        return self.filing

    @property
    def main_left(self) -> float:
        """Left edge of the main column."""
        return self.filing + self.indent

    @property
    def frame_bottom(self) -> float:
        """Lower edge of the area for content."""
        return self.bottom + self.block + self.gap

    @property
    def frame_top(self) -> float:
        """Upper edge of the area for content."""
        return self.paper[1] - self.top

    @property
    def height(self) -> float:
        """Height of the area for content."""
        return self.frame_top - self.frame_bottom

    @property
    def must_split(self) -> float:
        """Content taller than this is split wherever it stands, since no page would hold it with its head."""
        return self.height - 60


@cache
def styles() -> MappingProxyType[str, ParagraphStyle]:
    """The paragraph styles by name: font, size and leading, colour."""
    table = {
        "title": (BOLD, 21, 25, INK),
        "sheet": (BOLD, 15, 19, INK),
        "answer": (BOLD, 11.5, 15.5, INK),
        "lead": (BOOK, 10, 14.5, INK),
        "question": (BOOK, 9.4, 12, QUIET),
        "caution": (BOLD, 9, 12, INK),
        "body": (BOOK, 8.4, 12, INK),
        "side_head": (BOLD, 8.4, 11, INK),
        "side": (BOOK, 6.7, 9, QUIET),
        "cell": (BOOK, 7.4, 9.6, INK),
        "small": (BOOK, 7.2, 9.6, INK),
        "caption": (BOOK, 7.2, 9.6, QUIET),
        "note": (BOOK, 6.7, 9, QUIET),
        "code": (MONO, 6.6, 10, INK),
        "label": (BOLD, 7.2, 9, INK),
        "sublabel": (BOOK, 6.7, 8.5, QUIET),
    }
    spacing = {"lead": (0, 4), "body": (0, 3), "caption": (2, 4)}
    return MappingProxyType({
        name: _style(name, font, size, leading, colour, *spacing.get(name, (0, 0)))
        for name, (font, size, leading, colour) in table.items()
    })  # fmt: skip


def _style(
    name: str, font: str, size: float, leading: float, colour: Color, before: float, after: float
) -> ParagraphStyle:
    return ParagraphStyle(
        name, fontName=font, fontSize=size, leading=leading, textColor=colour, spaceBefore=before,
        spaceAfter=after, bulletFontName=font, allowWidows=0, allowOrphans=0,
    )  # fmt: skip
