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
from dossier.records.places import PLACES
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
    Collection("project", Header, PLACES["project"]),
    Collection("idea", Idea, PLACES["idea"]),
    Collection("requirement", Requirement, PLACES["requirement"], "requirement", "R-"),
    Collection("load case", LoadCase, PLACES["load case"], "load", "L-"),
    Collection("material", Material, PLACES["material"], "material", "M-"),
    Collection("assumption", Assumption, PLACES["assumption"], "assumption", "A-"),
    Collection("standard", Standard, PLACES["standard"], "standard", "N-"),
    Collection("design", Design, PLACES["design"], "", "V"),
    Collection("calculation", Calculation, PLACES["calculation"], "", "C-"),
    Collection("specimen", Specimen, PLACES["specimen"], "specimen", "P-"),
    Collection("equipment", Equipment, PLACES["equipment"], "equipment", "Q-"),
    Collection("reading scheme", SchemeRecord, PLACES["reading scheme"], "scheme", "RS-"),
    Collection("evidence", EvidenceItem, PLACES["evidence"], "", "E-"),
    Collection("document", Document, PLACES["document"], "document", "B-"),
    Collection("caution", Caution, PLACES["caution"], "caution", "K-"),
    Collection("cost", Cost, PLACES["cost"]),
    Collection("step", StepRecord, PLACES["step"]),
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
