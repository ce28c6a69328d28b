"""Rows of text → float64 columns: the fast path for clean blocks and the spelling of single numbers."""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import dataclass

import numpy as np

from dossier.evidence.clock import seconds
from dossier.evidence.columnar import parse_columnar

BLANKS = " "
_NUMBER = {
    ",": re.compile(r"[+\-]?(?:\d+(?:,\d*)?|,\d+)(?:[eE][+\-]?\d+)?", re.ASCII),
    ".": re.compile(r"[+\-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+\-]?\d+)?", re.ASCII),
}
_GROUPED = {
    ",": re.compile(r"[+\-]?\d{1,3}(?:(?:\.\d{3})*,\d+|(?:['’\u00a0\u202f]\d{3})+(?:,\d+)?)", re.ASCII),
    ".": re.compile(r"[+\-]?\d{1,3}(?:(?:,\d{3})*\.\d+|(?:['’\u00a0\u202f]\d{3})+(?:\.\d+)?)", re.ASCII),
}
_MARKS_OF_GROUPS = re.compile(r"['’\u00a0\u202f]")
_THOUSANDS = re.compile(r"[+\-−]?\d{1,3}(?:([ .,'’\u00a0\u202f])\d{3})+(?:[.,]\d+)?")
_GAPS = frozenset(("", "-", "--", "---", "nan", "na", "n/a", "#n/a", "null", "none", "inf", "+inf", "-inf",
                   "infinity", "1.#qnan", "1.#inf", "-1.#ind", "-nan(ind)", "?", "*", "***"))  # fmt: skip
_QUOTED = re.compile(r'"([^"]*)"|(\S+)')
_UNIT_SEPARATOR = b"\x1f"
MARKS = {",": "decimal comma", ".": "decimal point"}


@dataclass(frozen=True)
class RowForm:
    """One row of the table: delimiter (" " = any blanks), decimal mark, number of fields, needed fields (from
    0).

    `trailing` says that each row ends with a delimiter that opens no further field, `thousands` that numbers
    are grouped by thousands, `clocks` which fields hold the time of day.
    """

    delimiter: str
    decimal: str
    fields: int
    needed: tuple[int, ...]
    trailing: bool = False
    thousands: bool = False
    clocks: tuple[int, ...] = ()

    def read(self, fields: list[str], place: int) -> float | None:
        """The number or the time in field `place`, None if there is none."""
        if place in self.clocks:
            return seconds(fields[place])
        return value(fields[place], self.decimal, self.thousands)


def split_fields(line: str, delimiter: str) -> list[str]:
    """The fields of a line, stripped; quotes of CSV are understood."""
    if delimiter == BLANKS:
        return line.split() if '"' not in line else [(quoted or plain).strip() for quoted, plain in _QUOTED.findall(line)]
    if '"' in line:
        try:
            return [field.strip() for field in next(csv.reader([line], delimiter=delimiter), [])]
        except csv.Error:
            pass
    return [field.strip() for field in line.split(delimiter)]


def is_number(text: str, decimal: str) -> bool:
    """Whether `text` is one finite number with the given decimal mark, grouped by thousands or not."""
    return value(text, decimal) is not None or grouped(text, decimal) is not None


def grouped(text: str, decimal: str) -> float | None:
    """The number whose thousands are told apart: "1.234,5", "1'234". Without a decimal mark a point or a comma
    could be either mark, so that "1.234" is none."""
    plain = text.replace("−", "-")
    if not _GROUPED[decimal].fullmatch(plain):
        return None
    return value(_MARKS_OF_GROUPS.sub("", plain).replace("." if decimal == "," else ",", ""), decimal)


def value(text: str, decimal: str, thousands: bool = False) -> float | None:
    """The finite number written as `text` (a true minus sign is understood), None if it is none.

    `thousands`: numbers of four digits and more are grouped, so that one that is not is none.
    """
    plain = text.replace("−", "-")
    if thousands and (found := grouped(text, decimal)) is not None:
        return found
    if thousands and len(plain.lstrip("+-").partition(decimal)[0]) > 3 and "e" not in plain.lower():
        return None
    if not plain.isascii() or not _NUMBER[decimal].fullmatch(plain):
        return None
    number = float(plain.replace(",", ".") if decimal == "," else plain)
    return number if math.isfinite(number) else None


def is_gap(text: str) -> bool:
    """Whether a field says "no value"."""
    return text.lower() in _GAPS


def complaint(text: str, decimal: str) -> str:
    """Why `text` is not a number and what was expected."""
    other = "." if decimal == "," else ","
    if _NUMBER[other].fullmatch(text):
        return (
            f"has a {MARKS[other]}, the file's mark is the {MARKS[decimal]}; "
            f"expected one mark throughout; mixed marks cannot be read safely: export again with one"
        )
    if _THOUSANDS.fullmatch(text):
        return f"has thousands separators; expected {MARKS[decimal]} only; export without them"
    return f"is not a number; expected {MARKS[decimal]}, one per field"


def parse_fast(block: bytes, form: RowForm) -> np.ndarray | None:
    """The needed columns of a clean block, (rows, needed) float64; None if any line needs a closer look."""
    if form.thousands:
        return None
    text = block.replace(b"\r\n", b"\n") if b"\r" in block else block
    if not text.endswith(b"\n"):
        text += b"\n"
    if b"\r" in text or text.isspace():
        return None
    delimiter = form.delimiter.encode("ascii")
    if form.trailing:
        text = text.replace(delimiter + b"\n", b"\n")
    if b'"' in text:
        text, delimiter = _unquoted(text, delimiter), _UNIT_SEPARATOR
    if form.decimal == "," and b"." in text or form.decimal == "." and delimiter != b"," and b"," in text:
        return None
    if text and (rows := parse_columnar(text, delimiter, form)) is not None:
        return rows
    if form.decimal == ",":
        text = text.replace(b",", b".")
    if not text or not _regular(text, delimiter, form.fields):
        return None
    try:
        rows = np.loadtxt(
            io.BytesIO(text),
            delimiter=None if delimiter == b" " else delimiter.decode("ascii"),
            usecols=form.needed,
            comments=None,
            ndmin=2,
            converters={place: _clock for place in form.clocks} or None,
        )
    except ValueError:
        return None
    return rows if len(rows) == text.count(b"\n") and np.isfinite(rows).all() else None


def _clock(text: str) -> float:
    found = seconds(text)
    return math.nan if found is None else found


def _unquoted(text: bytes, delimiter: bytes) -> bytes:
    """Rows in which every field is in quotes, with a delimiter of their own; b"" for any other text."""
    bare = text.replace(b'"' + delimiter + b'"', _UNIT_SEPARATOR).replace(b'"\n"', b"\n")
    if delimiter == b" " or _UNIT_SEPARATOR in text or not (text.startswith(b'"') and text.endswith(b'"\n')):
        return b""
    bare = bare[1:-2] + b"\n"
    return b"" if b'"' in bare else bare


def _regular(text: bytes, delimiter: bytes, fields: int) -> bool:
    """Whether every line has exactly `fields` fields."""
    characters = np.frombuffer(text, np.uint8)
    ends = characters == 10
    if delimiter == b" ":
        blank = characters <= 32
        starts = ~blank & np.concatenate(([True], blank[:-1]))
        per_line = np.diff(np.cumsum(starts)[ends], prepend=0)
        return bool((per_line == fields).all())
    marks = characters[(characters == delimiter[0]) | ends]
    if marks.size % fields:
        return False
    table = marks.reshape(-1, fields)
    return bool((table[:, -1] == 10).all() and (table[:, :-1] == delimiter[0]).all())
