"""Text of the document: the one entry for strings from outside, marked-up pieces, numbers that line up.

A plain `str` is data and prints literally. A `Markup` was put together by the functions below from escaped
pieces. Whatever takes text takes both and passes a plain string through `text`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape

from dossier.release.page import LINK
from dossier.release.typefaces import BOLD, BOOK, MONO, OBLIQUE, visible

FIGURE_SPACE, PUNCTUATION_SPACE, NO_BREAK = "\u2007", "\u2008", "\u00a0"
MINUS = "\N{MINUS SIGN}"

_UNITS = (
    "kN|N⋅m|N·m|N·mm|N|mm²|mm³|mm⁴|mm|µm|m|MPa|GPa|kg|g|°C|K|Hz|s|min|h|d|EUR|kEUR|J|W|IRHD|pieces|parts|pc"
)
_HOLD = re.compile(
    rf"(?<=\d) (?=(?:{_UNITS})(?![\w])|%|°)"
    r"|(?<=±) (?=\d)|(?<=\d) (?=±)|(?<=[≤≥=<>]) (?=[\d−+])|(?<=\bn) (?==)|(?<=\b[A-Z]\.) (?=[A-Z])"
    r"|(?<=\bISO) (?=\d)|(?<=\bDIN) (?=\d)|(?<=\bEN) (?=\d)|(?<=\bVDI) (?=\d)|(?<=\b[Ss]heet) (?=\d)"
    r"|(?<=\b[Cc]heck) (?=\d)|(?<=\b[Pp]age) (?=\d)|(?<=\d) (?=\d{3}\b)"
)
_LINE_BREAKS = re.compile("\r\n|[\r\n\x0b\x0c\x85\u2028\u2029]")
_BREAKING_SPACES = re.compile("[\u202f\u2009\u200a\u2006]")
_RUN = re.compile(r"  +")
_NUMBER = re.compile(rf"[≤≥±]?[ \u00a0]?[+{MINUS}-]?[\d\u202f\u00a0 ]*\d(\.\d+)?([ \u00a0]?%)?")
_SUBSCRIPT = re.compile(r"(?<=[A-Za-zα-ωΑ-Ωϑϕ∆Δ])_\{?([A-Za-z0-9α-ω]+)\}?")
_SUPERSCRIPT = re.compile(r"\^(?:\(([^()]*)\)|([−-]?[\d.]+))")


class Markup(str):
    """Text with tags of ours, its data already escaped."""

    __slots__ = ()

    def __add__(self, other: str) -> Markup:
        return Markup(str(self) + str(text(other)))

    def __radd__(self, other: str) -> Markup:
        return Markup(str(text(other)) + str(self))

    @property
    def literal(self) -> str:
        """What a reader sees, without tags."""
        plain_text = re.sub(r"<[^>]*>", "", str(self).replace("<br/>", " "))
        return plain_text.replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&")


Content = str | Sequence[str]


def text(content: Content | object) -> Markup:
    """The one entry of strings into paragraphs: plain strings escaped, their lines kept, glyphs made visible.

    A sequence is joined without spaces. Numbers stay with their units, `±`, `≤` and `n =` with their numbers.
    """
    if isinstance(content, Markup):
        return content
    if isinstance(content, list | tuple):
        return Markup("".join(str(text(piece)) for piece in content))
    lines = [_hold(_spaces(visible(line))) for line in _LINE_BREAKS.split(str(content))]
    return Markup("<br/>".join(escape(line) for line in lines))


def plain(content: Content | object, font: str = BOOK) -> str:
    """The same for text drawn on one line: literal, no tags, line breaks as spaces."""
    if isinstance(content, list | tuple):
        content = "".join(plain(piece, font) for piece in content)
    value = content.literal if isinstance(content, Markup) else str(content)
    value = _LINE_BREAKS.sub(" ", value).replace("\t", " ").replace("\N{SOFT HYPHEN}", "")
    return visible(value, font)


def join(pieces: Iterable[Content], between: Content = ", ") -> Markup:
    """Pieces with `between` between them."""
    return Markup(str(text(between)).join(str(text(piece)) for piece in pieces))


def bold(content: Content) -> Markup:
    """Set bold."""
    return Markup(f"<b>{text(content)}</b>")


def oblique(content: Content) -> Markup:
    """Set oblique."""
    return Markup(f'<font name="{OBLIQUE}">{text(content)}</font>')


def mono(content: Content, size: float = 6.2) -> Markup:
    """Set in fixed width, for digests, names of files and commands."""
    return Markup(f'<font name="{MONO}" size="{size:g}">{_in_face(content, MONO)}</font>')


def coloured(content: Content, colour: str, *, heavy: bool = False) -> Markup:
    """In a colour given as #RRGGBB, bold on request."""
    face = f' name="{BOLD}"' if heavy else ""
    return Markup(f'<font color="{colour}"{face}>{text(content)}</font>')


