"""Half sections as closed polylines in mm: z along the pin axis, r from it; and questions about them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

Point = tuple[float, float]


@dataclass(frozen=True)
class Region:
    """Closed polylines (z, r) in mm of one key (A pin, B core, C rubber, D ring, E eye, F rest, "" void).

    An outline inside another is a hole. `changed` tells that it differs from the reference. Raises ValueError
    for an outline with fewer than three points, a coordinate that is no number, or a negative radius.
    """

    key: str
    outlines: tuple[tuple[Point, ...], ...]
    changed: bool = False

    def __post_init__(self) -> None:
        outlines = tuple(tuple((float(z), float(r)) for z, r in outline) for outline in self.outlines)
        for outline in outlines:
            self._check(outline)
        object.__setattr__(self, "outlines", outlines)

    def _check(self, outline: tuple[Point, ...]) -> None:
        name = f'section region "{self.key}"'
        if len(outline) < 3:
            raise ValueError(
                f"{name}: outline has {len(outline)} points and needs 3; complete it or leave it out"
            )
        for z, r in outline:
            if not (math.isfinite(z) and math.isfinite(r)):
                raise ValueError(f"{name}: point ({z}, {r}) must be two finite numbers in mm; correct it")
            if r < -1e-9:
                raise ValueError(f"{name}: r = {r:g} mm must be at least 0; give the half above the axis")


@dataclass(frozen=True)
class Half:
    """One part: its label, quiet lines under the label, and its regions in the order they are painted."""

    label: str
    regions: tuple[Region, ...]
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        object.__setattr__(self, "regions", tuple(self.regions))
        object.__setattr__(self, "notes", tuple(self.notes))
        if not any(region.outlines for region in self.regions):
            raise ValueError(f'section half "{self.label}" has no outline; give it at least one region')


def extent(halves: Iterable[Half]) -> tuple[float, float, float]:
    """Smallest and largest z and the largest r in mm."""
    points = [p for half in halves for region in half.regions for outline in region.outlines for p in outline]
    return min(z for z, _ in points), max(z for z, _ in points), max(r for _, r in points)


def densified(points: Sequence[Point], step: float) -> list[Point]:
    """The open polyline with points at most `step` apart."""
    result = [points[0]]
    for a, b in zip(points, points[1:], strict=False):
        parts = max(1, math.ceil(math.dist(a, b) / step))
        result.extend(
            (a[0] + (b[0] - a[0]) * i / parts, a[1] + (b[1] - a[1]) * i / parts) for i in range(1, parts + 1)
        )
    return result


def inside(outlines: Sequence[Sequence[Point]], x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Whether points lie inside the polygons by the even-odd rule; `x` and `y` of one shape, result bool."""
    result = np.zeros(x.shape, dtype=bool)
    for outline in outlines:
        for (x0, y0), (x1, y1) in zip(outline, [*outline[1:], outline[0]], strict=True):
            if y0 == y1:
                continue
            crosses = (y0 > y) != (y1 > y)
            result ^= crosses & (x < x0 + (y - y0) * (x1 - x0) / (y1 - y0))
    return result
