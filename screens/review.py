"""The review of a step as data: its items, what each rests on, and what the reviewer answered."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from dossier.actions.answer import answer_check
from dossier.actions.refusal import Refusal
from dossier.checks.base import CheckState
from dossier.checks.policy import authored_places, covered_records, may_sign_own, step_policy
from dossier.checks.standing import DONE, StepStanding
from dossier.records.signoff import SignOff
from dossier.records.step import STEPS
from dossier.store.authors import authors_of
from dossier.store.clock import utc_stamp
from dossier.store.digest import sha256_of_document
from dossier.store.errors import StoreError
from dossier.units import amount
from screens.changes import ToldField, told_fields
from screens.landing import asked_of, signing_role
from screens.session import Session
from screens.user_state import Tick

SENT_BACK, BETWEEN = "Step {step} {name} is sent back. ", " | "
_ID = re.compile(r"[A-Za-z][A-Za-z0-9]*(?:-[A-Za-z0-9]+)?")


@dataclass
class Item:
    """One check to review: the check as it stands, the records it speaks of, the reviewer's answer and remark.

    `answered` is met, not met, outdated (what it was given to has changed) or empty. `own` are records among those
    it speaks of that the reviewer wrote, `noted` a remark to be signed with the statement, `returned` what others sent
    the step back with.
    """

    state: CheckState
    records: tuple[str, ...]
    basis: str
    answered: str = ""
    remark: str = ""
    own: tuple[str, ...] = ()
    noted: str = ""
    returned: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """Number of the check."""
        return self.state.check.id


@dataclass
class Review:
    """The review of one step by one person in one role (empty role: only to read)."""

    step: str
    role: str
    asked: bool
    items: list[Item] = field(default_factory=list)
    covered: dict[str, str] = field(default_factory=dict)
    own: list[str] = field(default_factory=list)
    authors: list[str] = field(default_factory=list)
    last: SignOff | None = None
    changed: list[str] = field(default_factory=list)
    signed_as: list[str] = field(default_factory=list)

    @property
    def left(self) -> list[Item]:
        """Items without an answer that holds."""
        return [item for item in self.items if item.answered not in ("met", "not met")]

    @property
    def withheld(self) -> list[Item]:
        """Items answered with no."""
        return [item for item in self.items if item.answered == "not met"]

    @property
    def own_forbidden(self) -> bool:
        """Whether four eyes forbid this person to release: an author of covered records in a role that may not be."""
        return bool(self.own) and bool(self.role) and not may_sign_own(self.role)

    @property
    def answer(self) -> str:
        """The sentence of row 2."""
        counts = Counter(item.answered or "left" for item in self.items)
        left = counts["left"] + counts["outdated"]
        told = f"{amount(len(self.items), 'item')}: {counts['met']} accepted, {counts['not met']} withheld, {left} left."
        if counts["outdated"]:
            told += f" {counts['outdated']} came back changed."
        if not self.role:
            return f"To read only: {', '.join(step_policy(self.step).signs)} sign it. {told}"
        if self.signed_as:
            return f"You signed it as {' and '.join(self.signed_as)}, and that holds. {told}"
        return told if self.asked else f"Not asked of you yet. {told}"


def review_of(session: Session, step: str) -> Review:
    """The review of a step by the person of the session."""
    found = next(entry for entry in session.standing.steps if entry.number == step)
    role = signing_role(session, step)
    review = Review(step, role, bool(asked_of(session, found)))
    project = session.opened.project
    review.covered = covered_records(project, step)
    head = session.opened.snapshot.head or ""
    if (head, step) not in session.authors:
        session.authors[head, step] = _authors(session, review.covered)
    review.own, review.authors = session.authors[head, step]
    if role not in found.missing_roles:
        review.signed_as = [each for each in step_policy(step).signs if _signer(session, step, each) == session.person]
    review.last = _last_of(session, step)
    if review.last is not None:
        names = review.last.records.keys() | review.covered.keys()
        review.changed = sorted(n for n in names if review.last.records.get(n) != review.covered.get(n))
    review.items = _items(session, found, review)
    return review


def _signer(session: Session, step: str, role: str) -> str:
    signed = [s.signoff for s in session.opened.view.signoffs if s.counts]
    return next((s.person for s in reversed(signed) if s.step == step and s.role == role), "")


def _last_of(session: Session, step: str) -> SignOff | None:
    own = [s.signoff for s in session.opened.view.signoffs if s.signoff.person == session.person and s.signoff.step == step]
    return own[-1] if own else None


def _authors(session: Session, covered: dict[str, str]) -> tuple[list[str], list[str]]:
    places = authored_places(session.opened.project, covered)
    try:
        authors = authors_of(session.opened.folder.history(), places)
    except (StoreError, OSError):
        return [], []
    own = sorted(name for name, persons in authors.items() if session.person in persons)
    return own, sorted({person for persons in authors.values() for person in persons})


def _items(session: Session, found: StepStanding, review: Review) -> list[Item]:
    ticks = session.state.ticks(review.step)
    returned = _returned(session, review.step)
    items = []
    for state in found.checks:
        records = records_of(session, state)
        item = Item(state, records, _basis(session, state, records, review))
        item.returned = tuple(told for number, told in returned if number == item.id)
        item.own = tuple(name for name in records if name in review.own)
        tick = ticks.get(item.id)
        if tick is not None:
            item.remark = tick.remark
            item.noted = tick.remark if review.last is None or tick.on > review.last.signed_at else ""
            if tick.answer:
                item.answered = tick.answer if tick.basis == item.basis else "outdated"
        if theirs(session, state) and state.answer and state.answer.by == session.person:
            item.answered = "outdated" if state.state == "outdated" else state.answer.answer
            item.remark = state.answer.remark or item.remark
        items.append(item)
    return items


def _returned(session: Session, step: str) -> list[tuple[str, str]]:
    """(check, remark with name and day) of the newest sign-off of each person, where that sent the step back."""
    newest = {s.signoff.person: s.signoff for s in session.opened.view.signoffs if s.signoff.step == step}
    found = []
    for signoff in newest.values():
        if signoff.decision == "sent back":
            for part in signoff.statement.removeprefix(SENT_BACK.format(step=step, name=STEPS[step])).split(BETWEEN):
                number, colon, remark = part.partition(": ")
                if colon:
                    found.append((number, f"{remark} ({signoff.person}, {signoff.signed_at[:10]})"))
    return found


def theirs(session: Session, state: CheckState) -> bool:
    """Whether the check itself asks for this person's answer, so that the answer is a record."""
    return state.check.kind != "computed" and state.check.role in session.roles


