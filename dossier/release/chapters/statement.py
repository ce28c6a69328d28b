"""Sheet 1: may this part be built, and under which conditions? One page that answers all."""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.open_points import not_accepted_words, unanswered_words
from dossier.checks.told import (
    NO_CONCESSION,
    concession_words,
    margin_words,
    missing_words,
    outdated_words,
    requirement_row,
    saving,
    tightest,
)
from dossier.checks.told_agreement import apart_words
from dossier.checks.verdict import Verdict
from dossier.records.header import Header
from dossier.records.step import Concession
from dossier.release.chapters.common import best_margin, height_of, nominal_margin, worst_margin
from dossier.release.chapters.drawing import small_section
from dossier.release.chapters.where import OPEN_POINTS
from dossier.release.facts import Facts, subtitle
from dossier.release.flow import Columns, IfFits, Wide, block
from dossier.release.heads import Figures, KeyFigure, masthead, sheet
from dossier.release.kit import Kit
from dossier.release.marks import Legend, MarginBar, state
from dossier.release.tables import Column, Row, table
from dossier.release.text import NO_BREAK, bold, join, signed
from dossier.release.trace import sheet_id

QUESTION = "May this part be built, and under which conditions?"
MOST_ROWS = 6
HOLDING = "least margins of those met; zero of the bar is the limit"
NOT_HOLDING = "not met, undecided, outdated or conceded"
NOT_MET = ("not met", "undecided", "open", "outdated", "conceded")
ALWAYS_TOLD = ("not met", "conceded")


def statement(kit: Kit, facts: Facts, titles: dict[str, str]) -> list[Flowable]:
    """The statement of release, or of what is missing for it."""
    header = facts.project.header
    kind = f"release document, revision {facts.letter}, {facts.issued_on}"
    compared = subtitle(facts.project.variant, facts.project.reference)
    lines = [line for line in (compared, _customer(header)) if line]
    answer = statement_answer(facts)
    head = masthead(kit, kind, header.title, lines, small_section(kit, facts.project))
    for room in _rooms():
        story = [*head, *_body(kit, facts, titles, answer, room)]
        if height_of(kit, story) <= kit.page.height:
            break
    # the legend comes last: it is dropped where the rest of the page does not hold it, and always stands on sheet 2
    return [*story, IfFits(kit, [block(kit, "How to read", [Legend(kit)], "the same marks in every sheet")])]


@dataclass(frozen=True)
class Room:
    """Most rows of what holds and of what does not, and whether concessions on checks are told in full."""

    holding: int
    others: int
    in_full: bool


def _rooms() -> list[Room]:
    """From ample to tight: what holds gives way first, then the words of concessions, what does not hold last."""
    return [
        *(Room(n, MOST_ROWS, True) for n in range(MOST_ROWS, 1, -1)),
        Room(2, MOST_ROWS, False),
        *(Room(1, n, False) for n in range(MOST_ROWS, 0, -1)),
    ]


def _body(kit: Kit, facts: Facts, titles: dict[str, str], answer: str, room: Room) -> list[Flowable]:
    """All but masthead and legend, in the room that is left."""
    return [
        *sheet(kit, "1", titles["1"], QUESTION, answer, answer.split(". ")[0] + ".", room_needed=200, above=0),
        Wide(kit, Figures(kit, _figures(facts))),
        block(kit, "What it is", [kit.paragraph(_what_it_is(facts))]),
        block(kit, "What holds", [_holding(kit, facts, room.holding)], HOLDING),
        block(kit, "What does not", _not_holding(kit, facts, room.others), NOT_HOLDING),
        *_conditions(kit, facts, room),
        block(kit, "Signed", [_signed(kit, facts)], ["all: ", kit.trace.ref(sheet_id("9"), label="sheet 9")]),
        block(kit, "Sheets", [_contents(kit, titles)]),
    ]


def _customer(header: Header) -> str:
    return ", ".join(part for part in (header.customer, header.customer_reference) if part)


