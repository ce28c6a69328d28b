"""Areas above a level of a field on triangles, as closed outlines: exact for values linear in each triangle."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True)
class Outline:
    """A closed outline, the area on its left: `points` (n, 2); `inner` (n,), whether the edge from a point to the next
    is a line of the level, not the border of the field."""

    points: Array
    inner: Flags

    @property
    def area(self) -> float:
        """Signed area; a hole counts negative."""
        x, y = self.points.T
        return float(x @ np.roll(y, -1) - np.roll(x, -1) @ y) / 2

    @property
    def moment(self) -> float:
        """Integral of y over the area, signed likewise: with y as radius, the revolved volume over 2 π."""
        x, y = self.points.T
        along, up = np.roll(x, -1), np.roll(y, -1)
        return float(((y + up) * (x * up - along * y)).sum()) / 6

    def lines(self) -> list[Array]:
        """The runs of level line in it, each (m, 2); one around a whole outline ends where it begins."""
        if self.inner.all():
            return [np.concatenate([self.points, self.points[:1]])]
        first = int(np.flatnonzero(~self.inner)[0])
        points, inner = np.roll(self.points, -first, axis=0), np.roll(self.inner, -first)
        points = np.concatenate([points, points[:1]])
        steps = np.diff(np.concatenate([[False], inner, [False]]).astype(int))
        starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
        return [points[start : end + 1] for start, end in zip(starts, ends, strict=True)]


class TriangleField:
    """Values at the corners of triangles: `points` (n, 2), `triangles` (t, 3) of their numbers, `values` (n,).

    Raises ValueError if the shapes do not fit, a number is not finite, or a triangle has no area.
    """

    def __init__(self, points: ArrayLike, triangles: ArrayLike, values: ArrayLike) -> None:
        self.points, self.values = np.asarray(points, dtype=float), np.asarray(values, dtype=float)
        corners = np.asarray(triangles, dtype=np.int64)
        if len(self.points) != len(self.values):
            raise ValueError(f"field: {len(self.points)} points have {len(self.values)} values; give one value for each point")
        if not (np.isfinite(self.points).all() and np.isfinite(self.values).all()):
            raise ValueError("field: a coordinate or value is no finite number; leave its triangles out")
        self.triangles = _turned(self.points, corners)
        self._border = _border(self.triangles, len(self.points))

    def above(self, level: float) -> list[Outline]:
        """Outlines of the area where the value is at least `level`, holes too; all of it for minus infinity."""
        inside = self.values >= level
        starts, ends, inner = self._edges(inside)
        return [Outline(self._places(keys, inside, level), flags) for keys, flags in _chained(starts, ends, inner)]

    def _edges(self, inside: Flags) -> tuple[Numbers, Numbers, Flags]:
        """Edges of the area as keys of start and end: a cut of the edge between nodes i < j is i n + j, a node i n + i."""
        corners, within = self.triangles, inside[self.triangles]
        mixed = within.any(axis=1) & ~within.all(axis=1)
        corners, within = corners[mixed], within[mixed]
        after, follows = np.roll(corners, -1, axis=1), np.roll(within, -1, axis=1)
        cut = self._key(corners, after)
        leaves, enters = cut[within & ~follows], cut[~within & follows]
        a, b = self._border
        a, b = a[inside[a] | inside[b]], b[inside[a] | inside[b]]
        starts = np.where(inside[a], self._key(a, a), self._key(a, b))
        ends = np.where(inside[b], self._key(b, b), self._key(a, b))
        inner = np.arange(len(leaves) + len(starts)) < len(leaves)
        return np.concatenate([leaves, starts]), np.concatenate([enters, ends]), inner

    def _key(self, a: Numbers, b: Numbers) -> Numbers:
        return np.minimum(a, b) * len(self.points) + np.maximum(a, b)

    def _places(self, keys: Numbers, inside: Flags, level: float) -> Array:
        low, high = np.divmod(keys, len(self.points))
        at_low, at_high = self.values[low], self.values[high]
        cut = inside[low] != inside[high]
        share = np.where(cut, (level - at_low) / np.where(cut, at_high - at_low, 1.0), 0.0) if cut.any() else np.zeros(len(keys))
        return self.points[low] + share[:, None] * (self.points[high] - self.points[low])


def _turned(points: Array, triangles: Numbers) -> Numbers:
    """The triangles, all counter-clockwise."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (c[:, 0] - a[:, 0]) * (b[:, 1] - a[:, 1])
    if not twice.all():
        raise ValueError(f"field: triangle {int(np.flatnonzero(twice == 0)[0])} has no area; leave it out")
    return np.where((twice < 0)[:, None], triangles[:, ::-1], triangles)


def _border(triangles: Numbers, count: int) -> tuple[Numbers, Numbers]:
    """Edges of one triangle only, with the field on their left."""
    start, end = triangles.ravel(), np.roll(triangles, -1, axis=1).ravel()
    single = ~np.isin(start * count + end, end * count + start)
    return start[single], end[single]


def _chained(starts: Numbers, ends: Numbers, inner: Flags) -> list[tuple[Numbers, Flags]]:
    """The edges put together to closed runs."""
    leaving: dict[int, list[int]] = defaultdict(list)
    for number, key in enumerate(starts.tolist()):
        leaving[key].append(number)
    goal = ends.tolist()
    runs, left = [], [True] * len(goal)
    for number in range(len(goal)):
        run = []
        while left[number]:
            left[number] = False
            run.append(number)
            number = next((one for one in leaving[goal[number]] if left[one]), number)
        if run:
            runs.append((starts[run], inner[run]))
    return runs
