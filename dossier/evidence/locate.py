"""Where the table of a file begins, and in which columns the channels of the scheme are."""

from __future__ import annotations

from dataclasses import dataclass, replace

from dossier.evidence.channels import bare_unit, factor, split_unit
from dossier.evidence.errors import UnreadableFile, quoted, where
from dossier.evidence.form import ChannelReading, ReadingScheme
from dossier.evidence.table import heading_fields


@dataclass(frozen=True)
class Place:
    """First line of the table (from 1), number of fields of a row, names of the columns, the stripped lines
    of the heading, the channels with the columns they have in this file, and notes."""

    first_line: int
    fields: int
    names: tuple[str, ...]
    heading: tuple[str, ...]
    channels: tuple[ChannelReading, ...]
    notes: tuple[str, ...]


def locate(lines: list[str], scheme: ReadingScheme, file: str, encoding: str) -> Place:
    """The place of the table among the first `lines` of the file.

    Raises UnreadableFile if the names of the scheme are not there or a unit differs from the scheme's.
    """
    if not scheme.names_line:
        return Place(scheme.header_lines + 1, scheme.fields, (), (), scheme.channels, ())
    at = _names_at(lines, scheme, file)
    first = at + 1 + scheme.header_lines - scheme.names_line
    names = _names(lines[at], scheme)
    units_at = at + scheme.units_line - scheme.names_line if scheme.units_line else None
    units = _units(lines, at, units_at, scheme)
    channels, notes = [], _place_notes(at, scheme, encoding, lines[at])
    for reading in scheme.channels:
        column = _column(reading, names)
        if column != reading.column:
            notes.append(f"{quoted(reading.name)} is column {column} here, {reading.column} in the scheme")
        _compare_unit(
            reading, units[column - 1] if column <= len(units) else "", file, (units_at or at) + 1, column
        )
        channels.append(replace(reading, column=column))
    heading = [lines[at].strip()] + ([lines[units_at].strip()] if units_at is not None else [])
    return Place(first + 1, len(names), tuple(names), tuple(heading), tuple(channels), tuple(notes))


def _names(line: str, scheme: ReadingScheme) -> list[str]:
    return [split_unit(name)[0] for name in heading_fields(line, scheme.delimiter, scheme.fields)]


def _units(lines: list[str], names_at: int, units_at: int | None, scheme: ReadingScheme) -> list[str]:
    if units_at is not None:
        line = lines[units_at] if 0 <= units_at < len(lines) else ""
        return [bare_unit(unit) for unit in heading_fields(line, scheme.delimiter, scheme.fields)]
    return [split_unit(name)[1] for name in heading_fields(lines[names_at], scheme.delimiter, scheme.fields)]


def _names_at(lines: list[str], scheme: ReadingScheme, file: str) -> int:
    """Index of the names line: where the scheme expects it, else the first line that holds all names."""
    wanted = {reading.name for reading in scheme.channels if reading.name}
    expected = scheme.names_line - 1
    order = ([expected] if expected < len(lines) else []) + list(range(len(lines)))
    units_offset = max(scheme.units_line - scheme.names_line, 0)
    for at in order:
        if at + units_offset < len(lines) and wanted <= set(_names(lines[at], scheme)):
            return at
    found = quoted(lines[expected]) if expected < len(lines) else "the end of the file"
    raise UnreadableFile(
        f"{where(file, scheme.names_line)}: found {found}; expected the column names "
        f"{', '.join(quoted(reading.name) for reading in scheme.channels if reading.name)}; the file has another form: "
        "choose or make the reading scheme of this machine"
    )


def _column(reading: ChannelReading, names: list[str]) -> int:
    if not reading.name or (reading.column <= len(names) and names[reading.column - 1] == reading.name):
        return reading.column
    return names.index(reading.name) + 1


def _compare_unit(reading: ChannelReading, written: str, file: str, line: int, column: int) -> None:
    if not written or written == reading.unit:
        return
    try:
        same = factor(written, reading.channel) == factor(reading.unit, reading.channel)
    except ValueError:
        same = False
    if not same:
        raise UnreadableFile(
            f"{where(file, line, column)}: {quoted(reading.name or reading.channel)} is in {quoted(written)}; expected "
            f"{quoted(reading.unit)} as the reading scheme says; correct the scheme or choose another"
        )


def _place_notes(at: int, scheme: ReadingScheme, encoding: str, line: str) -> list[str]:
    notes = []
    if at + 1 != scheme.names_line:
        notes.append(f"column names in line {at + 1}, in the scheme in line {scheme.names_line}")
    if encoding != scheme.encoding and not line.isascii():
        notes.append(f"encoding {encoding}, in the scheme {scheme.encoding}")
    return notes
