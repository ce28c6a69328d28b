"""Closed outlines of straight lines and circular arcs in the meridional half plane (r, z), r ≥ 0, mm.

Loops run counter-clockwise with r to the right and z up, so that line integrals give positive areas (Green).
"""
from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Point = tuple[float, float]
Array = NDArray[np.float64]


@dataclass(frozen=True)
class Line:
    """Straight edge from `start` to `end`."""

    start: Point
    end: Point

    def reversed(self) -> Line:
        return Line(self.end, self.start)

    def points(self, tolerance: float) -> list[Point]:
        """Vertices of the edge without its end."""
        return [self.start]

    def moment(self, i: int, j: int) -> float:
        """∫ r^i z^j dz along the edge, exact."""
        r, z = self.start
        dr, dz = self.end[0] - r, self.end[1] - z
        return dz * sum(
            math.comb(i, a) * r ** (i - a) * dr**a * math.comb(j, b) * z ** (j - b) * dz**b / (a + b + 1)
            for a in range(i + 1) for b in range(j + 1))

    def crossings(self, r: Array, z: Array) -> NDArray[np.bool_]:
        """Whether a ray from each point (r, z) towards greater r crosses the edge an odd number of times."""
        (r0, z0), (r1, z1) = self.start, self.end
        if z0 == z1:
            return np.zeros(z.shape, dtype=bool)
        level = (min(z0, z1) <= z) & (z < max(z0, z1))
        return level & (r0 + (z - z0) * ((r1 - r0) / (z1 - z0)) > r)

    def bounds(self) -> tuple[float, float, float, float]:
        """Least r, least z, greatest r, greatest z."""
        (r0, z0), (r1, z1) = self.start, self.end
        return min(r0, r1), min(z0, z1), max(r0, r1), max(z0, z1)

    def distance(self, point: Point) -> float:
        """Least distance of `point` from the edge."""
        (r0, z0), (r1, z1) = self.start, self.end
        dr, dz = r1 - r0, z1 - z0
        square = dr * dr + dz * dz
        share = ((point[0] - r0) * dr + (point[1] - z0) * dz) / square if square else 0.0
        share = min(max(share, 0.0), 1.0)
        return math.hypot(point[0] - r0 - share * dr, point[1] - z0 - share * dz)


@dataclass(frozen=True)
class Arc:
    """Circular edge around `centre`, below 360°, counter-clockwise unless `clockwise`."""

    start: Point
    end: Point
    centre: Point
    clockwise: bool = False

    @property
    def radius(self) -> float:
        return math.hypot(self.start[0] - self.centre[0], self.start[1] - self.centre[1])

    def angles(self) -> tuple[float, float]:
        """Angles of start and end from +r towards +z, rad; end − start carries the sense of rotation."""
        first = math.atan2(self.start[1] - self.centre[1], self.start[0] - self.centre[0])
        last = math.atan2(self.end[1] - self.centre[1], self.end[0] - self.centre[0])
        sweep = (first - last if self.clockwise else last - first) % (2 * math.pi)
        return first, first - sweep if self.clockwise else first + sweep

    def reversed(self) -> Arc:
        return Arc(self.end, self.start, self.centre, not self.clockwise)

    def points(self, tolerance: float) -> list[Point]:
        """Vertices on the arc without its end; no chord strays further than `tolerance` mm from the arc."""
        if not tolerance > 0:
            raise ValueError(f"tolerance = {tolerance} mm must exceed 0 mm; 0.01 mm suits a drawing")
        first, last = self.angles()
        step = 2 * math.acos(max(1 - tolerance / self.radius, 0.0))
        count = max(1, math.ceil(abs(last - first) / step - 1e-9))
        inner = np.linspace(first, last, count + 1)[1:-1]
        r, z = self.centre
        return [self.start, *((r + self.radius * math.cos(a), z + self.radius * math.sin(a)) for a in inner)]

    def moment(self, i: int, j: int) -> float:
        """∫ r^i z^j dz along the edge, exact."""
        first, last = self.angles()
        (r, z), radius = self.centre, self.radius
        return sum(
            math.comb(i, a) * r ** (i - a) * math.comb(j, b) * z ** (j - b) * radius ** (a + b + 1)
            * (_trigonometric(a + 1, b, last) - _trigonometric(a + 1, b, first))
            for a in range(i + 1) for b in range(j + 1))

    def _monotone(self) -> list[tuple[float, float, int]]:
        """Pieces on which z rises or falls only: z at both ends, and the side of the centre they lie on."""
        first, last = self.angles()
        low, high = min(first, last), max(first, last)
        turns = [k * math.pi + math.pi / 2 for k in range(-4, 4)]
        cuts = [a for a in turns if low < a < high]
        if last < first:
            cuts.reverse()
        angles = [first, *cuts, last]
        heights = [self.start[1], *(self.centre[1] + self.radius * math.sin(a) for a in cuts), self.end[1]]
        sides = [1 if math.cos((a + b) / 2) > 0 else -1 for a, b in zip(angles, angles[1:], strict=False)]
        return list(zip(heights, heights[1:], sides, strict=False))

    def crossings(self, r: Array, z: Array) -> NDArray[np.bool_]:
        """Whether a ray from each point (r, z) towards greater r crosses the edge an odd number of times."""
        half_chord = np.sqrt(np.maximum(self.radius**2 - (z - self.centre[1]) ** 2, 0.0))
        odd = np.zeros(z.shape, dtype=bool)
        for z0, z1, side in self._monotone():
            level = (min(z0, z1) <= z) & (z < max(z0, z1))
            odd ^= level & (self.centre[0] + side * half_chord > r)
        return odd

    def bounds(self) -> tuple[float, float, float, float]:
        """Least r, least z, greatest r, greatest z."""
        first, last = sorted(self.angles())
        quarters = [k * math.pi / 2 for k in range(-8, 9) if first < k * math.pi / 2 < last]
        r = [self.start[0], self.end[0], *(self.centre[0] + self.radius * math.cos(a) for a in quarters)]
        z = [self.start[1], self.end[1], *(self.centre[1] + self.radius * math.sin(a) for a in quarters)]
        return min(r), min(z), max(r), max(z)

    def distance(self, point: Point) -> float:
        """Least distance of `point` from the edge."""
        dr, dz = point[0] - self.centre[0], point[1] - self.centre[1]
        first, last = sorted(self.angles())
        if (math.atan2(dz, dr) - first) % (2 * math.pi) <= last - first:
            return abs(math.hypot(dr, dz) - self.radius)
        return min(math.hypot(point[0] - end[0], point[1] - end[1]) for end in (self.start, self.end))


