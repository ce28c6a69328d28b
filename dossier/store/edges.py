"""The links between records: an edge goes from what is served (upper) to what it rests on (lower)."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from dossier.records.base import Record
from dossier.records.calculation import Calculation
from dossier.records.concept import Idea
from dossier.records.design import Design
from dossier.records.evidence import EvidenceItem, Specimen
from dossier.records.requirement import Requirement
from dossier.records.step import StepRecord

# Records that methods read without being named in a calculation's fields: id, and as what.
SINGLES = {"idea": "baseline", "cost": "cost sheet"}


@dataclass(frozen=True)
class Edge:
    """`upper` rests on `lower`; `label` says as what."""

    upper: str
    lower: str
    label: str


def edges_of(record: Record) -> Iterator[Edge]:
    """All edges that a record's own fields declare."""
    if isinstance(record, Calculation):
        yield from _calculation_edges(record)
    elif isinstance(record, Design):
        yield from _design_edges(record)
    elif isinstance(record, Requirement):
        yield from _requirement_edges(record)
    elif isinstance(record, EvidenceItem):
        yield from _evidence_edges(record)
    elif isinstance(record, Specimen):
        yield Edge(record.id, record.design, "made as")
    elif isinstance(record, StepRecord):
        for concession in record.concession:
            if not concession.on_record[0].isdigit():
                yield Edge(concession.on_record, record.id, "conceded in")
    elif isinstance(record, Idea):
        for concept in record.concept:
            if concept.design:
                yield Edge(record.id, concept.design, f"concept {concept.id}")


def _calculation_edges(record: Calculation) -> Iterator[Edge]:
    for served in record.serves:
        yield Edge(served.requirement, record.id, served.value)
    for label, target in (("design", record.design), ("reference", record.reference)):
        if target:
            yield Edge(record.id, target, label)
    if record.prediction_error:
        yield Edge(record.id, record.prediction_error, "prediction error")
    for name, given in record.inputs.items():
        if is_link(given):
            yield Edge(record.id, given["record"], name)
    cases = record.result.sources.get("loads", "") if record.result and "loads" not in record.inputs else ""
    for case in filter(None, cases.split(", ")):
        yield Edge(record.id, case, "load case")
    read = {source.partition(".")[0] for source in record.result.sources.values()} if record.result else set()
    for single, label in SINGLES.items():
        if single in read:
            yield Edge(record.id, single, label)


def _design_edges(record: Design) -> Iterator[Edge]:
    parts = {
        "pin": record.pin.material,
        "core": record.core.material,
        "layer": record.layer.compound,
        record.carrier.kind: record.carrier.material,
        "eye": record.eye.material if record.eye else "",
    }
    for label, material in parts.items():
        if material:
            yield Edge(record.id, material, label)


def _evidence_edges(record: EvidenceItem) -> Iterator[Edge]:
    for served in record.serves:
        yield Edge(served.requirement, record.id, served.value)
    singles = (
        ("variant", record.variant), ("reference", record.reference), ("scheme", record.scheme),
        ("scatter between batches", record.batch_scatter),
    )  # fmt: skip
    for label, target in singles:
        if target:
            yield Edge(record.id, target, label)
    lists = (("equipment", record.equipment), ("document", record.documents), ("standard", record.standards))
    for label, targets in lists:
        for target in targets:
            yield Edge(record.id, target, label)
    for other in record.lives_from:
        yield Edge(record.id, other, "lives of")
    for specimen in dict.fromkeys(sample.specimen for sample in record.samples):
        yield Edge(record.id, specimen, "specimen")
    if record.repeats:
        yield Edge(record.id, record.repeats, "repeats")


def _requirement_edges(record: Requirement) -> Iterator[Edge]:
    if record.parent:
        yield Edge(record.parent, record.id, "refined by")
    for standard in record.standards:
        yield Edge(record.id, standard, "standard")


def is_link(given: Any) -> bool:
    """Whether a calculation's input names another record instead of holding a value."""
    return isinstance(given, dict) and set(given) <= {"record", "field"} and isinstance(given.get("record"), str)
