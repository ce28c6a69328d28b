"""Which shape parts were made to, and why a result holds for a later one."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from typing import Any

from dossier.actions.edit import validated
from dossier.actions.refusal import Refusal
from dossier.actions.told import first_of, in_words
from dossier.methods.evidence_links import counted
from dossier.methods.shape import older_shapes, shape_sha256, with_shape
from dossier.records.collections import collection_of_path
from dossier.records.design import Design
from dossier.records.evidence import EvidenceItem, Specimen
from dossier.store.change import Change
from dossier.store.project import Project
from dossier.store.tomlfile import dump_document


def as_made(project: Project, ids: Sequence[str], author: str) -> Change:
    """State that the named specimens were made to today's shape of their designs. Raises Refusal for parts that have
    a shape already: a part does not change, it is tested again or its result carries over."""
    if not ids:
        raise Refusal("name the specimens that were made to today's shape of their design")
    entries = {}
    for name in ids:
        specimen = project.get(name)
        if not isinstance(specimen, Specimen):
            raise Refusal(f"{name} is no specimen; name one of specimens.toml")
        if specimen.shape_sha256:
            told = "register new parts, or say why the result carries over (dossier carry-over)"
            raise Refusal(f"{name}.shape_sha256 is recorded already, a part does not change; {told}")
        entries[name] = with_shape(project, copy.deepcopy(project.raw[name]))
        if "shape_sha256" not in entries[name]:
            raise Refusal(_no_shape(project, specimen))
    return Change(f"{first_of(list(ids))} made to today's shape", author, replaced(project, entries))


def _no_shape(project: Project, specimen: Specimen) -> str:
    design = project.find(specimen.design)
    if isinstance(design, Design):
        return (
            f"{specimen.id}.drawing_index = {specimen.drawing_index or '–'} is not {design.id}.drawing_index = "
            f"{design.drawing_index or '–'}; correct one of the two, or leave the part as one of an older shape"
        )
    return f"{specimen.id}.design = {specimen.design} is neither a design nor a material; correct it"


def carry_over(project: Project, ids: Sequence[str], reason: str, person: str, on: str) -> Change:
    """State why the results of the named items hold for today's shape although their parts had another one.

    Raises Refusal without a reason, and for an item whose parts have today's shape.
    """
    if not reason.strip():
        raise Refusal("a result carries over for a reason only; say why the change does not touch what was measured")
    if not ids:
        raise Refusal("name the evidence items whose result carries over, such as E-001")
    entries = {}
    for name in ids:
        item = project.get(name)
        if not isinstance(item, EvidenceItem):
            raise Refusal(f"{name} is no evidence item; name one such as E-001")
        older = older_shapes(project, item, counted(item))
        if not older:
            raise Refusal(f"{name}: its parts have today's shape, nothing is to be carried over")
        raw = copy.deepcopy(project.raw[name])
        designs = list(dict.fromkeys(entry.design for entry in older))
        kept = [entry for entry in raw.get("carries_over", []) if entry["design"] not in designs]
        raw["carries_over"] = kept + [_statement(project, design, reason.strip(), person, on) for design in designs]
        entries[name] = raw
    return Change(f"{first_of(list(ids))} carried over: {in_words(reason)}", person, replaced(project, entries))


def _statement(project: Project, design: str, reason: str, person: str, on: str) -> dict[str, str]:
    record = project.find(design)
    index = record.drawing_index if isinstance(record, Design) else ""
    stated = {"design": design, "shape_sha256": shape_sha256(project, design), "reason": reason, "by": person, "on": on}
    return stated | ({"drawing_index": index} if index else {})


def replaced(project: Project, entries: dict[str, dict[str, Any]]) -> dict[str, bytes | None]:
    """The files of several records with these records in the place of the stored ones."""
    documents: dict[str, dict[str, Any]] = {}
    for name, raw in entries.items():
        place = project.places[name]
        collection = collection_of_path(place.path)
        assert collection is not None
        validated(collection.model, raw)
        document = documents.setdefault(place.path, copy.deepcopy(project.documents[place.path]))
        if place.index is None:
            documents[place.path] = raw
        else:
            document[collection.key][place.index] = raw
    return {path: dump_document(document) for path, document in documents.items()}
