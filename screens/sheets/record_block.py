"""A record told in a few wrapped lines, whatever kind it is: title, what it says, and its filled fields."""

from __future__ import annotations

from dossier.checks.told import calculation_sentence
from dossier.records.calculation import Calculation
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from screens.cells import cut, wrap
from screens.ladder import title_of
from screens.paint import LineLike, Piece, line
from screens.session import Session
from screens.sheets.editing import fields_of
from screens.sheets.evidence import detail_lines as evidence_lines
from screens.sheets.requirement_rows import detail_lines as requirement_lines
from screens.units_shown import number_words, shown_unit_of

NAME = 22
# Fields that the title or the ladder tells already.
TOLD = ("title", "number", "name", "kind", "result", "serves", "inputs", "remark")


def record_block(session: Session, record_id: str, columns: int, most: int) -> list[LineLike]:
    """The record in at most `most` lines of `columns`; the last one counts the fields left out."""
    project, view = session.opened.project, session.opened.view
    record = project.find(record_id)
    if isinstance(record, Requirement):
        return requirement_lines(session, view.verdicts[record_id], columns, most)
    if isinstance(record, EvidenceItem):
        return evidence_lines(view, record, columns)[1 : most + 1]
    kind, title = project.kinds.get(record_id, ""), title_of(session, record_id)
    beside = f"  {kind}" if kind != title else ""
    head = line(Piece(f" {record_id} ", "key"), Piece(cut(title, columns - len(record_id + beside) - 4), "heading"),
                Piece(beside, "quiet"))  # fmt: skip
    lines: list[LineLike] = [head]
    if isinstance(record, Calculation):
        lines += [line(f"   {text}") for text in wrap(calculation_sentence(view, record), columns - 4)]
    told = [entry for entry in _fields(session, record_id) if entry[1]]
    for number, (name, text) in enumerate(told):
        rows = wrap(text, max(columns - NAME - 4, 12))
        room = most - len(lines) - (number < len(told) - 1)
        if len(rows) > room:
            lines.append(line(Piece(f"   {len(told) - number} more fields; F1 tells them all", "quiet")))
            break
        names = [cut(name, NAME - 1), *[""] * (len(rows) - 1)]
        lines += [line(Piece(f"   {lead:<{NAME}}", "quiet"), part) for lead, part in zip(names, rows, strict=True)]
    return lines[:most]


def _fields(session: Session, record_id: str) -> list[tuple[str, str]]:
    """Name and value of each filled field, numbers in the unit they are read in."""
    project = session.opened.project
    model, raw = type(project.get(record_id)), project.raw[record_id]
    found = []
    for field in fields_of(project, record_id):
        if field.path.split(".")[0] in TOLD or not field.text:
            continue
        text = field.text
        if field.unit:
            unit, shown = shown_unit_of(model, raw, field.path)
            try:
                text = number_words(float(field.text), unit, shown)
            except ValueError:
                text = f"{field.text} {field.unit}"
        found.append((field.path.replace("_", " "), text))
    return found
