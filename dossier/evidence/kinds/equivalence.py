"""Is the variant of a table of single values equivalent to the reference part?"""

from __future__ import annotations

from typing import Any

from dossier.evidence.columns import read_named
from dossier.evidence.equivalence import RatioComparison, compare_ratio
from dossier.evidence.errors import EvaluationError
from dossier.evidence.kinds.groups import Groups, groups_of
from dossier.evidence.one_file import Asked


def answer(asked: Asked) -> dict[str, Any]:
    """The answer of kind equivalence (one_file.evaluate_file); all quantities of the table must pass."""
    if asked.margin is None:
        raise EvaluationError("margin is missing; give the agreed one, 0.1 for a ratio of 0.9 to 1.1 or (0.9, 1.1)")
    low, high = asked.margin if isinstance(asked.margin, tuple) else (1 - asked.margin, 1 + asked.margin)
    table = read_named(asked.path)
    compared = [(groups, _compared(groups, low, high)) for groups in groups_of(table)]
    verdicts = [_shown(found) for _, found in compared]
    quantities = [_quantity(groups, found) for groups, found in compared]
    first = quantities[0]
    return {
        "rows": table.rows, "margin": (low, high), "equivalent": _all(verdicts),
        "ratio": first["ratio"], "ratio_interval": first["ratio_interval"], "quantities": quantities,
        "variant_count": first["variant_count"], "reference_count": first["reference_count"],
        "warnings": [text for groups, found in compared for text in _warnings(groups, found)],
    }  # fmt: skip


def _shown(found: RatioComparison) -> bool | None:
    """Whether equivalence is shown; None where the batches' own difference may stand in the ratio."""
    if found.verdict != "met":
        return False
    return None if found.way == "apart" else True


def _all(verdicts: list[bool | None]) -> bool | None:
    if False in verdicts:
        return False
    return None if None in verdicts else True


def _compared(groups: Groups, low: float, high: float) -> RatioComparison:
    return compare_ratio(
        groups.variant, groups.reference, low, high,
        variant_batches=groups.variant_batches, reference_batches=groups.reference_batches,
    )  # fmt: skip


def _quantity(groups: Groups, found: RatioComparison) -> dict[str, Any]:
    return {
        "quantity": groups.quantity, "ratio": found.ratio, "ratio_interval": (found.low, found.high),
        "equivalent": _shown(found), "verdict": found.verdict, "p": found.p, "spread_ratio": found.spread_ratio,
        "variant_count": found.variant_count, "reference_count": found.reference_count, "words": found.words,
        "limited": found.limited,
    }  # fmt: skip


def _warnings(groups: Groups, found: RatioComparison) -> list[str]:
    told = [f"{groups.quantity}: {note}" for note in found.notes]
    if found.verdict == "undecided":
        told.append(f"{groups.quantity}: undecided, an end of the margin lies inside the interval; test more specimens")
    return [*told, f"{groups.quantity}: {found.scope}"] if found.limited else told
