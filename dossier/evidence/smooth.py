"""Smoothing of a column of rows that scatters: single outliers found, breaks kept, parabolas through neighbours."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.least_squares import fit_columns

WINDOW = 9
FAR = 6.0
JUMP = 0.04
FASTER = 4.0


@dataclass(frozen=True)
class Smoothed:
    """values (n,) of the kept rows, standard error (n,) of each, rows that were left out, scatter (standard deviation of
    a row), starts of the stretches between breaks."""

    values: np.ndarray
    errors: np.ndarray
    scatter: float
    starts: tuple[int, ...]


def scatter_of(values: np.ndarray) -> float:
    """Standard deviation of single rows of values (n,) beside their trend, from second differences and robust (median),
    of the rows above half of the usual largest value: rows of a part that gave way do not count."""
    values = values[values > np.percentile(values, 90) / 2] if len(values) else values
    if len(values) < 4:
        return 0.0
    bend = values[1:-1] - (values[:-2] + values[2:]) / 2
    return float(np.median(np.abs(bend))) * 1.4826 / 1.5**0.5


def outliers(values: np.ndarray, scatter: float) -> np.ndarray:
    """True (n,) for single and double rows off their course by more than six standard deviations and 0.1 %.

    A row is suspected when it is off the median of its five, and found when it is also off the straight line between the
    nearest rows that are not suspected; a trend, however steep, has none. Of the two rows at either end only the
    outermost can be told: where it lies over 4 % off the next, the last one below it, and four times as far as that from
    its other neighbour.
    """
    found = np.zeros(len(values), bool)
    if len(values) < 5:
        return found
    medians = np.median(np.lib.stride_tricks.sliding_window_view(values, 5), axis=1)
    allowed = max(FAR * scatter, 1e-3 * float(np.median(np.abs(values))))
    found[2:-2] = np.abs(values[2:-2] - medians) > allowed
    places = np.arange(len(values))
    found &= np.abs(values - np.interp(places, places[~found], values[~found])) > allowed
    allowed = max(allowed, JUMP * float(np.median(np.abs(values))))
    steps = -np.diff(values)
    found[-1] = steps[-1] > max(FASTER * steps[-2], allowed)
    found[0] = abs(steps[0]) > max(FASTER * abs(steps[1]), allowed)
    return found


def breaks(values: np.ndarray, scatter: float) -> list[int]:
    """Rows (as places) where the level changes at once and stays: by more than six standard deviations and 4 %."""
    allowed = max(FAR * scatter, JUMP * float(np.median(np.abs(values))))
    found = []
    for place in (np.flatnonzero(np.abs(np.diff(values)) > allowed) + 1).tolist():
        before, after = values[max(place - 3, 0) : place], values[place : place + 3]
        if min(len(before), len(after)) > 1 and abs(float(np.median(after) - np.median(before))) > allowed:
            found.append(place)
    return found


def smoothed(x: np.ndarray, values: np.ndarray, scatter: float, starts: list[int]) -> Smoothed:
    """Parabolas over nine neighbouring rows through x (n,), values (n,) without outliers, none across the `starts` of a
    new stretch; straight lines below five rows at different x, the rows themselves below three."""
    bounds = sorted({0, *starts, len(values)})
    found, errors = values.copy(), np.full(len(values), scatter)
    for a, b in zip(bounds[:-1], bounds[1:], strict=True):
        for place in range(a, b):
            low = min(max(place - WINDOW // 2, a), max(b - WINDOW, a))
            rows = slice(low, min(low + WINDOW, b))
            found[place], errors[place] = _at(x[rows], values[rows], float(x[place]), scatter)
    return Smoothed(found, errors, scatter, tuple(bounds[:-1]))


def _at(x: np.ndarray, values: np.ndarray, where: float, scatter: float) -> tuple[float, float]:
    width = float(x.max() - x.min())
    if len(x) < 3 or width == 0:
        return float(values.mean()) if width == 0 else float(values[np.argmin(np.abs(x - where))]), scatter
    basis = np.vander((x - where) / width, 3 if len(np.unique(x)) >= 5 else 2, increasing=True)
    fit = fit_columns(basis, values)
    return float(fit.coefficients[0]), scatter * float(fit.spreads[0])
