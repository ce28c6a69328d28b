"""Computed checks of step 3 on the joint's parts: press fit, clamp path, galvanic pairs, frozen parameters."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.design_runs import NO_VARIANT, runs_on, stands, waits_for
from dossier.checks.view import View
from dossier.records.assumption import Assumption
from dossier.records.calculation import Calculation
from dossier.records.design import Design
from dossier.records.evidence import Document
from dossier.records.material import Material
from dossier.records.requirement import Requirement
from dossier.store.digest import sha256_of_document

# A thicker wall raises the pressure of the fit with the stiffness, so it is no remedy.
LESS_STRESS = "narrow the tolerances of the fit, or choose a stronger material"


@computed("3.5")
def press_fit_holds(view: View) -> Computed:
    """Worst push-out force new, hot and cold against the demands; rings and eye below yield at greatest oversize."""
    variant = view.project.variant
    if variant is None:
        return Computed("open", [NO_VARIANT])
    if variant.carrier.kind != "rings":
        remedy = "carry no hoop stress: their pressure in the eye comes from the rubber, which no method here computes; "
        remedy += "prove push-out by test and concede this"
        return Computed("not met", [Finding(variant.id, "carrier.kind", variant.carrier.kind, remedy)])
    runs = runs_on(view, "fit.ring", variant)
    if not runs:
        remedy = "has no press-fit calculation; add one with method fit.ring"
        return Computed("open", [Finding(variant.id, "", "", remedy)])
    findings: list[Finding] = []
    facts: list[str] = []
    for run in runs:
        if not stands(view, run) or run.result is None:
            return waits_for(view, run)
        findings += _push_out_findings(view, run, facts)
        findings += _yield_findings(run, facts)
        if run.result.validity == "outside":
            findings.append(Finding(run.id, "result", "outside", "; ".join(run.result.validity_notes)))
    return verdict_of(findings, facts, data=True)


def _push_out_findings(view: View, run: Calculation, facts: list[str]) -> Iterator[Finding]:
    for state in ("new", "hot", "cold"):
        name = f"push_out_{state}"
        served = [s for s in run.serves if s.value in (name, f"{name}_least")]
        if not served:
            remedy = f"names no requirement for {name}; add the one that demands a push-out force {state}"
            yield Finding(run.id, "serves", "", remedy)
        for link in served:
            requirement = view.project.find(link.requirement)
            least = run.result.value(f"{name}_least") if run.result else None
            if not isinstance(requirement, Requirement) or least is None or least.value is None:
                yield Finding(run.id, "serves", link.requirement, "names no requirement; correct the id")
                continue
            if requirement.limit.min is None or not units.same_dimension(requirement.unit, least.unit):
                yield Finding(run.id, "serves", link.requirement, f"has no least force that {name} could reach")
                continue
            worst = units.convert(least.value, least.unit, requirement.unit)
            told = f"{units.show(worst, 3)} {requirement.unit}"
            demand = f"{requirement.limit.min:g} {requirement.unit}"
            facts.append(f"{run.id} {name}, all causes unfavourable: {told}, {requirement.id} ≥ {demand}")
            if worst < requirement.limit.min:
                remedy = f"{requirement.id} demands ≥ {demand}; a longer seat, closer tolerances of the fit, or a ring "
                remedy += "that expands like the eye; more interference only while nothing yields; or concede it"
                yield Finding(run.id, f"{name}_least", told, remedy)


def _yield_findings(run: Calculation, facts: list[str]) -> Iterator[Finding]:
    for name, words in (("ring_safety", "ring"), ("eye_safety", "eye")):
        value = run.result.value(name) if run.result else None
        if value is None or value.value is None:
            continue
        shown = units.show(value.value, 3)
        facts.append(f"{run.id} {words} at greatest oversize: yield strength over stress {shown}")
        if value.value < 1:
            remedy = f"is below 1: the {words} yields at the greatest oversize; {LESS_STRESS}"
            yield Finding(run.id, name, shown, remedy)
    lost = run.result.value("lost") if run.result else None
    if lost and lost.value:
        shown = units.show_quantity(lost.value, lost.unit, "µm")
        remedy = f"is lost because the rings yield at the greatest oversize; {LESS_STRESS}"
        yield Finding(run.id, "lost", shown, remedy)


@computed("3.8")
def clamp_path_metal(view: View) -> Computed:
    """No polymer under the bolts, or its relaxation is in the bolt calculation."""
    variant = view.project.variant
    if variant is None:
        return Computed("open", [NO_VARIANT])
    runs = runs_on(view, "clamp.bolt", variant)
    if not runs:
        remedy = "has no bolt calculation; add one with method clamp.bolt"
        return Computed("open", [Finding(variant.id, "", "", remedy)])
    path = _clamp_path(view, variant)
    facts = [f"{variant.id} {place}: {material.id} {material.kind}" for place, material in path.items()]
    findings = []
    for run in runs:
        if not stands(view, run) or run.result is None:
            return waits_for(view, run)
        allowance = float(run.result.inputs.get("relaxation", 0.0))
        facts.append(f"{run.id}: relaxation allowance {units.show(100 * allowance, 2)} %")
        findings += [
            Finding(variant.id, place, material.id, _polymer_remedy(run)) for place, material in path.items()
            if material.kind == "polymer" and not allowance
        ]  # fmt: skip
    return verdict_of(findings, facts, data=True)


def _polymer_remedy(run: Calculation) -> str:
    return f"is a polymer under the bolt and {run.id}.inputs.relaxation is 0; use metal there or allow for relaxation"


def _clamp_path(view: View, design: Design) -> dict[str, Material]:
    """Materials between the bolt heads: the pin, and a filler whose bore reaches past the clamp edge."""
    places = {"pin.material": design.pin.material}
    edge = design.pin.ends.clamp_edge
    filled = any(bore.filled and max(abs(bore.start), abs(bore.end)) > edge for bore in design.pin.bores)
    if design.core.kind == "bore_fill" and filled:
        places["core.material"] = design.core.material
    found = {place: view.project.find(name) for place, name in places.items()}
    return {place: material for place, material in found.items() if isinstance(material, Material)}


@dataclass(frozen=True)
class GalvanicPair:
    """Aluminium in contact with steel; `field` of the design names one of the two."""

    design: Design
    field: str
    materials: tuple[Material, Material]


@computed("3.9")
def galvanic_pairs(view: View) -> Computed:
    """Aluminium against steel in contact, and the measure recorded for each pair."""
    designs = [design for design in (view.project.reference, view.project.variant) if design]
    pairs = [pair for design in designs for pair in _pairs(view, design)]
    findings, facts = [], []
    basis = {}
    for pair in pairs:
        first, second = pair.materials
        named = f"{first.id} {first.kind} on {second.id} {second.kind}"
        measures = _measures(view, pair)
        facts.append(f"{pair.design.id} {pair.field}: {named}: {'; '.join(measures.values()) or 'no measure'}")
        basis[f"{pair.design.id}.{pair.field}"] = {"pair": [first.id, second.id], "measures": measures}
        if not measures:
            remedy = (
                f'is a galvanic pair without a measure; record an accepted assumption that says "galvanic" and names '
                f"{first.id}, or such a remark on {pair.design.id} in step 3"
            )
            findings.append(Finding(pair.design.id, pair.field, named, remedy))
    if not pairs:
        facts.append("no aluminium touches steel in either design")
    return verdict_of(findings, facts, data=bool(designs), basis={"designs": [d.id for d in designs], "pairs": basis})


def _pairs(view: View, design: Design) -> Iterator[GalvanicPair]:
    """Contacts of metals in the joint: rubber parts rings and pin; bolts and bracket are no part of it."""
    core = design.core.material if design.core.kind != "none" else ""
    contacts = {
        "carrier.material": (design.carrier.material, design.eye.material if design.eye else ""),
        "core.material": (core, design.pin.material),
    }
    for field, names in contacts.items():
        found = [view.project.find(name) for name in names if name]
        materials = [material for material in found if isinstance(material, Material)]
        if {material.kind for material in materials} == {"aluminium", "steel"}:
            aluminium, steel = sorted(materials, key=lambda material: material.kind)
            yield GalvanicPair(design, field, (aluminium, steel))


def _measures(view: View, pair: GalvanicPair) -> dict[str, str]:
    """Accepted assumptions that say "galvanic" and name a material or the design; remarks of step 3 that say so."""
    names = {pair.design.id, *(material.id for material in pair.materials)}
    found = {}
    for assumption in view.project.assumptions:
        words = _words(assumption)
        if assumption.accepted_by and "galvanic" in words.lower() and any(_names(words, name) for name in names):
            found[assumption.id] = assumption.statement
    step = view.project.step("3")
    for number, note in enumerate(step.note if step else [], start=1):
        if note.on_record in names and "galvanic" in note.text.lower():
            found[f"remark {number} on {note.on_record}"] = note.text
    return found


def _words(assumption: Assumption) -> str:
    return " ".join((assumption.title, assumption.statement, assumption.choice, assumption.reason))


def _names(text: str, record_id: str) -> bool:
    return record_id in text.replace(",", " ").replace(".", " ").replace(";", " ").replace(":", " ").split()


@computed("3.13")
def parameters_frozen(view: View) -> Computed:
    """Drawing number and index of both parts, and results that follow from today's parameters."""
    designs = [design for design in (view.project.reference, view.project.variant) if design]
    findings: list[Finding] = []
    facts = []
    for design in designs:
        findings += _drawing_gaps(view, design)
        digest = sha256_of_document(view.project.raw[design.id])
        facts.append(f"{design.id} {design.drawing or '–'} index {design.drawing_index or '–'}, digest {digest[:16]}")
        findings += [
            Finding(run.id, "result", "outdated", f"other parameters of {design.id} apply now; calculate it again")
            for run in view.project.calculations
            if _moved_by(view, run, design)
        ]
    return verdict_of(findings, facts, data=bool(designs))


def _moved_by(view: View, run: Calculation, design: Design) -> bool:
    """Whether a result is outdated because parameters of the design are others now."""
    fresh = view.freshness[run.id]
    if fresh.state != "outdated" or fresh.resolved is None:
        return False
    inputs = {difference.field.partition(".")[0].partition("[")[0] for difference in fresh.differences}
    sources = [fresh.resolved.sources.get(name, "").partition("->") for name in inputs]
    return any(not arrow and (start == design.id or start.startswith(f"{design.id}.")) for start, arrow, _ in sources)


def _drawing_gaps(view: View, design: Design) -> Iterator[Finding]:
    for name, words in (("drawing", "give the drawing's number"), ("drawing_index", "give the drawing's index")):
        if not getattr(design, name):
            yield Finding(design.id, name, "", f"is empty; {words}")
    for document in view.project.of_kind(Document):
        same = document.kind == "drawing" and design.drawing and design.drawing in document.title
        if same and document.index != design.drawing_index:
            remedy = f"differs from {document.id}.index = {document.index or '–'}; enter the index that was calculated"
            yield Finding(design.id, "drawing_index", design.drawing_index, remedy)
