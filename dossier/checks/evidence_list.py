"""Check 4.14: what was begun is all in the list."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator

from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.evidence_specimens import started
from dossier.checks.view import View
from dossier.records.evidence import EvidenceItem

_NUMBERED = re.compile(r"E-(\d+)")


@computed("4.14")
def all_told(view: View) -> Computed:
    """As many items reported as begun: no number missing, none still running, no run or specimen left out."""
    items = started(view)
    findings = [*_missing_numbers(view)] if view.project.evidence else []
    for item in items:
        findings += _untold(view, item)
    counts = Counter(item.state for item in items)
    unreported = {finding.record for finding in findings}
    told = ", ".join(f"{number} {state}" for state, number in counts.items())
    reported = sum(item.id not in unreported for item in items)
    facts = [f"{len(items)} begun ({told}), {reported} reported"]
    return verdict_of(findings, facts, data=bool(items))


def _missing_numbers(view: View) -> Iterator[Finding]:
    """An item is never deleted: a gap in the numbers is one that was."""
    numbers = {int(m[1]): item.id for item in view.project.evidence if (m := _NUMBERED.fullmatch(item.id))}
    for number in range(1, max(numbers, default=0)):
        if number not in numbers:
            after = numbers[min(known for known in numbers if known > number)]
            width = len(after) - 2
            remedy = f"is missing before {after}; restore it from the history, an item is never deleted"
            yield Finding(f"E-{number:0{width}d}", "", "", remedy)


def _untold(view: View, item: EvidenceItem) -> Iterator[Finding]:
    if item.state == "running":
        yield Finding(item.id, "state", "running", "is not reported yet; finish it, or abort it with a reason")
    if item.state == "finished" and not (item.samples or item.statement or item.result):
        yield Finding(item.id, "samples", "", "is empty; enter what was found, or abort the item with a reason")
    runs: dict[str, list[int]] = {}
    for sample in item.samples:
        runs.setdefault(sample.specimen, []).append(sample.run)
    for specimen, numbers in runs.items():
        gap = next((n for n in range(1, max(numbers)) if n not in numbers), None)
        if gap is not None:
            remedy = f"has run {max(numbers)} but no run {gap}; enter that run too, with the reason why it is left out"
            yield Finding(item.id, "samples.run", specimen, remedy)
    if item.repeats and not isinstance(view.project.find(item.repeats), EvidenceItem):
        yield Finding(item.id, "repeats", item.repeats, "names no evidence item; correct the id")
    if item.state == "finished" and not item.deviations and not item.lives_from:
        yield from _fewer_than_planned(item, len(runs))


def _fewer_than_planned(item: EvidenceItem, tested: int) -> Iterator[Finding]:
    planned = item.planned_variant + item.planned_reference
    if tested < planned:
        remedy = f"are fewer than the {planned} planned; enter the others, or say in deviations what became of them"
        yield Finding(item.id, "samples", f"{tested} specimens", remedy)
