"""Requirements as rows of a table and as the block below it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from dossier.checks.margin import limit_in_words
from dossier.checks.told import RequirementRow, requirement_row
from dossier.checks.verdict import ORDER, Verdict
from dossier.records.requirement import Requirement
from screens import bars
from screens.cells import cell_len, cut, wrap_most
from screens.glyphs import OF_FRESHNESS
from screens.paint import LineLike, Piece, cut_line, line, state
from screens.session import Session
from screens.widgets.columns import Column
from screens.widgets.sheet_list import Row

WIDE, WIDER, WIDEST = 86, 104, 130
LIMIT = 14
INDENT = 3
WAYS = {"analysis": "anal.", "test": "test", "inspection": "insp.", "demonstration": "demo."}


@dataclass(frozen=True)
class Shown:
    """A row of the list: a requirement, or the heading of a group (then `verdict` is None)."""

    id: str
    verdict: Verdict | None
    heading: str = ""
    group: str = ""


def columns_at(variant: str) -> Callable[[int], Sequence[Column]]:
    """Columns for a width: the way of verification from 86 columns on, the owner from 104, the source from 130 on."""

    def columns(width: int) -> list[Column]:
        bar = Column(bars.margin_head(), 7, gap=1)
        found = [
            Column("id", 6, gap=1), Column("requirement", 0, gap=1), Column("limit", LIMIT, "right", gap=1),
            Column(variant, 7, "point", after=3, gap=1), bar, Column("margin", 17, gap=1),
        ]  # fmt: skip
        added = ((WIDE, Column("by", 5, gap=1)), (WIDER, Column("owner", 12, gap=1)), (WIDEST, Column("source", 26)))
        return found + [column for least, column in added if width >= least]

    return columns


def title_room(width: int) -> int:
    """Columns of the requirement's title at a width of the list."""
    others = [column for column in columns_at("")(width) if column.width]
    return max(width - INDENT - 2 - sum(column.width + column.gap for column in others) - 1, 6)


def row_of(verdict: Verdict, width: int) -> Row:
    """A requirement in one row."""
    told, requirement = requirement_row(verdict), verdict.requirement
    unit = f", {told.unit}" if told.unit else ""
    room = title_room(width)
    title = cut(told.title, max(room - cell_len(unit), 6)) + unit if cell_len(unit) < room - 6 else told.title
    undecided = verdict.state == "undecided"
    bar = Piece(bars.margin_bar(told.margin.value, undecided), "quiet")
    margin = bars.margin_text(told.margin.value, told.margin.absolute)
    ways = " ".join(WAYS[way] for way in requirement.verification)
    limit = limit_in_words(requirement.limit, "-")
    limit = cut(limit if cell_len(limit) <= LIMIT else limit.replace(" .. ", ".."), LIMIT)
    return Row(
        (Piece(told.id), title, limit, "-" if told.value == "–" else told.value, bar,
         line(f"{margin:<6}", state(verdict.state)), Piece(ways, "quiet"), Piece(requirement.owner, "quiet"),
         Piece(requirement.source, "quiet"))
    )  # fmt: skip


ORDERS = {
    "id": "by id, as the files have them",
    "margin": "by margin, the tightest first",
    "state": "by state, the worst first",
    "chapter": "by chapter",
}


def arranged(verdicts: Sequence[Verdict], order: str) -> list[Shown]:
    """The rows in an order; those by state and by chapter have a heading for each group."""
    keys: dict[str, Callable[[Verdict], Any]] = {
        "id": lambda verdict: 0,
        "margin": lambda verdict: (verdict.margin.value is None, verdict.margin.value or 0.0),
        "state": lambda verdict: ORDER.index(verdict.state),
        "chapter": lambda verdict: verdict.requirement.chapter or "~",
    }
    groups: dict[str, Callable[[Verdict], str]] = {
        "state": lambda verdict: verdict.state, "chapter": lambda verdict: verdict.requirement.chapter or "no chapter",
    }  # fmt: skip
    rows: list[Shown] = []
    group_of = groups.get(order, lambda verdict: "")
    ordered = sorted(verdicts, key=keys[order])
    before = ""
    for verdict in ordered:
        group = group_of(verdict)
        if group != before:
            count = sum(group_of(other) == group for other in ordered)
            rows.append(Shown(f"#{group}", None, f"{group}, {count}", group))
            before = group
        rows.append(Shown(verdict.requirement.id, verdict, group=group))
    return rows


def heading_row(text: str) -> Row:
    """The heading of a group."""
    return Row(line=line(Piece(f" ── {text} ", "heading")), selectable=False)


def detail_lines(session: Session, verdict: Verdict, width: int, rows: int) -> list[LineLike]:
    """Statement, source, verification, what it rests on and the checks that name it, in at most `rows` lines."""
    requirement, told = verdict.requirement, requirement_row(verdict)
    lead = f" {requirement.id}  "
    lines: list[LineLike] = [line(Piece(lead, "key"), Piece(cut(requirement.title, width - cell_len(lead) - 1), "heading"))]
    lines += [line("   ", text) for text in wrap_most(requirement.statement, width - 4, max(rows - 6, 1))]
    source = ", ".join(part for part in (requirement.source or "no source", requirement.priority) if part)
    ways = " and ".join(requirement.verification) or "nothing named"
    owner = requirement.owner or "nobody"
    lines.append(_named("source", cut(f"{source}; owner {owner}", width - 16)))
    verified = ways + (f"; {requirement.criterion}" if requirement.criterion else "")
    lines.append(_named("verified by", cut(verified, width - 16)))
    lines.append(cut_line(_rests_line(verdict, told), width - 1))
    limit = limit_in_words(requirement.limit, requirement.unit)
    lines.append(_named("limit", cut(f"{limit}{'; ' + told.reason if told.reason else ''}", width - 16)))
    lines += [cut_line(checks, width - 1) for checks in _checks_lines(session, requirement.id)]
    return lines[:rows]


def _named(name: str, text: str) -> LineLike:
    return line(Piece(f"   {name:<12}", "quiet"), text)


def _way_out(requirement: Requirement) -> str:
    """Where the first verification that is named begins."""
    if not requirement.verification:
        return "e names how it is verified"
    first = requirement.verification[0]
    if first == "analysis":
        return "n on 3 Design adds a calculation that serves it"
    return f"n on 4 Evidence plans the {first}"


def _rests_line(verdict: Verdict, told: RequirementRow) -> LineLike:
    parts: list[str | Piece] = [Piece(f"   {'rests on':<12}", "quiet")]
    if not told.rests_on:
        return line(parts, f"nothing yet; {_way_out(verdict.requirement)}")
    for support in verdict.supports:
        parts += [Piece(f"{support.record} ", "key"), state(OF_FRESHNESS.get(support.state, support.state)), "   "]
    if verdict.beside:
        parts.append(Piece("beside " + " ".join(support.record for support in verdict.beside), "quiet"))
    return line(parts)


def _checks_lines(session: Session, record_id: str) -> list[LineLike]:
    """The checks that name the record in a line, no line without one."""
    parts: list[str | Piece] = []
    for step in session.standing.steps:
        for check in step.checks:
            if any(finding.record == record_id for finding in check.findings):
                parts += [f"{check.check.id} ", state(check.state), "   "]
    return [line(Piece(f"   {'checks':<12}", "quiet"), parts)] if parts else []
