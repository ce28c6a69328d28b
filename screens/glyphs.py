"""Glyphs of the states, the plain-glyph form of every house symbol, and the one door for user text.

Whatever a person or a file wrote is data: `plain` hands it to the toolkit as content without markup, and `clean`
makes control characters visible instead of letting them reach the terminal.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from textual.content import Content

from screens.cells import cell_len


@dataclass(frozen=True)
class Glyph:
    """A state's mark: `glyph`, its form in plain mode, and the role that colours it."""

    glyph: str
    plain: str
    role: str


STATES: dict[str, Glyph] = {
    "met": Glyph("✓", "v", "met"),
    "not met": Glyph("✗", "x", "notmet"),
    "undecided": Glyph("?", "?", "undecided"),
    "open": Glyph("▫", "o", "open"),
    "outdated": Glyph("∆", "d", "outdated"),
    "conceded": Glyph("~", "~", "conceded"),
}
# A step's mark says whether it holds, is broken, has a failed check, or simply is not there yet.
STEP_STATES: dict[str, str] = {
    "closed": "met", "reopened": "outdated", "not met": "not met", "in work": "open", "ready": "open",
    "waiting": "open",
}
# A result by its freshness.
OF_FRESHNESS: dict[str, str] = {
    "current": "met", "newer method available": "met", "outdated": "outdated", "failed": "not met", "open": "open",
}
POINT, DIAMETER, CURSOR, MINE, OTHERS, MARKED = "⋅", "⌀", ">", "*", "+", "|"

MOST_IN_DRAWING = 500

# Symbols of ambiguous width, or outside ASCII, that the house itself prints, with their plain form.
PLAIN_FORM: dict[str, str] = {
    "✓": "v", "✗": "x", "▫": "o", "∆": "d", "⋅": ".", "⌀": "d", "─": "-", "│": "|", "├": "|", "└": "`", "┌": ".",
    "┐": ".", "┘": "'", "┼": "+", "┤": "|", "┬": "+", "┴": "+", "┃": "#", "░": ":", "▐": "|", "±": "+/-",
    "°": "deg", "√": "sqrt", "¹": "^1", "²": "^2", "³": "^3", "⁴": "^4", "×": "x", "·": ".", "≤": "<=", "≥": ">=",
    "≈": "~", "→": "->", "←": "<-", "…": "...", "–": "-", "—": "-", "‘": "'", "’": "'", "“": '"',
    "”": '"', "µ": "u", "Ø": "d", "∞": "inf",
}
_PLAIN_TABLE = str.maketrans(PLAIN_FORM)
# C0 and C1 controls, soft hyphen, line and paragraph separators, marks that reorder text, and lone surrogates.
_UNSAFE = re.compile("[\x00-\x1f\x7f-\x9f\xad\u061c\u200e\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff]")


def clean(value: object, keep_lines: bool = False) -> str:
    r"""Text of `value` with every control or reordering character written out, such as ``\x1b``.

    Line ends and tabs become one space, or stay line ends with `keep_lines`.
    """
    text = value if isinstance(value, str) else str(value)
    if not _UNSAFE.search(text):
        return text
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " ")
    return _UNSAFE.sub(lambda found: _visible(found.group(), keep_lines), text)


def _visible(character: str, keep_lines: bool) -> str:
    if character == "\n":
        return "\n" if keep_lines else " "
    code = ord(character)
    return f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}"


def plain(value: object) -> Content:
    """The one way user text enters a widget of the toolkit: literal content, never markup, no control characters."""
    return Content(clean(value, keep_lines=True))


def one_minus(text: str) -> str:
    """`text` with the hyphen as minus sign: the printed document's own sign is of ambiguous width in a terminal."""
    return text.replace("−", "-")


def to_plain(text: str) -> str:
    """`text` with the house's symbols in their plain form; letters of names stay as they were written."""
    return text if text.isascii() else text.translate(_PLAIN_TABLE)


def grid_text(value: object, in_plain_glyphs: bool) -> str:
    """Text for a drawing, where each character has one cell: characters that are wider or none become `?`."""
    text = one_minus(clean(str(value)[:MOST_IN_DRAWING]))
    text = to_plain(text) if in_plain_glyphs else text
    return text if text.isascii() else "".join(letter if cell_len(letter) == 1 else "?" for letter in text)


def ambiguous(text: str) -> list[str]:
    """Characters of `text` whose width a terminal may take as one or two columns (East Asian Width A)."""
    return [character for character in text if unicodedata.east_asian_width(character) == "A"]


def state_text(state: str) -> str:
    """Glyph and word, as narrow columns print a state: "✓ met"."""
    return f"{STATES[state].glyph} {state}"


def role_of(state: str) -> str:
    """Role that colours a state word; quiet for words that are no state."""
    return STATES[state].role if state in STATES else "quiet"


def step_marks(states: Sequence[str], spaced: bool = False) -> str:
    """The steps of the title block, digit before glyph: `1✓2✓3∆4✗5▫6▫`. Raises KeyError for an unknown state."""
    marks = [f"{number}{STATES[STEP_STATES[state]].glyph}" for number, state in enumerate(states, 1)]
    return (" " if spaced else "").join(marks)


def plain_by_default(environment: Mapping[str, str]) -> bool:
    """Whether the locale is Chinese, Japanese or Korean, where ambiguous symbols are often drawn two columns wide."""
    locale = environment.get("LC_ALL") or environment.get("LC_CTYPE") or environment.get("LANG") or ""
    return locale[:2].lower() in ("zh", "ja", "ko")
