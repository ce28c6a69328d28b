"""What persons add to a step: answers to checks, concessions, remarks. Each returns a Change."""

from __future__ import annotations

import copy
import re
from datetime import UTC, date, datetime
from typing import Any

from dossier.actions.edit import refuse_unreadable, validated
from dossier.actions.refusal import Refusal
from dossier.actions.told import in_words
from dossier.checks.base import CheckText, check_texts, computed_checks
from dossier.checks.view import View
from dossier.records.collections import collection_of_kind
from dossier.records.evidence import Document
from dossier.records.requirement import Requirement
from dossier.records.step import STEPS, StepRecord
from dossier.store.change import Change
from dossier.store.clock import utc_stamp
from dossier.store.project import Project
from dossier.store.tomlfile import dump_document


def answer_check(
    view: View, check_id: str, answer: str, person: str, remark: str = "", now: datetime | None = None
) -> Change:
    """Answer a check of kind person or confirmed. Raises Refusal for computed ones and for missing remarks."""
    project = view.project
    text = check_texts().get(check_id)
    if text is None:
        raise Refusal(f"no check {check_id}; `dossier status` lists them by step")
    if text.kind == "computed":
        raise Refusal(f"check {check_id} is computed from the records; it cannot be answered, only conceded")
    if answer not in ("met", "not met"):
        raise Refusal(f'answer = "{answer}" must be met or not met')
    if answer == "not met" and not remark.strip():
        raise Refusal("a check answered with not met needs a remark that says why; add it")
    who = _known_person(project, person)
    _refuse_other_role(project, text, who)
    entry: dict[str, Any] = {"check": check_id, "answer": answer, "by": who, "on": _moment(now)}
    if remark.strip():
        entry["remark"] = remark.strip()
    if text.kind == "confirmed":
        part = computed_checks()[check_id](view)
        entry["basis_sha256"] = part.basis_sha256
    return _append(project, text.step, "answer", entry, f"check {check_id} answered: {answer}", who)


def concede(
    view: View,
    target: str,
    kind: str,
    reason: str,
    limit: str,
    until: str,
    person: str,
    step: str = "",
    document: str = "",
    now: datetime | None = None,
) -> Change:
    """Permit a deviation of a requirement or check, with reason, limit, date and name. Raises Refusal.

    `document` is the id of the registered document that holds the customer's acceptance. A concession on a check covers
    the findings the check has now: a later one reopens it.
    """
    project = view.project
    text = check_texts().get(target)
    if text is None and not isinstance(project.get(target), Requirement):
        raise Refusal(f"{target} is neither a requirement nor a check; concede the requirement it serves")
    number = step or (text.step if text else "6")
    who = _known_person(project, person)
    try:
        if date.fromisoformat(until) < (now or datetime.now(UTC)).date():
            raise Refusal(f"until = {until} lies in the past; give a later date")
    except ValueError as error:
        if isinstance(error, Refusal):
            raise
        raise Refusal(f'until = "{until}" is no date; write it as 2027-03-31') from error
    if text is None and limit and not any(character.isdigit() for character in limit):
        raise Refusal(f'limit = "{limit}" holds no number; say up to which value or how many parts, such as "at least 10 kN"')
    if document and not isinstance(project.find(document), Document):
        known = ", ".join(sorted(record.id for record in project.of_kind(Document))) or "none yet"
        raise Refusal(f"document = {document} is not in documents.toml ({known}); register it first")
    entry: dict[str, Any] = {
        "id": _next_concession(project),
        "on_record": target,
        "kind": kind,
        "reason": reason,
        "limit": limit,
        "until": until,
        "by": who,
        "on": _moment(now),
    }
    if document:
        entry["document"] = document
    if text and text.kind != "person":
        entry["findings"] = [finding.found for finding in computed_checks()[target](view).findings]
    return _append(project, number, "concession", entry, f"{target} conceded until {until}: {in_words(reason)}", who)


def add_remark(project: Project, target: str, text: str, person: str, step: str, now: datetime | None = None) -> Change:
    """A remark on a record or check."""
    if target not in check_texts():
        project.get(target)
    who = _known_person(project, person)
    entry = {"on_record": target, "text": text, "by": who, "on": _moment(now)}
    return _append(project, step, "note", entry, f"{target} remark {in_words(text)}", who)


def _next_concession(project: Project) -> str:
    """The next number: over all concessions that stand in the files of steps, readable or not."""
    count = 0
    for path, document in project.documents.items():
        entries = document.get("concession") if collection_of_kind("step").holds(path) else None
        listed = entries if isinstance(entries, list) else []
        names = [str(entry.get("id", "")) for entry in listed if isinstance(entry, dict)]
        count = max([count, *(int(name[2:]) for name in names if re.fullmatch(r"D-[0-9]{1,9}", name))])
    return f"D-{count + 1:03d}"


def _append(project: Project, step: str, key: str, entry: dict[str, Any], message: str, author: str) -> Change:
    path, raw = _step_document(project, step)
    raw.setdefault(key, []).append(entry)
    validated(StepRecord, raw)
    return Change(message, author, {path: dump_document(raw)})


def _step_document(project: Project, step: str) -> tuple[str, dict[str, Any]]:
    record = project.step(step)
    if record is not None:
        return project.places[record.id].path, copy.deepcopy(project.raw[record.id])
    if step not in STEPS:
        raise Refusal(f"step = {step} must be one of {', '.join(STEPS)}")
    path = collection_of_kind("step").pattern.replace("*", f"{step}-{STEPS[step].lower()}")
    refuse_unreadable(project, path)
    return path, {"id": f"step-{step}", "step": step}


def _known_person(project: Project, person: str) -> str:
    if project.header.person(person) is None:
        known = ", ".join(known.name for known in project.header.people)
        raise Refusal(f"{person} is not among the project's people ({known}); add the person to project.toml")
    return person


def _refuse_other_role(project: Project, check: CheckText, person: str) -> None:
    known = project.header.person(person)
    if known is not None and check.role not in known.roles:
        asked = ", ".join(other.name for other in project.header.people if check.role in other.roles) or "nobody here yet"
        raise Refusal(f"check {check.id} asks {check.role} ({asked}); {person} is {', '.join(known.roles)}")


def _moment(now: datetime | None) -> str:
    return utc_stamp(now)
