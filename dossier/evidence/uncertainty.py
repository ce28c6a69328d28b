"""Uncertainty of a measured value: contributions, combination, expansion; budgets for a limit and for a
ratio.

Following JCGM 100:2008 (GUM), not checked against its text; the numbers of its annex H are reproduced by the
tests.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError

# What rounding may take from whole degrees of freedom; it must not cost one.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Contribution:
    """One line of a budget: standard uncertainty in the unit of the result (sensitivity already applied),
    degrees of freedom, and whether it is systematic, the same for every value from this rig."""

    name: str
    standard: float
    freedom: float = math.inf
    systematic: bool = False

    def __post_init__(self) -> None:
        if not self.standard >= 0 or not self.freedom > 0:
            raise EvaluationError(
                f"{self.name}: standard uncertainty {self.standard:g} must be 0 or more and its degrees of freedom "
                f"{self.freedom:g} above 0"
            )


@dataclass(frozen=True)
class Budget:
    """Combined standard uncertainty, effective degrees of freedom, coverage factor and expanded uncertainty
    at the coverage probability `confidence`, with the contributions it came from."""

    combined: float
    freedom: float
    factor: float
    expanded: float
    confidence: float
    contributions: tuple[Contribution, ...]


def from_limits(name: str, half_width: float, *, systematic: bool = True) -> Contribution:
    """A value known only to lie within ± `half_width`: rectangular, half_width/√3."""
    return Contribution(name, half_width / math.sqrt(3), systematic=systematic)


def from_certificate(name: str, expanded: float, factor: float = 2.0) -> Contribution:
    """A calibration certificate's expanded uncertainty with its coverage factor; systematic."""
    return Contribution(name, expanded / factor, systematic=True)


def from_resolution(name: str, step: float) -> Contribution:
    """The step of a display or converter: rectangular of half width step/2, new with each reading."""
    return from_limits(name, step / 2, systematic=False)


def from_repeats(name: str, values: np.ndarray) -> Contribution:
    """Mean of repeated values (n,): s/√n with n − 1 degrees of freedom."""
    values = np.asarray(values, float)
    if len(values) < 2:
        raise EvaluationError(
            f"{name}: {len(values)} value; at least 2 are needed for a spread: measure again"
        )
    return Contribution(name, float(values.std(ddof=1)) / math.sqrt(len(values)), len(values) - 1)


def combine(contributions: Sequence[Contribution], confidence: float = 0.95) -> Budget:
    """Independent contributions combined: root of squares, Welch–Satterthwaite degrees of freedom (cut to the
    next lower integer), coverage factor from Student's t.

    Source: JCGM 100:2008, equations 10 and G.2b, from memory.
    """
    from scipy.special import stdtrit

    combined = math.sqrt(math.fsum(each.standard**2 for each in contributions))
    freedom = effective_freedom(contributions)
    factor = float(
        stdtrit(min(math.floor(freedom * (1 + _ROUNDING)) if math.isfinite(freedom) else 1e9, 1e9), 0.5 + confidence / 2)
    )
    return Budget(combined, freedom, factor, factor * combined, confidence, tuple(contributions))


def effective_freedom(contributions: Sequence[Contribution]) -> float:
    """Welch–Satterthwaite effective degrees of freedom, at least 1."""
    total = math.fsum(each.standard**2 for each in contributions)
    shares = math.fsum(each.standard**4 / each.freedom for each in contributions)
    return max(total**2 / shares, 1.0) if shares > 0 else math.inf


def budget_against_limit(contributions: Sequence[Contribution], confidence: float = 0.95) -> Budget:
    """The budget of a value that is held against a limit: every contribution counts, systematic ones in
    full."""
    return combine(contributions, confidence)


def budget_of_ratio(
    variant: float,
    variant_contributions: Sequence[Contribution],
    reference: float,
    reference_contributions: Sequence[Contribution],
    confidence: float = 0.95,
) -> Budget:
    """The budget of variant/reference, both measured on one rig, in units of the ratio.

    A systematic contribution that has the same name in both groups is the same error: only the difference of
    its relative sizes remains, nothing of a wrong scale factor, the unequal part of a wrong zero. All others
    add by squares. Raises EvaluationError for values not above 0.
    """
    if not (variant > 0 and reference > 0):
        raise EvaluationError(
            f"variant = {variant:g} and reference = {reference:g} must be above 0 for a ratio"
        )
    ratio = variant / reference
    shared = {each.name: each for each in reference_contributions if each.systematic}
    lines = []
    for each in variant_contributions:
        relative = each.standard / variant
        if each.systematic and each.name in shared:
            other = shared.pop(each.name)
            remaining = abs(relative - other.standard / reference)
            lines.append(
                Contribution(
                    f"{each.name} (common)", ratio * remaining, min(each.freedom, other.freedom), True
                )
            )
        else:
            lines.append(
                Contribution(f"{each.name} (variant)", ratio * relative, each.freedom, each.systematic)
            )
    for each in reference_contributions:
        if not each.systematic or each.name in shared:
            relative = each.standard / reference
            lines.append(
                Contribution(f"{each.name} (reference)", ratio * relative, each.freedom, each.systematic)
            )
    return combine(lines, confidence)


@dataclass(frozen=True)
class Propagated:
    """Values (m,) of a function of correlated inputs, their standard uncertainties (m,) and correlations (m,
    m)."""

    values: np.ndarray
    standard: np.ndarray
    correlation: np.ndarray


def means_with_covariance(readings: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Means (k,) and their covariance (k, k) from readings (n, k) taken together, n ≥ 2."""
    readings = np.asarray(readings, float)
    return readings.mean(axis=0), np.atleast_2d(np.cov(readings, rowvar=False)) / len(readings)


def propagate(
    function: Callable[[np.ndarray], np.ndarray], means: np.ndarray, covariance: np.ndarray
) -> Propagated:
    """First-order propagation of means (k,) with covariance (k, k) through `function` (k,) → (m,),
    derivatives by central differences over a thousandth of each standard uncertainty.

    Source: JCGM 100:2008, equations 13 and H.9, from memory.
    """
    means = np.asarray(means, float)
    values = np.atleast_1d(function(means))
    jacobian = np.zeros((len(values), len(means)))
    for column, spread in enumerate(np.sqrt(np.diag(covariance))):
        if spread > 0:
            step = np.zeros(len(means))
            step[column] = spread * 1e-3
            jacobian[:, column] = (function(means + step) - function(means - step)) / (2 * step[column])
    result = jacobian @ covariance @ jacobian.T
    standard = np.sqrt(np.diag(result))
    return Propagated(values, standard, result / np.outer(standard, standard))
