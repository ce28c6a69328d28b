"""Whether a stored result still follows from today's records: the input resolved now against the stored one."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal

from dossier.methods.links import Resolved, resolve
from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation
from dossier.store.digest import sha256_of_document
from dossier.store.project import Project

State = Literal["current", "outdated", "newer method available", "failed", "open"]


@dataclass(frozen=True)
class Difference:
    """One input that differs now: dotted field, stored value, today's value."""

    field: str
    stored: Any
    now: Any


@dataclass
class Freshness:
    """State of a calculation's result and why."""

    state: State
    differences: list[Difference] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    resolved: Resolved | None = None


def freshness(project: Project, calculation: Calculation) -> Freshness:
    """Compare the input resolved now with the one the result was computed from.

    A result of an older method version stays current in content: it is only marked "newer method available".
    """
    method = all_methods().get(calculation.method)
    if method is None:
        reason = f'method = "{calculation.method}" is unknown; `dossier methods` lists them'
        return Freshness("failed", problems=[reason])
    resolved = resolve(project, calculation, method)
    result = calculation.result
    if result is None:
        return Freshness("open", problems=resolved.problems, resolved=resolved)
    if resolved.problems:
        return Freshness("outdated", problems=resolved.problems, resolved=resolved)
    differing = differences(result.inputs, resolved.plain)
    if differing or result.method != calculation.method:
        return Freshness("outdated", differing, resolved=resolved)
    if sha256_of_document(result.inputs) != result.inputs_sha256:
        reason = "the stored input does not match its digest; run it again"
        return Freshness("failed", problems=[reason], resolved=resolved)
    if result.validity == "failed":
        return Freshness("failed", problems=result.validity_notes, resolved=resolved)
    if method.version > result.method_version:
        return Freshness("newer method available", resolved=resolved)
    return Freshness("current", resolved=resolved)


def differences(stored: Any, now: Any, path: str = "") -> list[Difference]:
    """Fields in which two plain inputs differ. Integers and floats of the same value are equal."""
    if isinstance(stored, dict) and isinstance(now, dict):
        names = list(dict.fromkeys((*stored, *now)))
        return [
            difference
            for name in names
            for difference in differences(stored.get(name), now.get(name), f"{path}.{name}" if path else name)
        ]
    if isinstance(stored, list) and isinstance(now, list) and len(stored) == len(now):
        return [
            difference
            for position, (old, new) in enumerate(zip(stored, now, strict=True))
            for difference in differences(old, new, f"{path}[{position + 1}]")
        ]
    return [] if stored == now else [Difference(path, stored, now)]
