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
        return "Next: `dossier add design FILE` takes the reference part's dimensions; 3 shows them."
    if project.variant is None:
        return "Next: 3 Design, n copies the reference part as a variant, e changes a dimension."
    if not project.calculations:
        return "Next: `dossier add calculation FILE` plans one, c on 3 Design runs it."
    if not project.evidence:
        return "Next: `dossier plan-test` plans a test for a requirement; 4 shows it."
    if project.find("cost") is None:
        return "Next: `dossier add cost FILE` takes the cost sheet of both parts; 5 shows it."
    return EVERYWHERE
