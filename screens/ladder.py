"""The ladder of a record: what it serves above it, what it rests on below, two rungs each way, with states."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from dossier.checks.told import leading_value, margin_words, requirement_row
from dossier.checks.told_evidence import decided_by_worst, deciding_words, shown_unit, value_words
from dossier.checks.told_numbers import digits_of
from dossier.checks.verdict import ORDER
from dossier.records.calculation import Calculation
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from dossier.units import amount, show_quantity
from screens.glyphs import OF_FRESHNESS
from screens.session import Session
from screens.units_shown import readable_unit

MOST_KIDS = 4
ABSENT = "not there"


@dataclass(frozen=True)
class Rung:
    """One rung: the record (empty for a line that is none), how deep, what it is, its value, its state word."""

    record: str
    depth: int
    title: str
    value: str = ""
    state: str = ""
    branch: str = ""


def state_of(session: Session, record_id: str) -> str:
    """State of a record in the words of the states, empty for a record without one."""
    view, record = session.opened.view, session.opened.project.find(record_id)
    if isinstance(record, Requirement):
        return view.verdicts[record_id].state
    if isinstance(record, Calculation):
        fresh = view.freshness[record_id].state
        return OF_FRESHNESS.get(fresh, fresh)
    if isinstance(record, EvidenceItem):
        states = [s.state for v in view.verdicts.values() for s in (*v.supports, *v.beside) if s.record == record_id]
        return min(states, key=lambda word: ORDER.index(word) if word in ORDER else 3, default="open")
    return ""


def value_of(session: Session, record_id: str) -> str:
    """The number a record stands for, in words: a limit, a result, empty for the others."""
    view, record = session.opened.view, session.opened.project.find(record_id)
    if isinstance(record, Requirement):
        row = requirement_row(view.verdicts[record_id])
        return f"{row.limit}  {margin_words(row.margin, record.unit)}".strip()
    if isinstance(record, Calculation):
        found = leading_value(record)
        if found is None or found[1].value is None:
            return ""
        return show_quantity(found[1].value, found[1].unit, found[0].shown or None, digits_of(found[1].unit))
    if isinstance(record, EvidenceItem) and record.result and record.result.values:
        if worst := decided_by_worst(view, record):
            return deciding_words(record, worst)
        value = record.result.values[0]
        if value.value is not None:
            unit = shown_unit(view, record, value)
            return value_words(value, readable_unit(unit, value.value))
    return ""


def title_of(session: Session, record_id: str) -> str:
    """What a record is, in a few words."""
    project = session.opened.project
    record = project.find(record_id)
    if record is None:
        return "named but not there"
    title = getattr(record, "title", "") or getattr(record, "number", "") or getattr(record, "name", "")
    if isinstance(record, Calculation):
        title = title or record.method
    return title or project.kinds[record_id]


def ladder(session: Session, record_id: str) -> list[Rung]:
    """The rungs from the top: served twice over, served, the record itself, what it rests on, and that's own."""
    project = session.opened.project
    above = _worst_first(session, project.serves(record_id))
    rungs: list[Rung] = []
    for name in above:
        higher = [upper for upper in _worst_first(session, project.serves(name)) if upper != record_id]
        rungs += [_rung(session, upper, -2, "") for upper in higher[:MOST_KIDS]]
        if len(higher) > MOST_KIDS:
            rungs.append(Rung("", -2, _folded(session, higher[MOST_KIDS:])))
        rungs.append(_rung(session, name, -1, "└─ " if higher else ""))
    rungs = _source(session, record_id) + rungs
    rungs.append(_rung(session, record_id, 0, ""))
    below = _worst_first(session, project.rests_on(record_id))
    lower = [(name, _rung(session, name, 1, "")) for name in below]
    extra = _files(session, record_id, 1) + _checks(session, record_id)
    for index, (name, rung) in enumerate(lower):
        last = index == len(lower) - 1 and not extra
        rungs.append(_branched(rung, "└─ " if last else "├─ "))
        rungs += _kids(session, name, "   " if last else "│  ", {record_id})
    rungs += [_branched(rung, "└─ " if index == len(extra) - 1 else "├─ ") for index, rung in enumerate(extra)]
    return rungs


