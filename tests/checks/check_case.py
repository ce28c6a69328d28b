"""A project in memory that the tests of the checks edit, and one row of their tables."""

from __future__ import annotations

import copy
import hashlib
import shutil
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from dossier.actions.evaluate import evaluate_items
from dossier.actions.opened import Opened
from dossier.actions.run import outdated_calculations, run_calculations, with_changes
from dossier.checks.base import Computed, Finding, computed_checks
from dossier.checks.policy import covered_records
from dossier.checks.statement import decided_otherwise
from dossier.checks.view import View
from dossier.methods.shape import shape_sha256
from dossier.records.requirement import Requirement
from dossier.records.signoff import Before, SignOff
from dossier.store.digest import sha256_of_bytes
from dossier.store.project import Project, project_from_documents
from dossier.store.rawfiles import store_raw
from dossier.store.signed import StoredSignOff, signed_bytes

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
TODAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
Documents = dict[str, dict[str, Any]]


class Case:
    """Documents of a project that can be edited, calculated, signed and looked at."""

    def __init__(self, documents: Documents, folder: Path = Path("nowhere")) -> None:
        self.documents = copy.deepcopy(documents)
        self.folder = folder
        self.signoffs: list[StoredSignOff] = []

    def __getitem__(self, record_id: str) -> dict[str, Any]:
        """The stored fields of a record, to be edited in place; a file that is a record goes before an entry."""
        for document in self.documents.values():
            if document.get("id") == record_id:
                return document
        for document in self.documents.values():
            for found in _entries(document):
                if found["id"] == record_id:
                    return found
        raise KeyError(record_id)

    def add(self, path: str, key: str, entry: dict[str, Any]) -> None:
        """Add an entry to a list file."""
        self.documents.setdefault(path, {}).setdefault(key, []).append(entry)

    def drop(self, start: str) -> None:
        """Take away all files whose path begins so."""
        for path in [path for path in self.documents if path.startswith(start)]:
            del self.documents[path]

    def requirements(self) -> list[dict[str, Any]]:
        """Stored fields of all requirements."""
        return [r for path, d in self.documents.items() if path.startswith("requirements/") for r in d["requirement"]]

    def drop_method(self, *methods: str) -> None:
        """Take away all calculations by these methods."""
        for path, document in list(self.documents.items()):
            if path.startswith("calculations/") and document["method"] in methods:
                del self.documents[path]

    def keep_requirements(self, keep: Iterable[str]) -> None:
        """Take away every other requirement, and what calculations say about them."""
        wanted = set(keep)
        for path, document in self.documents.items():
            if path.startswith("requirements/"):
                document["requirement"] = [r for r in document["requirement"] if r["id"] in wanted]
            if path.startswith("calculations/"):
                document["serves"] = [s for s in document.get("serves", []) if s["requirement"] in wanted]

    @property
    def project(self) -> Project:
        """The graph of the documents."""
        project = project_from_documents(self.folder, self.documents)
        project.signoffs = list(self.signoffs)
        return project

    @property
    def view(self) -> View:
        """What checks look at."""
        return View(self.project, TODAY)

    def check(self, check_id: str) -> Computed:
        """The computed part of a check."""
        return computed_checks()[check_id](self.view)

    def calculate(self, *ids: str) -> None:
        """Run calculations; without ids all that are not current."""
        project = self.project
        wanted = ids or [calculation.id for calculation in outdated_calculations(project)]
        if wanted:
            self.documents = with_changes(project, run_calculations(project, wanted, "M. Olsen", NOW)).documents

    def shape(self, *ids: str) -> None:
        """Give specimens today's shape of their designs; without ids all that have none."""
        project = self.project
        for entry in self.documents["specimens.toml"]["specimen"]:
            if entry["id"] in ids or not (ids or "shape_sha256" in entry):
                entry["shape_sha256"] = shape_sha256(project, entry["design"])

    def evaluate(self, *ids: str) -> None:
        """Evaluate evidence items, from their raw files where they have some."""
        project = self.project
        self.documents = with_changes(project, evaluate_items(project, ids, "T. Lindqvist", NOW)).documents

    def keep(self, name: str, data: bytes) -> str:
        """Store a raw file in the project's folder; returns its SHA-256."""
        source = self.folder / "delivered" / name
        source.parent.mkdir(parents=True, exist_ok=True)
        source.write_bytes(data)
        return store_raw(self.folder, source).sha256

    def sign(self, step: str, role: str, person: str, own: Iterable[str] = (), when: str = "") -> None:
        """Release a step as it stands now, with a key made from the person's name."""
        private = Ed25519PrivateKey.from_private_bytes(hashlib.sha256(person.encode()).digest())
        raw = private.public_key().public_bytes_raw()
        for known in self["project"]["people"]:
            if known["name"] == person:
                known["public_key"] = raw.hex()
        before = self.signoffs[-1] if self.signoffs else None
        signoff = SignOff(
            id=f"S-{len(self.signoffs) + 1:03d}",
            step=step,  # type: ignore[arg-type]
            decision="released",
            statement="released",
            person=person,
            role=role,  # type: ignore[arg-type]
            key_fingerprint=sha256_of_bytes(raw),
            signed_at=when or f"2026-11-{len(self.signoffs) % 20 + 1:02d}T08:00:00Z",
            before=Before(id=before.signoff.id, sha256=before.sha256) if before else None,
            own_records=list(own),
            records=covered_records(self.project, step),
        )
        data = signed_bytes(signoff)
        self.signoffs.append(StoredSignOff(signoff, data, private.sign(data)))


