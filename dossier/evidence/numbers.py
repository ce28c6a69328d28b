"""How a row is written, and the spelling of single numbers."""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass

from dossier.evidence.clock import seconds

BLANKS = " "
_NUMBER = {
    ",": re.compile(r"[+\-]?(?:\d+(?:,\d*)?|,\d+)(?:[eE][+\-]?\d+)?", re.ASCII),
    ".": re.compile(r"[+\-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+\-]?\d+)?", re.ASCII),
}
GROUPED = {
    ",": re.compile(r"[+\-]?\d{1,3}(?:(?:\.\d{3})*,\d+|(?:['’ \u00a0\u202f]\d{3})+(?:,\d+)?)", re.ASCII),
    ".": re.compile(r"[+\-]?\d{1,3}(?:(?:,\d{3})*\.\d+|(?:['’ \u00a0\u202f]\d{3})+(?:\.\d+)?)", re.ASCII),
}
MARKS_OF_GROUPS = re.compile(r"['’ \u00a0\u202f]")
_THOUSANDS = re.compile(r"[+\-−]?\d{1,3}(?:([ .,'’\u00a0\u202f])\d{3})+(?:[.,]\d+)?")
_GAPS = frozenset(("", "-", "--", "---", "nan", "na", "n/a", "#n/a", "null", "none", "inf", "+inf", "-inf",
                   "infinity", "1.#qnan", "1.#inf", "-1.#ind", "-nan(ind)", "?", "*", "***"))  # fmt: skip
_QUOTED = re.compile(r'"([^"]*)"|(\S+)')
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
    if not GROUPED[decimal].fullmatch(plain):
        return None
    return value(MARKS_OF_GROUPS.sub("", plain).replace("." if decimal == "," else ",", ""), decimal)


def shows_groups(text: str, decimal: str) -> bool | None:
    """Whether the thousands of a number are grouped; None for one that does not show it."""
    plain = text.replace("−", "-")
    whole = plain.lstrip("+-").partition(decimal)[0]
    if len(whole) < 4 or "e" in plain.lower():
        return None
    return not whole.isdigit()


def value(text: str, decimal: str, thousands: bool = False) -> float | None:
    """The finite number written as `text` (a true minus sign is understood), None if it is none.

    `thousands`: numbers may be grouped by thousands.
    """
    plain = text.replace("−", "-")
    if thousands and (found := grouped(text, decimal)) is not None:
        return found
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
    if _NUMBER[decimal].fullmatch(text):
        return "is larger than any number that can be held; expected a measured value; look at the line in the file"
    if _NUMBER[other].fullmatch(text):
        return (
            f"has a {MARKS[other]}, the file's mark is the {MARKS[decimal]}; "
            f"expected one mark throughout; mixed marks cannot be read safely: export again with one"
        )
    if _THOUSANDS.fullmatch(text):
        return f"has thousands separators; expected {MARKS[decimal]} only; export without them"
    return f"is not a number; expected {MARKS[decimal]}, one per field"
