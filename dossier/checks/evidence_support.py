"""What an evidence item says about a requirement."""

from __future__ import annotations

from dataclasses import replace

from dossier import units
from dossier.checks.margin import Margin, decide, margin
from dossier.checks.verdict import Support
from dossier.methods.evidence_links import counted
from dossier.methods.freshness import STANDS, Freshness
from dossier.records.calculation import ResultValue
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement

LISTED_ONLY = ("aborted", "invalid")


def support_of_evidence(
    requirement: Requirement, item: EvidenceItem, value_name: str, fresh: Freshness
) -> Support | None:
    """The item's decision; None for aborted and invalid items, which are listed but decide nothing."""
    if item.state in LISTED_ONLY:
        return None
    if item.state in ("planned", "running"):
        return Support(item.id, item.way, "open", reason=f"is {item.state}")
    reason = "; ".join(fresh.problems)
    if item.result is None:
        return Support(item.id, item.way, "open", reason=reason or "is not evaluated; calculate it")
    if fresh.state == "failed":
        return Support(item.id, item.way, "not met", reason=f"its evaluation failed: {reason}")
    found = item.result.value(value_name)
    if found is None or found.value is None:
        return Support(item.id, item.way, "open", reason=f'gives no value "{value_name}"')
    if fresh.older:
        return replace(_decided(requirement, item, value_name, found, fresh, reason), older_shape=True, reason=reason)
    return _decided(requirement, item, value_name, found, fresh, reason)


def _decided(
    requirement: Requirement, item: EvidenceItem, value_name: str, found: ResultValue, fresh: Freshness, reason: str
) -> Support:
    if item.quantity == "yes_no":
        return _yes_no(requirement, item, found, fresh)
    if not _comparable(found.unit, requirement.unit):
        reason = f"{value_name} is in {found.unit}, the requirement in {requirement.unit}; correct the unit of one"
        return Support(item.id, item.way, "open", reason=reason)
    return _against_limit(requirement, item, found, fresh, reason)


def run_without_failure(requirement: Requirement, item: EvidenceItem) -> int | None:
    """Number of parts where all reached the life asked for: such a run has no band, it is counted. Else None."""
    least = requirement.limit.min
    if requirement.quantity != "life" or requirement.limit.kind != "min" or least is None or item.unit != requirement.unit:
        return None
    samples = counted(item)
    reached = [s for s in samples if s.passed is not False and s.value is not None and s.value >= least]
    return len(samples) if samples and len(reached) == len(samples) else None


def _comparable(unit: str, other: str) -> bool:
    try:
        return units.same_dimension(unit, other)
    except units.UnitError:
        return False


def _yes_no(requirement: Requirement, item: EvidenceItem, found: ResultValue, fresh: Freshness) -> Support:
    if requirement.limit.kind not in ("pass_fail", "capability"):
        return Support(item.id, item.way, "open", reason="a yes or no cannot be held against a number; measure a value")
    passed, count = item.result.value("passed"), item.result.value("n_variant")  # type: ignore[union-attr]
    told = f"{passed.value:g} of {count.value:g} passed" if passed and count else ""
    state = "met" if found.value == 1 else "not met"
    return Support(item.id, item.way, state if fresh.state in STANDS else fresh.state, reason=told)


def _against_limit(
    requirement: Requirement, item: EvidenceItem, found: ResultValue, fresh: Freshness, reason: str
) -> Support:
    value = found.value or 0.0
    ends = (value if found.low is None else found.low, value if found.high is None else found.high)
    shown, low, high = (units.convert(number, found.unit, requirement.unit) for number in (value, *ends))
    low, high = min(low, high), max(low, high)
    tail = "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
    distance = margin(requirement.limit, low, high)
    state = fresh.state
    if state in STANDS:
        decided = decide(requirement.limit, low, high)
        if requirement.limit.kind == "target":
            off = shown - (requirement.limit.nominal or 0.0)
            state, reason, distance = "met", f"a target: deviation {units.show_signed(off, 1)}{tail}", Margin(None)
        else:
            state, reason = decided or "open", "" if decided else "the limit's kind asks for a yes or no"
        if item.result and item.result.validity != "inside":
            state, reason = "not met", "; ".join(item.result.validity_notes)
    count = run_without_failure(requirement, item)
    if count and state == "met":
        return Support(item.id, item.way, state, reason=f"{count} of {count} without failure up to the target")
    return Support(item.id, item.way, state, shown, low, high, distance, reason)
