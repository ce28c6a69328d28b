"""Where balloons, dimensions and labels of a section drawing stand: outside the part, clear of each other.

All lengths in points, x from the middle of the drawing, y from the axis, upwards; each half is planned as if it
stood above the axis and then turned over.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from dossier.release.outlines import Half, Point, extent
from dossier.release.raster import Raster, rasterise

Box = tuple[float, float, float, float]


@dataclass(frozen=True)
class Balloon:
    """A letter in a circle, its leader to a dot on the region."""

    key: str
    centre: Point
    target: Point

    RADIUS = 6


@dataclass(frozen=True)
class DimensionPlace:
    """Line, extension lines (foot, end), place and alignment of the text, its box, one arrowhead or two."""

    start: Point
    end: Point
    both: bool
    extensions: tuple[tuple[Point, Point], ...]
    text_at: Point
    align: str
    box: Box
    plate: bool


@dataclass(frozen=True)
class Plan:
    """Heights above and below the axis, and what stands where."""

    above: float
    below: float
    variant_label: float
    balloons: tuple[Balloon, ...]
    dimensions: tuple[DimensionPlace, ...]


_EDGE, _LINE, _LEVEL = 4.0, 12.0, 13.0
_CLEAR = 9.0  # from a balloon's centre to the part


@lru_cache(maxsize=32)
def plan_drawing(
    reference: Half, variant: Half, k: float, middle: float, full: float,
    corners: tuple[tuple[float, float], tuple[float, float]], note: tuple[float, float], bar: tuple[float, float],
    dimensions: tuple[tuple[str, Point, Point, float], ...],
) -> Plan:  # fmt: skip
    """Plan a drawing at `k` points per mm with z = `middle` at x = 0, `full` points wide.

    `corners` are width and height of the labels of both halves (left), `note` of the one at the upper right,
    `bar` of the scale bar at the lower right. `dimensions` are half, start, end (mm) and width of the text.
    """
    radius = extent((reference, variant))[2] * k
    places: list[DimensionPlace | None] = [None] * len(dimensions)
    balloons: list[Balloon] = []
    heights, labels = [], []
    for half, name, sign, own, other in (
        (reference, "reference", 1, corners[0], note), (variant, "variant", -1, corners[1], bar),
    ):  # fmt: skip
        raster = rasterise(half, k, middle, full, radius)
        boxes: list[Box] = []
        for i, (which, start, end, width) in enumerate(dimensions):
            if which == name:
                place = _dimension(raster, start, end, width, k, middle, full, boxes, sign)
                places[i] = place
                boxes.append(place.box)
        height, label_boxes = _height(raster, radius, full, own, other, boxes)
        balloons.extend(
            Balloon(b.key, _turned(b.centre, sign), _turned(b.target, sign))
            for b in _balloons(raster, _called_out(half, reference, sign), full, height, boxes + label_boxes)
        )
        heights.append(height)
        labels.append(label_boxes[0][3])
    turned = tuple(_turn_place(p, dimensions[i][0]) for i, p in enumerate(places) if p is not None)
    if len(turned) != len(dimensions):
        wrong = next(d[0] for d, p in zip(dimensions, places, strict=True) if p is None)
        raise ValueError(f'dimension.half = "{wrong}" must be "reference" or "variant"; name one of them')
    return Plan(
        heights[0] + 2, heights[1] + 4, heights[1] + 2 - _EDGE - (corners[1][1] - 4), tuple(balloons), turned
    )


def _called_out(half: Half, reference: Half, sign: int) -> list[int]:
    """Regions that get a balloon: all of the reference, of the variant those that changed or are new."""
    known = {region.key for region in reference.regions}
    chosen: dict[str, int] = {}
    for i, region in enumerate(half.regions):
        wanted = sign > 0 or region.changed or region.key not in known
        if region.key and region.outlines and wanted:
            chosen.setdefault(region.key, i)
    return list(chosen.values())


def _height(
    raster: Raster,
    radius: float,
    full: float,
    own: tuple[float, float],
    other: tuple[float, float],
    boxes: list[Box],
) -> tuple[float, list[Box]]:
    """Height of a half so that the label on the left and the words on the right are clear of the part."""
    left_edge, right_edge = -full / 2, full / 2
    left = raster.envelope(left_edge, left_edge + own[0] + _EDGE) + _EDGE + own[1]
    right = raster.envelope(right_edge - other[0] - _EDGE, right_edge) + _EDGE + other[1]
    height = max(radius + 6, left, right, *(box[3] + 3 for box in boxes), 0.0)
    labels = [
        (left_edge, height - own[1], left_edge + own[0], height),
        (right_edge - other[0], height - other[1], right_edge, height),
    ]
    while any(_overlap(label, box) for label in labels for box in boxes):
        height += 4
        labels = [(x0, y0 + 4, x1, y1 + 4) for x0, y0, x1, y1 in labels]
    return height, labels


def _dimension(
    raster: Raster, start: Point, end: Point, width: float, k: float, middle: float, full: float,
    boxes: list[Box], sign: int,
) -> DimensionPlace:  # fmt: skip
    (x0, y0), (x1, y1) = (((z - middle) * k, r * k) for z, r in (start, end))
    if abs(x1 - x0) <= abs(y1 - y0):
        return _across(x0, (y0, y1), width, full)
    if x0 > x1:
        x0, y0, x1, y1 = x1, y1, x0, y0
    y = raster.envelope(x0 - 3, x1 + 3) + _LINE
    fits = width + 2 <= x1 - x0
    text_x = (x0 + x1) / 2 if fits else x1 + 14
    if not fits and text_x + width > full / 2:
        text_x = x0 - 14 - width
    left = text_x - width / 2 if fits else text_x
    while any(_overlap((min(x0, left) - 2, y - 9, max(x1, left + width) + 2, y + 9), box) for box in boxes):
        y += _LEVEL
    upwards = sign if fits else -sign  # upright on paper: over its line, or at its end and level with it
    box = (min(left, x0), y - (2 if sign > 0 else 9), max(left + width, x1), y + (9 if sign > 0 else 2))
    return DimensionPlace(
        (x0, y), (x1, y), True, (((x0, y0 + 2), (x0, y + 2)), ((x1, y1 + 2), (x1, y + 2))),
        (text_x, y + 2.4 * upwards), "c" if fits else "l", box, False,
    )  # fmt: skip


def _across(x: float, reach: tuple[float, float], width: float, full: float) -> DimensionPlace:
    low, high = sorted(reach)
    on_left = x - 3 - width > -full / 2
    middle = (low + high) / 2
    left = x - 3 - width if on_left else x + 3
    box = (left, middle - 3, left + width, middle + 4.5)
    place = (x - 3 if on_left else x + 3, middle)
    return DimensionPlace((x, low), (x, high), low > 0, (), place, "r" if on_left else "l", box, True)


def _balloons(
    raster: Raster, chosen: list[int], full: float, height: float, boxes: list[Box]
) -> list[Balloon]:
    spots = _spots(raster, full, height, boxes)
    placed: list[Balloon] = []
    for i in sorted(chosen, key=raster.size_of):
        targets = raster.targets(i)
        if not len(targets) or not len(spots):
            continue
        best = _best(raster, targets, spots, placed, boxes)
        placed.append(Balloon(raster.half.regions[i].key, *best))
    return placed


def _spots(raster: Raster, full: float, height: float, boxes: list[Box]) -> np.ndarray:
    """Places for centres of balloons: above the part, inside the drawing, clear of texts; shape (n, 2)."""
    spots = []
    for x in np.arange(-full / 2 + 8, full / 2 - 8, 6.0):
        lowest = raster.envelope(x - _CLEAR, x + _CLEAR) + _CLEAR
        for y in np.arange(lowest, height - 7, 6.0):
            around = (x - 8, y - 8, x + 8, y + 8)
            if not any(_overlap(around, box) for box in boxes):
                spots.append((x, y))
    return np.array(spots).reshape(-1, 2)


def _best(
    raster: Raster, targets: np.ndarray, spots: np.ndarray, placed: list[Balloon], boxes: list[Box]
) -> tuple[Point, Point]:
    """Centre and target of the cheapest leader: short, through few regions, crossing nothing placed before."""
    lengths = np.hypot(*(spots[None, :, :] - targets[:, None, :]).transpose(2, 0, 1))
    lengths[lengths < 15] = np.inf
    nearest = np.argsort(lengths, axis=1, kind="stable")[:, :14]
    rows = np.repeat(np.arange(len(targets)), nearest.shape[1])
    columns = nearest.ravel()
    cost = lengths[rows, columns] + 12 * raster.transitions(targets[rows], spots[columns])
    order = np.argsort(cost, kind="stable")
    for j in order:
        centre, target = tuple(spots[columns[j]]), tuple(targets[rows[j]])
        if all(_apart(centre, target, other) for other in placed) and not _through(centre, target, boxes):
            return centre, target
    return tuple(spots[columns[order[0]]]), tuple(targets[rows[order[0]]])


def _apart(centre: Point, target: Point, other: Balloon) -> bool:
    if np.hypot(centre[0] - other.centre[0], centre[1] - other.centre[1]) < 20:
        return False
    if _distance(other.centre, centre, target) < 9 or _distance(centre, other.centre, other.target) < 9:
        return False
    return not _cross(centre, target, other.centre, other.target)


def _through(a: Point, b: Point, boxes: list[Box]) -> bool:
    steps = np.linspace(0, 1, 24)
    xs, ys = a[0] + steps * (b[0] - a[0]), a[1] + steps * (b[1] - a[1])
    return any(bool(((xs > x0) & (xs < x1) & (ys > y0) & (ys < y1)).any()) for x0, y0, x1, y1 in boxes)


def _distance(point: Point, a: Point, b: Point) -> float:
    along = np.array(b) - a
    t = np.clip(np.dot(np.array(point) - a, along) / max(np.dot(along, along), 1e-9), 0, 1)
    return float(np.hypot(*(np.array(a) + t * along - point)))


def _cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    def side(p: Point, q: Point, r: Point) -> bool:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]) > 0

    return side(a, b, c) != side(a, b, d) and side(c, d, a) != side(c, d, b)


def _overlap(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def _turned(point: Point, sign: int) -> Point:
    return float(point[0]), float(sign * point[1])


def _turn_place(place: DimensionPlace, half: str) -> DimensionPlace:
    sign = 1 if half == "reference" else -1
    drop = -2.4 if place.plate else 0.0
    x0, y0, x1, y1 = place.box
    ends = sorted((sign * y0, sign * y1))
    return DimensionPlace(
        _turned(place.start, sign), _turned(place.end, sign), place.both,
        tuple((_turned(a, sign), _turned(b, sign)) for a, b in place.extensions),
        (place.text_at[0], sign * place.text_at[1] + drop), place.align, (x0, ends[0], x1, ends[1]), place.plate,
    )  # fmt: skip
