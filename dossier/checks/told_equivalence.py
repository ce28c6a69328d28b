"""Equivalence as one statement over all directions: which items belong to it, what they show together, failure modes."""

from __future__ import annotations

from collections import Counter

from dossier import units
from dossier.checks.evidence_support import measurement_doubts
from dossier.checks.view import View
from dossier.methods.evidence_links import counted
from dossier.methods.freshness import STANDS
from dossier.records.evidence import EvidenceItem, Specimen
from dossier.store.project import Project

LISTED_ONLY = ("aborted", "invalid")


def compared_items(view: View) -> list[EvidenceItem]:
    """Items that claim a ratio, by a margin or by what they serve; aborted and invalid ones decide nothing."""
    return [item for item in view.project.evidence if item.state not in LISTED_ONLY and _claims(item)]


def _claims(item: EvidenceItem) -> bool:
    return bool(item.margin) or any(served.value == "ratio" for served in item.serves)


def state_of_ratio(view: View, item: EvidenceItem) -> str:
    """met, not met, undecided, or the state of a result that says nothing (yet)."""
    fresh = view.evidence_freshness[item.id].state
    ratio = item.result.value("ratio") if item.result else None
    if item.margin is None or ratio is None or ratio.low is None or ratio.high is None:
        return "open"
    if fresh not in STANDS:
        return fresh
    if item.margin.holds(ratio.low, ratio.high):
        return "undecided" if measurement_doubts(view.project, item) else "met"
    outside = ratio.high < item.margin.low or (item.margin.high is not None and ratio.low > item.margin.high)
    return "not met" if outside else "undecided"


def set_sentence(view: View) -> str:
    """ "Equivalence over all 4 comparisons is not shown: E-012 undecided; all must pass together.", or nothing."""
    states = {item.id: state_of_ratio(view, item) for item in compared_items(view)}
    if not states:
        return ""
    lacking = [f"{name} {state}" for name, state in states.items() if state != "met"]
    over = "the one comparison" if len(states) == 1 else f"all {len(states)} comparisons together"
    if not lacking:
        return f"Equivalence over {over} is shown: each ratio lies inside its margin."
    return f"Equivalence over {over} is not shown: {', '.join(lacking)}; all must pass."


def deviation_words(item: EvidenceItem) -> list[str]:
    """Where the mean curves differ most, in words; nothing without curves of both groups."""
    value = item.result.value("curve_deviation") if item.result else None
    at = item.result.value("curve_deviation_at") if item.result else None
    if value is None or at is None or value.value is None or at.value is None:
        return []
    share, place = units.show_signed(100 * value.value, 1), units.show_quantity(at.value, at.unit)
    return [f"mean curves at most {share} % apart, at {place} (loads above a tenth of the largest)"]


def first_measured(project: Project, item: EvidenceItem) -> tuple[str, str]:
    """Day and id of the earliest begin of the item and of those it repeats; empty where none began."""
    found: list[tuple[str, str]] = []
    seen: set[str] = set()
    current: object = item
    while isinstance(current, EvidenceItem) and current.id not in seen:
        seen.add(current.id)
        found += [(current.started_on, current.id)] if current.started_on else []
        current = project.find(current.repeats) if current.repeats else None
    return min(found, default=("", ""))


def modes_of(project: Project, item: EvidenceItem) -> dict[str, dict[str, str]]:
    """What failed at each counted specimen of both groups."""
    groups: dict[str, dict[str, str]] = {"variant": {}, "reference": {}}
    for sample in counted(item):
        specimen = project.find(sample.specimen)
        design = specimen.design if isinstance(specimen, Specimen) else item.variant
        groups["reference" if item.reference and design == item.reference else "variant"][sample.specimen] = sample.mode
    return groups


def mode_words(modes: dict[str, dict[str, str]]) -> str:
    """ "failed by: variant rubber (3), reference part rubber (2), bond RC (1)", or nothing where no mode is told."""
    if not any(mode for group in modes.values() for mode in group.values()):
        return ""
    told = []
    for name, words in (("variant", "variant"), ("reference", "reference part")):
        counts = Counter(modes[name].values())
        if counts:
            named = (f"{mode or 'not told'} ({count})" for mode, count in counts.items())
            told.append(f"{words} {', '.join(named)}")
    return f"failed by: {', '.join(told)}"
