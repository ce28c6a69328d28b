"""Evidence in sentences and lines that terminal, commands and document tell alike."""

from __future__ import annotations

from dataclasses import dataclass

from dossier import units
from dossier.checks.evidence_support import lives_of, of_life, run_without_failure, support_of_evidence
from dossier.checks.margin import limit_in_words
from dossier.checks.told_numbers import with_band
from dossier.checks.verdict import Support
from dossier.checks.view import View
from dossier.methods.evidence_links import counted
from dossier.methods.evidence_lives import life_samples
from dossier.methods.evidence_working import SHOWN
from dossier.methods.shape import carried_over
from dossier.records.calculation import Result, ResultValue
from dossier.records.evidence import Document, EvidenceItem
from dossier.records.requirement import Requirement

STARTED = ("running", "finished", "aborted", "invalid")
CONFIDENCE = 0.90
STANDING = ("current", "newer method available")


@dataclass(frozen=True)
class Decided:
    """What an item says about one requirement it serves; `support` is None where it is listed only."""

    requirement: Requirement
    value: str
    support: Support | None

    @property
    def state(self) -> str:
        """State word: the support's, else open."""
        return self.support.state if self.support else "open"


def decisions(view: View, item: EvidenceItem) -> list[Decided]:
    """The item's decision on each requirement it serves."""
    found = []
    for served in item.serves:
        requirement = view.project.find(served.requirement)
        if isinstance(requirement, Requirement):
            fresh = view.evidence_freshness[item.id]
            support = support_of_evidence(view.project, requirement, item, served.value, fresh)
            found.append(Decided(requirement, served.value, support))
    return found


def undecided_words(view: View, item: EvidenceItem) -> list[str]:
    """ "R-008 is undecided: sign of trouble not answered: slip in P-285.", for each requirement that has such a reason."""
    found = []
    for decided in decisions(view, item):
        support = decided.support
        if support is not None and support.state != "met" and support.reason and not support.reason.startswith("worst part"):
            found.append(f"{decided.requirement.id} is {support.state}: {support.reason}.")
    return found


def decision_words(decided: Decided) -> str:
    """ "required 47.6 .. 64.4 kN/mm", with the reason where there is one."""
    limit = decided.requirement.limit
    words = f"required {limit_in_words(limit, decided.requirement.unit)}"
    if decided.support is None:
        return f"{words}; listed, decides nothing"
    return f"{words}; {decided.support.reason}" if decided.support.reason else words


def shown_unit(view: View, item: EvidenceItem, value: ResultValue) -> str:
    """Unit a value of the item is printed in: that of the requirement it serves, where they compare."""
    for decided in decisions(view, item):
        if decided.value != "ratio" and _comparable(value.unit, decided.requirement.unit):
            return decided.requirement.unit
    return SHOWN.get(value.unit, value.unit)


def _comparable(unit: str, other: str) -> bool:
    try:
        return units.same_dimension(unit, other)
    except units.UnitError:
        return False


def value_words(value: ResultValue, unit: str, digits: int = 3) -> str:
    """ "56.65 ± 0.69 kN/mm" in `unit`, the value as fine as its band; the band only where there is one."""
    ends = (None if end is None else units.convert(end, value.unit, unit) for end in (value.low, value.high))
    return with_band(units.convert(value.value or 0.0, value.unit, unit), *ends, unit, digits)


def deciding_words(item: EvidenceItem, decided: Decided) -> str:
    """The value the decision was taken on with its band: the worst part's where that decides, else the group's; or nothing."""
    requirement, support = decided.requirement, decided.support
    if support is not None and support.part:
        return with_band(support.value or 0.0, support.low, support.high, requirement.unit)
    value = item.result.value(decided.value) if item.result else None
    if value is None or value.value is None:
        return ""
    words = value_words(value, requirement.unit if _comparable(value.unit, requirement.unit) else value.unit)
    return words + (" × life" if multiple_of_life(item) else "")


def evidence_sentence(view: View, item: EvidenceItem) -> str:
    """One sentence: what the item gave, or in which state it is; then to which later shapes it carries over."""
    carried = carried_over_words(view, item) if item.state == "finished" else []
    return " ".join([evidence_in_short(view, item), *carried])


def evidence_in_short(view: View, item: EvidenceItem, *, lead_only: bool = False) -> str:
    """One sentence: what the item gave, or in which state it is; with `lead_only` no more than its first number."""
    if item.state in ("aborted", "invalid"):
        return f"{item.state.capitalize()}: {item.reason}"
    if item.state in ("planned", "running"):
        parts = f"{item.planned_variant} of the variant"
        if item.reference or item.planned_reference:
            parts += f", {item.planned_reference} of the reference part"
        return f"{item.state.capitalize()}: {parts}."
    fresh = view.evidence_freshness[item.id]
    tail = "" if fresh.state in STANDING else f" State of the result: {fresh.state}."
    told = _measured(view, item)[: 1 if lead_only else None]
    if not told:
        reason = "; ".join(fresh.problems)
        return f"Finished, without a value: {reason or 'not evaluated'}."
    return f"{'; '.join(told)}.{tail}"


