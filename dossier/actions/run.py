"""Run calculations: resolve inputs, compute, keep the exact input with the result."""

from __future__ import annotations

import copy
import math
from collections.abc import Callable, Iterable
from datetime import UTC, datetime
from typing import Any, cast

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.actions.stored import begun, ended, failed
from dossier.methods.base import Method, Outcome, Value
from dossier.methods.chains import Circle, circle_through, in_order, reads
from dossier.methods.error_band import banded, error_band_of
from dossier.methods.freshness import STANDS, freshness
from dossier.methods.links import Resolved, resolve
from dossier.methods.registry import method_of
from dossier.records.calculation import Calculation
from dossier.store.change import Change
from dossier.store.clock import utc_stamp
from dossier.store.project import Project, project_from_documents
from dossier.store.tomlfile import dump_document
from dossier.units import amount

Progress = Callable[[str, int, int], None]


def outdated_calculations(project: Project) -> list[Calculation]:
    """Calculations without a current result whose inputs are complete, in the order they must run.

    What waits only for the result of another one of them belongs to them.
    """
    fresh = {calculation.id: freshness(project, calculation) for calculation in project.calculations}
    straight = [name for name in fresh if not circle_through(project, name)]
    found: dict[str, Calculation] = {}
    for record_id in in_order(project, straight):
        state = fresh[record_id]
        if state.state in STANDS or state.resolved is None:
            continue
        awaited = state.resolved.awaits
        if len(state.resolved.problems) == len(awaited) and all(name in found for name in awaited):
            found[record_id] = next(c for c in project.calculations if c.id == record_id)
    return list(found.values())


def run_calculations(
    project: Project, ids: Iterable[str], person: str, now: datetime | None = None, progress: Progress | None = None
) -> Change:
    """Run the named calculations in the order in which they read each other; one Change with their results.

    A run that fails is recorded as failed with its reason, and what reads it is left as it is. Raises Refusal when an
    id is no calculation, when an input is missing, when a result that is read is not current and not among the named,
    when they read each other in a circle, or when nothing was named.
    """
    wanted = _ordered(project, list(ids))
    for record_id in wanted:
        _refuse_unready(project, record_id, wanted)
    files: dict[str, bytes | None] = {}
    told: list[str] = []
    failed: list[str] = []
    for number, record_id in enumerate(wanted, start=1):
        if progress:
            progress(record_id, number, len(wanted))
        calculation = cast(Calculation, project.get(record_id))
        stored, words = _attempt(project, calculation, failed, person, now or datetime.now(UTC))
        told.append(f"{record_id} {words}")
        if stored is None or stored["validity"] == "failed":
            failed.append(record_id)
        if stored is None:
            continue
        data = dump_document({**copy.deepcopy(project.raw[record_id]), "result": stored})
        path = project.places[record_id].path
        files[path] = data
        if any(record_id in reads(project, later) for later in project.calculations if later.id in wanted):
            project = with_changes(project, Change("calculated", person, {path: data}))
    if not files:
        raise Refusal("; ".join(told))
    message = told[0] if len(told) == 1 else f"{amount(len(files), 'calculation')} run\n\n" + "\n".join(told)
    return Change(message, person, files)


def _ordered(project: Project, wanted: list[str]) -> list[str]:
    if not wanted:
        raise Refusal("nothing to calculate: every result is current, or inputs are missing (see `dossier status`)")
    for record_id in wanted:
        if not isinstance(project.get(record_id), Calculation):
            known = ", ".join(calculation.id for calculation in project.calculations)
            raise Refusal(f"{record_id} is no calculation; name one of {known}")
    try:
        return in_order(project, wanted)
    except Circle as error:
        raise Refusal(str(error)) from error


def _refuse_unready(project: Project, record_id: str, wanted: list[str]) -> None:
    """Refuse before anything is computed, so that no long run is lost to a later one's missing input."""
    calculation = cast(Calculation, project.get(record_id))
    resolved = resolve(project, calculation, _method(calculation))
    solved_by_then = [name for name in resolved.awaits if name in wanted]
    if len(resolved.problems) > len(solved_by_then):
        raise Refusal(f"{record_id}: {'; '.join(resolved.problems)}")
    for name in reads(project, calculation):
        state = freshness(project, cast(Calculation, project.get(name))).state
        if name not in wanted and state not in STANDS:
            raise Refusal(f"{record_id} reads {name}, which is {state}; calculate {name} too")


def _method(calculation: Calculation) -> Method:
    try:
        return method_of(calculation.method)
    except KeyError as error:
        raise Refusal(f"{calculation.id}: {error.args[0]}") from error


def compute(method: Method, resolved: Resolved) -> Outcome:
    """Run a method on a resolved input. Raises Refusal naming what is missing or does not fit together."""
    if resolved.problems or resolved.given is None:
        raise Refusal(f"{method.id}: {'; '.join(resolved.problems)}")
    try:
        outcome = method.run(resolved.given)
    except (ValueError, ArithmeticError) as error:
        raise Refusal(f"{method.id}: {error}") from error
    beyond = [name for name, value in outcome.values.items() if not _is_finite(value)]
    if beyond:
        raise Refusal(f"{method.id}: gave no finite number for {', '.join(beyond)}; the input is beyond its numbers")
    return outcome


def _is_finite(value: Value | float) -> bool:
    numbers = (value.value, value.low, value.high) if isinstance(value, Value) else (value,)
    return all(math.isfinite(number) for number in numbers)


def _attempt(
    project: Project, calculation: Calculation, failed: list[str], person: str, now: datetime
) -> tuple[dict[str, Any] | None, str]:
    """The result to store, or None, and what is told of the run."""
    because = [name for name in reads(project, calculation) if name in failed]
    if because:
        return None, f"not calculated: it reads {', '.join(because)}, which failed"
    try:
        stored, words = _stored_result(project, calculation, person, now)
    except Refusal as refusal:
        return None, f"not calculated: {refusal}"
    return stored, f"calculated{words}"


def _stored_result(
    project: Project, calculation: Calculation, person: str, now: datetime
) -> tuple[dict[str, Any], str]:
    method = _method(calculation)
    resolved = resolve(project, calculation, method)
    if resolved.problems:
        raise Refusal(f"{calculation.id}: {'; '.join(resolved.problems)}")
    stored = begun(method.id, method.version, resolved, person, utc_stamp(now))
    try:
        outcome = compute(method, resolved)
    except Refusal as refusal:
        return failed(stored, str(refusal)), f": failed, {refusal}"
    band, fault = error_band_of(project, calculation)
    if fault:
        raise Refusal(f"{calculation.id}: {fault}")
    values = banded(stored_values(method, outcome), band)
    found = ended(stored, values, outcome.outside, outcome.warnings)
    if band is not None:
        found["error_band"] = band.model_dump(mode="json")
    return found, f": {_leading_in_words(method, outcome)}"


def stored_values(method: Method, outcome: Outcome) -> list[dict[str, Any]]:
    """The values of an outcome as a result keeps them, in the method's order; those the run does not give are left out.

    Raises KeyError for a value that the method does not declare.
    """
    for name in outcome.values:
        method.result_field(name)
    entries = []
    for field in method.results:
        if field.name not in outcome.values:
            continue
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
    field = next(field for field in method.results if field.name in outcome.values)
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
    draft = project_from_documents(project.folder, documents)
    draft.keep_sha256(project, lambda path: path not in change.files)
    return draft
