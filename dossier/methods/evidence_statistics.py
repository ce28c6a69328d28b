"""From an item of lives, of a series or of a staircase to the settings of its evaluation."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dossier.methods.evidence_base import GroupsInput, SampleIn
from dossier.methods.links import Resolved
from dossier.records.base import q
from dossier.records.evidence import EvidenceItem, Sample, Statistics
from dossier.store.project import Project

JUDGED = ("life", "capability", "staircase", "sn_line")
EVERY_TEST = ("life", "sn_line")
_USED = {
    "life": ("confidence", "share", "required", "slope_low", "slope_high"),
    "capability": ("confidence", "share", "lower", "upper"),
    "staircase": ("confidence",),
    "sn_line": ("confidence", "share", "load", "load_unit"),
}


class JudgedInput(GroupsInput):
    """Values in the item's unit and the confidence of one-sided bounds."""

    unit: str
    confidence: float = q("-", "confidence of the one-sided bound", 0.90, at_least=0.5, below=1)


def statistics_of(project: Project, item: EvidenceItem, counted: Sequence[Sample], resolved: Resolved) -> dict[str, Any]:
    """Unit and settings of the item's kind; tests that were started and have no life go to the problems."""
    settings = item.statistics or Statistics()
    used = {name: getattr(settings, name) for name in _USED[item.quantity]}
    resolved.sources |= {name: f"{item.id}.statistics.{name}" for name, value in used.items() if value is not None}
    hindered = any(problem.startswith("lives_from") for problem in resolved.problems)
    if item.quantity in EVERY_TEST and not hindered and (missing := _missing(project, item, counted)):
        resolved.problems.append(
            f"samples: {', '.join(missing)} started and without a life here; a statement on lives needs every started test: "
            "enter the life it reached, survived where it was stopped without failure"
        )
    if item.lives_from:
        used["lives_from"] = ", ".join(item.lives_from)
    return {"unit": item.unit, **{name: value for name, value in used.items() if value is not None}}


def values_of(samples: Sequence[SampleIn], unit: str) -> list[float]:
    """The value of every sample. Raises ValueError for one without."""
    for sample in samples:
        if sample.value is None:
            raise ValueError(f"{sample.specimen} has no value; enter it in {unit}")
    return [sample.value for sample in samples if sample.value is not None]


def _missing(project: Project, item: EvidenceItem, counted: Sequence[Sample]) -> list[str]:
    """Specimens of the item, of the items it repeats and of those it takes lives from, that do not count among its lives."""
    present = {sample.specimen for sample in counted if sample.value is not None}
    told, seen, waiting = [], set(), [item.id]
    while waiting:
        each = item if not seen else project.find(waiting[0])
        name = waiting.pop(0)
        if not isinstance(each, EvidenceItem) or name in seen:
            continue
        seen.add(name)
        told += [f"{s.specimen} ({name})" for s in each.samples if s.specimen not in present]
        waiting += [*([each.repeats] if each.repeats else []), *each.lives_from]
    return list(dict.fromkeys(told))
