"""Looking at a measured file before it is read: its form, in words where there is doubt."""

from __future__ import annotations

from pathlib import Path
from typing import BinaryIO

from dossier.evidence.channels import STORED, guess_channel, is_unit
from dossier.evidence.encoding import TextForm, count_lines, head_lines, opened, size_of, split_lines
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.form import Column, FileForm
from dossier.evidence.numbers import is_gap, is_number, split_fields
from dossier.evidence.table import Heading, Table, find_heading, find_table

HEADS = (1 << 18, 1 << 23)
_TAIL = 1 << 16
_TAIL_LINES = 200
_PREVIEW = 8


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
        rows = count_lines(handle, form) - table.first - footer
    heading = find_heading(lines, table)
    columns = _columns(table, heading)
    doubts = (*table.doubts, *heading.doubts, *_column_doubts(columns), *_footer_doubts(footer))
    return FileForm(
        name, size, rows, form.encoding, table.delimiter, table.decimal, table.first, footer, heading.names_line,
        heading.units_line, table.trailing, columns, tuple(lines[: table.first]), _preview(lines, table),
        _confidence(table, columns, doubts), doubts,
    )  # fmt: skip


def _head(handle: BinaryIO, name: str, size: int) -> tuple[TextForm, list[str], list[str], Table]:
    """Form, first lines and last lines of the file, and the table: looked for in 256 kB, then in 8 MB."""
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
    """Lines of text behind the last row of numbers."""
    first = table.numeric.index(True)
    for count, line in enumerate(reversed(tail)):
        fields = split_fields(line, table.delimiter)
        if len(fields) > first and (is_number(fields[first], table.decimal) or _is_row(fields, table)):
            return count
    return 0


def _is_row(fields: list[str], table: Table) -> bool:
    return len(fields) == table.fields and any(
        numeric and (is_number(field, table.decimal) or is_gap(field))
        for field, numeric in zip(fields, table.numeric, strict=True)
    )


def _columns(table: Table, heading: Heading) -> tuple[Column, ...]:
    taken: set[str] = set()
    columns = []
    for number, (name, unit, numeric) in enumerate(
        zip(heading.names, heading.units, table.numeric, strict=True), 1
    ):
        channel = guess_channel(name, unit) if numeric else ""
        columns.append(Column(number, name, unit, numeric, "" if channel in taken else channel))
        taken.add(channel)
    return tuple(columns)


def _column_doubts(columns: tuple[Column, ...]) -> list[str]:
    doubts = []
    for column in columns:
        again = guess_channel(column.name, column.unit) if column.numeric else ""
        if again and not column.channel:
            first = next(other.label for other in columns if other.channel == again)
            doubts.append(f'"{first}" and "{column.label}" both look like {again}; the first is proposed')
        if column.channel and not column.unit:
            doubts.append(f'"{column.label}" has no unit; state it ({STORED[column.channel]} is stored)')
        if column.unit and not is_unit(column.unit):
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
        tuple(split_fields(line, table.delimiter)) for line in lines[table.first : table.first + _PREVIEW]
    )


def _confidence(table: Table, columns: tuple[Column, ...], doubts: tuple[str, ...]) -> str:
    """ "certain" without doubts; "guess" when numbers themselves are in doubt or nothing is named."""
    if not doubts:
        return "certain"
    unknown = not any(column.channel for column in columns)
    return "guess" if unknown or any("assumed" not in doubt for doubt in table.doubts) else "likely"
