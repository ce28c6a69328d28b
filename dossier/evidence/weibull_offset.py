"""Weibull distribution with a life below which nothing fails: a comparison with the two-parameter fit, no more."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.weibull import WeibullFit, checked_lives, fit_weibull

_GRID = 200
_LEAST_FAILURES = 6


@dataclass(frozen=True)
class OffsetFit:
    """`offset` (life without failure, unit of the lives) with shape and scale above it; `gain` in log-likelihood
    against the two-parameter fit `plain`."""

    offset: float
    shape: float
    scale: float
    log_likelihood: float
    plain: WeibullFit

    @property
    def gain(self) -> float:
        """How much the third parameter adds to the log-likelihood; below 1.9 it is no gain (χ², 95 %)."""
        return self.log_likelihood - self.plain.log_likelihood


def fit_offset(lives: np.ndarray, censored: np.ndarray | None = None) -> OffsetFit:
    """The inner maximum of the likelihood with offset, from lives (n,) and marks (n,) as `fit_weibull` takes them.

    The likelihood has no bound as the offset nears the first failure with a shape below 1; only a maximum inside
    counts. Raises EvaluationError where there is none, or fewer than six failures.
    """
    from scipy.optimize import minimize_scalar

    values, failed = checked_lives(lives, censored)
    plain = fit_weibull(lives, censored)
    if plain.failures < _LEAST_FAILURES:
        raise EvaluationError(f"{plain.failures} failures; three parameters need at least {_LEAST_FAILURES}: keep to two")
    first = float(values[failed].min())
    gaps = first * np.geomspace(1.0, 1e-4, _GRID)
    found = [_at(values, failed, first - gap) for gap in gaps]
    heights = [fit.log_likelihood for fit in found]
    inner = [
        place for place in range(1, _GRID - 1)
        if heights[place] >= heights[place - 1] and heights[place] > heights[place + 1] and found[place].shape > 1
    ]  # fmt: skip
    if not inner:
        raise EvaluationError("the likelihood has no maximum for an offset above 0; keep to two parameters")
    best = max(inner, key=lambda place: heights[place])
    answer = minimize_scalar(
        lambda power: -_at(values, failed, first - np.exp(power)).log_likelihood,
        bounds=(np.log(gaps[best + 1]), np.log(gaps[best - 1])), method="bounded", options={"xatol": 1e-10},
    )  # fmt: skip
    offset = first - float(np.exp(answer.x))
    fit = _at(values, failed, offset)
    return OffsetFit(offset, fit.shape, fit.scale, fit.log_likelihood, plain)


def _at(values: np.ndarray, failed: np.ndarray, offset: float) -> WeibullFit:
    """The fit above `offset`; specimens stopped before it say nothing."""
    kept = values > offset
    return fit_weibull(values[kept] - offset, ~failed[kept])
