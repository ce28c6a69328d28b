"""Was anything altered? Digests, signatures, history, four eyes and recomputation, told line by line."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from dossier.actions.opened import Opened
from dossier.actions.recompute import recompute
from dossier.checks.policy import authored_places, may_sign_own
from dossier.checks.signing import SignOffState, signoff_states
from dossier.store.authors import authors_of
from dossier.store.errors import BrokenFile, DamagedHistory
from dossier.store.history import History
from dossier.store.keys import KeyProblem, public_key_of, verifies
from dossier.store.project import Problem, Project, project_from_documents
from dossier.store.rawfiles import raw_digests, verify_raw
from dossier.store.revisions import read_revision
from dossier.store.signed import read_signoffs
from dossier.store.tomlfile import parse_document

Progress = Callable[[str], None]


# What the one-sentence answer tells, with its word.
ANSWERED = {
    "files of the manifest": "manifest",
    "records as the history has them": "records",
    "signatures": "signatures",
    "results computed again": "results",
}


@dataclass
class Line:
    """One thing that was checked: what, how much of it, and what differs."""

    what: str
    count: str
    faults: list[str] = field(default_factory=list)
    note: str = ""

    @property
    def state(self) -> str:
        """"unaltered" or "differs"."""
        return "differs" if self.faults else "unaltered"


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
        faults = [f"{line.what}: {line.faults[0]}" for line in self.lines if line.faults]
        if faults:
            number = sum(len(line.faults) for line in self.lines)
            return f"{number} {'thing differs' if number == 1 else 'things differ'}. First, {faults[0]}"
        counts = {line.what: line.count for line in self.lines}
        told = [f"{word} {counts[what]}" for what, word in ANSWERED.items() if what in counts]
        return f"Nothing was altered: {', '.join(told)}."

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
    found = Verification(f"{opened.project.header.title}, work in progress")
    found.lines.append(_history_line(opened))
    files = opened.snapshot.files
    faults = [f"{edit.path} was {edit.kind} outside the tool" for edit in opened.snapshot.foreign]
    found.lines.append(Line("records as the history has them", f"{len(files)} files", faults))
    found.lines.append(_unreadable_line(opened.project))
    problems = verify_raw(root, opened.project.raw_files())
    found.lines.append(Line("raw evidence files", f"{len(raw_digests(root))} files", [str(p) for p in problems]))
    states = signoff_states(opened.project)
    found.lines += _signature_lines(opened.project, states, trusted)
    found.lines.append(_raw_signed_line(states, raw_digests(root)))
    found.lines.append(_authors_line(opened.project, states, opened.folder.history()))
    found.lines.append(_recomputed_line(opened.project, progress))
    return found


def verify_revision(
    root: Path, letter: str, trusted: set[str] | None = None, progress: Progress | None = None
) -> Verification:
    """Verify a frozen revision: its manifest, its document, its signatures, its results."""
    revision = read_revision(root, letter)
    project = frozen_project(root, revision.records)
    found = Verification(f"{project.header.title}, revision {letter}")
    count = f"{len(revision.records)} records, {revision.raw_checked} raw files"
    found.lines.append(Line("files of the manifest", count, revision.faults))
    found.lines.append(_unreadable_line(project))
    states = signoff_states(project)
    found.lines += _signature_lines(project, states, trusted)
    found.lines.append(_released_line(states))
    found.lines.append(_document_line(project, states, revision.pdf, revision.signature))
    opened = Opened(root, use_cache=False)
    found.lines.append(_history_line(opened))
    found.lines.append(_authors_line(project, states, opened.folder.history()))
    found.lines.append(_recomputed_line(project, progress))
    return found


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


def read_trusted(path: Path) -> set[str]:
    """Fingerprints of a file: one a line, text after it is a comment. Raises KeyProblem."""
    fingerprints = set()
    for number, line in enumerate(path.read_text("utf-8").splitlines(), start=1):
        words = line.split()
        if not words or words[0].startswith("#"):
            continue
        if len(words[0]) != 64 or not set(words[0].lower()) <= set("0123456789abcdef"):
            raise KeyProblem(f"{path.name} line {number}: {words[0][:20]} is no fingerprint of 64 hexadecimal digits")
        fingerprints.add(words[0].lower())
    return fingerprints


def _history_line(opened: Opened) -> Line:
    history = opened.folder.history()
    try:
        count = sum(1 for _ in history.log())
    except DamagedHistory as error:
        return Line("history", "unreadable", [str(error)])
    if not count:
        return Line("history", "none", ["there is no history; a new one must be begun and named"])
    return Line("history, all objects and the chain", f"{count} changes", history.check())


def _unreadable_line(project: Project) -> Line:
    faults = [str(problem) for problem in project.problems]
    faults += [f"{e.upper} and {e.lower}: one of the two does not exist ({e.label})" for e in project.broken_links()]
    return Line("records that can be read, links that land", f"{len(project.records)} records", faults)


def _signature_lines(project: Project, states: list[SignOffState], trusted: set[str] | None) -> list[Line]:
    faults = [f"{state.signoff.id} of {state.signoff.person}: {fault}" for state in states for fault in state.faults]
    superseded = [
        f"{state.signoff.id} of {state.signoff.person} is superseded by a change of {', '.join(state.changed)}"
        for state in states
        if state.changed
    ]
    valid = sum(state.counts for state in states)
    lines = [Line("signatures", f"{valid} of {len(states)} valid", faults, "; ".join(superseded))]
    fingerprints = {state.signoff.person: state.signoff.key_fingerprint for state in states}
    if trusted is None:
        note = "signatures consistent, persons not confirmed (give --trusted with fingerprints from outside)"
        lines.append(Line("persons", f"{len(fingerprints)} signed", [], note))
    else:
        strangers = [
            f"{person}: fingerprint {print_[:16]} is not in the trusted list"
            for person, print_ in fingerprints.items()
            if print_ not in trusted
        ]
        count = f"{len(fingerprints) - len(strangers)} of {len(fingerprints)} confirmed"
        lines.append(Line("persons", count, strangers, "times are the signers' own clocks"))
    return lines


def _raw_signed_line(states: list[SignOffState], now: dict[str, str]) -> Line:
    faults = [
        f"{path} differs: signed {digest[:16]} by {state.signoff.person}, found {now.get(path, 'nothing')[:16]}"
        for state in states
        if state.counts
        for path, digest in state.signoff.files.items()
        if now.get(path) != digest
    ]
    return Line("raw files as they were signed", f"{len(now)} files", faults)


def _released_line(states: list[SignOffState]) -> Line:
    from dossier.checks.policy import step_policy
    from dossier.checks.signing import missing_roles
    from dossier.records.step import STEPS

    faults = [f"step {step}: no valid sign-off of {role}" for step in STEPS for role in missing_roles(states, step)]
    total = sum(len(step_policy(step).signs) for step in STEPS)
    return Line("every step signed by the roles of the policy", f"{total - len(faults)} of {total}", faults)


def _document_line(project: Project, states: list[SignOffState], pdf: bytes, signature: bytes) -> Line:
    releaser = next((s.signoff for s in reversed(states) if s.signoff.step == "6" and s.signoff.role == "RL"), None)
    person = project.header.person(releaser.person) if releaser else None
    if person is None or not person.public_key:
        return Line("release document", "not checked", ["no releaser with a public key is known"])
    if not verifies(public_key_of(person.public_key), signature, pdf):
        return Line("release document", "1 file", [f"dossier.pdf does not match {person.name}'s signature of it"])
    return Line("release document, signed by " + person.name, "1 file")


def _authors_line(project: Project, states: list[SignOffState], history: History) -> Line:
    """Four eyes, worked out from the history again rather than believed."""
    released = [s for s in states if s.counts and not may_sign_own(s.signoff.role)]
    faults, looked_at = [], set()
    for signoff in (state.signoff for state in released):
        places = authored_places(project, signoff.records)
        looked_at |= places.keys()
        try:
            authors = authors_of(history, places, signoff.history_head or None)
        except DamagedHistory as error:
            return Line("author is not reviewer", "unreadable", [str(error)])
        faults += [
            f"{signoff.person} signed step {signoff.step} as {signoff.role} and wrote {name}"
            for name, names in authors.items()
            if signoff.person in names
        ]
    return Line("author is not reviewer", f"{len(looked_at)} records", faults)


def _recomputed_line(project: Project, progress: Progress | None) -> Line:
    faults, note, done = [], [], 0
    for calculation in project.calculations:
        if progress:
            progress(calculation.id)
        again = recompute(calculation)
        if again is None:
            continue
        done += 1
        if again.state == "differs":
            faults += [f"{again.record}: {text}" for text in again.differences]
        elif again.state == "not recomputable":
            note.append(f"{again.record} not recomputable: {again.differences[0]}")
    reproduced = done - len({fault.partition(":")[0] for fault in faults}) - len(note)
    return Line("results computed again", f"{reproduced} of {done} reproduced", faults, "; ".join(note))

