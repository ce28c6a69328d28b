"""The loaded project: records, where they lie, what they point at, and what could not be read.

`Project` is the graph only. Everything that changes it is an action.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from typing import Any, TypeVar, cast

from pydantic import ValidationError

from dossier.records.assumption import Assumption
from dossier.records.base import Record
from dossier.records.calculation import Calculation
from dossier.records.collections import Collection, collection_of_path
from dossier.records.concept import Idea
from dossier.records.design import Design
from dossier.records.evidence import EvidenceItem
from dossier.records.header import Header
from dossier.records.load import LoadCase
from dossier.records.material import Material
from dossier.records.problems import problems_in_words
from dossier.records.requirement import Requirement
from dossier.records.standard import Standard
from dossier.records.step import STEPS, StepRecord
from dossier.store.edges import Edge, edges_of
from dossier.store.signed import StoredSignOff

R = TypeVar("R", bound=Record)

# Stands in for project.toml while that is missing or unreadable (which is among the problems then): nobody is known.
NO_HEADER = Header(project_id="0" * 32, title="project without a readable project.toml")
# Ids that only one kind of record may have, by that kind.
RESERVED = {"project": "project", "idea": "idea", "cost": "cost"} | {f"step-{number}": "step" for number in STEPS}


@dataclass(frozen=True)
class Problem:
    """A file or record that could not be taken as it is."""

    path: str
    text: str
    line: int | None = None
    record: str = ""

    def __str__(self) -> str:
        place = self.path if self.line is None else f"{self.path} line {self.line}"
        return f"{place}: {self.record + ': ' if self.record else ''}{self.text}"


@dataclass(frozen=True)
class Place:
    """Where a record lies: the file, and its position in the list the file holds (None: the file is the record)."""

    path: str
    index: int | None = None


class NoRecord(KeyError):
    """An id that names no record of the project."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass
