"""Equivalence from one table of values: a row a specimen, with its group and its compound batch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.equivalence import RatioComparison, compare_ratio
from dossier.evidence.errors import EvaluationError

WORDS = {"variant": ("variant", "v", "new"), "reference": ("reference", "reference part", "original", "ref", "r")}
_NAMED = {word: group for group, words in WORDS.items() for word in words}


@dataclass(frozen=True)
class TableVerdict:
    """Ratio variant/reference of the geometric means and its 90 % interval (None without one), and whether
    equivalence is shown.

    `equivalent`: True where the interval lies inside the margin, False where it does not, None where the table
    allows no statement: fewer than two specimens in a group, or other batches without their scatter although the
    interval lies inside. `warnings` say what limits it; `comparison` holds the numbers behind it.
    """

    ratio: float | None
    interval: tuple[float, float] | None
    equivalent: bool | None
    warnings: tuple[str, ...]
    comparison: RatioComparison | None = None


def equivalence_of_table(
    groups: Sequence[str],
    values: Sequence[float],
    batches: Sequence[str] | None = None,
    margin: float = 0.10,
    *,
    batch_deviation: float | None = None,
) -> TableVerdict:
    """Two one-sided tests at 5 % on the ratio variant/reference of positive values (n,), any unit.

    `groups` (n,): "variant" or "reference" (also "original"). `batches` (n,): compound batch of each specimen, or
    None. `margin`: fraction m above 0 and below 1, the ratio must lie within 1 − m … 1 + m. `batch_deviation`:
    accepted standard deviation of ln(batch mean), used where both groups are of other batches and their scatter
    cannot be measured. Raises EvaluationError for lists of unequal length, groups of another name, values that are
    no numbers above 0, or a margin out of range.
    """
    if not 0 < margin < 1:
        raise EvaluationError(f"margin = {margin:g} must lie between 0 and 1; 0.10 allows a ratio of 0.90 to 1.10")
    named = _named(groups)
    numbers = np.asarray(values, float)
    if len(named) != numbers.size or (batches is not None and len(batches) != numbers.size):
        told = f"{len(named)} groups, {numbers.size} values" + (f", {len(batches)} batches" if batches is not None else "")
        raise EvaluationError(f"{told}; give one of each for every specimen")
    chosen = {group: np.array([name == group for name in named], bool) for group in WORDS}
    counts = {group: int(mask.sum()) for group, mask in chosen.items()}
    if min(counts.values()) < 2:
        told = f"{counts['variant']} of the variant and {counts['reference']} of the reference part; 2 of each are needed"
        return TableVerdict(None, None, None, (f"no ratio: {told}",))
    of_batch = {
        group: None if batches is None else [str(batches[row]).strip() for row in np.flatnonzero(mask)]
        for group, mask in chosen.items()
    }
    found = compare_ratio(
        numbers[chosen["variant"]], numbers[chosen["reference"]], 1 - margin, 1 + margin,
        variant_batches=of_batch["variant"], reference_batches=of_batch["reference"], batch_deviation=batch_deviation,
    )  # fmt: skip
    return TableVerdict(found.ratio, (found.low, found.high), _shown(found), tuple(_warnings(found)), found)


def _named(groups: Sequence[str]) -> list[str]:
    found = []
    for row, word in enumerate(groups, start=1):
        group = _NAMED.get(str(word).strip().lower())
        if group is None:
            raise EvaluationError(f'group "{word}" in row {row} is unknown; write variant or reference')
        found.append(group)
    return found


def _shown(found: RatioComparison) -> bool | None:
    if found.verdict != "met":
        return False
    return None if found.way == "apart" else True


def _warnings(found: RatioComparison) -> list[str]:
    warnings = list(found.notes)
    margin = f"{found.margin_low:g} to {found.margin_high:g}"
    ends = f"{found.low:.4f} to {found.high:.4f}"
    if found.verdict == "undecided":
        warnings.append(f"undecided: the interval {ends} reaches across the margin {margin}; test more specimens")
    if found.limited:
        warnings.append(f"limited to the tested batches: {found.scope}")
    return warnings
