"""The joint's section as plain data, and where its points fall on a grid of cells."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from screens.widgets.raster_canvas import CELL_HEIGHT, CELL_WIDTH, Canvas, Mask, outline_mask, polygon_mask, trace

Array = NDArray[np.float64]
# Utilisation at evenly spaced dots: z [1, width] and r [height, 1] (mm, r >= 0) to values [height, width], nan where
# there is none.
Field = Callable[[Array, Array], Array]
THIN = ("C",)
THIN_WINS = 3
ZOOMS = (1, 2, 4, 8)


@dataclass(frozen=True)
class Region:
    """One material of the section: balloon letter A to F and closed loops [n, 2] of (z, r) in mm, r >= 0.

    Loops inside loops are holes. `changed` marks another material than the reference's; `flip` turns the hatch
    of a second ring beside the first.
    """

    key: str
    loops: Sequence[Array]
    changed: bool = False
    flip: bool = False


@dataclass(frozen=True)
class CallOut:
    """A text beside the drawing at the height of a point of the upper or lower half, z and r in mm."""

    key: str
    text: str
    z: float
    r: float
    upper: bool = True


@dataclass(frozen=True)
class Span:
    """A length along the axis, `|<---- 42.0 ring ---->|`, from z0 to z1 in mm, under the drawing."""

    z0: float
    z1: float
    text: str


@dataclass(frozen=True)
class Section:
    """Reference above the axis, variant below it, with their names and what is written beside them; `outer` is what the
    region D is."""

    reference: Sequence[Region]
    variant: Sequence[Region]
    names: tuple[str, str] = ("reference", "variant")
    call_outs: Sequence[CallOut] = ()
    spans: Sequence[Span] = ()
    outer: str = "ring"


@dataclass(frozen=True)
class View:
    """What is looked at: the middle (z, signed r: above the axis positive) in mm, and the zoom 1, 2, 4 or 8."""

    z: float = 0.0
    r: float = 0.0
    zoom: int = 1


@dataclass(frozen=True)
class Projection:
    """From mm to dots. A column is `mm` wide and a row twice as high; the axis lies between two rows."""

    mm: float
    left: float
    top: float

    def dots(self, z: Array, r: Array) -> tuple[Array, Array]:
        """Dots of points; r is signed, above the axis positive."""
        return (z - self.left) / self.mm * CELL_WIDTH, (self.top - r) / (2 * self.mm) * CELL_HEIGHT

    def cell(self, z: float, r: float) -> tuple[int, int]:
        """Column and row of a point."""
        return math.floor((z - self.left) / self.mm + 1e-9), math.floor((self.top - r) / (2 * self.mm) + 1e-9)

    def middle(self, column: int, row: int) -> tuple[float, float]:
        """z and signed r of the middle of a cell."""
        return self.left + (column + 0.5) * self.mm, self.top - (row + 0.5) * 2 * self.mm

    @property
    def axis_row(self) -> int:
        """The first row below the axis."""
        return round(self.top / (2 * self.mm))

    def centres(self, canvas: Canvas) -> tuple[Array, Array]:
        """z [1, width] and signed r [height, 1] of the middles of all dots."""
        z = self.left + (np.arange(canvas.width) + 0.5) * self.mm / CELL_WIDTH
        r = self.top - (np.arange(canvas.height) + 0.5) * 2 * self.mm / CELL_HEIGHT
        return z[None, :], r[:, None]


def bounds(regions: Sequence[Region]) -> tuple[float, float, float]:
    """Least z, greatest z and greatest r of the regions, mm; a millimetre where there are none."""
    loops = [np.asarray(loop, dtype=float) for region in regions for loop in region.loops if len(loop)]
    if not loops:
        return -0.5, 0.5, 0.5
    points = np.concatenate(loops)
    return float(points[:, 0].min()), float(points[:, 0].max()), float(points[:, 1].max())


def projection(section: Section, view: View, canvas: Canvas, beside: bool = False) -> Projection:
    """The scale at which all of it fits at zoom 1, rounded up to two digits, and the part in view.

    With `beside` what is left over in width stays at the right for call-outs.
    """
    low, high, upper = bounds(section.reference)
    other = bounds(section.variant) if section.variant else (low, high, upper)
    low, high, lower = min(low, other[0]), max(high, other[1]), other[2]
    columns, rows = max(canvas.columns, 1), max(canvas.rows - span_rows(section, canvas), 2)
    whole, above, below = _fitting(high - low, upper, lower, columns, rows)
    mm = whole / view.zoom
    if view.zoom == 1:
        spare = math.floor(columns - (high - low) / mm + 1e-9)
        left = low - (0 if beside else spare // 2) * mm
        top = (above + (rows - above - below) // 2) * 2 * mm
    else:
        left = _snap(view.z - columns * mm / 2, mm)
        top = _snap(view.r + rows * mm, 2 * mm)
    return Projection(mm, left, top)


def _fitting(length: float, upper: float, lower: float, columns: int, rows: int) -> tuple[float, int, int]:
    """The least scale of two digits, mm per column, and the rows it takes above and below the axis."""
    mm = _rounded_up(max(length / columns, (upper + lower) / (2 * rows), 1e-6))
    while True:
        above, below = (max(math.ceil(radius / (2 * mm) - 1e-9), 1) for radius in (upper, lower))
        if above + below <= rows:
            return mm, above, below
        mm = _rounded_up(mm * 1.001)


def span_rows(section: Section, canvas: Canvas) -> int:
    """Rows kept free under the drawing for lengths along the axis."""
    return 1 if section.spans and canvas.rows >= 18 else 0


def _rounded_up(value: float) -> float:
    power = 10.0 ** (math.floor(math.log10(value)) - 1)
    return math.ceil(value / power - 1e-9) * power


def _snap(value: float, step: float) -> float:
    return round(value / step) * step


@dataclass(frozen=True)
class Half:
    """Materials of one half: per dot the number of its region (1, 2, ..., 0 for void), and keys drawn too thick.

    `inside` are the dots of the half, whose edge at the axis is not an outline; the canvas's edges are one when
    the whole part is shown (`whole`).
    """

    material: NDArray[np.int8]
    regions: Sequence[Region]
    inside: Mask
    whole: bool = True
    thickened: tuple[str, ...] = ()

    def mask(self, number: int) -> Mask:
        """Dots of a region, numbered from 1."""
        return self.material == number

    def outline(self, number: int | None = None) -> Mask:
        """Outline dots of all regions, or of one; none along the axis."""
        material = self.material if number is None else self.mask(number).astype(np.int8)
        across = material.copy()
        edge = np.flatnonzero(self.inside[1:, :1].any(axis=1) != self.inside[:-1, :1].any(axis=1))
        for row in edge:
            if self.inside[row, 0]:
                across[row + 1] = material[row]
            else:
                across[row] = material[row + 1]
        edges = outline_mask(across)
        if self.whole:
            for border in (np.s_[:, 0], np.s_[:, -1], np.s_[0], np.s_[-1]):
                edges[border] |= across[border] > 0
        return edges & self.inside


def half(
    regions: Sequence[Region], place: Projection, canvas: Canvas, upper: bool, whole: bool = True
) -> Half:
    """Materials above or below the axis. A thin layer below two dots is drawn thicker so that it never vanishes."""
    material = np.zeros((canvas.height, canvas.width), dtype=np.int8)
    axis = min(max(place.axis_row * CELL_HEIGHT, 0), canvas.height)
    inside = np.zeros(material.shape, dtype=bool)
    inside[:axis] = upper
    inside[axis:] = not upper
    thickened = []
    for number, region in enumerate(regions, 1):
        loops = [_in_dots(loop, place, upper) for loop in region.loops if len(loop) > 2]
        material[polygon_mask(loops, canvas.height, canvas.width) & inside] = number
    for number, region in enumerate(regions, 1):
        if region.key in THIN and 0 < thickness(region) < 2 * place.mm / CELL_WIDTH:
            grown = _grown((material == number) | _traced(region, place, canvas, upper) & inside) & (material > 0)
            if grown.any():
                material[grown] = number
                thickened.append(region.key)
    return Half(material, regions, inside, whole, tuple(thickened))


def _in_dots(loop: Array, place: Projection, upper: bool) -> Array:
    points = np.asarray(loop, dtype=float)
    return np.stack(place.dots(points[:, 0], points[:, 1] if upper else -points[:, 1]), axis=1)


def thickness(region: Region) -> float:
    """Mean thickness of a layer, mm: twice its area over its length of outline."""
    area = length = 0.0
    for loop in region.loops:
        points = np.asarray(loop, dtype=float)
        following = np.roll(points, -1, axis=0)
        area += abs(np.sum(points[:, 0] * following[:, 1] - following[:, 0] * points[:, 1])) / 2
        length += float(np.hypot(*(following - points).T).sum())
    return 2 * area / length if length else 0.0


def _traced(region: Region, place: Projection, canvas: Canvas, upper: bool) -> Mask:
    """Dots along the outline of a region, which are there however thin it is."""
    dots = np.zeros((canvas.height, canvas.width), dtype=bool)
    for loop in region.loops:
        points = _in_dots(np.concatenate([loop, loop[:1]]), place, upper)
        x, y, _ = trace(points[:, 0], points[:, 1], canvas.width, canvas.height)
        dots[y, x] = True
    return dots


def _grown(mask: Mask) -> Mask:
    grown = mask.copy()
    grown[1:] |= mask[:-1]
    grown[:-1] |= mask[1:]
    grown[:, 1:] |= mask[:, :-1]
    grown[:, :-1] |= mask[:, 1:]
    return grown


def majority(parts: Half, canvas: Canvas) -> NDArray[np.int8]:
    """Number of the region each cell belongs to, 0 for void: the one with most dots, of equals the last listed.

    A cell half void stays void, so that fills keep within their outlines.
    A thin layer takes a cell from 3 of 8 dots on where it has none above or below, so that it never vanishes and
    yet leaves its neighbours theirs.
    """
    counts = np.stack([canvas.count(parts.mask(number)) for number in range(len(parts.regions) + 1)])
    most = (len(parts.regions) - np.argmax(counts[::-1], axis=0)).astype(np.int8)
    most[counts[0] * 2 >= CELL_WIDTH * CELL_HEIGHT] = 0
    cells = most.copy()
    for number, region in enumerate(parts.regions, 1):
        if region.key in THIN:
            padded = np.pad(most == number, ((1, 1), (0, 0)))
            cells[(counts[number] >= THIN_WINS) & ~padded[:-2] & ~padded[2:]] = number
    return cells
