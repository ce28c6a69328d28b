"""Common vertices of touching regions: every outline is cut into pieces, and each piece is divided once.

A piece runs between two corners that some region has there; regions on both sides of it get the same nodes, so
that their meshes conform by construction.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.outline import Arc, Edge, Line, Point, Region

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

SAME_POINT = 1e-6
"""Points nearer than this (mm) are one."""

GROWTH = 0.35
"""Increase of the spacing per mm away from a place that asks for a fine one."""

SAMPLES = 64


@dataclass(frozen=True)
class Divided:
    """Nodes along a piece: `corners` (m + 1,) and the `middles` (m,) between them."""

    corners: Numbers
    middles: Numbers

    def reversed(self) -> Divided:
        return Divided(self.corners[::-1], self.middles[::-1])


@dataclass
class Spacing:
    """Wanted distance of corners at a place: `coarse` mm, less near the `places` (n, 2) that ask for `sizes` (n,) mm."""

    coarse: float
    places: Array
    sizes: Array

    def at(self, points: Array) -> Array:
        """Wanted distance (p,) at points (p, 2)."""
        if not len(self.sizes):
            return np.full(len(points), self.coarse)
        distance = np.hypot(*(points[:, None] - self.places[None]).transpose(2, 0, 1))
        return np.minimum(self.coarse, (self.sizes + GROWTH * distance).min(axis=1))


class Nodes:
    """Nodes of the whole mesh, and the pieces of outline divided so far."""

    def __init__(self) -> None:
        self.points: list[Point] = []
        self._at: dict[tuple[int, int], int] = {}
        self._divided: dict[tuple[float, ...], Divided] = {}

    def array(self) -> Array:
        """All nodes (N, 2) in mm as (r, z)."""
        return np.array(self.points)

    def add(self, points: Array) -> Numbers:
        """Numbers of new nodes at `points` (p, 2)."""
        first = len(self.points)
        self.points.extend(map(tuple, points.tolist()))
        return np.arange(first, len(self.points))

    def corner(self, point: Point) -> int:
        """Number of the node at `point`, a new one where none stands yet."""
        cell = (math.floor(point[0] / SAME_POINT), math.floor(point[1] / SAME_POINT))
        for dr in (0, -1, 1):
            for dz in (0, -1, 1):
                known = self._at.get((cell[0] + dr, cell[1] + dz))
                if known is not None and math.dist(self.points[known], point) <= SAME_POINT:
                    return known
        self._at[cell] = int(self.add(np.array([point]))[0])
        return self._at[cell]

    def claim(self, number: int) -> None:
        """Let a node that exists be the corner at its place."""
        r, z = self.points[number]
        self._at[math.floor(r / SAME_POINT), math.floor(z / SAME_POINT)] = int(number)

    def give(self, edge: Edge, divided: Divided) -> None:
        """Lay down how `edge` is divided, its nodes exist already."""
        self._divided[self._key(edge)] = divided

    def divide(self, edge: Edge, spacing: Spacing) -> Divided:
        """Nodes along `edge` from its start to its end, divided by `spacing` unless it was before."""
        key = self._key(edge)
        if key in self._divided:
            return self._divided[key]
        backwards = self._key(edge.reversed())
        if backwards in self._divided:
            return self._divided[backwards].reversed()
        self._divided[key] = self._new(edge, spacing)
        return self._divided[key]

    def _new(self, edge: Edge, spacing: Spacing) -> Divided:
        shares = _even_shares(edge, spacing)
        inner = self.add(points_on(edge, shares[1:-1]))
        corners = np.array([self.corner(edge.start), *inner, self.corner(edge.end)])
        return Divided(corners, self.add(points_on(edge, (shares[1:] + shares[:-1]) / 2)))

    def _key(self, edge: Edge) -> tuple[float, ...]:
        ends = self.corner(edge.start), self.corner(edge.end)
        if isinstance(edge, Line):
            return ends
        return *ends, round(edge.radius, 3), int(edge.clockwise)


def points_on(edge: Edge, shares: Array) -> Array:
    """Points (n, 2) at `shares` (n,) of the length of `edge`, 0 its start."""
    if isinstance(edge, Line):
        start, end = np.array(edge.start), np.array(edge.end)
        return start + shares[:, None] * (end - start)
    first, last = edge.angles()
    angle = first + shares * (last - first)
    return np.array(edge.centre) + edge.radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)


def length_of(edge: Edge) -> float:
    """Length of `edge`, mm."""
    if isinstance(edge, Line):
        return math.dist(edge.start, edge.end)
    first, last = edge.angles()
    return edge.radius * abs(last - first)


def cut(loop: Iterable[Edge], points: Array) -> list[Edge]:
    """The edges of `loop` parted at those of `points` (p, 2) that lie on them."""
    return [piece for edge in loop for piece in _parted(edge, points)]


def corners_of(regions: Iterable[Region]) -> Array:
    """Corners (p, 2) of all outlines."""
    return np.array([edge.start for region in regions for loop in region.loops for edge in loop])


def _parted(edge: Edge, points: Array) -> list[Edge]:
    shares = _shares_on(edge, points)
    if not len(shares):
        return [edge]
    ends = [edge.start, *map(tuple, points_on(edge, shares).tolist()), edge.end]
    pairs = zip(ends, ends[1:], strict=False)
    if isinstance(edge, Line):
        return [Line(first, second) for first, second in pairs]
    return [Arc(first, second, edge.centre, edge.clockwise) for first, second in pairs]


def _shares_on(edge: Edge, points: Array) -> Array:
    """Shares of the length, increasing, at which points lie on `edge` but not at its ends."""
    length = length_of(edge)
    start = np.array(edge.start)
    if isinstance(edge, Line):
        along = (np.array(edge.end) - start) / length
        from_start = points - start
        shares = from_start @ along / length
        off = np.abs(from_start @ np.array([-along[1], along[0]]))
    else:
        first, last = edge.angles()
        from_centre = points - np.array(edge.centre)
        off = np.abs(np.hypot(*from_centre.T) - edge.radius)
        angle = np.arctan2(from_centre[:, 1], from_centre[:, 0])
        sense = 1.0 if last > first else -1.0
        shares = (sense * (angle - first)) % (2 * math.pi) / abs(last - first)
    margin = SAME_POINT / length
    inside = (off < SAME_POINT) & (shares > margin) & (shares < 1 - margin)
    found = np.sort(shares[inside])
    return found[np.concatenate([[True], np.diff(found) > margin])] if len(found) else found


def _even_shares(edge: Edge, spacing: Spacing) -> Array:
    """Shares of the length between which `edge` is as long as `spacing` asks for, give or take an even factor."""
    samples = np.linspace(0.0, 1.0, SAMPLES + 1)
    density = length_of(edge) / spacing.at(points_on(edge, samples))
    total = np.concatenate([[0.0], np.cumsum((density[1:] + density[:-1]) / 2)]) / SAMPLES
    count = max(1, math.ceil(total[-1] - 1e-6))
    return np.interp(np.linspace(0.0, total[-1], count + 1), total, samples)