def attached_words(view: View, item: EvidenceItem) -> str:
    """ "Attached: B-012 photo, B-013 certificate without its file.", or that nothing is, for values without a raw file."""
    if item.state != "finished" or item.raw_sha256 or not item.samples:
        return ""
    found = [document for name in item.documents if isinstance(document := view.project.find(name), Document)]
    told = [f"{d.id} {d.kind}{'' if d.file else ' without its file'}" for d in found]
    return f"Attached: {', '.join(told)}." if told else "No photo or certificate is attached."


def left_out_words(view: View, item: EvidenceItem) -> str:
    """ "With what was left out (P-203: tongue slipped): variant 57.9 ± 1.2 kN/mm, n = 6; without: …", or nothing."""
    left = {f"{s.specimen}{f' run {s.run}' if s.run > 1 else ''}: {s.left_out}": None for s in item.samples if s.left_out}
    if not left or item.result is None:
        return ""
    told: dict[str, list[str]] = {"_with_left_out": [], "": []}
    for suffix, words in told.items():
        for name in ("variant", "reference", "ratio"):
            value, other = item.result.value(f"{name}{suffix}"), item.result.value(f"{name}_with_left_out")
            if other is None or value is None or value.value is None:
                continue
            if name == "ratio":
                words.append(f"ratio {value.value:.3f} ({value.low or 0.0:.3f} to {value.high or 0.0:.3f})")
                continue
            count = item.result.value(f"n_{name}{suffix}")
            group = "reference part" if name == "reference" else name
            words.append(f"{group} {value_words(value, shown_unit(view, item, value))}, n = {count.value if count else 0:g}")
    if not told["_with_left_out"]:
        return f"Left out: {'; '.join(left)}."
    return f"With what was left out ({'; '.join(left)}): {'; '.join(told['_with_left_out'])}; without it: {'; '.join(told[''])}."


def carried_over_words(view: View, item: EvidenceItem) -> list[str]:
    """One sentence for each design whose present shape the result carries over to, with reason, person and day."""
    return [
        f"Carries over to {carry.design} index {carry.drawing_index or '–'}: {carry.reason} ({carry.by}, {carry.on})."
        for carry in carried_over(view.project, item)
    ]


def former_carry_words(view: View, item: EvidenceItem) -> list[str]:
    """One sentence for each statement that held for a shape the design has no longer."""
    today = carried_over(view.project, item)
    return [
        f"Carried over to {carry.design} index {carry.drawing_index or '–'}, whose shape has changed since: {carry.reason} "
        f"({carry.by}, {carry.on})."
        for carry in item.carries_over
        if carry not in today
    ]


def outdated_by(before: View, after: View) -> list[str]:
    """Evidence items whose result stands before a change and is of an older shape after it."""
    return [
        name
        for name, fresh in after.evidence_freshness.items()
        if fresh.older and name in before.evidence_freshness and before.evidence_freshness[name].state in STANDING
    ]


def told_name(item: EvidenceItem, group: str) -> str:
    """Name of the group's value that stands for the item: the family all served values are of ("loss_angle_variant" of an
    item that serves loss angles only), else the group itself."""
    family = _family(item)
    return f"{family}_{group}" if family else group


def told_part(item: EvidenceItem, specimen: str) -> str:
    """Name of the specimen's value of the same family."""
    return f"{_family(item) or 'specimen'}:{specimen}"


def _family(item: EvidenceItem) -> str:
    """ "loss_angle" where all values the item serves with are "loss_angle_variant" or of its reference, else nothing."""
    served = {_lead(link.value) for link in item.serves}
    return served.pop() if len(served) == 1 else ""


def _lead(name: str) -> str:
    for group in ("variant", "reference"):
        if name.endswith(f"_{group}"):
            return name.removesuffix(f"_{group}")
    return ""


