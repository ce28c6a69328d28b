"""Check 6.15 and its words: assumptions nobody accepted, remarks nobody answered."""

from __future__ import annotations

from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.records.assumption import Assumption
from dossier.records.step import Remark, StepRecord
from dossier.store.project import Project
from dossier.units import amount


@computed("6.15")
def nothing_left_open(view: View) -> Computed:
    """Every assumption is accepted by a named person, every remark is answered; else a concession sets the condition."""
    project = view.project
    findings = [
        Finding(assumption.id, "accepted_by", "", f'is empty: nobody accepted "{assumption.title}"; enter who does, or concede')
        for assumption in not_accepted(project)
    ]
    for step in project.of_kind(StepRecord):
        for place, note in enumerate(step.note):
            if not note.answered:
                remedy = f"is empty: the remark of {note.by} on {note.on_record} is not answered; answer it, or concede"
                findings.append(Finding(step.id, f"note.{place}.answered", "", remedy))
    notes = sum(len(step.note) for step in project.of_kind(StepRecord))
    facts = [f"{amount(len(project.assumptions), 'assumption')}, {amount(notes, 'remark')}"]
    return verdict_of(findings, facts, data=bool(project.assumptions or notes or project.calculations))


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
