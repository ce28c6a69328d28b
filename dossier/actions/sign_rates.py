"""Error rates of the search for signs on the sampling and noise of an item's own curve, by simulation."""

from __future__ import annotations

import copy

from dossier.actions.refusal import Refusal
from dossier.actions.shape import replaced
from dossier.evidence.errors import EvaluationError, UnreadableFile
from dossier.evidence.form import ReadingScheme
from dossier.evidence.reading import read_curve
from dossier.evidence.sign_rates import FAULTS, SignRates, sampling_of, simulate_rates
from dossier.evidence.sign_thresholds import SignThresholds
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_links import CURVES, counted
from dossier.records.evidence import EvidenceItem, Sample, SchemeRecord
from dossier.records.signs import SignLimits
from dossier.store.change import Change
from dossier.store.errors import StoreError
from dossier.store.project import Project


def rates_of_item(project: Project, item_id: str, count: int, seed: int) -> SignRates:
    """Simulated error rates with the item's scheme and the sampling of its first counted curve. Raises Refusal."""
    item, scheme, sample = _first_curve(project, item_id)
    load, travel = ("torque", "angle") if item.quantity in ("torsional", "conical") else ("force", "displacement")
    try:
        path = raw_files_of(project.folder)(sample.file)
        curve = read_curve(path, ReadingScheme.from_dict(scheme.reading), name=sample.file_name)
        limits = SignThresholds(**_limits_of(scheme).model_dump())
        return simulate_rates(sampling_of(curve.channel(travel), curve.channel(load)), limits, count=count, seed=seed)
    except (EvaluationError, UnreadableFile, StoreError, KeyError) as error:
        raise Refusal(f"{sample.file_name}: {error}") from error


def keep_rates(project: Project, item_id: str, found: SignRates, person: str, on: str) -> Change:
    """Keep simulated rates in the item's reading scheme, with the limits they hold for. Raises Refusal."""
    item, scheme, sample = _first_curve(project, item_id)
    points = [point for point in found.points if point.kind != "any"]
    stated = found.at("any")
    if stated is None:
        raise Refusal("the limits as they are were not simulated; simulate them with factor 1")
    raw = copy.deepcopy(project.raw[scheme.id])
    raw["sign_rates"] = {
        "item": item.id, "specimen": sample.specimen, "sampling": found.sampling.words, "count": found.count,
        "seed": found.seed, "limits": _limits_of(scheme).model_dump(), "any_false": stated.false,
        "faults": {point.kind: FAULTS[point.kind][1] for point in points},
        "rates": [{"sign": p.kind, "factor": p.factor, "found": p.found, "false": p.false} for p in points],
        "by": person, "on": on,
    }  # fmt: skip
    told = f"{scheme.id} error rates of the signs simulated on {item.id}"
    return Change(told, person, replaced(project, {scheme.id: raw}))


def _limits_of(scheme: SchemeRecord) -> SignLimits:
    return scheme.signs or SignLimits()


def _first_curve(project: Project, item_id: str) -> tuple[EvidenceItem, SchemeRecord, Sample]:
    item = project.get(item_id)
    if not isinstance(item, EvidenceItem) or item.quantity not in CURVES:
        raise Refusal(f"{item_id} is no evidence of a stiffness curve; name an item of {', '.join(CURVES)}")
    scheme = project.find(item.scheme)
    sample = next((sample for sample in counted(item) if sample.file), None)
    if not isinstance(scheme, SchemeRecord) or sample is None:
        raise Refusal(f"{item_id} has no measured file with a reading scheme yet; import its curves")
    return item, scheme, sample
