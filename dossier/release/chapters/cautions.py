"""Sheet 6: who can be hurt, and how is it avoided?"""

from __future__ import annotations

from collections import Counter

from reportlab.platypus import Flowable

from dossier.checks.caution_text import FRAME, ToldCaution, caution_register, told_cautions
from dossier.records.calculation import Calculation
from dossier.release.chapters.calculation import old_words
from dossier.release.chapters.common import trimmed
from dossier.release.facts import Facts
from dossier.release.flow import block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.marks import state
from dossier.release.signals import WORDS, caution
from dossier.release.tables import Column, table
from dossier.release.text import Content, join

QUESTION = "Who can be hurt, and how is it avoided?"


def cautions(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """The frame sentence, the cautions from DANGER to NOTICE, limits of the evidence, disposal."""
    told = told_cautions(facts.project)
    answer = cautions_answer(told)
    story: list[Flowable] = [*sheet(kit, "6", title, QUESTION, answer, answer, room_needed=260)]
    story.append(block(kit, "For all", [kit.paragraph(FRAME)], "the stricter rule applies"))
    for one in told:
        story.append(_caution(kit, facts, one))
    return [*story, *_limits_of_use(kit, facts)]


def _limits_of_use(kit: Kit, facts: Facts) -> list[Flowable]:
    """What the records hold the statement to: conceded limits, bands of temperature, greatest loads."""
    rows: list[tuple[Content, Content]] = []
    for given in facts.view.concessions.values():
        if given.limit and facts.project.find(given.on_record):
            rows.append((kit.ref(given.id), f"{given.limit}, until {given.until}, for {given.on_record}"))
    for assumed in facts.project.assumptions:
        if assumed.unit == "°C":
            ends = [assumed.value if end is None else end for end in (assumed.low, assumed.high)]
            rows.append((kit.ref(assumed.id), f"{trimmed(ends[0])} to {trimmed(ends[1])} °C: {assumed.statement}"))
    rows += _greatest_loads(kit, facts)
    if not rows:
        return []
    shown = table(kit, [Column("", 44), Column("")], rows, head=False, pad=1.2)
    return [block(kit, "Limits of use", [shown], "from concessions, assumptions and loads; beyond them nothing is shown")]


def _greatest_loads(kit: Kit, facts: Facts) -> list[tuple[Content, Content]]:
    """The load case with the greatest force or angle of each kind, blocks of programmes included."""
    found: list[tuple[Content, Content]] = []
    for name, words, factor, unit in (("radial", "radial force", 1e-3, "kN"), ("axial", "axial force", 1e-3, "kN"),
                                      ("torsion", "torsion", 1, "°"), ("tilt", "conical angle", 1, "°")):  # fmt: skip
        levels = [(abs(getattr(level, name)), load) for load in facts.project.loads for level in (load, *load.blocks)]
        greatest, load = max(levels, key=lambda level: level[0], default=(0.0, None))
        if load is not None and greatest:
            level = f"{trimmed(factor * greatest)}{'' if unit == '°' else ' '}{unit}"
            found.append((kit.ref(load.id), f"{words} at most {level}: {load.title}"))
    return found


def cautions_answer(told: list[ToldCaution]) -> str:
    """How many of each signal word, and what they still lack."""
    if not told:
        return f"No caution is chosen yet; the register offers {len(caution_register())} to choose from."
    counts = Counter(one.record.signal for one in told)
    named = [f"{counts[word]} {word}" for word in WORDS if counts[word]]
    others = sum(count for word, count in counts.items() if word not in WORDS)
    words = ", ".join([*named, f"{others} other{'s' if others != 1 else ''}"] if others else named)
    gaps = sum(len(one.missing) for one in told)
    unread = sum(not one.record.reviewed_by for one in told)
    tail = f" {gaps} value{'s are' if gaps != 1 else ' is'} missing." if gaps else ""
    tail += f" {unread} {'are' if unread != 1 else 'is'} not reviewed." if unread else ""
    return f"{words}.{tail}"


def _caution(kit: Kit, facts: Facts, told: ToldCaution) -> Flowable:
    record = told.record
    paragraphs: list[Content] = [told.text]
    if told.missing:
        paragraphs.append([state("not met"), f" no value for {', '.join(told.missing)}; name a record in numbers"])
    for name in told.sources:
        source = facts.project.find(name)
        if isinstance(source, Calculation) and (mark := old_words(facts, source)):
            paragraphs.append(["number from ", kit.ref(name), ", ", mark])
    reviewed = f" reviewed by {record.reviewed_by} {record.reviewed_on or ''}".rstrip()
    mark = [state("met", ""), reviewed] if record.reviewed_by else [state("open"), " not reviewed"]
    paragraphs[-1] = join([paragraphs[-1], mark], "  ")
    if record.signal in WORDS:
        return caution(kit, record.signal, record.id, record.title, paragraphs, told.sources)
    note = kit.trace.note(from_=told.sources)
    content = [kit.paragraph(paragraph) for paragraph in paragraphs]
    return block(kit, record.title, content, record.id, note, identifier=record.id)
