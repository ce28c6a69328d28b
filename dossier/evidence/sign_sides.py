"""Slopes of both sides and energies of the cycles: what a crack takes away."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.sign_middle import WHOLE, binned, peaks
from dossier.evidence.sign_strokes import Prepared, Stroke

LOW, HIGH = 0.1, 0.7
TWO_SIDED = 0.35
CLOSED = 0.03
LEAST_LEFT = 0.2


@dataclass(frozen=True, eq=False)
class Side:
    """Slope of one stroke that loads its own side from zero: `slope` between 10 and 70 % of that side's peak, `start`
    the row at which it begins."""

    stroke: Stroke
    slope: float
    start: int


def sides(curve: Prepared, low_share: float = LOW, high_share: float = HIGH) -> tuple[list[Side], list[Side]]:
    """Slopes of the strokes loading the positive and the negative side, between two shares of the side's peak; the second
    is empty for one-sided tests."""
    high, low = peaks(curve)
    two = min(high, -low) >= TWO_SIDED * max(high, -low)
    positive, negative = [], []
    for stroke in curve.strokes:
        if stroke.sign > 0 and high > 0:
            side = _side(stroke, high, low_share, high_share)
            positive += [side] if side else []
        elif stroke.sign < 0 and two:
            side = _side(stroke, -low, low_share, high_share)
            negative += [side] if side else []
    return positive, negative


def _side(stroke: Stroke, peak: float, low_share: float, high_share: float) -> Side | None:
    x, f = binned(stroke)
    if f[-1] < (LEAST_LEFT if stroke.x[-1] - stroke.x[0] >= WHOLE else 0.5) * peak:
        return None
    peak = min(peak, float(f[-1]))
    low, high = max(low_share * peak, float(f[0])), high_share * peak
    inside = (f >= low) & (f <= high)
    if inside.sum() < 4:
        ends = np.interp((low, high), f, x)
        slope = (high - low) / (ends[1] - ends[0]) if ends[1] > ends[0] else np.nan
    else:
        centred = f[inside] - f[inside].mean()
        slope = float(centred @ centred / (centred @ x[inside])) if centred @ x[inside] > 0 else np.nan
    if not np.isfinite(slope):
        return None
    return Side(stroke, float(slope), int(stroke.rows[np.argmax(stroke.f >= low)]))


def cycle_slopes(curve: Prepared) -> list[tuple[Stroke, float]]:
    """Slope over the whole stroke, of those strokes that move upwards over the usual travel."""
    rising = [stroke for stroke in curve.strokes if stroke.sign > 0 and stroke.cycle > 1]
    if len(rising) < 2:
        return []
    ways = np.array([stroke.x[-1] - stroke.x[0] for stroke in rising])
    usual = float(np.median(ways))
    found = []
    for stroke, way in zip(rising, ways, strict=True):
        if abs(way / usual - 1) <= 0.1:
            x, f = binned(stroke)
            inside = (x >= x[0] + 0.1 * way) & (x <= x[-1] - 0.1 * way)
            if inside.sum() >= 4:
                found.append((stroke, float(np.polyfit(x[inside], f[inside], 1)[0])))
    return found


def cycle_energies(curve: Prepared) -> list[tuple[Stroke, float]]:
    """Area of the loop of each cycle over the product of its travel and load range, from its second on, where it closes."""
    found = []
    strokes = curve.strokes
    for up, down in zip(strokes[:-1], strokes[1:], strict=True):
        if up.sign < 0 or down.sign > 0 or up.first:
            continue
        if abs(up.x[0] + down.x[-1]) > CLOSED or down.x[-1] - down.x[0] < WHOLE * (up.x[-1] - up.x[0]):
            continue
        x = np.concatenate((up.x, -down.x))
        f = np.concatenate((up.f, -down.f))
        area = float(np.sum((f + np.roll(f, -1)) * (np.roll(x, -1) - x)) / 2)
        found.append((up, area / float(np.ptp(x) * np.ptp(f))))
    return found
