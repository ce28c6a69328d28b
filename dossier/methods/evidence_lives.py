"""Lives that an item of lives takes from endurance records: of each part the cycles to its end, or where it was stopped."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from dossier import units
from dossier.methods.freshness import STANDS
from dossier.methods.links import Resolved
from dossier.records.evidence import EvidenceItem, Sample
from dossier.store.project import Project

UNIT = "cycles"


@dataclass(frozen=True)
class TakenLife:
    """A life as a sample of the item that takes it, and the endurance item it comes from."""

    sample: Sample
    source: str


def taken_lives(project: Project, item: EvidenceItem, resolved: Resolved) -> list[TakenLife]:
    """The life of each part that counts in the items of `lives_from`, in the item's unit; what hinders goes to the problems."""
    found: list[TakenLife] = []
    for other in linked_items(project, item, resolved):
        found += [taken for taken in _of_item(project, item, other, resolved)]
    named = [sample.specimen for sample in item.samples] + [taken.sample.specimen for taken in found]
    for specimen in dict.fromkeys(name for name in named if named.count(name) > 1):
        if any(taken.sample.specimen == specimen for taken in found):
            told = f"{specimen} has a life here and in lives_from = {', '.join(item.lives_from)}, or in two of them"
            resolved.problems.append(f"{told}; keep one")
    return found


def linked_items(project: Project, item: EvidenceItem, resolved: Resolved | None = None) -> list[EvidenceItem]:
    """The endurance items of `lives_from`; others go to the problems."""
    found = []
    for name in item.lives_from:
        other = project.find(name)
        if isinstance(other, EvidenceItem) and other.quantity == "durability":
            found.append(other)
        elif resolved is not None:
            resolved.problems.append(f"lives_from = {name} is no item of stiffness over cycles; name a durability item")
    if item.lives_from and item.quantity != "life" and resolved is not None:
        resolved.problems.append(f"lives_from = {', '.join(item.lives_from)}: only an item of lives takes them; clear it")
    return found


def life_samples(item: EvidenceItem) -> list[Sample]:
    """The lives a stored result was worked out of, where some were taken from other items."""
    groups: Iterable[dict] = [*item.result.inputs["variant"], *item.result.inputs["reference"]] if item.result else []
    return [Sample(specimen=entry["specimen"], value=entry["value"], survived=entry.get("survived")) for entry in groups]


def _of_item(project: Project, item: EvidenceItem, other: EvidenceItem, resolved: Resolved) -> Iterable[TakenLife]:
    from dossier.methods.evidence_links import counted, evaluation_freshness

    fresh = evaluation_freshness(project, other)
    if other.result is None or fresh.state not in STANDS:
        state = "has no result yet" if other.result is None else f"is {fresh.state}"
        resolved.problems.append(f"lives_from = {other.id} {state}; evaluate it first")
        return
    for sample in counted(other):
        life, stopped = (other.result.value(f"{name}:{sample.specimen}") for name in ("specimen", "censored"))
        if life is None or life.value is None:
            continue
        try:
            value = units.convert(life.value, UNIT, item.unit)
        except units.UnitError as error:
            resolved.problems.append(f"unit = {item.unit}: lives of {other.id} are in {UNIT}: {error}; correct the unit")
            return
        survived = True if stopped and stopped.value else None
        yield TakenLife(Sample(specimen=sample.specimen, value=value, survived=survived), other.id)
