"""The unit a number of a record is shown in: its field's own, else the larger one of those stored in small units."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel

from dossier import units
from dossier.methods.registry import all_methods
from dossier.records.base import field_facts
from dossier.records.fields import NoField, spot_at

NO_UNIT = ("", "-", "1")
# Units of storage that nobody reads a large number in.
LARGER = {"N": "kN", "N/mm": "kN/mm", "N·mm": "N·m", "N·mm/rad": "N·m/°"}
FROM = 1000.0
DIGITS = 6


def readable_unit(unit: str, value: float) -> str:
    """The unit to show a value in where its field names none: kN/mm for 56 650 N/mm."""
    return LARGER[unit] if unit in LARGER and abs(value) >= FROM else unit


def shown_unit_of(model: type[BaseModel], raw: dict[str, Any], dotted: str) -> tuple[str, str]:
    """Stored and shown unit of a field of a record ("limit.max", "result.values.0.value"); empty where it has none."""
    try:
        spot = spot_at(model, raw, dotted)
    except NoField:
        return "", ""
    name = spot.steps[-1]
    info = spot.holder.model_fields.get(name) if spot.holder is not None and isinstance(name, str) else None
    shown = field_facts(info).get("shown", "") if info is not None else ""
    return spot.unit, shown or _of_result(raw, spot.steps) or ""


def _of_result(raw: dict[str, Any], steps: tuple[str | int, ...]) -> str:
    """Shown unit of a value of a calculation's result, as its method names it."""
    if steps[:2] != ("result", "values") or len(steps) < 4:
        return ""
    result = raw.get("result", {})
    method, name = all_methods().get(result.get("method", "")), result["values"][steps[2]].get("name", "")
    try:
        return method.result_field(name).shown or "" if method is not None else ""
    except KeyError:
        return ""


def number_words(value: float, unit: str, shown: str = "") -> str:
    """A stored number with its unit as it is read, in up to six digits: "56.65 kN/mm", "1398.2 g"."""
    stored = unit or "-"
    target = shown or readable_unit(stored, value)
    if target == stored or not units.same_dimension(stored, target):
        return f"{value:.{DIGITS}g}{_tail(stored)}"
    return f"{units.convert(value, stored, target):.{DIGITS}g}{_tail(target)}"


def _tail(unit: str) -> str:
    return "" if unit in NO_UNIT else f" {unit}"
