"""Computed checks of step 1: the weighed reference part, the concepts, the choice."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.records.concept import Concept, Idea, Weighing
from dossier.records.evidence import Document
from dossier.units import amount

# Common practice, no source.
LEAST_WEIGHED = 3
LEAST_CONCEPTS = 3
LEAST_RISKS = 3
BREAKDOWN_TOLERANCE = 0.02
_ROUNDING = 1e-9

_NO_IDEA = "does not exist yet; record problem, weighed reference part and concepts"


@computed("1.1")
def reference_weighed(view: View) -> Computed:
    """The reference part is weighed, known by drawing index and production status, and photographed."""
    weighing = view.project.idea.weighing if view.project.idea else None
    if weighing is None:
        remedy = f"is empty; weigh at least {LEAST_WEIGHED} reference parts on a calibrated scale"
        return Computed("open", [Finding("idea", "weighing", "", remedy)])
    findings = [*_weighing_gaps(view, weighing), *_photo_gaps(view, weighing)]
    mass = units.show_quantity(weighing.mass, "kg", "g", 4)
    spread = units.show_quantity(weighing.spread, "kg", "g", 2)
    facts = [
        f"{weighing.count} parts weighed on {weighing.on} by {weighing.by}: mean {mass}, standard deviation {spread}",
        f"scale: {weighing.scale or '–'}, valid until {weighing.scale_valid_until or '–'}",
        f"drawing index {weighing.drawing_index or '–'}, {weighing.production_status or 'production status unknown'}",
    ]
    return verdict_of(findings, facts, data=True)


def _weighing_gaps(view: View, weighing: Weighing) -> Iterator[Finding]:
    if weighing.count < LEAST_WEIGHED:
        remedy = f"is below {LEAST_WEIGHED}; weigh more reference parts"
        yield Finding("idea", "weighing.count", str(weighing.count), remedy)
    for name, words in (
        ("scale", "name scale, resolution and calibration"),
        ("drawing_index", "give the drawing index of the weighed parts"),
        ("production_status", "say whether they are series parts, and of which lot"),
    ):
        if not getattr(weighing, name):
            yield Finding("idea", f"weighing.{name}", "", f"is empty; {words}")
    if weighing.scale_valid_until is None:
        remedy = "is empty; give the date until which the scale's calibration is valid"
        yield Finding("idea", "weighing.scale_valid_until", "", remedy)
    elif weighing.scale_valid_until < weighing.on:
        remedy = f"lies before the weighing of {weighing.on}; weigh again on a calibrated scale"
        yield Finding("idea", "weighing.scale_valid_until", weighing.scale_valid_until, remedy)
    reference = view.project.reference
    if reference and weighing.drawing_index and reference.drawing_index != weighing.drawing_index:
        remedy = (
            f"differs from {reference.id}.drawing_index = {reference.drawing_index or '–'}; "
            "weigh parts of that index or correct one of the two"
        )
        yield Finding("idea", "weighing.drawing_index", weighing.drawing_index, remedy)


def _photo_gaps(view: View, weighing: Weighing) -> Iterator[Finding]:
    if not weighing.photos:
        remedy = "is empty; name a document of kind photo that shows the weighed parts"
        yield Finding("idea", "weighing.photos", "", remedy)
    for name in weighing.photos:
        document = view.project.find(name)
        if not isinstance(document, Document) or document.kind != "photo":
            remedy = "names no document of kind photo; add it to documents.toml or correct the id"
            yield Finding("idea", "weighing.photos", name, remedy)
        elif not document.file:
            yield Finding(name, "file", "", "is empty; import the photo's file")


@computed("1.2")
def breakdown_adds_up(view: View) -> Computed:
    """The masses of the parts add up to the weighed joint."""
    idea = view.project.idea
    if idea is None or idea.weighing is None or not idea.breakdown:
        field = "breakdown" if idea and idea.weighing else "weighing"
        return Computed("open", [Finding("idea", field, "", "is empty; record weighed mass and breakdown by part")])
    total, weighed = sum(part.mass for part in idea.breakdown), idea.weighing.mass
    share = total / weighed - 1
    facts = [f"{part.part}: {units.show_quantity(part.mass, 'kg', 'g', 4)}, {part.origin}" for part in idea.breakdown]
    told = f"{units.show_quantity(total, 'kg', 'g', 4)} against {units.show_quantity(weighed, 'kg', 'g', 4)} weighed"
    facts.append(f"sum {told}: {units.show_signed(100 * share)} %")
    findings = []
    if abs(share) > BREAKDOWN_TOLERANCE:
        remedy = f"differs by {units.show_signed(100 * share)} %, limit ±2 %; weigh again or add the missing part"
        findings.append(Finding("idea", "breakdown", told, remedy))
    return verdict_of(findings, facts, data=True)


@computed("1.3")
def concepts_compared(view: View) -> Computed:
    """Enough concepts, each with cost tendency and risks. The mass is a field no concept can lack."""
    concepts = _concepts(view)
    findings = []
    if 0 < len(concepts) < LEAST_CONCEPTS:
        remedy = f"are fewer than {LEAST_CONCEPTS}; record another way to save mass"
        findings.append(Finding("idea", "concept", amount(len(concepts), "concept"), remedy))
    for concept in concepts:
        if not concept.cost_tendency:
            remedy = "is empty; say how the piece cost changes, in words or percent"
            findings.append(_of(concept, "cost_tendency", "", remedy))
        if len(concept.risks) < LEAST_RISKS:
            remedy = f"are fewer than {LEAST_RISKS}; name the {LEAST_RISKS} gravest risks"
            findings.append(_of(concept, "risks", amount(len(concept.risks), "risk"), remedy))
    facts = [
        f"{concept.id}: {units.show_quantity(concept.mass, 'kg', 'g', 4)}, cost {concept.cost_tendency or '–'}, "
        f"{amount(len(concept.risks), 'risk')}"
        for concept in concepts
    ]
    return verdict_of(findings, facts, data=bool(concepts))


@computed("1.4")
def estimates_dated(view: View) -> Computed:
    """Units and origins are enforced by the records; dates and the worth's source may be missing."""
    idea, concepts = view.project.idea, _concepts(view)
    findings = [
        _of(concept, "estimated_on", "", f"is empty; give the day its mass was {concept.mass_origin}")
        for concept in concepts
        if concept.estimated_on is None
    ]
    if idea and idea.worth_per_kg is not None and not idea.worth_source:
        remedy = "is empty; say who assumed or confirmed worth_per_kg, and when"
        findings.append(Finding("idea", "worth_source", "", remedy))
    origins = Counter(concept.mass_origin for concept in concepts)
    origins.update(part.origin for part in (idea.breakdown if idea else []))
    facts = [", ".join(f"{number} {origin}" for origin, number in origins.items())] if origins else []
    return verdict_of(findings, facts, data=bool(origins))


