"""What terminal, commands and document tell alike: one sentence a sheet, one row a requirement."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from dossier import units
from dossier.checks.margin import Margin, limit_in_words
from dossier.checks.standing import requirements_answer, standing
from dossier.checks.told_cost import piece_cost_sentence
from dossier.checks.told_evidence import decisions
from dossier.checks.told_numbers import band_alone, digits_of, value_beside, with_band
from dossier.checks.verdict import Verdict
from dossier.checks.view import View
from dossier.methods.base import ResultField
from dossier.methods.registry import all_methods
from dossier.records.calculation import Calculation, ResultValue
from dossier.records.header import Header
from dossier.records.requirement import Requirement
from dossier.records.step import StepRecord
from dossier.units import amount

NO_CONCESSION = "no concession"
LEADING = {"co2.saving": "total_mid"}  # value told first where it is not the method's first


@dataclass(frozen=True)
class RequirementRow:
    """A requirement as a line of a table. Numbers are texts with sensible digits, in the requirement's unit.

    `uncertainty` is the half of an even band, "low to high" of an uneven one; `told` is value, band and unit in one.
    """

    id: str
    title: str
    limit: str
    value: str
    uncertainty: str
    told: str
    unit: str
    margin: Margin
    state: str
    reason: str
    rests_on: tuple[str, ...]


def requirement_row(verdict: Verdict) -> RequirementRow:
    """The line of one verdict; the value is the leading support's, or the prediction beside when there is none."""
    requirement = verdict.requirement
    leading = verdict.leading
    shown = leading if leading and leading.value is not None else None
    numbers = (shown.value or 0.0, shown.low, shown.high) if shown else (0.0, None, None)
    reason = verdict.reason
    if verdict.concession:
        concession = verdict.concession
        reason = f"{verdict.before_concession} by the numbers; {concession.id}: {concession.reason}"
    elif leading and leading.reason:
        reason = leading.reason
    return RequirementRow(
        id=requirement.id,
        title=requirement.title,
        limit=limit_in_words(requirement.limit, requirement.unit),
        value=value_beside(*numbers, digits_of(requirement.unit)) if shown else "–",
        uncertainty=band_alone(*numbers, digits_of(requirement.unit)) if shown else "",
        told=with_band(*numbers, requirement.unit, digits_of(requirement.unit)) if shown else "",
        unit="" if requirement.unit in ("-", "1") else requirement.unit,
        margin=verdict.margin,
        state=verdict.state,
        reason=reason,
        rests_on=tuple(support.record for support in (*verdict.supports, *verdict.beside)),
    )


def concession_words(view: View) -> str:
    """ "4 concessions: 1 on a requirement, 3 on checks" of all that are recorded, or "no concession"."""
    given = [concession for step in view.project.of_kind(StepRecord) for concession in step.concession]
    if not given:
        return NO_CONCESSION
    on = sum(isinstance(view.project.find(concession.on_record), Requirement) for concession in given)
    parts = [(on, "requirement"), (len(given) - on, "check")]
    told = [f"{count} on {'a ' + what if count == 1 else what + 's'}" for count, what in parts if count]
    return f"{len(given)} concession{'s' if len(given) > 1 else ''}: {', '.join(told)}"


def margin_words(margin: Margin, unit: str) -> str:
    """"+0.12", "−0.02", an absolute margin with its unit, or nothing."""
    if margin.value is None:
        return ""
    return units.show_signed(margin.value) + (f" {unit}" if margin.absolute else "")


def tightest(view: View, *, conceded: bool = True) -> Verdict | None:
    """The requirement with the least margin among those that have one; without the conceded ones if so wished."""
    found = [v for v in view.verdicts.values() if v.margin.value is not None and not v.margin.absolute]
    found = [verdict for verdict in found if conceded or verdict.state != "conceded"]
    return min(found, key=lambda verdict: verdict.margin.value or 0.0, default=None)


def leading_value(calculation: Calculation) -> tuple[ResultField, ResultValue] | None:
    """The value a calculation is run for: the first it serves a requirement with, else the method's first."""
    method = all_methods().get(calculation.method)
    if method is None or calculation.result is None:
        return None
    names = [served.value for served in calculation.serves] + [LEADING.get(method.id, "")]
    names += [field.name for field in method.results]
    for name in names:
        value = calculation.result.value(name)
        if value is not None and value.value is not None:
            return method.result_field(name), value
    return None


def calculation_sentence(view: View, calculation: Calculation) -> str:
    """One sentence: what came out, in which state."""
    found = leading_value(calculation)
    fresh = view.freshness[calculation.id]
    state = fresh.state
    if found is None:
        return f"{'Never calculated' if state == 'open' else f'No value, {state}'}; {fresh.remedy}."
    field, value = found
    shown = field.shown or value.unit
    ends = (None if end is None else units.convert(end, value.unit, shown) for end in (value.low, value.high))
    number = with_band(units.convert(value.value or 0.0, value.unit, shown), *ends, shown, digits_of(value.unit))
    text = f"{field.meaning[0].upper()}{field.meaning[1:]} {number}; {state}"
    if calculation.result and calculation.result.validity != "inside":
        text += f", {calculation.result.validity} the method's validity"
    return f"{text}."


