"""Check 3.3: values that prove a requirement are found by a second way and agree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import radians
from typing import Any

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.design import analysed
from dossier.checks.view import View
from dossier.methods.freshness import STANDS
from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation
from dossier.records.evidence import EvidenceItem

# Accepted relative difference of two ways to the same value, by dimension. Common practice, no source.
TOLERANCES = {"stiffness": 0.25, "rotational_stiffness": 0.25, "pressure": 0.10, "mass": 0.02}
OTHER_TOLERANCE = 0.10


@dataclass(frozen=True)
class Second:
    """The same value found another way: where, first and second value in one unit, and the unit to show them in."""

    record: str
    name: str
    way: str
    first: float
    second: float
    unit: str
    shown: str = ""

    def show(self, value: float) -> str:
        """One of the two values as a reader meets it."""
        return units.show_quantity(value, self.unit, self.shown or None, 4)

    @property
    def difference(self) -> float:
        """Relative difference of the second from the first."""
        if self.first == self.second:
            return 0.0
        return self.second / self.first - 1 if self.first else float("inf")

    @property
    def tolerance(self) -> float:
        """Accepted relative difference."""
        dimension = units.dimensions_of(self.unit)[0]
        return TOLERANCES.get(dimension, OTHER_TOLERANCE)


@computed("3.3")
def second_way(view: View) -> Computed:
    """Each value that proves a requirement by analysis is compared with one found by another method."""
    findings: list[Finding] = []
    facts: list[str] = []
    proofs = list(_proofs(view))
    for calculation, name in proofs:
        if view.freshness[calculation.id].state not in STANDS:
            fresh = view.freshness[calculation.id]
            findings.append(Finding(calculation.id, "result", fresh.state, f"{fresh.remedy}, then compare"))
            continue
        seconds = list(_seconds(view, calculation, name))
        facts += [_told(calculation, second) for second in seconds]
        findings += [f for f in (_disagreement(calculation, second) for second in seconds) if f]
        if not seconds:
            remedy = (
                f"{name} is found by one method only; name a calculation by another method in beside, add an external "
                "analysis as evidence, or concede it"
            )
            findings.append(Finding(calculation.id, "beside", "", remedy))
    return verdict_of(findings, facts, data=bool(proofs))


def _proofs(view: View) -> Iterator[tuple[Calculation, str]]:
    """Calculations and values that prove a requirement by analysis; bounds of a method's own count with it."""
    seen = set()
    for verdict in analysed(view):
        for support in verdict.supports:
            record = view.project.find(support.record)
            if not isinstance(record, Calculation):
                continue
            for served in record.serves:
                if served.requirement == verdict.requirement.id and (record.id, served.value) not in seen:
                    seen.add((record.id, served.value))
                    yield record, served.value


def _seconds(view: View, calculation: Calculation, name: str) -> Iterator[Second]:
    for other in _beside(view, calculation):
        yield from _shared_values(calculation, other, name)
    for served in calculation.serves:
        if served.value == name:
            yield from _external(view, calculation, name, served.requirement)
    yield from _built_in(view, calculation, name)


def _beside(view: View, calculation: Calculation) -> Iterator[Calculation]:
    """Current calculations named on either side whose method is written apart from this one's."""
    methods = all_methods()
    for other in view.project.calculations:
        named = other.id in calculation.beside or calculation.id in other.beside
        if not named or other.method not in methods or view.freshness[other.id].state not in STANDS:
            continue
        if type(methods[other.method]).__module__ != type(methods[calculation.method]).__module__:
            yield other


def _shared_values(calculation: Calculation, other: Calculation, name: str) -> Iterator[Second]:
    """Values of the same name, or that serve the same requirement, in the same dimension."""
    wanted = {served.requirement for served in calculation.serves if served.value == name}
    names = {name} | {served.value for served in other.serves if served.requirement in wanted}
    first = calculation.result.value(name) if calculation.result else None
    for found in other.result.values if other.result else []:
        if first is None or first.value is None or found.value is None or found.name not in names:
            continue
        if units.same_dimension(first.unit, found.unit):
            second = units.convert(found.value, found.unit, first.unit)
            shown = _shown_unit(calculation, name)
            yield Second(other.id, found.name, other.method, first.value, second, first.unit, shown)


def _external(view: View, calculation: Calculation, name: str, requirement: str) -> Iterator[Second]:
    """External analyses of the same requirement, in the evidence."""
    first = calculation.result.value(name) if calculation.result else None
    for item in view.project.evidence:
        if first is None or first.value is None or item.way != "analysis" or item.state != "finished":
            continue
        for served in item.serves:
            second = _value_of(item, served.value) if served.requirement == requirement else None
            if second and units.same_dimension(second[1], first.unit):
                value = units.convert(second[0], second[1], first.unit)
                shown = _shown_unit(calculation, name)
                yield Second(item.id, served.value, "external analysis", first.value, value, first.unit, shown)


def _value_of(item: EvidenceItem, name: str) -> tuple[float, str] | None:
    found = item.result.value(name) if item.result else None
    if found and found.value is not None:
        return found.value, found.unit
    values = [sample.value for sample in item.samples if sample.value is not None and not sample.left_out]
    return (sum(values) / len(values), item.unit) if values else None


def _built_in(view: View, calculation: Calculation, name: str) -> Iterator[Second]:
    """Independent second ways that the records already hold."""
    result = calculation.result
    inputs: dict[str, Any] = result.inputs if result else {}
    first = result.value(name) if result else None
    if first is None or first.value is None:
        return
    if calculation.method == "layer.stiffness" and name == "torsional":
        shown = _shown_unit(calculation, name)
        yield Second(calculation.id, name, "closed form", first.value, _closed_torsion(inputs), first.unit, shown)
    if calculation.method == "mass.saving":
        yield from _weighed(view, calculation)


def _closed_torsion(inputs: dict[str, Any]) -> float:
    """Exact for the bonded layer with free conical faces; the other directions have no closed form here."""
    from dossier.mechanics.closed_forms import zone_torsion_stiffness

    return zone_torsion_stiffness(
        inputs["inner_radius"],
        inputs["outer_radius"],
        radians(inputs["polar_start"]),
        radians(inputs["polar_end"]),
        inputs["shear_modulus"]["value"],
    )


def _weighed(view: View, calculation: Calculation) -> Iterator[Second]:
    """The reference part's mass, calculated the same way as the variant's, against its weighing."""
    idea, reference = view.project.idea, view.project.reference
    found = calculation.result.value("reference") if calculation.result else None
    if not (idea and idea.weighing and reference and found and found.value is not None):
        return
    if calculation.reference == reference.id:
        yield Second("idea", "weighing.mass", "weighed", found.value, idea.weighing.mass, "kg", "g")


def _told(calculation: Calculation, second: Second) -> str:
    return (
        f"{calculation.id} {second.show(second.first)}, {second.way} ({second.record} {second.name}) "
        f"{second.show(second.second)}: {units.show_signed(100 * second.difference, 1)} %"
    )


def _shown_unit(calculation: Calculation, name: str) -> str:
    return all_methods()[calculation.method].result_field(name).shown


def _disagreement(calculation: Calculation, second: Second) -> Finding | None:
    if abs(second.difference) <= second.tolerance:
        return None
    remedy = (
        f"differs by {units.show_signed(100 * second.difference, 1)} % from {calculation.id}, limit "
        f"±{units.show(100 * second.tolerance, 2)} %; find the cause and correct one of the two"
    )
    return Finding(second.record, second.name, second.show(second.second), remedy)
