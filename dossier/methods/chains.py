"""Calculations that read results of other calculations: who reads whom, in which order they run, and circles."""

from __future__ import annotations

from collections.abc import Iterable

from dossier.records.calculation import Calculation
from dossier.store.edges import is_link
from dossier.store.project import Project


class Circle(ValueError):
    """Calculations that read each other in a circle; the message names them."""


def reads(project: Project, calculation: Calculation) -> list[str]:
    """Ids of the calculations whose results are inputs of this one, without repeats."""
    named = [given["record"] for given in calculation.inputs.values() if is_link(given)]
    return [name for name in dict.fromkeys(named) if isinstance(project.find(name), Calculation)]


def circle_through(project: Project, record_id: str) -> list[str]:
    """The ids of a circle that leads from a calculation back to itself, beginning with it; empty without one."""
    came_from: dict[str, str] = {}
    waiting = [record_id]
    while waiting:
        current = waiting.pop()
        for name in reads(project, _calculation(project, current)):
            if name == record_id:
                return _path_back(came_from, record_id, current)
            if name not in came_from:
                came_from[name] = current
                waiting.append(name)
    return []


def circle_in_words(circle: list[str]) -> str:
    """A circle as it is told: "C-001 reads C-002 reads C-001"."""
    return " reads ".join([*circle, circle[0]])


def in_order(project: Project, ids: Iterable[str]) -> list[str]:
    """The ids, each after those of them whose results it reads, also through others; else in the given order.

    Raises Circle.
    """
    wanted = list(dict.fromkeys(ids))
    ordered: dict[str, None] = {}
    for record_id in wanted:
        circle = circle_through(project, record_id)
        if circle:
            raise Circle(f"{circle_in_words(circle)}: give one of these inputs as a value")
    for record_id in wanted:
        _place_after(project, record_id, ordered)
    return [record_id for record_id in ordered if record_id in wanted]


def _place_after(project: Project, record_id: str, ordered: dict[str, None]) -> None:
    """Put what a calculation reads before it, without recursion: chains may be long."""
    waiting, entered = [(record_id, False)], set()
    while waiting:
        current, ready = waiting.pop()
        if ready:
            ordered[current] = None
        if current in ordered or current in entered:
            continue
        entered.add(current)
        waiting.append((current, True))
        waiting += [(name, False) for name in reversed(reads(project, _calculation(project, current)))]


def _calculation(project: Project, record_id: str) -> Calculation:
    found = project.get(record_id)
    assert isinstance(found, Calculation), f"{record_id} is no calculation"
    return found


def _path_back(came_from: dict[str, str], start: str, end: str) -> list[str]:
    path = [end]
    while path[-1] != start:
        path.append(came_from[path[-1]])
    return path[::-1]
