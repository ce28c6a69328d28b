"""Where a project stands: the state of each step and what stops the next one from closing. Never stored."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from dossier.checks.base import CheckState, check_states
from dossier.checks.policy import step_policy
from dossier.checks.signing import SUPERSEDED, SignOffState, missing_roles
from dossier.checks.view import View
from dossier.records.collections import collection_of_path
from dossier.records.step import STEPS

COUNTED = ("met", "not met", "open", "outdated", "conceded")
DONE = ("met", "conceded")


@dataclass(frozen=True)
class Cause:
    """One thing that stops a step from closing: `to_answer` asks a person's answer, `to_sign` a signature."""

    state: str
    where: str
    text: str
    whose: str = ""
    record: str = ""
    to_sign: bool = False
    to_answer: bool = False


@dataclass
class StepStanding:
    """State of a step with its checks and the causes that keep it open."""

    number: str
    name: str
    state: str
    checks: list[CheckState]
    missing_roles: list[str] = field(default_factory=list)
    causes: list[Cause] = field(default_factory=list)

    @property
    def counts(self) -> Counter[str]:
        """Checks by state."""
        return Counter(check.state for check in self.checks)


@dataclass
class Standing:
    """The whole project at a glance."""

    title: str
    answer: str
    steps: list[StepStanding]
    requirements: Counter[str]

    @property
    def next_step(self) -> StepStanding | None:
        """The first step that is not closed."""
        return next((step for step in self.steps if step.state != "closed"), None)

    @property
    def causes(self) -> list[Cause]:
        """What stops the next step."""
        return self.next_step.causes if self.next_step else []

    @property
    def requirements_line(self) -> str:
        """The requirements counted by state, in words."""
        return requirements_answer(self.requirements)

    def step_rows(self) -> list[list[str]]:
        """One row a step: number and name, state, counts."""
        return [
            [f"{step.number} {step.name}", step.state, *(str(step.counts[state] or "-") for state in COUNTED)]
            for step in self.steps
        ]

    def as_plain(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "title": self.title,
            "answer": self.answer,
            "steps": [
                {
                    "step": step.number,
                    "name": step.name,
                    "state": step.state,
                    "missing_roles": step.missing_roles,
                    "checks": {check.check.id: check.state for check in step.checks},
                    "causes": [vars(cause) for cause in step.causes],
                }
                for step in self.steps
            ],
            "requirements": dict(self.requirements),
        }


def requirements_answer(counts: Counter[str]) -> str:
    """"47 requirements: 33 met, 2 not met, 10 open, 1 outdated, 1 conceded."""
    total = sum(counts.values())
    if not total:
        return "No requirement is recorded yet."
    order = ("met", "not met", "undecided", "open", "outdated", "conceded")
    told = ", ".join(f"{counts[state]} {state}" for state in order if counts[state])
    return f"{total} requirement{'s' if total > 1 else ''}: {told}."


def standing(view: View) -> Standing:
    """Work out the states of all steps from the records."""
    states = check_states(view)
    steps = [step_standing(view, number, states) for number in STEPS]
    counts = Counter(verdict.state for verdict in view.verdicts.values())
    header = view.project.header
    found = Standing(header.title, "", steps, counts)
    found.answer = _answer(found)
    return found


def step_standing(view: View, number: str, states: dict[str, CheckState]) -> StepStanding:
    """One step from the states of its checks and its sign-offs."""
    checks = [state for state in states.values() if state.check.step == number]
    signoffs = [state for state in view.signoffs if state.signoff.step == number]
    missing = missing_roles(signoffs, number)
    unread = [problem for problem in view.project.problems if step_of_path(problem.path) == number]
    step = StepStanding(number, STEPS[number], _state(checks, signoffs, missing, bool(unread)), checks, missing)
    step.causes = [Cause("not met", problem.path, f"unreadable: {problem}", "PE", problem.record) for problem in unread]
    step.causes += [cause for check in checks if check.state not in DONE for cause in _causes_of(check)]
    step.causes.sort(key=lambda cause: ("not met", "outdated", "open").index(cause.state))
    step.causes += [cause for state in signoffs for cause in _causes_of_signoff(state, missing)]
    return step


def _state(checks: list[CheckState], signoffs: list[SignOffState], missing: list[str], unread: bool) -> str:
    """closed: all met or conceded, all readable, and signed by all; reopened: was released before and is not closed
    now; waiting: nothing answered yet; ready: all met or conceded, signatures missing; else in work."""
    done = all(check.state in DONE for check in checks) and not unread
    if done and not missing:
        return "closed"
    released = [state for state in signoffs if state.signoff.decision == "released"]
    if any(state.state == SUPERSEDED for state in released) or (released and not done):
        return "reopened"
    if all(check.state == "open" for check in checks) and not unread:
        return "waiting"
    return "ready" if done else "in work"


def step_of_path(path: str) -> str:
    """The step that cannot close while the file at this path cannot be read; step 6 for what belongs to no other."""
    collection = collection_of_path(path)
    if collection is None:
        return "6"
    if collection.kind == "step":
        name = path.rpartition("/")[2]
        return name[0] if name[0] in STEPS else "6"
    if collection.kind == "calculation":
        return "3"
    return next((step for step in STEPS if collection.kind in step_policy(step).covers), "6")


def _causes_of_signoff(state: SignOffState, missing: list[str]) -> list[Cause]:
    signoff = state.signoff
    if signoff.decision != "released" or signoff.role not in missing:
        return []
    if state.state == SUPERSEDED:
        changed = ", ".join(state.changed[:6]) + (" …" if len(state.changed) > 6 else "")
        text = f"signature of {signoff.person} is superseded by a change of {changed}; sign again"
        return [Cause("outdated", signoff.id, text, signoff.person, to_sign=True)]
    return [Cause("not met", signoff.id, fault, signoff.person, to_sign=True) for fault in state.faults]


def _causes_of(check: CheckState) -> list[Cause]:
    if not check.findings:
        asked = check.check.kind != "computed"
        return [Cause(check.state, check.check.id, check.check.text, check.check.role, to_answer=asked)]
    return [
        Cause(check.state, check.check.id, str(finding), check.check.role, finding.record) for finding in check.findings
    ]


def _answer(found: Standing) -> str:
    step = found.next_step
    if step is None:
        return "All six steps are closed."
    if step.state == "ready":
        return f"Step {step.number} {step.name} can close: {', '.join(step.missing_roles)} must sign."
    counts = step.counts
    told = ", ".join(f"{counts[state]} {state}" for state in ("not met", "outdated", "open") if counts[state])
    if not told:
        return f"Step {step.number} {step.name} is {step.state}: every check is met, {_to_sign(step)}."
    return f"Step {step.number} {step.name} is {step.state}: {told} of {len(step.checks)} checks."


def _to_sign(step: StepStanding) -> str:
    """Who must sign, or that a file of the step cannot be read."""
    return f"{', '.join(step.missing_roles)} must sign" if step.missing_roles else "a file of it cannot be read"
