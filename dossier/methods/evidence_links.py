"""From an evidence item to the typed input of its evaluation: samples, specimens, scheme, budget."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

from pydantic import ValidationError

from dossier import units
from dossier.methods.evidence_base import EvidenceMethod
from dossier.methods.evidence_budget import budget_line
from dossier.methods.evidence_lives import TakenLife, linked_items, taken_lives
from dossier.methods.evidence_recorded import RECORDED, settings_of
from dossier.methods.evidence_static_way import further_of
from dossier.methods.evidence_statistics import JUDGED, statistics_of
from dossier.methods.freshness import STANDS, Freshness, differences
from dossier.methods.links import Resolved
from dossier.methods.shape import older_shapes
from dossier.records.assumption import Assumption
from dossier.records.evidence import EvidenceItem, Sample, SchemeRecord, Specimen
from dossier.records.problems import problems_in_words
from dossier.store.digest import sha256_of_document
from dossier.store.project import Project

CURVES = ("radial", "axial", "torsional", "conical")
PRESS = ("press_in", "push_out")
WITH_FILES = (*CURVES, *RECORDED, *PRESS)


@cache
def evidence_methods() -> dict[str, EvidenceMethod]:
    """Every evaluation by id."""
    from dossier.methods.evidence_adhesion import Adhesion
    from dossier.methods.evidence_durability import DurabilityLife
    from dossier.methods.evidence_dynamic import DynamicStiffness
    from dossier.methods.evidence_life import LifeStatistics
    from dossier.methods.evidence_load_history import LoadHistoryDamage
    from dossier.methods.evidence_press import PressCurves
    from dossier.methods.evidence_series import SeriesCapability
    from dossier.methods.evidence_single import SingleValues, YesNo
    from dossier.methods.evidence_sn_line import SnLineLives
    from dossier.methods.evidence_staircase import StaircaseStrength
    from dossier.methods.evidence_static import StaticStiffness

    recorded = (StaticStiffness(), DynamicStiffness(), DurabilityLife(), LoadHistoryDamage(), PressCurves())
    judged = (LifeStatistics(), SeriesCapability(), StaircaseStrength(), SnLineLives())
    return {method.id: method for method in (*recorded, *judged, SingleValues(), Adhesion(), YesNo())}


def method_of_item(item: EvidenceItem) -> EvidenceMethod:
    """The evaluation that belongs to the item's quantity."""
    name = "static" if item.quantity in CURVES else "press" if item.quantity in PRESS else item.quantity
    return evidence_methods()[f"evidence.{name}"]


def counted(item: EvidenceItem) -> list[Sample]:
    """The samples that count: of each specimen its first run that is not left out."""
    first: dict[str, Sample] = {}
    for sample in sorted(item.samples, key=lambda sample: sample.run):
        if not sample.left_out:
            first.setdefault(sample.specimen, sample)
    return list(first.values())


def resolve_item(project: Project, item: EvidenceItem) -> Resolved:
    """The input of the item's evaluation with today's records."""
    resolved = Resolved()
    taken = taken_lives(project, item, resolved) if item.lives_from else []
    values: dict[str, Any] = {
        "budget": [budget_line(project, item, place, resolved) for place in range(len(item.budget))],
        **_groups(project, item, resolved, taken),
    }
    if item.margin:
        values["margin"] = {"low": item.margin.low, "high": item.margin.high}
    if item.batch_scatter:
        values["batch_scatter"] = _batch_scatter(project, item, resolved)
    if item.quantity in WITH_FILES:
        values |= _scheme(project, item, resolved)
    elif item.quantity in ("single", "adhesion"):
        values["unit"] = item.unit
    elif item.quantity in JUDGED:
        values |= statistics_of(project, item, [*counted(item), *(life.sample for life in taken)], resolved)
    model = method_of_item(item).input_model
    if not resolved.problems:
        try:
            resolved.given = model.model_validate(values)
        except ValidationError as error:
            resolved.problems += problems_in_words(error, model)
            return resolved
        resolved.plain = resolved.given.model_dump(mode="json", exclude_none=True)
    return resolved


def evidence_freshness(project: Project, item: EvidenceItem) -> Freshness:
    """Whether the stored evaluation still says something about today's designs: it follows from samples, scheme and
    budget, and the parts have today's shape and drawing index, or it is said why the result carries over."""
    fresh = evaluation_freshness(project, item)
    older = older_shapes(project, item, _tested(project, item)) if fresh.state in STANDS else []
    if not older:
        return fresh
    told = "; ".join(map(str, older))
    remedy = f"test parts of today's shape, or say why the result carries over (dossier carry-over … {item.id})"
    return Freshness("outdated", problems=[f"{told}; {remedy}"], resolved=fresh.resolved, older=older)


def _tested(project: Project, item: EvidenceItem) -> list[Sample]:
    """Parts whose values count, those of the items it takes lives from too."""
    return [*counted(item), *(sample for other in linked_items(project, item) for sample in counted(other))]


def evaluation_freshness(project: Project, item: EvidenceItem) -> Freshness:
    """Whether the stored evaluation still follows from samples, scheme and budget."""
    if project.find(item.id) is not item:
        return _compared(project, item)
    known = project.derived.setdefault("evaluations", {})
    if item.id not in known:
        known[item.id] = _compared(project, item)
    return known[item.id]


