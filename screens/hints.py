"""What to do next, in one line, for the message row while nothing has been said."""

from __future__ import annotations

from screens.landing import asked_reviews
from screens.session import Session

STATIONS = (  # the way a newcomer is led through a demonstration project; a sheet names its station
    "1 of 6: the question, the answer, what stops it; r shows what it rests on.",
    "2 of 6: what this rests on stands below it; i shows the working.",
    "3 of 6: printed numbers give the printed values; Esc back, 3 the drawing.",
    "4 of 6: e tries a dimension, masses follow, Esc keeps it; 6 is the release.",
    "5 of 6: p prints the document as a draft; 9 is the review.",
    "6 of 6: a accepts, w withholds, the last page signs; F4 turns hints off.",
)
STANDING, REVIEW = 1, len(STATIONS)
EVERYWHERE = "F1 tells the keys here, F2 everything possible; F4 turns hints off."


def next_key(session: Session, station: int = 0) -> str:
    """The next key to press in a project that is being begun; in a demonstration project the station (1 to 6) of the
    sheet, if it is one; else where help is."""
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
        if asked := asked_reviews(session):
            review = f"Next: 9 Review of step {asked[0].step}, it waits for your signature as {asked[0].role}."
            return "Next: a accepts, w withholds, the last page signs." if station == REVIEW else review
        begun = [step for step in session.standing.steps[:4] if step.state in ("in work", "reopened")]
        if begun:
            there = "" if station == STANDING else "0 Standing, "
            return f"Next: {there}Enter goes to what stops step {begun[0].number} {begun[0].name}."
        return "Next: 5 Cost, n begins the cost sheet of both parts."
    if project.header.demo and station:
        return STATIONS[station - 1]
    return EVERYWHERE