def _measured(view: View, item: EvidenceItem) -> list[str]:
    """What was found, the part that decides first."""
    result = item.result
    if result is None:
        return []
    count = result.value(f"n_{told_name(item, 'variant')}")
    if item.quantity == "yes_no":
        passed = result.value("passed")
        return [f"{passed.value:g} of {count.value:g} passed"] if passed and count else []
    if item.quantity in TOLD:
        return TOLD[item.quantity](item)
    value = result.value(told_name(item, "variant")) or result.value(told_name(item, "reference"))
    if value is None or value.value is None:
        return _rubber_share(result)
    served = next((d.requirement for d in decisions(view, item) if run_without_failure(d.requirement, item)), None)
    if served:
        return _survived(item, served)
    told = value_words(value, shown_unit(view, item, value))
    if survived := result.value(f"survived_{value.name}"):
        end = "stopped before the end criterion" if item.quantity == "durability" else "survived"
        return [f"{survived.value:g} of {count.value if count else 0:g} {end}, the least {told}"]
    if count and count.value is not None:
        told += f", n = {count.value:g}"
    found = [told]
    if (worst := decided_by_worst(view, item)) and worst.support:
        found = [f"worst part {worst.support.part} {deciding_words(item, worst)}", f"mean {told}"]
    reference, ratio = result.value(told_name(item, "reference")), None if _family(item) else result.value("ratio")
    if reference and reference.value is not None and reference is not value:
        found.append(f"reference part {value_words(reference, shown_unit(view, item, reference))}")
    if ratio and ratio.value is not None and ratio.low is not None and ratio.high is not None:
        found.append(f"ratio {ratio.value:.3f} ({ratio.low:.3f} to {ratio.high:.3f})")
    return [*found, *_rubber_share(result)]


def decided_by_worst(view: View, item: EvidenceItem) -> Decided | None:
    """The first decision that was taken on the worst part."""
    return next((d for d in decisions(view, item) if d.support is not None and d.support.part), None)


def _rubber_share(result: Result) -> list[str]:
    """ "95 % failed in the rubber (R), the least 90 %", or nothing where no failure picture was read."""
    mean, least = result.value("share_R"), result.value("least_share_R")
    if mean is None or least is None or mean.value is None or least.value is None:
        return []
    return [f"{units.show(100 * mean.value, 3)} % failed in the rubber (R), the least {units.show(100 * least.value, 3)} %"]


def _survived(item: EvidenceItem, requirement: Requirement) -> list[str]:
    """ "3 parts survived 1.18 to 1.22, none failed; required at least 1", and the load the requirement states."""
    result, count = item.result, run_without_failure(requirement, item) or 0
    found = (result.value(f"{end}_variant") for end in ("smallest", "largest")) if result else ()
    values = [end for end in found if end and end.value is not None]
    ends = [units.show_quantity(end.value or 0.0, end.unit, requirement.unit) for end in values]
    scale = of_life(requirement, units.convert(values[0].value or 0.0, values[0].unit, requirement.unit)) if values else ""
    told = f"{count} part{'s' if count > 1 else ''} survived {' to '.join(dict.fromkeys(ends))}{scale}, none failed"
    load = ", ".join(words for words in _load_of(requirement) if words)
    required = f"required {limit_in_words(requirement.limit, requirement.unit)}"
    return [told, required, *([f"load: {load}"] if load else [])]


def _load_of(requirement: Requirement) -> tuple[str, ...]:
    conditions = requirement.conditions
    return conditions.cycle, conditions.preload, conditions.amplitude


def life_words(item: EvidenceItem) -> list[str]:
    """ "variant: B10 71e4 cycles, at least 4.2e5 at 90 %; 5 of 6 failed; shape 2.5 (1.4 to 3.9)", or what the run without
    failure shows, for each group of an item of lives."""
    if item.result is None:
        return []
    told, result = [], item.result
    confidence, share = f"{100 * result.inputs['confidence']:.3g} %", f"B{100 * result.inputs['share']:g}"
    for group in ("variant", "reference"):
        value, shape, count = (result.value(name) for name in (group, f"weibull_shape_{group}", f"n_{group}"))
        shown = result.value(f"reliability_{group}")
        if value is None or value.value is None or count is None:
            continue
        words = f"{group}: "
        if shape is not None and value.low is not None:
            failures = result.value(f"failures_{group}")
            ends = f"{units.show(shape.low or 0.0, 2)} to {units.show(shape.high or 0.0, 2)}"
            words += f"{share} {units.show_quantity(value.value, value.unit, None, 3)}{multiple_of_life(item)}, at least "
            failed = failures.value if failures else 0
            words += f"{units.show(value.low, 3)} at {confidence}; {failed:g} of {count.value:g} failed; "
            words += f"shape {units.show(shape.value or 0.0, 3)} ({ends})"
            if shown is not None and shown.low is not None:
                words += f"; {100 * shown.low:.0f} % reach the life asked for, at {confidence}"
        else:
            words += f"{count.value:g} parts, the least {units.show_quantity(value.value, value.unit, None, 3)}"
            words += multiple_of_life(item)
            words += f"; reliability {100 * (shown.value or 0.0):.0f} % at {confidence}" if shown else ""
        told.append(words)
    return told


