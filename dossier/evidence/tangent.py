"""Tangent stiffness of a branch: at a load, and over the whole branch as a map."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.line import fit_line
from dossier.evidence.static import PER_RADIAN

WINDOW = 0.06
LEAST_ROWS = 5


@dataclass(frozen=True)
class Tangent:
    """Slope of load over travel at `load` (and the mean `travel` of its rows) with its standard error, in load per travel,
    N·mm/rad where torque was recorded over °; `rows` of the straight line."""

    load: float
    travel: float
    slope: float
    error: float
    rows: int


def tangent_at(travel: np.ndarray, load: np.ndarray, level: float, *, rotational: bool = False) -> Tangent:
    """Tangent of the branch travel (n,), load (n,) at the load `level`: the line through the rows within 6 % of the load
    range around it, or through the nearest five.

    The rows are chosen by their load, so the line is fitted as travel over load.

    Raises EvaluationError if the branch does not come to the load or does not move there.
    """
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    low, high = (float(load.min()), float(load.max())) if len(load) else (0.0, 0.0)
    if len(load) < LEAST_ROWS or not low <= level <= high:
        raise EvaluationError(
            f"the branch covers loads {low:.5g} to {high:.5g}, {level:.5g} is not reached; choose a load inside"
        )
    near = np.abs(load - level) <= WINDOW * (high - low) / 2
    if near.sum() < LEAST_ROWS:
        near = np.zeros(len(load), bool)
        near[np.argsort(np.abs(load - level), kind="stable")[:LEAST_ROWS]] = True
    line = fit_line(load[near], travel[near])
    if line.slope == 0.0:
        raise EvaluationError(f"no travel around the load {level:.5g}; check the channels")
    per_unit = PER_RADIAN if rotational else 1.0
    slope = per_unit / line.slope
    return Tangent(level, float(travel[near].mean()), slope, abs(slope * line.slope_error / line.slope), int(near.sum()))


def tangent_map(travel: np.ndarray, load: np.ndarray, count: int = 25, *, rotational: bool = False) -> tuple[Tangent, ...]:
    """Tangents at `count` loads spread evenly over the inner 90 % of the branch. Raises EvaluationError as `tangent_at`."""
    load = np.asarray(load, float)
    if count < 2:
        raise EvaluationError(f"count = {count} must be 2 or more")
    low, high = float(load.min()), float(load.max())
    inner = 0.05 * (high - low)
    levels = np.linspace(low + inner, high - inner, count)
    return tuple(tangent_at(travel, load, level, rotational=rotational) for level in levels)
