"""Evaluate evidence items: read their raw files anew, keep the exact input with the result."""

from __future__ import annotations

import copy
from collections.abc import Iterable
from datetime import datetime
from typing import Any

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.actions.run import Progress, with_changes
from dossier.actions.stored import begun, ended, failed
from dossier.evidence.errors import UnreadableFile
from dossier.methods.evidence_base import Evaluated, EvidenceMethod, RawFiles
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_links import evaluation_freshness, method_of_item, resolve_item
from dossier.methods.links import Resolved
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from dossier.store.change import Change
from dossier.store.clock import utc_stamp
from dossier.store.errors import StoreError
from dossier.store.project import Project
from dossier.store.tomlfile import dump_document
from dossier.units import amount


def outdated_items(project: Project) -> list[EvidenceItem]:
    """Finished items without a current evaluation whose inputs are complete, last those that take lives from one of them."""
    found, waiting = [], []
    for item in project.evidence:
        if item.state != "finished":
            continue
        fresh = evaluation_freshness(project, item)
        if fresh.state in ("outdated", "open", "failed") and fresh.resolved and not fresh.resolved.problems:
            found.append(item)
        elif fresh.problems and all(problem.startswith("lives_from = ") for problem in fresh.problems):
            waiting.append(item)
    ready = {item.id for item in found}
    return found + [item for item in waiting if ready & set(item.lives_from)]


def evaluate_items(
    project: Project, ids: Iterable[str], person: str, now: datetime | None = None, progress: Progress | None = None
) -> Change:
    """Evaluate the named items in their order; a failed evaluation is recorded with its reason. Raises Refusal."""
    wanted = list(ids)
    if not wanted:
        raise Refusal("nothing to evaluate: every finished item is current")
    moment = utc_stamp(now)
    files: dict[str, bytes | None] = {}
    told = []
    for number, record_id in enumerate(wanted, start=1):
        if progress:
            progress(record_id, number, len(wanted))
        item = project.get(record_id)
        if not isinstance(item, EvidenceItem):
            raise Refusal(f"{record_id} is no evidence item; name one of {', '.join(i.id for i in project.evidence)}")
        if files and item.lives_from:
            project = with_changes(project, Change("evaluated so far", person, dict(files)))
            item = project.get(record_id)
        resolved = resolve_item(project, item)
        if resolved.problems:
            raise Refusal(f"{record_id}: {'; '.join(resolved.problems)}")
        stored = _stored(project, item, resolved, person, moment)
        raw = copy.deepcopy(project.raw[record_id])
        raw["result"] = stored
        files[project.places[record_id].path] = dump_document(raw)
        told.append(f"{record_id} evaluated{_in_words(project, item, stored)}")
    message = told[0] if len(told) == 1 else f"{amount(len(told), 'item')} evaluated\n\n" + "\n".join(told)
    return Change(message, person, files)


def evaluate(method: EvidenceMethod, resolved: Resolved, files: RawFiles) -> Evaluated:
    """Run an evaluation. Raises Refusal naming file, line and remedy."""
    try:
        return method.run(resolved.given, files)
    except (ValueError, UnreadableFile, StoreError) as error:
        raise Refusal(str(error)) from error


def stored_evaluation(found: Evaluated) -> list[dict[str, Any]]:
    """The values as a result keeps them."""
    return [value.model_dump(mode="json", exclude_none=True) for value in found.values]


def _stored(project: Project, item: EvidenceItem, resolved: Resolved, person: str, moment: str) -> dict[str, Any]:
    method = method_of_item(item)
    stored = begun(method.id, method.version, resolved, person, moment)
    try:
        found = evaluate(method, resolved, raw_files_of(project.folder))
    except Refusal as refusal:
        return failed(stored, str(refusal))
    return ended(stored, stored_evaluation(found), found.outside, found.warnings)


def _in_words(project: Project, item: EvidenceItem, stored: dict[str, Any]) -> str:
    """The value of the variant, in the unit of the requirement it serves."""
    if stored["validity"] == "failed":
        return f": failed, {stored['validity_notes'][0]}"
    first = next((value for value in stored["values"] if value["name"] == "variant"), None)
    if first is None:
        return ""
    served = [found.unit for link in item.serves if isinstance(found := project.find(link.requirement), Requirement)]
    shown = next((unit for unit in served if units.same_dimension(unit, first["unit"])), first["unit"])
    return f": {units.show_quantity(first['value'], first['unit'], shown, 4)}"
