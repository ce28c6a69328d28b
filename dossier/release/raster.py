"""A half section as cells of two points: which region is on top where, how far the part reaches."""

from __future__ import annotations

import numpy as np

from dossier.release.outlines import Half, inside

CELL = 2.0
MOST_TARGETS = 48
OUTSIDE = -1


class Raster:
    """Region index per cell (−1 outside), rows upwards from the axis, columns from the left edge."""

    def __init__(self, half: Half, cells: np.ndarray, left: float) -> None:
        self.half, self.cells, self.left = half, cells, left

    def envelope(self, x0: float, x1: float) -> float:
        """Height of the part between two x; 0 where there is none."""
        first = max(int((x0 - self.left) // CELL), 0)
        last = min(int((x1 - self.left) // CELL) + 1, self.cells.shape[1])
        rows = np.nonzero((self.cells[:, first:last] != OUTSIDE).any(axis=1))[0]
        return float((rows[-1] + 1) * CELL) if len(rows) else 0.0

    def size_of(self, region: int) -> int:
        """Cells of a region that can be seen."""
        return int((self.cells == region).sum())

    def targets(self, region: int) -> np.ndarray:
        """Points well inside the visible region, shape (n, 2), n up to 48."""
        left = self.cells == region
        if not left.any():
            return np.zeros((0, 2))
        layers = [left]
        while layers[-1].any():
            layers.append(_eroded(layers[-1]))
        deep = layers[int(0.6 * (len(layers) - 2))]
        rows, columns = np.nonzero(deep)
        keep = np.unique(np.linspace(0, len(rows) - 1, MOST_TARGETS).astype(int))
        return np.column_stack([self.left + (columns[keep] + 0.5) * CELL, (rows[keep] + 0.5) * CELL])

    def transitions(self, starts: np.ndarray, ends: np.ndarray) -> np.ndarray:
        """How often straight lines pass from one region into another; points of shape (n, 2), result (n,)."""
        steps = np.linspace(0, 1, 40)[None, :]
        x = starts[:, :1] + steps * (ends[:, :1] - starts[:, :1])
        y = starts[:, 1:] + steps * (ends[:, 1:] - starts[:, 1:])
        columns = np.clip(((x - self.left) // CELL).astype(int), 0, self.cells.shape[1] - 1)
        rows = (y // CELL).astype(int)
        seen = np.where(
            rows < self.cells.shape[0],
            self.cells[np.clip(rows, 0, self.cells.shape[0] - 1), columns],
            OUTSIDE,
        )
        return (np.diff(seen, axis=1) != 0).sum(axis=1)


def rasterise(half: Half, k: float, middle: float, full: float, radius: float) -> Raster:
    """Cells of a half at `k` points per mm, z = `middle` at x = 0, over the width `full`, up to `radius` points."""
    columns, rows = int(np.ceil(full / CELL)), int(np.ceil(radius / CELL)) + 1
    x, y = np.meshgrid((np.arange(columns) + 0.5) * CELL - full / 2, (np.arange(rows) + 0.5) * CELL)
    cells = np.full(x.shape, OUTSIDE)
    for i, region in enumerate(half.regions):
        outlines = [[((z - middle) * k, r * k) for z, r in outline] for outline in region.outlines]
        cells[inside(outlines, x, y)] = i
    return Raster(half, cells, -full / 2)


def _eroded(mask: np.ndarray) -> np.ndarray:
    """Cells whose four neighbours belong to the mask too."""
    padded = np.pad(mask, 1)
    return mask & padded[:-2, 1:-1] & padded[2:, 1:-1] & padded[1:-1, :-2] & padded[1:-1, 2:]
