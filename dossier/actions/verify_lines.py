"""What `verify` looks at: one line each, with everything that differs, by file and digests signed and found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from io import BytesIO
from pathlib import Path

from dossier.actions.evaluate import raw_files_of
from dossier.actions.opened import Opened
from dossier.actions.recompute import recompute, recompute_item
from dossier.checks.policy import authored_places, covered_records, may_sign_own, step_policy
from dossier.checks.signing import SignOffState, missing_roles
from dossier.records.calculation import Calculation
from dossier.records.step import STEPS
from dossier.store.authors import authors_of
from dossier.store.digest import sha256_of_bytes
from dossier.store.errors import DamagedHistory, StoreError
from dossier.store.history import History
from dossier.store.keys import public_key_of, verifies
from dossier.store.project import Project
from dossier.store.rawfiles import raw_digests, verify_raw
from dossier.store.revisions import DOCUMENT, KEY, SUMS, RevisionFiles, letters, sums_text

Progress = Callable[[str], None]
SHOWN = 16  # digits of a digest that are told


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


def history_line(opened: Opened) -> Line:
    """All objects of the history and their chain."""
    history = opened.folder.history()
    try:
        count = sum(1 for _ in history.log())
    except DamagedHistory as error:
        return Line("history", "unreadable", [str(error), *history.check()])
    if not count:
        return Line("history", "none", ["there is no history; a new one must be begun and named"])
    return Line("history, all objects and the chain", f"{count} changes", history.check())


def files_line(opened: Opened) -> Line:
    """Record files as they are against the newest entry of the history."""
    files, head = opened.snapshot.files, opened.snapshot.head
    if head is None:
        reason = f"nothing to compare with: {opened.snapshot.history.reason}"
        return Line("records as the history has them", f"{len(files)} files", [reason])
    history = opened.folder.history()
    faults = []
    for edit in opened.snapshot.foreign:
        fact = files.get(edit.path)
        try:
            recorded = history.read_at(head, edit.path)
        except DamagedHistory as error:
            faults.append(f"{edit.path} was {edit.kind} outside the tool; {error}")
            continue
        signed = sha256_of_bytes(recorded) if recorded is not None else "nothing"
        found = fact.sha256 if fact else "nothing that can be read"
        faults.append(f"{edit.path} was {edit.kind} outside the tool: {_against('recorded', signed, found)}")
    return Line("records as the history has them", f"{len(files)} files", faults)


def readable_line(project: Project) -> Line:
    """Records that could not be taken, and links that do not land."""
    faults = [str(problem) for problem in project.problems]
    faults += [f"{e.upper} and {e.lower}: one of the two does not exist ({e.label})" for e in project.broken_links()]
    return Line("records that can be read, links that land", f"{len(project.records)} records", faults)


def raw_line(root: Path, project: Project) -> Line:
    """Raw evidence files against their names and against what records refer to."""
    now, faults = raw_now(root)
    renamed = {path: digest for path, digest in now.items() if not path.rpartition("/")[2].startswith(digest)}
    faults += [
        f"{path} differs: {_against('imported', path.rpartition('/')[2], digest)}" for path, digest in renamed.items()
    ]
    others = [problem for problem in verify_raw(root, project.raw_files()) if problem.path not in renamed]
    return Line("raw evidence files", f"{len(now)} files", [*faults, *map(str, others)])


def raw_now(root: Path) -> tuple[dict[str, str], list[str]]:
    """{path: digest now} of the raw files, or why they cannot be read."""
    try:
        return raw_digests(root), []
    except (StoreError, OSError) as error:
        return {}, [f"raw files cannot be read: {error}"]


def signature_lines(project: Project, states: list[SignOffState], trusted: set[str] | None) -> list[Line]:
    """Each sign-off with its faults; who signed, against the fingerprints trusted from outside."""
    faults = [f"{state.signoff.id} of {state.signoff.person}: {fault}" for state in states for fault in state.faults]
    superseded = [told for state in states if state.changed for told in _superseded(project, state)]
    valid = sum(state.counts for state in states)
    line = Line("signatures", f"{valid} of {len(states)} valid", faults, "; ".join(superseded))
    return [line, _persons_line(states, trusted)]


def _superseded(project: Project, state: SignOffState) -> list[str]:
    now = covered_records(project, state.signoff.step)
    told = [
        f"{name} ({_against('signed', state.signoff.records.get(name, 'nothing'), now.get(name, 'nothing'))})"
        for name in state.changed
    ]
    return [f"{state.signoff.id} of {state.signoff.person} is superseded by a change of {', '.join(told)}"]


def _persons_line(states: list[SignOffState], trusted: set[str] | None) -> Line:
    signed = dict.fromkeys((state.signoff.person, state.signoff.key_fingerprint) for state in states)
    if trusted is None:
        note = "signatures consistent, persons not confirmed (give --trusted with fingerprints from outside)"
        return Line("persons", f"{len(signed)} signed", [], note if signed else "nobody has signed yet")
    strangers = [
        f"{person}: fingerprint {fingerprint[:SHOWN]} is not in the trusted list"
        for person, fingerprint in signed
        if fingerprint not in trusted
    ]
    count = f"{len(signed) - len(strangers)} of {len(signed)} confirmed"
    return Line("persons", count, strangers, "times are the signers' own clocks")


def raw_signed_line(states: list[SignOffState], now: Mapping[str, str]) -> Line:
    """Raw files against the digests that sign-offs in force hold."""
    faults = [
        f"{path} differs: {_against(f'signed by {state.signoff.person}', digest, now.get(path, 'nothing'))}"
        for state in states
        if state.counts
        for path, digest in state.signoff.files.items()
        if now.get(path) != digest
    ]
    return Line("raw files as they were signed", f"{len(now)} files", faults)


def entries_line(states: list[SignOffState], history: History) -> Line:
    """The entries of the history that sign-offs name: a history written anew does not hold them."""
    faults = []
    for signoff in (state.signoff for state in states):
        try:
            held = history.contains(signoff.history_head)
        except DamagedHistory as error:
            return Line("entries that sign-offs name", "unreadable", [str(error)])
        if not held:
            named = signoff.history_head[:12] or "no entry"
            faults.append(f"{signoff.id} of {signoff.person} was made at {named}, which this history does not hold")
    return Line("entries that sign-offs name", f"{len(states) - len(faults)} of {len(states)}", faults)


def released_line(states: list[SignOffState]) -> Line:
    """Every step signed by every role of the policy."""
    faults = [f"step {step}: no valid sign-off of {role}" for step in STEPS for role in missing_roles(states, step)]
    total = sum(len(step_policy(step).signs) for step in STEPS)
    return Line("every step signed by the roles of the policy", f"{total - len(faults)} of {total}", faults)


def document_line(project: Project, states: list[SignOffState], revision: RevisionFiles) -> Line:
    """The document against the releaser's signature, and what it carries against the files beside it."""
    releaser = next((s.signoff for s in reversed(states) if s.signoff.step == "6" and s.signoff.role == "RL"), None)
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
        return Line("state of the revision", "withdrawn", [], f"{last.id} of {last.person}: {last.statement}")
    newest = frozen[-1] if frozen else letter
    return Line("state of the revision", "frozen" if newest == letter else f"superseded by {newest}")


