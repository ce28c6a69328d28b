"""Run calculations: resolve inputs, compute, keep the exact input with the result."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from importlib.metadata import version
from typing import Any

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.methods.base import Method, Outcome, Value
from dossier.methods.freshness import freshness
from dossier.methods.links import Resolved, resolve
from dossier.methods.registry import method_of
from dossier.records.calculation import Calculation
from dossier.store.change import Change
from dossier.store.digest import sha256_of_document
from dossier.store.project import Project, project_from_documents
from dossier.store.tomlfile import dump_document

Progress = Callable[[str, int, int], None]


def outdated_calculations(project: Project) -> list[Calculation]:
    """Calculations without a current result whose inputs are complete."""
    return [
        calculation
        for calculation in project.calculations
        if (fresh := freshness(project, calculation)).state in ("outdated", "open", "failed")
        and fresh.resolved is not None
        and not fresh.resolved.problems
    ]


def run_calculations(
    project: Project, ids: Iterable[str], person: str, now: datetime | None = None, progress: Progress | None = None
) -> Change:
    """Run the named calculations and return one Change with their results.

    A run that fails is recorded as failed with its reason. Raises Refusal when an id is no calculation, when an
    input is missing, or when nothing was named.
    """
    wanted = list(ids)
    if not wanted:
        raise Refusal("nothing to calculate: every result is current, or inputs are missing (see `dossier status`)")
    files: dict[str, bytes | None] = {}
    told: list[str] = []
    for number, record_id in enumerate(wanted, start=1):
        if progress:
            progress(record_id, number, len(wanted))
        calculation = project.get(record_id)
        if not isinstance(calculation, Calculation):
            raise Refusal(f"{record_id} is no calculation; name one of {', '.join(c.id for c in project.calculations)}")
        stored, words = _stored_result(project, calculation, person, now or datetime.now(UTC))
        raw = copy.deepcopy(project.raw[record_id])
        raw["result"] = stored
        files[project.places[record_id].path] = dump_document(raw)
        told.append(f"{record_id} calculated{words}")
    message = told[0] if len(told) == 1 else f"{len(told)} calculations run\n\n" + "\n".join(told)
    return Change(message, person, files)


def compute(method: Method, resolved: Resolved) -> Outcome:
    """Run a method on a resolved input. Raises Refusal naming what is missing or does not fit together."""
    if resolved.problems or resolved.given is None:
        raise Refusal(f"{method.id}: {'; '.join(resolved.problems)}")
    try:
        return method.run(resolved.given)
    except ValueError as error:
        raise Refusal(f"{method.id}: {error}") from error


def _stored_result(
    project: Project, calculation: Calculation, person: str, now: datetime
) -> tuple[dict[str, Any], str]:
    try:
        method = method_of(calculation.method)
    except KeyError as error:
        raise Refusal(f"{calculation.id}: {error.args[0]}") from error
    resolved = resolve(project, calculation, method)
    if resolved.problems:
        raise Refusal(f"{calculation.id}: {'; '.join(resolved.problems)}")
    stored: dict[str, Any] = {
        "method": method.id,
        "method_version": method.version,
        "computed_at": now.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ"),
        "computed_by": person,
        "validity": "inside",
        "inputs_sha256": sha256_of_document(resolved.plain),
        "values": [],
        "inputs": resolved.plain,
        "sources": resolved.sources,
        "libraries": {name: version(name) for name in ("numpy", "scipy")},
    }
    try:
        outcome = compute(method, resolved)
    except Refusal as refusal:
        return stored | {"validity": "failed", "validity_notes": [str(refusal)]}, f": failed, {refusal}"
    stored["values"] = stored_values(method, outcome)
    if outcome.outside:
        stored |= {"validity": "outside", "validity_notes": list(outcome.outside)}
    if outcome.warnings:
        stored["warnings"] = list(outcome.warnings)
    return stored, f": {_leading_in_words(method, outcome)}"


def stored_values(method: Method, outcome: Outcome) -> list[dict[str, Any]]:
    """The values of an outcome as a result keeps them. Raises KeyError when a declared value is missing."""
    entries = []
    for field in method.results:
        value = outcome.values[field.name]
        entry: dict[str, Any] = {"name": field.name, "unit": field.unit}
        if isinstance(value, Value):
            entry["value"] = float(value.value)
            if value.contributions:
                entry |= {
                    "low": float(value.low),
                    "high": float(value.high),
                    "lines": [
                        {"cause": c.cause, "minus": float(c.minus), "plus": float(c.plus)} for c in value.contributions
                    ],
                }
        else:
            entry["value"] = float(value)
        entries.append(entry)
    return entries


def _leading_in_words(method: Method, outcome: Outcome) -> str:
    field = method.results[0]
    value = outcome.values[field.name]
    number = value.value if isinstance(value, Value) else value
    return f"{field.meaning} {units.show_quantity(number, field.unit, field.shown or None)}"


def with_changes(project: Project, change: Change) -> Project:
    """The project as it would be after a change: what a trial shows before it is recorded."""
    from dossier.store.tomlfile import parse_document

    documents = dict(project.documents)
    for path, data in change.files.items():
        if data is None:
            documents.pop(path, None)
        else:
            documents[path] = parse_document(data, path)
    return project_from_documents(project.folder, documents)
