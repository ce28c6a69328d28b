"""The chapters of the release document, each with the state of what stands in it, not of the step it belongs to."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from dossier.checks.policy import step_of_calculation
from dossier.checks.told_evidence import decisions
from dossier.records.assumption import Assumption
from dossier.records.evidence import Caution
from dossier.records.standard import Standard
from dossier.units import amount
from screens.glyphs import OF_FRESHNESS
from screens.session import Session

WORST = ("not met", "undecided", "outdated", "open", "conceded", "met")


@dataclass(frozen=True)
class Chapter:
    """A chapter: number, title, state word, why in a few words, and what Enter shows (a sheet's digit or a check)."""

    number: str
    title: str
    state: str
    why: str
    goal: str

    @property
    def done(self) -> bool:
        """Whether nothing in it stands open."""
        return self.state in ("met", "conceded")


def chapters(session: Session) -> list[Chapter]:
    """All chapters, worked out from the records as they are now."""
    return [Chapter(number, title, *found(session), goal) for number, title, goal, found in _CHAPTERS]


def worst(states: Iterable[str]) -> str:
    """The worst of some states; open where there is none."""
    return min(states, key=WORST.index, default="open")


def _counted(states: Counter[str], what: str) -> str:
    told = ", ".join(f"{states[word]} {word}" for word in WORST if states[word])
    return f"{what}: {told}" if told else f"no {what} yet"


def _conditions(session: Session) -> tuple[str, str]:
    return _of_checks(session, "6.7", "6.12")


def _requirements(session: Session) -> tuple[str, str]:
    states = Counter(verdict.state for verdict in session.opened.view.verdicts.values())
    return worst(states), _counted(states, "requirements")


def _design(session: Session) -> tuple[str, str]:
    state, told = _runs(session, "3")
    waiting = [a.id for a in session.opened.project.records.values() if isinstance(a, Assumption) and not a.accepted_by]
    if not waiting:
        return state, told
    return worst([state, "open"]), f"{told}; nobody accepted {', '.join(waiting)}"


def _runs(session: Session, step: str) -> tuple[str, str]:
    view = session.opened.view
    states = Counter(OF_FRESHNESS[view.freshness[run.id].state] for run in view.project.calculations
                     if step_of_calculation(run) == step)  # fmt: skip
    return worst(states), _counted(states, "results").replace(" met", " current")


def _evidence(session: Session) -> tuple[str, str]:
    view = session.opened.view
    found = [decided for item in view.project.evidence for decided in decisions(view, item) if decided.support is not None]
    states = Counter("conceded" if decided.state == "not met" and decided.requirement.id in view.concessions
                     else decided.state for decided in found)  # fmt: skip
    return worst(states), _counted(states, "decisions")


def _cost(session: Session) -> tuple[str, str]:
    return _runs(session, "5")


def _cautions(session: Session) -> tuple[str, str]:
    found = [caution for caution in session.opened.project.records.values() if isinstance(caution, Caution) and caution.applies]
    unread = [caution.id for caution in found if not caution.reviewed_by]
    state, told = _of_checks(session, "6.3", "6.8")
    count = f"{amount(len(found), 'caution')}, {len(unread)} not reviewed" if unread else amount(len(found), "caution")
    return worst([state, *(["open"] if unread or not found else [])]), f"{count}; {told}"


def _standards(session: Session) -> tuple[str, str]:
    count = sum(isinstance(record, Standard) for record in session.opened.project.records.values())
    state, told = _of_checks(session, "6.5")
    return state, f"{amount(count, 'standard')}; {told}"


def _concessions(session: Session) -> tuple[str, str]:
    given, today = session.opened.view.concessions, session.opened.today.isoformat()
    ended = [target for target, concession in given.items() if concession.until < today]
    if ended:
        return "not met", f"the concession of {', '.join(ended)} has ended"
    return "met", f"{amount(len(given), 'concession')} in force" if given else "none given"


def _signatures(session: Session) -> tuple[str, str]:
    missing = [f"{step.number} {' '.join(step.missing_roles)}" for step in session.standing.steps if step.missing_roles]
    return ("open", f"signatures missing: {', '.join(missing)}") if missing else ("met", "every step is signed")


def _of_checks(session: Session, *ids: str) -> tuple[str, str]:
    """The worst of some checks, and those that are not met, with what the checks are."""
    found = [state for step in session.standing.steps for state in step.checks if state.check.id in ids]
    open_ones = ", ".join(f"check {state.check.id} {state.state}" for state in found if state.state != "met")
    return worst(state.state for state in found), open_ones or f"check {', '.join(ids)} met"


_CHAPTERS: tuple[tuple[str, str, str, Callable[[Session], tuple[str, str]]], ...] = (
    ("1", "statement and conditions of use", "6.7", _conditions),
    ("2", "requirements with decisions", "2", _requirements),
    ("3", "design, assumptions, limits", "3", _design),
    ("4", "evidence, equivalence, failed tests", "4", _evidence),
    ("5", "cost and CO2", "5", _cost),
    ("6", "cautions", "6.8", _cautions),
    ("7", "standards with editions", "6.5", _standards),
    ("8", "concessions, changes", "8", _concessions),
    ("9", "checks, signatures, manifest", "6.4", _signatures),
)
