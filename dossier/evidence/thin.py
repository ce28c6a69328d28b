"""Simplifying a long curve to what a drawing of a given size can show, with every peak kept."""

from __future__ import annotations

import numpy as np


def thin(x: np.ndarray, y: np.ndarray, columns: int, rows: int) -> tuple[np.ndarray, np.ndarray]:
    """The curve x (n,), y (n,) for a drawing of `columns` × `rows` dots: the points (k,), (k,) that make a
    difference.

    Of consecutive points in one column the first, the lowest, the highest and the last stay; strokes between
    dots that were drawn before are left out, and NaN separates the strokes that remain. Points are never
    moved, so that each extreme is exact. Gaps (NaN) of the input stay gaps. Raises ValueError for arrays of
    unequal length or no dots.
    """
    x, y = np.asarray(x, float), np.asarray(y, float)
    if x.shape != y.shape or x.ndim != 1:
        raise ValueError(f"x {x.shape} and y {y.shape} must be of equal length")
    if columns < 1 or rows < 1:
        raise ValueError(f"columns = {columns} and rows = {rows} must be 1 or more")
    known = np.isfinite(x) & np.isfinite(y)
    if not known.any():
        return np.empty(0), np.empty(0)
    across, up = _dots(x, known, columns), _dots(y, known, rows)
    sides = [int(np.nanargmin(x)), int(np.nanargmax(x))]
    kept = np.union1d(_kept(across, y), sides)
    return _without_repeated_strokes(x[kept], y[kept], across[kept], up[kept], rows)


def _dots(values: np.ndarray, known: np.ndarray, count: int) -> np.ndarray:
    """Number of the dot (n,) each value falls on, −1 for gaps."""
    low, high = float(values[known].min()), float(values[known].max())
    span = high - low or 1.0
    share = np.where(known, (np.where(known, values, low) - low) / span, 0.0)
    return np.where(known, np.minimum((share * count).astype(np.int64), count - 1), -1)


def _kept(across: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Rows (k,) of the first, lowest, highest and last point of each run in one column, in order."""
    starts = np.flatnonzero(np.concatenate(([True], across[1:] != across[:-1])))
    ends = np.concatenate((starts[1:], [len(across)])) - 1
    run = np.repeat(np.arange(len(starts)), ends - starts + 1)
    order = np.lexsort((y, run))
    return np.unique(np.concatenate((starts, ends, order[starts], order[ends])))


def _without_repeated_strokes(
    x: np.ndarray, y: np.ndarray, across: np.ndarray, up: np.ndarray, rows: int
) -> tuple[np.ndarray, np.ndarray]:
    if len(x) == 1:
        return x, y
    dot = np.where(across >= 0, across * rows + up, -1)
    stroke = np.stack((np.minimum(dot[:-1], dot[1:]), np.maximum(dot[:-1], dot[1:])), axis=1)
    drawn = np.zeros(len(stroke), bool)
    drawn[np.unique(stroke, axis=0, return_index=True)[1]] = True
    drawn &= stroke[:, 0] != stroke[:, 1]
    drawn |= _with_extreme(x, y)
    return _strokes(x, y, drawn & (stroke[:, 0] >= 0))


def _with_extreme(x: np.ndarray, y: np.ndarray) -> np.ndarray:
    """Strokes that carry an extreme of the curve: drawn even where another one lies on the same dots."""
    extreme = np.zeros(len(x), bool)
    for values in (x, y):
        extreme[[np.nanargmin(values), np.nanargmax(values)]] = True
    return extreme[:-1] | extreme[1:]


def _strokes(x: np.ndarray, y: np.ndarray, drawn: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The points at the ends of the drawn strokes, NaN where one ends and the next begins elsewhere."""
    used = np.zeros(len(x), bool)
    used[:-1] |= drawn
    used[1:] |= drawn
    rows = np.flatnonzero(used)
    if not len(rows):
        return x[:1], y[:1]
    joined = drawn[rows[:-1]] & (rows[1:] == rows[:-1] + 1)
    breaks = np.flatnonzero(~joined) + 1
    return np.insert(x[rows], breaks, np.nan), np.insert(y[rows], breaks, np.nan)
