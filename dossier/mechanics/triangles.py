"""Triangles between given boundary corners: graded points inside, Delaunay triangulation, corners kept as given."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

GROWTH = 0.35
"""Increase of the size per mm away from the boundary."""

LEVEL_RATIO = 1.4
CLEARANCE = 0.75
"""Least distance of an inner point from a boundary corner or another one, as a share of the size there."""

REACH = 6
"""Steps of a finer grid around a corner within which it is wanted: (1.2 · LEVEL_RATIO · step − size)/GROWTH, size ≥ 0,
less what the clearance takes."""

SMOOTHING = 2
ATTEMPTS = 4


def triangulate(corners: Array, coarse: float) -> tuple[Array, Numbers]:
    """Triangles of a simple polygon, counter-clockwise `corners` (n, 2), no larger than about `coarse` mm.

    Returns points (p, 2), the given corners first, and triangles (t, 3), counter-clockwise. The area next to a
    corner is as fine as the boundary there. Raises ValueError naming the place where a side of the polygon cannot
    be kept: two sides lie too close together for their division.
    """
    inner = _inner_points(corners, coarse)
    for _ in range(ATTEMPTS):
        points, triangles = _smoothed(corners, inner)
        missing = _missing_sides(triangles, len(corners))
        if not len(missing):
            return points, triangles
        inner = _away_from(inner, corners, missing)
    first = corners[missing[0]]
    raise ValueError(
        f"mesh: the outline near r = {first[0]:.4g} mm, z = {first[1]:.4g} mm lies closer to another part of it than its "
        "division allows; enlarge the wall there or divide it finer"
    )


def inside(corners: Array, points: Array) -> NDArray[np.bool_]:
    """Whether each of `points` (p, 2) lies in the polygon of `corners` (n, 2), by the parity of crossings."""
    start, end = corners, np.roll(corners, -1, axis=0)
    level = (start[None, :, 1] <= points[:, None, 1]) != (end[None, :, 1] <= points[:, None, 1])
    rise = np.where(end[:, 1] == start[:, 1], 1.0, end[:, 1] - start[:, 1])
    at = start[:, 0] + (points[:, None, 1] - start[:, 1]) * ((end[:, 0] - start[:, 0]) / rise)
    return (level & (at > points[:, None, 0])).sum(axis=1) % 2 == 1


def _inner_points(corners: Array, coarse: float) -> Array:
    """Points of triangular grids from coarse to fine, kept where the size asked for is that of the grid."""
    from scipy.spatial import cKDTree

    side = np.hypot(*(np.roll(corners, -1, axis=0) - corners).T)
    size = (side + np.roll(side, 1)) / 2
    tree, finest = cKDTree(corners), max(size.min(), coarse / 200)
    kept, step = np.empty((0, 2)), coarse
    while True:
        grid = _triangular_grid(corners, step, None if step == coarse else corners[size < 2 * step])
        distance, nearest = tree.query(grid)
        wanted = np.minimum(coarse, size[nearest] + GROWTH * distance)
        chosen = (wanted >= step * 0.85) & (distance > CLEARANCE * size[nearest])
        if step < coarse:
            chosen &= wanted < step * LEVEL_RATIO * 1.2
        grid, wanted = grid[chosen], wanted[chosen]
        if len(kept) and len(grid):
            far = cKDTree(kept).query(grid)[0] > 0.85 * wanted
            grid = grid[far]
        kept = np.concatenate([kept, grid[inside(corners, grid)]])
        if step <= finest * 1.05:
            return kept
        step = max(step / LEVEL_RATIO, finest)


def _triangular_grid(corners: Array, step: float, around: Array | None) -> Array:
    """Points of a triangular grid over the polygon, or only those within some steps `around` given places (n, 2)."""
    low, high = corners.min(axis=0), corners.max(axis=0)
    spacing = np.array([step, step * 0.866])
    if around is None:
        count = np.ceil((high - low) / spacing).astype(np.int64) + 1
        cell = np.stack(np.meshgrid(np.arange(count[0]), np.arange(count[1])), axis=-1).reshape(-1, 2)
    else:
        reach = np.arange(-REACH, REACH + 1)
        around_one = np.stack(np.meshgrid(reach, reach), axis=-1).reshape(1, -1, 2)
        cell = (np.round((around - low) / spacing).astype(np.int64)[:, None] + around_one).reshape(-1, 2)
        rows = int(np.ceil((high[1] - low[1]) / spacing[1])) + 1
        cell = cell[((cell >= 0) & (cell <= [1 << 30, rows])).all(axis=1)]
        code = np.unique(cell[:, 0] * (rows + 1) + cell[:, 1])
        cell = np.stack([code // (rows + 1), code % (rows + 1)], axis=1)
    points = low + (cell + 0.5) * spacing
    points[:, 0] += np.where(cell[:, 1] % 2 == 1, step / 2, 0.0)
    return points[(points < high).all(axis=1)]


def _smoothed(corners: Array, inner: Array) -> tuple[Array, Numbers]:
    """Triangulation after moving each inner point towards the middle of its neighbours."""
    count = len(corners)
    points = np.concatenate([corners, inner])
    triangles = _delaunay(points, corners)
    if not len(inner):
        return points, triangles
    for _ in range(SMOOTHING):
        sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
        sides = np.concatenate([sides, sides[:, ::-1]])
        number = np.bincount(sides[:, 0], minlength=len(points))
        middle = np.stack([np.bincount(sides[:, 0], points[sides[:, 1], axis], len(points)) for axis in (0, 1)], axis=1)
        moved = number[count:] > 0
        points[count:][moved] = middle[count:][moved] / number[count:, None][moved]
    return points, _delaunay(points, corners)


def _delaunay(points: Array, corners: Array) -> Numbers:
    from scipy.spatial import Delaunay

    triangles = Delaunay(points).simplices.astype(np.int64)
    first, second, third = (points[triangles[:, place]] for place in range(3))
    one, other = second - first, third - first
    area = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    longest = np.maximum.reduce([np.square(a - b).sum(axis=1) for a, b in ((first, second), (second, third), (third, first))])
    kept = (np.abs(area) > 1e-6 * longest) & inside(corners, (first + second + third) / 3)
    triangles, area = triangles[kept], area[kept]
    triangles[area < 0] = triangles[area < 0][:, [0, 2, 1]]
    return triangles


def _missing_sides(triangles: Numbers, count: int) -> Numbers:
    """Numbers of the polygon's sides that no triangle has."""
    sides = np.concatenate([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    have = np.zeros(count, bool)
    own = sides[(sides < count).all(axis=1)]
    have[own[(own[:, 0] + 1) % count == own[:, 1], 0]] = True
    return np.flatnonzero(~have)


def _away_from(inner: Array, corners: Array, sides: Numbers) -> Array:
    """Inner points outside the circles over the given sides."""
    start, end = corners[sides], corners[(sides + 1) % len(corners)]
    middle, radius = (start + end) / 2, np.hypot(*(end - start).T) / 2
    distance = np.hypot(*(inner[:, None] - middle[None]).transpose(2, 0, 1))
    return inner[(distance > radius).all(axis=1)]
