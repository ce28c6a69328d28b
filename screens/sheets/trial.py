"""What a change would do before it is recorded: masses, margins, outdated results, signatures superseded."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from dossier.actions.refusal import Refusal
from dossier.actions.run import run_calculations, with_changes
from dossier.checks.margin import Margin, margin
from dossier.checks.told_evidence import outdated_by
from dossier.checks.verdict import support_of_calculation
from dossier.checks.view import View
from dossier.methods.freshness import STANDS, differences
from dossier.methods.links import resolve
from dossier.methods.mass import PARTS
from dossier.methods.registry import method_of
from dossier.records.calculation import Calculation
from dossier.records.design import Design
from dossier.records.requirement import Requirement
from dossier.store.change import Change
from dossier.store.project import Project
from screens import bars
from screens.cells import cell_len, wrap
from screens.glyphs import STATES
from screens.paint import LineLike, Piece, line, text_of

# Methods whose run takes longer than a keystroke may: they are named, and run after recording only.
SLOW = ("layer.stiffness", "section.stiffness", "section.strength", "layer.limits")
MOST_LINES = 2
MOST_NAMES = 3


def draft_of(project: Project, change: Change) -> Project:
    """The project as it would be after a change, signatures kept."""
    draft = with_changes(project, change)
    draft.signoffs = project.signoffs
    return draft


def masses_of(project: Project, design: Design) -> dict[str, float] | str:
    """Mass in kg of each part (pin, core, layer, carrier, rest) and in total, or why it cannot be worked out."""
    method = method_of("mass.joint")
    resolved = resolve(project, Calculation(id="C-0", title="mass", method=method.id, design=design.id), method)
    if resolved.given is None:
        return "; ".join(resolved.problems)
    try:
        values = method.run(resolved.given).values
    except ValueError as error:
        return str(error)
    return {name: float(getattr(values[name], "value", values[name])) for name in (*PARTS, "total")}


@dataclass(frozen=True)
class MarginMove:
    """A requirement's margin and state after the change, the margin before, and the state before where that moves."""

    requirement: str
    before: Margin
    after: Margin
    state: str
    was: str = ""


@dataclass
class Consequences:
    """What a change would do to results, margins, verdicts and signatures.

    `moves` are margins by calculation, `verdicts` requirements whose state or margin as decided would be another;
    `later` are results that need a longer run, `measured` evidence items whose parts would be of an older shape.
    """

    moves: list[MarginMove] = field(default_factory=list)
    verdicts: list[MarginMove] = field(default_factory=list)
    outdated: list[str] = field(default_factory=list)
    later: list[str] = field(default_factory=list)
    measured: list[str] = field(default_factory=list)
    superseded: list[str] = field(default_factory=list)


def consequences(view: View, draft: Project, today: date, person: str) -> Consequences:
    """Compare the project of `view` with a draft of it. Quick calculations whose input differs are run on the draft."""
    new = View(draft, today)
    touched = [name for name, fresh in new.freshness.items() if _input_differs(view, new, name, fresh)]
    found = Consequences(outdated=[name for name in touched if view.freshness[name].state in STANDS])
    found.measured = outdated_by(view, new)
    found.later = [name for name in touched if _method(draft, name) in SLOW]
    ran = draft
    for name in touched:
        if name not in found.later:
            ran = _run(ran, name, person)
    after = View(ran, today)
    for name in touched:
        found.moves += _moves(view, after, name)
    found.moves.sort(key=lambda move: (move.state == "met", move.after.value is None, move.after.value or 0.0))
    found.verdicts = _verdict_moves(view, new, {move.requirement for move in found.moves})
    before = {state.signoff.id for state in view.signoffs if state.counts}
    found.superseded = [state.signoff.id for state in new.signoffs if state.signoff.id in before and not state.counts]
    return found


def _input_differs(view: View, new: View, name: str, fresh) -> bool:
    old = view.freshness.get(name)
    if old is None or old.resolved is None or fresh.resolved is None:
        return False
    return bool(differences(old.resolved.plain, fresh.resolved.plain)) or old.resolved.problems != fresh.resolved.problems


def _method(project: Project, name: str) -> str:
    return getattr(project.find(name), "method", "")