def _kids(session: Session, name: str, lead: str, without: set[str]) -> list[Rung]:
    """The second level below: the first few, worst first, the rest folded by kind with a count."""
    names = [below for below in _worst_first(session, session.opened.project.rests_on(name)) if below not in without]
    shown, rest = names[:MOST_KIDS], names[MOST_KIDS:]
    kids = [_rung(session, below, 2, "") for below in shown] + _files(session, name, 2)
    if rest:
        kids.append(Rung("", 2, _folded(session, rest)))
    return [_branched(kid, lead + ("└─ " if index == len(kids) - 1 else "├─ ")) for index, kid in enumerate(kids)]


def _folded(session: Session, names: list[str]) -> str:
    counted = Counter(session.opened.project.kinds.get(name, ABSENT) for name in names)
    return "and " + ", ".join(f"{number} more {kind}{'s' if number > 1 else ''}" for kind, number in counted.items())


def _worst_first(session: Session, names: list[str]) -> list[str]:
    def rank(name: str) -> int:
        if name not in session.opened.project.records:
            return -1
        state = state_of(session, name)
        return ORDER.index(state) if state in ORDER else len(ORDER)

    return sorted(names, key=rank)


def _rung(session: Session, name: str, depth: int, branch: str) -> Rung:
    if name not in session.opened.project.records:
        return Rung("", depth, f"{name}  named but not there; a record of that id is missing", "", "not met", branch)
    return Rung(name, depth, title_of(session, name), value_of(session, name), state_of(session, name), branch)


def _branched(rung: Rung, branch: str) -> Rung:
    return Rung(rung.record, rung.depth, rung.title, rung.value, rung.state, branch)


def _source(session: Session, name: str) -> list[Rung]:
    record = session.opened.project.find(name)
    if not isinstance(record, Requirement) or not record.source:
        return []
    agreed = f", agreed {record.agreed.on} by {record.agreed.by}" if record.agreed else ""
    return [Rung("", -1, f"{record.source}, {record.source_kind}, {record.priority}{agreed}")]


def _files(session: Session, name: str, depth: int) -> list[Rung]:
    record = session.opened.project.find(name)
    if not isinstance(record, EvidenceItem):
        return []
    files = [sample for sample in record.samples if sample.file]
    rungs = [Rung("", depth, f"raw file {s.file_name} {s.file[:4]} {s.file[4:8]} …".replace("  ", " ")) for s in files[:2]]
    return rungs + ([Rung("", depth, f"and {amount(len(files) - 2, 'more raw file')}")] if len(files) > 2 else [])


def _checks(session: Session, name: str) -> list[Rung]:
    found = [
        check
        for step in session.standing.steps
        for check in step.checks
        if any(finding.record == name for finding in check.findings)
    ]
    return [Rung("", 1, f"check {check.check.id} {check.check.text}", "", check.state) for check in found]


MANY = {"equipment": "pieces of equipment", "evidence": "evidence items"}


def ladder_answer(session: Session, record_id: str) -> str:
    """One sentence: what the record stands on, and what of it doesn't hold."""
    project = session.opened.project
    below = project.rests_on(record_id)
    if not below:
        serves = project.serves(record_id)
        return f"{record_id} rests on nothing{'; it serves ' + ', '.join(serves[:4]) if serves else ' and serves nothing'}."
    kinds = Counter(project.kinds.get(name, "missing record") for name in below)
    told = ", ".join(amount(number, kind, MANY.get(kind, "")) for kind, number in kinds.items())
    bad = [f"{name} {state}" for name in below if (state := state_of(session, name)) not in ("", "met", "conceded")]
    bad += [f"{name} is not there" for name in below if name not in project.records]
    doubt = f"; {', '.join(bad[:3])}" if bad else ""
    own = state_of(session, record_id)
    return f"{record_id}{f' is {own}; it' if own else ''} stands on {told}{doubt}."
