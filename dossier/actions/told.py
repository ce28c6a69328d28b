"""Values as they are told in the messages of changes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dossier.units import amount

MAX_TEXT = 60


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
        told = ", ".join(f"{name} {in_words(below)}" for name, below in value.items())
        return f"{{{told}}}" if len(told) <= 2 * MAX_TEXT else f"{{{', '.join(list(value)[:8])}}}"
    line = " ".join(str(value).split())
    return f'"{line}"' if len(line) <= MAX_TEXT else f'"{line[: MAX_TEXT - 1]}…"'


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
