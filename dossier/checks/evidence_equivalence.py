"""Check 4.8: variant and reference part are equivalent as one statement: margins, ratios, batches, failure modes."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.checks.base import Computed, Finding, absent, computed, verdict_of
from dossier.checks.evidence_specimens import ratio_demanded
from dossier.checks.told_equivalence import (
    compared_items,
    deviation_words,
    first_measured,
    mode_words,
    modes_of,
    set_sentence,
)
from dossier.checks.view import View
from dossier.methods.evidence_base import LIMITED
from dossier.methods.freshness import STANDS
from dossier.records.evidence import MODES, EvidenceItem


@computed("4.8")
def equivalent(view: View) -> Computed:
    """The 90 % interval of each ratio lies inside the margin that was agreed before the test, no mode is new or worse."""
    items = compared_items(view)
    if view.project.evidence and not (ratio_demanded(view) or items):
        return absent("evidence", "margin", "is agreed for no ratio; plan a test that compares, with its margin")
    findings: list[Finding] = []
    facts: list[str] = []
    for item in items:
        findings += _margin_findings(view, item)
        if item.state == "finished":
            findings += _ratio_findings(view, item, facts)
            findings += _mode_findings(view, item, facts)
    facts += [sentence] if (sentence := set_sentence(view)) else []
    return verdict_of(findings, facts, data=any(item.state != "planned" for item in items))


def _margin_findings(view: View, item: EvidenceItem) -> Iterator[Finding]:
    margin = item.margin
    if margin is None:
        yield Finding(item.id, "margin", "", "is empty; enter the margin of the ratio agreed before the test")
        return
    begun, of_item = first_measured(view.project, item)
    if begun and margin.agreed.on >= begun:
        remedy = f"is not before the first measurement, {of_item} on {begun}; a margin agreed later proves nothing: test again"
        yield Finding(item.id, "margin.agreed.on", margin.agreed.on, remedy)
    if not begun and item.samples:
        remedy = "is empty; give the day of the first measurement, the margin must be older"
        yield Finding(item.id, "started_on", "", remedy)
    for served in item.serves:
        requirement = view.verdicts[served.requirement].requirement if served.requirement in view.verdicts else None
        if served.value != "ratio" or requirement is None:
            continue
        limit = requirement.limit
        if (limit.min, limit.max) != (margin.low, margin.high):
            remedy = f"differs from {requirement.id}, {_limits(limit.min, limit.max)}; keep the agreed one"
            yield Finding(item.id, "margin", margin.words, remedy)


def _limits(low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return "which has no limit"
    if low is None or high is None:
        return f"at least {low:g}" if high is None else f"at most {high:g}"
    return f"{low:g} .. {high:g}"


def _ratio_findings(view: View, item: EvidenceItem, facts: list[str]) -> Iterator[Finding]:
    fresh = view.evidence_freshness[item.id]
    if item.result is None or fresh.state not in STANDS:
        yield Finding(item.id, "result", fresh.state, "; ".join(fresh.problems) or "evaluate it again")
        return
    ratio = item.result.value("ratio")
    if ratio is None or ratio.value is None or ratio.low is None or ratio.high is None:
        yield Finding(item.id, "result.ratio", "", "is missing; test at least two specimens of each part in one item")
        return
    told = f"{ratio.value:.3f} ({ratio.low:.3f} .. {ratio.high:.3f})"
    facts.append(f"{item.id}: ratio {told}")
    facts += [f"{item.id}: {note}" for note in item.result.warnings if note.startswith(LIMITED)]
    facts += [f"{item.id}: {words}" for words in deviation_words(item)]
    if item.margin and not item.margin.holds(ratio.low, ratio.high):
        remedy = f"leaves the margin {item.margin.words} with its 90 % interval; test more specimens, or concede it"
        yield Finding(item.id, "result.ratio", told, remedy)


def _mode_findings(view: View, item: EvidenceItem, facts: list[str]) -> Iterator[Finding]:
    """A mode the reference part did not show counts as new unless it is more benign than what that one showed."""
    modes = modes_of(view.project, item)
    told = [name for group in modes.values() for name in group.values()]
    if not any(told) and not (item.margin and item.margin.high is None):
        return
    missing = [part for group in modes.values() for part, mode in group.items() if not mode]
    if missing:
        remedy = f"of {missing[0]} is empty; say what failed ({', '.join(filter(None, MODES))}), failure modes are compared"
        yield Finding(item.id, "samples.mode", "", remedy)
        return
    facts.append(f"{item.id}: {mode_words(modes)}")
    known = set(modes["reference"].values())
    worst = max((MODES.index(mode) for mode in known), default=0)
    for part, mode in modes["variant"].items():
        if MODES.index(mode) > worst:
            remedy = f"of {part} is worse than what the reference part showed ({', '.join(sorted(known)) or 'none tested'})"
            yield Finding(item.id, "samples.mode", mode, f"{remedy}; find the cause, or concede it")
        elif mode not in known and MODES.index(mode) == worst:
            yield Finding(item.id, "samples.mode", mode, f"of {part} is new against the reference part; judge it, or concede it")
