"""Which comparison the compound batches of two groups allow."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dossier.evidence.difference import Estimate, paired, pooled, welch
from dossier.evidence.errors import EvaluationError

Way = Literal["unrecorded", "one batch", "pairs", "assumed", "measured", "apart"]
# With fewer degrees of freedom than this a measured scatter between batches gives way to an accepted one.
LEAST_FREEDOM = 2
_KNOWN = 1e9


@dataclass(frozen=True)
class Comparison:
    """The estimate of a difference and how far it carries: `limited` says that differences between batches
    may stand in it, `scope` says it in words.

    `way`: how the batches were compared. `between`: variance that scatter between batches adds to the
    difference, where it enters as an assumption.
    """

    estimate: Estimate
    limited: bool
    scope: str
    way: Way
    between: float = 0.0


def compare(
    variant: np.ndarray,
    reference: np.ndarray,
    variant_batches: Sequence[str] | None,
    reference_batches: Sequence[str] | None,
    batch_deviation: float | None = None,
) -> Comparison:
    """Difference variant − reference in the way the batches allow.

    One batch for all: Welch. The same two or more batches in both groups: pairs of batch means. Other batches:
    batch means as single values, their scatter pooled over both groups, where at least one group has several;
    else `batch_deviation`, an accepted standard deviation of batch means in the unit of the values; else Welch,
    limited. Raises EvaluationError if a list of batches has another length than its group, or for a negative
    deviation.
    """
    for name, values, batches in (
        ("variant", variant, variant_batches),
        ("reference", reference, reference_batches),
    ):
        if batches is not None and len(batches) != len(values):
            raise EvaluationError(
                f"{name} has {len(values)} values, {len(batches)} batches; name one for each"
            )
    if batch_deviation is not None and not batch_deviation >= 0:
        raise EvaluationError(f"scatter between batches = {batch_deviation:g} must be 0 or more; correct it")
    if not variant_batches or not reference_batches or not all((*variant_batches, *reference_batches)):
        return Comparison(
            welch(variant, reference), True,
            "batches are not recorded: the statement holds for these specimens only; record the compound batches",
            "unrecorded",
        )  # fmt: skip
    ours, theirs = sorted(set(variant_batches)), sorted(set(reference_batches))
    if ours == theirs and len(ours) == 1:
        return Comparison(welch(variant, reference), False, f"all specimens are of batch {ours[0]}", "one batch")
    means = [_batch_means(variant, variant_batches, ours), _batch_means(reference, reference_batches, theirs)]
    if ours == theirs:
        scope = f"batches in pairs: means of {', '.join(ours)} compared within each batch"
        return Comparison(paired(*means), False, scope, "pairs")
    told = f"variant of batch {', '.join(ours)}, reference of batch {', '.join(theirs)}"
    freedom = len(ours) + len(theirs) - 2
    if freedom >= LEAST_FREEDOM or (freedom and batch_deviation is None):
        scope = f"{told}: their means compared, the scatter between batches measured with {freedom} degrees of freedom"
        return Comparison(pooled(*means), False, scope, "measured")
    if batch_deviation is not None:
        between = batch_deviation**2 * _not_shared(variant_batches, reference_batches)
        scope = f"{told}: an accepted scatter of {batch_deviation:.1%} between batches enters the interval"
        return Comparison(_widened(variant, reference, between), False, scope, "assumed", between)
    return Comparison(
        welch(variant, reference), True,
        f"{told}: the scatter between batches is not in the interval, the statement holds for these batches only; "
        "compare within one batch or batches in pairs, or accept a scatter between batches",
        "apart",
    )  # fmt: skip


def _batch_means(values: np.ndarray, names: Sequence[str], batches: list[str]) -> np.ndarray:
    return np.array([values[np.array([name == batch for name in names])].mean() for batch in batches])


def _not_shared(ours: Sequence[str], theirs: Sequence[str]) -> float:
    """Sum of the squared differences of the batches' shares in both groups: what of their scatter does not cancel."""
    first, second = Counter(ours), Counter(theirs)
    return sum((first[name] / len(ours) - second[name] / len(theirs)) ** 2 for name in first.keys() | second.keys())


def _widened(variant: np.ndarray, reference: np.ndarray, between: float) -> Estimate:
    """Welch's estimate with a known variance added to its square, which raises the degrees of freedom as
    Welch–Satterthwaite demands."""
    found = welch(variant, reference)
    within = found.error**2
    freedom = found.freedom * ((within + between) / within) ** 2 if within else _KNOWN
    return Estimate(found.value, (within + between) ** 0.5, freedom)
