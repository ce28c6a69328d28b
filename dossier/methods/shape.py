"""The shape a part was made to: dimensions and materials of its design, held against what they are today."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from dossier.records.design import Design
from dossier.records.evidence import CarryOver, EvidenceItem, Sample, Specimen
from dossier.records.material import Material
from dossier.store.digest import sha256_of_document
from dossier.store.project import Project

# What a design demands of a part without being its shape, and how its numbers were come by.
DEMANDS = {"pin": {"minimum_wall"}, "layer": {"minimum_bond_share"}}
SHAPED = ("pin", "core", "layer", "carrier", "eye")
DIGITS = 12  # far above the rounding of a conversion of units, far below any edit


@dataclass(frozen=True)
class OlderShape:
    """Parts of one design that were made to another shape or drawing index than today's."""

    design: str
    parts: tuple[str, ...]
    reason: str

    def __str__(self) -> str:
        return f"{_listed(self.parts)} {self.reason}"


def shape_sha256(project: Project, record_id: str) -> str:
    """Digest of the shape of a design, or of what a test piece of a material is made of; empty for other records."""
    known = project.derived.setdefault("shapes", {})
    if record_id not in known:
        record = project.find(record_id)
        shape: Any = None
        if isinstance(record, Design):
            shape = shape_of(project, record)
        elif isinstance(record, Material):
            shape = _made_of(record)
        known[record_id] = sha256_of_document(shape) if shape else ""
    return known[record_id]


def shape_of(project: Project, design: Design) -> dict[str, Any]:
    """Dimensions that differ from their defaults, masses of the parts outside the section, and materials, as plain data.

    Tolerances, demands, title and drawing are no part of it.
    """
    found: dict[str, Any] = {"carrier kind": design.carrier.kind}
    for name in SHAPED:
        part = getattr(design, name)
        if part is not None:
            found[name] = _rounded(part.model_dump(mode="json", exclude_defaults=True, exclude=DEMANDS.get(name)))
    found["rest"] = [_rounded(part.model_dump(mode="json", exclude={"origin"})) for part in design.rest]
    named = {design.pin.material, design.core.material, design.layer.compound, design.carrier.material}
    named |= {design.eye.material} if design.eye else set()
    materials = {name: project.find(name) for name in sorted(named)}
    found["materials"] = {name: _made_of(record) for name, record in materials.items() if isinstance(record, Material)}
    return found


def with_shape(project: Project, raw: dict[str, Any]) -> dict[str, Any]:
    """A specimen's fields with the shape its design has today, unless one is given or it was made to another index."""
    design = project.find(str(raw.get("design", "")))
    shape = shape_sha256(project, design.id) if design else ""
    if raw.get("shape_sha256") or not shape:
        return raw
    if isinstance(design, Design) and raw.get("drawing_index", "") != design.drawing_index:
        return raw
    return {**raw, "shape_sha256": shape}


def older_shapes(project: Project, item: EvidenceItem, samples: list[Sample]) -> list[OlderShape]:
    """What these samples of an item were measured on that is not today's shape, and does not carry over for a reason."""
    parts: dict[tuple[str, str], list[str]] = {}
    for sample in samples:
        for design, reason in _differs(project, item, sample):
            parts.setdefault((design, reason), []).append(sample.specimen)
    return [OlderShape(design, tuple(names), reason) for (design, reason), names in parts.items()]


def carried_over(project: Project, item: EvidenceItem) -> list[CarryOver]:
    """Statements that the item's result holds for a design as it is today."""
    return [carry for carry in item.carries_over if _is_today(project, carry)]


def _is_today(project: Project, carry: CarryOver) -> bool:
    design = project.find(carry.design)
    index = design.drawing_index if isinstance(design, Design) else ""
    return carry.drawing_index == index and carry.shape_sha256 == shape_sha256(project, carry.design)


def _differs(project: Project, item: EvidenceItem, sample: Sample) -> Iterator[tuple[str, str]]:
    """(design, reason) when the sample's part was made to another shape and nobody said that its result carries over."""
    specimen = project.find(sample.specimen)
    if isinstance(specimen, Specimen):
        name, index, shape = specimen.design, specimen.drawing_index, specimen.shape_sha256
    else:
        name, index, shape = item.variant, "", sample.shape_sha256
    if any(carry.design == name for carry in carried_over(project, item)):
        return
    design = project.find(name)
    if isinstance(design, Design) and index and index != design.drawing_index:
        yield name, f"made to drawing index {index}, {name} has index {design.drawing_index or '–'} now"
    elif shape and shape != shape_sha256(project, name):
        yield name, f"made before dimensions or materials of {name} changed"


def _made_of(material: Material) -> list[str]:
    return [material.kind, material.designation or material.title, material.condition]


def _rounded(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _rounded(below) for name, below in value.items()}
    if isinstance(value, list):
        return [_rounded(below) for below in value]
    return float(f"{value:.{DIGITS}g}") if isinstance(value, float) else value


def _listed(names: tuple[str, ...]) -> str:
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")
