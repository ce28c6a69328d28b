"""What an evidence item says about a requirement."""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import NormalDist

from dossier import units
from dossier.checks.margin import Margin, decide, margin
from dossier.checks.measuring_channels import not_calibrated_words
from dossier.checks.verdict import DECIDED, Support
from dossier.methods.evidence_base import LIMITED
from dossier.methods.evidence_links import counted
from dossier.methods.evidence_lives import life_samples, linked_items
from dossier.methods.evidence_signs import unanswered
from dossier.methods.freshness import STANDS, Freshness
from dossier.records.calculation import ResultValue
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from dossier.store.project import Project

LISTED_ONLY = ("aborted", "invalid")


def support_of_evidence(
    project: Project, requirement: Requirement, item: EvidenceItem, value_name: str, fresh: Freshness
) -> Support | None:
    """The item's decision; None for aborted and invalid items, which are listed but decide nothing."""
    if item.state in LISTED_ONLY:
        return None
    if item.state in ("planned", "running"):
        return Support(item.id, item.way, "open", reason=f"its {item.way} is {item.state}")
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
    return _unless_doubted(project, item, value_name, _decided(requirement, item, value_name, found, fresh, reason))


def _unless_doubted(project: Project, item: EvidenceItem, value_name: str, decided: Support) -> Support:
    """What would be met is undecided as long as its measurement is in doubt; of dynamic over static, the static one too."""
    doubts = measurement_doubts(project, item) if decided.state == "met" else []
    static = project.find(item.related_to) if value_name.startswith("to_static") and decided.state == "met" else None
    if isinstance(static, EvidenceItem):
        doubts += [f"{static.id}: {doubt}" for doubt in measurement_doubts(project, static)]
    if not doubts:
        return decided
    also = [] if decided.part or not decided.reason else [decided.reason]
    return replace(decided, state="undecided", reason="; ".join([*doubts, *also]))


def measurement_doubts(project: Project, item: EvidenceItem) -> list[str]:
    """Why no value of the item is proven: signs of trouble before a person says why it stands, a machine whose calibration
    did not hold then."""
    open_signs = ", ".join(f"{sign.title} in {sign.specimen}" for sign in unanswered(item))
    told = [f"sign of trouble not answered: {open_signs}"] if open_signs else []
    told += filter(None, [not_calibrated_words(project, item)])
    for other in linked_items(project, item):
        told += [f"{other.id}: {doubt}" for doubt in measurement_doubts(project, other)]
    return told


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
    """Number of parts where all survived, or reached the life asked for: such a run is counted, it has no band. Else None,
    and where a distribution of the lives was fitted: its lower bound decides."""
    if item.result and item.result.value("weibull_shape_variant"):
        return None
    least = requirement.limit.min
    if requirement.limit.kind != "min" or least is None or not _comparable(item.unit, requirement.unit):
        return None
    samples = life_samples(item) if item.lives_from else counted(item)
    target = units.convert(least, requirement.unit, item.unit)
    reached = [s for s in samples if s.passed is not False and s.value is not None and s.value >= target]
    counts = requirement.quantity == "life" or all(sample.survived for sample in samples)
    return len(samples) if samples and counts and len(reached) == len(samples) else None


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
    if item.result and (survived := item.result.value(f"survived_{found.name}")):
        return _survived(requirement, item, found, survived.value or 0.0, fresh, reason)
    shown, low, high, part = _held_to_limit(requirement, item, found)
    tail = "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
    distance = margin(requirement.limit, low, high)
    state = fresh.state
    if state in STANDS:
        decided = decide(requirement.limit, low, high) if not part else _worst(requirement, item, found)
        reason = f"worst part {part}" if part else ""
        if requirement.limit.kind == "target":
            off = shown - (requirement.limit.nominal or 0.0)
            state, reason, distance = "met", f"a target: deviation {units.show_signed(off, 1)}{tail}", Margin(None)
        else:
            state, reason = decided or "open", reason if decided else "the limit's kind asks for a yes or no"
        if found.name == "ratio" and state in DECIDED and _limited(item):
            reason = LIMITED.removeprefix("the verdict ")
        if item.result and item.result.validity != "inside":
            state, reason = "not met", "; ".join(item.result.validity_notes)
    count = run_without_failure(requirement, item)
    if count and state == "met":
        return Support(item.id, item.way, state, reason=f"{count} of {count} without failure up to the target")
    return Support(item.id, item.way, state, shown, low, high, distance, reason, part=part)


def _limited(item: EvidenceItem) -> bool:
    return any(note.startswith(LIMITED) for note in (item.result.warnings if item.result else []))


def _held_to_limit(
    requirement: Requirement, item: EvidenceItem, found: ResultValue
) -> tuple[float, float, float, str]:
    """Value and ends of its band in the requirement's unit, and the part it was measured on where the worst one decides."""
    worst = _worst_parts(requirement, item, found)
    if not worst:
        value = found.value or 0.0
        ends = (value if found.low is None else found.low, value if found.high is None else found.high)
        shown, low, high = (units.convert(number, found.unit, requirement.unit) for number in (value, *ends))
        return shown, min(low, high), max(low, high), ""
    bands = [_band_of_one(item, _in_unit(value, requirement.unit), requirement.unit) for value in worst]
    distances = [margin(requirement.limit, *band).value or 0.0 for band in bands]
    value, band = worst[distances.index(min(distances))], bands[distances.index(min(distances))]
    shown = units.convert(value.value or 0.0, value.unit, requirement.unit)
    return shown, *band, value.name.partition(":")[2]


