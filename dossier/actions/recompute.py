"""Compute a stored result again from its stored input and compare within the method's tolerances."""

from __future__ import annotations

from dataclasses import dataclass, field

from dossier.actions.run import stored_values
from dossier.evidence.errors import UnreadableFile
from dossier.methods.evidence_base import RawFiles
from dossier.methods.evidence_links import evidence_methods
from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation, Result
from dossier.records.evidence import EvidenceItem
from dossier.store.digest import sha256_of_document
from dossier.store.errors import StoreError

ABSOLUTE = 1e-9


@dataclass
class Recomputed:
    """state is reproduced, differs or not recomputable; `differences` say what and by how much."""

    record: str
    state: str
    differences: list[str] = field(default_factory=list)


def recompute(calculation: Calculation) -> Recomputed | None:
    """None for a calculation without a result."""
    result = calculation.result
    if result is None:
        return None
    method = all_methods().get(result.method)
    if method is None:
        return Recomputed(calculation.id, "not recomputable", [f"method {result.method} is unknown to this version"])
    if result.validity == "failed":
        return Recomputed(calculation.id, "not recomputable", ["the stored run failed"])
    try:
        given = method.input_model.model_validate(result.inputs)
        outcome = method.run(given)
    except (ValueError, ArithmeticError) as error:
        reason = f"its stored input no longer fits {method.id} {method.version}: {str(error).splitlines()[0]}"
        return Recomputed(calculation.id, "not recomputable", [reason])
    if sha256_of_document(result.inputs) != result.inputs_sha256:
        digests = f"digest {result.inputs_sha256[:16]}, found {sha256_of_document(result.inputs)[:16]}"
        return Recomputed(calculation.id, "differs", [f"the stored input does not match its {digests}"])
    values = {entry["name"]: entry for entry in stored_values(method, outcome)}
    differences = _differences(method.id, {f.name: f.tolerance for f in method.results}, result, values)
    if result.validity == "inside" and outcome.outside:
        differences.append(f"stored as inside its validity, now outside: {outcome.outside[0]}")
    return Recomputed(calculation.id, "differs" if differences else "reproduced", differences)


def recompute_item(item: EvidenceItem, files: RawFiles) -> Recomputed | None:
    """Evaluate an evidence item again from its stored input and the raw files; None without a result."""
    result = item.result
    if result is None:
        return None
    method = evidence_methods().get(result.method)
    if method is None:
        return Recomputed(item.id, "not recomputable", [f"method {result.method} is unknown to this version"])
    if result.validity == "failed":
        return Recomputed(item.id, "not recomputable", ["the stored evaluation failed"])
    if sha256_of_document(result.inputs) != result.inputs_sha256:
        return Recomputed(item.id, "differs", ["the stored input does not match its digest"])
    try:
        found = method.run(method.input_model.model_validate(result.inputs), files)
    except (ValueError, ArithmeticError, UnreadableFile, StoreError) as error:
        return Recomputed(item.id, "differs", [f"cannot be evaluated again: {str(error).splitlines()[0]}"])
    values = {value.name: value.model_dump(exclude_none=True) for value in found.values}
    tolerances = dict.fromkeys(values, method.tolerance)
    differences = _differences(method.id, tolerances, result, values)
    return Recomputed(item.id, "differs" if differences else "reproduced", differences)


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