def statement_answer(facts: Facts) -> str:
    """Yes, with conditions; or no, and why not."""
    counts = facts.standing.requirements
    total = sum(counts.values())
    saved = saving(facts.view)
    old = outdated_words(facts.view)
    lighter = f"The variant is {units.show(100 * saved[0], 3)} % lighter by calculation{old}; " if saved else ""
    told = ", ".join(f"{counts[s]} {s}" for s in NOT_MET if counts[s])
    middle = f"{lighter}{counts['met']} of {total} requirements are met{', ' + told if told else ''}."
    middle = middle[0].upper() + middle[1:]
    if facts.released:
        given = concession_words(facts.view)
        lead = "Yes." if given == NO_CONCESSION else f"Yes, with {given}."
        return f"{lead} {middle}"
    return f"Not released: this is a draft. {middle}"


def _figures(facts: Facts) -> list[KeyFigure]:
    counts = facts.standing.requirements
    figures = []
    saved = saving(facts.view)
    if saved:
        grams, share = units.show(1000 * saved[1], 4), units.show(100 * saved[0], 3)
        told = f"{grams} g saved, calculated{outdated_words(facts.view)}"
        figures.append(KeyFigure(f"−{share}", "%", "mass of the joint", told))
    others = [word for word in NOT_MET if counts[word] or word in ALWAYS_TOLD]
    figures.append(KeyFigure(str(counts["met"]), f"of {sum(counts.values())}", "requirements met",
                             ", ".join(f"{counts[s]} {s}" for s in others)))  # fmt: skip
    least = tightest(facts.view)
    if least:
        words = margin_words(least.margin, least.requirement.unit)
        told = "" if least.state == "met" else f", {least.state}"
        figures.append(KeyFigure(words, "", "tightest margin", f"{least.requirement.id} {least.requirement.title}{told}"))
    closed = sum(step.state == "closed" for step in facts.standing.steps)
    figures.append(KeyFigure(str(closed), "of 6", "steps closed and signed", ""))
    return figures


def _what_it_is(facts: Facts) -> list[str]:
    project = facts.project
    variant, reference = project.variant, project.reference
    if variant is None or reference is None:
        return ["No variant and reference part are recorded yet."]
    carriers = {"axial": "two rings pre-stressed axially", "radial": "two half shells pre-stressed radially"}
    parts: list[str] = [
        f"Spherical rubber-metal joint with {carriers[variant.prestress]}. ",
        bold(variant.part_number or variant.id),
        f" ({variant.title}) is compared with ",
        bold(reference.part_number or reference.id),
        f" ({reference.title}).",
    ]
    if project.idea and project.idea.problem:
        parts.append(" " + project.idea.problem)
    return parts


def _holding(kit: Kit, facts: Facts, most: int) -> Flowable:
    met = [v for v in facts.view.verdicts.values() if v.state == "met"]
    met.sort(key=lambda v: float("inf") if worst_margin(v) is None else worst_margin(v))
    if not met:
        return kit.paragraph("No requirement is met yet.")
    return table(kit, _columns(), [_row(kit, verdict) for verdict in met[:most]], head=False, pad=1.4)


def _conditions(kit: Kit, facts: Facts, room: Room) -> list[Flowable]:
    """Concessions on checks and open points: what the statement depends on besides requirements."""
    requirements = {requirement.id for requirement in facts.project.requirements}
    given = [c for c in facts.view.concessions.values() if c.on_record not in requirements]
    if room.in_full:
        shown: list[Flowable] = [
            kit.paragraph([kit.ref(c.id), f" on check {c.on_record}: {c.reason}; limit {c.limit}, {_until(c)}"], "small")
            for c in given[: room.others]
        ]
        if len(given) > room.others:
            shown.append(kit.paragraph(f"and {len(given) - room.others} more, see sheet 8", "caption"))
    else:
        named = join(([kit.ref(c.id), f" on check {c.on_record}, until {c.until}"] for c in given), "; ")
        shown = [kit.paragraph([named, "; why and in which limits: see sheet 8"], "small")] if given else []
    found = [block(kit, "Conditions", shown, "conceded checks")] if shown else []
    told = [words for words in (not_accepted_words(facts.project), unanswered_words(facts.project)) if words]
    lines = [f"{'; '.join(told)}."] if told else []
    apart = apart_words(facts.view)
    if apart:
        lines.append(f"{apart[0].upper()}{apart[1:]}: see sheet 4.")
    if lines:
        notes = ["all: ", kit.trace.ref(OPEN_POINTS, label="sheet 9")]
        found.append(block(kit, "Open points", [kit.paragraph(" ".join(lines), "small")], notes))
    return found


