"""S–N line in the range of finite life: ln N = a − k·ln S with normal scatter, survivors as right-censored lives.

In 1/s, a/s and k/s the log-likelihood is concave (Olsen, Econometrica 46 (1978) 1211, from memory): one maximum.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.profile import fallen_end, fallen_ends, half_drop
from dossier.evidence.weibull import Bounds, checked_lives

FEW_FAILURES = 7
_STEPS = 200


@dataclass(frozen=True)
class SnLine:
    """Line of maximum likelihood: slope exponent `exponent` (k above 0 for lives that fall with load), `deviation` of
    ln N about it, `log_likelihood` in ln N. Loads and lives keep their units."""

    exponent: float
    deviation: float
    log_likelihood: float
    loads: np.ndarray = field(repr=False)
    lives: np.ndarray = field(repr=False)
    failed: np.ndarray = field(repr=False)
    _best: np.ndarray = field(repr=False)

    @property
    def log10_deviation(self) -> float:
        """Scatter as the standard deviation of lg N."""
        return self.deviation / math.log(10)

    @property
    def corrected_deviation(self) -> float | None:
        """Deviation with n − 2 degrees of freedom instead of n; None where specimens survived, for which no such
        correction is exact."""
        count = len(self.lives)
        return self.deviation * math.sqrt(count / (count - 2)) if self.failed.all() and count > 2 else None

    def life(self, load: float, survival: float = 0.5) -> float:
        """Life at `load` that `survival` of the specimens reach, without confidence."""
        from scipy.special import ndtri

        if not 0 < survival < 1:
            raise EvaluationError(f"survival = {survival:g} must lie between 0 and 1; e.g. 0.90")
        return math.exp(self._centre(load) - float(ndtri(survival)) * self.deviation)

    def exponent_bounds(self, confidence: float = 0.90) -> Bounds:
        """Two-sided likelihood-profile bounds of the exponent."""
        data = self._data(1.0)
        floor = self._floor(confidence)
        reach = self._reach
        return Bounds(*fallen_ends(lambda k: data.held_exponent(k)[1], self.exponent, floor, reach))

    def least_life(self, load: float, survival: float, confidence: float) -> float:
        """Lower bound, at one-sided `confidence`, of the life at `load` that `survival` of the specimens reach.

        Without survivors exact (noncentral t); else by likelihood profile, which is somewhat too high from few specimens.
        """
        for name, number in (("survival", survival), ("confidence", confidence)):
            if not 0.5 <= number < 1:
                raise EvaluationError(f"{name} = {number:g} must lie between 0.5 and 1; e.g. 0.90")
        if not load > 0:
            raise EvaluationError(f"load = {load:g} must be above 0")
        if self.failed.all():
            return self._exact_least(load, survival, confidence)
        from scipy.special import ndtri

        quantile, data = float(ndtri(survival)), self._data(load)
        best = self._centre(load) - quantile * self.deviation
        floor = self._floor(max(2 * confidence - 1, 1e-9))
        return math.exp(fallen_end(lambda low: data.held_life(low, quantile)[1], best, floor, -0.5 * self.deviation))

    def _exact_least(self, load: float, survival: float, confidence: float) -> float:
        from scipy.optimize import brentq
        from scipy.special import ndtri

        from dossier.evidence.noncentral import below

        x = np.log(self.loads)
        share = 1 / len(x) + (math.log(load) - x.mean()) ** 2 / float(((x - x.mean()) ** 2).sum())
        root, freedom, off = math.sqrt(share), len(x) - 2, float(ndtri(survival)) / math.sqrt(share)
        high = off + 10.0
        while below(high, freedom, off) < confidence:
            high += high
        factor = float(brentq(lambda t: below(t, freedom, off) - confidence, -high, high, xtol=1e-12))
        return math.exp(self._centre(load) - factor * root * (self.corrected_deviation or self.deviation))

    @property
    def notes(self) -> tuple[str, ...]:
        """What limits the figures."""
        told, failures = [], int(self.failed.sum())
        if failures < FEW_FAILURES:
            few = f"fewer than {FEW_FAILURES} give a poor slope and scatter (common practice, no source)"
            told.append(f"{failures} failures: {few}")
        if not self.failed.all():
            told.append("with survivors the scatter comes out too small from few specimens, and bounds somewhat too narrow")
        if self.exponent <= 0:
            told.append(f"the life does not fall with the load (exponent {self.exponent:.2g}); check loads and lives")
        return tuple(told)

    def _centre(self, load: float) -> float:
        if not load > 0:
            raise EvaluationError(f"load = {load:g} must be above 0")
        middle = float(np.log(self.loads).mean())
        return self._best[1] / self._best[0] - self.exponent * (math.log(load) - middle)

    @property
    def _reach(self) -> float:
        x = np.log(self.loads)
        return self.deviation / math.sqrt(float(((x - x.mean()) ** 2).sum()))

    def _data(self, load: float) -> _Data:
        return _Data(np.log(self.loads) - math.log(load), np.log(self.lives), self.failed)

    def _floor(self, confidence: float) -> float:
        if not 0 < confidence < 1:
            raise EvaluationError(f"confidence = {confidence:g} must lie between 0 and 1; e.g. 0.90")
        return self.log_likelihood - half_drop(confidence)


def fit_sn_line(loads: Sequence[float], lives: Sequence[float], survived: Sequence[bool] | None = None) -> SnLine:
    """The line from loads (n,) and lives (n,) above 0 and whether each specimen `survived` (n,) to its life.

    Raises EvaluationError for fewer than three failures, failures at one load only, or failures without scatter.
    Source: censored maximum likelihood of a lognormal life as for fatigue data by Spindel and Haibach, Int. J. Fatigue 1
    (1979) 81, from memory; DIN 50100 evaluates the pearl string by regression, from memory.
    """
    cycles, failed = checked_lives(lives, survived)
    force = np.asarray(loads, float)
    if force.shape != cycles.shape or not (np.isfinite(force) & (force > 0)).all():
        raise EvaluationError(f"{force.size} loads, {cycles.size} lives; give a load above 0 for each life")
    if failed.sum() < 3 or np.ptp(np.log(force[failed])) < 1e-9:
        raise EvaluationError(
            f"{int(failed.sum())} failures at {len(np.unique(force[failed]))} loads; a line needs 3 failures at 2 loads or more"
        )
    x, y = np.log(force), np.log(cycles)
    data = _Data(x - x.mean(), y, failed)
    start = np.polyfit(data.x[failed], y[failed], 1)
    spread = float(np.std(y[failed] - np.polyval(start, data.x[failed])))
    if spread < 1e-9:
        raise EvaluationError("the failures lie on a line without scatter; a scatter cannot be found: check the lives")
    best, height = data.maximise(np.array([1.0, start[1], start[0]]) / spread, np.eye(3), np.zeros(3))
    return SnLine(-best[2] / best[0], 1 / best[0], height, force, cycles, failed, best)


@dataclass(frozen=True)
class _Data:
    """ln of loads about a middle and ln of lives. Parameters: θ = 1/s, α = a/s, γ = slope/s."""

    x: np.ndarray
    y: np.ndarray
    failed: np.ndarray

    def held_exponent(self, exponent: float) -> tuple[np.ndarray, float]:
        """Best parameters and height with γ = −exponent·θ."""
        directions = np.array([[1.0, 0.0, -exponent], [0.0, 1.0, 0.0]])
        return self.maximise(self._start(directions, np.zeros(3)), directions, np.zeros(3))

    def held_life(self, low: float, quantile: float) -> tuple[np.ndarray, float]:
        """Best parameters and height with α = low·θ + quantile, so that ln life at the middle less quantile·s is `low`."""
        directions, offset = np.array([[1.0, low, 0.0], [0.0, 0.0, 1.0]]), np.array([0.0, quantile, 0.0])
        return self.maximise(self._start(directions, offset), directions, offset)

    def _start(self, directions: np.ndarray, offset: np.ndarray) -> np.ndarray:
        first = np.zeros(len(directions))
        residual = self.y - self.y.mean()
        first[0] = 1 / max(float(np.std(residual)), 1e-9)
        return first

    def maximise(self, start: np.ndarray, directions: np.ndarray, offset: np.ndarray) -> tuple[np.ndarray, float]:
        """Newton's steps, halved until they rise, over offset + free·directions; returns (θ, α, γ) and the height."""
        free = np.array(start, float)
        height, slope, curve = self._terms(offset + free @ directions)
        for _ in range(_STEPS):
            gradient, hessian = directions @ slope, directions @ curve @ directions.T
            step = np.linalg.solve(hessian + 1e-12 * np.trace(hessian) * np.eye(len(free)), -gradient)
            size = 1.0
            while size > 1e-12:
                trial = self._terms(offset + (free + size * step) @ directions)
                if trial[0] >= height:
                    break
                size /= 2
            gain = trial[0] - height
            if size <= 1e-12:
                break
            free, (height, slope, curve) = free + size * step, trial
            if gain < 1e-13 * max(1.0, abs(height)):
                break
        return offset + free @ directions, height

    def _terms(self, parameters: np.ndarray) -> tuple[float, np.ndarray, np.ndarray]:
        """Height, gradient (3,) and Hessian (3, 3) in (θ, α, γ); −∞ for θ not above 0."""
        from scipy.special import log_ndtr

        scale = parameters[0]
        if not scale > 0:
            return -math.inf, np.zeros(3), -np.eye(3)
        rows = np.column_stack((self.y, -np.ones_like(self.x), -self.x))
        depth = rows @ parameters
        tail = log_ndtr(-depth)
        hazard = np.exp(-(depth**2) / 2 - 0.5 * math.log(2 * math.pi) - tail)
        failures = int(self.failed.sum())
        constant = failures * (math.log(scale) - 0.5 * math.log(2 * math.pi))
        height = constant - float((depth[self.failed] ** 2).sum()) / 2 + float(tail[~self.failed].sum())
        pull = np.where(self.failed, -depth, -hazard)
        bend = np.where(self.failed, -1.0, -hazard * (hazard - depth))
        gradient, hessian = rows.T @ pull, (rows.T * bend) @ rows
        gradient[0] += failures / scale
        hessian[0, 0] -= failures / scale**2
        return height, gradient, hessian
