"""Open points that keep no step from closing by themselves: assumptions nobody accepted, remarks nobody answered."""

from __future__ import annotations

from dossier.records.assumption import Assumption
from dossier.records.step import Remark, StepRecord
from dossier.store.project import Project


def not_accepted(project: Project) -> list[Assumption]:
    """Assumptions without a person who accepted them."""
    return [assumption for assumption in project.assumptions if not assumption.accepted_by]


def unanswered(project: Project) -> list[tuple[str, Remark]]:
    """Remarks without an answer, each with the number of its step."""
    return [(step.step, note) for step in project.of_kind(StepRecord) for note in step.note if not note.answered]


def not_accepted_words(project: Project) -> str:
    """ "2 assumptions are not accepted: A-009, A-012", or nothing."""
    found = [assumption.id for assumption in not_accepted(project)]
    several = "s are" if len(found) > 1 else " is"
    return f"{len(found)} assumption{several} not accepted: {', '.join(found)}" if found else ""


def unanswered_words(project: Project) -> str:
    """ "1 remark is not answered: on C-011", or nothing."""
    found = list(dict.fromkeys(note.on_record for _, note in unanswered(project)))
    count = len(unanswered(project))
    return f"{count} remark{'s are' if count > 1 else ' is'} not answered: on {', '.join(found)}" if count else ""
