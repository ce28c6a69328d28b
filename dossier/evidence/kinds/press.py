"""Pressing in or pushing out of one joint."""

from __future__ import annotations

from typing import Any

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.kinds.curve_in import extremes, load_and_travel, read, shown_units
from dossier.evidence.one_file import OPERATIONS, Asked
from dossier.evidence.plausibility import clipped, standing_alone
from dossier.evidence.press import evaluate_press


def answer(asked: Asked) -> dict[str, Any]:
    """The answer of kind press (one_file.evaluate_file)."""
    if asked.operation is None:
        raise EvaluationError(f"operation is missing; name one of {', '.join(OPERATIONS)}")
    shown = shown_units(asked)
    curve = read(asked, shown)
    load, travel = load_and_travel(curve, shown)
    length = None if asked.press_length is None else asked.press_length / shown.displacement
    found = evaluate_press(travel, load, operation=asked.operation, press_length=length)
    size = np.abs(load)
    warnings = [*curve.problems, *standing_alone("load", size), *clipped("load", size, travel, ("largest",))]
    if found.scored:
        warnings.append(f"{found.drops} sudden drops of the force, up to {found.largest_drop:.0%} of its peak: look at the faces")
    if found.seat_reached is False and asked.press_length is None:
        warnings.append("no steep wall: the seat was not reached, or the record ends before it")
    return {
        **extremes(load, travel, shown), "operation": found.operation, "peak_force": found.peak_force * shown.force,
        "travel_of_peak": found.travel_of_peak * shown.displacement, "row_of_peak": found.row_of_peak,
        "end_force": None if found.end_force is None else found.end_force * shown.force,
        "seat_reached": found.seat_reached,
        "seat_displacement": None if found.seat_travel is None else found.seat_travel * shown.displacement,
        "work": found.work * shown.joule, "scored": found.scored, "drops": found.drops, "drop_rows": list(found.drop_rows),
        "notes": [*curve.notes, *found.notes], "warnings": warnings,
    }  # fmt: skip