def authors_line(project: Project, states: list[SignOffState], history: History) -> Line:
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


def margins_line(project: Project) -> Line:
    """Margins of equivalence are agreed before the first measurement; a measured item says when that was."""
    items = [item for item in project.evidence if item.margin and (item.started_on or item.samples)]
    faults = [f"{item.id}: measured, but started_on is empty" for item in items if not item.started_on]
    faults += [
        f"{item.id}: margin agreed on {item.margin.agreed.on}, first measured on {item.started_on}"
        for item in items
        if item.margin and item.started_on and item.margin.agreed.on >= item.started_on
    ]
    return Line("equivalence margins agreed before the test", f"{len(items)} items", faults)


def recomputed_line(project: Project, progress: Progress | None) -> Line:
    """Each stored result computed again from its stored input, evaluations from their raw files too."""
    faults: list[str] = []
    note: list[str] = []
    done = reproduced = 0
    files = raw_files_of(project.folder)
    for record in (*project.calculations, *project.evidence):
        if progress:
            progress(record.id)
        again = recompute(record) if isinstance(record, Calculation) else recompute_item(record, files)
        if again is None:
            continue
        done += 1
        reproduced += again.state == "reproduced"
        if again.state == "differs":
            faults += [f"{again.record}: {text}" for text in again.differences]
        elif again.state == "not recomputable":
            note.append(f"{again.record} not recomputable: {again.differences[0]}")
    return Line("results computed again", f"{reproduced} of {done} reproduced", faults, "; ".join(note))


def _against(word: str, before: str, found: str) -> str:
    return f"{word} {before[:SHOWN] if _is_digest(before) else before}, found {found[:SHOWN] if _is_digest(found) else found}"


def _is_digest(text: str) -> bool:
    return len(text) >= 64 and all(digit in "0123456789abcdef" for digit in text[:64])
