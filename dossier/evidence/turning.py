"""Turning points of a sampled signal, with a hysteresis below which a reversal does not count."""

from __future__ import annotations

import numpy as np

FEW = 0.02


def turning_rows(values: np.ndarray, hysteresis: float = 0.0) -> np.ndarray:
    """Rows (k,) of the turning points of `values` (n,), first and last row of the signal among them.

    Reversals that come back by less than `hysteresis` (unit of the values, 0 counts every one) are left out, smallest
    first, so that what remains has the same extremes; of a flat top the first row is taken. A constant signal gives
    its first row only.
    """
    values = np.asarray(values, float)
    if not len(values):
        return np.empty(0, np.int64)
    moved = np.concatenate(([0], np.flatnonzero(np.diff(values)) + 1))
    steps = np.sign(np.diff(values[moved]))
    inner = np.flatnonzero(steps[1:] != steps[:-1]) + 1
    rows = moved[np.concatenate(([0], inner, [len(moved) - 1]))] if len(moved) > 1 else moved
    return without_small_reversals(values, rows, hysteresis)


def without_small_reversals(values: np.ndarray, rows: np.ndarray, hysteresis: float) -> np.ndarray:
    """`rows` (k,) of turning points without the pairs that lie closer than `hysteresis` in `values`.

    In each pass all ranges below the hysteresis that are no larger than both neighbours go at once; where a pass finds
    little (slowly growing ranges), the rest is done in one run along the signal. At the ends a range that small takes
    the inner of its two points, so that the larger extreme stays.
    """
    if hysteresis <= 0:
        return rows
    while len(rows) > 3:
        ranges = np.abs(np.diff(values[rows]))
        inner = ranges[1:-1]
        small = (inner < hysteresis) & (inner < ranges[:-2]) & (inner <= ranges[2:])
        if small.sum() <= FEW * len(rows):
            break
        first = np.flatnonzero(small) + 1
        rows = np.delete(rows, np.concatenate((first, first + 1)))
    return _along(values, rows, hysteresis)


def _along(values: np.ndarray, rows: np.ndarray, hysteresis: float) -> np.ndarray:
    """Turning points of the sequence `rows`, found in one run: a reversal counts once the signal has come back."""
    if len(rows) < 2:
        return rows
    levels, kept = values[rows].tolist(), []
    low = high = 0
    direction = 0
    for place, level in enumerate(levels):
        low = place if level < levels[low] else low
        high = place if level > levels[high] else high
        if direction <= 0 and level - levels[low] >= hysteresis:
            kept.append(low)
            direction, high = 1, place
        elif direction >= 0 and levels[high] - level >= hysteresis:
            kept.append(high)
            direction, low = -1, place
    if not direction:
        return rows[:1]
    kept.append(high if direction > 0 else low)
    return rows[np.unique(kept)]
