"""The vendored typefaces: registered on first use, asked for widths and for glyphs they lack."""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

BOOK, BOLD, OBLIQUE, MONO, LIGHT = (
    "DossierBook",
    "DossierBold",
    "DossierOblique",
    "DossierMono",
    "DossierLight",
)

FILES = {
    BOOK: "DejaVuSansCondensed.ttf",
    BOLD: "DejaVuSansCondensed-Bold.ttf",
    OBLIQUE: "DejaVuSansCondensed-Oblique.ttf",
    MONO: "DejaVuSansMono.ttf",
    LIGHT: "DejaVuSans-ExtraLight.ttf",
}
FOLDER = Path(__file__).parent / "fonts"
LONGEST_LINE = 1000  # characters; no line of the document holds more
REPLACEMENT = "\N{REPLACEMENT CHARACTER}"

_INVISIBLE = {"Cc", "Cf", "Cs", "Co", "Cn"}
_ALLOWED_FORMAT = {"\N{SOFT HYPHEN}"}


@cache
def register() -> None:
    """Make the five faces known to reportlab; some 0.3 s, once per process."""
    for name, file in FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(FOLDER / file)))
    pdfmetrics.registerFontFamily(BOOK, normal=BOOK, bold=BOLD, italic=OBLIQUE, boldItalic=BOLD)
    for name in (BOLD, OBLIQUE, MONO, LIGHT):
        pdfmetrics.registerFontFamily(name, normal=name, bold=name, italic=name, boldItalic=name)


@cache
def code_points(font: str) -> frozenset[int]:
    """Code points the face has a glyph for."""
    register()
    return frozenset(pdfmetrics.getFont(font).face.charToGlyph)


@cache
def text_code_points() -> frozenset[int]:
    """Code points that book, bold and oblique all have: safe wherever a sentence may be set."""
    return code_points(BOOK) & code_points(BOLD) & code_points(OBLIQUE)


def missing_glyphs(value: str, font: str | None = None) -> list[str]:
    """Characters of `value` that would print as nothing, each once, in order of appearance.

    Without a font: those that one of the three text faces lacks. Line breaks and tabs are set as space and
    are not missing; other control and format characters are, since a reader could not see them.
    """
    known = code_points(font) if font else text_code_points()
    return [
        c for c in dict.fromkeys(unicodedata.normalize("NFC", value)) if c not in "\n\r\t" and _lost(c, known)
    ]


def visible(value: str, font: str | None = None) -> str:
    """`value` in composed form, each character without a glyph replaced by one that can be seen."""
    value = unicodedata.normalize("NFC", value)
    missing = missing_glyphs(value, font)
    return value.translate({ord(c): REPLACEMENT for c in missing}) if missing else value


def _lost(character: str, known: frozenset[int]) -> bool:
    if character in _ALLOWED_FORMAT:
        return False
    return ord(character) not in known or unicodedata.category(character) in _INVISIBLE


def width(value: str, font: str, size: float) -> float:
    """Width in points of `value` set on one line."""
    register()
    return pdfmetrics.stringWidth(value, font, size)


def shrink(value: str, font: str, size: float, room: float, smallest: float) -> tuple[str, float]:
    """Text and size that fit `room`: smaller type first, down to `smallest`, then cut with an ellipsis."""
    natural = width(value[:LONGEST_LINE], font, size)
    if len(value) <= LONGEST_LINE and natural <= room:
        return value, size
    size = max(smallest, size * room / natural)
    return cut(value, font, size, room), size


def cut(value: str, font: str, size: float, room: float) -> str:
    """`value`, or as much of it as fits `room` with an ellipsis at its end."""
    room += 1e-3
    if len(value) <= LONGEST_LINE and width(value, font, size) <= room:
        return value
    low, high = 0, min(len(value), LONGEST_LINE)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if width(value[:middle] + "…", font, size) <= room else (low, middle - 1)
    return value[:low].rstrip() + "…"


def face_for(value: str, wanted: str) -> str:
    """The wanted face, or book where it lacks a glyph of `value`."""
    return wanted if not missing_glyphs(value, wanted) else BOOK
