"""From a line of an item's uncertainty budget to its standard uncertainty, with where it comes from."""

from __future__ import annotations

import math
from typing import Any

from dossier.evidence.calibration import standard_of_class
from dossier.evidence.errors import EvaluationError
from dossier.methods.links import Resolved
from dossier.records.evidence import Contribution, Equipment, EvidenceItem
from dossier.store.project import Project


def budget_line(project: Project, item: EvidenceItem, place: int, resolved: Resolved) -> dict[str, Any]:
    """One line as the evaluation takes it: relative, or `absolute` in the item's unit.

    Channel: half of its expanded uncertainty (k = 2), else its class. Step of a display: step/√12, new with each reading.
    Temperature: rectangular over its half width and the distance from the temperature the value is stated for.
    """
    line = item.budget[place]
    source, found = f"{item.id}.budget.{place}", {"relative": line.relative or 0.0, "systematic": line.systematic}
    if line.channel:
        found["relative"], source = _of_channel(project, item, place, resolved)
    elif line.step is not None:
        found |= {"absolute": line.step / math.sqrt(12), "systematic": False}
        if item.quantity != "single":
            resolved.problems.append(f"budget.{place}.step = {line.step} is in the unit of single values; give relative here")
    elif line.per_kelvin is not None:
        found["relative"] = _of_temperature(item, place, line, resolved)
    if line.kind:
        found |= {"kind": line.kind, "systematic": False}
    resolved.sources[f"budget.{line.cause}"] = source
    return {"cause": line.cause, **found}


def _of_channel(project: Project, item: EvidenceItem, place: int, resolved: Resolved) -> tuple[float, str]:
    line = item.budget[place]
    name, _, quantity = line.channel.partition(".")
    equipment = project.find(name)
    channels = equipment.channel if isinstance(equipment, Equipment) else []
    channel = next((channel for channel in channels if channel.quantity == quantity), None)
    field = f"{name}.channel.{quantity}"
    fault = "" if name in item.equipment else "is not among the item's equipment"
    if channel is not None and not fault:
        if channel.uncertainty:
            return channel.uncertainty / 2, f"{field}.uncertainty"
        try:
            return standard_of_class(quantity, channel.classification), f"{field}.classification"
        except EvaluationError as error:
            fault = f"states no uncertainty, and {error}"
    fault = fault or "states no uncertainty"
    resolved.problems.append(f"budget.{place}.channel = {line.channel} {fault}; correct it, or give relative instead")
    return 0.0, f"{field}.uncertainty"


def _of_temperature(item: EvidenceItem, place: int, line: Contribution, resolved: Resolved) -> float:
    if item.temperature is None:
        resolved.problems.append(f"budget.{place}.per_kelvin needs the item's temperature; enter it")
        return 0.0
    return abs(line.per_kelvin or 0.0) * (line.kelvin + abs(item.temperature - line.at)) / math.sqrt(3)
