"""Finding the table in a text file: delimiter, decimal mark, first row, names and units."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from dossier.evidence.channels import bare_unit, is_unit, split_unit
from dossier.evidence.clock import seconds
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.numbers import BLANKS, MARKS, grouped, is_gap, is_number, split_fields, value

_CANDIDATES = ((";", ","), (";", "."), ("\t", ","), ("\t", "."), (",", "."), (",", ","), (BLANKS, ","),
               (BLANKS, "."), ("|", ","), ("|", "."))  # fmt: skip
_LOOKED_AT = 400
_COMMENT = re.compile(r"^\s*(?:#+|%+|//+) *")
_NAMES = {";": "semicolon", "\t": "tab", ",": "comma", BLANKS: "blanks", "|": "bar"}


@dataclass(frozen=True)
class Table:
    """Where the rows of numbers begin and how they are written.

    `first` counts lines from 0; `numeric` says for each field whether it holds numbers; `trailing` that rows
    end with a delimiter that opens no further field.
    """

    delimiter: str
    decimal: str
    first: int
    numeric: tuple[bool, ...]
    trailing: bool
    doubts: tuple[str, ...]
    thousands: bool = False
    clocks: tuple[int, ...] = ()

    @property
    def fields(self) -> int:
        """Number of fields of a row."""
        return len(self.numeric)


@dataclass(frozen=True)
class Heading:
    """Names and units above the table; line numbers count from 1, 0 = there is no such line."""

    names_line: int
    units_line: int
    names: tuple[str, ...]
    units: tuple[str, ...]
    doubts: tuple[str, ...]


def find_table(lines: list[str], tail: list[str], name: str) -> Table:
    """The table among the first `lines` of a file: the longest run of equally built rows that hold at least
    two numbers, or one beside the time of day, and are built like a row among the last lines, `tail`.

    Raises UnreadableFile if there are not two such rows.
    """
    runs = [run for mark in _CANDIDATES if (run := _longest_run(lines, tail, *mark))]
    if not runs:
        raise UnreadableFile(
            f"{name}: no numbers in {len(lines)} lines; expected a table of two rows or more with two columns"
        )
    run = max(runs, key=lambda candidate: candidate.score)
    near = [line for line in lines[run.first : run.first + _LOOKED_AT] if line.strip()]
    width = len(run.signature)
    rows = [split_fields(line, run.delimiter) for line in near]
    trailing = width > 1 and all(not row[-1] for row in rows if len(row) == width)
    whole = [row for row in rows if len(row) == width]
    built = tuple(2 * sum(is_number(row[place], run.decimal) for row in whole) > len(whole) for place in range(width))
    numeric = built[:-1] if trailing else built
    thousands = _thousands([*lines[run.first :], *tail], run)
    doubts, clocks = _doubts(rows, run, width), _clocks(whole, numeric)
    return Table(run.delimiter, run.decimal, run.first, numeric, trailing, doubts, thousands, clocks)


def _thousands(lines: list[str], run: _Run) -> bool:
    """Whether some number is written with both marks, or with a mark of its own for the thousands."""
    rows = (split_fields(line, run.delimiter) for line in lines)
    return any(
        value(field, run.decimal) is None and grouped(field, run.decimal) is not None
        for row in rows if len(row) == len(run.signature)
        for field, numeric in zip(row, run.signature, strict=True) if numeric
    )  # fmt: skip


def _clocks(rows: list[list[str]], numeric: tuple[bool, ...]) -> tuple[int, ...]:
    """The fields that hold a time of day in nearly every row."""
    found = []
    for place, number in enumerate(numeric):
        if not number:
            times = sum(seconds(row[place]) is not None for row in rows)
            if times and times >= 0.9 * len(rows):
                found.append(place)
    return tuple(found)


@dataclass(frozen=True)
class _Run:
    """Rows built alike: score, how they are written, first line, which fields are numbers."""

    score: float
    delimiter: str
    decimal: str
    first: int
    signature: tuple[bool, ...]


def _longest_run(lines: list[str], tail: list[str], delimiter: str, decimal: str) -> _Run | None:
    """The best run for one way of writing; it starts where rows of its build first follow each other."""
    places = [place for place, line in enumerate(lines) if line.strip()]
    signatures = [_signature(lines[place], delimiter, decimal) for place in places]
    last = {_signature(line, delimiter, decimal) for line in tail}
    best, start = None, 0
    for end in range(1, len(signatures) + 1):
        if end < len(signatures) and _alike(signatures[end], signatures[start]):
            continue
        built = signatures[start]
        enough = sum(built) > 1 or sum(built) and _has_clock(lines[places[start]], delimiter)
        if end - start > 1 and enough and any(_alike(built, other) for other in last):
            closed = delimiter != BLANKS and lines[places[start]].endswith(delimiter)
            score = (end - start) * sum(built) ** 2 / (len(built) - closed)
            if best is None or score > best.score:
                best = _Run(score, delimiter, decimal, start, built)
        start = end
    if best is None:
        return None
    alike = [_alike(signature, best.signature) for signature in signatures[: best.first + 2]]
    first = next(place for place in range(best.first + 1) if alike[place] and alike[place + 1])
    return replace(best, first=places[first])


def _signature(line: str, delimiter: str, decimal: str) -> tuple[bool, ...]:
    """For each field whether it is a number; a gap counts as a number in a line that has one."""
    fields = split_fields(line, delimiter)
    numeric = tuple(is_number(field, decimal) for field in fields)
    if not any(numeric):
        return ()
    return tuple(
        number or (bool(field) and is_gap(field)) for field, number in zip(fields, numeric, strict=True)
    )


def _has_clock(line: str, delimiter: str) -> bool:
    return any(seconds(field) is not None for field in split_fields(line, delimiter))


def _alike(one: tuple[bool, ...], other: tuple[bool, ...]) -> bool:
    """Rows of one table: as many fields, and numbers in the same of them but for a field now and then."""
    return len(one) == len(other) > 1 and sum(a != b for a, b in zip(one, other, strict=True)) * 4 <= len(one)


def _doubts(rows: list[list[str]], run: _Run, fields: int) -> tuple[str, ...]:
    doubts = []
    entries = [field for row in rows if len(row) == fields for field in row]
    if not any(run.decimal in field for field in entries):
        doubts.append(f"no decimal mark in the first {len(rows)} rows; {MARKS[run.decimal]} assumed")
    if run.delimiter == "," and not any("." in field for field in entries):
        doubts.append(
            "commas and not one decimal point: the comma may be the decimal mark, or decimal mark and delimiter at "
            "once; export with another delimiter"
        )
    return tuple(doubts)


def find_heading(lines: list[str], table: Table) -> Heading:
    """Names and units from the lines above the table; missing ones are ""."""
    width = table.fields
    above = [place for place in range(table.first) if any(character.isalnum() for character in lines[place])]
    rows = {place: heading_fields(lines[place], table.delimiter, width) for place in above[-3:]}
    fitting = [place for place in reversed(above[-3:]) if len(rows[place]) == width]
    units_line = next((place for place in fitting[:2] if _is_units(rows[place])), None)
    names_line = next((place for place in fitting if place != units_line and any(rows[place])), None)
    if names_line is not None and units_line is None and _looks_numbered(rows[names_line]):
        names_line = None
    names = rows[names_line] if names_line is not None else [""] * width
    split = [split_unit(name) for name in names]
    units = (
        [bare_unit(unit) for unit in rows[units_line]]
        if units_line is not None
        else [unit for _, unit in split]
    )
    plain = [name for name, _ in split]
    doubts = []
    if names_line is None:
        doubts.append(f"no line with {width} names above the table; columns are counted")
    return Heading(
        0 if names_line is None else names_line + 1, 0 if units_line is None else units_line + 1,
        tuple(plain), tuple(units), tuple(doubts),
    )  # fmt: skip


def heading_fields(line: str, delimiter: str, width: int) -> list[str]:
    """Fields of a heading line above rows of `width` fields; between blanks a bracketed unit stays with its
    name."""
    line = _COMMENT.sub("", line)
    if delimiter == BLANKS and '"' not in line:
        wide = re.split(r"\t+| {2,}", line.strip())
        if len(wide) == width:
            return [field.strip() for field in wide]
        return re.sub(r"\s+([\[(])", r"\1", line).split()
    fields = split_fields(line, delimiter)
    return fields[:-1] if len(fields) == width + 1 and not fields[-1] else fields


def _is_units(fields: list[str]) -> bool:
    units = [bare_unit(field) for field in fields]
    return any(units) and all(not unit or is_unit(unit) for unit in units)


def _looks_numbered(fields: list[str]) -> bool:
    return all(field.replace(".", "").replace(",", "").isdigit() for field in fields if field)
