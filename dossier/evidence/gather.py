"""Columns that grow while a file is read, each number stored once."""

from __future__ import annotations

import numpy as np

_SPARE = 1.03


class Gathered:
    """`columns` (rows,) float64 and `lines` (rows,) int64, filled block by block."""

    def __init__(self, columns: int) -> None:
        self.rows = 0
        self._columns = [np.empty(0) for _ in range(columns)]
        self._lines = np.empty(0, np.int64)

    def add(self, columns: list[np.ndarray], lines: np.ndarray, share: float) -> None:
        """Take `columns` (n,) each with their `lines` (n,); `share` (0 … 1) of the file is read with them, which
        tells how much room the rest needs."""
        end = self.rows + len(lines)
        if end > len(self._lines):
            self._make_room(max(int(_SPARE * end / share), end))
        for room, column in zip(self._columns, columns, strict=True):
            room[self.rows : end] = column
        self._lines[self.rows : end] = lines
        self.rows = end

    def whole(self) -> tuple[list[np.ndarray], np.ndarray]:
        """The columns and the line numbers; the room left over is given back and nothing can be added any more."""
        for array in (*self._columns, self._lines):
            array.resize(self.rows, refcheck=False)
        return self._columns, self._lines

    def _make_room(self, capacity: int) -> None:
        self._columns = [self._larger(column, capacity) for column in self._columns]
        self._lines = self._larger(self._lines, capacity)

    def _larger(self, array: np.ndarray, capacity: int) -> np.ndarray:
        room = np.empty(capacity, array.dtype)
        room[: self.rows] = array[: self.rows]
        return room
