"""Checks 4.2, 4.3 and 4.7: where the specimens come from, how old they were, what was compared with what."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from dossier import units
from dossier.checks.base import Computed, Finding, absent, computed, verdict_of
from dossier.checks.view import View
from dossier.methods.evidence_base import ACROSS_BATCHES
from dossier.records.design import Design
from dossier.records.evidence import EvidenceItem, Specimen
from dossier.units import amount

# Least age of vulcanized rubber at a test and least conditioning at 23 °C: 16 h, for parts 24 h, following
# ISO 23529 and common practice, from memory, not checked against its text. Records hold days, so one day for both.
LEAST_AGE_DAYS = 1
LEAST_CONDITIONING = 16 * 3600.0
ROOM = (21.0, 25.0)
# Between tests of one part: common practice, no source.
LEAST_REST = 24 * 3600.0


def started(view: View, *ways: str) -> list[EvidenceItem]:
    """Evidence items of these ways (all if none is named) that were begun, whatever became of them."""
    return [item for item in view.project.evidence if item.state != "planned" and (not ways or item.way in ways)]


def _driven(view: View) -> list[EvidenceItem]:
    """Tests that were begun on parts of their own; what only takes the lives of other items was driven there."""
    return [item for item in started(view, "test") if item.samples or not item.lives_from]


def ratio_demanded(view: View) -> bool:
    """Whether a requirement asks for a ratio of variant and reference part."""
    return any(requirement.quantity == "stiffness_ratio" for requirement in view.project.requirements)


def specimens_of(view: View, item: EvidenceItem) -> list[Specimen]:
    """The registered specimens of an item, each once."""
    found = [view.project.find(name) for name in dict.fromkeys(sample.specimen for sample in item.samples)]
    return [specimen for specimen in found if isinstance(specimen, Specimen)]


@computed("4.2")
def specimens_traced(view: View) -> Computed:
    """Every specimen leads to compound batch, cure date, steel heat, press-in protocol and drawing index."""
    items = [item for item in started(view) if item.samples]
    findings: dict[tuple[str, str], Finding] = {}
    traced = set()
    for item in items:
        for name in dict.fromkeys(sample.specimen for sample in item.samples):
            specimen = view.project.find(name)
            if not isinstance(specimen, Specimen):
                remedy = "names no specimen; add it to specimens.toml or correct the serial"
                findings[item.id, name] = Finding(item.id, "samples.specimen", name, remedy)
                continue
            traced.add(name)
            for finding in _trace_gaps(view, specimen):
                findings[finding.record, finding.field] = finding
    batches = {view.project.get(name).batch for name in traced}  # type: ignore[attr-defined]
    facts = [f"{amount(len(traced), 'specimen')} in {amount(len(items), 'item')}, {len(batches - {''})} compound batches"]
    return verdict_of(list(findings.values()), facts, data=bool(items))


def _trace_gaps(view: View, specimen: Specimen) -> Iterator[Finding]:
    needed = {"batch": "name the compound batch", "cured_on": "give the day of cure"}
    design = view.project.find(specimen.design)
    if isinstance(design, Design):
        needed |= {
            "steel_heat": "name the heat of the pin's steel",
            "pressed_in": 'name the press-in protocol, or write "not pressed in"',
            "drawing_index": "give the index of the drawing it was made to",
        }
    for name, words in needed.items():
        if not getattr(specimen, name):
            yield Finding(specimen.id, name, "", f"is empty; {words}")
    if (
        isinstance(design, Design)
        and not specimen.shape_sha256
        and specimen.drawing_index in ("", design.drawing_index)
    ):
        remedy = f"is empty; state that it was made to today's shape (dossier as-made … {specimen.id}), or register new parts"
        yield Finding(specimen.id, "shape_sha256", "", remedy)


@computed("4.3")
def age_and_conditioning(view: View) -> Computed:
    """Age of the rubber at the test, temperature and time of conditioning."""
    items = _driven(view)
    findings, ages = [], []
    for item in items:
        findings += _conditioning_gaps(item)
        for specimen in specimens_of(view, item):
            if not (item.started_on and specimen.cured_on):
                continue
            age = (date.fromisoformat(item.started_on) - date.fromisoformat(specimen.cured_on)).days
            ages.append(age)
            if age < LEAST_AGE_DAYS:
                remedy = f"is {age} days before {item.id}.started_on = {item.started_on}; test again after 24 h of rest"
                findings.append(Finding(specimen.id, "cured_on", specimen.cured_on, remedy))
    facts = [f"{amount(len(items), 'test')} begun"]
    resting = sum(item.rest is not None for item in items)
    facts.append(f"rest since the last test of the parts stated for {resting} of {len(items)}")
    if ages:
        facts.append(f"age of the rubber at the test: {min(ages)} to {max(ages)} days")
    return verdict_of(findings, facts, data=bool(items))


def _conditioning_gaps(item: EvidenceItem) -> Iterator[Finding]:
    for name, words in (
        ("started_on", "give the day the test began"),
        ("temperature", "give the specimens' temperature"),
        ("conditioning", "give the time at test temperature before the test"),
    ):
        if getattr(item, name) is None:
            yield Finding(item.id, name, "", f"is empty; {words}")
    if not item.operator:
        yield Finding(item.id, "operator", "", "is empty; say who did the test")
    if item.rest is not None and item.rest < LEAST_REST:
        shown = units.show_quantity(item.rest, "s", "h", 3)
        yield Finding(item.id, "rest", shown, "is below 24 h since the last test of these parts; rest them and test again")
    if item.temperature is None or item.conditioning is None:
        return
    if ROOM[0] <= item.temperature <= ROOM[1] and item.conditioning < LEAST_CONDITIONING:
        shown = units.show_quantity(item.conditioning, "s", "h", 3)
        remedy = "is below 16 h at 23 ± 2 °C; condition the specimens longer and test again"
        yield Finding(item.id, "conditioning", shown, remedy)


@computed("4.7")
def compared_fairly(view: View) -> Computed:
    """Variant and reference part in one item: same rig and scheme, order drawn, the same compound batches."""
    if view.project.evidence and not (ratio_demanded(view) or any(_compares(view, item) for item in view.project.evidence)):
        return absent("evidence", "reference", "is named by no test; plan one with the reference part beside the variant")
    items = [item for item in _driven(view) if item.state != "invalid" and _compares(view, item)]
    findings = [finding for item in items for finding in _unfair(view, item)]
    facts = [
        f"{item.id}: {len(_of_design(view, item, item.variant))} of {item.variant or 'no variant'}, "
        f"{len(_of_design(view, item, item.reference))} of {item.reference or 'no reference part'}, "
        f"{item.started_on} to {item.done_on or '–'}"
        for item in items
    ]
    return verdict_of(findings, facts, data=bool(items))


def _compares(view: View, item: EvidenceItem) -> bool:
    """Whether the item compares: it has a margin or a reference part, or it serves a ratio of stiffnesses."""
    served = [view.project.find(link.requirement) for link in item.serves]
    ratio = any(getattr(requirement, "quantity", "") == "stiffness_ratio" for requirement in served)
    return bool(item.margin or item.reference or ratio)


def _of_design(view: View, item: EvidenceItem, design: str) -> list[Specimen]:
    counted = {sample.specimen for sample in item.samples if not sample.left_out}
    return [s for s in specimens_of(view, item) if s.id in counted and s.design == design]


def _unfair(view: View, item: EvidenceItem) -> Iterator[Finding]:
    groups = {}
    for name, words in (("variant", "variant"), ("reference", "reference part")):
        design = getattr(item, name)
        groups[name] = _of_design(view, item, design) if design else []
        if not design:
            yield Finding(item.id, name, "", f"is empty; name the {words} that was tested on the same rig")
        elif not groups[name]:
            yield Finding(item.id, name, design, f"has no specimen in this item; test the {words} in the same series")
    for name, words in (
        ("equipment", "name the rig and its channels"),
        ("order", "say in which order the specimens were tested and how it was drawn"),
    ):
        if not getattr(item, name):
            yield Finding(item.id, name, "", f"is empty; {words}")
    if item.quantity in ("radial", "axial", "torsional", "conical") and not item.scheme:
        yield Finding(item.id, "scheme", "", "is empty; name the reading scheme that both parts were evaluated with")
    batches = {name: {specimen.batch for specimen in group} for name, group in groups.items()}
    notes = item.result.warnings if item.result else []
    across = any(note.startswith(ACROSS_BATCHES) for note in notes)
    if all(groups.values()) and batches["variant"] != batches["reference"] and not across:
        told = f"{_list(batches['variant'])} against {_list(batches['reference'])}"
        remedy = (
            "are different compound batches of variant and reference part; test both from the same batches, or accept a "
            "scatter between batches as an assumption and name it in batch_scatter"
        )
        yield Finding(item.id, "samples", told, remedy)


def _list(names: set[str]) -> str:
    return ", ".join(sorted(name or "unknown" for name in names))