def records_of(session: Session, state: CheckState) -> tuple[str, ...]:
    """Records a check names in its findings, facts and what a person confirms, in the order of naming."""
    part = state.computed
    texts: list[str] = []
    if part is not None:
        texts += [finding.record for finding in part.findings] + [*part.facts, *_strings(part.basis)]
    if state.answer is not None:
        texts.append(state.answer.remark)
    known = session.opened.project.records
    named = (name for text in texts for name in ([text] if text in known else _ID.findall(text)) if name in known)
    return tuple(dict.fromkeys(name for name in named if not name.islower() or name in texts))


def _strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for name, below in value.items():
            yield str(name)
            yield from _strings(below)
    elif isinstance(value, list | tuple):
        for below in value:
            yield from _strings(below)


def _basis(session: Session, state: CheckState, records: tuple[str, ...], review: Review) -> str:
    """Digest of what a reviewer reads of an item; without named records, of all the step covers but its answers."""
    raw = session.opened.project.raw
    named = {name: sha256_of_document(raw[name]) for name in records}
    covered = {n: d for n, d in review.covered.items() if session.opened.project.kinds.get(n) != "step"}
    part = state.computed
    read = {
        "check": state.check.text,
        "state": state.state,
        "claim": [state.answer.answer, state.answer.by, state.answer.remark] if state.answer else [],
        "findings": [str(finding) for finding in part.findings] if part else [],
        "facts": list(part.facts) if part else [],
        "records": named or covered,
    }
    return sha256_of_document(read)


def refusal_of(session: Session, review: Review, item: Item, answer: str) -> str:
    """Why the person cannot answer an item so, or nothing."""
    if session.read_only:
        return f"Read-only: {session.lock.reason or 'opened to look'}."
    if not review.role and theirs(session, item.state):
        return ""
    if not review.role:
        signs = ", ".join(step_policy(review.step).signs)
        return f"Step {review.step} is reviewed by {signs}; {session.person} is {', '.join(session.roles) or 'none of these'}."
    if review.own_forbidden and answer == "met":
        names = ", ".join(review.own[:4]) + (f" and {len(review.own) - 4} more" if len(review.own) > 4 else "")
        return f"{session.person} wrote {names}: the policy's line own_work.{review.role} = false forbids it (four eyes)."
    if theirs(session, item.state):
        return ""
    state = item.state.state
    if answer == "met" and state == "open":
        return f"{item.id} is open: {item.state.check.role} has not answered it yet, so there is nothing to accept."
    if answer == "met" and state not in DONE:
        return f"{item.id} is {state} by the records; w withholds it with a remark, or it is mended or conceded first."
    return ""


def give_answer(session: Session, review: Review, item: Item, answer: str, remark: str) -> str:
    """Keep an answer at once: in the records where the check asks this person, else with the person's own ticks.

    Returns why it could not be kept, or nothing.
    """
    if theirs(session, item.state):
        try:
            change = answer_check(session.opened.view, item.id, answer, session.person, remark)
        except Refusal as error:
            return str(error)
        return "" if session.record(change) else session.messages.newest
    return keep_tick(session, review, item, answer, remark)


def keep_tick(session: Session, review: Review, item: Item, answer: str, remark: str) -> str:
    """Keep an answer or remark in the person's own file, outside the records."""
    now = utc_stamp()
    return session.state.tick(review.step, item.id, Tick(answer, remark, now, item.basis))


def statement_of(review: Review) -> str:
    """What would be signed: the release with remarks that do not block it, or what was withheld and why."""
    withheld = [f"{item.id}: {item.remark}" for item in review.withheld]
    told = withheld or [f"{item.id}: {item.noted}" for item in review.items if item.noted]
    name = STEPS[review.step]
    if review.withheld:
        return SENT_BACK.format(step=review.step, name=name) + BETWEEN.join(told)
    release = f"I have read the records of step {review.step} {name} and release it."
    return release + (f" Remarks: {BETWEEN.join(told)}" if told else "")


def changed_fields(session: Session, review: Review, names: list[str]) -> list[ToldField]:
    """Fields of these records that differ from what the person signed last."""
    if review.last is None or not review.last.history_head:
        return []
    history, opened = session.opened.folder.history(), session.opened
    told: list[ToldField] = []
    paths = dict.fromkeys(opened.project.places[name].path for name in names if name in opened.project.places)
    for path in paths:
        try:
            before = history.read_at(review.last.history_head, path)
        except (StoreError, OSError):
            continue
        told += [entry for entry in told_fields(path, before, opened.snapshot.data(path)) if entry.record in names]
    return told
