"""Nodal values on triangles, sampled at the dots of a drawing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from screens.widgets.section_shape import Array

Numbers = NDArray[np.int64]


class TriangleField:
    """Values linear in each triangle: `points` (n, 2) as (r, z) in mm, `triangles` (t, 3) of them, `values` (n,)."""

    def __init__(self, meshes: Sequence[tuple[Array, Numbers, Array]]) -> None:
        first = np.cumsum([0, *(len(points) for points, _, _ in meshes)])
        self.points = np.concatenate([points for points, _, _ in meshes])
        self.triangles = np.concatenate([mesh[1] + start for mesh, start in zip(meshes, first, strict=False)])
        self.values = np.concatenate([values for _, _, values in meshes])

    def __call__(self, z: Array, r: Array) -> Array:
        """Values at the dots of evenly spaced z [1, width] and r [height, 1]; nan where no triangle and no node is.

        A node counts at the dot next to it as well, so that a peak between two dots is not lost.
        """
        z, r = np.ravel(z), np.ravel(r)
        found = np.full((len(r), len(z)), -np.inf)
        if len(r) > 1 and len(z) > 1:
            x = (self.points[:, 1] - z[0]) / (z[1] - z[0])
            y = (self.points[:, 0] - r[0]) / (r[1] - r[0])
            self._at_nodes(found, np.rint(x).astype(int), np.rint(y).astype(int))
            self._inside(found, x[self.triangles], y[self.triangles])
        return np.where(np.isfinite(found), found, np.nan)

    def _at_nodes(self, found: Array, column: Numbers, row: Numbers) -> None:
        seen = (column >= 0) & (column < found.shape[1]) & (row >= 0) & (row < found.shape[0])
        np.maximum.at(found, (row[seen], column[seen]), self.values[seen])

    def _inside(self, found: Array, x: Array, y: Array) -> None:
        """Every dot of every triangle's bounding box, weighed by the areas opposite to the corners."""
        (left, wide), (top, high) = (_dots(corners, size) for corners, size in ((x, found.shape[1]), (y, found.shape[0])))
        number = wide * high
        mine = np.repeat(np.arange(len(number)), number)
        place = np.arange(len(mine)) - np.repeat(np.cumsum(number) - number, number)
        column, row = left[mine] + place % wide[mine], top[mine] + place // wide[mine]
        dx, dy = x[mine] - column[:, None], y[mine] - row[:, None]
        areas = np.stack([dx[:, i] * dy[:, j] - dx[:, j] * dy[:, i] for i, j in ((1, 2), (2, 0), (0, 1))], axis=1)
        whole = areas.sum(axis=1)
        shares = areas / np.where(whole == 0, np.nan, whole)[:, None]
        hit = (shares >= -1e-9).all(axis=1)
        values = (shares[hit] * self.values[self.triangles[mine[hit]]]).sum(axis=1)
        np.maximum.at(found, (row[hit], column[hit]), values)


def _dots(corners: Array, size: int) -> tuple[Numbers, Numbers]:
    """First whole number within each triangle along one axis, and how many there are below `size`."""
    first = np.clip(np.ceil(corners.min(axis=1)), 0, size).astype(int)
    last = np.clip(np.floor(corners.max(axis=1)), -1, size - 1).astype(int)
    return first, np.maximum(last - first + 1, 0)
