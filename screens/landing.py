"""Where a person lands: on the review asked of them, the auditor on the verification, everybody else on 0."""

from __future__ import annotations

from dataclasses import dataclass

from dossier.checks.policy import step_policy
from dossier.checks.standing import DONE, StepStanding
from dossier.store.revisions import letters
from screens.session import Session


@dataclass(frozen=True)
class Asked:
    """A review asked of a person: the step, and the role they would sign in."""

    step: str
    role: str


def asked_of(session: Session, step: StepStanding) -> str:
    """The role this person is asked to sign a step in, or nothing.

    A step is asked when the role is missing and nothing is left but checks this person's roles answer.
    """
    left = [check for check in step.checks if check.state not in DONE]
    theirs = all(check.check.role in session.roles and check.check.kind != "computed" for check in left)
    if not step.checks or not theirs:
        return ""
    return next((role for role in step.missing_roles if role in session.roles), "")


def asked_reviews(session: Session) -> list[Asked]:
    """All reviews asked of the person, by step."""
    found = [Asked(step.number, asked_of(session, step)) for step in session.standing.steps]
    return [asked for asked in found if asked.role]


def signing_role(session: Session, step: str) -> str:
    """A role of the person that signs this step, or nothing; a missing one first."""
    missing = next(entry.missing_roles for entry in session.standing.steps if entry.number == step)
    roles = [role for role in step_policy(step).signs if role in session.roles]
    return next((role for role in roles if role in missing), roles[0] if roles else "")


def newest_revision(session: Session) -> str:
    """Letter of the newest frozen revision, or nothing."""
    frozen = letters(session.opened.folder.root)
    return frozen[-1] if frozen else ""


def landing(session: Session) -> str:
    """Number of the sheet the person lands on."""
    if "AU" in session.roles and newest_revision(session):
        return "6"
    reviews = [asked for asked in asked_reviews(session) if asked.role != "PE"]
    return "9" if reviews else "0"