Edge = Line | Arc


def _trigonometric(m: int, n: int, angle: float) -> float:
    """Antiderivative of cos^m sin^n at `angle`, by the usual reduction formulas."""
    cosine, sine = math.cos(angle), math.sin(angle)
    if m >= 2:
        edge = cosine ** (m - 1) * sine ** (n + 1)
        return (edge + (m - 1) * _trigonometric(m - 2, n, angle)) / (m + n)
    if m == 1:
        return sine ** (n + 1) / (n + 1)
    if n >= 2:
        return (-cosine * sine ** (n - 1) + (n - 1) * _trigonometric(0, n - 2, angle)) / n
    return -cosine if n == 1 else angle


@dataclass(frozen=True)
class Region:
    """One material's cross-section: closed loops of edges running counter-clockwise, none in another."""

    loops: tuple[tuple[Edge, ...], ...]

    def moment(self, i: int, j: int) -> float:
        """∫∫ r^i z^j dA over the region, exact (Green: ∮ r^(i+1)/(i+1) z^j dz)."""
        return sum(edge.moment(i + 1, j) for loop in self.loops for edge in loop) / (i + 1)

    def polyline(self, tolerance: float) -> list[Array]:
        """Per loop an array (n, 2) of (r, z) within `tolerance` mm of the arcs, first point not repeated."""
        return [np.array([point for edge in loop for point in edge.points(tolerance)]) for loop in self.loops]

    def contains(self, r: ArrayLike, z: ArrayLike) -> NDArray[np.bool_]:
        """Whether each point (r, z) lies in the region; arcs are exact, the arrays are broadcast.

        A point within rounding of the outline may fall to either side.
        """
        r_all, z_all = np.broadcast_arrays(np.asarray(r, dtype=float), np.asarray(z, dtype=float))
        inside = np.zeros(r_all.shape, dtype=bool)
        for loop in self.loops:
            for edge in loop:
                inside ^= edge.crossings(r_all, z_all)
        return inside

    def bounds(self) -> tuple[float, float, float, float]:
        """Least r, least z, greatest r, greatest z."""
        boxes = np.array([edge.bounds() for loop in self.loops for edge in loop])
        return (float(boxes[:, 0].min()), float(boxes[:, 1].min()),
                float(boxes[:, 2].max()), float(boxes[:, 3].max()))


def closed_loop(edges: list[Edge]) -> tuple[Edge, ...]:
    """`edges` in running order as a loop: gaps closed by straight lines, edges without length left out."""
    loop: list[Edge] = []
    kept = [edge for edge in edges if edge.start != edge.end]
    for edge, following in zip(kept, [*kept[1:], kept[0]], strict=True):
        loop.append(edge)
        if edge.end != following.start:
            loop.append(Line(edge.end, following.start))
    return tuple(loop)


def staircase(corners: list[Point]) -> list[Edge]:
    """Straight edges through `corners`."""
    pairs = zip(corners, corners[1:], strict=False)
    return [Line(first, second) for first, second in pairs if first != second]


def rectangle(inner: float, outer: float, low: float, high: float) -> tuple[Edge, ...]:
    """Loop around inner ≤ r ≤ outer, low ≤ z ≤ high."""
    return closed_loop(staircase([(inner, low), (outer, low), (outer, high), (inner, high), (inner, low)]))
