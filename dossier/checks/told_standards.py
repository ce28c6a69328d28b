"""Standards that texts of records name: of the register, or of none."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from dossier.checks.cited_standards import same_standard, standards_named
from dossier.checks.view import View
from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation
from dossier.records.standard import Standard
from dossier.records.step import StepRecord

UNREAD = ("result",)  # what a method wrote, not a person


def named_in(view: View, standard: Standard) -> list[str]:
    """Records whose texts name a standard of the register, in the order of the project."""
    return [record for record, numbers in _named(view).items() if any(same_standard(n, standard.number) for n in numbers)]


def unregistered(view: View) -> dict[str, list[str]]:
    """Number of each standard that texts name and the register does not hold, with the records that name it."""
    known = [standard.number for standard in view.project.standards]
    found: dict[str, list[str]] = {}
    for record, numbers in _named(view).items():
        for number in dict.fromkeys(numbers):
            if not any(same_standard(number, other) for other in known):
                found.setdefault(number, []).append(record)
    return dict(sorted(found.items()))


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
