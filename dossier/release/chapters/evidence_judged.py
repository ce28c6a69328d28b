"""What the items of evidence say together: equivalence, agreement with calculation, failures, fatigue, severe risks."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.checks.caution_text import told_cautions
from dossier.checks.told_agreement import comparisons, support_words
from dossier.checks.told_equivalence import (
    compared_items,
    deviation_words,
    mode_words,
    modes_of,
    set_sentence,
    state_of_ratio,
)
from dossier.checks.told_evidence import decision_words, decisions, fatigue_sentences
from dossier.checks.told_power import power_sentence
from dossier.checks.told_prediction_error import own_errors_sentence
from dossier.methods.evidence_base import ACROSS_BATCHES, LIMITED
from dossier.methods.evidence_links import counted
from dossier.records.evidence import EvidenceItem, Sample
from dossier.records.step import StepRecord
from dossier.release.curves import Forest, ForestRow
from dossier.release.facts import Facts
from dossier.release.flow import block
from dossier.release.kit import Kit
from dossier.release.marks import state
from dossier.release.tables import Column, Row, table
from dossier.release.text import Content, bold, join, signed
from dossier.units import amount

DECIDED = ("met", "not met", "undecided")
SEVERITY = "severity"
PROOF_LOAD = (
    "A test that stops at its load shows what was held, not what would break: a higher calculated value is no conflict then."
)


def judged(kit: Kit, facts: Facts) -> list[Flowable]:
    """Blocks on all items together; one without content is left out."""
    return [
        *_equivalence(kit, facts), *_agreement(kit, facts), *_bad(kit, facts), *_fatigue(kit, facts), *_severe(kit, facts),
    ]  # fmt: skip


def _equivalence(kit: Kit, facts: Facts) -> list[Flowable]:
    """Forest of the ratios, one for each pair of agreed margins."""
    groups: dict[tuple[float, float | None], list[ForestRow]] = {}
    for item in facts.project.evidence:
        ratio = item.result.value("ratio") if item.result else None
        if item.margin is None or ratio is None or None in (ratio.value, ratio.low, ratio.high):
            continue
        decided = state_of_ratio(facts.view, item)
        label = {"met": "inside", "not met": "outside"}.get(decided, decided)
        counts = [item.result.value(f"n_{group}") for group in ("variant", "reference")]
        number = " + ".join(f"{count.value:g}" for count in counts if count and count.value is not None)
        name = f"{item.id} {item.quantity}, {number}"
        groups.setdefault((item.margin.low, item.margin.high), []).append(
            ForestRow(name, ratio.low, ratio.value, ratio.high, decided, label)
        )
    if not groups:
        return []
    rows = [row for found in groups.values() for row in found]
    inside = sum(row.decision == "met" for row in rows)
    told = f"{inside} of {len(rows)} ratios lie with their whole 90 % interval inside the margin agreed before the test."
    content: list[Flowable] = [kit.paragraph(told, "lead"), kit.paragraph(set_sentence(facts.view))]
    content += [kit.paragraph(words, "small") for words in _limits_of_equivalence(facts)]
    for limits, found in groups.items():
        content.append(Forest(kit, found, limits, name="item, parts", interval="90 % interval"))
    return [block(kit, "Equivalence", content, "two one-sided tests on the ratio of the means")]


def _limits_of_equivalence(facts: Facts) -> list[str]:
    """Power of the set, limits by batches, largest deviations of the curves and failure modes, a line each."""
    items = compared_items(facts.view)
    told = [power_sentence(facts.view)]
    for item in items:
        notes = item.result.warnings if item.result else []
        told += [f"{item.id}: {note}." for note in notes if note.startswith((LIMITED, ACROSS_BATCHES))]
    deviations = [f"{item.id} {words}" for item in items for words in deviation_words(item)]
    told += [f"Curves: {'; '.join(deviations)}."] if deviations else []
    failed = [f"{item.id} {words}" for item in items if (words := mode_words(modes_of(facts.project, item)))]
    return [*filter(None, told), *([f"Failure modes: {'; '.join(failed)}."] if failed else [])]


def _agreement(kit: Kit, facts: Facts) -> list[Flowable]:
    """What was calculated beside what was shown, those whose bands lie apart first."""
    found = sorted(comparisons(facts.view), key=lambda one: not one.apart)
    if not found:
        return []
    apart = sum(one.apart for one in found)
    lies = f"{apart or 'none'} {'lie' if apart > 1 else 'lies'}"
    told = f"Of {amount(len(found), 'pair')} of a calculated and a shown value {lies} apart with the whole of both bands."
    rows: list[Row] = []
    for one in found:
        calculated = [kit.ref(one.calculated.record, page=False), f" {support_words(one, one.calculated)}"]
        if one.calculated.state not in DECIDED:
            calculated.append(f", {one.calculated.state}")
        shown = [kit.ref(one.shown.record, page=False), f" {support_words(one, one.shown)}"]
        deviation = "–" if one.deviation is None else f"{signed(100 * one.deviation, 1)} %"
        words = bold(one.words) if one.apart else one.words
        rows.append(Row((kit.ref(one.requirement.id), join([calculated], ""), join([shown], ""), deviation, words)))
    columns = [Column("", 48), Column("calculated"), Column("shown by evidence", 118), Column("differs", 38, "r"),
               Column("", 86)]  # fmt: skip
    content = [kit.paragraph(told, "lead"), table(kit, columns, rows, size=6.9, pad=1.1), kit.paragraph(PROOF_LOAD, "caption")]
    content += [kit.paragraph(words, "small") for words in (own_errors_sentence(facts.view), *_banded(facts)) if words]
    return [block(kit, "Calculated and shown", content, "the same requirement, both with their bands")]


def _banded(facts: Facts) -> list[str]:
    """Calculations whose values carry an accepted prediction error."""
    found = [(c, c.result.error_band) for c in facts.project.calculations if c.result and c.result.error_band]
    return [
        f"{calculation.id}: band of {', '.join(band.values)} with the accepted prediction error {band.assumption}, "
        f"measured/predicted {band.low:.3g} to {band.high:.3g}."
        for calculation, band in found
    ]


def _bad(kit: Kit, facts: Facts) -> list[Flowable]:
    """Tests that failed, were aborted or are invalid, and samples left out: with reason and what followed."""
    rows: list[tuple[Content, ...]] = []
    for item in facts.project.evidence:
        after = _followed(kit, facts, item)
        if item.state in ("aborted", "invalid"):
            rows.append((kit.ref(item.id), item.title, state(item.state), item.reason, after))
            continue
        for decided in decisions(facts.view, item):
            if decided.state in ("not met", "undecided", "outdated"):
                why = [kit.ref(decided.requirement.id, page=False), ": ", decision_words(decided)]
                given = facts.view.concessions.get(decided.requirement.id)
                conceded: Content = ["conceded, ", kit.ref(given.id)] if given else after
                rows.append((kit.ref(item.id), item.title, state(decided.state), why, conceded))
        rows += [
            (kit.ref(item.id), f"{item.title}, {sample.specimen}", state("invalid", "left out"), sample.left_out,
             _again_words(item, sample))
            for sample in item.samples if sample.left_out
        ]  # fmt: skip
    side = "nothing is hidden: every started test is in the list of all tests"
    if not rows:
        words = "No test failed, was aborted or is invalid; no sample is left out."
        return [block(kit, "Failed, aborted, invalid", [kit.paragraph(words)], side)]
    columns = [Column("", 44), Column("test", 92), Column("", 52), Column("why"), Column("what followed", 84)]
    return [block(kit, "Failed, aborted, invalid", [table(kit, columns, rows, size=6.9, pad=1.3)], side)]


def _again_words(item: EvidenceItem, left: Sample) -> str:
    """ "run 2 counts" where the specimen was tested again, else "not tested again"."""
    later = next((s.run for s in counted(item) if s.specimen == left.specimen), None)
    return "not tested again" if later is None else f"run {later} counts"


def _followed(kit: Kit, facts: Facts, item: EvidenceItem) -> Content:
    """Repetition, deviations or remarks on the item or on what it serves; where the records hold none, that it is open."""
    served = [link.requirement for link in item.serves]
    told: list[Content] = []
    repeats = [other.id for other in facts.project.evidence if other.repeats == item.id]
    if repeats:
        told.append(["repeated by ", kit.refs(repeats, page=False)])
    if item.deviations:
        told.append(item.deviations)
    for step in facts.project.of_kind(StepRecord):
        for note in step.note:
            if note.on_record in (item.id, *served):
                told.append(f"remark: {note.text} {f'answered: {note.answered}' if note.answered else 'not answered'}")
    return join(told, "; ") if told else [state("open"), ", no record says what followed"]


def _fatigue(kit: Kit, facts: Facts) -> list[Flowable]:
    told = fatigue_sentences(facts.view)
    if not told:
        return []
    content = [kit.paragraph([kit.ref(item.id), " ", words]) for item, words in told]
    words = "It says nothing about other loads than the agreed collective, and nothing about scatter between batches."
    return [block(kit, "What fatigue does not say", [*content, kit.paragraph(words)], "tests without failure, binomial")]


def _severe(kit: Kit, facts: Facts) -> list[Flowable]:
    """Checks and cautions on risks of severity 9 and 10: what was asked, who answered what."""
    rows = []
    for check in facts.checks:
        remark = check.answer.remark if check.answer else ""
        if SEVERITY not in f"{check.check.text} {remark}".lower():
            continue
        who = f"{check.answer.by} {check.answer.on[:10]}" if check.answer else "no answer"
        rows.append((f"check {check.check.id}", check.check.text, state(check.state), who, remark or "–"))
    dangers = [told.record for told in told_cautions(facts.project) if told.record.signal == "DANGER"]
    rows += [
        (kit.ref(caution.id), f"DANGER: {caution.title}", "", caution.reviewed_by or "not reviewed", "in full: sheet 6")
        for caution in dangers
    ]
    if not rows:
        return []
    columns = [Column("", 46), Column("asked"), Column("", 52), Column("who", 66), Column("answer", 112)]
    note = "the list itself is kept outside this dossier"
    return [block(kit, "Severity 9 and 10", [table(kit, columns, rows, size=6.9, pad=1.2)], note)]