def _entries(document: dict[str, Any]) -> list[dict[str, Any]]:
    """Entries with an id in the lists of a file."""
    lists = [value for value in document.values() if isinstance(value, list)]
    return [entry for entries in lists for entry in entries if isinstance(entry, dict) and "id" in entry]


def calculated_demo(copied: Path) -> Documents:
    """Documents of the demonstration project, copied to `copied`, every calculation with a current result.

    Without answers and concessions, and with the rings of revision A, so that the tests say what was decided.
    """
    shutil.copytree(DEMO, copied)
    case = Case(Opened(copied, use_cache=False, today=TODAY).project.documents)
    case.drop("steps/")
    case["V2"]["carrier"]["outer_radius"] = 38.08
    for requirement in case.requirements():
        if decided_otherwise(Requirement.model_validate(requirement)):
            requirement["decided_by"] = "worst part"
    case["V2"]["tolerances"]["carrier.outer_radius"]["upper"] = 0.02
    case["V2"]["drawing_index"] = case["B-002"]["index"] = "B"
    case.shape()
    case.calculate()
    return case.documents


def empty_case() -> Case:
    """A project with a title and nothing else."""
    return Case({"project.toml": {"id": "project", "project_id": "0" * 32, "title": "Empty"}})


Edit = Callable[[Case], None]


def nothing_to_do(case: Case) -> None:
    """The demonstration project meets the check as it is."""


@dataclass(frozen=True)
class Row:
    """One check: how it is broken, what the finding must name, and the remedy that mends it.

    `before` brings the demonstration project to where the check is met, if it is not. A `value` that ends in * is the
    beginning of one that is evaluated from noisy curves.
    """

    check: str
    edit: Edit
    remedy: Edit
    record: str
    field: str
    value: str
    words: str
    before: Edit = nothing_to_do
    state: str = "not met"

    def tells(self, finding: Finding) -> bool:
        """Whether a finding names this record, field and value."""
        same = (finding.record, finding.field) == (self.record, self.field)
        start = self.value.removesuffix("*")
        return same and (finding.value.startswith(start) if start != self.value else finding.value == self.value)

    @property
    def name(self) -> str:
        """How the row is called in the report of a test run."""
        return f"{self.check}-{self.record}.{self.field}"


def setting(record_id: str, path: str, value: Any) -> Edit:
    """An edit that sets one field; the path is dotted, whole numbers are places in a list."""

    def edit(case: Case) -> None:
        *outer, last = path.split(".")
        part: Any = case[record_id]
        for step in outer:
            part = part[int(step)] if isinstance(part, list) else part.setdefault(step, {})
        part[int(last) if isinstance(part, list) else last] = copy.deepcopy(value)

    return edit


def without(record_id: str, path: str) -> Edit:
    """An edit that takes one field away."""

    def edit(case: Case) -> None:
        *outer, last = path.split(".")
        part: Any = case[record_id]
        for step in outer:
            part = part[int(step)] if isinstance(part, list) else part[step]
        part.pop(int(last) if isinstance(part, list) else last)

    return edit


def both(*edits: Edit) -> Edit:
    """Several edits after another."""

    def edit(case: Case) -> None:
        for one in edits:
            one(case)

    return edit


def evaluating(*ids: str) -> Edit:
    """Evaluate evidence items."""

    def edit(case: Case) -> None:
        case.evaluate(*ids)

    return edit


def calculating(*ids: str) -> Edit:
    """Run calculations."""

    def edit(case: Case) -> None:
        case.calculate(*ids)

    return edit
