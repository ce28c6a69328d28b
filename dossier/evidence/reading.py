"""Reading a force–displacement (or torque–angle) file by its reading scheme.

The whole file is taken or nothing: UnreadableFile names line, column, the text found and what was expected.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path
from typing import BinaryIO

import numpy as np

from dossier.evidence.channels import CLOCK, factor
from dossier.evidence.clean_rows import CleanRows, clean_rows, line_edges, line_runs
from dossier.evidence.clock import running
from dossier.evidence.encoding import (
    TRUE_MINUS,
    Block,
    TextForm,
    blocks,
    count_lines,
    head_lines,
    line_feeds,
    opened,
    size_of,
    split_lines,
)  # fmt: skip
from dossier.evidence.errors import Cancelled, EvaluationError, UnreadableFile, line_list
from dossier.evidence.form import ChannelReading, Column, FileForm, ReadingScheme
from dossier.evidence.gather import Gathered
from dossier.evidence.locate import Place, locate
from dossier.evidence.numbers import RowForm
from dossier.evidence.scan import Scanner
from dossier.evidence.sniff import HEADS, sniff

__all__ = [
    "Cancelled", "ChannelReading", "Column", "Curve", "EvaluationError", "FileForm", "ReadingScheme",
    "UnreadableFile", "read_curve", "sniff",
]  # fmt: skip

Progress = Callable[[float, int], None]
Taken = tuple[list[np.ndarray], np.ndarray | range]  # needed columns (rows,) each, line numbers (rows,)
_ZERO_ROWS = 5
_TAIL_ROWS = 12
_WORTH_PARTING = 2048
_AHEAD = 2  # blocks that are parsed beside the one being taken


@dataclass(frozen=True)
class Curve:
    """A measured curve: channels (rows,) float64 in stored units (N, mm, °, N·mm, s, °C).

    `lines` (rows,) are the line numbers in the file, a range where they follow one another; `notes` say what was done or
    passed over, `problems` what a person must judge before the curve is evaluated.
    """

    file: str
    channels: dict[str, np.ndarray]
    lines: np.ndarray | range
    notes: tuple[str, ...]
    problems: tuple[str, ...]

    @property
    def rows(self) -> int:
        """Number of points."""
        return len(self.lines)

    def channel(self, name: str) -> np.ndarray:
        """The channel `name`; EvaluationError names the channels there are."""
        if name not in self.channels:
            raise EvaluationError(
                f"{self.file} has no channel {name}; read are {', '.join(self.channels)}; map a column to it in the "
                "reading scheme"
            )
        return self.channels[name]


def read_curve(
    path: Path | str,
    scheme: ReadingScheme,
    progress: Progress | None = None,
    cancel: Callable[[], bool] | None = None,
    name: str = "",
) -> Curve:
    """The curve in the file at `path`; messages call it `name` (else its file name), the name it was delivered
    under.

    `progress` is given the share read (0 … 1) and the rows read so far, `cancel` is asked between blocks. Raises
    UnreadableFile, or Cancelled when `cancel` answered True.
    """
    path = Path(path)
    name = name or path.name
    with opened(path, name) as handle:
        size = size_of(handle)
        form, place = _located(handle, name, size, scheme)
        columns, numbers, notes = _Reader(handle, form, scheme, place, name, size).read(
            progress or (lambda share, rows: None), _stopper(cancel)
        )
    channels = {reading.channel: _in_stored_unit(columns.pop(0), reading) for reading in place.channels}
    return Curve(
        name, channels, numbers, (*place.notes, *notes), tuple(_time_problems(channels, numbers))
    )


def _located(handle: BinaryIO, name: str, size: int, scheme: ReadingScheme) -> tuple[TextForm, Place]:
    """Where the table is: looked for in the first 32 kB, then in more, at most 8 MB."""
    for limit in HEADS:
        form, lines = head_lines(handle, name, size, limit)
        try:
            return form, locate(lines, scheme, name, form.encoding)
        except UnreadableFile:
            if limit >= size or limit == HEADS[-1]:
                raise
    raise AssertionError("unreachable")


def _stopper(cancel: Callable[[], bool] | None) -> Callable[[], None]:
    def stop() -> None:
        if cancel is not None and cancel():
            raise Cancelled("reading was stopped; nothing was taken")

    return stop


@dataclass
class _Reader:
    handle: BinaryIO
    form: TextForm
    scheme: ReadingScheme
    place: Place
    name: str
    size: int

    def read(
        self, progress: Progress, stop: Callable[[], None]
    ) -> tuple[list[np.ndarray], np.ndarray | range, list[str]]:
        """Columns (n,) of the channels as written, line numbers (n,), notes."""
        scanner = self._scanner()
        gathered, told = Gathered(len(self.place.channels)), 0.0
        for piece, clean in self._parsed_ahead(scanner.form, stop):
            for taken, lines in self._take(piece, clean, scanner):
                gathered.add(taken, lines, piece.fraction)
            if piece.fraction > told:
                told = piece.fraction
                progress(told, gathered.rows)
        if told < 1.0:
            progress(1.0, gathered.rows)
        scanner.finish()
        if gathered.rows < 2:
            raise UnreadableFile(
                f"{self.name}: {gathered.rows} rows of numbers from line {self.place.first_line} on; expected at least 2"
            )
        columns, lines = gathered.whole()
        return columns, lines, _notes(scanner, int(lines[-1]))

    def _parsed_ahead(self, form: RowForm, stop: Callable[[], None]) -> Iterator[tuple[Block, CleanRows | None]]:
        """The table in pieces in the order of the file, each with its rows where it is clean."""
        end = self._last_line() if self.scheme.footer_lines else None
        waiting: deque[tuple[Block, Future[CleanRows | None] | None]] = deque()
        pool = ThreadPoolExecutor(_AHEAD)
        try:
            for block in blocks(self.handle, self.form, self.name, self.size, stop):
                for piece in _pieces(self._with_plain_minus(block), self.place.first_line, end):
                    waiting.append((piece, None if piece.last else pool.submit(clean_rows, piece.data, form)))
                while len(waiting) > _AHEAD:
                    yield _rows_of(*waiting.popleft())
            while waiting:
                yield _rows_of(*waiting.popleft())
        finally:
            pool.shutdown(cancel_futures=True)

    def _with_plain_minus(self, block: Block) -> Block:
        wanted = self.form.unicode and not block.data.isascii() and TRUE_MINUS in block.data
        return replace(block, data=block.data.replace(TRUE_MINUS, b"-")) if wanted else block

    def _row_form(self) -> RowForm:
        needed = tuple(reading.column - 1 for reading in self.place.channels)
        return RowForm(
            self.scheme.delimiter,
            self.scheme.decimal,
            self.place.fields,
            needed,
            self.scheme.trailing_delimiter,
            self.scheme.thousands,
            tuple(reading.column - 1 for reading in self.place.channels if reading.unit == CLOCK),
        )

    def _scanner(self) -> Scanner:
        return Scanner(
            self.name, self._row_form(), self.place.heading, max(self.place.first_line, 2), self._total,
            self.place.names,
        )  # fmt: skip

    def _total(self) -> int:
        return max(self._last_line() - self.place.first_line + 1, 0)

    def _last_line(self) -> int:
        position = self.handle.tell()
        last = count_lines(self.handle, self.form) - self.scheme.footer_lines
        self.handle.seek(position)
        return last

    def _take(self, block: Block, clean: CleanRows | None, scanner: Scanner) -> Iterator[Taken]:
        """Rows of the block: as parsed where they are clean, the lines between them one by one; else its parts one by
        one, else line by line."""
        if clean is not None and scanner.accepts(clean.grouped):
            yield from self._between(block, clean, scanner)
            return
        parts = [] if block.last or len(block.data) < _WORTH_PARTING else list(_parts(block))
        if len(parts) > 1:
            for part in parts:
                yield from self._take(part, clean_rows(part.data, scanner.form), scanner)
        else:
            yield self._scanned(block.data, block.first_line, block.last, scanner)

    def _between(self, block: Block, clean: CleanRows, scanner: Scanner) -> Iterator[Taken]:
        """The clean rows in the order of the file, with what the scanner makes of the lines between them."""
        if clean.is_row is None:
            scanner.row_follows()
            yield clean.columns, range(block.first_line, block.first_line + len(clean.columns[0]))
            return
        rows_at = np.flatnonzero(clean.is_row)
        lines, given, start = rows_at + block.first_line, 0, -1
        for start, text in _lines_between(block, clean.is_row, scanner):
            before = int(np.searchsorted(rows_at, start))
            if start:
                scanner.row_follows()
            columns, numbers = self._scanned(text, block.first_line + start, False, scanner)
            if len(numbers):
                yield [column[given:before] for column in clean.columns], lines[given:before]
                yield columns, numbers
                given = before
        if start < rows_at[-1]:
            scanner.row_follows()
        yield [column[given:] for column in clean.columns], lines[given:]

    def _scanned(self, data: bytes, first_line: int, last: bool, scanner: Scanner) -> Taken:
        text = data.decode("utf-8" if self.form.wide else self.form.encoding, "replace")
        rows, lines = scanner.scan(split_lines(text, "\n"), first_line, last and not text.endswith("\n"))
        return list(rows.T), lines


def _lines_between(block: Block, is_row: np.ndarray, scanner: Scanner) -> Iterator[tuple[int, bytes]]:
    """First line (from 0) and text of each run of lines that are no rows; the scanner is told of empty lines behind a row."""
    edges = line_edges(block.data)
    opening, length = np.frombuffer(block.data, np.uint8)[edges[:-1]], np.diff(edges)
    full = ~is_row & (opening != ord("\n")) & ((opening != ord("\r")) | (length > 2))
    full_before, runs = np.concatenate(([0], np.cumsum(full))), line_runs(~is_row)
    empty = (full_before[runs[:, 0]] == full_before[runs[:, 1]]) & (runs[:, 0] > 0)
    in_empty = np.repeat(empty, runs[:, 1] - runs[:, 0])
    scanner.blank_lines.frombytes((np.flatnonzero(~is_row)[in_empty] + block.first_line).astype(np.int64).tobytes())
    for start, end in runs[~empty].tolist():
        yield start, block.data[edges[start] : edges[end]]


def _rows_of(block: Block, parsing: Future[CleanRows | None] | None) -> tuple[Block, CleanRows | None]:
    return block, None if parsing is None else parsing.result()


def _parts(block: Block) -> Iterator[Block]:
    """The block in about sixteen parts of whole lines."""
    start, line = 0, block.first_line
    while start < len(block.data):
        end = block.data.find(b"\n", start + len(block.data) // 16) + 1 or len(block.data)
        yield Block(block.data[start:end], line, block.fraction, False)
        start, line = end, line + block.data.count(b"\n", start, end)


def _pieces(block: Block, first: int, end: int | None) -> list[Block]:
    """The part of the block from line `first` to line `end`; the file's last block in two, so that its last
    rows get the closer look for a cut-off line."""
    skipped = max(first - block.first_line, 0)
    start = _behind(block.data, skipped)
    stop = len(block.data) if end is None else _behind(block.data, max(end - block.first_line + 1, 0))
    if stop <= start:
        return []
    data, line = block.data[start:stop], block.first_line + skipped
    if not block.last:
        return [Block(data, line, block.fraction, False)]
    tail = _tail_start(data)
    head = Block(data[:tail], line, block.fraction, False)
    rest = Block(data[tail:], line + line_feeds(data, tail), block.fraction, True)
    return [piece for piece in (head, rest) if piece.data]


def _behind(data: bytes, lines: int) -> int:
    """Where the text behind the first `lines` lines starts."""
    if not lines:
        return 0
    if lines >= data.count(b"\n"):
        return len(data) if lines > data.count(b"\n") or data.endswith(b"\n") else data.rfind(b"\n") + 1
    start = 0
    for _ in range(lines):
        start = data.find(b"\n", start) + 1
    return start


def _tail_start(data: bytes) -> int:
    """Where the last twelve lines start."""
    start = len(data)
    for _ in range(_TAIL_ROWS):
        start = data.rfind(b"\n", 0, max(start - 1, 0)) + 1
    return start


def _notes(scanner: Scanner, last_row: int) -> list[str]:
    notes = []
    blank = np.sort(np.array(scanner.blank_lines, np.int64))
    between = blank[blank < last_row]
    if scanner.repeated:
        notes.append(
            f"header repeated {len(scanner.repeated)} times, from {line_list(scanner.repeated)}; passed over"
        )
    if scanner.beside:
        notes.append(f"{len(scanner.beside)} lines beside the rows, {line_list(scanner.beside)}; passed over")
    if len(between):
        notes.append(f"{len(between)} blank lines between the rows, {line_list(between)}; passed over")
    if scanner.unended:
        notes.append(f"line {last_row}, the last, has no line end; its last number may be cut off")
    return notes


def _in_stored_unit(column: np.ndarray, reading: ChannelReading) -> np.ndarray:
    if reading.unit == CLOCK:
        return running(column)
    scale, offset = factor(reading.unit, reading.channel)
    if reading.sign != 1:
        column *= reading.sign
    zero = float(np.median(column[:_ZERO_ROWS])) if reading.zero == "start" else 0.0
    for shift in filter(None, (zero, reading.shift)):
        column -= shift
    if scale != 1.0:
        column *= scale
    if offset:
        column += offset
    return column


def _time_problems(channels: dict[str, np.ndarray], lines: np.ndarray | range) -> list[str]:
    """Time stamps that run backwards or stand still, with their lines."""
    if "time" not in channels:
        return []
    before, after = channels["time"][:-1], channels["time"][1:]
    if (after > before).all():
        return []
    problems = []
    for found, words in ((after < before, "decreases"), (after == before, "stands still")):
        at = np.asarray(lines[1:])[found]
        if at.size:
            problems.append(
                f"time {words} at {line_list(at.tolist())}; expected each row later than the one before: check "
                "whether measurements were joined or rows written twice"
            )
    return problems
