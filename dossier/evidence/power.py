"""How likely an equivalence test is to succeed: before the specimens are made."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from dossier.evidence.errors import EvaluationError

_NODES = 400


def tost_power(
    ratio: float,
    deviation: float,
    variant_count: int,
    reference_count: int,
    low: float = 0.90,
    high: float = 1.10,
    alpha: float = 0.05,
) -> float:
    """Probability that two one-sided tests show equivalence when the true ratio is `ratio`.

    `deviation`: standard deviation of ln(value) within each group, nearly the coefficient of variation. Exact
    for normal logarithms with pooled variance; Welch's test, which is used, has about 0.02 less at five specimens
    per group. Raises EvaluationError for a deviation or counts that make no test.
    """
    if deviation <= 0 or min(variant_count, reference_count) < 2:
        raise EvaluationError(
            f"deviation = {deviation:g} must be above 0 and each group needs 2 specimens, given {variant_count} and "
            f"{reference_count}"
        )
    error = deviation * math.sqrt(1 / variant_count + 1 / reference_count)
    return power_of_design(ratio, error, variant_count + reference_count - 2, low, high, alpha)


def power_of_design(ratio: float, error: float, freedom: int, low: float, high: float, alpha: float) -> float:
    """Power of two one-sided tests for any design with standard error `error` of the log ratio, known with
    `freedom` degrees of freedom: the probability integral over the estimated error (Gauss–Legendre in its
    quantile)."""
    from scipy.special import chdtri, ndtr, stdtrit

    nodes, weights = np.polynomial.legendre.leggauss(_NODES)
    share = (nodes + 1) / 2
    estimated = error * np.sqrt(chdtri(freedom, 1 - share) / freedom)
    half = float(stdtrit(freedom, 1 - alpha)) * estimated
    above = (math.log(high) - math.log(ratio) - half) / error
    below = (math.log(low) - math.log(ratio) + half) / error
    return float(np.sum(weights / 2 * np.maximum(ndtr(above) - ndtr(below), 0.0)))


def set_power(powers: Sequence[float]) -> float:
    """Probability that all independent directions succeed: the product of their powers.

    Directions measured on the same specimens are not independent; the true value then lies between the
    product and the smallest of them.
    """
    return math.prod(powers)


def specimens_needed(
    ratio: float, deviation: float, power: float = 0.80, low: float = 0.90, high: float = 1.10, alpha: float = 0.05,
    most: int = 200,
) -> int:  # fmt: skip
    """Smallest number of specimens per group that gives at least `power`.

    Raises EvaluationError if not even `most` do.
    """
    for count in range(2, most + 1):
        if tost_power(ratio, deviation, count, count, low, high, alpha) >= power:
            return count
    raise EvaluationError(
        f"{most} specimens per group give a power of {tost_power(ratio, deviation, most, most, low, high, alpha):.2f}, "
        f"below {power:g}; widen the margin or reduce the scatter"
    )


def acceptance(
    ratio: float,
    deviation: float,
    batch_deviation: float,
    count: int,
    low: float = 0.90,
    high: float = 1.10,
    *,
    alpha: float = 0.05,
    runs: int = 20_000,
    seed: int = 1,
) -> float:
    """Simulated share of Welch's two one-sided tests that accept, with `count` specimens per group, the
    variant from one batch and the reference from another; `batch_deviation` is the standard deviation of
    ln(batch mean).

    With batch scatter more specimens of one batch make a wrong acceptance more likely, not less.
    """
    from scipy.special import stdtrit

    random = np.random.default_rng(seed)
    groups = random.normal(0.0, deviation, (2, runs, count))
    shifts = random.normal(0.0, batch_deviation, (2, runs)) if batch_deviation else np.zeros((2, runs))
    means = groups.mean(axis=2) + shifts
    parts = groups.var(axis=2, ddof=1) / count
    difference = means[0] - means[1] + math.log(ratio)
    freedom = (parts.sum(axis=0)) ** 2 / ((parts**2).sum(axis=0) / (count - 1))
    half = stdtrit(freedom, 1 - alpha) * np.sqrt(parts.sum(axis=0))
    accepted = (difference - half >= math.log(low)) & (difference + half <= math.log(high))
    return float(accepted.mean())
