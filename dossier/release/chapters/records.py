"""Sheets 7 and 8: standards, concessions and changes."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.checks.cited_standards import edition_confirmed
from dossier.checks.told import concession_words
from dossier.checks.told_standards import NamedStandards, named_standards
from dossier.records.standard import Standard
from dossier.records.step import Concession, StepRecord
from dossier.release.chapters.common import height_of, sentences
from dossier.release.facts import Facts
from dossier.release.flow import Wide, block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.marks import state
from dossier.release.tables import FEW_ROWS, Column, Row, table
from dossier.release.text import Content, bold
from dossier.units import amount

MOST_CHANGES, MOST_CITING = 48, 6
HEAD, BEGINNING = 80, 180  # points: the head of a sheet, and what of a long sheet may begin on a page


def standards(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Editions, and who confirmed them."""
    citing = citing_records(facts)
    cited = [s for s in facts.project.standards if citing[s.id]]
    unconfirmed = [f"{s.id} {s.number}" for s in cited if not edition_confirmed(s)]
    confirmed = len(cited) - len(unconfirmed)
    answer = f"{amount(len(cited), 'standard')} cited"
    answer += f", {confirmed} with a confirmed edition" if unconfirmed else "; every edition is confirmed by name"
    recalled = sum(edition_confirmed(s) and s.mark == "memory" for s in cited)
    answer += f", of these {recalled} from memory, without a page seen." if recalled else "."
    outside = _named(facts).others
    if outside:
        answer += f" {len(outside)} more {'are' if len(outside) > 1 else 'is'} named and not in the register."
    rows: list[Row] = []
    for s in cited:
        who = f"{s.confirmed_by} {s.confirmed_on or ''}".strip() if edition_confirmed(s) else _named_only(s)
        mark = "withdrawn" if s.withdrawn else s.mark
        cells = (bold(s.id), s.number, s.edition or "–", s.kind, _citing(kit, citing[s.id]), who, mark)
        rows.append(Row(cells, anchor=s.id, anchor_title=f"{s.id} {s.number}", together=True))
        rows.append(Row((sentences(s.title, s.used_for, s.remark),), kind="note", start=1))
    columns = [Column("", 30), Column("number", 66), Column("edition", 84), Column("why", 46),
               Column("cited by"), Column("confirmed by", 104), Column("mark", 54)]  # fmt: skip
    words = "Following, not claiming conformity: every standard is used as a guide unless a record says otherwise."
    story = [
        *sheet(kit, "7", title, "Which editions, and who confirmed them?", answer, answer, room_needed=260),
        Wide(kit, table(kit, columns, rows, size=6.9, pad=1.4)),
        kit.paragraph(words, "caption"),
    ]
    if unconfirmed:
        told = f"No person confirmed the edition of {', '.join(unconfirmed)}, or the record itself takes it back."
        story.append(block(kit, "Not confirmed", [kit.paragraph(told, "small")]))
    return [*story, *_outside(kit, outside)]


def citing_records(facts: Facts) -> dict[str, list[str]]:
    """By id of each standard of the register the records that link it or name it in their texts."""
    named = _named(facts).registered
    return {s.id: list(dict.fromkeys([*facts.project.serves(s.id), *named[s.id]])) for s in facts.project.standards}


def _named(facts: Facts) -> NamedStandards:
    return facts.once("named standards", lambda: named_standards(facts.view))


def _outside(kit: Kit, found: dict[str, list[str]]) -> list[Flowable]:
    """Standards that only texts name."""
    if not found:
        return []
    rows = [(number, _citing(kit, ids)) for number, ids in found.items()]
    content = [table(kit, [Column("number", 100), Column("named in")], rows, size=6.9, pad=1.2)]
    return [block(kit, "Not in the register", content, "named in texts of records, no edition confirmed")]


def _named_only(standard: Standard) -> str:
    """What the record says where its edition does not count as confirmed."""
    named = f"{standard.confirmed_by} {standard.confirmed_on or ''}".strip()
    return f"not confirmed; {named} is named" if named else "not confirmed"


def _citing(kit: Kit, ids: list[str]) -> Content:
    more = len(ids) - MOST_CITING
    return [kit.refs(ids[:MOST_CITING], page=False), f" and {more} more" if more > 0 else ""]


def changes(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Concessions and the history."""
    concessions = [c for step in facts.project.of_kind(StepRecord) for c in step.concession]
    given = concession_words(facts.view)
    answer = f"{given[0].upper()}{given[1:]}; {len(facts.history)} change{'s' if len(facts.history) != 1 else ''} in the history."
    rows = [
        Row(
            (bold(c.id), _on(kit, facts, c.on_record), c.kind, _reason(kit, facts, c), c.limit, c.until, f"{c.by}, {c.on[:10]}"),
            anchor=c.id,
            anchor_title=f"{c.id} {c.on_record}",
        )
        for c in concessions
    ]  # fmt: skip
    columns = [Column("", 30), Column("on", 54), Column("kind", 64), Column("reason"), Column("limit", 90),
               Column("until", 46), Column("by", 70)]  # fmt: skip
    shown = facts.history[:MOST_CHANGES]
    history = [(when(line.time), line.person, line.message.splitlines()[0]) for line in shown]
    tail = (
        f"the newest {MOST_CHANGES} of {len(facts.history)}"
        if len(facts.history) > MOST_CHANGES
        else "newest first"
    )
    spans = [Column("UTC", 82), Column("who", 70), Column("change")]
    none = kit.paragraph("No deviation is conceded.")
    content = [
        Wide(kit, table(kit, columns, rows)) if rows else none,
        *_remarks(kit, facts),
        block(kit, "History", [table(kit, spans, history, size=6.9, pad=0.9)], tail),
    ]
    needed = HEAD + height_of(kit, content)
    first = HEAD + height_of(kit, content[:1]) if len(rows) <= FEW_ROWS else 0.0  # so few rows are not parted
    room_needed = needed if needed < kit.page.height / 2 else max(BEGINNING, first)  # a short sheet is not split
    return [*sheet(kit, "8", title, "What deviates, and what changed?", answer, answer, room_needed=room_needed), *content]


def _reason(kit: Kit, facts: Facts, concession: Concession) -> Content:
    """Why, and which document holds the customer's acceptance."""
    held: Content = "customer's acceptance not recorded"
    if concession.document:
        known = facts.project.find(concession.document)
        held = ["customer's acceptance: ", kit.ref(concession.document) if known else concession.document]
    return [f"{concession.reason.rstrip('. ')}; ", *([held] if isinstance(held, str) else held)]


def _on(kit: Kit, facts: Facts, record_id: str) -> str:
    """A record as a link, a check by its number."""
    return kit.ref(record_id) if facts.project.find(record_id) else f"check {record_id}"


def _remarks(kit: Kit, facts: Facts) -> list[Flowable]:
    rows = [
        (_on(kit, facts, note.on_record), note.text, f"{note.by}, {note.on[:10]}", note.answered or state("open", "not answered"))
        for step in facts.project.of_kind(StepRecord)
        for note in step.note
    ]
    if not rows:
        return []
    columns = [Column("on", 54), Column("remark"), Column("by", 84), Column("answered", 110)]
    return [block(kit, "Remarks", [table(kit, columns, rows, size=6.9, pad=1.4)])]


def when(moment: str) -> str:
    """A moment as it is printed."""
    return moment.replace("T", " ").removesuffix("Z")
