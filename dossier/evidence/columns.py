"""Small tables with text among the numbers: one row a specimen or an inspection, one name a column."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from dossier import units
from dossier.evidence.channels import bare_unit, is_unit, split_unit
from dossier.evidence.encoding import head_lines, opened, size_of
from dossier.evidence.errors import EvaluationError, UnreadableFile, quoted, where
from dossier.evidence.numbers import BLANKS, complaint, grouped, is_gap, is_number, split_fields, value

_LARGEST = 8 << 20
_DELIMITERS = (";", "\t", "|", ",", BLANKS)
_WORD = re.compile(r"[^\W\d_]")
_COMMENT = re.compile(r"^\s*(?:#+|%+|//+) *")
_COMPOUND = re.compile(r"^(.+?)(?:\s+in\s+|\s+/\s+|_|\s*,\s+)(\S+/\S+)$")
_DIGITS = re.compile(r"\d")
_BRACKETED = re.compile(r"^(.*?)\s*[\[(]\s*([^\[\]()]+?)\s*[\])]$")
_MARKED = re.compile(r"^(?:[>≥]\s*(.*\d)|(.*\d)\s*[+*])$")


@dataclass(frozen=True)
class NamedColumn:
    """One column: name and unit as written ("" if none), its texts, line numbers in the file."""

    name: str
    unit: str
    texts: tuple[str, ...]
    lines: tuple[int, ...]
    decimal: str
    number: int
    file: str

    @property
    def numeric(self) -> bool:
        """Whether more than half of the fields that say anything are numbers."""
        filled = [text for text in self.texts if not is_gap(text)]
        return 2 * sum(_figure(text, self.decimal) is not None for text in filled) > len(filled)

    @property
    def numbers(self) -> list[float | None]:
        """The numbers, None for a gap; UnreadableFile names the first field that is none."""
        found: list[float | None] = []
        for text, line in zip(self.texts, self.lines, strict=True):
            number = None if is_gap(text) else _figure(text, self.decimal)
            if number is None and not is_gap(text):
                place = where(self.file, line, self.number)
                raise UnreadableFile(f"{place}: {quoted(text)} {complaint(text, self.decimal)}")
            found.append(number)
        return found

    @property
    def marked(self) -> list[bool]:
        """Which numbers carry a + or * behind them or a > before them (a specimen stopped before failure)."""
        return [bool(_MARKED.match(text)) for text in self.texts]

    def called(self, words: Sequence[str]) -> bool:
        """Whether one of `words` is part of the name."""
        lowered = self.name.casefold()
        return any(word in lowered for word in words)


@dataclass(frozen=True)
class NamedTable:
    """The columns of a file, all of one length."""

    file: str
    columns: tuple[NamedColumn, ...]

    @property
    def rows(self) -> int:
        """Number of rows."""
        return len(self.columns[0].texts)

    def first(self, *words: str, numeric: bool | None = None) -> NamedColumn | None:
        """The first column whose name holds the earliest of `words` it can; None if none does."""
        for word in words:
            for column in self.columns:
                if column.called((word,)) and numeric in (None, column.numeric):
                    return column
        return None

    def needed(self, what: str, *words: str, numeric: bool | None = None) -> NamedColumn:
        """As `first`; EvaluationError names the columns there are."""
        found = self.first(*words, numeric=numeric)
        if found is None:
            there = ", ".join(quoted(column.name) for column in self.columns)
            raise EvaluationError(f"{self.file}: no column of {what} among {there}; name one {words[0]}")
        return found


def read_named(path: Path) -> NamedTable:
    """The table in the file at `path` (at most 8 MB): the first line that names its columns and the rows after it.

    Raises UnreadableFile for what is no text or holds no such table; it names line and remedy.
    """
    name = path.name
    with opened(path, name) as handle:
        size = size_of(handle)
        if size > _LARGEST:
            raise UnreadableFile(f"{name}: {size} bytes; a table of specimens has at most {_LARGEST}; is it the right file?")
        _, lines = head_lines(handle, name, size, _LARGEST)
    return _best_table(name, [(number, line) for number, line in enumerate(lines, 1) if line.strip()])


def _best_table(name: str, lines: list[tuple[int, str]]) -> NamedTable:
    for delimiter in _DELIMITERS:
        fields = [split_fields(_COMMENT.sub("", line), delimiter) for _, line in lines]
        start = _names_row(fields)
        if start is not None:
            behind = zip(lines[start + 1 :], fields[start + 1 :], strict=True)
            return _table(name, fields[start], [(number, row) for (number, line), row in behind if not _COMMENT.match(line)])
    rows = [(number, line) for number, line in lines if not _COMMENT.match(line)]
    alone = _one_column(name, rows)
    if alone:
        return alone
    raise UnreadableFile(
        f"{name}: no table in {len(rows)} lines; expected one line with the names of the columns and a row for each specimen"
    )


def _one_column(name: str, rows: list[tuple[int, str]]) -> NamedTable | None:
    """A single column of numbers below its name, or without one."""
    plain = [(number, line.strip().strip('"')) for number, line in rows]
    start = next((place for place, (_, text) in enumerate(plain) if _is_figure(text)), len(plain))
    body = plain[start:]
    if len(body) < 2 or not all(_is_figure(text) or is_gap(text) for _, text in body):
        return None
    title, unit = _split_unit(plain[start - 1][1]) if start else ("", "")
    decimal = _decimal([text] for _, text in body)
    if not start and decimal == ",":  # the comma may stand between two columns
        return None
    lines, texts = zip(*body, strict=True)
    return NamedTable(name, (NamedColumn(title, unit, texts, lines, decimal, 1, name),))


def _is_figure(text: str) -> bool:
    return any(_figure(text, mark) is not None for mark in ".,")


def _names_row(rows: list[list[str]]) -> int | None:
    """The row of names: all words, with the most rows of numbers as wide as itself behind it; the last such row, because a
    block of notes may stand above it in as many fields. None if there is none."""
    filled = [len(row) if any(map(_is_figure, row)) else 0 for row in rows]
    best, rank, behind = None, (0, False), Counter()
    for place in reversed(range(len(rows))):
        row = rows[place]
        mine = behind[len(row)], not any(map(_DIGITS.search, row))
        behind[filled[place]] += 1
        words = not filled[place] and sum(map(bool, row)) > 1 and all(_WORD.search(text) for text in row if text)
        if words and mine[0] and mine > rank and not _is_units(row):
            best, rank = place, mine
    return best


def _table(name: str, names: list[str], body: list[tuple[int, list[str]]]) -> NamedTable:
    body = [(number, row) for number, row in _without_footer(body, len(names)) if any(row) and row != names]
    names, body = _without_trailing(names, body)
    headed = [_split_unit(text) for text in names]
    if body and _is_units(body[0][1]):
        headed = [(text, bare_unit(unit)) for (text, _), unit in zip(headed, body[0][1], strict=False)]
        body = [(number, row) for number, row in body if row != body[0][1]]
    for number, row in body:
        if len(row) != len(names):
            raise UnreadableFile(f"{where(name, number)}: {len(row)} fields; the names above it are {len(names)}")
    decimal = _decimal(row for _, row in body)
    lines = tuple(number for number, _ in body)
    return NamedTable(name, tuple(
        NamedColumn(text, unit, tuple(row[place] for _, row in body), lines, decimal, place + 1, name)
        for place, (text, unit) in enumerate(headed)
    ))  # fmt: skip


def _without_footer(body: list[tuple[int, list[str]]], width: int) -> list[tuple[int, list[str]]]:
    """The rows without the lines behind the last of them: other in width, apart from it by a blank line, led by a word."""
    end = len(body)
    while end and len(body[end - 1][1]) != width:
        end -= 1
    apart = 0 < end < len(body) and body[end][0] > body[end - 1][0] + 1
    return body[:end] if apart and all(_WORD.match(row[0]) for _, row in body[end:]) else body


def _is_units(row: list[str]) -> bool:
    return any(row) and all(not text or _is_unit(bare_unit(text)) for text in row)


def _split_unit(text: str) -> tuple[str, str]:
    """Name and unit, of compound units too."""
    compound = _COMPOUND.match(text.strip())
    if compound and _is_unit(compound[2]):
        return compound[1], compound[2]
    name, unit = split_unit(text)
    match = None if unit else _BRACKETED.match(text)
    return (match[1], match[2]) if match and _is_unit(match[2]) else (name, unit)


def _is_unit(text: str) -> bool:
    try:
        units.canonical(text)
    except units.UnitError:
        return is_unit(text)
    return not any(character.isdigit() for character in text[:1])


def _without_trailing(
    names: list[str], body: list[tuple[int, list[str]]]
) -> tuple[list[str], list[tuple[int, list[str]]]]:
    if names[-1] or any(row[-1] for _, row in body):
        return names, body
    return names[:-1], [(number, row[:-1]) for number, row in body]


def _decimal(rows: object) -> str:
    """"," where more fields are numbers with it than with a point."""
    texts = [_bare(text) for row in rows for text in row]  # type: ignore[attr-defined]
    comma, point = (sum(mark in text and is_number(text, mark) for text in texts) for mark in ",.")
    return "," if comma > point else "."


def _figure(text: str, decimal: str) -> float | None:
    """The number in a field, marked or grouped by thousands or neither."""
    bare = _bare(text)
    found = value(bare, decimal)
    return grouped(bare, decimal) if found is None else found


def _bare(text: str) -> str:
    match = _MARKED.match(text)
    return (match[1] or match[2]).strip() if match else text