def _worst(requirement: Requirement, item: EvidenceItem, found: ResultValue) -> str | None:
    """The decision on the part that fares worst."""
    order = ("not met", "undecided", "met", None)
    decided = [
        decide(requirement.limit, *_band_of_one(item, _in_unit(value, requirement.unit), requirement.unit))
        for value in _worst_parts(requirement, item, found)
    ]
    return min(decided, key=order.index)


def _worst_parts(requirement: Requirement, item: EvidenceItem, found: ResultValue) -> list[ResultValue]:
    """The parts of the group with the smallest and the largest value; none where the mean decides
    or only one was measured."""
    if requirement.decided_by != "worst part" or item.result is None or found.name not in ("variant", "reference"):
        return []
    group = {sample["specimen"] for sample in item.result.inputs.get(found.name, [])}
    parts = [v for v in item.result.values if v.name.startswith("specimen:") and v.name.partition(":")[2] in group]
    ordered = sorted(parts, key=lambda value: value.value or 0.0)
    return [ordered[0], ordered[-1]] if len(ordered) > 1 else []


def _in_unit(value: ResultValue, unit: str) -> float:
    return units.convert(value.value or 0.0, value.unit, unit)


def _band_of_one(item: EvidenceItem, value: float, unit: str) -> tuple[float, float]:
    """Value in `unit` ± expanded uncertainty (95 %) of one measurement, by the item's budget; the scatter of parts is no
    part of it."""
    budget = item.result.inputs.get("budget", []) if item.result else []
    relative = math.fsum(line["relative"] ** 2 for line in budget)
    absolute = math.fsum(units.convert(line["absolute"], item.unit, unit) ** 2 for line in budget if "absolute" in line)
    half = NormalDist().inv_cdf(0.975) * math.sqrt(value**2 * relative + absolute)
    return value - half, value + half


def _survived(
    requirement: Requirement, item: EvidenceItem, found: ResultValue, survived: float, fresh: Freshness, reason: str
) -> Support:
    """Parts that were stopped without failure: met where all of them bore what is asked, without value and margin."""
    number = item.result.value(f"n_{found.name}") if item.result else None
    count = int(number.value) if number and number.value else len(counted(item))
    worst = units.convert(found.value or 0.0, found.unit, requirement.unit)
    tail = "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
    told = f"{survived:g} of {count} survived, the least {units.show(worst, 4)}{tail}{of_life(requirement, worst)}"
    if fresh.state not in STANDS:
        return Support(item.id, item.way, fresh.state, reason=reason)
    if requirement.limit.kind != "min":
        return Support(item.id, item.way, "open", reason=f"{told}; what was survived decides a least value only")
    decided = decide(requirement.limit, *_band_of_one(item, worst, requirement.unit))
    if decided == "not met" and not _failed_below(requirement, item, found):
        decided, told = "undecided", f"{told}: stopped before the limit; go on to it"
    return Support(item.id, item.way, decided or "open", reason=told)


def of_life(requirement: Requirement, value: float) -> str:
    """ " × the life asked for, six passes of programme P1" of a life that is told as a multiple, or nothing."""
    least = requirement.limit.min
    if requirement.quantity != "life" or requirement.unit not in ("-", "1") or not least:
        return ""
    asked = f" × the life asked for{f', {cycle}' if (cycle := requirement.conditions.cycle) else ''}"
    return asked if least == 1 else f" ({units.show(value / least, 3)}{asked})"


def _failed_below(requirement: Requirement, item: EvidenceItem, found: ResultValue) -> bool:
    """Whether a part failed at a value that lies below the limit with its uncertainty."""
    failed = [units.convert(value, found.unit, requirement.unit) for value in _failed_at(item, found.name)]
    return any(decide(requirement.limit, *_band_of_one(item, value, requirement.unit)) == "not met" for value in failed)


def _failed_at(item: EvidenceItem, name: str) -> list[float]:
    """Values of the parts of a group that failed: as entered, or as a record of their cycles gave them."""
    if item.quantity == "durability":
        return [life for life, stopped in lives_of(item, name) if not stopped]
    group = item.result.inputs.get(name, []) if item.result else []
    return [entry["value"] for entry in group if not entry.get("survived")]


def lives_of(item: EvidenceItem, name: str) -> list[tuple[float, bool]]:
    """Life of each part of the group that a durability item's value `name` is of, in the value's unit, and whether the part
    was stopped there before its end."""
    if item.result is None:
        return []
    group = item.result.inputs.get(name.removeprefix("share_"), [])
    lead = "share" if name.startswith("share_") else "specimen"
    found = []
    for specimen in (entry["specimen"] for entry in group):
        life, stopped = (item.result.value(f"{part}:{specimen}") for part in (lead, "censored"))
        if life is not None and life.value is not None:
            found.append((life.value, bool(stopped and stopped.value)))
    return found