def _compared(project: Project, item: EvidenceItem) -> Freshness:
    resolved = resolve_item(project, item)
    result = item.result
    if result is None:
        return Freshness("open", problems=resolved.problems, resolved=resolved)
    if resolved.problems:
        return Freshness("outdated", problems=resolved.problems, resolved=resolved)
    differing = differences(result.inputs, resolved.plain)
    if differing:
        return Freshness("outdated", differing, resolved=resolved)
    if sha256_of_document(result.inputs) != result.inputs_sha256:
        reason = "the stored input does not match its digest; evaluate it again"
        return Freshness("failed", problems=[reason], resolved=resolved)
    if result.validity == "failed":
        return Freshness("failed", problems=result.validity_notes, resolved=resolved)
    if method_of_item(item).version > result.method_version:
        return Freshness("newer method available", resolved=resolved)
    return Freshness("current", resolved=resolved)


def _batch_scatter(project: Project, item: EvidenceItem, resolved: Resolved) -> float | None:
    """The accepted scatter between batches, as a share."""
    name = item.batch_scatter
    assumption = project.find(name)
    if not isinstance(assumption, Assumption) or assumption.value is None:
        resolved.problems.append(f"batch_scatter = {name} is no assumption with a value; name one of assumptions.toml")
        return None
    if not assumption.accepted_by:
        resolved.problems.append(f"batch_scatter = {name} is not accepted; let a person accept the assumption first")
    try:
        found = units.convert(assumption.value, assumption.unit, "-")
    except units.UnitError as error:
        resolved.problems.append(f"batch_scatter = {name}: {error}; give it as a share or in %")
        return None
    resolved.sources["batch_scatter"] = f"{name}.value"
    return found


def _groups(project: Project, item: EvidenceItem, resolved: Resolved, taken: Sequence[TakenLife]) -> dict[str, Any]:
    """Samples that count by group, with the lives that were taken, and those left out though they have a file or a value."""
    groups: dict[str, Any] = {"variant": [], "reference": []}
    counting = [(sample, f"{item.id}.samples") for sample in counted(item)]
    for sample, source in [*counting, *((life.sample, f"{life.source}.result") for life in taken)]:
        name = _group_of(project, item, sample, resolved)
        if name:
            groups[name].append(_entry(project, sample))
            resolved.sources[f"{name}.{sample.specimen}"] = source
    left: dict[str, list[dict[str, Any]]] = {"variant": [], "reference": []}
    for sample in _left_out(item):
        if name := _group_of(project, item, sample, resolved):
            left[name].append(_entry(project, sample))
    return groups | ({"left_out": left} if any(left.values()) else {})


def _left_out(item: EvidenceItem) -> list[Sample]:
    """Of each specimen the first run that was left out, where stiffness or value can be worked out of it."""
    first: dict[str, Sample] = {}
    for sample in sorted(item.samples, key=lambda sample: sample.run):
        useful = sample.file if item.quantity in CURVES else item.quantity == "single" and sample.value is not None
        if sample.left_out and useful:
            first.setdefault(sample.specimen, sample)
    return list(first.values())


def _group_of(project: Project, item: EvidenceItem, sample: Sample, resolved: Resolved) -> str:
    """variant or reference; empty, with a problem, for what is no specimen."""
    specimen = project.find(sample.specimen)
    if specimen is not None and not isinstance(specimen, Specimen):
        resolved.problems.append(f"samples.specimen = {sample.specimen} is no specimen; name one of specimens.toml")
        return ""
    if specimen is None and item.way != "analysis":
        resolved.problems.append(f"samples.specimen = {sample.specimen} is not in specimens.toml; add the specimen")
        return ""
    design = specimen.design if specimen else item.variant
    return "reference" if item.reference and design == item.reference else "variant"


def _entry(project: Project, sample: Sample) -> dict[str, Any]:
    specimen = project.find(sample.specimen)
    entry: dict[str, Any] = {"specimen": sample.specimen, "batch": specimen.batch if isinstance(specimen, Specimen) else ""}
    entry |= {"file": sample.file, "file_name": sample.file_name}
    told = {"value": sample.value, "passed": sample.passed, "survived": sample.survived, "load": sample.load,
            "shares": sample.shares}  # fmt: skip
    return entry | {name: value for name, value in told.items() if value is not None}


def _scheme(project: Project, item: EvidenceItem, resolved: Resolved) -> dict[str, Any]:
    scheme = project.find(item.scheme)
    if not isinstance(scheme, SchemeRecord):
        named = f'scheme = "{item.scheme}" names no reading scheme' if item.scheme else "scheme is empty"
        resolved.problems.append(f"{named}; name one of reading_schemes.toml")
        return {}
    if item.quantity in PRESS:
        resolved.sources |= {name: f"{scheme.id}.{name}" for name in ("reading", "press")}
        given = scheme.press.model_dump(exclude_none=True) if scheme.press else {}
        return {"operation": item.quantity, "reading": scheme.reading, **given}
    if item.quantity in RECORDED:
        return settings_of(project, item, scheme, resolved)
    try:
        low, high = scheme.window
    except ValueError as error:
        resolved.problems.append(str(error))
        return {}
    fields = ("reading", "between", "low", "high", "cycle", "stiffness", "fixture_compliance")
    if scheme.signs is not None:
        fields += ("signs",)
    fields += tuple(further_of(scheme))
    resolved.sources |= {name: f"{scheme.id}.{name}" for name in fields}
    return {"quantity": item.quantity, **{name: getattr(scheme, name) for name in fields}, "low": low, "high": high}
