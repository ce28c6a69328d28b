"""Curves as plain data, the part of them in view, and what is read off them at a place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dossier.evidence.plot_scales import ScaleKind

Array = NDArray[np.float64]
FORMS = ("reference", "variant", "second", "third", "part", "fit", "limit", "bound", "path", "points")
ZOOMS = (1, 2, 4, 8, 16, 32)
MARGIN = 0.04


@dataclass(frozen=True)
class Curve:
    """Points in the order they were measured, and the form they are drawn in; `short` names it in the read-out.

    `reference` is dotted, `variant` has rings, `second` crosses, `third` plus signs, `part` is a thin line, `fit` a line
    alone, `limit` has long dashes, `bound` dots, `path` joins points in their order. Of `points` each has its sign in
    `signs` and is told by its `words`.
    """

    name: str
    x: Array
    y: Array
    form: str = "variant"
    short: str = ""
    signs: str = ""
    words: Sequence[Sequence[str]] = ()

    def __post_init__(self) -> None:
        if self.form == "points" and not len(self.signs) == len(self.words) == np.size(self.x):
            raise ValueError(f'points "{self.name}": {np.size(self.x)} places, {len(self.signs)} signs and {len(self.words)} '
                             "words; give as many")  # fmt: skip
        if self.form not in FORMS:
            raise ValueError(f'form = "{self.form}" of a curve must be one of {", ".join(FORMS)}')
        if np.shape(self.x) != np.shape(self.y):
            raise ValueError(f'curve "{self.name}" has {np.size(self.x)} x and {np.size(self.y)} y; give as many')


@dataclass(frozen=True)
class Band:
    """Slopes `low` to `high` (y units per x unit) a curve may have, from zero towards the side of `sense`."""

    low: float
    high: float
    label: str = ""
    sense: int = 1


@dataclass(frozen=True)
class Mark:
    """A sign on a curve, named by its letter."""

    letter: str
    x: float
    y: float


@dataclass(frozen=True)
class Chart:
    """Everything in one diagram. `flagged` are x spans with a saturated channel, `secant` the recipe's own range.

    `x_name` and `y_name` say what the axes measure, in `x_unit` and `y_unit`; on a scale that is not linear, places are
    those of `evidence.plot_scales`. `zero`: the origin belongs to it. `told` says what lines and signs mean;
    `others` counts further charts of the same thing.
    """

    curves: Sequence[Curve] = ()
    x_unit: str = ""
    y_unit: str = ""
    band: Band | None = None
    marks: Sequence[Mark] = ()
    flagged: Sequence[tuple[float, float]] = ()
    secant: tuple[float, float] | None = None
    x_name: str = ""
    y_name: str = ""
    x_scale: ScaleKind = "linear"
    y_scale: ScaleKind = "linear"
    zero: bool = True
    told: str = ""
    others: int = 0

    @property
    def lead(self) -> Curve | None:
        """The curve the cursor walks on: points, else the first variant, else the first curve."""
        first = sorted(self.curves, key=lambda curve: {"points": 0, "variant": 1}.get(curve.form, 2))
        return next(iter(first), None)

    @property
    def reference(self) -> Curve | None:
        """The curve the lead is compared with."""
        return next((curve for curve in self.curves if curve.form == "reference"), None)


@dataclass(frozen=True)
class Window:
    """The ranges of x and y in view."""

    x0: float
    x1: float
    y0: float
    y1: float

    @property
    def shows_zero(self) -> bool:
        """Whether the origin is in view."""
        return self.x0 <= 0 <= self.x1 and self.y0 <= 0 <= self.y1


def whole(chart: Chart) -> Window:
    """The ranges that hold all finite points, and the origin where it belongs to them, with a margin around."""
    ranges = [_range([getattr(curve, axis) for curve in chart.curves], chart.zero) for axis in ("x", "y")]
    return Window(*ranges[0], *ranges[1])


def _range(values: Sequence[Array], zero: bool) -> tuple[float, float]:
    ends = [0.0] if zero else []
    for array in values:
        finite = np.asarray(array, dtype=float)
        finite = finite if np.isfinite(finite).all() else finite[np.isfinite(finite)]
        if finite.size:
            ends += [float(finite.min()), float(finite.max())]
    low, high = min(ends, default=0.0), max(ends, default=0.0)
    if low == high:
        return low - 1.0, high + 1.0
    spare = (high - low) * MARGIN
    return low - spare, high + spare


def zoomed(full: Window, zoom: int, x: float, y: float) -> Window:
    """A `zoom`-th of the whole around a point, kept within the whole."""
    width, height = (full.x1 - full.x0) / zoom, (full.y1 - full.y0) / zoom
    left = min(max(x - width / 2, full.x0), full.x1 - width)
    low = min(max(y - height / 2, full.y0), full.y1 - height)
    return Window(left, left + width, low, low + height)


def value_beside(curve: Curve, x: float, rising: bool, share: float) -> float | None:
    """y of a curve at `x`, on a branch where x grows (`rising`) or falls, nearest to the `share` of its length.

    None when no such branch of the curve reaches `x`.
    """
    xs, ys = np.asarray(curve.x, dtype=float), np.asarray(curve.y, dtype=float)
    if xs.size < 2:
        return None
    first, last = xs[:-1], xs[1:]
    with np.errstate(invalid="ignore"):
        spans = (np.minimum(first, last) <= x) & (x <= np.maximum(first, last)) & (first != last)
        on_branch = spans & ((last > first) == rising)
    found = np.flatnonzero(on_branch if on_branch.any() else spans)
    if not found.size:
        return None
    nearest = int(found[np.argmin(np.abs(found / (xs.size - 1) - share))])
    part = (x - xs[nearest]) / (xs[nearest + 1] - xs[nearest])
    value = float(ys[nearest] + part * (ys[nearest + 1] - ys[nearest]))
    return value if np.isfinite(value) else None


def is_rising(curve: Curve, index: int) -> bool:
    """Whether x grows around a point, looked at over a two hundredth of the curve against noise."""
    xs = np.asarray(curve.x, dtype=float)
    reach = max(1, xs.size // 400)
    low, high = max(index - reach, 0), min(index + reach, xs.size - 1)
    return bool(xs[high] >= xs[low])


@dataclass(frozen=True)
class Reading:
    """What is read at the cursor: x, y of the lead, y of the reference there (None where it has none)."""

    x: float
    y: float
    reference: float | None

    @property
    def gap(self) -> float | None:
        """Lead minus reference, in y units."""
        return None if self.reference is None else self.y - self.reference

    @property
    def gap_share(self) -> float | None:
        """The gap over the reference; None at a reference of zero."""
        return None if self.gap is None or not self.reference else self.gap / abs(self.reference)


def reading(chart: Chart, index: int) -> Reading | None:
    """Reading at point `index` of the lead curve; None without a curve or at a missing point."""
    lead = chart.lead
    if lead is None or not 0 <= index < np.size(lead.x):
        return None
    x, y = float(lead.x[index]), float(lead.y[index])
    if not (np.isfinite(x) and np.isfinite(y)):
        return None
    other = chart.reference
    if other is None or other is lead:
        return Reading(x, y, None)
    share = index / max(np.size(lead.x) - 1, 1)
    return Reading(x, y, value_beside(other, x, is_rising(lead, index), share))


def secant(first: Reading, second: Reading) -> float | None:
    """Slope of the lead between two readings, y units per x unit; None when they have the same x."""
    return None if first.x == second.x else (second.y - first.y) / (second.x - first.x)