def multiple_of_life(item: EvidenceItem) -> str:
    """ " × the life asked for" where the item tells its lives as multiples of one, or nothing."""
    required = item.statistics.required if item.statistics else None
    return " × the life asked for" if item.quantity == "life" and item.unit in ("-", "1") and required == 1 else ""


def capability_words(item: EvidenceItem) -> list[str]:
    """ "Cpk 1.61, at least 1.22 at 90 %, n = 30", then the mean."""
    result = item.result
    index, count, mean = (result.value(name) if result else None for name in ("cpk_variant", "n_variant", "variant"))
    if result is None or index is None or count is None or mean is None:
        return []
    least = f"at least {units.show(index.low or 0.0, 3)} at {100 * result.inputs['confidence']:.3g} %"
    words = f"Cpk {units.show(index.value or 0.0, 3)}, {least}, n = {count.value:g}"
    return [words, f"mean {value_words(mean, mean.unit)}"]


def sn_line_words(item: EvidenceItem) -> list[str]:
    """ "510800 cycles reached by 90 % at 24 kN, at least 424100 at 90 %; 7 of 9 failed; exponent 7.3 (6.5 to 8.2)"."""
    if item.result is None:
        return []
    given, told = item.result.inputs, []
    value, exponent, count, failed = (
        item.result.value(name) for name in ("variant", "exponent_variant", "n_variant", "failures_variant")
    )
    if value is not None and value.value is not None and value.low is not None:
        lead = f"{units.show_quantity(value.value, value.unit)} reached by {100 * (1 - given['share']):.3g} %"
        least = f"at least {units.show(value.low, 3)} at {100 * given['confidence']:.3g} %"
        told.append(f"{lead} at {given['load']:g} {given['load_unit']}, {least}")
    if exponent is not None and exponent.value is not None and count is not None and failed is not None:
        told.append(f"{failed.value:g} of {count.value:g} failed")
        told.append(f"exponent {value_words(exponent, '-', 2)}")
    return ["; ".join(told)] if told else []


def fatigue_sentences(view: View) -> list[tuple[EvidenceItem, str]]:
    """For each finished fatigue item what its runs prove, and what they do not."""
    found = []
    for item in view.project.evidence:
        life = next((d for d in decisions(view, item) if d.requirement.quantity == "life"), None)
        if life is None or item.state != "finished":
            continue
        least = life.requirement.limit.min
        if item.quantity == "durability":
            if lives := lives_of(item, life.value):
                found.append((item, _ended_words(item, life, lives)))
            continue
        samples = life_samples(item) if item.lives_from else counted(item)
        if not samples:
            continue
        if item.quantity in ("life", "sn_line"):
            found.append((item, ". ".join(TOLD[item.quantity](item))))
            continue
        failed = [s for s in samples if s.passed is False or (s.value is not None and least is not None and s.value < least)]
        if failed:
            told = f"{len(failed)} of {len(samples)} parts failed before the target: no success run."
        else:
            told = _run_words(len(samples))
        found.append((item, told))
    return found


def _ended_words(item: EvidenceItem, life: Decided, lives: list[tuple[float, bool]]) -> str:
    """What measured lives say about the least one asked for."""
    unit = next((value.unit for value in item.result.values if value.name == life.value), "") if item.result else ""
    least = life.requirement.limit.min
    if least is None or not _comparable(unit, life.requirement.unit):
        return "no success run: the lives cannot be held against what is required."
    target = units.convert(least, life.requirement.unit, unit)
    short = [stopped for end, stopped in lives if end < target]
    if not short:
        return _run_words(len(lives))
    failed = len(short) - sum(short)
    if failed:
        return f"{failed} of {len(lives)} parts failed before the target: no success run."
    return f"{len(short)} of {len(lives)} parts were stopped before the target: no success run."


def _run_words(count: int) -> str:
    from dossier.evidence.success_run import reliability_shown, specimens_needed

    share, percent = reliability_shown(count, 0, CONFIDENCE).value, f"{100 * CONFIDENCE:.0f} %"
    parts = "part" if count == 1 else "parts"
    return (
        f"{count} {parts} reached the target without failure. At {percent} confidence that shows a reliability of "
        f"{100 * share:.0f} % and no more: R = (1 − {CONFIDENCE:.2f})^(1/{count}) = {share:.2f}. "
        f"A reliability of 90 % would need {specimens_needed(0.9, CONFIDENCE)} parts without failure."
    )


TOLD = {"life": life_words, "capability": capability_words, "sn_line": sn_line_words}
