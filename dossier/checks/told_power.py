"""How likely the planned comparisons are to show equivalence, one by one and all together, before anything is tested."""

from __future__ import annotations

import math
from dataclasses import dataclass

from dossier import units
from dossier.checks.told_equivalence import compared_items
from dossier.checks.view import View
from dossier.methods.evidence_links import CURVES
from dossier.records.evidence import EvidenceItem

# Expected standard deviation of single parts within a batch where the item names none; common practice, no source.
SCATTER = {"curve": 0.04, "single": 0.10}
RATIOS = (1.0, 0.95)
ALPHA = 0.05


@dataclass(frozen=True)
class Power:
    """Power of one comparison at each of the true ratios RATIOS, with the scatter it was worked out for."""

    item: str
    counts: tuple[int, int]
    scatter: float
    stated: bool
    values: tuple[float, ...]

    @property
    def words(self) -> str:
        """ "power 0.97 at a true ratio of 1.00, 0.60 at 0.95 (n = 5 + 5, scatter 4 %, common practice, no source)"."""
        told = ", ".join(
            f"{value:.2f} at {'a true ratio of ' if not place else ''}{ratio:.2f}"
            for place, (value, ratio) in enumerate(zip(self.values, RATIOS, strict=True))
        )
        source = "" if self.stated else ", common practice, no source"
        scatter = units.show(100 * self.scatter, 3)
        return f"power {told} (n = {self.counts[0]} + {self.counts[1]}, scatter {scatter} %{source})"


def power_of(item: EvidenceItem) -> Power | None:
    """The power of an item with a margin, from its planned counts; None where fewer than two of each are planned."""
    from dossier.evidence.power import tost_power

    counts = (item.planned_variant, item.planned_reference)
    if item.margin is None or min(counts) < 2:
        return None
    scatter = item.expected_scatter or SCATTER["curve" if item.quantity in CURVES else "single"]
    high = math.inf if item.margin.high is None else item.margin.high
    values = tuple(tost_power(ratio, scatter, *counts, item.margin.low, high, ALPHA) for ratio in RATIOS)
    return Power(item.id, counts, scatter, item.expected_scatter is not None, values)


def powers(view: View) -> list[Power]:
    """The power of every comparison that has a margin and planned counts."""
    found = (power_of(item) for item in compared_items(view))
    return [power for power in found if power is not None]


def power_sentence(view: View) -> str:
    """The power of the whole set, the product of its single powers, at most the smallest where the same parts are
    measured; with what of it cannot be worked out; nothing where nothing is compared."""
    from dossier.evidence.power import set_power

    items, found = compared_items(view), powers(view)
    if not items:
        return ""
    without = [item.id for item in items if item.id not in {power.item for power in found}]
    lacking = f" Not in it: {', '.join(without)}, without a margin or two planned parts of each." if without else ""
    if not found:
        return f"The power is not known.{lacking}"
    told = []
    for place, ratio in enumerate(RATIOS):
        values = [power.values[place] for power in found]
        most = f" (same parts: ≤ {min(values):.2f})" if len(values) > 1 else ""
        told.append(f"{set_power(values):.2f} at {ratio:.2f}{most}")
    over = "the one comparison" if len(found) == 1 else f"all {len(found)} comparisons together"
    return f"Power as planned, {over}, by true ratio: {', '.join(told)}.{lacking}"
