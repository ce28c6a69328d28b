"""One quantity of one group: mean, spread, uncertainty, and the decision against a limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.equivalence import interval_verdict
from dossier.evidence.errors import EvaluationError
from dossier.evidence.uncertainty import Budget, Contribution, budget_against_limit, from_repeats


@dataclass(frozen=True)
class Sample:
    """Count, mean, standard deviation (n − 1; None for a single value), smallest and largest value."""

    count: int
    mean: float
    deviation: float | None
    smallest: float
    largest: float


@dataclass(frozen=True)
class Decision:
    """Verdict (met, not met, undecided) of a value with its expanded uncertainty against limits, in words
    too."""

    verdict: str
    words: str


def describe(values: np.ndarray) -> Sample:
    """Statistics of values (n,), n ≥ 1. Raises EvaluationError for none or for gaps."""
    values = np.asarray(values, float)
    if values.ndim != 1 or len(values) == 0 or not np.isfinite(values).all():
        raise EvaluationError(f"{values.size} values; expected at least one and all of them numbers")
    deviation = float(values.std(ddof=1)) if len(values) > 1 else None
    return Sample(len(values), float(values.mean()), deviation, float(values.min()), float(values.max()))


def uncertainty_of_mean(
    values: np.ndarray,
    others: Sequence[Contribution] = (),
    confidence: float = 0.95,
    deviation: float | None = None,
) -> Budget:
    """Budget of the mean of values (n,): their scatter s/√n and the `others` (calibration, fixture,
    resolution).

    `deviation`: a standard deviation known from elsewhere, needed for a single value. Raises EvaluationError
    without.
    """
    sample = describe(values)
    if deviation is not None:
        scatter = Contribution("scatter (known)", deviation / math.sqrt(sample.count))
    elif sample.count > 1:
        scatter = from_repeats("scatter", values)
    else:
        raise EvaluationError(
            "1 value has no spread; test more specimens or state a deviation known from elsewhere"
        )
    return budget_against_limit((scatter, *others), confidence)


def decide(
    value: float, expanded: float, lower: float | None = None, upper: float | None = None, unit: str = ""
) -> Decision:
    """Decision by guard band: met if value ± expanded lies within the limits, not met if wholly beyond one of
    them, undecided if a limit lies inside.

    Raises EvaluationError without a limit or with a negative or missing uncertainty.
    """
    if lower is None and upper is None:
        raise EvaluationError("no limit given; state lower, upper or both")
    if lower is not None and upper is not None and lower > upper:
        raise EvaluationError(f"lower = {lower:g} must not exceed upper = {upper:g}")
    if not expanded >= 0 or not math.isfinite(value):
        raise EvaluationError(f"value = {value:g} ± {expanded:g} is no value with an uncertainty")
    low = -math.inf if lower is None else lower
    high = math.inf if upper is None else upper
    verdict = interval_verdict(value - expanded, value + expanded, low, high)
    limits = " and ".join(
        f"{word} {limit:g}" for word, limit in (("at least", lower), ("at most", upper)) if limit is not None
    )
    suffix = f" {unit}" if unit else ""
    reason = {
        "met": "within, uncertainty included",
        "not met": "beyond, uncertainty included",
        "undecided": "a limit lies inside the uncertainty",
    }
    text = f"{value:.4g} ± {expanded:.2g}{suffix} against {limits}{suffix}"
    return Decision(verdict, f"{text}: {verdict}, {reason[verdict]}")
