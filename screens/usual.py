"""Which fields of a record that may be left empty are asked for all the same, and which make no sense beside others."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from dossier.records.assumption import Assumption
from dossier.records.base import Banded, models_in
from dossier.records.calculation import Calculation
from dossier.records.concept import Concept
from dossier.records.cost import OneOffItem, ProcessStep
from dossier.records.design import Design, HalfShells, Layer, PinEnds, Rings
from dossier.records.evidence import Channel, Contribution, Document, Equipment, EvidenceItem, Sample, Specimen
from dossier.records.load import LoadCase
from dossier.records.material import Material
from dossier.records.requirement import Limit, Requirement
from dossier.records.standard import Standard

# Fields of a model that may be left empty and are asked for all the same, in this order, after those it needs.
USUAL: dict[type[BaseModel], tuple[str, ...]] = {
    Assumption: ("value", "unit", "low", "high", "choice", "reason"),
    Banded: ("low", "high", "source"),
    Calculation: ("design", "reference", "serves"),
    Channel: ("uncertainty", "classification", "certificate"),
    Concept: ("mass_origin", "estimated_on", "cost_tendency", "fate", "reason", "design"),
    Contribution: ("relative", "channel", "source"),
    Design: ("part_number", "drawing", "drawing_index"),
    Document: ("index", "on", "by"),
    Equipment: ("serial", "place", "channel"),
    EvidenceItem: (
        "quantity", "unit", "serves", "variant", "planned_variant", "reference", "planned_reference", "scheme", "equipment",
        "lives_from", "procedure", "standards",
    ),
    Limit: ("min", "max", "nominal", "criterion"),
    LoadCase: ("kind", "radial", "axial", "torsion", "tilt", "temperature", "cycles", "origin", "source"),
    Material: ("designation", "source", "density"),
    Layer: ("inner_face", "outer_face"),
    OneOffItem: ("source", "once", "per_piece"),
    PinEnds: ("flat_thickness", "flat_start"),
    ProcessStep: ("source", "cycle_time", "machine_rate", "outside", "good_share"),
    Requirement: ("source", "verification", "criterion", "sample_size", "owner"),
    Rings: ("gap", "travel", "roughness"),
    HalfShells: ("parting_gap", "closing"),
    Sample: ("value", "passed", "observation"),
    Specimen: ("drawing_index", "batch", "cured_on", "origin", "storage"),
    Standard: ("edition", "title", "kind", "used_for", "steps", "mark"),
}  # fmt: skip
OF_LIMIT: dict[str, tuple[str, ...]] = {
    "max": ("max",), "min": ("min",), "range": ("min", "max"), "target": ("nominal",), "pass_fail": ("criterion",),
    "capability": ("min", "criterion"),
}  # fmt: skip


def usual(model: type[BaseModel]) -> tuple[str, ...]:
    """The usual fields of a model; of a part that needs none, all its single fields."""
    if model in USUAL or any(info.is_required() for info in model.model_fields.values()):
        return USUAL.get(model, ())
    return tuple(name for name, info in model.model_fields.items() if not models_in(info.annotation))


def spared(model: type[BaseModel], name: str, raw: dict[str, Any]) -> bool:
    """Whether a usual field has no sense beside what is known already."""
    if model is Assumption:
        return name == "choice" and "value" in raw or name in ("unit", "low", "high") and "value" not in raw
    if model is EvidenceItem:
        curve = raw.get("quantity") in ("radial", "axial", "torsional", "conical")
        single = raw.get("quantity") in ("single", "life", "capability", "staircase", "sn_line")
        if name == "lives_from":
            return raw.get("quantity") != "life"
        alone = name == "planned_reference" and "reference" not in raw
        return alone or name == "unit" and not single or name == "scheme" and not curve
    if model is Limit:
        return name not in OF_LIMIT.get(str(raw.get("kind")), ())
    if model is Contribution:
        return name == "channel" and "relative" in raw
    if model is OneOffItem:
        return name == "per_piece" and bool(raw.get("once"))
    if model is Sample:
        return name == "passed" and "value" in raw
    return False
