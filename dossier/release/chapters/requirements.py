"""Sheet 2: is each requirement decided?"""

from __future__ import annotations

from collections import Counter

from reportlab.platypus import Flowable

from dossier.checks.told import requirement_row, sheet_answer
from dossier.checks.verdict import Verdict
from dossier.records.requirement import Requirement
from dossier.release.chapters.common import best_margin, nominal_margin, worst_margin
from dossier.release.facts import Facts
from dossier.release.flow import Stack, Wide, block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.marks import Legend
from dossier.release.matrix import MatrixGroup, MatrixRow, matrix_table
from dossier.release.tables import Column, Row, table
from dossier.release.text import Content, bold

QUESTION = "Is each requirement decided?"
STATES = ("met", "not met", "undecided", "open", "outdated", "conceded")


def requirements(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """The matrix by chapter, what margins mean, coverage, and each requirement in full."""
    answer = sheet_answer(facts.view, "2")
    return [
        *sheet(kit, "2", title, QUESTION, answer, answer),
        Wide(kit, matrix_table(kit, _groups(facts)), before=2),
        block(kit, "Margin", [kit.paragraph(MARGIN_WORDS)]),
        block(kit, "Marks", [Legend(kit)]),
        block(kit, "Coverage", [_coverage(kit, facts)], "by the way each is verified"),
        *_in_full(kit, facts),
    ]


MARGIN_WORDS = (
    "Maximum: (limit − value)/|limit|. Minimum: (value − limit)/|limit|. Range: the smaller distance to its ends over "
    "half its width. The margin is taken at the unfavourable end of the value's band; a band across the limit is "
    "undecided and never counts as met."
)


def _groups(facts: Facts) -> list[MatrixGroup]:
    chapters: dict[str, list[MatrixRow]] = {}
    for verdict in facts.view.verdicts.values():
        chapter = verdict.requirement.chapter.strip() or "requirements"
        chapters.setdefault(chapter[:1].upper() + chapter[1:], []).append(_row(verdict))
    return [MatrixGroup(chapter, rows) for chapter, rows in chapters.items()]


def _row(verdict: Verdict) -> MatrixRow:
    told = requirement_row(verdict)
    limit = told.limit.removesuffix(told.unit).strip() if told.unit else told.limit
    reason = told.reason if told.state != "open" else ""
    if verdict.requirement.limit.criterion:
        limit = ""
        reason = "; ".join(part for part in (verdict.requirement.limit.criterion, reason) if part)
    return MatrixRow(
        told.id, told.title, limit, told.value if told.value != "–" else "", told.uncertainty,
        told.unit if limit or told.value != "–" else "", nominal_margin(verdict), worst_margin(verdict), best_margin(verdict),
        told.state, list(told.rests_on), reason=reason,
    )  # fmt: skip


def _coverage(kit: Kit, facts: Facts) -> Flowable:
    ways: dict[str, Counter[str]] = {}
    for verdict in facts.view.verdicts.values():
        for way in verdict.requirement.verification or ["none"]:
            ways.setdefault(way, Counter())[verdict.state] += 1
    total = Counter(verdict.state for verdict in facts.view.verdicts.values())
    columns = [Column("verified by"), *(Column(word, 50, "r") for word in STATES)]
    rows: list[Row | tuple] = [
        (way, *(str(c[s]) if c[s] else "–" for s in STATES)) for way, c in ways.items()
    ]
    rows.append(Row(("requirements", *(str(total[s]) if total[s] else "–" for s in STATES)), kind="total"))
    shown = table(kit, columns, rows)
    several = sum(len(verdict.requirement.verification) > 1 for verdict in facts.view.verdicts.values())
    if not several:
        return shown
    lead = f"{several} requirements are" if several > 1 else "1 requirement is"
    words = f"{lead} verified in more than one way and counted in each of these lines."
    return Stack(kit, [shown, kit.paragraph(words, "caption")])


def _in_full(kit: Kit, facts: Facts) -> list[Flowable]:
    """Every statement with its conditions below; conditions and agreements that several share stand once at the end."""
    given = facts.project.requirements
    conditions = _shared({r.id: _conditions(r) for r in given}, "c")
    agreements = _shared({r.id: _agreed(r) for r in given}, "a")
    rows: list[Row] = []
    for requirement in given:
        rows.append(Row((requirement.id, requirement.statement, ", ".join(requirement.verification))))
        told = (
            requirement.source, _marked(agreements, _agreed(requirement), "agreed "),
            _marked(conditions, _conditions(requirement), "conditions "), _labelled("criterion", requirement.criterion),
            _labelled("why", requirement.rationale), requirement.remark,
        )  # fmt: skip
        note: list[Content] = [". ".join(part.rstrip(".") for part in told if part)]
        if requirement.standards:
            note += [". " if note[0] else "", "standards ", kit.refs(requirement.standards, page=False)]
        rows += [Row((note,), kind="note", start=1)] if any(note) else []
    columns = [Column("id", 36), Column("statement"), Column("verified by", 84)]
    statements = Wide(kit, table(kit, columns, rows, size=6.9, pad=1.1))
    return [
        block(kit, "In full", [statements], "statement; below it source and conditions"),
        *_sets(kit, "Conditions", conditions), *_sets(kit, "Agreements", agreements),
    ]  # fmt: skip


def _shared(words_of: dict[str, str], letter: str) -> dict[str, str]:
    """A short mark for each text that several requirements have."""
    several = [words for words, count in Counter(words_of.values()).items() if words and count > 1]
    return {words: f"{letter}{number}" for number, words in enumerate(several, 1)}


def _marked(marks: dict[str, str], words: str, label: str) -> str:
    return f"{label}{marks[words]}" if words in marks else words


def _sets(kit: Kit, title: str, marks: dict[str, str]) -> list[Flowable]:
    if not marks:
        return []
    rows = [Row((bold(mark), words)) for words, mark in marks.items()]
    shown = table(kit, [Column("", 26), Column("")], rows, head=False, size=6.9, pad=1.1)
    return [block(kit, title, [shown], "that several statements share")]


def _labelled(label: str, words: str) -> str:
    return f"{label}: {words}" if words else ""


def _agreed(requirement: Requirement) -> str:
    agreed = requirement.agreed
    if agreed is None or not agreed.by:
        return ""
    return f"agreed {agreed.on} by {agreed.by}{', ' + agreed.document if agreed.document else ''}"


def _conditions(requirement: Requirement) -> str:
    given = {name: value for name, value in requirement.conditions.model_dump().items() if value}
    return "; ".join(value if name == "text" else f"{name.replace('_', ' ')} {value}" for name, value in given.items())
