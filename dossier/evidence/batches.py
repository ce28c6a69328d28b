"""Which comparison the compound batches of two groups allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.difference import Estimate, paired, welch
from dossier.evidence.errors import EvaluationError


@dataclass(frozen=True)
class Comparison:
    """The estimate of a difference and how far it carries: `limited` says that differences between batches
    may stand in it, `scope` says it in words."""

    estimate: Estimate
    limited: bool
    scope: str


def compare(
    variant: np.ndarray,
    reference: np.ndarray,
    variant_batches: Sequence[str] | None,
    reference_batches: Sequence[str] | None,
) -> Comparison:
    """Difference variant − reference in the way the batches allow.

    One batch for all: Welch. The same two or more batches in both groups: pairs of batch means. Anything
    else: Welch, limited. Raises EvaluationError if a list of batches has another length than its group.
    """
    for name, values, batches in (
        ("variant", variant, variant_batches),
        ("reference", reference, reference_batches),
    ):
        if batches is not None and len(batches) != len(values):
            raise EvaluationError(
                f"{name} has {len(values)} values, {len(batches)} batches; name one for each"
            )
    if not variant_batches or not reference_batches or not all((*variant_batches, *reference_batches)):
        return Comparison(
            welch(variant, reference), True,
            "batches are not recorded: the statement holds for these specimens only; record the compound batches",
        )  # fmt: skip
    ours, theirs = sorted(set(variant_batches)), sorted(set(reference_batches))
    if ours == theirs and len(ours) == 1:
        return Comparison(welch(variant, reference), False, f"all specimens are of batch {ours[0]}")
    if ours == theirs:
        means = [_batch_means(variant, variant_batches, ours), _batch_means(reference, reference_batches, ours)]
        return Comparison(
            paired(*means), False,
            f"batches in pairs: means of {', '.join(ours)} compared within each batch",
        )  # fmt: skip
    return Comparison(
        welch(variant, reference), True,
        f"variant of batch {', '.join(ours)}, reference of batch {', '.join(theirs)}: the scatter between batches is "
        "not in the interval, the statement holds for these batches only; compare within one batch or batches in pairs",
    )  # fmt: skip


def _batch_means(values: np.ndarray, names: Sequence[str], batches: list[str]) -> np.ndarray:
    return np.array([values[np.array([name == batch for name in names])].mean() for batch in batches])