def sheet_answer(view: View, sheet: str) -> str:
    """The computed answer of a sheet 0 to 6, one sentence made from the records."""
    return _ANSWERS[sheet](view)


def _standing_answer(view: View) -> str:
    return standing(view).answer


def _idea_answer(view: View) -> str:
    idea = view.project.idea
    if idea is None or not idea.concept:
        return "No concept is recorded yet; at least three are needed."
    fates = Counter(concept.fate for concept in idea.concept)
    chosen = next((concept for concept in idea.concept if concept.fate == "chosen"), None)
    number = len(idea.concept)
    told = f"{chosen.id} chosen from {amount(number, 'concept')}" if chosen else f"{amount(number, 'concept')}, none chosen"
    rest = ", ".join(f"{fates[fate]} {fate}" for fate in ("kept", "rejected", "open") if fates[fate])
    return f"{told}; {rest}." if rest else f"{told}."


def _requirements_answer(view: View) -> str:
    return requirements_answer(Counter(verdict.state for verdict in view.verdicts.values()))


def _design_answer(view: View) -> str:
    calculations = view.project.calculations
    if not calculations:
        return "No calculation is recorded yet."
    counts = Counter(fresh.state for fresh in view.freshness.values())
    states = ("current", "outdated", "open", "failed", "newer method available")
    told = ", ".join(f"{counts[s]} {'never run' if s == 'open' else s}" for s in states if counts[s])
    saved = saving(view)
    lead = ""
    if saved:
        lead = f"{units.show(1000 * saved[1], 4)} g lighter ({units.show(100 * saved[0], 3)} %){outdated_words(view)}. "
    return f"{lead}{amount(len(calculations), 'calculation')}: {told}."


def saving(view: View) -> tuple[float, float] | None:
    """Share and kg saved, from the mass-saving calculation of the variant in work, however old it is."""
    found = _saving_run(view)
    return found[1] if found else None


def outdated_words(view: View) -> str:
    """ ", outdated" where what `saving` gives is not the result of today's records."""
    found = _saving_run(view)
    state = view.freshness[found[0].id].state if found else "current"
    return "" if state in ("current", "newer method available") else f", {state}"


def _saving_run(view: View) -> tuple[Calculation, tuple[float, float]] | None:
    variant = view.project.variant
    for calculation in view.project.calculations:
        if calculation.method == "mass.saving" and variant and calculation.design == variant.id and calculation.result:
            share, saved = calculation.result.value("saving"), calculation.result.value("saved")
            if share and saved and share.value is not None and saved.value is not None:
                return calculation, (share.value, saved.value)
    return None


def _release_answer(view: View) -> str:
    found = standing(view)
    unclosed = [step.number for step in found.steps[:5] if step.state != "closed"]
    if not unclosed and found.steps[5].state == "closed":
        return "Yes: all six steps are closed."
    several = len(unclosed) > 1
    named = f"step{'s' if several else ''} {', '.join(unclosed)} {'are' if several else 'is'} not closed"
    counts = found.requirements
    bad = ", ".join(f"{counts[s]} {s}" for s in ("not met", "undecided", "open", "outdated") if counts[s])
    told = [named] if unclosed else [f"step 6 needs {', '.join(found.steps[5].missing_roles)}"]
    if bad:
        told.append(f"requirements: {bad}")
    return f"Not yet: {'; '.join(told)}."


def _evidence_answer(view: View) -> str:
    items = view.project.evidence
    if not items:
        return "No evidence is planned yet."
    counts = Counter(item.state for item in items)
    started = sum(counts[state] for state in ("running", "finished", "aborted", "invalid"))
    told = ", ".join(f"{counts[s]} {s}" for s in ("finished", "running", "planned", "aborted", "invalid") if counts[s])
    lead = "".join(f"{words} " for state in ("not met", "undecided") if (words := _decided_so(view, state)))
    return f"{lead}{amount(len(items), 'item')}: {told}. Tests started {started}, listed {started}."


def _decided_so(view: View, state: str) -> str:
    """"Not met: R-023 by E-015 (conceded, D-003).", or nothing."""
    found = [(d.requirement.id, item.id) for item in view.project.evidence for d in decisions(view, item) if d.state == state]
    told = []
    for requirement, item in found:
        conceded = view.verdicts[requirement].concession
        told.append(f"{requirement} by {item}{f' (conceded, {conceded.id})' if conceded else ''}")
    return f"{state.capitalize()}: {', '.join(told)}." if told else ""


def _cost_answer(view: View) -> str:
    runs = [c for c in view.project.calculations if c.method == "cost.piece"]
    if not runs:
        return "No cost is calculated yet."
    return " ".join(piece_cost_sentence(view, run) for run in runs)


_ANSWERS = {
    "0": _standing_answer,
    "1": _idea_answer,
    "2": _requirements_answer,
    "3": _design_answer,
    "4": _evidence_answer,
    "5": _cost_answer,
    "6": _release_answer,
}


def missing_words(header: Header, roles: list[str]) -> str:
    """ "missing: PE, RL (held by nobody)": the roles whose signature is missing; empty where none is."""
    held = {role for person in header.people for role in person.roles}
    told = [role if role in held else f"{role} (held by nobody)" for role in roles]
    return f"missing: {', '.join(told)}" if told else ""
