"""The exact reading of rows, line by line: says where and why a row cannot be taken."""

from __future__ import annotations

import re
from array import array
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from dossier.evidence.errors import UnreadableFile, line_list, quoted, where
from dossier.evidence.numbers import RowForm, complaint, is_gap, shows_groups, split_fields, value

_BESIDE = re.compile(
    r"\s*(?:#|%|//|\W*(?:cycle|zyklus|zyklen|block|segment|step|schritt|stufe|ramp|rampe|loop|cykel|ciclo|lastspiel|"
    r"schwingspiel|phase|sequence|sequenz)\b\D{0,12}\d{1,9}\W*$)",
    re.IGNORECASE,
)
_MOST_GAPS = 10_000


@dataclass
class Scanner:
    """Reads lines of one file; knows its header so that a header repeated between blocks is passed over.

    `header` holds the stripped names line and, if there is one, the units line; `header_lines` bounds the
    length of a repeated header; `total` counts the rows of the file for the messages; `names` are the column
    names.
    """

    name: str
    form: RowForm
    header: tuple[str, ...]
    header_lines: int
    total: Callable[[], int]
    names: tuple[str, ...] = ()
    gaps: list[tuple[int, int]] = field(default_factory=list)
    blank_lines: array[int] = field(default_factory=lambda: array("q"))
    repeated: array[int] = field(default_factory=lambda: array("q"))
    beside: array[int] = field(default_factory=lambda: array("q"))
    grouped: dict[int, bool] = field(default_factory=dict)
    unended: bool = False
    _foreign: tuple[int, str] | None = None
    _names_seen: bool = False
    _decimals: list[int] = field(default_factory=list)

    def row_follows(self) -> None:
        """Take note that the next line is a row: text before it was a repeated header, or is refused."""
        if self._foreign:
            self._close_header()

    def accepts(self, grouped: dict[int, bool]) -> bool:
        """Whether fields grouped by thousands, or not, go with those before; takes note of them if so."""
        if any(self.grouped.get(place, shown) != shown for place, shown in grouped.items()):
            return False
        self.grouped.update(grouped)
        return True

    def scan(self, lines: list[str], first_line: int, cut_off: bool) -> tuple[np.ndarray, np.ndarray]:
        """Rows (n, needed) and their line numbers (n,).

        `cut_off` says that the last of `lines` is the file's last and has no line end. Raises UnreadableFile.
        """
        rows: list[list[float]] = []
        numbers: list[int] = []
        final = first_line + len(lines) - 1
        self.unended = cut_off
        for line, text in enumerate(lines, first_line):
            fields = self._fields(text)
            row = self._row(fields)
            if row is None:
                row = self._odd_line(line, text, fields, cut_off and line == final)
            else:
                self.row_follows()
            if row is not None:
                rows.append(row)
                numbers.append(line)
                self._watch_decimals(line, fields[-1], cut_off and line == final)
                if self.form.thousands:
                    self._watch_groups(line, fields)
        return np.array(rows, float).reshape(-1, len(self.form.needed)), np.array(numbers, np.int64)

    def finish(self) -> None:
        """Raise UnreadableFile for what only the end of the file shows: gaps, text that no header
        followed."""
        if self._foreign:
            self._refuse_foreign()
        if self.gaps:
            self._refuse_gaps("")

    def _fields(self, text: str) -> list[str]:
        fields = split_fields(text, self.form.delimiter)
        if self.form.trailing and len(fields) == self.form.fields + 1 and not fields[-1]:
            fields.pop()
        return fields

    def _row(self, fields: list[str]) -> list[float] | None:
        if len(fields) != self.form.fields:
            return None
        row = [self.form.read(fields, place) for place in self.form.needed]
        return None if None in row else row

    def _odd_line(self, line: int, text: str, fields: list[str], cut_off: bool) -> list[float] | None:
        """A row with gaps, None for a line to pass over; raises UnreadableFile for anything else."""
        if not text.strip():
            if not self._foreign:
                self.blank_lines.append(line)
            return None
        if self._foreign is None and not cut_off and _BESIDE.match(text):
            self.beside.append(line)
            return None
        if self._foreign is None and (cut_off or not self._begins_header(line, text, fields)):
            return self._row_with_gaps(line, text, fields, cut_off)
        if line - self._foreign[0] >= self.header_lines or (self._names_seen and not self._follows(text)):
            self._refuse_foreign()
        self._names_seen = self._names_seen or text.strip() == self.header[0]
        return None

    def _begins_header(self, line: int, text: str, fields: list[str]) -> bool:
        needed = [fields[place] for place in self.form.needed if place < len(fields)]
        of_a_row = [value(entry, self.form.decimal) is not None or is_gap(entry) for entry in needed]
        if not self.header or any(of_a_row):
            return False
        self._foreign, self._names_seen = (line, text), False
        return True

    def _follows(self, text: str) -> bool:
        return text.strip() in self.header[1:] or not any(character.isalnum() for character in text)

    def _close_header(self) -> None:
        if not self._names_seen:
            self._refuse_foreign()
        self.repeated.append(self._foreign[0])
        self._foreign = None

    def _refuse_foreign(self) -> None:
        line, text = self._foreign
        fields, column = self._fields(text), self.form.needed[0] + 1
        found = fields[column - 1] if len(fields) == self.form.fields else text.strip()
        raise UnreadableFile(
            f"{where(self.name, line, column)}: {quoted(found)} {complaint(found, self.form.decimal)}; "
            f"{self._taken()}; text behind the table must be counted as footer lines of the reading scheme"
        )

    def _row_with_gaps(self, line: int, text: str, fields: list[str], cut_off: bool) -> list[float]:
        if len(fields) != self.form.fields or (cut_off and not fields[-1]):
            self._refuse_count(line, text, fields, cut_off)
        row = []
        for place in self.form.needed:
            number = self.form.read(fields, place)
            if number is None and not is_gap(fields[place]):
                raise UnreadableFile(
                    f"{where(self.name, line, place + 1)}: {quoted(fields[place])} "
                    f"{complaint(fields[place], self.form.decimal)}; {self._taken()}"
                )
            if number is None:
                self.gaps.append((line, place + 1))
                if len(self.gaps) == _MOST_GAPS:
                    self._refuse_gaps("; there may be more, reading ended here")
            row.append(np.nan if number is None else number)
        return row

    def _refuse_gaps(self, more: str) -> None:
        column = self.gaps[0][1]
        lines = sorted({line for line, _ in self.gaps})
        raise UnreadableFile(
            f"{self.name} {line_list(lines)} column {column}{self._named(column)}: no value{more}; expected a number in "
            f"each field; {self._taken()}; export without gaps or read another column"
        )

    def _refuse_count(self, line: int, text: str, fields: list[str], cut_off: bool) -> None:
        if cut_off and len(fields) <= self.form.fields:
            raise UnreadableFile(
                f"{where(self.name, line)}: the last line ends after {len([f for f in fields if f])} of "
                f"{self.form.fields} fields and has no line end, found {quoted(text.strip())}; expected a whole row; "
                f"{self._taken()}; the file was cut off: fetch it again"
            )
        raise UnreadableFile(
            f"{where(self.name, line, min(len(fields), self.form.fields) + 1)}: {len(fields)} fields in "
            f"{quoted(text.strip())}; expected {self.form.fields}; {self._taken()}"
        )

    def _watch_decimals(self, line: int, text: str, cut_off: bool) -> None:
        """A last number with fewer decimals than all before it is half a number."""
        decimals = len(text.partition(self.form.decimal)[2])
        if (
            cut_off
            and len(set(self._decimals)) == 1
            and len(self._decimals) > 1
            and decimals < self._decimals[0]
        ):
            raise UnreadableFile(
                f"{where(self.name, line, self.form.fields)}: {quoted(text)} has {decimals} decimals and no line end, "
                f"the rows before have {self._decimals[0]}; expected a whole row; {self._taken()}; the file was cut "
                "off: fetch it again"
            )
        self._decimals = [*self._decimals[-9:], decimals]

    def _watch_groups(self, line: int, fields: list[str]) -> None:
        """One column is grouped by thousands throughout, or not at all."""
        for place in self.form.needed:
            shown = shows_groups(fields[place], self.form.decimal)
            if shown is not None and place not in self.form.clocks and not self.accepts({place: shown}):
                raise UnreadableFile(
                    f"{where(self.name, line, place + 1)}: {quoted(fields[place])} is {'' if shown else 'not '}grouped by "
                    f"thousands, the numbers before it in this column are {'not' if shown else 'so'}; expected one way "
                    f"throughout a column; {self._taken()}; export again with one"
                )

    def _named(self, column: int) -> str:
        return (
            f" {quoted(self.names[column - 1])}"
            if len(self.names) >= column and self.names[column - 1]
            else ""
        )

    def _taken(self) -> str:
        return f"0 of {self.total()} points taken"
