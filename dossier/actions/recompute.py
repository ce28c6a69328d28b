"""Compute a stored result again from its stored input and compare within the method's tolerances."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any

from dossier.actions.run import stored_values
from dossier.evidence.errors import UnreadableFile
from dossier.methods.base import Method
from dossier.methods.error_band import banded
from dossier.methods.evidence_base import EvidenceMethod, RawFiles
from dossier.methods.evidence_links import evidence_methods
from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation, Result
from dossier.records.evidence import EvidenceItem
from dossier.store.digest import sha256_of_document
from dossier.store.errors import StoreError

ABSOLUTE = 1e-9
Again = tuple[dict[str, dict], dict[str, float], Sequence[str]]  # values by name, their tolerances, what lies outside


@dataclass
class Recomputed:
    """state is reproduced, differs or not recomputable; `differences` say what and by how much."""

    record: str
    state: str
    differences: list[str] = field(default_factory=list)


def recompute(calculation: Calculation) -> Recomputed | None:
    """Run a calculation again from its stored input; None without a result."""
    result = calculation.result
    method = all_methods().get(result.method) if result else None

    def again(given: Any) -> Again:
        outcome = method.run(given)  # type: ignore[union-attr]
        entries = banded(stored_values(method, outcome), result.error_band)  # type: ignore[arg-type,union-attr]
        values = {entry["name"]: entry for entry in entries}
        return values, {f.name: f.tolerance for f in method.results}, outcome.outside  # type: ignore[union-attr]

    return _recomputed(calculation.id, result, method, again)


def recompute_item(item: EvidenceItem, files: RawFiles) -> Recomputed | None:
    """Evaluate an evidence item again from its stored input and the raw files; None without a result."""
    result = item.result
    method = evidence_methods().get(result.method) if result else None

    def again(given: Any) -> Again:
        found = method.run(given, files)  # type: ignore[union-attr]
        values = {value.name: value.model_dump(exclude_none=True) for value in found.values}
        return values, dict.fromkeys(values, method.tolerance), found.outside  # type: ignore[union-attr]

    return _recomputed(item.id, result, method, again)


def _recomputed(
    record: str, result: Result | None, method: Method | EvidenceMethod | None, again: Callable[[Any], Again]
) -> Recomputed | None:
    if result is None:
        return None
    if method is None:
        return Recomputed(record, "not recomputable", [f"method {result.method} is unknown to this version"])
    if result.validity == "failed":
        return Recomputed(record, "not recomputable", ["the stored run failed"])
    found = sha256_of_document(result.inputs)
    if found != result.inputs_sha256:
        told = f"the stored input does not match its digest {result.inputs_sha256[:16]}, found {found[:16]}"
        return Recomputed(record, "differs", [told])
    try:
        given = method.input_model.model_validate(result.inputs)
    except ValueError as error:
        reason = f"its stored input no longer fits {method.id} {method.version}: {str(error).splitlines()[0]}"
        return Recomputed(record, "not recomputable", [reason])
    try:
        values, tolerances, outside = again(given)
    except (ValueError, ArithmeticError, UnreadableFile, StoreError) as error:
        state = "differs" if isinstance(error, UnreadableFile | StoreError) else "not recomputable"
        return Recomputed(record, state, [f"cannot be computed again: {str(error).splitlines()[0]}"])
    differing = _differences(method.id, tolerances, result, values)
    if result.validity == "inside" and outside:
        differing.append(f"stored as inside its validity, now outside: {outside[0]}")
    return Recomputed(record, "differs" if differing else "reproduced", differing)


def _differences(method: str, tolerances: dict[str, float], result: Result, values: dict[str, dict]) -> list[str]:
    found = []
    for stored in result.values:
        now = values.get(stored.name)
        if now is None:
            found.append(f"{stored.name} is no longer given by {method}")
            continue
        for end in ("value", "low", "high"):
            old, new = getattr(stored, end), now.get(end)
            if old is None and new is None:
                continue
            if old is None or new is None or abs(new - old) > tolerances[stored.name] * max(abs(old), abs(new)) + ABSOLUTE:
                found.append(f"{stored.name}.{end}: stored {old} {stored.unit}, recomputed {new}")
    return found
