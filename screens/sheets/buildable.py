"""Between which values a dimension can be changed, the others left as they are, so that the part can still be built."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

from dossier.mechanics.shapes import GeometryError
from dossier.methods.geometry import shape_of_design
from dossier.records.design import Design
from dossier.records.fields import NoField, spot_at

FARTHEST = 1000.0
HALVINGS = 24


def buildable(raw: dict[str, Any], path: str) -> tuple[float | None, float | None] | None:
    """Lower and upper limit of a number of a design, in its stored unit; None at an end without a limit.

    `raw` are the stored fields of the design, `path` the dotted field. None when it is no number, or the part
    cannot be built as it is. About 50 ms.
    """
    try:
        steps = spot_at(Design, raw, path).steps
    except NoField:
        return None
    now = _value_at(raw, steps)
    if not isinstance(now, int | float) or isinstance(now, bool):
        return None

    def fits(value: float) -> bool:
        changed = copy.deepcopy(raw)
        _value_at(changed, steps[:-1])[steps[-1]] = value
        try:
            shape_of_design(Design.model_validate(changed))
        except (GeometryError, ValueError):
            return False
        return True

    start = float(now)
    if not fits(start):
        return None
    return _end(fits, start, -1.0), _end(fits, start, 1.0)


def _value_at(raw: Any, steps: tuple[str | int, ...]) -> Any:
    for step in steps:
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _end(fits: Callable[[float], bool], start: float, way: float) -> float | None:
    """The last value from `start` on in one direction that fits, or None where nothing stops it."""
    step = 0.05 * max(abs(start), 1.0)
    inside, outside = start, start + way * step
    while fits(outside):
        if abs(outside - start) > FARTHEST * max(abs(start), 1.0):
            return None
        step *= 2.0
        inside, outside = outside, start + way * step
    for _ in range(HALVINGS):
        middle = 0.5 * (inside + outside)
        inside, outside = (middle, outside) if fits(middle) else (inside, middle)
    return inside


def buildable_words(raw: dict[str, Any], path: str) -> str:
    """ "can be built from 0 to 36", or nothing where nothing stops it."""
    low, high = buildable(raw, path) or (None, None)
    if low is not None and high is not None and _number(low) == _number(high):
        return "tied to other dimensions: change those first"
    parts = [f"from {_number(low)}"] if low is not None else []
    parts += [f"{'to' if parts else 'up to'} {_number(high)}"] if high is not None else []
    return f"can be built {' '.join(parts)}" if parts else ""


def _number(value: float) -> str:
    return f"{round(value, 3) + 0.0:.4g}"
