"""Sheet 4: what did the machine show?"""

from __future__ import annotations

from collections import Counter

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.evidence_equipment import out_of_calibration_words
from dossier.checks.evidence_support import run_without_failure
from dossier.checks.told import sheet_answer
from dossier.checks.told_agreement import apart_sentence
from dossier.checks.told_evidence import (
    Decided,
    attached_words,
    decision_words,
    decisions,
    evidence_in_short,
    evidence_sentence,
    former_carry_words,
    left_out_words,
    multiple_of_life,
    shown_unit,
    told_name,
    told_part,
)
from dossier.checks.told_numbers import with_band
from dossier.checks.told_reach import plan_words
from dossier.methods.evidence_links import CURVES
from dossier.records.evidence import EvidenceItem, Sample, Specimen
from dossier.release.chapters.common import places_of, sentences, unparted
from dossier.release.chapters.evidence_curves import Figure, figure
from dossier.release.chapters.evidence_judged import judged
from dossier.release.chapters.evidence_lists import lists
from dossier.release.chapters.evidence_rates import sign_rates
from dossier.release.chapters.evidence_values import values_figure
from dossier.release.chapters.evidence_working import ratio_budget_words, uncertainty_words, working_of_item
from dossier.release.facts import Facts
from dossier.release.flow import Columns, Floating, Wide, block, room
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.marks import ResultBar, state
from dossier.release.tables import Column, Row, table
from dossier.release.text import Content, bold, grouped, join, mono

QUESTION = "What did the machine show?"
DECISION_RULE = (
    "Decision rule: met only where the value with its expanded uncertainty lies within the limit, not met where it lies wholly "
    "beyond, otherwise undecided, which never counts as met. Expanded: 95 %, coverage factor from Student's t at the degrees of "
    "freedom of Welch and Satterthwaite (JCGM 100, from memory). Against a limit every line of the budget counts; in a ratio "
    "measured on one rig the systematic ones cancel."
)
SIDE_BY_SIDE = 264
LEAST_ROOM = 110
MOST_ROWS = 24  # samples beside a figure; more are told in a line
HOUR = 3600


