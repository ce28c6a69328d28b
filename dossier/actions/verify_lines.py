"""What `verify` looks at: one line each, with everything that differs, by file and digests signed and found."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from dossier.actions.opened import Opened
from dossier.actions.recompute import recompute, recompute_item
from dossier.checks.policy import authored_places, covered_records, may_sign_own, step_policy
from dossier.checks.signing import SignOffState, missing_roles
from dossier.methods.evidence_files import raw_files_of
from dossier.records.calculation import Calculation
from dossier.records.step import STEPS
from dossier.store.authors import authors_of
from dossier.store.digest import sha256_of_bytes
from dossier.store.errors import DamagedHistory, StoreError
from dossier.store.history import History
from dossier.store.project import Project
from dossier.store.rawfiles import raw_digests, verify_raw
from dossier.units import amount

Progress = Callable[[str], None]
SHOWN = 16  # digits of a digest that are told
MOST_CHANGED = 3  # changed records that are told for each superseded sign-off


@dataclass
class Line:
    """One thing that was checked: what, how much of it, what differs, and the word for its holding."""

    what: str
    count: str
    faults: list[str] = field(default_factory=list)
    note: str = ""
    holds: str = "unaltered"

    @property
    def state(self) -> str:
        """The word for its holding, or "differs"."""
        return "differs" if self.faults else self.holds


def history_line(opened: Opened) -> Line:
    """All objects of the history and their chain."""
    history = opened.folder.history()
    try:
        count = sum(1 for _ in history.log())
    except DamagedHistory as error:
        return Line("history", "unreadable", [str(error), *history.check()])
    if not count:
        return Line("history", "none", ["there is no history; a new one must be begun and named"])
    return Line("history, all objects and the chain", amount(count, "change"), history.check())


def files_line(opened: Opened) -> Line:
    """Record files as they are against the newest entry of the history."""
    files, head = opened.snapshot.files, opened.snapshot.head
    if head is None:
        reason = f"nothing to compare with: {opened.snapshot.history.reason}"
        return Line("records as the history has them", amount(len(files), "file"), [reason])
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
    return Line("records as the history has them", amount(len(files), "file"), faults)


def readable_line(project: Project) -> Line:
    """Records that could not be taken, and links that do not land."""
    faults = [str(problem) for problem in project.problems]
    faults += [f"{e.upper} and {e.lower}: one of the two does not exist ({e.label})" for e in project.broken_links()]
    return Line("records readable, links that land", amount(len(project.records), "record"), faults, holds="whole")


def raw_line(root: Path, project: Project) -> Line:
    """Raw evidence files against their names and against what records refer to."""
    now, faults = raw_now(root)
    renamed = {path: digest for path, digest in now.items() if not path.rpartition("/")[2].startswith(digest)}
    faults += [
        f"{path}{_used_by(project, path)} differs: {_against('imported', path.rpartition('/')[2], digest)}"
        for path, digest in renamed.items()
    ]
    others = [problem for problem in verify_raw(root, project.raw_files()) if problem.path not in renamed]
    return Line("raw evidence files", amount(len(now), "file"), [*faults, *map(str, others)])


def _used_by(project: Project, path: str) -> str:
    """" (E-009 P-201, curve.csv; serves R-007)" of a raw file that a measurement rests on, else nothing."""
    digest = path.rpartition("/")[2][:64]
    for item in project.evidence:
        for sample in item.samples:
            if sample.file == digest:
                serves = ", ".join(served.requirement for served in item.serves)
                return f" ({item.id} {sample.specimen}, {sample.file_name}; serves {serves or 'nothing'})"
    return ""


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
    broken = sum(bool(state.faults) for state in states)
    valid = sum(state.counts and not state.faults for state in states)
    counts = {"valid": valid, "broken": broken, "no longer in force": len(states) - valid - broken}
    told = ", ".join(f"{number} {word}" for word, number in counts.items() if number) or "none yet"
    line = Line("signatures", told, faults, "; ".join(superseded), "genuine" if states else "none to check")
    return [line, _persons_line(states, trusted)]


def _superseded(project: Project, state: SignOffState) -> list[str]:
    now = covered_records(project, state.signoff.step)
    told = [
        f"{name} ({_against('signed', state.signoff.records.get(name, 'nothing'), now.get(name, 'nothing'))})"
        for name in state.changed[:MOST_CHANGED]
    ]
    more = len(state.changed) - MOST_CHANGED
    told += [f"{more} more"] if more > 0 else []
    return [f"{state.signoff.id} of {state.signoff.person} is superseded by a change of {', '.join(told)}"]


def _persons_line(states: list[SignOffState], trusted: set[str] | None) -> Line:
    signed = dict.fromkeys((state.signoff.person, state.signoff.key_fingerprint) for state in states)
    if trusted is None:
        note = "signatures consistent, persons not confirmed (give --trusted with fingerprints from outside)"
        return Line("persons", f"{len(signed)} signed", [], note if signed else "nobody has signed yet", "not confirmed")
    strangers = [
        f"{person}: fingerprint {fingerprint[:SHOWN]} is not in the trusted list"
        for person, fingerprint in signed
        if fingerprint not in trusted
    ]
    count = f"{len(signed) - len(strangers)} of {len(signed)} confirmed"
    return Line("persons", count, strangers, "times are the signers' own clocks", "confirmed")


def raw_signed_line(states: list[SignOffState], now: Mapping[str, str]) -> Line:
    """Raw files against the digests that sign-offs in force hold; one fault for a file, whoever signed it."""
    signers: dict[tuple[str, str], dict[str, None]] = {}
    for signoff in (state.signoff for state in states if state.counts):
        for path, digest in signoff.files.items():
            if now.get(path) != digest:
                signers.setdefault((path, digest), {})[signoff.person] = None
    faults = [
        f"{path} differs: {_against('signed by ' + ', '.join(people), digest, now.get(path, 'nothing'))}"
        for (path, digest), people in signers.items()
    ]
    return Line("raw files as they were signed", amount(len(now), "file"), faults)


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
    return Line("every step signed by its roles", f"{total - len(faults)} of {total}", faults, holds="complete")


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
    return Line("author is not reviewer", amount(len(looked_at), "record"), faults, holds="kept")


def margins_line(project: Project) -> Line:
    """Margins of equivalence are agreed before the first measurement; a measured item says when that was."""
    items = [item for item in project.evidence if item.margin and (item.started_on or item.samples)]
    faults = [f"{item.id}: measured, but started_on is empty" for item in items if not item.started_on]
    faults += [
        f"{item.id}: margin agreed on {item.margin.agreed.on}, first measured on {item.started_on}"
        for item in items
        if item.margin and item.started_on and item.margin.agreed.on >= item.started_on
    ]
    return Line("margins agreed before the test", amount(len(items), "item"), faults, holds="kept")


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
    holds = "reproduced" if reproduced == done else "in part"
    return Line("results computed again", f"{reproduced} of {done}", faults, "; ".join(note), holds)


def _against(word: str, before: str, found: str) -> str:
    return f"{word} {before[:SHOWN] if _is_digest(before) else before}, found {found[:SHOWN] if _is_digest(found) else found}"


def _is_digest(text: str) -> bool:
    return len(text) >= 64 and all(digit in "0123456789abcdef" for digit in text[:64])