def _until(concession: Concession) -> str:
    return f"until {concession.until}, {concession.by}"


def _not_holding(kit: Kit, facts: Facts, most: int) -> list[Flowable]:
    order = ("not met", "undecided", "outdated", "conceded")
    found = [v for v in facts.view.verdicts.values() if v.state in order]
    found.sort(key=lambda v: order.index(v.state))
    if not found:
        unanswered = facts.standing.requirements["open"]
        if unanswered:
            return [kit.paragraph(f"No requirement is known not to hold; {unanswered} are open.")]
        return [kit.paragraph("Nothing: every requirement is met without concession.")]
    rows: list[Row] = []
    for verdict in found[:most]:
        rows.append(_row(kit, verdict, together=True))
        reason = requirement_row(verdict).reason
        if verdict.concession:
            given = verdict.concession
            told = f"{verdict.before_concession} by the numbers; {given.reason}"
            reason = f"{given.id} by {given.by}, limit {given.limit}, until {given.until}: {told}"
        if reason:
            rows.append(Row((reason,), kind="note", start=1))
    shown = [table(kit, _columns(), rows, head=False, pad=1.4)]
    if len(found) > most:
        shown.append(kit.paragraph(f"and {len(found) - most} more, see sheet 2", "caption"))
    return shown


def _columns() -> list[Column]:
    return [
        Column("", 40),
        Column(""),
        Column("", 76, "r"),
        Column("", 66),
        Column("", 34, "r"),
        Column("", 58),
    ]


def _row(kit: Kit, verdict: Verdict, *, together: bool = False) -> Row:
    told = requirement_row(verdict)
    worst, nominal = worst_margin(verdict), nominal_margin(verdict)
    bar = MarginBar(nominal, worst, best_margin(verdict)) if worst is not None and nominal is not None else None
    return Row(
        (
            kit.ref(told.id),
            told.title,
            told.told,
            bar,
            signed(worst) if worst is not None else "",
            state(told.state),
        ),
        together=together,
    )


def _signed(kit: Kit, facts: Facts) -> Flowable:
    """The steps in two columns: who signed, which roles are missing, the state."""
    rows: list[Row] = []
    for step in facts.standing.steps:
        valid = [s.signoff for s in facts.view.signoffs if s.counts and s.signoff.step == step.number]
        names = [f"{signoff.person} {signoff.role}".replace(" ", NO_BREAK) for signoff in valid]
        if step.missing_roles:
            names.append(missing_words(facts.project.header, step.missing_roles))
        rows.append(Row((f"{step.number} {step.name}", join(names) if names else "–", state(step.state))))
    half = (len(rows) + 1) // 2
    columns = [Column("", 56), Column(""), Column("", 48)]
    shown = [table(kit, columns, part, head=False, size=6.7, pad=1.0) for part in (rows[:half], rows[half:]) if part]
    return Columns(kit, [(None, [part]) for part in shown], gap=16)


def _contents(kit: Kit, titles: dict[str, str]) -> Flowable:
    entries = [(number, title) for number, title in titles.items()]
    third = (len(entries) + 2) // 3
    columns = [
        table(
            kit, [Column("", 12), Column(""), Column("", 16, "r", 0)],
            [(bold(n), title, kit.trace.page_of(sheet_id(n))) for n, title in entries[start : start + third]],
            head=False, size=6.9, pad=0.4,
        )
        for start in range(0, len(entries), third)
    ]  # fmt: skip
    return Columns(kit, [(None, [column]) for column in columns], gap=14)
