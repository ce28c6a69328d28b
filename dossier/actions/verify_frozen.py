"""What `verify` looks at in frozen revisions: manifest, document, the releaser's signature, state."""

from __future__ import annotations

from collections.abc import Mapping
from io import BytesIO
from pathlib import Path

from dossier.actions.opened import Opened
from dossier.actions.verify_lines import SHOWN, Line
from dossier.checks.policy import releasing_role
from dossier.checks.signing import SignOffState, signoff_states
from dossier.store.digest import sha256_of_bytes
from dossier.store.errors import BrokenFile
from dossier.store.keys import public_key_of, verifies
from dossier.store.project import Problem, Project, project_from_documents
from dossier.store.revisions import DOCUMENT, KEY, SUMS, RevisionFiles, letters, read_revision, sums_text
from dossier.store.signed import read_signoffs
from dossier.store.tomlfile import parse_document


def revisions_line(root: Path) -> Line:
    """Every frozen revision against its manifest and the releaser's signature of its document."""
    faults = []
    for letter in letters(root):
        revision = read_revision(root, letter)
        project = frozen_project(root, revision.records)
        found = [*revision.faults, *document_line(project, signoff_states(project), revision).faults]
        faults += [f"revision {letter}: {fault}" for fault in found]
    return Line("frozen revisions", ", ".join(letters(root)) or "none", faults)


def frozen_project(root: Path, records: Mapping[str, bytes]) -> Project:
    """The graph of a frozen revision."""
    documents, problems = {}, []
    for path, data in records.items():
        if path.endswith(".toml"):
            try:
                documents[path] = parse_document(data, path)
            except BrokenFile as error:
                problems.append(Problem(path, error.reason, error.line))
    project = project_from_documents(root, documents)
    project.signoffs, unread = read_signoffs(records)
    project.problems += problems + [Problem(path, text) for path, text in unread]
    return project


def document_line(project: Project, states: list[SignOffState], revision: RevisionFiles) -> Line:
    """The document against the releaser's signature, and what it carries against the files beside it."""
    releaser = next((s.signoff for s in reversed(states) if s.signoff.step == "6" and s.signoff.role == releasing_role()), None)
    person = project.header.person(releaser.person) if releaser else None
    if person is None or not person.public_key:
        return Line("release document", "not checked", ["no releaser with a public key is known"])
    key = public_key_of(person.public_key)
    faults = []
    if revision.key != key.pem.encode():
        faults.append(f"{KEY} is not the key of {person.name} in project.toml")
    if not verifies(key, revision.signature, revision.pdf):
        found = sha256_of_bytes(revision.pdf)[:SHOWN]
        faults.append(f"{DOCUMENT} (found {found}) does not match {person.name}'s signature of it")
    else:
        faults += _carried_faults(revision)
    return Line("release document, signed by " + person.name, "1 file", faults)


def _carried_faults(revision: RevisionFiles) -> list[str]:
    """The signed document carries the manifest it was made from, so that the two cannot be changed together."""
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    try:
        carried = PdfReader(BytesIO(revision.pdf)).attachments.get(SUMS, [])
    except (PyPdfError, ValueError) as error:
        return [f"{DOCUMENT}: what it carries cannot be read: {error}"]
    if list(carried) != [sums_text(revision.sums)]:
        return [f"{SUMS} is not the one that the signed document carries"]
    return []


def revision_line(opened: Opened, letter: str) -> Line:
    """Frozen, superseded by a later letter, or withdrawn by the releaser: told, not a fault."""
    frozen = letters(opened.folder.root)
    withdrawn = [
        state.signoff
        for state in opened.view.signoffs
        if state.signoff.decision == "withdrawn" and state.signoff.withdraws == letter and not state.faults
    ]
    if withdrawn:
        last = withdrawn[-1]
        return Line("state of the revision", "withdrawn", [], f"{last.id} of {last.person}: {last.statement}", "told")
    newest = frozen[-1] if frozen else letter
    return Line("state of the revision", "frozen" if newest == letter else f"superseded by {newest}", holds="told")
