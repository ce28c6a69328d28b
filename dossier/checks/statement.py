"""Whether the words of a requirement name the numbers of its limit."""

from __future__ import annotations

import math
import re

from dossier import units
from dossier.checks.margin import limit_in_words
from dossier.records.requirement import Requirement

_NUMBER = r"(?<![\w.-])([−-]?\d+(?:\.\d+)?)\s*([^\s,;.()]+)?"
_BOUND = re.compile(rf"\b(at most|at least)\s+{_NUMBER}")
_RANGE = re.compile(rf"{_NUMBER}\s+to\s+{_NUMBER}")
_SIDE = {"at most": "max", "at least": "min"}


def contradiction(requirement: Requirement) -> str:
    """What the statement says that the limit does not, or nothing. A limit below zero is told as a fall: signs are left out."""
    limit, statement = requirement.limit, requirement.statement
    known = [abs(number) for number in (limit.min, limit.max, limit.nominal) if number is not None]
    if limit.kind not in ("min", "max", "range"):
        return ""
    demand = limit_in_words(limit, requirement.unit)
    for words, text, unit in _BOUND.findall(statement):
        number = _in_unit(text, unit, requirement.unit)
        if number is None:
            continue
        if not any(math.isclose(number, other, rel_tol=1e-9) for other in known):
            return f"says {words} {text} {unit}".rstrip() + f", the limit is {demand}"
        if limit.kind in ("min", "max") and limit.kind != _SIDE[words] and getattr(limit, limit.kind) > 0:
            return f"says {words}, the limit is {demand}"
    for first, first_unit, second, second_unit in _RANGE.findall(statement) if limit.kind == "range" else ():
        found = [_in_unit(first, first_unit, requirement.unit), _in_unit(second, second_unit, requirement.unit)]
        ends = zip(found, (limit.min, limit.max), strict=True)
        if None not in found and not all(math.isclose(number, abs(end or 0.0), rel_tol=1e-9) for number, end in ends):
            return f"says {first} to {second} {second_unit}, the limit is {demand}"
    return ""


def _in_unit(text: str, unit: str, wanted: str) -> float | None:
    """The number in the requirement's unit; None where it is a number of something else."""
    number = abs(float(text.replace("−", "-")))
    try:
        if units.same_dimension(unit, wanted):
            return units.convert(number, unit, wanted)
    except units.UnitError:
        return number if wanted in ("-", "1") else None
    return None
