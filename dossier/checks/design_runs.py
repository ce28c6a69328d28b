"""What the checks of step 3 on the variant begin with: the variant, and its calculations by one method."""

from __future__ import annotations

from dossier.checks.base import Computed, Finding
from dossier.checks.view import View
from dossier.methods.freshness import STANDS
from dossier.records.calculation import Calculation
from dossier.records.design import Design

NO_VARIANT = Finding("project", "variant", "", "names no design; copy the reference part and record it as the variant in work")


def runs_on(view: View, method: str, design: Design) -> list[Calculation]:
    """Calculations of a design by one method."""
    return [run for run in view.project.calculations if run.method == method and run.design == design.id]


def stands(view: View, run: Calculation) -> bool:
    """Whether the calculation has a result that a check may read."""
    return view.freshness[run.id].state in STANDS and run.result is not None


def run_again(view: View, run: Calculation) -> Finding:
    """What to do with a calculation that has none."""
    fresh = view.freshness[run.id]
    return Finding(run.id, "result", fresh.state, fresh.remedy)


def waits_for(view: View, run: Calculation) -> Computed:
    """The answer of a check that rests on this calculation alone and cannot read it."""
    return Computed("outdated" if view.freshness[run.id].state == "outdated" else "open", [run_again(view, run)])
