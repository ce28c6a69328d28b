"""Checks 4.1, 4.6 and 4.12: results of the tests, their plausibility, and decisions with uncertainty."""

from __future__ import annotations

from collections.abc import Iterator
from statistics import median

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.margin import decide, limit_in_words
from dossier.checks.verdict import Support, Verdict
from dossier.checks.view import View
from dossier.methods.evidence_links import CURVES, WITH_FILES
from dossier.methods.evidence_signs import kept_signs, unanswered
from dossier.methods.freshness import STANDS
from dossier.records.calculation import Result
from dossier.records.evidence import EvidenceItem
from dossier.units import amount

# A specimen further than this factor from the median of its group is asked about; common practice, no source.
FAR_FROM_MEDIAN = 2.0
# Travel left at zero load, as share of the evaluated travel, above which drift or slip is asked about; no source.
LARGEST_RESIDUAL = 0.25


def _tests(view: View) -> Iterator[tuple[Verdict, Support, EvidenceItem]]:
    """What tests say about the requirements that are verified by test."""
    for verdict in view.verdicts.values():
        if "test" in verdict.requirement.verification:
            for support in verdict.supports:
                item = view.project.find(support.record)
                if isinstance(item, EvidenceItem) and support.way == "test":
                    yield verdict, support, item


def _names(item: EvidenceItem, requirement: str) -> list[str]:
    return [served.value for served in item.serves if served.requirement == requirement]


@computed("4.1")
def tests_have_results(view: View) -> Computed:
    """Count, mean, spread, uncertainty and a decision for each requirement verified by test."""
    tested = list(_tests(view))
    wanted = [v.requirement for v in view.verdicts.values() if "test" in v.requirement.verification]
    findings = []
    for requirement in wanted:
        if all(verdict.requirement.id != requirement.id for verdict, _, _ in tested):
            findings.append(Finding(requirement.id, "verification", "test", "rests on no test; plan and do it"))
    for verdict, support, item in tested:
        if support.state in ("open", "outdated"):
            remedy = support.reason or f"its evaluation is {support.state}; evaluate it again"
            findings.append(Finding(item.id, "result", support.state, f"{verdict.requirement.id}: {remedy}"))
        elif item.result:
            findings += _thin(verdict, item, item.result)
    decided = {v.requirement.id for v, support, _ in tested if support.state in ("met", "not met", "undecided")}
    facts = [f"{amount(len(wanted), 'requirement')} verified by test, {len(decided)} with a decision"]
    return verdict_of(findings, facts, data=any(item.result for _, _, item in tested))


def _thin(verdict: Verdict, item: EvidenceItem, result: Result) -> Iterator[Finding]:
    """Too few specimens, or a value without an uncertainty."""
    requirement = verdict.requirement
    for name in _names(item, requirement.id):
        for group in ("variant", "reference") if name == "ratio" else (name,):
            count = result.value(f"n_{group}")
            wanted = requirement.sample_size
            if wanted and count and count.value is not None and count.value < wanted:
                verb = "are" if count.value > 1 else "is"
                remedy = f"{verb} fewer than {requirement.id}.sample_size = {wanted}; test more, or concede it"
                yield Finding(item.id, f"result.n_{group}", amount(int(count.value), "specimen"), remedy)
        value = result.value(name)
        uncertain = value is not None and value.low is not None and value.high is not None and value.high > value.low
        stopped = result.value(f"survived_{name}") is not None
        if item.quantity != "yes_no" and not stopped and value is not None and not uncertain:
            remedy = "has no uncertainty; fill the item's budget, or test more than one specimen"
            shown = units.show_quantity(value.value or 0.0, value.unit, None, 4)
            yield Finding(item.id, f"result.{name}", shown, remedy)


@computed("4.6")
def plausible(view: View) -> Computed:
    """Measured curves were read whole in their stated units, no part is off by a factor, the travel comes back, no part
    gives energy.

    Gaps, unordered times and unknown units stop the reading of a file, so that its item has no result.
    """
    items = [i for i in view.project.evidence if i.quantity in WITH_FILES and i.state == "finished"]
    findings, facts = [], []
    for item in items:
        state = view.evaluations[item.id].state
        if item.result is None or state not in STANDS:
            reason = "; ".join(view.evaluations[item.id].problems) or "evaluate it"
            findings.append(Finding(item.id, "result", state, reason))
            continue
        if item.quantity in (*CURVES, "dynamic"):
            findings += _far_off(item, item.result)
        findings += _gives_energy(item, item.result)
        findings += _not_back(item, item.result)
        if item.quantity in CURVES:
            findings += _signs(item, item.result)
        facts.append(f"{item.id}: {amount(len(item.raw_sha256), 'file')} read")
        facts += [f"{item.id}: {note}" for note in item.result.warnings]
        facts += [
            f"{item.id}: {sign.title} in {sign.specimen} answered: {sign.answer.reason} ({sign.answer.by}, {sign.answer.on})"
            for sign in kept_signs(item) if sign.answer
        ]  # fmt: skip
    return verdict_of(findings, facts, data=bool(items))


