"""Freeze a revision: records, digests, signatures, and the one document, signed by the releaser."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from dossier.actions.document import Progress, document_bytes
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.policy import releasing_role
from dossier.store import keys
from dossier.store.rawfiles import raw_digests
from dossier.store.revisions import next_letter, sums_of, sums_text, write_revision


@dataclass(frozen=True)
class Frozen:
    """What was frozen: letter, folder, pages of the document, number of files under the manifest."""

    letter: str
    folder: Path
    pages: int
    files: int


def freeze_revision(
    opened: Opened, person: str, passphrase: str, *, paper: str = "a4", progress: Progress | None = None
) -> Frozen:
    """Freeze the revision in work. All steps must be closed; `person` is the releaser who signed step 6.

    Raises Refusal naming what is missing, KeyProblem, StoreError when the revision exists.
    """
    refuse_unless_closed(opened, person)
    root = opened.folder.root
    letter = next_letter(root)
    pdf, pages = document_bytes(opened, letter, released=True, paper=paper, progress=progress)
    signature, key = keys.sign(person, passphrase, pdf)
    known = opened.project.header.person(person)
    if known is None or known.public_key != key.hexadecimal:
        raise Refusal(f"the key in {keys.key_path(person)} is not the one registered in project.toml for {person}")
    records = {path: fact.data for path, fact in opened.snapshot.files.items()}
    sums = sums_of(records, raw_digests(root))
    folder = write_revision(root, letter, records, sums_text(sums), pdf, signature, key.pem.encode())
    return Frozen(letter, folder, pages, len(sums))


def refuse_unless_closed(opened: Opened, person: str) -> None:
    """Raise Refusal naming every step that is not closed, foreign edits, or a person who did not release."""
    from dossier.checks.standing import standing

    not_closed = [f"{step.number} {step.state}" for step in standing(opened.view).steps if step.state != "closed"]
    if not_closed:
        raise Refusal(f"revision {next_letter(opened.folder.root)} cannot be frozen: step {', '.join(not_closed)}")
    if opened.snapshot.foreign or opened.project.problems:
        raise Refusal("files changed outside the tool or unreadable; record or restore them before freezing")
    releasers = {s.signoff.person for s in opened.view.signoffs if s.counts and s.signoff.role == releasing_role()}
    if person not in releasers:
        raise Refusal(f"{person} did not sign step 6 as releaser; {', '.join(sorted(releasers)) or 'nobody'} did")
