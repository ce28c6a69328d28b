"""What stops the steps from closing, one line a cause: what it is, which checks it stops, and the key that leads out."""

from __future__ import annotations

from dataclasses import dataclass

from dossier.checks.base import check_texts
from dossier.checks.standing import Cause
from screens.keys import SHEETS
from screens.session import Session

RUNS = ("calculation", "evidence")


@dataclass
class Stop:
    """One cause: its state, in short and in full, what it stops, whose it is, where Enter leads, and the way out.

    `step` is the first step it stops, `checks` all checks. `record` is the record to look at, if it names one;
    `goal` what Enter shows (a record, a check, a sign-off, or the digit of a sheet); `key` and `deed` are the way
    out as key and in words.
    """

    step: str
    state: str
    short: str
    text: str
    checks: list[str]
    whose: list[str]
    record: str
    goal: str
    key: str
    deed: str


def stops(session: Session) -> list[Stop]:
    """Every cause of every step that is not closed, once, under the first step it stops.

    That a step waits for another to close is no cause of its own: the causes of the other stand above it.
    """
    found: dict[str, Stop] = {}
    for step in session.standing.steps:
        for cause in step.causes if step.state != "closed" else ():
            if cause.record.startswith("step "):
                continue
            name = _name(session, cause)
            if name not in found:
                found[name] = _stop(session, step.number, cause)
            signature = bool(_signoff(session, cause))
            if cause.where in check_texts():
                _add(found[name].checks, cause.where)
            if cause.to_sign or not signature:
                _add(found[name].whose, cause.whose)
    return list(found.values())


def _add(names: list[str], name: str) -> None:
    if name and name not in names:
        names.append(name)


def _signoff(session: Session, cause: Cause) -> str:
    """Id of the sign-off a cause is about, or nothing."""
    known = {state.signoff.id for state in session.opened.view.signoffs}
    return next((name for name in (cause.where, cause.record) if name in known), "")


def _name(session: Session, cause: Cause) -> str:
    """What two causes have in common that are one: the sign-off, else record, field and value as told."""
    return _signoff(session, cause) or cause.text.partition(";")[0]


def _to_answer(cause: Cause) -> bool:
    """Whether a person's answer is all that is missing."""
    check = check_texts().get(cause.where)
    return check is not None and check.kind != "computed" and (not cause.record or cause.record.startswith("step-"))


def _stop(session: Session, step: str, cause: Cause) -> Stop:
    project = session.opened.project
    record = cause.record if cause.record in project.records else ""
    goal, key, deed, short = record or step, "Enter", "", cause.text
    if signoff := _signoff(session, cause):
        goal, deed = signoff, "Enter shows the review of the step on 9, to be signed again"
    elif cause.state == "outdated" and project.kinds.get(record) in RUNS:
        key, deed = "c", "c calculates it again"
        short = f"{record} {getattr(project.get(record), 'title', '')}: result outdated"
    elif _to_answer(cause):
        goal, deed = cause.where, f"Enter shows the question on 9; a answers it as {cause.whose}"
    if not deed:
        sheet = session.sheet_of(record) if record else step
        deed = f"Enter goes to {record or 'the sheet'} on {sheet} {SHEETS[int(sheet)]}"
    return Stop(step, cause.state, short, cause.text, [], [], record, goal, key, deed)
