"""Was anything altered? Digests, signatures, history, four eyes and recomputation, told line by line."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dossier.actions import verify_frozen as frozen
from dossier.actions import verify_lines as look
from dossier.actions.opened import Opened
from dossier.actions.verify_lines import Line, Progress
from dossier.checks.signing import signoff_states
from dossier.store.keys import KeyProblem
from dossier.store.revisions import read_revision
from dossier.units import amount


@dataclass
class Verification:
    """The whole answer."""

    subject: str
    lines: list[Line] = field(default_factory=list)

    @property
    def unaltered(self) -> bool:
        """Whether nothing differs."""
        return not any(line.faults for line in self.lines)

    @property
    def answer(self) -> str:
        """One sentence for the head of a sheet."""
        faults = sum(len(line.faults) for line in self.lines)
        told = "; ".join(f"{line.what}: {line.count}" for line in self.lines[:4])
        if not faults:
            return f"Nothing was altered. {told}."
        return f"{faults} {'thing differs' if faults == 1 else 'things differ'}."

    def as_plain(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "subject": self.subject,
            "unaltered": self.unaltered,
            "answer": self.answer,
            "lines": [
                {"what": line.what, "count": line.count, "state": line.state, "faults": line.faults, "note": line.note}
                for line in self.lines
            ],
        }


def verify_work(root: Path, trusted: set[str] | None = None, progress: Progress | None = None) -> Verification:
    """Verify the project as it is in work. Reads every file anew, without cache."""
    opened = Opened(root, use_cache=False)
    project, history = opened.project, opened.folder.history()
    states = signoff_states(project)
    found = Verification(f"{project.header.title}, work in progress")
    found.lines += [
        look.history_line(opened),
        look.files_line(opened),
        look.readable_line(project),
        look.raw_line(root, project),
        *look.signature_lines(project, states, trusted),
        look.raw_signed_line(states, look.raw_now(root)[0]),
        look.entries_line(states, history),
        look.authors_line(project, states, history),
        look.margins_line(project),
        look.recomputed_line(project, progress),
        frozen.revisions_line(root),
    ]
    return found


def verify_revision(
    root: Path, letter: str, trusted: set[str] | None = None, progress: Progress | None = None
) -> Verification:
    """Verify a frozen revision: its manifest, its document, its signatures, its results. Raises StoreError."""
    revision = read_revision(root, letter)
    project = frozen.frozen_project(root, revision.records)
    states = signoff_states(project)
    opened = Opened(root, use_cache=False)
    history = opened.folder.history()
    found = Verification(f"{project.header.title}, revision {letter}")
    count = f"{amount(len(revision.records), 'record')}, {revision.raw_checked} raw files"
    found.lines += [
        Line("files of the manifest", count, revision.faults),
        look.readable_line(project),
        *look.signature_lines(project, states, trusted),
        look.released_line(states),
        frozen.document_line(project, states, revision),
        look.raw_signed_line(states, look.raw_now(root)[0]),
        frozen.revision_line(opened, letter),
        look.history_line(opened),
        look.entries_line(states, history),
        look.authors_line(project, states, history),
        look.margins_line(project),
        look.recomputed_line(project, progress),
    ]
    return found


def read_trusted(path: Path) -> set[str]:
    """Fingerprints of a file: one a line, text after it is a comment. Raises KeyProblem, OSError."""
    try:
        text = path.read_text("utf-8")
    except UnicodeDecodeError as error:
        raise KeyProblem(f"{path.name} is not UTF-8 text; write one fingerprint a line") from error
    fingerprints = set()
    for number, line in enumerate(text.splitlines(), start=1):
        words = line.split()
        if not words or words[0].startswith("#"):
            continue
        if len(words[0]) != 64 or not set(words[0].lower()) <= set("0123456789abcdef"):
            raise KeyProblem(f"{path.name} line {number}: {words[0][:20]} is no fingerprint of 64 hexadecimal digits")
        fingerprints.add(words[0].lower())
    return fingerprints
