"""Columns that grow while a file is read, each number stored once."""

from __future__ import annotations

import numpy as np

_SPARE = 1.03


class Gathered:
    """`columns` (rows,) float64 and `lines` (rows,) int32, int64 where that is too short, filled block by block."""

    def __init__(self, columns: int) -> None:
        self.rows = 0
        self._columns = [np.empty(0) for _ in range(columns)]
        self._lines: list[np.ndarray | range] = []

    def add(self, columns: list[np.ndarray], lines: np.ndarray | range, share: float) -> None:
        """Take `columns` (n,) each with their `lines` (n,); `share` (0 … 1) of the file is read with them, which
        tells how much room the rest needs."""
        end = self.rows + len(lines)
        if end > len(self._columns[0]):
            self._make_room(max(int(_SPARE * end / share), end))
        for room, column in zip(self._columns, columns, strict=True):
            room[self.rows : end] = column
        self._lines.append(lines)
        self.rows = end

    def whole(self) -> tuple[list[np.ndarray], np.ndarray]:
        """The columns and the line numbers; the room left over is given back and nothing can be added any more."""
        for column in self._columns:
            column.resize(self.rows, refcheck=False)
        last = max((int(part[-1]) for part in self._lines if len(part)), default=0)
        lines, end = np.empty(self.rows, np.int32 if last <= np.iinfo(np.int32).max else np.int64), 0
        for part in self._lines:
            start, end = end, end + len(part)
            lines[start:end] = np.arange(part.start, part.stop) if isinstance(part, range) else part
        return self._columns, lines

    def _make_room(self, capacity: int) -> None:
        for place, column in enumerate(self._columns):
            self._columns[place] = np.empty(capacity)
            self._columns[place][: self.rows] = column[: self.rows]
