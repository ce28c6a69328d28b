"""The middle line of the loops and its bends: knee to a lower slope, rise to a higher one, clearance around zero.

The middle between the branches at equal load is free of hysteresis: friction and relaxation of rubber make it
steeper towards the turning points, never softer.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.least_squares import ColumnFit, fit_columns
from dossier.evidence.sign_strokes import Prepared, Stroke

MOST_CYCLES = 12
BINS = 70
WHOLE = 0.8


@dataclass(frozen=True)
class Bend:
    """Two straight pieces of travel over load: `ratio` slope beyond over slope before, `level` load of the bend over
    the side's peak, `sharpness` scatter about a smooth curve (cubic) over scatter about a bend in one of lower order
    (quadratic), `sure` change of the slope over its standard error."""

    ratio: float
    level: float
    sharpness: float
    sure: float


def binned(stroke: Stroke) -> tuple[np.ndarray, np.ndarray]:
    """Travel and load (k,) of the stroke as means over equal ways along the curve, load never falling."""
    way = stroke.x + stroke.f
    count = int(np.clip(len(stroke) // 3, 12, BINS))
    edges = np.linspace(way.min(), way.max(), count + 1)
    place = np.clip(np.searchsorted(edges, way, "right") - 1, 0, count - 1)
    rows = np.bincount(place, minlength=count)
    full = rows > 0
    x = np.bincount(place, stroke.x, count)[full] / rows[full]
    f = np.bincount(place, stroke.f, count)[full] / rows[full]
    if not full.any() or len(stroke) < 2 * count:
        return stroke.x, np.maximum.accumulate(stroke.f) + 1e-9 * np.arange(len(stroke))
    return x, np.maximum.accumulate(f) + 1e-9 * np.arange(len(f))


def travel_at(stroke: Stroke, loads: np.ndarray) -> np.ndarray:
    """Travel (k,) of the stroke (in the curve's own sense) at loads (k,); NaN where it does not come."""
    x, f = binned(stroke)
    inside = stroke.sign * loads
    found = np.interp(inside, f, x, left=np.nan, right=np.nan)
    return stroke.sign * found


def peaks(curve: Prepared) -> tuple[float, float]:
    """Usual highest and lowest load of the strokes, over the load range."""
    ends = [stroke.sign * float(np.median(stroke.f[-3:])) for stroke in curve.strokes]
    starts = [stroke.sign * float(np.median(stroke.f[:3])) for stroke in curve.strokes]
    values = np.array(ends + starts)
    return float(np.percentile(values, 90)), float(np.percentile(values, 10))


def loops(curve: Prepared) -> list[tuple[Stroke, Stroke]]:
    """Pairs (moving up, moving down) of strokes that follow each other, conditioning first cycle left out where there
    are others."""
    usual = float(np.median([stroke.x[-1] - stroke.x[0] for stroke in curve.strokes]))
    strokes = [stroke for stroke in curve.strokes if stroke.x[-1] - stroke.x[0] >= WHOLE * usual]
    pairs = []
    for one, other in zip(strokes[:-1], strokes[1:], strict=True):
        follows = one.sign != other.sign and other.rows[0] - one.rows[-1] < 0.5 * (one.rows[-1] - one.rows[0])
        if follows and not (one.first and len(strokes) > 2):
            pairs.append((one, other) if one.sign > 0 else (other, one))
    if len(pairs) > MOST_CYCLES:
        pairs = [pairs[place] for place in np.linspace(0, len(pairs) - 1, MOST_CYCLES).astype(int)]
    return pairs


def middle(pair: tuple[Stroke, Stroke], loads: np.ndarray) -> np.ndarray:
    """Travel (k,) of the middle line at loads (k,)."""
    return (travel_at(pair[0], loads) + travel_at(pair[1], loads)) / 2


def bend(loads: np.ndarray, travel: np.ndarray, low: float = 0.2, high: float = 0.85) -> Bend | None:
    """The best two straight pieces of travel (k,) over loads (k,) of one side, counted outwards from zero; None if
    too little of it is known."""
    known = np.isfinite(travel)
    if known.sum() < 12:
        return None
    share = loads[known] / loads[known][-1]
    x = travel[known]
    bent: list[tuple[ColumnFit, float]] = []
    curved = np.inf
    for level in np.arange(low, high + 1e-9, 0.05):
        matrix = np.stack((np.ones_like(share), share, np.maximum(share - level, 0.0)), axis=1)
        with suppress(EvaluationError):
            bent.append((fit_columns(matrix, x), float(level)))
            curved = min(curved, fit_columns(np.column_stack((matrix, share**2)), x).squares)
    try:
        smooth = fit_columns(np.vander(share, 4), x).squares
        fit, level = min(bent, key=lambda found: found[0].squares)
    except (EvaluationError, ValueError):
        return None
    before, change = float(fit.coefficients[1]), float(fit.coefficients[2])
    if before <= 0 or before + change <= 0:
        return None
    error = float((fit.squares / (len(x) - 4)) ** 0.5 * fit.spreads[2]) + 1e-9
    return Bend(before / (before + change), level, smooth / max(curved, 1e-12), abs(change) / error)


def clearance(travel: np.ndarray, loads: np.ndarray, near: float, far: float) -> tuple[float, float]:
    """Travel without load around zero load, and the slope within ±`near` over the slope between `near` and `far` on
    both sides, of travel (k,) over loads (k,); NaN if the curve is not known there."""
    at = np.interp((-far, -near, near, far), loads, travel, left=np.nan, right=np.nan)
    beside = (at[3] - at[2] + at[1] - at[0]) / 2 / (far - near)
    inside = (at[2] - at[1]) / (2 * near)
    return float((inside - beside) * 2 * near), float(beside / inside) if inside else np.nan
