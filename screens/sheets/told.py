"""Records in one line each, as every sheet tells them."""

from __future__ import annotations

from dossier.checks.told import calculation_sentence
from dossier.records.calculation import Calculation
from dossier.records.requirement import Requirement
from screens.paint import LineLike, Piece, line, state
from screens.session import Session


def record_line(session: Session, record_id: str) -> LineLike:
    """Id, what it is, and its state where it has one."""
    project, view = session.opened.project, session.opened.view
    record = project.find(record_id)
    title = getattr(record, "title", "") or getattr(record, "number", "") or project.kinds.get(record_id, "not there")
    parts: list[str | Piece] = [Piece(f"{record_id:<7}", "key"), f"{title} "]
    if isinstance(record, Requirement):
        parts.append(state(view.verdicts[record_id].state))
    elif isinstance(record, Calculation):
        fresh = view.freshness[record_id].state
        word = {"current": "met", "outdated": "outdated", "failed": "not met"}.get(fresh, "open")
        parts.append(Piece(calculation_sentence(view, record), state(word).role))
    return line(*parts)
