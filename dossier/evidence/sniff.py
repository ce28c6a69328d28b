"""Looking at a measured file before it is read: its form, in words where there is doubt."""

from __future__ import annotations

import re
from pathlib import Path
from typing import BinaryIO

from dossier.evidence.channel_words import standing
from dossier.evidence.channels import CLOCK, STORED, guess_channel, is_unit
from dossier.evidence.encoding import TextForm, count_lines, estimate_lines, head_lines, opened, size_of, split_lines
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.form import Column, FileForm
from dossier.evidence.numbers import is_gap, is_number, split_fields
from dossier.evidence.table import Heading, Table, find_heading, find_table

HEADS = (1 << 15, 1 << 18, 1 << 23)
_TAIL = 1 << 16
_COUNTED = 1 << 25
_TAIL_LINES = 200
_PREVIEW = 8
_WORD = re.compile(r"\W*[^\W\d_]{2}")


def sniff(path: Path | str, name: str = "") -> FileForm:
    """The form of the file at `path`, found from its first lines and its last; messages call it `name`.

    Raises UnreadableFile for what is no text, holds no table, or cannot be opened.
    """
    path = Path(path)
    name = name or path.name
    with opened(path, name) as handle:
        size = size_of(handle)
        form, lines, tail, table = _head(handle, name, size)
        footer = _footer_lines(tail, table)
        counted = size <= _COUNTED
        rows = (count_lines(handle, form) if counted else estimate_lines(handle, form, size)) - table.first - footer
    heading = find_heading(lines, table)
    columns, rivals = _columns(table, heading)
    doubts = (*table.doubts, *heading.doubts, *rivals, *_column_doubts(columns), *_footer_doubts(footer))
    return FileForm(
        name, size, rows, form.encoding, table.delimiter, table.decimal, table.first, footer, heading.names_line,
        heading.units_line, table.trailing, columns, tuple(lines[: table.first]), _preview(lines, table),
        _confidence(table, columns, doubts), doubts, table.thousands, not counted,
    )  # fmt: skip


def _head(handle: BinaryIO, name: str, size: int) -> tuple[TextForm, list[str], list[str], Table]:
    """Form, first lines and last lines of the file, and the table: looked for in 32 kB, then in 256 kB, then in 8 MB."""
    for limit in HEADS:
        form, lines = head_lines(handle, name, size, limit)
        tail = _tail(handle, form, size)
        try:
            return form, lines, tail, find_table(lines, tail[-_TAIL_LINES:], name)
        except UnreadableFile:
            if limit >= size or limit == HEADS[-1]:
                raise
    raise AssertionError("unreachable")


def _tail(handle: BinaryIO, form: TextForm, size: int) -> list[str]:
    """The last lines of the file, without blank ones at its end."""
    start = max(form.bom, size - _TAIL)
    handle.seek(start + (start - form.bom) % 2 if form.wide else start)
    lines = split_lines(handle.read().decode(form.encoding, "replace"), form.newline)
    while lines and not lines[-1].strip():
        lines.pop()
    return lines[1:] if start > form.bom else lines


def _footer_lines(tail: list[str], table: Table) -> int:
    """Lines behind the last whole row, where the first of them begins with a word; a torn row is none."""
    behind: list[str] = []
    for line in reversed(tail):
        fields = split_fields(line, table.delimiter)
        if _is_row(fields, table) or _is_torn(fields, table):
            break
        behind.insert(0, line)
    if len(behind) == len(tail):
        return 0
    first = next((line for line in behind if line.strip()), "")
    return len(behind) if _WORD.match(first) else 0


def _is_row(fields: list[str], table: Table) -> bool:
    """Whether a line is a row: every column of numbers holds one or says that there is none."""
    return len(fields) in (table.fields, table.fields + table.trailing) and all(
        is_number(field, table.decimal) or is_gap(field)
        for field, numeric in zip(fields, table.numeric, strict=False) if numeric
    )  # fmt: skip


def _is_torn(fields: list[str], table: Table) -> bool:
    first = table.numeric.index(True)
    return len(fields) > first and is_number(fields[first], table.decimal) and not _WORD.match(fields[0])


def _columns(table: Table, heading: Heading) -> tuple[tuple[Column, ...], list[str]]:
    """The columns, each channel given to the one that stands for it best, and words on those left."""
    units = [CLOCK if place in table.clocks else unit for place, unit in enumerate(heading.units)]
    guessed = [
        "time" if unit == CLOCK else guess_channel(name, unit) if numeric else ""
        for name, unit, numeric in zip(heading.names, units, table.numeric, strict=True)
    ]
    chosen, rivals = {}, []
    for channel in dict.fromkeys(filter(None, guessed)):
        places = [place for place, found in enumerate(guessed) if found == channel]
        best = min(places, key=lambda place: (standing(heading.names[place]), units[place] == CLOCK, place))
        chosen[best] = channel
        for place in places:
            if place != best and standing(heading.names[place]) < 2 and CLOCK not in (units[place], units[best]):
                one, other = (heading.names[at] or f"column {at + 1}" for at in (best, place))
                rivals.append(f'"{one}" and "{other}" both look like {channel}; "{one}" is taken')
    columns = tuple(
        Column(place + 1, name, units[place], numeric, chosen.get(place, ""))
        for place, (name, numeric) in enumerate(zip(heading.names, table.numeric, strict=True))
    )
    return columns, rivals


def _column_doubts(columns: tuple[Column, ...]) -> list[str]:
    doubts = []
    for column in columns:
        if column.channel and not column.unit and column.channel != "cycles":
            doubts.append(f'"{column.label}" has no unit; state it ({STORED[column.channel]} is stored)')
        if column.unit and column.unit != CLOCK and not is_unit(column.unit):
            doubts.append(f'unit "{column.unit}" of "{column.label}" is not known')
    if not any(column.channel in ("force", "torque") for column in columns):
        doubts.append("no column looks like a force or a torque")
    if not any(column.channel in ("displacement", "angle") for column in columns):
        doubts.append("no column looks like a displacement or an angle")
    return doubts


def _footer_doubts(footer: int) -> list[str]:
    return [f"{footer} lines behind the table are no rows of numbers"] if footer else []


def _preview(lines: list[str], table: Table) -> tuple[tuple[str, ...], ...]:
    return tuple(
        tuple(split_fields(line, table.delimiter)) for line in lines[table.first : table.first + _PREVIEW] if line.strip()
    )


def _confidence(table: Table, columns: tuple[Column, ...], doubts: tuple[str, ...]) -> str:
    """ "certain" without doubts; "guess" when numbers themselves are in doubt or nothing is named."""
    if not doubts:
        return "certain"
    unknown = not any(column.channel for column in columns)
    return "guess" if unknown or any("assumed" not in doubt for doubt in table.doubts) else "likely"