class Project:
    """All records of a project by id, with the dict each was read from. The records never change once it is built.

    `derived` keeps what others worked out from the records, by what it is and then by id.
    """

    folder: Path
    records: dict[str, Record] = field(default_factory=dict)
    raw: dict[str, dict[str, Any]] = field(default_factory=dict)
    places: dict[str, Place] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)
    documents: dict[str, dict[str, Any]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    signoffs: list[StoredSignOff] = field(default_factory=list)
    derived: dict[str, dict[str, Any]] = field(default_factory=dict, repr=False, compare=False)

    def get(self, record_id: str) -> Record:
        """The record of that id. Raises NoRecord."""
        if record_id not in self.records:
            raise NoRecord(f"{record_id} names no record of this project; check its spelling")
        return self.records[record_id]

    def find(self, record_id: str) -> Record | None:
        """The record of that id, or None."""
        return self.records.get(record_id)

    def of_kind(self, model: type[R]) -> list[R]:
        """All records of one model, in the order of the files."""
        return [cast(R, record) for record in self.records.values() if type(record) is model]

    @property
    def header(self) -> Header:
        """project.toml, or NO_HEADER when it is missing or unreadable."""
        return cast(Header, self.records.get("project", NO_HEADER))

    @property
    def idea(self) -> Idea | None:
        """concepts.toml, or None."""
        return cast("Idea | None", self.records.get("idea"))

    @property
    def requirements(self) -> list[Requirement]:
        """All requirements by id."""
        return sorted(self.of_kind(Requirement), key=lambda requirement: requirement.id)

    @property
    def calculations(self) -> list[Calculation]:
        """All calculations by id."""
        return sorted(self.of_kind(Calculation), key=lambda calculation: calculation.id)

    @property
    def designs(self) -> list[Design]:
        """Reference parts first, then variants."""
        return sorted(self.of_kind(Design), key=lambda design: (design.kind != "reference", design.id))

    @property
    def materials(self) -> list[Material]:
        """All materials."""
        return self.of_kind(Material)

    @property
    def loads(self) -> list[LoadCase]:
        """All load cases."""
        return self.of_kind(LoadCase)

    @property
    def assumptions(self) -> list[Assumption]:
        """All assumptions."""
        return self.of_kind(Assumption)

    @property
    def standards(self) -> list[Standard]:
        """All standards of the project's register."""
        return self.of_kind(Standard)

    @property
    def evidence(self) -> list[EvidenceItem]:
        """All evidence items by id."""
        return sorted(self.of_kind(EvidenceItem), key=lambda item: item.id)

    @property
    def reference(self) -> Design | None:
        """The reference part named in project.toml, else the first design of that kind."""
        named = self.records.get(self.header.reference)
        if isinstance(named, Design):
            return named
        return next((design for design in self.designs if design.kind == "reference"), None)

    @property
    def variant(self) -> Design | None:
        """The variant in work named in project.toml, else the first variant."""
        named = self.records.get(self.header.variant)
        if isinstance(named, Design):
            return named
        return next((design for design in self.designs if design.kind == "variant"), None)

    def step(self, number: str) -> StepRecord | None:
        """Answers, remarks and concessions of a step, or None if there are none yet."""
        return next((step for step in self.of_kind(StepRecord) if step.step == number), None)

    @cached_property
    def edges(self) -> list[Edge]:
        """All links between records: upper serves, lower is rested on."""
        return [edge for record in self.records.values() for edge in edges_of(record)]

    @cached_property
    def _down(self) -> dict[str, list[Edge]]:
        table: dict[str, list[Edge]] = {}
        for edge in self.edges:
            table.setdefault(edge.upper, []).append(edge)
        return table

    @cached_property
    def _up(self) -> dict[str, list[Edge]]:
        table: dict[str, list[Edge]] = {}
        for edge in self.edges:
            table.setdefault(edge.lower, []).append(edge)
        return table

    def rests_on(self, record_id: str) -> list[str]:
        """Ids the record rests on, without repeats."""
        return list(dict.fromkeys(edge.lower for edge in self._down.get(record_id, [])))

    def serves(self, record_id: str) -> list[str]:
        """Ids the record serves, without repeats."""
        return list(dict.fromkeys(edge.upper for edge in self._up.get(record_id, [])))

    def raw_files(self) -> list[str]:
        """SHA-256 of every raw file that a record names."""
        found: list[str] = []
        for record in self.records.values():
            found += getattr(record, "raw_sha256", [])
        return found

    def unreadable(self, path: str) -> list[Problem]:
        """Why the file at this path, or records in it, could not be taken; such a file is never written over."""
        return [problem for problem in self.problems if problem.path == path]

    def broken_links(self) -> list[Edge]:
        """Links whose lower or upper record does not exist."""
        return [edge for edge in self.edges if edge.lower not in self.records or edge.upper not in self.records]


def project_from_documents(folder: Path, documents: Mapping[str, dict[str, Any]]) -> Project:
    """Build the graph from parsed documents, relative path → dict.

    A record that cannot be taken becomes a Problem; the others are loaded all the same.
    """
    project = Project(folder)
    for path in sorted(documents):
        collection = collection_of_path(path)
        if collection is None:
            project.problems.append(Problem(path, "is not a file of a project; remove it or correct its name"))
            continue
        project.documents[path] = documents[path]
        if collection.key:
            _take_list(project, collection, path, documents[path])
        else:
            _take_record(project, collection, Place(path), documents[path])
    return project


def _take_list(project: Project, collection: Collection, path: str, document: dict[str, Any]) -> None:
    for key in document:
        if key != collection.key:
            project.problems.append(Problem(path, f"[{key}] is unknown here; expected [[{collection.key}]]"))
    entries = document.get(collection.key, [])
    if not isinstance(entries, list):
        project.problems.append(Problem(path, f"{collection.key} must be a list; write [[{collection.key}]]"))
        return
    for index, entry in enumerate(entries):
        _take_record(project, collection, Place(path, index), entry)


def _take_record(project: Project, collection: Collection, place: Place, raw: Any) -> None:
    if not isinstance(raw, dict):
        project.problems.append(Problem(place.path, f"entry {(place.index or 0) + 1} must be a table of fields"))
        return
    name = str(raw.get("id", f"entry {(place.index or 0) + 1}"))
    if RESERVED.get(name, collection.kind) != collection.kind:
        text = f"id {name} is kept for the {RESERVED[name]} record; give this {collection.kind} another id"
        project.problems.append(Problem(place.path, text, record=name))
        return
    try:
        record = collection.model.model_validate(raw)
    except ValidationError as error:
        project.problems += [
            Problem(place.path, text, record=name) for text in problems_in_words(error, collection.model)
        ]
        return
    if record.id in project.records:
        other = project.places[record.id].path
        project.problems.append(Problem(place.path, f"id {record.id} is used in {other} too; renumber one of the two"))
        return
    if isinstance(record, StepRecord) and (known := project.step(record.step)) is not None:
        text = f"step {record.step} is kept in {project.places[known.id].path} too; put both into one file"
        project.problems.append(Problem(place.path, text, record=record.id))
        return
    project.records[record.id] = record
    project.raw[record.id] = raw
    project.places[record.id] = place
    project.kinds[record.id] = collection.kind