@computed("1.8")
def budget_order(view: View) -> Computed:
    """Mass saved by the chosen concept × worth of a kilogram × pieces per year."""
    idea, header = view.project.idea, view.project.header
    missing = list(_budget_gaps(view))
    if missing or idea is None or idea.weighing is None or idea.worth_per_kg is None or not header.annual_volume:
        return Computed("open", missing)
    concept = next(concept for concept in idea.concept if concept.fate == "chosen")
    saved = idea.weighing.mass - concept.mass
    yearly = saved * idea.worth_per_kg * header.annual_volume
    share, goal = saved / idea.weighing.mass, idea.mass_goal
    findings = []
    if saved <= 0 or (goal is not None and share < goal - _ROUNDING):
        wanted = f"the goal of {units.show(100 * goal, 3)} %" if goal is not None else "the reference part's mass"
        shown = f"{units.show_quantity(concept.mass, 'kg', 'g', 4)}, saves {units.show(100 * share, 3)} %"
        remedy = f"misses {wanted}; choose another concept or agree on another goal"
        findings.append(_of(concept, "mass", shown, remedy))
    facts = [
        f"{concept.id} saves {units.show_quantity(saved, 'kg', 'g', 3)} ({units.show(100 * share, 3)} %)",
        f"× {units.show(idea.worth_per_kg, 3)} EUR/kg × {header.annual_volume} pieces a year "
        f"= {units.show(yearly, 2)} EUR a year",
        f"worth: {idea.worth_source or 'no source'}",
    ]
    basis = {"saved": saved, "worth": idea.worth_per_kg, "volume": header.annual_volume, "source": idea.worth_source}
    return verdict_of(findings, facts, data=True, basis=basis)


def _budget_gaps(view: View) -> Iterator[Finding]:
    idea = view.project.idea
    if idea is None:
        yield Finding("idea", "", "", _NO_IDEA)
        return
    if idea.weighing is None:
        yield Finding("idea", "weighing", "", "is empty; weigh the reference part")
    if not any(concept.fate == "chosen" for concept in idea.concept):
        yield Finding("idea", "concept", "", "none is chosen; choose one")
    if idea.worth_per_kg is None:
        yield Finding("idea", "worth_per_kg", "", "is empty; assume what a saved kilogram is worth, with its source")
    if view.project.header.annual_volume is None:
        yield Finding("project", "annual_volume", "", "is empty; give the pieces per year")


@computed("1.10")
def choice_reasoned(view: View) -> Computed:
    """One concept is chosen, for a reason, with a limit at which to stop; the others are decided with reasons."""
    concepts = _concepts(view)
    chosen = [concept for concept in concepts if concept.fate == "chosen"]
    others = [concept for concept in concepts if concept.fate != "chosen"]
    findings = []
    if concepts and len(chosen) != 1:
        named = ", ".join(concept.id for concept in chosen) or "none"
        findings.append(Finding("idea", "concept", f"chosen: {named}", "must be exactly one; set its fate to chosen"))
    for concept in chosen:
        findings += _choice_gaps(view, concept)
    for concept in others:
        if concept.fate == "open":
            findings.append(_of(concept, "fate", "open", "is not decided; set it to kept or rejected"))
        elif not concept.reason:
            findings.append(_of(concept, "reason", "", f"is empty; say why it was {concept.fate}"))
    if chosen and not others:
        remedy = "has no alternative beside it; record what was rejected"
        findings.append(Finding("idea", "concept", chosen[0].id, remedy))
    facts = [f"{concept.id} {concept.fate}: {concept.reason or 'no reason'}" for concept in concepts]
    return verdict_of(findings, facts, data=bool(concepts))


def _choice_gaps(view: View, concept: Concept) -> Iterator[Finding]:
    for name, words in (
        ("reason", "say why it was chosen"),
        ("stop_if", "say at which result the work on it stops"),
    ):
        if not getattr(concept, name):
            yield _of(concept, name, "", f"is empty; {words}")
    if concept.design and view.project.kinds.get(concept.design) != "design":
        yield _of(concept, "design", concept.design, "names no design; add the design or correct the id")


def _concepts(view: View) -> list[Concept]:
    idea: Idea | None = view.project.idea
    return idea.concept if idea else []


def _of(concept: Concept, field: str, value: str, remedy: str) -> Finding:
    return Finding("idea", f"concept.{concept.id}.{field}", value, remedy)
