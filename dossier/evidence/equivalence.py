"""Is the variant equivalent to the reference part, or not inferior to it? Ratios of means on the log scale.

A t-test without a significant difference is no evidence of equivalence; the interval inside the margin is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.batches import Way, compare
from dossier.evidence.difference import Estimate, checked_group
from dossier.evidence.errors import EvaluationError

SPREAD_LIMIT = 2.0


@dataclass(frozen=True)
class RatioComparison:
    """Ratio variant/reference of the (geometric) means with its two-sided interval, `error` and `freedom` on
    the log scale, `p` the larger of the one-sided tests.

    `margin_high` is infinite for non-inferiority. `spread_ratio`: standard deviations variant/reference on
    the log scale, `spread_p`: one-sided F-test that the variant scatters more. `verdict`: met, not met,
    undecided; `limited`: it holds for the tested batches only, as `scope` says. `way`: how the batches were
    compared, `between`: the variance that an accepted scatter between batches adds to the log ratio.
    """

    ratio: float
    low: float
    high: float
    confidence: float
    error: float
    freedom: float
    p: float
    variant_count: int
    reference_count: int
    margin_low: float
    margin_high: float
    spread_ratio: float
    spread_p: float
    verdict: str
    limited: bool
    scope: str
    way: Way
    between: float
    notes: tuple[str, ...]

    @property
    def words(self) -> str:
        """The statement in one sentence."""
        margin = (
            f"at least {self.margin_low:.2f}"
            if math.isinf(self.margin_high)
            else f"{self.margin_low:.2f} to {self.margin_high:.2f}"
        )
        return (
            f"ratio {self.ratio:.3f}, {self.confidence:.0%} interval {self.low:.3f} to {self.high:.3f}, margin "
            f"{margin} (n = {self.variant_count} and {self.reference_count}): {self.verdict}; {self.scope}"
        )


def compare_ratio(
    variant: np.ndarray,
    reference: np.ndarray,
    low: float = 0.90,
    high: float = 1.10,
    *,
    confidence: float = 0.90,
    variant_batches: Sequence[str] | None = None,
    reference_batches: Sequence[str] | None = None,
    batch_deviation: float | None = None,
) -> RatioComparison:
    """Equivalence of two groups of positive values (n,), (m,) within the ratio margin `low` … `high`.

    Met: the interval lies inside the margin, which is the same as two one-sided tests at (1 − confidence)/2.
    Not met: it lies wholly outside. `batch_deviation`: accepted standard deviation of ln(batch mean), used where
    the groups are of other batches and their scatter is not measured. Raises EvaluationError for groups that cannot
    be compared. Source: Schuirmann, J. Pharmacokin. Biopharm. 15 (1987) 657, from memory.
    """
    if not 0 < low < 1 < high:
        raise EvaluationError(f"margin {low:g} to {high:g} must hold the ratio 1; e.g. 0.90 to 1.10")
    return _compared(variant, reference, low, high, confidence, variant_batches, reference_batches, batch_deviation)


def compare_minimum(
    variant: np.ndarray,
    reference: np.ndarray,
    low: float = 0.90,
    *,
    confidence: float = 0.90,
    variant_batches: Sequence[str] | None = None,
    reference_batches: Sequence[str] | None = None,
    batch_deviation: float | None = None,
) -> RatioComparison:
    """Non-inferiority of a quantity that must not fall: the lower end of the two-sided interval reaches
    `low`.

    The two-sided interval of 90 % is a one-sided test at 5 %. Raises EvaluationError as `compare_ratio`.
    """
    if not low > 0:
        raise EvaluationError(f"low = {low:g} must be above 0; the least ratio that is accepted, e.g. 0.90")
    return _compared(variant, reference, low, math.inf, confidence, variant_batches, reference_batches, batch_deviation)


def _compared(
    variant: np.ndarray,
    reference: np.ndarray,
    low: float,
    high: float,
    confidence: float,
    variant_batches: Sequence[str] | None,
    reference_batches: Sequence[str] | None,
    batch_deviation: float | None,
) -> RatioComparison:
    logs = [_logs(name, values) for name, values in (("variant", variant), ("reference", reference))]
    comparison = compare(logs[0], logs[1], variant_batches, reference_batches, batch_deviation)
    estimate = comparison.estimate
    ends = tuple(math.exp(end) for end in estimate.interval(confidence))
    spread_ratio, spread_p = _spread(logs[0], logs[1])
    return RatioComparison(
        math.exp(estimate.value), *ends, confidence, estimate.error, estimate.freedom, _p(estimate, low, high),
        len(logs[0]), len(logs[1]), low, high, spread_ratio, spread_p, interval_verdict(*ends, low, high),
        comparison.limited, comparison.scope, comparison.way, comparison.between, _notes(spread_ratio, logs),
    )  # fmt: skip


def interval_verdict(start: float, end: float, low: float, high: float) -> str:
    """ "met" if start … end lies inside low … high, "not met" if wholly outside, else "undecided"."""
    if low <= start and end <= high:
        return "met"
    return "not met" if end < low or start > high else "undecided"


def _logs(name: str, values: np.ndarray) -> np.ndarray:
    group = checked_group(name, values)
    if not (group > 0).all():
        raise EvaluationError(
            f"{name} holds {group.min():g}; ratios need values above 0: compare differences instead"
        )
    return np.log(group)


def _p(estimate: Estimate, low: float, high: float) -> float:
    above = estimate.p_above(math.log(low))
    return above if math.isinf(high) else max(above, estimate.p_below(math.log(high)))


def _spread(variant: np.ndarray, reference: np.ndarray) -> tuple[float, float]:
    from scipy.special import fdtrc

    ours, theirs = float(np.var(variant, ddof=1)), float(np.var(reference, ddof=1))
    if theirs == 0.0:
        return (1.0, 0.5) if ours == 0.0 else (math.inf, 0.0)
    return (ours / theirs) ** 0.5, float(fdtrc(len(variant) - 1, len(reference) - 1, ours / theirs))


def _notes(spread_ratio: float, logs: list[np.ndarray]) -> tuple[str, ...]:
    notes = []
    if spread_ratio > SPREAD_LIMIT:
        notes.append(
            f"the variant scatters {spread_ratio:.1f} times as much as the reference, more than {SPREAD_LIMIT:g} "
            "(screening limit: common practice, no source)"
        )
    if all(float(np.ptp(group)) == 0.0 for group in logs):
        notes.append("all values of each group are the same: no scatter was measured, the interval has no width")
    if min(len(group) for group in logs) < 3:
        notes.append("fewer than 3 specimens in a group: the spread is hardly known")
    return tuple(notes)
