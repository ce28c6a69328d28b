"""Columns that grow while a file is read, each number stored once."""

from __future__ import annotations

import numpy as np

_SPARE = 1.03


class Gathered:
    """`columns` (rows,) float64 and `lines` (rows,) whole numbers, filled block by block."""

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

    def whole(self) -> tuple[list[np.ndarray], np.ndarray | range]:
        """The columns and the line numbers, a range where they follow one another; the room left over is given back and
        nothing can be added any more."""
        for column in self._columns:
            column.resize(self.rows, refcheck=False)
        parts = [part for part in self._lines if len(part)]
        if parts and int(parts[-1][-1]) - int(parts[0][0]) == self.rows - 1:
            return self._columns, range(int(parts[0][0]), int(parts[-1][-1]) + 1)
        return self._columns, np.concatenate([np.asarray(part, np.int64) for part in parts or [range(0)]])

    def _make_room(self, capacity: int) -> None:
        for place, column in enumerate(self._columns):
            self._columns[place] = np.empty(capacity)
            self._columns[place][: self.rows] = column[: self.rows]