def link(content: Content, key: str) -> Markup:
    """A link to an anchor's key inside the document; see `trace` for records."""
    return Markup(f'<a href="#{key}" color="{LINK}">{text(content)}</a>')


def subscript(content: Content, size: float = 5.6) -> Markup:
    """Lowered a little without opening the line."""
    return Markup(f'<sub rise="1.5" size="{size:g}">{text(content)}</sub>')


def superscript(content: Content, size: float = 5.6) -> Markup:
    """Raised a little without opening the line."""
    return Markup(f'<super rise="2.4" size="{size:g}">{text(content)}</super>')


def formula(source: str) -> Markup:
    """A symbol or formula as it is written in a working: R_pN, κ M_h + (1 − κ) M_s, x^1.5, d^(2 n)."""
    marked = str(text(source)).replace(" / ", f"{NO_BREAK}/ ")
    marked = _SUBSCRIPT.sub(lambda m: str(subscript(m[1])), marked)
    return Markup(_SUPERSCRIPT.sub(lambda m: str(superscript(Markup(m[1] or m[2]))), marked))


def grouped(digest: str, size: int = 4) -> str:
    """A digest in groups, so that it can be compared by eye."""
    return " ".join(digest[i : i + size] for i in range(0, len(digest), size))


def minus(number: str) -> str:
    """A formatted number with the true minus sign."""
    return number.replace("-", MINUS)


def signed(value: float, digits: int = 2) -> str:
    """A difference or margin with its sign, −0.00 as +0.00."""
    rounded = round(value, digits) + 0.0
    return ("+" if rounded >= 0 else MINUS) + f"{abs(rounded):.{digits}f}"


def dec(column: Sequence[str]) -> list[str]:
    """Right-aligned strings padded so that their decimal points stand under each other.

    Figure spaces stand in for missing decimals, a punctuation space for a missing point, so that the head of
    the column stays flush right. What is no number is left as it is.
    """
    places = [_places(entry) for entry in column]
    most = max((p for p in places if p is not None), default=0)
    percent = any(p is not None and entry.endswith("%") for entry, p in zip(column, places, strict=True))
    if not most or percent:
        return list(column)
    return [
        entry if p is None else entry + ("" if p else PUNCTUATION_SPACE) + FIGURE_SPACE * (most - p)
        for entry, p in zip(column, places, strict=True)
    ]


def _places(entry: str) -> int | None:
    if not isinstance(entry, str) or not _NUMBER.fullmatch(entry):
        return None
    return len(entry.partition(".")[2].rstrip("% \u00a0"))


def _hold(line: str) -> str:
    return _HOLD.sub(NO_BREAK, line)


def _spaces(line: str) -> str:
    line = _BREAKING_SPACES.sub(NO_BREAK, line.replace("\t", " "))
    return _RUN.sub(lambda run: NO_BREAK * (len(run[0]) - 1) + " ", line)


def _in_face(content: Content, font: str) -> Markup:
    if isinstance(content, Markup):
        return content
    return text(visible(content, font) if isinstance(content, str) else content)
