"""A picture of dots, areas and characters on a grid of terminal cells; numpy only, no toolkit.

Coordinates are dots, x to the right and y down, dot (i, j) reaching from i to i + 1. A cell is 2 x 4 dots, which
are about square on the screen. In plain mode dots are not shown: whoever draws writes characters instead.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Mask = NDArray[np.bool_]
Loops = Sequence[NDArray[np.float64]]
BRAILLE = 0x2800
CELL_WIDTH, CELL_HEIGHT = 2, 4
_BITS = np.array([[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]], dtype=np.uint32)


@dataclass(frozen=True)
class Cells:
    """The finished picture: per cell the code point, and the index of its role and of its area."""

    codes: NDArray[np.uint32]
    roles: NDArray[np.int16]
    areas: NDArray[np.int16]
    role_names: tuple[str, ...]
    area_names: tuple[str, ...]

    def text(self) -> list[str]:
        """The characters of each row."""
        return [row.tobytes().decode("utf-32-le") for row in np.ascontiguousarray(self.codes, dtype="<u4")]


class Canvas:
    """Dots and areas merge, characters lie over them. The last role drawn into a cell colours its dots."""

    def __init__(self, columns: int, rows: int, plain: bool = False) -> None:
        self.columns, self.rows, self.plain = max(columns, 0), max(rows, 0), plain
        self.width, self.height = self.columns * CELL_WIDTH, self.rows * CELL_HEIGHT
        self.dots: Mask = np.zeros((self.height, self.width), dtype=bool)
        self._codes = np.zeros((self.rows, self.columns), dtype=np.uint32)
        self._roles = np.zeros((self.rows, self.columns), dtype=np.int16)
        self._code_roles = np.zeros((self.rows, self.columns), dtype=np.int16)
        self._areas = np.zeros((self.rows, self.columns), dtype=np.int16)
        self._role_names: list[str] = ["ink"]
        self._area_names: list[str] = ["ground"]

    def role(self, name: str) -> int:
        """Index of a role."""
        return _index(self._role_names, name)

    def area(self, name: str) -> int:
        """Index of an area."""
        return _index(self._area_names, name)

    def add_dots(self, mask: Mask, role: str = "ink") -> None:
        """Set the dots of `mask` [height, width] and colour their cells."""
        self.dots |= mask
        self._roles[self.cells_with(mask)] = self.role(role)

    def add_points(self, x: NDArray[np.intp], y: NDArray[np.intp], role: str = "ink", character: str = ".") -> None:
        """Set single dots, which must lie within the canvas; in plain mode write `character` there."""
        if self.plain:
            self._codes[y // CELL_HEIGHT, x // CELL_WIDTH] = ord(character)
            self._code_roles[y // CELL_HEIGHT, x // CELL_WIDTH] = self.role(role)
            return
        self.dots[y, x] = True
        self._roles[y // CELL_HEIGHT, x // CELL_WIDTH] = self.role(role)

    def cells_with(self, mask: Mask) -> Mask:
        """Cells holding at least one dot of `mask`."""
        return self.count(mask) > 0

    def count(self, mask: Mask) -> NDArray[np.intp]:
        """Dots of `mask` in each cell, 0 to 8."""
        blocks = mask.reshape(self.rows, CELL_HEIGHT, self.columns, CELL_WIDTH)
        return blocks.sum(axis=(1, 3))

    def set_areas(self, cells: Mask, name: str) -> None:
        """Give cells [rows, columns] an area."""
        self._areas[cells] = self.area(name)

    def set_characters(self, cells: Mask, character: str, role: str = "ink", area: str | None = None) -> None:
        """Write one character into cells [rows, columns], over whatever dots they have."""
        self._codes[cells] = ord(character)
        self._code_roles[cells] = self.role(role)
        if area is not None:
            self.set_areas(cells, area)

    def clear_characters(self, cells: Mask) -> None:
        """Take characters and areas out of cells [rows, columns], so that their dots are seen."""
        self._codes[cells] = 0
        self.set_areas(cells, "ground")

    def write(self, column: int, row: int, text: str, role: str = "ink", area: str | None = "ground") -> None:
        """Write text of single-width characters, cropped at the edges; `area` None leaves what is beneath."""
        if not 0 <= row < self.rows:
            return
        for place, character in enumerate(text, column):
            if 0 <= place < self.columns:
                self._codes[row, place] = ord(character)
                self._code_roles[row, place] = self.role(role)
                if area is not None:
                    self._areas[row, place] = self.area(area)

    def is_free(self, column: int, row: int, length: int) -> bool:
        """Whether `length` cells are within the canvas and have neither dots, area nor characters."""
        if not (0 <= row < self.rows and column >= 0 and column + length <= self.columns):
            return False
        cells = np.s_[row, column : column + length]
        block = self.dots[row * CELL_HEIGHT : (row + 1) * CELL_HEIGHT,
                          column * CELL_WIDTH : (column + length) * CELL_WIDTH]
        return not (self._codes[cells].any() or self._areas[cells].any() or block.any())

    def last_used(self) -> list[int]:
        """Last column of each row that has dots, an area or a character; -1 in an empty row."""
        used = (self.count(self.dots) > 0) | (self._codes > 0) | (self._areas > 0)
        return [int(np.flatnonzero(row)[-1]) if row.any() else -1 for row in used]

    def empty_cells(self) -> Mask:
        """Cells with neither dots nor characters."""
        return (self.count(self.dots) == 0) & (self._codes == 0)

    def cells(self) -> Cells:
        """The finished picture."""
        codes = self._codes.copy()
        roles = np.where(codes > 0, self._code_roles, self._roles)
        if self.plain:
            codes[codes == 0] = ord(" ")
        else:
            blocks = self.dots.reshape(self.rows, 4, self.columns, 2)
            bits = (blocks * _BITS[None, :, None, :]).sum(axis=(1, 3), dtype=np.uint32)
            braille = np.where(bits > 0, BRAILLE + bits, ord(" ")).astype(np.uint32)
            codes = np.where(codes > 0, codes, braille)
        return Cells(codes, roles, self._areas.copy(), tuple(self._role_names), tuple(self._area_names))


def _index(names: list[str], name: str) -> int:
    if name not in names:
        names.append(name)
    return names.index(name)


def polygon_mask(loops: Loops, height: int, width: int) -> Mask:
    """Dots whose centre lies inside closed loops [n, 2] of (x, y); overlapping loops cut holes (even-odd rule)."""
    toggles = np.zeros((height, width + 1), dtype=np.int32)
    centres = np.arange(height) + 0.5
    for loop in loops:
        x0, y0 = np.asarray(loop, dtype=float).T
        x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
        down = y0 <= y1
        x0, x1 = np.where(down, x0, x1), np.where(down, x1, x0)
        y0, y1 = np.minimum(y0, y1), np.maximum(y0, y1)
        crosses = (y0[:, None] <= centres) & (centres < y1[:, None])
        edge, row = np.nonzero(crosses)
        if edge.size:
            share = (centres[row] - y0[edge]) / (y1[edge] - y0[edge])
            crossing = x0[edge] + share * (x1[edge] - x0[edge])
            column = np.clip(np.ceil(crossing - 0.5), 0, width).astype(np.intp)
            np.add.at(toggles, (row, column), 1)
    return (np.cumsum(toggles, axis=1)[:, :width] & 1).astype(bool)


def outline_mask(material: NDArray[np.integer]) -> Mask:
    """Dots at a change of material, one dot thick, on the side of the higher number (0 is void)."""
    edge = np.zeros(material.shape, dtype=bool)
    left, right = material[:, :-1], material[:, 1:]
    edge[:, :-1] |= left > right
    edge[:, 1:] |= right > left
    upper, lower = material[:-1], material[1:]
    edge[:-1] |= upper > lower
    edge[1:] |= lower > upper
    return edge


def trace(x: ArrayLike, y: ArrayLike, width: int, height: int) -> tuple[NDArray[np.intp], NDArray[np.intp], int]:
    """Dots along a line through points, in order, and how many points were needed to draw it.

    `x`, `y` are in dots; points that are not finite interrupt the line. Points that fall on the dot before them
    are dropped, no other, so every peak and every return stays. What lies outside the canvas is cut off.
    """
    x, y = np.asarray(x, dtype=float), np.asarray(y, dtype=float)
    if not (x.size and width and height):
        empty = np.zeros(0, dtype=np.intp)
        return empty, empty, 0
    with np.errstate(invalid="ignore"):
        within = bool((x >= 0).all() and (x < width).all() and (y >= 0).all() and (y < height).all())
    starts, ends, alone = _inner(x, y) if within else _clipped(x, y, width, height)
    dots = _fill(starts, ends, alone)
    needed = int(alone.sum() + (starts != ends).any(axis=0).sum())
    return dots[0].astype(np.intp), dots[1].astype(np.intp), needed


def _inner(x: NDArray[np.float64], y: NDArray[np.float64]) -> tuple[NDArray[np.int32], NDArray[np.int32], Mask]:
    """Start and end dots [2, n] of a line wholly inside, and which pieces do not continue the one before."""
    dots = np.stack([x.astype(np.int32), y.astype(np.int32)])
    kept = np.ones(x.size, dtype=bool)
    kept[1:] = (dots[0, 1:] != dots[0, :-1]) | (dots[1, 1:] != dots[1, :-1])
    dots = dots[:, kept]
    starts = np.concatenate([dots[:, :1], dots[:, :-1]], axis=1)
    alone = np.zeros(dots.shape[1], dtype=bool)
    alone[0] = True
    return starts, dots, alone


def _clipped(
    x: NDArray[np.float64], y: NDArray[np.float64], width: int, height: int
) -> tuple[NDArray[np.int32], NDArray[np.int32], Mask]:
    """The same for a line that is interrupted or leaves the canvas: its parts inside."""
    finite = np.isfinite(x) & np.isfinite(y)
    points = np.stack([np.where(finite, x, 0.0), np.where(finite, y, 0.0)])
    first = np.concatenate([points[:, :1], points[:, :-1]], axis=1)
    joined = np.concatenate([finite[:1], finite[1:] & finite[:-1]])
    single = finite & ~joined
    first[:, single] = points[:, single]
    entered, left, hit = _clip(first, points, width, height)
    chosen = (joined | single) & hit
    starts, ends = entered[:, chosen].astype(np.int32), left[:, chosen].astype(np.int32)
    alone = np.ones(starts.shape[1], dtype=bool)
    alone[1:] = (starts[:, 1:] != ends[:, :-1]).any(axis=0)
    keep = alone | (starts != ends).any(axis=0)
    return starts[:, keep], ends[:, keep], alone[keep]


def _fill(starts: NDArray[np.int32], ends: NDArray[np.int32], alone: Mask) -> NDArray[np.int32]:
    """All dots [2, m] of the pieces in order, each dot once where a piece continues the one before."""
    run = ends - starts
    steps = np.abs(run).max(axis=0) if run.size else np.zeros(0, dtype=np.int32)
    counts = steps + alone
    last = np.cumsum(counts)
    dots = np.empty((2, int(last[-1]) if last.size else 0), dtype=np.int32)
    dots[:, last[counts > 0] - 1] = ends[:, counts > 0]
    long = np.flatnonzero(counts > 1)
    size = counts[long]
    within = np.arange(int(size.sum())) - np.repeat(np.cumsum(size) - size, size)
    share = (within + 1 - np.repeat(alone[long], size)) / np.repeat(np.maximum(steps[long], 1), size)
    places = np.repeat(last[long] - size, size) + within
    for axis in (0, 1):
        dots[axis, places] = np.repeat(starts[axis, long], size) + np.rint(share * np.repeat(run[axis, long], size))
    return dots


def _clip(
    starts: NDArray[np.float64], ends: NDArray[np.float64], width: int, height: int
) -> tuple[NDArray[np.float64], NDArray[np.float64], Mask]:
    """Parts [2, n] of segments inside the canvas (parametric clipping on its four edges), and which have one."""
    limits = np.array([[width], [height]]) - 1e-9
    run = ends - starts
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        low, high = -starts / run, (limits - starts) / run
    inside = (starts >= 0) & (starts <= limits)
    parallel = run == 0
    enter = np.where(parallel, np.where(inside, -np.inf, np.inf), np.minimum(low, high)).max(axis=0)
    leave = np.where(parallel, np.where(inside, np.inf, -np.inf), np.maximum(low, high)).min(axis=0)
    hit = (enter <= leave) & (enter <= 1.0) & (leave >= 0.0)
    first = np.clip(starts + np.clip(enter, 0.0, 1.0) * run, 0.0, limits)
    last = np.clip(starts + np.clip(leave, 0.0, 1.0) * run, 0.0, limits)
    return first, last, hit


def sparse(count: int, period: int) -> Mask:
    """Every `period`-th of `count` dots along a line, beginning with the first."""
    return np.arange(count) % max(period, 1) == 0


def ring_cells(x: NDArray[np.intp], y: NDArray[np.intp], every: int) -> NDArray[np.intp]:
    """Cells [n, 2] of (column, row) along a line of dots, every `every`-th cell the line comes to."""
    columns, rows = x // CELL_WIDTH, y // CELL_HEIGHT
    if not columns.size:
        return np.zeros((0, 2), dtype=np.intp)
    new = np.ones(columns.size, dtype=bool)
    new[1:] = (columns[1:] != columns[:-1]) | (rows[1:] != rows[:-1])
    cells = np.stack([columns[new], rows[new]], axis=1)
    return cells[every // 2 :: every]
