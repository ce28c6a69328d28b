"""Tolerance intervals: limits that hold a stated share of all parts at a stated confidence."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dossier.evidence.difference import checked_group
from dossier.evidence.errors import EvaluationError
from dossier.evidence.noncentral import below
from dossier.evidence.profile import root_above_zero

_NODES = 200


@dataclass(frozen=True)
class ToleranceInterval:
    """`low` to `high` (one of them infinite if one-sided) holds `share` of all parts at `confidence`; `factor`: number
    of standard deviations from the mean, None for an interval by order statistics."""

    low: float
    high: float
    share: float
    confidence: float
    count: int
    factor: float | None

    @property
    def words(self) -> str:
        """The statement in one sentence."""
        if math.isinf(self.low):
            place = f"at most {self.high:.4g}"
        else:
            place = f"at least {self.low:.4g}" if math.isinf(self.high) else f"{self.low:.4g} to {self.high:.4g}"
        form = f"normal, k = {self.factor:.3f}" if self.factor is not None else "any distribution"
        return f"{place}: {self.share:.1%} of all parts at {self.confidence:.0%} confidence ({form}, n = {self.count})"


def one_sided_factor(count: int, share: float, confidence: float) -> float:
    """k of the one-sided normal tolerance limit mean ± k·s, exact: quantile of the noncentral t of n − 1 degrees of
    freedom and noncentrality z·√n, over √n. Source: ISO 16269-6 as commonly stated, from memory."""
    from scipy.optimize import brentq
    from scipy.special import ndtri

    _checked(count, share, confidence)
    root, wanted = math.sqrt(count), float(ndtri(share))
    low, high = wanted - 1.0, wanted + 1.0
    while below(low * root, count - 1, wanted * root) > confidence:
        low -= high - low
    while below(high * root, count - 1, wanted * root) < confidence:
        high += high - low
    return float(brentq(lambda factor: below(factor * root, count - 1, wanted * root) - confidence, low, high, xtol=1e-13))


def two_sided_factor(count: int, share: float, confidence: float) -> float:
    """k of the two-sided normal tolerance interval mean ± k·s, exact.

    For a mean off by u, the standard deviation must exceed r(u)/k, r the half width that holds `share`: the mean of
    that probability over u is the confidence (Wald and Wolfowitz 1946; Odeh 1978; from memory).
    """
    _checked(count, share, confidence)
    from scipy.special import chdtrc

    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    off = (nodes + 1) * 4.5 / math.sqrt(count)
    density = np.exp(-count * off**2 / 2) * math.sqrt(count / (2 * math.pi)) * 2
    mass = weights * 4.5 / math.sqrt(count) * density
    reach = _half_width(off, share)
    freedom = count - 1

    def rise(factor: float) -> float:
        return float(mass @ chdtrc(freedom, freedom * (reach / factor) ** 2)) / float(mass.sum()) - confidence

    return root_above_zero(rise, 2.0)


def howe_factor(count: int, share: float, confidence: float) -> float:
    """Howe's approximation of the two-sided factor: z·√((1 + 1/n)(n − 1)/χ²). Source: NIST/SEMATECH e-Handbook 7.2.6.3
    (as quoted; without the handbook's further correction)."""
    from scipy.special import chdtri, ndtri

    _checked(count, share, confidence)
    quantile = float(chdtri(count - 1, confidence))
    return float(ndtri((1 + share) / 2)) * math.sqrt((1 + 1 / count) * (count - 1) / quantile)


def normal_interval(
    values: np.ndarray, share: float = 0.95, confidence: float = 0.95, *, side: str = "both"
) -> ToleranceInterval:
    """Tolerance interval of values (n,) taken as normal. `side`: both, low (a lower limit) or high.

    Raises EvaluationError for fewer than two values, gaps, or shares outside 0 to 1.
    """
    group = checked_group("values", values)
    mean, deviation = float(group.mean()), float(group.std(ddof=1))
    if side not in ("both", "low", "high"):
        raise EvaluationError(f'side = "{side}" is none of both, low, high')
    factor = (two_sided_factor if side == "both" else one_sided_factor)(len(group), share, confidence)
    low = -math.inf if side == "high" else mean - factor * deviation
    high = math.inf if side == "low" else mean + factor * deviation
    return ToleranceInterval(low, high, share, confidence, len(group), factor)


def free_interval(
    values: np.ndarray, share: float = 0.95, confidence: float = 0.95, *, side: str = "both"
) -> ToleranceInterval:
    """Tolerance interval of values (n,) of any continuous distribution: between order statistics, as few cut off on
    each side as the confidence allows.

    Raises EvaluationError where n is too small, with the number needed. Source: Wilks, Ann. Math. Stat. 12 (1941) 91,
    from memory.
    """
    from scipy.special import bdtr

    group = np.sort(checked_group("values", values))
    _checked(len(group), share, confidence)
    sides = 2 if side == "both" else 1
    cut = 0
    while cut < len(group) and bdtr(len(group) - (cut + 1), len(group), share) >= confidence:
        cut += 1
    if cut < sides:
        needed = free_count(share, confidence, sides=sides)
        raise EvaluationError(
            f"{len(group)} values; {needed} are needed for {share:.0%} at {confidence:.0%} without a distribution: measure more "
            "or show that they are normal"
        )
    below, above = (cut // 2, cut - cut // 2) if side == "both" else (cut, cut)
    low = -math.inf if side == "high" else float(group[below - 1])
    high = math.inf if side == "low" else float(group[-above])
    return ToleranceInterval(low, high, share, confidence, len(group), None)


def free_count(share: float, confidence: float, *, sides: int = 2) -> int:
    """Smallest number of values whose extremes (`sides` 2: smallest and largest, 1: one of them) are a tolerance
    interval without a distribution."""
    from scipy.special import bdtr

    _checked(2, share, confidence)
    low, high = 1, 2
    while bdtr(high - sides, high, share) < confidence:
        low, high = high, 2 * high
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if middle < sides or bdtr(middle - sides, middle, share) < confidence else (low, middle)
    return high


def normal_count(reach: float, share: float, confidence: float, *, side: str = "both", most: int = 2000) -> int:
    """Smallest number of values whose tolerance factor is at most `reach`, the distance of the nearer limit from the
    expected mean in standard deviations. Raises EvaluationError if not even `most` do."""
    factor = two_sided_factor if side == "both" else one_sided_factor
    _checked(2, share, confidence)
    if factor(most, share, confidence) > reach:
        least = factor(most, share, confidence)
        raise EvaluationError(f"{most} values give a factor of {least:.3f}, above {reach:g}; reduce the scatter or the share")
    low, high = 1, most
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if factor(middle, share, confidence) <= reach else (middle, high)
    return high


def _half_width(off: np.ndarray, share: float) -> np.ndarray:
    """r with Φ(u + r) − Φ(u − r) = `share`, by Newton's steps from above u + z."""
    from scipy.special import ndtr, ndtri

    reach = off + float(ndtri((1 + share) / 2))
    for _ in range(100):
        excess = ndtr(off + reach) - ndtr(off - reach) - share
        slope = (np.exp(-((off + reach) ** 2) / 2) + np.exp(-((off - reach) ** 2) / 2)) / math.sqrt(2 * math.pi)
        step = excess / slope
        reach = reach - step
        if np.abs(step).max() < 1e-13:
            break
    return reach


def _checked(count: int, share: float, confidence: float) -> None:
    if count < 2:
        raise EvaluationError(f"{count} values; a tolerance interval needs at least 2: measure more parts")
    for name, number in (("share", share), ("confidence", confidence)):
        if not 0 < number < 1:
            raise EvaluationError(f"{name} = {number:g} must lie between 0 and 1; e.g. 0.95")