def _far_off(item: EvidenceItem, result: Result) -> Iterator[Finding]:
    """Specimens far from the others: a unit, a channel or a broken part."""
    single = {v.name: v for v in result.values if v.name.startswith("specimen:") and v.value}
    middle = median(v.value for v in single.values()) if single else None  # type: ignore[type-var]
    for name, value in single.items():
        if middle and value.value and not 1 / FAR_FROM_MEDIAN < value.value / middle < FAR_FROM_MEDIAN:
            shown = units.show_quantity(value.value, value.unit, None, 4)
            remedy = f"is {units.show(value.value / middle, 2)} times the middle of all; check unit and channel, or leave it out"
            yield Finding(item.id, f"result.{name}", shown, remedy)


def _gives_energy(item: EvidenceItem, result: Result) -> Iterator[Finding]:
    """Harmonic records whose load comes behind the travel: a late channel, not rubber."""
    for value in result.values:
        if value.name.startswith("loss_angle:") and value.value is not None and value.value <= 0:
            remedy = "is not above 0, the part would give energy; state the delay of the load channel in the scheme"
            yield Finding(item.id, f"result.{value.name}", units.show_quantity(value.value, value.unit), remedy)


def _not_back(item: EvidenceItem, result: Result) -> Iterator[Finding]:
    """A residual travel that is a large share of the evaluated travel: drift of a channel, slip, or a broken part."""
    for group in ("variant", "reference"):
        stiffness, residual = result.value(group), result.value(f"residual_{group}")
        if not stiffness or not stiffness.value or residual is None or residual.value is None:
            continue
        travel = float(result.inputs["high"]) - float(result.inputs["low"])
        if result.inputs["between"] == "load":
            per_unit = units.convert(stiffness.value, stiffness.unit, "N·mm/°" if residual.unit == "°" else "N/mm")
            travel /= per_unit
        if abs(residual.value) > LARGEST_RESIDUAL * travel:
            shown = units.show_quantity(residual.value, residual.unit)
            remedy = (
                f"is more than {100 * LARGEST_RESIDUAL:g} % of the evaluated travel {units.show(travel, 3)} "
                f"{residual.unit}; look for drift or slip, evaluate another cycle, or leave the specimen out"
            )
            yield Finding(item.id, f"result.residual_{group}", shown, remedy)


def _signs(item: EvidenceItem, result: Result) -> Iterator[Finding]:
    """Signs of trouble that no person answered, and curves that were not searched."""
    for sign in unanswered(item):
        remedy = (
            f"is a sign of {sign.title}, confidence {sign.confidence:.2f}; confirm it and leave the specimen out, or say why "
            f"the result stands (a on its curve, or dossier answer-sign … {item.id} {sign.specimen} {sign.kind})"
        )
        yield Finding(item.id, f"result.sign:{sign.specimen}", f"row {sign.row}", remedy)
    for group in ("variant", "reference"):
        if result.value(group) is not None and result.value(f"signs_{group}") is None:
            yield Finding(item.id, f"result.signs_{group}", "", "is missing: no signs were looked for; evaluate the item again")


@computed("4.12")
def decided_with_uncertainty(view: View) -> Computed:
    """Met only where value ± U stays within the limit; what lies across it is undecided and named here."""
    findings, told = {}, 0
    for verdict in view.verdicts.values():
        for support in verdict.supports:
            item = view.project.find(support.record)
            if not isinstance(item, EvidenceItem) or item.quantity == "yes_no" or support.value is None:
                continue
            if support.state not in ("met", "not met", "undecided"):
                continue
            told += 1
            if not item.budget:
                remedy = "is empty; enter calibration, fixture and resolution, the scatter alone is no uncertainty"
                findings[item.id, "budget"] = Finding(item.id, "budget", "", remedy)
            if support.state == "undecided" and verdict.state != "conceded":
                findings[item.id, verdict.requirement.id] = _undecided(verdict, support)
    facts = [f"{told} decisions on values with their uncertainty"]
    return verdict_of(list(findings.values()), facts, data=bool(told))


def _undecided(verdict: Verdict, support: Support) -> Finding:
    requirement = verdict.requirement
    if decide(requirement.limit, support.low or 0.0, support.high or 0.0) != "undecided":
        remedy = f"does not decide {requirement.id}: {support.reason}; clear it up, or concede {requirement.id}"
        return Finding(support.record, "result", "undecided", remedy)
    unit = "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
    shown = f"{units.show(support.low or 0.0, 4)} to {units.show(support.high or 0.0, 4)}{unit}"
    demand = limit_in_words(requirement.limit, requirement.unit)
    remedy = f"reaches across the limit of {requirement.id}, {demand}: undecided; measure better, test more, or concede it"
    return Finding(support.record, "result", shown, remedy)
