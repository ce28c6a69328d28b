"""Check 6.3: numbers that the document prints within free text come from records."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.design_inputs import owner_of
from dossier.checks.view import View
from dossier.methods.freshness import STANDS
from dossier.records.calculation import Calculation
from dossier.records.evidence import Caution, EvidenceItem
from dossier.units import amount

_PLACE = re.compile(r"\{(\w+)\}")


@cache
def _typed() -> re.Pattern[str]:
    """A number with a unit of the whitelist, written out in a text."""
    known = {unit for dimension in units.dimensions().values() for unit in dimension.factors if unit not in ("-", "1")}
    longest_first = sorted(known, key=len, reverse=True)
    return re.compile(r"(?<![\w{])[−-]?\d[\d.]*\s?(?:" + "|".join(map(re.escape, longest_first)) + r")(?![\w/·])")


@computed("6.3")
def numbers_from_records(view: View) -> Computed:
    """Cautions hold places for numbers, each filled from a record; all other results are printed from records.

    A number that a caution states in its own text is no result: it is told among the facts, for its reviewer.
    """
    cautions = [caution for caution in view.project.of_kind(Caution) if caution.applies]
    findings, count, typed = [], 0, []
    for caution in cautions:
        count += len(caution.numbers)
        typed += [f"{caution.id} states {found} itself" for found in _typed().findall(caution.text)]
        findings += _place_faults(caution)
        for name, source in caution.numbers.items():
            findings += _source_faults(view, caution, name, source)
    facts = [f"{amount(len(cautions), 'caution')} with {amount(count, 'number')} from records", *typed]
    return verdict_of(findings, facts, data=bool(cautions))


def _place_faults(caution: Caution) -> Iterator[Finding]:
    places = set(_PLACE.findall(caution.text))
    for name in sorted(places - caution.numbers.keys()):
        remedy = "has no number; name record and value in numbers"
        yield Finding(caution.id, "text", f"{{{name}}}", remedy)
    for name in sorted(caution.numbers.keys() - places):
        yield Finding(caution.id, f"numbers.{name}", caution.numbers[name], f"is printed nowhere; put {{{name}}} in the text")


def _source_faults(view: View, caution: Caution, name: str, source: str) -> Iterator[Finding]:
    field = f"numbers.{name}"
    record, path = owner_of(view.project, source)
    if record is None:
        yield Finding(caution.id, field, source, "names no record; correct the id")
    elif isinstance(record, Calculation | EvidenceItem):
        fresh = view.freshness if isinstance(record, Calculation) else view.evidence_freshness
        value = record.result.value(path) if record.result else None
        if value is None or value.value is None:
            yield Finding(caution.id, field, source, f"is no value of {record.id}'s result; correct the name")
        elif fresh[record.id].state not in STANDS:
            yield Finding(record.id, "result", fresh[record.id].state, f"{caution.id} prints it; calculate it again")
    elif not isinstance(_value_at(record, path), int | float):
        yield Finding(caution.id, field, source, "leads to no number; name a field that holds one")


def _value_at(start: Any, path: str) -> Any:
    for step in path.split("."):
        if isinstance(start, list):
            start = start[int(step)] if step.isdigit() and int(step) < len(start) else None
        elif isinstance(start, dict):
            start = start.get(step)
        else:
            start = getattr(start, step, None)
    return start
