"""Reliability shown by specimens that did not fail, or by few failures, and how many are needed for a statement.

Binomial, without prior knowledge: n specimens without failure show (1 − C)^(1/n) at confidence C. The Bayesian form
with a uniform prior puts n + 1 in the exponent, one specimen fewer; it is not used here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError

VARIANT = "binomial, without prior knowledge"
_MOST = 1_000_000


@dataclass(frozen=True)
class Reliability:
    """Share that reaches the required life, shown at `confidence` by `count` specimens with `failures`.

    `effective`: specimens of one required life that the tests stand for; above `count` where tests ran longer,
    with `slope` the Weibull shape used (None where none is needed).
    """

    value: float
    confidence: float
    count: int
    failures: int
    effective: float
    slope: float | None
    variant: str

    @property
    def words(self) -> str:
        """The statement in one sentence."""
        longer = f", counted as {self.effective:.1f} by their length with slope {self.slope:g}" if self.slope else ""
        failed = "no failure" if self.failures == 0 else f"{self.failures} failed"
        return (
            f"R = {self.value:.1%} at {self.confidence:.0%} confidence from {self.count} specimens, {failed}{longer} "
            f"({self.variant})"
        )


def reliability_shown(count: int, failures: int = 0, confidence: float = 0.90) -> Reliability:
    """Reliability at the required life from `count` specimens tested to it, `failures` of them failed before.

    Lower bound of Clopper and Pearson, Biometrika 26 (1934) 404, from memory. Raises EvaluationError for counts that
    make no test.
    """
    from scipy.special import betaincinv

    _checked(confidence=confidence)
    if count < 1 or not 0 <= failures <= count:
        raise EvaluationError(f"{failures} failures of {count} specimens; give 1 specimen or more and no more failures than that")
    if failures == 0:
        value = (1 - confidence) ** (1 / count)
    else:
        value = float(betaincinv(count - failures, failures + 1, 1 - confidence)) if failures < count else 0.0
    return Reliability(value, confidence, count, failures, float(count), None, VARIANT)


def reliability_of_lives(
    lives: Sequence[float],
    failed: Sequence[bool],
    required: float,
    slope: tuple[float, float],
    started: int,
    confidence: float = 0.90,
) -> Reliability:
    """Reliability at the `required` life from specimens run to `lives` (n,), longer or shorter, and whether each
    `failed` (n,).

    `slope`: low and high bound of the Weibull shape, known from elsewhere. The bound that shows less is used: the low
    one where tests ran longer than required. `started`: how many tests were started; all must be among the lives,
    for a missing one may be a failure. Source: sum of (life/required)^shape against χ² with 2·failures + 2 degrees
    of freedom, as for an exponential distribution (test stopped by time), from memory.
    """
    from scipy.special import gammaincinv

    _checked(confidence=confidence)
    ratios = np.asarray(lives, float) / required if required > 0 else np.array([])
    if ratios.ndim != 1 or len(ratios) == 0 or len(failed) != len(ratios) or not (np.isfinite(ratios) & (ratios > 0)).all():
        raise EvaluationError(
            f"{len(lives)} lives, {len(failed)} marks, required life {required:g}: give a mark for each life and lives above 0"
        )
    if started != len(ratios):
        raise EvaluationError(
            f"{started} tests were started, {len(ratios)} have a life; a statement needs all of them: enter the missing ones"
        )
    if not 0 < slope[0] <= slope[1]:
        raise EvaluationError(f"slope {slope[0]:g} to {slope[1]:g}: the low bound must be above 0 and not above the high one")
    failures = int(np.sum(failed))
    shown = [(float(np.sum(ratios**each)), each) for each in slope]
    effective, used = min(shown)
    demand = float(gammaincinv(failures + 1, confidence))
    variant = f"slope held at {used:g}, the bound of {slope[0]:g} to {slope[1]:g} that shows less"
    return Reliability(math.exp(-demand / effective), confidence, len(ratios), failures, effective, used, variant)


def specimens_needed(
    reliability: float, confidence: float = 0.90, failures: int = 0, *, length: float = 1.0, slope: float | None = None
) -> int:
    """Smallest number of specimens that shows `reliability` when up to `failures` of them fail.

    `length`: test length over required life; other than 1 it needs the `slope` (the low bound of the Weibull shape
    for longer tests) and no failure allowed. Raises EvaluationError for a statement no number of tests can make.
    """
    _checked(confidence=confidence, reliability=reliability)
    if failures < 0:
        raise EvaluationError(f"failures = {failures} must be 0 or more")
    if length != 1.0:
        _checked_length(length, slope, failures)
        return max(1, math.ceil(_whole(math.log1p(-confidence) / (math.log(reliability) * length ** (slope or 1.0)))))
    if failures == 0:
        return max(1, math.ceil(_whole(math.log1p(-confidence) / math.log(reliability))))
    return _least_count(reliability, confidence, failures)


def length_needed(reliability: float, confidence: float, count: int, slope: float) -> float:
    """Test length over required life at which `count` specimens without failure show `reliability`."""
    _checked(confidence=confidence, reliability=reliability)
    if count < 1 or not slope > 0:
        raise EvaluationError(f"{count} specimens, slope {slope:g}: both must be above 0")
    return (math.log1p(-confidence) / (count * math.log(reliability))) ** (1 / slope)


def _least_count(reliability: float, confidence: float, failures: int) -> int:
    low, high = failures, failures + 1
    while reliability_shown(high, failures, confidence).value < reliability:
        low, high = high, 2 * high
        if high > _MOST:
            raise EvaluationError(f"more than {_MOST:,} specimens would be needed; lower the reliability or the confidence")
    while high - low > 1:
        middle = (low + high) // 2
        if reliability_shown(middle, failures, confidence).value < reliability:
            low = middle
        else:
            high = middle
    return high


def _whole(number: float) -> float:
    """The number without the last digits, so that an exact whole is not rounded up."""
    return number - 1e-9 * max(1.0, number)


def _checked(**shares: float) -> None:
    for name, share in shares.items():
        if not 0 < share < 1:
            raise EvaluationError(f"{name} = {share:g} must lie between 0 and 1; e.g. 0.90")


def _checked_length(length: float, slope: float | None, failures: int) -> None:
    if not length > 0 or slope is None or not slope > 0:
        raise EvaluationError(f"length = {length:g} with slope {slope}: both must be above 0; state the slope's low bound")
    if failures:
        raise EvaluationError(f"{failures} failures allowed with length {length:g}: plan longer tests without failure only")
