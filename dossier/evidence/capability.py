"""Capability of series data against limits, with its lower confidence bound, stability and normality told."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dossier.evidence.difference import checked_group
from dossier.evidence.errors import EvaluationError
from dossier.evidence.noncentral import below

USUAL_COUNT = 50
RUN = 8
_CHART, _RANGE, _SPREAD = 2.66, 3.267, 1.128
_DOUBT = 0.05


@dataclass(frozen=True)
class Capability:
    """Indices from the standard deviation of all values (n − 1), which contains every drift of the series.

    `cp` None with a single limit; `cpk` the smaller of (mean − lower)/(3·s) and (upper − mean)/(3·s). `cp_low` and
    `cpk_low`: one-sided lower bounds at `confidence`. `unstable`: what the chart of individual values finds, in
    words; `normal_p`: p of Shapiro and Wilk, None below 3 or above 5000 values or without spread.
    """

    cp: float | None
    cpk: float
    cp_low: float | None
    cpk_low: float
    confidence: float
    count: int
    mean: float
    deviation: float
    unstable: tuple[str, ...]
    normal_p: float | None

    @property
    def notes(self) -> tuple[str, ...]:
        """What limits the statement."""
        told = []
        if self.unstable:
            told.append(f"the series is not stable ({self.unstable[0]}); an index of an unstable series forecasts nothing")
        if self.normal_p is not None and self.normal_p < _DOUBT:
            told.append(f"the values are not normal (Shapiro–Wilk p = {self.normal_p:.2g}); the indices count wrong in the tails")
        if self.count < USUAL_COUNT:
            told.append(
                f"{self.count} values, fewer than {USUAL_COUNT} (common practice, no source): the lower bound is what is shown, "
                "and normal tails cannot be shown from so few"
            )
        return tuple(told)


def evaluate_capability(
    values: np.ndarray, lower: float | None = None, upper: float | None = None, *, confidence: float = 0.95
) -> Capability:
    """Capability of values (n,) in the order made, against `lower`, `upper` or both, in their unit.

    Cp's bound is exact (χ²). Cpk's bound is exact for one limit (noncentral t) and on the safe side for two, since the
    smaller of two indices lies below each. Both for normal values; from memory. Raises EvaluationError for no limit,
    limits crossed, or values without spread.
    """
    group = checked_group("values", values)
    if lower is None and upper is None:
        raise EvaluationError("no limit given; state lower, upper or both")
    if lower is not None and upper is not None and not lower < upper:
        raise EvaluationError(f"lower = {lower:g} must be below upper = {upper:g}; swap or correct them")
    if not 0.5 <= confidence < 1:
        raise EvaluationError(f"confidence = {confidence:g} must lie between 0.5 and 1; e.g. 0.95")
    mean, deviation, count = float(group.mean()), float(group.std(ddof=1)), len(group)
    if deviation <= 1e-12 * abs(mean):
        raise EvaluationError(f"all {count} values are {mean:g}; an index needs spread: use a finer gauge")
    gaps = [gap for gap in (None if lower is None else mean - lower, None if upper is None else upper - mean) if gap is not None]
    cpk = min(gaps) / (3 * deviation)
    cp = None if lower is None or upper is None else (upper - lower) / (6 * deviation)
    return Capability(
        cp, cpk, None if cp is None else cp * _least_share(count, confidence), _least_cpk(cpk, count, confidence),
        confidence, count, mean, deviation, chart_signals(group), _normal_p(group),
    )  # fmt: skip


def bissell_bound(cpk: float, count: int, confidence: float = 0.95) -> float:
    """Cpk − z·√(1/(9·n) + Cpk²/(2·(n − 1))): the usual approximation, for comparison. Source: Bissell, Appl. Statist.
    39 (1990) 331, from memory."""
    from scipy.special import ndtri

    return cpk - float(ndtri(confidence)) * math.sqrt(1 / (9 * count) + cpk**2 / (2 * (count - 1)))


def index_needed(required: float, count: int, confidence: float = 0.95) -> float:
    """The Cpk that `count` values must give so that its lower bound reaches `required`."""
    from scipy.optimize import brentq

    if count < 2 or not required > 0 or not 0.5 <= confidence < 1:
        raise EvaluationError(f"{count} values, Cpk {required:g} at {confidence:g}: give 2 or more, above 0 and 0.5 to 1")
    high = 2 * required
    while _least_cpk(high, count, confidence) < required:
        high *= 2
    return float(brentq(lambda index: _least_cpk(index, count, confidence) - required, required / 2, high, xtol=1e-9))


def chart_signals(values: np.ndarray) -> tuple[str, ...]:
    """What the chart of individual values (n,) finds, in words: a value beyond mean ± 2.66 of the mean moving range, a
    step above 3.267 of it, eight in a row on one side of the mean.

    Source: individuals chart and run rule of the Western Electric handbook, from memory.
    """
    ranges = np.abs(np.diff(values))
    mean, step = float(values.mean()), float(ranges.mean())
    told = []
    beyond = np.flatnonzero(np.abs(values - mean) > _CHART * step)
    if len(beyond):
        told.append(f"value {beyond[0] + 1} lies beyond mean ± 2.66 of the mean moving range")
    jumps = np.flatnonzero(ranges > _RANGE * step)
    if len(jumps):
        told.append(f"the step to value {jumps[0] + 2} exceeds 3.267 of the mean moving range")
    end = _run_end(np.sign(values - mean))
    if end is not None:
        told.append(f"values {end - RUN + 2} to {end + 1} lie on one side of the mean")
    return tuple(told)


def within_deviation(values: np.ndarray) -> float:
    """Standard deviation from value to value: mean moving range of values (n,) over 1.128; without slow drift."""
    return float(np.abs(np.diff(checked_group("values", values))).mean()) / _SPREAD


def _run_end(sides: np.ndarray) -> int | None:
    length = 0
    for place, side in enumerate(sides):
        length = length + 1 if place and side == sides[place - 1] and side != 0 else 1
        if length == RUN:
            return place
    return None


def _least_share(count: int, confidence: float) -> float:
    from scipy.special import chdtri

    return math.sqrt(float(chdtri(count - 1, confidence)) / (count - 1))


def _least_cpk(cpk: float, count: int, confidence: float) -> float:
    """The true index at which one as high as `cpk` has the chance 1 − `confidence`."""
    from scipy.optimize import brentq

    factor = 3 * math.sqrt(count)
    spread = 1 / factor + abs(cpk)

    def excess(low: float) -> float:
        return below(factor * cpk, count - 1, factor * low) - confidence

    low = cpk - spread
    while excess(low) < 0:
        spread *= 2
        low = cpk - spread
    high = cpk + spread
    while excess(high) > 0:
        high += spread
    return float(brentq(excess, low, high, xtol=1e-12))


def _normal_p(values: np.ndarray) -> float | None:
    from scipy.stats import shapiro

    return float(shapiro(values).pvalue) if 3 <= len(values) <= 5000 else None