def evidence(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Curves first, equivalence, what failed, what fatigue does not say, every item, then what they rest on."""
    answer = " ".join(part for part in (sheet_answer(facts.view, "4"), apart_sentence(facts.view)) if part)
    items = facts.project.evidence
    story: list[Flowable] = [*sheet(kit, "4", title, QUESTION, answer, answer), kit.paragraph(DECISION_RULE, "small")]
    measured = [item for item in items if item.quantity in CURVES]
    for item in measured:
        story += _item(kit, facts, item)
    story += [*sign_rates(kit, facts), *judged(kit, facts)]
    for item in items:
        if item not in measured:
            story += _item(kit, facts, item)
    story.append(block(kit, "All tests", [Wide(kit, _all(kit, facts))], "started tests are all listed"))
    return [*story, *lists(kit, facts)]


def _item(kit: Kit, facts: Facts, item: EvidenceItem) -> list[Flowable]:
    """One item: sentence, decisions, figure or parts, conditions, uncertainty, files."""
    drawn = figure(kit, facts, item) or values_figure(kit, facts, item)
    listed = len(item.samples) > MOST_ROWS
    style = "lead" if item.quantity in CURVES else "body"
    told = evidence_sentence(facts.view, item)
    content: list[Flowable] = [kit.paragraph(told[:1].upper() + told[1:], style)]
    bars = _bars(kit, facts, item)
    content += bars.values()
    for decided in decisions(facts.view, item):
        if _told_beside_bar(decided, bars) and item.state not in ("aborted", "invalid"):
            words = [kit.ref(decided.requirement.id), " ", state(decided.state), ", ", decision_words(decided)]
            content.append(kit.paragraph(words, "small"))
    if isinstance(drawn, Figure):
        pair = Columns(kit, [(SIDE_BY_SIDE, drawn.parts), (None, [] if listed else [_parts_table(kit, facts, item)])])
        content.append(Floating(kit, [pair, kit.paragraph(drawn.caption, "caption")], drawn.parts[:1]))
        content += [kit.paragraph(told, "body") for told in drawn.signs]
    elif drawn:
        content.append(kit.paragraph(drawn, "small"))
    if item.way == "analysis" or not item.samples:
        parts = ""
    else:
        parts = _seen_line(item) if isinstance(drawn, Figure) and not listed else _parts_line(facts, item)
    attached = attached_words(facts.view, item)
    carried = " ".join(former_carry_words(facts.view, item))
    left = left_out_words(facts.view, item)
    content += [kit.paragraph(f"{words}.", "small") for words in plan_words(facts.view, item)]
    expired = out_of_calibration_words(facts.view, item) if item.state == "finished" else ""
    if expired:
        content.append(kit.paragraph(bold(expired), "small"))
    lines = [parts, left, _conditions(item), _budget(facts, item), _files(item), attached, _words(item), carried]
    told = [line for line in lines if line]
    if told:
        content.append(kit.paragraph(join(told, " "), "small"))
    note = kit.trace.note(serves=[s.requirement for s in item.serves], rests_on=_rests(item))
    shown = block(kit, f"{item.id} {item.title}", content, note, identifier=item.id)
    working = working_of_item(kit, facts, item)
    if isinstance(drawn, Figure):
        return [room(LEAST_ROOM), shown, *working]
    return [shown, *working] if working else unparted(kit, [shown])


def _told_beside_bar(decided: Decided, bars: dict[str, Flowable]) -> bool:
    """Whether a decision is said in words: where no bar shows it, or a reason that the bar does not show stands behind it."""
    support = decided.support
    unseen = support is not None and support.state != "met" and support.reason and not support.part
    return decided.requirement.id not in bars or bool(unseen)


def _rests(item: EvidenceItem) -> list[str]:
    named = [*item.equipment, *item.standards, item.scheme, item.repeats, *item.lives_from, *item.documents]
    return list(dict.fromkeys(name for name in named if name))


def _bars(kit: Kit, facts: Facts, item: EvidenceItem) -> dict[str, Flowable]:
    """A bar for each requirement with a number as its limit."""
    found: dict[str, Flowable] = {}
    for decided in decisions(facts.view, item):
        limit, support, unit = decided.requirement.limit, decided.support, decided.requirement.unit
        if support is None or support.value is None or (limit.min is None and limit.max is None):
            continue
        value = item.result.value(decided.value) if item.result else None
        if value is None or support.low is None or support.high is None:
            continue
        tail = "" if unit in ("-", "1") else f" {unit}"
        told = with_band(support.value, support.low, support.high, unit)
        shown = f"{decided.requirement.id} {decided.state}: {told}"
        found[decided.requirement.id] = ResultBar(
            kit, support.value, (support.low, support.high), low=limit.min, high=limit.max, shown=shown,
            digits=places_of(limit.min, limit.max), unit=tail.strip(),
        )  # fmt: skip
    return found


def _parts_table(kit: Kit, facts: Facts, item: EvidenceItem) -> Flowable:
    rows: list[Row] = []
    unit = ""
    for group in ("variant", "reference"):
        samples = item.result.inputs.get(group, []) if item.result else []
        for sample in samples:
            value = item.result.value(told_part(item, sample["specimen"])) if item.result else None
            if value is not None and value.value is not None:
                unit = shown_unit(facts.view, item, value)
                number = units.show(units.convert(value.value, value.unit, unit), 4)
                number = f"> {number}" if sample.get("survived") else number
                load = sample.get("load")
                beside = f"at {load:g} {item.result.inputs['load_unit']}" if load else group
                rows.append(Row((sample["specimen"], beside, number)))
        mean = item.result.value(told_name(item, group)) if item.result else None
        if mean is not None and mean.value is not None and samples:
            unit = shown_unit(facts.view, item, mean)
            word = _group_word(item, group, len(samples))
            asked = item.result.inputs.get("load") if item.quantity == "sn_line" else None
            beside = f"reach, at {asked:g} {item.result.inputs['load_unit']}" if asked else group
            rows.append(Row((word, beside, units.show(units.convert(mean.value, mean.unit, unit), 4)),
                            kind="total"))  # fmt: skip
    return table(kit, [Column("part", 42), Column("group"), Column(unit, 42, "d", 0)], rows, size=6.9, pad=1.1)


def _group_word(item: EvidenceItem, group: str, count: int) -> str:
    """What stands for a whole group: a share's life, the least, or the mean."""
    assert item.result is not None
    if item.quantity == "sn_line":
        return f"{100 * (1 - item.result.inputs['share']):g} %"
    if item.quantity == "life":
        return f"B{100 * item.result.inputs['share']:g}"
    return f"{'least' if item.result.value(f'survived_{told_name(item, group)}') else 'mean'} of {count}"


def _parts_line(facts: Facts, item: EvidenceItem) -> str:
    plain = item.unit in ("-", "1") or item.quantity == "yes_no"
    unit = (" × life" if multiple_of_life(item) else "") if plain else f" {item.unit}"
    told = [_sample_words(sample, unit) for sample in item.samples]
    batches = Counter(
        specimen.batch
        for sample in item.samples
        if isinstance(specimen := facts.project.find(sample.specimen), Specimen) and specimen.batch
    )
    words = f"Parts: {'; '.join(told)}."
    if batches:
        words += f" Compound batches: {', '.join(f'{name} ({count})' for name, count in batches.items())}."
    return words


def _seen_line(item: EvidenceItem) -> str:
    """What was seen on parts whose values stand beside their curves."""
    told = [f"{sample.specimen}: {sample.observation}" for sample in item.samples if sample.observation]
    return f"Seen: {'; '.join(told)}." if told else ""


def _sample_words(sample: Sample, unit: str) -> str:
    value = "" if sample.value is None else f" {sample.value:.6g}{unit}".replace("-", units.MINUS)
    passed = {True: " passed", False: " not passed", None: " survived" if sample.survived else ""}[sample.passed]
    run = f" run {sample.run}" if sample.run > 1 else ""
    shares = ", ".join(f"{code} {100 * share:g} %" for code, share in (sample.shares or {}).items())
    passed += f" ({shares})" if shares else ""
    failed = {"": "", "none": ", nothing failed"}.get(sample.mode, f", failed by {sample.mode}")
    seen = f", {sample.observation}" if sample.observation else ""
    left = f", left out: {sample.left_out}" if sample.left_out else ""
    return f"{sample.specimen}{run}{value}{passed}{failed}{seen}{left}"


def _conditions(item: EvidenceItem) -> Content:
    told: list[str] = []
    analysis = item.way == "analysis"
    if item.temperature is not None and not analysis:
        told.append(f"{item.temperature:g} °C".replace("-", units.MINUS))
    for name, seconds in (("conditioned", item.conditioning), ("rest", item.rest)):
        if seconds is not None and not analysis:
            told.append(f"{name} {seconds / HOUR:g} h")
    told += [part for part in (item.procedure, item.order and not analysis and f"order {item.order}") if part]
    days = " to ".join(dict.fromkeys(day for day in (item.started_on, item.done_on) if day))
    told += [part for part in (item.operator, days) if part]
    listed = "; ".join(part.rstrip(". ") for part in told)
    words: list[Content] = [f"{'Done' if analysis else 'Condition'}: {listed}"] if told else []
    if item.margin:
        agreed = item.margin.agreed
        words.append(
            f". Margin of the ratio {item.margin.words}, agreed {agreed.on} by {agreed.by}, "
            f"{agreed.document or 'no document'}"
        )
    return [*words, "."] if words else ""


def _budget(facts: Facts, item: EvidenceItem) -> str:
    survived = any(run_without_failure(d.requirement, item) for d in decisions(facts.view, item))
    value = item.result.value(told_name(item, "variant")) if item.result and not survived else None
    words = uncertainty_words(item, shown_unit(facts.view, item, value)) if value else ""
    return sentences(*filter(None, (words, ratio_budget_words(item))))


def _files(item: EvidenceItem) -> Content:
    named = [sample for sample in item.samples if sample.file]
    if not named:
        return ""
    told = [[f"{sample.file_name or sample.specimen} ", mono(grouped(sample.file[:8]))] for sample in named]
    return ["Files, SHA-256 begins: ", join(told, "; "), "."]


def _words(item: EvidenceItem) -> str:
    parts = (("Statement", item.statement), ("Deviations", item.deviations), ("Remark", item.remark))
    return sentences(*(f"{name}: {text}" for name, text in parts if text))


def _all(kit: Kit, facts: Facts) -> Flowable:
    rows = []
    for item in facts.project.evidence:
        found = decisions(facts.view, item)
        decided = join([[kit.ref(d.requirement.id, page=False), " ", _decision(d)] for d in found], "; ") if found else "–"
        day = item.done_on or item.started_on or "–"
        told = evidence_in_short(facts.view, item, lead_only=True).rstrip(".")
        rows.append((kit.ref(item.id), item.title, item.way, state(item.state), day, told, decided))
    columns = [Column("", 44), Column("test", 128), Column("way", 54), Column("state", 48), Column("done", 44),
               Column("result"), Column("decision", 92)]  # fmt: skip
    return table(kit, columns, rows, size=6.7, pad=1.0, empty="No evidence is planned yet.")


def _decision(decided: Decided) -> Content:
    """The state; nothing is decided by what was aborted or is invalid."""
    return state(decided.state) if decided.support else "not decided by it"