def _run(project: Project, name: str, person: str) -> Project:
    try:
        return draft_of(project, run_calculations(project, [name], person))
    except Refusal:
        return project


def _moves(view: View, after: View, name: str) -> list[MarginMove]:
    calculation, old = after.project.get(name), view.project.get(name)
    assert isinstance(calculation, Calculation) and isinstance(old, Calculation)
    moves = []
    for served in calculation.serves:
        requirement = after.project.find(served.requirement)
        if not isinstance(requirement, Requirement) or after.freshness[name].state not in STANDS:
            continue
        support = support_of_calculation(requirement, calculation, served.value, after.freshness[name])
        if support.value is None or margin(requirement.limit, 0.0, 0.0).value is None:
            continue
        before = support_of_calculation(requirement, old, served.value, view.freshness[name])
        moves.append(MarginMove(requirement.id, before.margin, support.margin, support.state))
    return moves


def _verdict_moves(view: View, new: View, told: set[str]) -> list[MarginMove]:
    """Requirements decided otherwise by the records as they would be, apart from those `told` already."""
    moves = []
    for name, verdict in new.verdicts.items():
        old = view.verdicts.get(name)
        if old is None or name in told or (old.state, old.margin) == (verdict.state, verdict.margin):
            continue
        moves.append(MarginMove(name, old.margin, verdict.margin, verdict.state, old.state))
    return moves


def consequence_lines(mass: Sequence[float], found: Consequences | None, columns: int) -> list[LineLike]:
    """What stands under the field in `columns`: masses in kg before and after, margins, results and signatures."""
    told = [[Piece(f"{1000 * mass[0]:.0f} > {1000 * mass[1]:.0f} g   ", "heading")]] if len(mass) == 2 else []
    if found is None:
        return [line(*told, Piece("consequences follow", "quiet"))]
    told += [_told(move) for move in found.moves if move.state != "met" or _moved(move)]
    told += [_told(move) for move in found.verdicts]
    rest = [f"outdated by it: {' '.join(found.outdated)}"] if found.outdated else []
    rest += [f"measured on an older shape then: {_first(found.measured)}"] if found.measured else []
    rest += [f"run after recording: {' '.join(found.later)}"] if found.later else []
    rest += [] if told else ["no verdict changes"]
    rest.append(f"signatures that would be superseded: {' '.join(found.superseded) or 'none'}")
    return [*_packed(told, columns), *(line(Piece(text, "quiet")) for text in wrap("; ".join(rest), columns)[: MOST_LINES + 1])]


def _first(names: Sequence[str]) -> str:
    shown = " ".join(names[:MOST_NAMES])
    return f"{shown} and {len(names) - MOST_NAMES} more" if len(names) > MOST_NAMES else shown


def _moved(move: MarginMove) -> bool:
    return bars.margin_text(move.after.value) != bars.margin_text(move.before.value)


def _told(move: MarginMove) -> list[Piece]:
    glyph = STATES.get(move.state)
    mark = Piece(glyph.glyph, glyph.role) if glyph else Piece("-")
    word = Piece(f" {move.state}", glyph.role) if glyph and move.was != move.state and move.was else Piece("")
    was = f" {STATES[move.was].glyph}" if move.was in STATES else ""
    before = Piece(f" was {bars.margin_text(move.before.value, move.before.absolute)}{was}   ", "quiet")
    after = bars.margin_text(move.after.value, move.after.absolute)
    return [Piece(f"{move.requirement} ", "key"), Piece(f"{after} "), mark, word, before]


def _packed(parts: Sequence[list[Piece]], columns: int) -> list[LineLike]:
    """The parts in lines, none broken; what does not fit the last line is counted."""
    lines: list[list[Piece]] = [[]]
    for number, part in enumerate(parts):
        used, size = cell_len(text_of(lines[-1])), cell_len(text_of(part).rstrip())
        left = len(parts) - number - 1
        room = columns - (9 if len(lines) == MOST_LINES and left else 0)
        if lines[-1] and used + size > room:
            if len(lines) == MOST_LINES:
                lines[-1].append(Piece(f"{left + 1} more", "quiet"))
                break
            lines.append([])
        lines[-1] += part
    return [content for content in lines if content]
