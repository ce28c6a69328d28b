"""Compliance of the fixture from a blank test: a steel dummy in the place of the part."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dossier.evidence.cycles import split_cycles
from dossier.evidence.errors import EvaluationError
from dossier.evidence.line import fit_line

INNER = 0.1
PLAY = 0.1
BENT = 0.1


@dataclass(frozen=True)
class FixtureCompliance:
    """Travel per load (mm/N or °/(N·mm)) with its standard uncertainty from the scatter of the branches and of their
    points; `branches` that were evaluated; `play` travel between the branches at the middle load; `notes` what makes a
    single number doubtful."""

    compliance: float
    uncertainty: float
    branches: int
    play: float
    notes: tuple[str, ...]


def fixture_compliance(
    travel: np.ndarray, load: np.ndarray, *, low: float | None = None, high: float | None = None
) -> FixtureCompliance:
    """Slope of travel (n,) over load (n,) of a blank test between the loads `low` and `high` (the inner 80 % unless given),
    as the mean over all loading and unloading branches that pass both.

    Raises EvaluationError if no branch passes both loads, or the slope is not positive.
    """
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    if travel.shape != load.shape or len(load) < 10 or not (np.isfinite(travel).all() and np.isfinite(load).all()):
        raise EvaluationError(f"{len(load)} rows of the blank test; expected at least 10, all of them numbers")
    first, last = float(load.min()), float(load.max())
    low = first + INNER * (last - first) if low is None else low
    high = last - INNER * (last - first) if high is None else high
    lines, halves, middles = [], [], []
    for rows in _branches(load):
        x, f = travel[rows], load[rows]
        inside = (f >= low) & (f <= high)
        if f.min() <= low and f.max() >= high and inside.sum() >= 5:
            lines.append(fit_line(f[inside], x[inside]))
            middles.append(lines[-1].intercept + lines[-1].slope * (low + high) / 2)
            halves.append(_halves(f[inside], x[inside], (low + high) / 2))
    if not lines:
        raise EvaluationError(
            f"no branch of the blank test passes both {low:.5g} and {high:.5g}; it covers {first:.5g} to {last:.5g}"
        )
    slopes = np.array([line.slope for line in lines])
    compliance = float(slopes.mean())
    if compliance <= 0:
        raise EvaluationError(
            f"the fixture gives way by {compliance:.4g} per load; one channel has the opposite sign: turn it round"
        )
    between = float(slopes.std(ddof=1)) / math.sqrt(len(slopes)) if len(slopes) > 1 else 0.0
    within = math.sqrt(sum(line.slope_error**2 for line in lines)) / len(lines)
    play = float(np.ptp(middles))
    return FixtureCompliance(
        compliance, math.hypot(between, within), len(lines), play, _notes(compliance * (high - low), play, halves)
    )


def _branches(load: np.ndarray) -> list[slice]:
    cycles = split_cycles(load)
    return [rows for cycle in cycles for rows in (cycle.loading, cycle.unloading)] or [slice(None)]


def _halves(load: np.ndarray, travel: np.ndarray, middle: float) -> float:
    """Compliance of the upper half over that of the lower."""
    lower, upper = load <= middle, load > middle
    if min(lower.sum(), upper.sum()) < 4:
        return 1.0
    slopes = [fit_line(load[part], travel[part]).slope for part in (lower, upper)]
    return slopes[1] / slopes[0] if slopes[0] else 1.0


def _notes(whole: float, play: float, halves: list[float]) -> tuple[str, ...]:
    notes = []
    if play > PLAY * whole:
        share = 100 * play / whole
        notes.append(f"the branches lie {play:.3g} apart, {share:.2g} % of the travel: the fixture slips or has play")
    bent = float(np.median(halves)) - 1
    if abs(bent) > BENT:
        word = "softer" if bent > 0 else "stiffer"
        share = 100 * abs(bent)
        notes.append(f"the upper half is {share:.2g} % {word} than the lower: one compliance does not describe the fixture")
    return tuple(notes)
