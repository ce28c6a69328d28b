"""A project that is open: its folder, the snapshot it was read from, the graph, and the way to record changes."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime
from pathlib import Path

from dossier.checks.view import View
from dossier.records.header import Header
from dossier.store.change import Change
from dossier.store.folder import ProjectFolder
from dossier.store.project import Problem, Project, project_from_documents
from dossier.store.signed import read_signoffs
from dossier.store.snapshot import Snapshot


class Opened:
    """One opening of a project folder. `record` writes a change and reads the project again."""

    def __init__(self, root: Path, *, use_cache: bool = True, today: date | None = None) -> None:
        if not (root / "project.toml").exists() and not (root / "history.git").exists():
            raise FileNotFoundError(f"{root} holds no project (no project.toml); name the project's folder")
        self.folder = ProjectFolder(root, use_cache=use_cache)
        self.today = today or datetime.now(UTC).date()
        self.snapshot: Snapshot
        self.project: Project
        self.reload()

    def reload(self) -> None:
        """Read the folder anew."""
        self.take(self.folder.load())

    def take(self, snapshot: Snapshot) -> None:
        """Build the graph from a snapshot."""
        self.snapshot = snapshot
        documents = {path: fact.document for path, fact in snapshot.files.items() if fact.document is not None}
        self.project = project_from_documents(self.folder.root, documents)
        signed = {path: fact.data for path, fact in snapshot.files.items() if path.startswith("signoffs/")}
        self.project.signoffs, unread = read_signoffs(signed)
        self.project.problems[:0] = [Problem(p.path, p.reason, p.line) for p in snapshot.problems]
        self.project.problems += [Problem(path, text) for path, text in unread]
        self.view = View(self.project, self.today)

    def record(self, change: Change) -> str:
        """Commit a change made from this opening; returns the new head. Raises what ProjectFolder.commit raises."""
        head = self.folder.commit(change, self.snapshot)
        self.reload()
        return head


def acting_person(header: Header | None, given: str = "") -> str:
    """Who acts: the name given, the environment's DOSSIER_PERSON, or the project's only person, else the login."""
    named = given or os.environ.get("DOSSIER_PERSON", "")
    if named:
        return named
    if header and len(header.people) == 1:
        return header.people[0].name
    return os.environ.get("USER") or os.environ.get("USERNAME") or "unnamed person"
