"""Roots and ends of one-dimensional profiles of a likelihood that rise to one maximum and fall from there."""

from __future__ import annotations

import math
from collections.abc import Callable

_STEP = 4.0
_STEPS = 400
_FARTHEST = 1e6


def root_above_zero(rising: Callable[[float], float], start: float) -> float:
    """Where a function of a number above 0, negative near 0 and positive far out, is 0."""
    from scipy.optimize import brentq

    low = high = start
    for _ in range(_STEPS):
        if rising(low) < 0:
            break
        low /= _STEP
    for _ in range(_STEPS):
        if rising(high) >= 0:
            break
        high *= _STEP
    return float(brentq(rising, low, high, xtol=1e-300, rtol=1e-14, maxiter=500))


def fallen_ends(
    profile: Callable[[float], float], best: float, floor: float, step: float = 0.25
) -> tuple[float, float]:
    """The two places around `best` where the profile has fallen to `floor`; infinite where it never does.

    `step` is the first stride outward, in the unit of the place.
    """
    return fallen_end(profile, best, floor, -step), fallen_end(profile, best, floor, step)


def fallen_end(profile: Callable[[float], float], best: float, floor: float, step: float) -> float:
    """The place on the side of the sign of `step` where the profile has fallen to `floor`; infinite if nowhere."""
    from scipy.optimize import brentq

    farthest, inner = _FARTHEST * abs(step), best
    while profile(best + step) > floor and abs(step) < farthest:
        inner, step = best + step, 2 * step
    outer = best + step
    if profile(outer) > floor:
        return math.copysign(math.inf, step)
    return float(brentq(lambda place: profile(place) - floor, *sorted((inner, outer)), rtol=1e-13, maxiter=500))


def fallen_ends_above_zero(profile: Callable[[float], float], best: float, floor: float) -> tuple[float, float]:
    """The same for a profile of a number above 0, searched on its logarithm."""
    low, high = fallen_ends(lambda power: profile(math.exp(power)), math.log(best), floor)
    return math.exp(low), math.exp(high)


def half_drop(confidence: float) -> float:
    """How far the log-likelihood falls from its maximum to the two-sided bounds at `confidence`: half the quantile of
    χ² with one degree of freedom."""
    from scipy.special import ndtri

    return float(ndtri((1 + confidence) / 2)) ** 2 / 2
