"""Computed checks of step 2 that look at the requirements as a set."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.cited_standards import cited_count, standard_findings
from dossier.checks.margin import limit_in_words
from dossier.checks.requirements import counted
from dossier.checks.view import View
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from dossier.units import amount

_NUMBERED = ("max", "min", "range")


@computed("2.5")
def verification_planned(view: View) -> Computed:
    """Each way of verification has a record that serves the requirement, and every planned test serves one."""
    ways = _planned_ways(view)
    findings = []
    for requirement in view.project.requirements:
        for way in requirement.verification:
            if (requirement.id, way) not in ways:
                wanted = "a calculation" if way == "analysis" else f"an evidence item of way {way}"
                remedy = f"is planned nowhere; add {wanted} for it"
                findings.append(Finding(requirement.id, "verification", way, remedy))
    for item in view.project.evidence:
        findings += _unserving(view, item)
    facts = [
        f"{amount(len(view.project.requirements), 'requirement')}, {amount(len(ways), 'verification')} planned",
        f"{amount(len(view.project.evidence), 'evidence item')}, {amount(len(view.project.calculations), 'calculation')}",
    ]
    return verdict_of(findings, facts, data=bool(view.project.requirements))


def _planned_ways(view: View) -> set[tuple[str, str]]:
    """(requirement, way) of everything that is planned or done; what was aborted or invalid plans nothing."""
    ways = {(served.requirement, "analysis") for c in view.project.calculations for served in c.serves}
    for item in view.project.evidence:
        if item.state not in ("aborted", "invalid"):
            ways |= {(served.requirement, item.way) for served in item.serves}
    return ways


def _unserving(view: View, item: EvidenceItem) -> Iterator[Finding]:
    if not item.serves:
        yield Finding(item.id, "serves", "", "is empty; name the requirement this item verifies")
    for served in item.serves:
        requirement = view.project.find(served.requirement)
        if not isinstance(requirement, Requirement):
            remedy = "names no requirement; correct the id or add the requirement"
            yield Finding(item.id, "serves.requirement", served.requirement, remedy)
        elif item.way not in requirement.verification:
            remedy = f"is no way of verification of {requirement.id}; add it there or change the item"
            yield Finding(item.id, "way", item.way, remedy)


@computed("2.6")
def no_contradiction(view: View) -> Computed:
    """Requirements for the same quantity under the same conditions overlap, and one layer can meet all stiffnesses."""
    groups: dict[tuple[str, str], list[Requirement]] = {}
    for requirement in view.project.requirements:
        if requirement.limit.kind in _NUMBERED:
            groups.setdefault((requirement.quantity, requirement.region), []).append(requirement)
    pairs = [pair for group in groups.values() for pair in combinations(group, 2)]
    ranges = {r.id: _range(r) for group in groups.values() for r in group}
    findings = [
        Finding(
            first.id,
            "limit",
            limit_in_words(first.limit, first.unit),
            f"excludes {second.id} ({limit_in_words(second.limit, second.unit)}) under the same conditions; "
            "correct one, or say in conditions what tells them apart",
        )
        for first, second in pairs
        if _disjoint(ranges[first.id], ranges[second.id])
        and units.same_dimension(first.unit, second.unit)
        and _same_conditions(first, second)
    ]
    findings += _beyond_one_layer(view.project.requirements)
    facts = [f"{amount(len(pairs), 'pair')} of the same quantity and part compared"]
    return verdict_of(findings, [*counted(view), *facts], data=bool(view.project.requirements))


def _same_conditions(first: Requirement, second: Requirement) -> bool:
    """Whether no condition that both state differs; a condition only one states tells nothing apart."""
    mine, other = first.conditions.model_dump(), second.conditions.model_dump()
    return all(
        not mine[name] or not other[name] or mine[name].split() == other[name].split() for name in mine
    )


def _disjoint(first: tuple[float, float], second: tuple[float, float]) -> bool:
    return first[0] > second[1] or second[0] > first[1]


def _beyond_one_layer(requirements: list[Requirement]) -> Iterator[Finding]:
    """A bonded layer between spheres, symmetric about the ball's equator, is stiffer in torsion than in tilting and
    radially than axially: its tilting shears 1 − sin²θ/2 where torsion shears sin²θ, θ from the pin axis (thin
    layer, derived here); tests compare both orders with the finite elements."""
    by_quantity = {
        name: [r for r in requirements if r.quantity == name and r.limit.kind in _NUMBERED]
        for name in ("torsional_stiffness", "conical_stiffness", "radial_stiffness", "axial_stiffness")
    }
    for greater, smaller in (
        ("torsional_stiffness", "conical_stiffness"),
        ("radial_stiffness", "axial_stiffness"),
    ):
        for weak in by_quantity[smaller]:
            for strong in by_quantity[greater]:
                if _range(weak)[0] > _range(strong)[1]:
                    told = limit_in_words(strong.limit, strong.unit)
                    remedy = (
                        f"lies above {strong.id} ({told}); in one layer the {smaller.replace('_', ' ')} is below the "
                        f"{greater.replace('_', ' ')}: agree on other limits"
                    )
                    yield Finding(weak.id, "limit", limit_in_words(weak.limit, weak.unit), remedy)


def _range(requirement: Requirement) -> tuple[float, float]:
    limit, unit = requirement.limit, requirement.unit
    stored = units.stored_unit(unit)
    low = float("-inf") if limit.min is None else units.convert(limit.min, unit, stored)
    high = float("inf") if limit.max is None else units.convert(limit.max, unit, stored)
    return low, high


@computed("2.12")
def standards_confirmed(view: View) -> Computed:
    """The standards that requirements cite or name are registered, dated, confirmed within a year, in force."""
    requirements = view.project.requirements
    citing = sum(bool(requirement.standards) for requirement in requirements)
    facts = [f"{cited_count(requirements)} standards cited by {citing} requirements"]
    return verdict_of(standard_findings(view, requirements), facts, data=bool(requirements))


@computed("2.13")
def deviations_answered(view: View) -> Computed:
    """Each demand of the customer is agreed in a document, each remark on step 2 answered; deviations are listed."""
    demanded = [r for r in view.project.requirements if r.source_kind == "customer"]
    findings: list[Finding] = []
    for requirement in demanded:
        agreed = requirement.agreed
        if agreed is None:
            remedy = "is empty; enter who of the customer agreed, when and in which document, or list the deviation"
            findings.append(Finding(requirement.id, "agreed", "", remedy))
        elif not agreed.document:
            findings.append(Finding(requirement.id, "agreed.document", "", "is empty; name the written answer"))
    step = view.project.step("2")
    for note in step.note if step else []:
        if not note.answered:
            remedy = f"of {note.by} on {note.on_record} is not answered; fill its field answered"
            findings.append(Finding(step.id if step else "", "note", f'"{note.text[:60]}"', remedy))
    conceded = {r.id: view.concessions[r.id] for r in demanded if r.id in view.concessions}
    facts = [f"{amount(len(demanded), 'demand')} of the customer, {sum(bool(r.agreed) for r in demanded)} agreed"]
    facts += [f"{name} conceded in {c.id} until {c.until}: {c.limit}" for name, c in conceded.items()]
    basis = {
        "agreed": {r.id: r.agreed.model_dump(mode="json") if r.agreed else None for r in demanded},
        "deviations": {name: concession.model_dump(mode="json") for name, concession in conceded.items()},
        "remarks": [note.model_dump(mode="json") for note in step.note] if step else [],
    }
    return verdict_of(findings, facts, data=bool(view.project.requirements), basis=basis)
