"""What to do next, in one line, for the message row while nothing has been said."""

from __future__ import annotations

from screens.session import Session

EVERYWHERE = "F1 tells the keys here, F2 everything possible; F4 turns hints off."


def next_key(session: Session) -> str:
    """The next key to press in a project that is being begun, else where help is."""
    project = session.opened.project
    idea = project.idea
    if idea is None or not idea.concept:
        return "Begin on 1 Idea: n adds a concept, e then the weighing of the reference."
    if not project.requirements:
        return "Next: 2 Requirements, n begins one; `dossier import-requirements` reads a table."
    if project.reference is None:
        return "Next: 3 Design, n begins the reference part with its dimensions."
    if project.variant is None:
        return "Next: 3 Design, n copies the reference part as a variant, e changes a dimension."
    if not project.calculations:
        return "Next: 3 Design, n adds a calculation, c runs it."
    if not project.evidence:
        return "Next: 4 Evidence, n plans a test, inspection or outside analysis."
    if project.find("cost") is None:
        return "Next: 5 Cost, n begins the cost sheet of both parts."
    return EVERYWHERE
