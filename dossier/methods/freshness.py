"""Whether a stored result still follows from today's records: the input resolved now against the stored one."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any, Literal

from dossier.methods.chains import reads
from dossier.methods.error_band import error_band_of
from dossier.methods.links import Resolved, resolve
from dossier.methods.registry import all_methods
from dossier.methods.shape import OlderShape
from dossier.records.calculation import Calculation
from dossier.store.digest import sha256_of_document
from dossier.store.project import Project
from dossier.units import amount

State = Literal["current", "outdated", "newer method available", "failed", "open"]
STANDS = ("current", "newer method available")
SAME_NUMBER = 1e-13  # some hundred units in the last place: far above rounding of a conversion, far below any edit


@dataclass(frozen=True)
class Difference:
    """One input that differs now: dotted field, stored value, today's value."""

    field: str
    stored: Any
    now: Any


@dataclass
class Freshness:
    """State of a result and why; `older` are the parts of evidence that were made to another shape than today's."""

    state: State
    differences: list[Difference] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    resolved: Resolved | None = None
    older: list[OlderShape] = field(default_factory=list)

    @property
    def remedy(self) -> str:
        """What brings a result that stands: the inputs it waits for, told by the first, then the calculation."""
        if self.state != "open":
            return "calculate it again"
        if not self.problems:
            return "calculate it"
        more = len(self.problems) - 1
        further = f" (and {amount(more, 'more input')})" if more else ""
        return f"{self.problems[0]}{further}; then calculate it"


def freshness(project: Project, calculation: Calculation) -> Freshness:
    """Compare the input resolved now with the one the result was computed from.

    A result of an older method version stays current in content: it is only marked "newer method available".
    """
    if project.find(calculation.id) is not calculation:
        return _compared(project, calculation)
    known = project.derived.setdefault("freshness", {})
    if calculation.id not in known:
        known[calculation.id] = _compared(project, calculation)
    return known[calculation.id]


def _compared(project: Project, calculation: Calculation) -> Freshness:
    method = all_methods().get(calculation.method)
    if method is None:
        reason = f'method = "{calculation.method}" is unknown; `dossier methods` lists them'
        return Freshness("failed", problems=[reason])
    resolved = resolve(project, calculation, method)
    result = calculation.result
    problems = resolved.problems or _not_current(project, calculation)
    if result is None:
        return Freshness("open", problems=problems, resolved=resolved)
    if resolved.problems:
        return Freshness("outdated", problems=problems, resolved=resolved)
    differing = differences(result.inputs, resolved.plain)
    if result.method != calculation.method:
        problems = [f"was computed by {result.method}, {calculation.method} is asked for; run it again", *problems]
    if differing or problems:
        return Freshness("outdated", differing, problems, resolved)
    if sha256_of_document(result.inputs) != result.inputs_sha256:
        reason = "the stored input does not match its digest; run it again"
        return Freshness("failed", problems=[reason], resolved=resolved)
    if result.validity == "failed":
        return Freshness("failed", problems=result.validity_notes, resolved=resolved)
    if method.version > result.method_version:
        return Freshness("newer method available", resolved=resolved)
    return Freshness("current", resolved=resolved)


def _not_current(project: Project, calculation: Calculation) -> list[str]:
    """What is read from results of other calculations that do not stand themselves, without circles, which resolve
    refuses before; another accepted prediction error than the stored one."""
    band, fault = error_band_of(project, calculation)
    found = [fault] if fault else []
    if not fault and calculation.result and calculation.result.error_band != band:
        found.append("prediction_error is another than the result was banded with; run it again")
    for name in reads(project, calculation):
        read = project.get(name)
        if isinstance(read, Calculation) and (state := freshness(project, read).state) not in STANDS:
            found.append(f"reads {name}, which is {state}; calculate {name} first")
    return found


def differences(stored: Any, now: Any, path: str = "") -> list[Difference]:
    """Fields in which two plain inputs differ.

    Numbers are equal within SAME_NUMBER, so that 0.7 m and 700 mm are one value whatever rounding the conversion makes.
    """
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
    return [] if _same(stored, now) else [Difference(path, stored, now)]


def _same(stored: Any, now: Any) -> bool:
    if isinstance(stored, bool) or isinstance(now, bool):
        return stored is now
    if isinstance(stored, int | float) and isinstance(now, int | float):
        return math.isclose(stored, now, rel_tol=SAME_NUMBER, abs_tol=0.0)
    return stored == now
