"""Values as they are told in the messages of changes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from dossier.units import amount

MAX_TEXT = 60
MOST_OF_PART = 240
_DIGEST = re.compile("[0-9a-f]{64}")


def in_words(value: Any) -> str:
    """A stored value on one line."""
    if value is None or value == "" or value == [] or value == {}:
        return "empty"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.10g}".replace("-", "−")
    if isinstance(value, list):
        told = "; ".join(f"[{', '.join(map(in_words, item))}]" if isinstance(item, list) else in_words(item) for item in value)
        return told if len(told) <= 2 * MAX_TEXT else amount(len(value), "entry", "entries")
    if isinstance(value, dict):
        return f"({_fields_in_words(value)})"
    if isinstance(value, str) and _DIGEST.fullmatch(value):
        return f"digest {value[:8]}…"
    line = " ".join(str(value).split())
    return f'"{line}"' if len(line) <= MAX_TEXT else f'"{line[: MAX_TEXT - 1]}…"'


def _fields_in_words(value: dict[str, Any]) -> str:
    """ "design "V2", reason "bond as it was"": the filled fields of a part; of many, as many as a few lines take."""
    filled = {name.replace("_", " "): below for name, below in value.items() if below not in (None, "", [], {})}
    told: list[str] = []
    for name, below in filled.items():
        words = in_words(below)
        told.append(f"{name.removesuffix(' sha256')} {words}")
        if sum(map(len, told)) > MOST_OF_PART:
            break
    rest = len(filled) - len(told)
    return ", ".join([*told, *([f"and {amount(rest, 'more field')}"] if rest else [])])


def first_of(ids: Sequence[str], most: int = 5) -> str:
    """ "E-001, E-002 and 44 more": the first ids of a change that touches many."""
    more = f" and {len(ids) - most} more" if len(ids) > most else ""
    return f"{', '.join(ids[:most])}{more}"


def changed_in_words(record_id: str, field: str, old: Any, new: Any, unit: str) -> str:
    """One line such as "R-012 limit.max 45 → 50 kN"."""
    numbers = [value for value in (old, new) if isinstance(value, int | float) and not isinstance(value, bool)]
    spaced = f" {unit}" if numbers and unit and unit != "-" else ""
    if isinstance(new, int | float) or not numbers:
        return f"{record_id} {field} {in_words(old)} → {in_words(new)}{spaced}"
    return f"{record_id} {field} {in_words(old)}{spaced} → {in_words(new)}"
