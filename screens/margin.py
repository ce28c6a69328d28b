"""The left margin of wide terminals: the trace of the record at the cursor in a few lines."""

from __future__ import annotations

from screens.cells import cut
from screens.ladder import state_of, title_of
from screens.paint import LineLike, Piece, line, state
from screens.session import Session

WIDTH = 28
MOST = 6


def trace_lines(session: Session, record_id: str) -> list[LineLike]:
    """What the record serves, itself with its state, what it rests on, and the checks that name it."""
    project = session.opened.project
    if record_id not in project.records:
        return [line(Piece(" no record at the cursor", "quiet"))]
    lines: list[LineLike] = [line(Piece(cut(f" trace of {record_id}", WIDTH), "heading")), ""]
    lines += _named(session, "serves", project.serves(record_id))
    word = state_of(session, record_id)
    here = line(Piece(" here     ", "quiet"), Piece(f"{record_id} ", "key"))
    lines += ["", line(here, state(word) if word else ""), ""]
    lines += _named(session, "rests on", project.rests_on(record_id))
    checks = [c for step in session.standing.steps for c in step.checks if any(f.record == record_id for f in c.findings)]
    if checks:
        lines.append("")
        lines += [line(Piece(" check    ", "quiet"), f"{c.check.id} ", state(c.state)) for c in checks[:MOST]]
    return lines


def _named(session: Session, word: str, ids: list[str]) -> list[LineLike]:
    if not ids:
        return [line(Piece(f" {word} nothing", "quiet"))]
    lines: list[LineLike] = []
    for name in ids[:MOST]:
        told = cut(f"{name} {title_of(session, name)}", WIDTH - 10)
        lines.append(line(Piece(f" {word:<9}", "quiet"), told))
    if len(ids) > MOST:
        lines.append(line(Piece(f" {'':<9}and {len(ids) - MOST} more", "quiet")))
    return lines
