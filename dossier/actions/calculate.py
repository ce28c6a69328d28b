"""Calculations and evaluations of evidence, run together as commands and sheets ask for them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from dossier.actions.evaluate import evaluate_items, outdated_items
from dossier.actions.run import Progress, outdated_calculations, run_calculations
from dossier.store.change import Change
from dossier.store.project import Project

NOTHING = "Every result is current, or waits for an input; nothing to calculate."


def outdated_runs(project: Project) -> list[str]:
    """Ids of calculations and evidence items without a current result whose inputs are complete, in running order."""
    calculations = [calculation.id for calculation in outdated_calculations(project)]
    return [*calculations, *(item.id for item in outdated_items(project))]


def calculate(
    project: Project, ids: Iterable[str], person: str, now: datetime | None = None, progress: Progress | None = None
) -> Change:
    """Run the named calculations and evaluate the named items; one Change with their results. Raises Refusal."""
    wanted = list(dict.fromkeys(ids))
    items = [name for name in wanted if project.kinds.get(name) == "evidence"]
    runs = [name for name in wanted if name not in items]
    before = _counted(progress, 0, len(wanted))
    if not items:
        return run_calculations(project, runs, person, now, before)
    evaluated = evaluate_items(project, items, person, now, _counted(progress, len(runs), len(wanted)))
    if not runs:
        return evaluated
    calculated = run_calculations(project, runs, person, now, before)
    message = f"{calculated.message}\n\n{evaluated.message}"
    return Change(message, person, {**calculated.files, **evaluated.files})


def _counted(progress: Progress | None, done: int, of: int) -> Progress | None:
    """The caller's progress, told of a part of the work as of the whole."""
    return progress and (lambda record_id, number, _of: progress(record_id, done + number, of))
