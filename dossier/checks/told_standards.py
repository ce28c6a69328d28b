"""Standards that texts of records name: of the register, or of none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from dossier.checks.cited_standards import same_standard, standards_named
from dossier.checks.view import View
from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation
from dossier.records.standard import Standard
from dossier.records.step import StepRecord

UNREAD = ("result",)  # what a method wrote, not a person


@dataclass(frozen=True)
class NamedStandards:
    """Records whose texts name a standard: by id of the register, and by number where the register does not hold it."""

    registered: dict[str, list[str]]
    others: dict[str, list[str]]


def named_standards(view: View) -> NamedStandards:
    """What the texts of all records name, in the order of the project; numbers outside the register sorted."""
    registered: dict[str, list[str]] = {standard.id: [] for standard in view.project.standards}
    others: dict[str, list[str]] = {}
    for record, numbers in _named(view).items():
        for number in dict.fromkeys(numbers):
            known = [standard.id for standard in view.project.standards if same_standard(number, standard.number)]
            for place in (registered[name] for name in known) if known else (others.setdefault(number, []),):
                if record not in place:
                    place.append(record)
    return NamedStandards(registered, dict(sorted(others.items())))


def _named(view: View) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for record in view.project.records.values():
        if isinstance(record, Standard | StepRecord):
            continue
        texts = list(_texts(record.model_dump(exclude=set(UNREAD))))
        method = all_methods().get(record.method) if isinstance(record, Calculation) else None
        texts += [method.basis.text] if method else []
        numbers = [number for text in texts for number in standards_named(text)]
        if numbers:
            found[record.id] = numbers
    return found


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for item in value.values():
            yield from _texts(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from _texts(item)
