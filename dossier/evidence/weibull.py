"""Two-parameter Weibull distribution of lives, some of them stopped without failure, by maximum likelihood.

The survival share at life t is exp(−(t/scale)^shape). With θ = shape and η = shape·ln(life) the
log-likelihood is concave, so that each estimate and each bound below exists once only and is found by
bracketing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.profile import fallen_ends, fallen_ends_above_zero, half_drop, root_above_zero

FEW_FAILURES = 5
_SAME = 1e-9
_WIDEST = 115.0  # of ln(life): fifty powers of ten


@dataclass(frozen=True)
class Bounds:
    """Two-sided confidence bounds of one figure; `high` may be infinite."""

    low: float
    high: float


@dataclass(frozen=True)
class WeibullFit:
    """Estimates of maximum likelihood from lives (n,), `failed` (n,) true where the specimen failed.

    `shape` without unit, `scale` in the unit of the lives: the life that 63.2 % do not reach.
    """

    shape: float
    scale: float
    log_likelihood: float
    lives: np.ndarray = field(repr=False)
    failed: np.ndarray = field(repr=False)

    @property
    def failures(self) -> int:
        """How many specimens failed."""
        return int(self.failed.sum())

    @property
    def censored(self) -> int:
        """How many specimens were stopped without failure."""
        return len(self.lives) - self.failures

    @property
    def mean(self) -> float:
        """Mean life scale·Γ(1 + 1/shape), unit of the lives."""
        return self.scale * math.gamma(1 + 1 / self.shape) if self.shape > 0.006 else math.inf

    def life(self, share: float) -> float:
        """The life that `share` of all specimens do not reach: B10 is life(0.10). Unit of the lives."""
        return self.scale * _hazard(share) ** (1 / self.shape)

    def survival(self, life: float) -> float:
        """Share of specimens that reach `life`."""
        return math.exp(-((life / self.scale) ** self.shape))

    @property
    def reduced_bias_shape(self) -> float | None:
        """Shape times C4⁶ for the number of failures r, C4 = √(2/(r − 1))·Γ(r/2)/Γ((r − 1)/2); None below 3 failures,
        where the mean of the estimate does not exist.

        Maximum likelihood finds the shape too steep from few failures. Source: reduced bias adjustment on the mean
        (Abernethy, The New Weibull Handbook), from memory; the tests confirm it by simulation.
        """
        return self.shape * bias_factor(self.failures) if self.failures > 2 else None

    @cached_property
    def _logs(self) -> _Logs:
        return _Logs.of(self.lives, self.failed)

    def shape_bounds(self, confidence: float = 0.90) -> Bounds:
        """Two-sided likelihood-profile bounds of the shape."""
        logs, floor = self._logs, self._floor(confidence)
        best = self.shape * logs.spread
        return Bounds(*(end / logs.spread for end in fallen_ends_above_zero(logs.profile_shape, best, floor)))

    def life_bounds(self, share: float, confidence: float = 0.90) -> Bounds:
        """Two-sided likelihood-profile bounds of the life that `share` do not reach; unit of the lives.

        The lower of the two is the one-sided bound at (1 + confidence)/2.
        """
        logs, hazard = self._logs, _hazard(share)
        best = math.log(self.life(share) / logs.reference) / logs.spread
        low, high = fallen_ends(lambda place: logs.profile_life(place, hazard), best, self._floor(confidence))
        return Bounds(*(logs.reference * _exponential(end * logs.spread) for end in (low, high)))

    def scale_bounds(self, confidence: float = 0.90) -> Bounds:
        """Two-sided likelihood-profile bounds of the scale; unit of the lives."""
        return self.life_bounds(1 - math.exp(-1), confidence)

    def least_life(self, share: float, confidence: float = 0.90) -> float:
        """One-sided lower bound of the life that `share` do not reach, at `confidence` above one half."""
        if not 0.5 < confidence < 1:
            raise EvaluationError(f"confidence = {confidence:g} must lie between 0.5 and 1 for a one-sided bound; e.g. 0.90")
        return self.life_bounds(share, 2 * confidence - 1).low

    def least_survival(self, life: float, confidence: float = 0.90) -> float:
        """One-sided lower bound of the share that reaches `life`, at `confidence` above one half."""
        if not 0.5 < confidence < 1:
            raise EvaluationError(f"confidence = {confidence:g} must lie between 0.5 and 1 for a one-sided bound; e.g. 0.90")
        return self.survival_bounds(life, 2 * confidence - 1).low

    def survival_bounds(self, life: float, confidence: float = 0.90) -> Bounds:
        """Two-sided likelihood-profile bounds of the share that reaches `life`."""
        if not life > 0:
            raise EvaluationError(f"life = {life:g} must be above 0")
        logs = self._logs
        place = math.log(life / logs.reference) / logs.spread
        best = math.log(life / self.scale) * self.shape
        low, high = fallen_ends(lambda hazard: logs.profile_hazard(place, hazard), best, self._floor(confidence))
        return Bounds(math.exp(-_exponential(high)), math.exp(-_exponential(low)))

    def _floor(self, confidence: float) -> float:
        if not 0 < confidence < 1:
            raise EvaluationError(f"confidence = {confidence:g} must lie between 0 and 1; e.g. 0.90")
        return self._logs.profile_shape(self.shape * self._logs.spread) - half_drop(confidence)

    @property
    def notes(self) -> tuple[str, ...]:
        """What a reader has to know before using the figures."""
        told = []
        if self.failures < FEW_FAILURES:
            steep = f", by {1 / bias_factor(self.failures) - 1:.0%} on average" if self.failures > 2 else ""
            told.append(f"{self.failures} failures: the shape is hardly known and comes out too steep{steep}")
        bounds = self.shape_bounds()
        if bounds.low <= 1 <= bounds.high:
            told.append("the shape may be 1: wear-out is not shown")
        elif bounds.high < 1:
            told.append("the shape is below 1: early failures, or two causes mixed; look at the failures one by one")
        return tuple(told)


@dataclass(frozen=True)
class _Logs:
    """ln(life/reference)/spread with reference the longest life and the failures' mean at −1: free of scale and
    of unit."""

    values: np.ndarray
    failures: int
    reference: float
    spread: float

    @classmethod
    def of(cls, lives: np.ndarray, failed: np.ndarray) -> _Logs:
        reference = float(lives.max())
        near = lives > reference / 2
        logs = np.where(near, np.log1p((lives * near - reference * near) / reference), np.log(lives) - math.log(reference))
        spread = -float(logs[failed].mean())
        if not spread > _SAME:
            raise EvaluationError(
                f"all failures lie at the longest life {reference:g}; a distribution needs lives that differ: test on, or "
                "judge by success run with failures allowed"
            )
        return cls(logs / spread, int(failed.sum()), reference, spread)

    def slope(self, shape: float) -> float:
        """Derivative of −profile/failures in the shape; rises from −∞ to above 0."""
        weights = np.exp(shape * self.values)
        return float(weights @ self.values / weights.sum()) - 1 / shape + 1.0

    def profile_shape(self, shape: float) -> float:
        """Log-likelihood at `shape` with the best scale, without its constant part."""
        total = float(np.exp(shape * self.values).sum())
        return self.failures * (math.log(shape) - shape - math.log(total / self.failures) - 1)

    def profile_life(self, place: float, hazard: float) -> float:
        """The same with the life of cumulated hazard `hazard` at `place`, for the best shape."""
        return self._at_point(place, math.log(hazard))

    def profile_hazard(self, place: float, log_hazard: float) -> float:
        """The same with the cumulated hazard at `place` held at exp(log_hazard)."""
        return self._at_point(place, log_hazard)

    def _at_point(self, place: float, log_hazard: float) -> float:
        moved = self.values - place
        pull = -self.failures * (1 + place)

        def rise(shape: float) -> float:
            with np.errstate(over="ignore"):
                weights = np.exp(np.minimum(shape * moved + log_hazard, 700.0))
            return float(weights @ moved) - pull - self.failures / shape

        shape = root_above_zero(rise, 1.0 / max(1.0, abs(place)))
        return self.failures * (math.log(shape) + log_hazard) + shape * pull - float(
            np.exp(np.minimum(shape * moved + log_hazard, 700.0)).sum()
        )


def fit_weibull(lives: np.ndarray, censored: np.ndarray | None = None) -> WeibullFit:
    """Shape and scale from lives (n,) above 0 and `censored` (n,), true where a specimen was stopped unbroken.

    Raises EvaluationError for lives that carry no fit: none or one failure, all failures at the longest life, gaps.
    Source: the likelihood as any textbook of life data analysis gives it (Lawless; Meeker and Escobar), from memory.
    """
    lives, failed = checked_lives(lives, censored)
    if failed.sum() < 2:
        found = "no specimen" if not failed.any() else "1 specimen"
        raise EvaluationError(
            f"{found} of {len(lives)} failed; a Weibull fit needs at least 2 failures: state the reliability by success run"
        )
    logs = _Logs.of(lives, failed)
    scaled = root_above_zero(logs.slope, 1.0)
    mean_power = float(np.exp(scaled * logs.values).sum()) / logs.failures
    shape = scaled / logs.spread
    scale = logs.reference * math.exp(math.log(mean_power) / shape)
    constant = -logs.failures * math.log(logs.spread) - float(np.log(lives[failed]).sum())
    return WeibullFit(shape, scale, logs.profile_shape(scaled) + constant, lives, failed)


def checked_lives(lives: np.ndarray, censored: np.ndarray | None) -> tuple[np.ndarray, np.ndarray]:
    """The lives as float64 (n,) and whether each failed (n,); EvaluationError for gaps, lives not above 0, or a
    mark missing."""
    values = np.asarray(lives, float)
    marks = np.zeros(values.shape, bool) if censored is None else np.asarray(censored)
    if values.ndim != 1 or values.size == 0:
        raise EvaluationError(f"{values.size} lives; expected a list of at least one life")
    if marks.shape != values.shape:
        raise EvaluationError(f"{values.size} lives, {marks.size} marks of censoring; give one mark for each life")
    bad = ~np.isfinite(values) | ~(values > 0)
    if bad.any():
        place = int(np.flatnonzero(bad)[0])
        raise EvaluationError(f"life {place + 1} is {values[place]:g}; lives must be numbers above 0: correct it")
    if float(np.log(values).max() - np.log(values).min()) > _WIDEST:
        raise EvaluationError(f"lives from {values.min():g} to {values.max():g}; they cannot differ so much: correct the unit")
    if marks.dtype != bool and not np.isin(marks, (0, 1)).all():
        raise EvaluationError("a mark of censoring is neither 0 nor 1; 1 means stopped without failure")
    return values, ~marks.astype(bool)


def bias_factor(failures: int) -> float:
    """C4⁶ for `failures` of at least 2: mean of the true shape over the fitted one."""
    half = math.lgamma(failures / 2) - math.lgamma((failures - 1) / 2)
    return math.exp(6 * (0.5 * math.log(2 / (failures - 1)) + half))


def _hazard(share: float) -> float:
    if not 0 < share < 1:
        raise EvaluationError(f"share = {share:g} must lie between 0 and 1; B10 is the share 0.10")
    return -math.log1p(-share)


def _exponential(power: float) -> float:
    return math.exp(power) if power < 709.0 else math.inf
