"""The limits that a plot of an item's values is drawn with."""

from __future__ import annotations

from dossier import units
from dossier.checks.told_evidence import decisions
from dossier.checks.view import View
from dossier.methods.judged_plots import PlotLimit
from dossier.records.evidence import EvidenceItem


def plot_limits(view: View, item: EvidenceItem) -> list[PlotLimit]:
    """Ends of the limits of the requirements the item serves, in the item's unit; of other quantities none."""
    found = []
    for decided in decisions(view, item):
        requirement, value = decided.requirement, item.result.value(decided.value) if item.result else None
        if value is None or not all(units.same_dimension(unit, item.unit) for unit in (value.unit, requirement.unit)):
            continue
        for sign, end in (("≥", requirement.limit.min), ("≤", requirement.limit.max)):
            if end is not None:
                words = f"{requirement.id} {sign} {units.show_quantity(end, requirement.unit, None, 4)}"
                found.append(PlotLimit(decided.value, units.convert(end, requirement.unit, item.unit), words))
    return found
