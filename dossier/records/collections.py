"""Which file of a project holds which records."""

from __future__ import annotations

import fnmatch
from dataclasses import dataclass

from dossier.records.assumption import Assumption
from dossier.records.base import Record
from dossier.records.calculation import Calculation
from dossier.records.concept import Idea
from dossier.records.cost import Cost
from dossier.records.design import Design
from dossier.records.evidence import Caution, Document, Equipment, EvidenceItem, SchemeRecord, Specimen
from dossier.records.header import Header
from dossier.records.load import LoadCase
from dossier.records.material import Material
from dossier.records.requirement import Requirement
from dossier.records.standard import Standard
from dossier.records.step import StepRecord


@dataclass(frozen=True)
class Collection:
    """One kind of record: where its files lie and whether a file holds one record or a list under `key`."""

    kind: str
    model: type[Record]
    pattern: str
    key: str = ""
    prefix: str = ""

    def holds(self, path: str) -> bool:
        """Whether records of this kind live in the file at this relative path."""
        return path.count("/") == self.pattern.count("/") and fnmatch.fnmatchcase(path, self.pattern)


COLLECTIONS: tuple[Collection, ...] = (
    Collection("project", Header, "project.toml"),
    Collection("idea", Idea, "concepts.toml"),
    Collection("requirement", Requirement, "requirements/*.toml", "requirement", "R-"),
    Collection("load case", LoadCase, "loads.toml", "load", "L-"),
    Collection("material", Material, "materials.toml", "material", "M-"),
    Collection("assumption", Assumption, "assumptions.toml", "assumption", "A-"),
    Collection("standard", Standard, "standards.toml", "standard", "N-"),
    Collection("design", Design, "designs/*.toml", "", "V"),
    Collection("calculation", Calculation, "calculations/*.toml", "", "C-"),
    Collection("specimen", Specimen, "specimens.toml", "specimen", "P-"),
    Collection("equipment", Equipment, "equipment.toml", "equipment", "Q-"),
    Collection("reading scheme", SchemeRecord, "reading_schemes.toml", "scheme", "RS-"),
    Collection("evidence", EvidenceItem, "evidence/*.toml", "", "E-"),
    Collection("document", Document, "documents.toml", "document", "B-"),
    Collection("caution", Caution, "cautions.toml", "caution", "K-"),
    Collection("cost", Cost, "cost.toml"),
    Collection("step", StepRecord, "steps/*.toml"),
)


def collection_of_path(path: str) -> Collection | None:
    """The collection whose records the file at `path` holds, or None."""
    return next((collection for collection in COLLECTIONS if collection.holds(path)), None)


def collection_of_kind(kind: str) -> Collection:
    """The collection of that kind. Raises KeyError naming the known kinds."""
    for collection in COLLECTIONS:
        if collection.kind == kind:
            return collection
    raise KeyError(f'no kind of record "{kind}"; known: {", ".join(c.kind for c in COLLECTIONS)}')
