"""What the left margin shows for a record: the section of reference and variant, and the record's trace."""

from __future__ import annotations

from collections.abc import Sequence
from weakref import WeakKeyDictionary

from dossier.checks.view import View
from dossier.mechanics.shapes import GeometryError
from dossier.records.calculation import Calculation
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from screens.glyphs import OF_FRESHNESS, STATES
from screens.paint import LineLike, Piece, line
from screens.section_of import region_names, section_of
from screens.session import Session
from screens.widgets.section_shape import Section
from screens.widgets.trace_margin import TraceMargin

EMPTY = Section((), ())
_SECTIONS: WeakKeyDictionary[View, Section] = WeakKeyDictionary()


def section_now(session: Session) -> Section:
    """The section of reference and variant, built once for each reading of the records; empty while it cannot be built."""
    view = session.opened.view
    if view not in _SECTIONS:
        try:
            _SECTIONS[view] = section_of(view.project.reference, view.project.variant)
        except GeometryError:
            _SECTIONS[view] = EMPTY
    return _SECTIONS[view]


def state_of(session: Session, record_id: str) -> str:
    """State of a record that has one: a requirement's verdict, a result's freshness; else empty."""
    view = session.opened.view
    record = view.project.find(record_id)
    if isinstance(record, Requirement):
        return view.verdicts[record_id].state
    if isinstance(record, Calculation):
        return OF_FRESHNESS[view.freshness[record_id].state]
    if isinstance(record, EvidenceItem) and record.result is not None:
        return OF_FRESHNESS[view.evidence_freshness[record_id].state]
    return ""


def target_line(session: Session, record_id: str) -> LineLike:
    """Id, state and title, short."""
    record = session.opened.project.find(record_id)
    word = state_of(session, record_id)
    title = str(getattr(record, "title", "") or getattr(record, "name", ""))
    mark = [Piece(f"{STATES[word].glyph} ", STATES[word].role)] if word else []
    return line(Piece(f"{record_id} ", "key"), mark, title)


def fill_margin(margin: TraceMargin, session: Session, record_id: str, letter: str = "",
                above: Sequence[LineLike] = ()) -> None:  # fmt: skip
    """Section with one region marked, and the trace of a record."""
    project = session.opened.project
    section = section_now(session)
    margin.show_section(section, letter, region_names(section))
    if record_id not in project.records:
        margin.show_trace("", (), (), above=above)
        return
    upper, lower = ([target_line(session, name) for name in names if name in project.records]
                    for names in (project.serves(record_id), project.rests_on(record_id)))  # fmt: skip
    source = getattr(project.get(record_id), "source", "")
    serves = upper or ([source] if isinstance(source, str) and source else [])
    margin.show_trace(record_id, serves, lower, target_line(session, record_id), above)
