"""Staircase test: each specimen one step lower after a failure, one step higher after a survivor.

Evaluated by Dixon and Mood, and by maximum likelihood of the same outcomes as a cross check with bounds.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.profile import fallen_ends, half_drop, root_above_zero

LEAST_SPECIMENS = 15
_LEAST_SPREAD = 0.3
_EVEN = 1e-3
_STEEPEST = 1e4


@dataclass(frozen=True)
class Staircase:
    """Mean and standard deviation of the load that half of the specimens bear, in the unit of the loads.

    `event`: failures or survivors, the less frequent one, which was evaluated; `first` its lowest load, `step` the
    step, `N`, `A`, `B` its count, Σ i·n and Σ i²·n over the steps i above `first`. `notes`: where Dixon and Mood's
    form does not apply.
    """

    mean: float
    deviation: float
    event: str
    first: float
    step: float
    N: int
    A: int
    B: int
    notes: tuple[str, ...]


@dataclass(frozen=True)
class LikelyStrength:
    """Maximum-likelihood mean and standard deviation of the strength (normal), unit of the loads, with two-sided
    profile bounds of the mean at `confidence` (infinite where the outcomes do not bound it)."""

    mean: float
    deviation: float
    low: float
    high: float
    confidence: float


def evaluate_staircase(loads: Sequence[float], failed: Sequence[bool]) -> Staircase:
    """Dixon–Mood evaluation of loads (n,) in the order tested and whether each specimen `failed` (n,).

    s = 1.62·d·((N·B − A²)/N² + 0.029); 0.53·d where the bracket's first term is below 0.3, told. Raises
    EvaluationError for unequal steps, a step against the outcome, or outcomes all alike. Source: Dixon and Mood, J.
    Am. Stat. Assoc. 43 (1948) 109, from memory; the sign rule from pages that quote it.
    """
    values, broken = _checked(loads, failed)
    step = _step(values, broken)
    failures, survivors = int(broken.sum()), int((~broken).sum())
    event = "failures" if failures <= survivors else "survivors"
    counted = values[broken if event == "failures" else ~broken]
    first = float(counted.min())
    rungs = np.rint((counted - first) / step).astype(int)
    count, moment, square = len(rungs), int(rungs.sum()), int((rungs**2).sum())
    mean = first + step * (moment / count + (-0.5 if event == "failures" else 0.5))
    spread = (count * square - moment**2) / count**2
    deviation = 0.53 * step if spread < _LEAST_SPREAD else 1.62 * step * (spread + 0.029)
    return Staircase(mean, deviation, event, first, step, count, moment, square, _notes(len(values), spread, deviation / step))


def likely_strength(loads: Sequence[float], failed: Sequence[bool], confidence: float = 0.90) -> LikelyStrength:
    """Normal distribution of the strength that makes the outcomes `failed` (n,) at loads (n,) most likely (probit).

    The deviation comes out too small from few specimens. Raises EvaluationError where every failure lies above every
    survivor: then only the range of the mean is known.
    """
    values, broken = _checked(loads, failed)
    if not 0 < confidence < 1:
        raise EvaluationError(f"confidence = {confidence:g} must lie between 0 and 1; e.g. 0.90")
    lowest, highest = float(values[broken].min()), float(values[~broken].max())
    if lowest >= highest:
        raise EvaluationError(
            f"every failure (from {lowest:g}) lies at or above every survivor (to {highest:g}); the scatter cannot be found: "
            "test more specimens between"
        )
    from scipy.optimize import minimize_scalar

    centre, unit = float(values.mean()), float(np.ptp(values))
    outcomes = _Outcomes((values - centre) / unit, broken)
    found = minimize_scalar(
        lambda place: -outcomes.profile(place), bounds=outcomes.range, method="bounded", options={"xatol": 1e-11}
    )
    best = float(found.x)
    low, high = fallen_ends(outcomes.profile, best, outcomes.profile(best) - half_drop(confidence), 0.1)
    deviation = unit / outcomes.steepness(best)
    return LikelyStrength(centre + best * unit, deviation, centre + low * unit, centre + high * unit, confidence)


@dataclass(frozen=True)
class _Outcomes:
    values: np.ndarray
    broken: np.ndarray

    @property
    def range(self) -> tuple[float, float]:
        """Where the best mean lies."""
        return float(self.values.min()) - 5.0, float(self.values.max()) + 5.0

    def steepness(self, place: float) -> float:
        """The best 1/deviation for a mean at `place`; 0 where the outcomes speak against any."""
        from scipy.special import log_ndtr

        signed = np.where(self.broken, 1.0, -1.0) * (self.values - place)

        def falling(steep: float) -> float:
            depth = steep * signed
            hazard = np.exp(-(depth**2) / 2 - 0.5 * math.log(2 * math.pi) - log_ndtr(depth))
            return float(hazard @ signed)

        if signed.sum() <= 0:
            return 0.0
        if falling(_STEEPEST) > 0:
            return _STEEPEST
        return root_above_zero(lambda steep: -falling(steep), 1.0)

    def profile(self, place: float) -> float:
        """Log-likelihood with the mean at `place` and the best deviation."""
        from scipy.special import log_ndtr

        signed = np.where(self.broken, 1.0, -1.0) * (self.values - place)
        return float(log_ndtr(self.steepness(place) * signed).sum())


def _checked(loads: Sequence[float], failed: Sequence[bool]) -> tuple[np.ndarray, np.ndarray]:
    values, broken = np.asarray(loads, float), np.asarray(failed)
    if values.ndim != 1 or len(values) < 2 or broken.shape != values.shape or not np.isfinite(values).all():
        raise EvaluationError(f"{values.size} loads, {broken.size} outcomes; give at least 2 loads and an outcome for each")
    if broken.dtype != bool and not np.isin(broken, (0, 1)).all():
        raise EvaluationError("an outcome is neither 0 nor 1; 1 means failed")
    broken = broken.astype(bool)
    if broken.all() or not broken.any():
        raise EvaluationError(
            f"all {len(values)} specimens {'failed' if broken[0] else 'survived'}; a strength lies between failures and "
            f"survivors: go on at {'lower' if broken[0] else 'higher'} loads"
        )
    return values, broken


def _step(values: np.ndarray, broken: np.ndarray) -> float:
    moves = np.diff(values)
    step = float(np.median(np.abs(moves)))
    for place, move in enumerate(moves):
        if step == 0.0 or abs(abs(move) - step) > _EVEN * step:
            raise EvaluationError(
                f"specimen {place + 2} moved by {move:g}, the step is {step:g}; a staircase has one step: evaluate by maximum "
                "likelihood instead"
            )
        if (move > 0) == broken[place]:
            raise EvaluationError(
                f"specimen {place + 2} moved by {move:g} after a {'failure' if broken[place] else 'survivor'}; a staircase goes "
                "down after a failure and up after a survivor: check order and outcomes"
            )
    return step


def _notes(count: int, spread: float, ratio: float) -> tuple[str, ...]:
    told = []
    if count < LEAST_SPECIMENS:
        told.append(f"{count} specimens: below {LEAST_SPECIMENS} the scatter is hardly known (common practice, no source)")
    if spread < _LEAST_SPREAD:
        told.append(f"(N·B − A²)/N² = {spread:.2f} is below 0.3: the deviation is set to 0.53 steps and not measured")
    elif not 0.5 <= ratio <= 2.0:
        told.append(f"the deviation is {ratio:.1f} steps, outside 0.5 to 2 where the form holds; choose another step")
    return tuple(told)
