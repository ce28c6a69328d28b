"""Small tables with text among the numbers: one row a specimen or an inspection, one name a column."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from dossier import units
from dossier.evidence.channels import bare_unit, is_unit, split_unit
from dossier.evidence.encoding import head_lines, opened, size_of
from dossier.evidence.errors import EvaluationError, UnreadableFile, quoted, where
from dossier.evidence.numbers import BLANKS, complaint, is_gap, split_fields, value

_LARGEST = 8 << 20
_DELIMITERS = (";", "\t", ",", BLANKS)
_WORD = re.compile(r"[^\W\d_]")
_COMMENT = ("#", "%", "//")
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
        return 2 * sum(value(_bare(text), self.decimal) is not None for text in filled) > len(filled)

    @property
    def numbers(self) -> list[float | None]:
        """The numbers, None for a gap; UnreadableFile names the first field that is none."""
        found: list[float | None] = []
        for text, line in zip(self.texts, self.lines, strict=True):
            number = None if is_gap(text) else value(_bare(text), self.decimal)
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
    rows = [
        (number, line) for number, line in enumerate(lines, 1) if line.strip() and not line.lstrip().startswith(_COMMENT)
    ]
    return _best_table(name, rows)


def _best_table(name: str, rows: list[tuple[int, str]]) -> NamedTable:
    for delimiter in _DELIMITERS:
        fields = [(number, split_fields(line, delimiter)) for number, line in rows]
        start = _names_row(fields)
        if start is not None:
            return _table(name, fields[start:], delimiter)
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
    return any(value(_bare(text), mark) is not None for mark in ".,")


def _names_row(fields: list[tuple[int, list[str]]]) -> int | None:
    """The first row of names: as wide as the row behind it, all words, and numbers somewhere below."""
    for place, (_, names) in enumerate(fields[:-1]):
        if len(names) < 2 or not all(_WORD.search(text) for text in names if text) or sum(map(bool, names)) < 2:
            continue
        below = [row for _, row in fields[place + 1 :] if len(row) == len(names)]
        if below and any(any(value(_bare(text), mark) is not None for text in row for mark in ",.") for row in below):
            return place
    return None


def _table(name: str, fields: list[tuple[int, list[str]]], delimiter: str) -> NamedTable:
    (_, names), body = fields[0], fields[1:]
    names, body = _without_trailing(names, body)
    headed = [_split_unit(text) for text in names]
    if body and all(not text or _is_unit(bare_unit(text)) for text in body[0][1]) and any(body[0][1]):
        headed = [(text, bare_unit(unit)) for (text, _), unit in zip(headed, body[0][1], strict=False)]
        body = body[1:]
    for number, row in body:
        if len(row) != len(names):
            raise UnreadableFile(f"{where(name, number)}: {len(row)} fields; the names above it are {len(names)}")
    decimal = _decimal(row for _, row in body) if delimiter != "," else "."
    lines = tuple(number for number, _ in body)
    return NamedTable(name, tuple(
        NamedColumn(text, unit, tuple(row[place] for _, row in body), lines, decimal, place + 1, name)
        for place, (text, unit) in enumerate(headed)
    ))  # fmt: skip


def _split_unit(text: str) -> tuple[str, str]:
    """Name and unit, of compound units too."""
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
    comma, point = (sum(mark in text and value(text, mark) is not None for text in texts) for mark in ",.")
    return "," if comma > point else "."


def _bare(text: str) -> str:
    match = _MARKED.match(text)
    return (match[1] or match[2]).strip() if match else text
