"""Putting a value at a place of a record's stored fields."""

from __future__ import annotations

from typing import Any

from dossier.records.fields import Steps


def holder_of(raw: Any, steps: Steps) -> Any:
    """The table or list that holds the last step; tables and lists on the way are made."""
    current: Any = raw
    for step, following in zip(steps, steps[1:], strict=False):
        empty: Any = [] if isinstance(following, int) else {}
        if isinstance(current, list):
            if step == len(current):
                current.append(empty)
            current = current[int(step)]
        else:
            current = current.setdefault(str(step), empty)
    return current


def value_at(holder: Any, step: str | int) -> Any:
    """What stands at a step of its holder, None where nothing does."""
    if isinstance(holder, list):
        return holder[int(step)] if int(step) < len(holder) else None
    return holder.get(step)


def put(raw: Any, steps: Steps, value: Any) -> None:
    """Put a value at the place, in tables and lists that are made on the way; a list grows by one at its end."""
    holder, step = holder_of(raw, steps), steps[-1]
    if isinstance(holder, list) and step == len(holder):
        holder.append(value)
    else:
        holder[step] = value
