"""A project that is open: its folder, the snapshot it was read from, the graph, and the way to record changes."""

from __future__ import annotations

import os
from datetime import UTC, date, datetime
from pathlib import Path

from pydantic import ValidationError

from dossier.actions.refusal import Refusal
from dossier.checks.view import View
from dossier.records.header import FORMAT, Header, Person
from dossier.records.plain import unstorable
from dossier.records.problems import problems_in_words
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
        before = (self.snapshot, self.project) if hasattr(self, "project") else None
        self.snapshot = snapshot
        self.read_only = _why_read_only(snapshot)
        documents = {path: fact.document for path, fact in snapshot.files.items() if fact.document is not None}
        self.project = project_from_documents(self.folder.root, documents)
        if before:
            files, project = before[0].files, before[1]
            self.project.keep_sha256(project, lambda path: path in files and files[path].sha256 == snapshot.files[path].sha256)
        if self.read_only:
            self.project.problems.insert(0, Problem("project.toml", self.read_only))
        signed = {path: fact.data for path, fact in snapshot.files.items() if path.startswith("signoffs/")}
        self.project.signoffs, unread = read_signoffs(signed)
        self.project.problems[:0] = [Problem(p.path, p.reason, p.line) for p in snapshot.problems]
        self.project.problems += [Problem(path, text) for path, text in unread]
        self.view = View(self.project, self.today)

    def record(self, change: Change) -> str:
        """Commit a change made from this opening; returns the new head. Raises what ProjectFolder.commit raises, and
        Refusal for a project of a newer form."""
        self._refuse_read_only()
        head = self.folder.commit(change, self.snapshot)
        self.reload()
        return head

    def undo(self, person: str) -> Change:
        """Take back the newest standing change of a person. Raises as ProjectFolder.undo, and as `record`."""
        self._refuse_read_only()
        change = self.folder.undo(person)
        self.reload()
        return change

    def redo(self, person: str) -> Change:
        """Bring back what a person took back last. Raises as ProjectFolder.redo, and as `record`."""
        self._refuse_read_only()
        change = self.folder.redo(person)
        self.reload()
        return change

    def _refuse_read_only(self) -> None:
        if self.read_only:
            raise Refusal(self.read_only)


def _why_read_only(snapshot: Snapshot) -> str:
    fact = snapshot.files.get("project.toml")
    form = (fact.document or {}).get("format", FORMAT) if fact else FORMAT
    if not isinstance(form, int) or form <= FORMAT:
        return ""
    return f"project.format = {form} is newer than {FORMAT}, the form this version writes; update the tool, then change it"


def acting_person(header: Header | None, given: str = "") -> str:
    """Who acts: the name given, the environment's DOSSIER_PERSON, or the project's only person.

    Until a project names people, anybody acts, by default under the login. Raises Refusal for a name that cannot stand
    in the history, and for who is not among the people of a project that names them.
    """
    named = given or os.environ.get("DOSSIER_PERSON", "")
    if not named and header and len(header.people) == 1:
        named = header.people[0].name
    if header and header.people and header.person(named) is None:
        known = ", ".join(person.name for person in header.people)
        who = f'person = "{named}" is not among the people of the project' if named else "person is not given"
        raise Refusal(f"{who}; give --person or DOSSIER_PERSON, one of {known} (`dossier person` adds people)")
    named = named or os.environ.get("USER") or os.environ.get("USERNAME") or "unnamed person"
    unfit = list(unstorable(named, "person"))
    if unfit:
        raise Refusal("; ".join(unfit))
    try:
        return Person(name=named, roles=["AU"]).name
    except ValidationError as error:
        raise Refusal("; ".join(problems_in_words(error, Person))) from error
