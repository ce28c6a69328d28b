"""What changes from side to side and from cycle to cycle: crack, debonding."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dossier.evidence.sign_finding import Finding
from dossier.evidence.sign_sides import Side, cycle_energies, cycle_slopes, sides
from dossier.evidence.sign_strokes import Prepared, Stroke
from dossier.evidence.sign_thresholds import SignThresholds

GROWN = 1.0
ONE_CYCLE = 2.5
LEAST_LOOPS = 4
FEWEST_SLOPES, OVER_FEW = 3, 2.0
LEAST_GROWTH = 0.004
STANDARD_ERRORS = 2.0
SMOOTH, LEANS = 0.62, 4.0


def trend_findings(curve: Prepared, settings: SignThresholds) -> list[Finding]:
    """Slope lost on one side, slope lost over cycles, loops that grow."""
    return [
        *_one_side(curve, settings),
        *_over_cycles(curve, settings),
        *_growing_loops(curve, settings),
    ]


def _one_side(curve: Prepared, settings: SignThresholds) -> list[Finding]:
    positive, negative = sides(curve)
    settled = [side for side in positive if not side.stroke.first], [side for side in negative if not side.stroke.first]
    limit = settings.side_loss
    if not settled[0] or not settled[1]:
        limit *= ONE_CYCLE
    positive, negative = (_behind_first(settled[0] or positive), _behind_first(settled[1] or negative))
    if not positive or not negative:
        return []
    last = _logarithm(positive[-2:]) - _logarithm(negative[-2:])
    grown = last - (_logarithm(positive[:1]) - _logarithm(negative[:1])) if min(len(positive), len(negative)) > 2 else 0.0
    change = last if abs(last) >= abs(grown) / GROWN else grown
    limit = limit if change is last else limit * GROWN
    loss = 1 - float(np.exp(-abs(change)))
    noise = settings.noises * _scatter(curve)
    if loss <= max(limit + STANDARD_ERRORS * _scatter(curve), noise) or abs(grown) < limit / 2 and _leans(curve, limit):
        return []
    weak, strong = (positive, negative) if change < 0 else (negative, positive)
    begin = _begin(weak, strong, abs(last), limit)
    figure = "slope lost on the " + ("positive" if weak is positive else "negative") + " side against the other"
    return [Finding("crack", begin.start, begin.stroke.cycle, figure, loss, limit, loss / limit)]


def _leans(curve: Prepared, limit: float) -> bool:
    """Whether the sides differ as those of a smooth curve do, the more the further out: a gap opens at zero load, so that
    the sides of a crack differ there as much as further out."""
    inner, outer = (
        _logarithm(_behind_first(positive)) - _logarithm(_behind_first(negative))
        for positive, negative in (sides(curve, 0.1, 0.35), sides(curve, 0.4, 0.8)) if positive and negative
    )
    return abs(outer) < LEANS * limit and inner * np.sign(outer) < SMOOTH * abs(outer)


def _behind_first(given: Sequence[Side]) -> Sequence[Side]:
    """Without the first cycle, which softens, where there are others."""
    later = [side for side in given if side.stroke.cycle > 1]
    return later if len(later) > 1 else given


def _logarithm(given: Sequence[Side]) -> float:
    return float(np.mean([np.log(side.slope) for side in given]))


def _scatter(curve: Prepared) -> float:
    """Standard deviation of the slope of a side by noise alone, relative: noise over the side's rise and the root of
    its points."""
    points = np.median([len(stroke) for stroke in curve.strokes]) * 0.3
    return curve.noise_of(curve.strokes[0]) * 3.5 / 0.3 / max(points, 2.0) ** 0.5


def _begin(weak: Sequence[Side], strong: Sequence[Side], whole: float, limit: float) -> Side:
    """The first stroke of the weak side at which half of the loss is there."""
    usual = float(np.median([np.log(side.slope) for side in strong]))
    for side in weak:
        if usual - np.log(side.slope) > max(whole / 2, limit / 2):
            return side
    return weak[-1]


def _over_cycles(curve: Prepared, settings: SignThresholds) -> list[Finding]:
    found = cycle_slopes(curve)
    if len(found) < FEWEST_SLOPES:
        return []
    limit = settings.cycle_loss * (1 if len(found) > FEWEST_SLOPES else OVER_FEW)
    found = found[1:] if len(found) > 4 else found
    slopes = np.array([slope for _, slope in found])
    loss = 1 - slopes[-1] / slopes[0]
    half = len(slopes) // 2
    early, late = slopes[0] - slopes[half], slopes[half] - slopes[-1]
    per_cycle = early / half, late / (len(slopes) - 1 - half)
    noise = settings.noises * _scatter(curve) / 2
    if loss <= max(limit, noise) or per_cycle[1] < 0.8 * per_cycle[0]:
        return []
    stroke = _first_below(found, 1 - loss / 2 if early <= 0.2 * late else 1 - loss / 4)
    return [Finding(
        "crack", int(stroke.rows[0]), stroke.cycle, "slope lost over the cycles at equal travel", float(loss),
        limit, float(loss) / limit,
    )]  # fmt: skip


def _first_below(found: Sequence[tuple[Stroke, float]], share: float) -> Stroke:
    return next(stroke for stroke, slope in found if slope <= share * found[0][1] or stroke is found[-1][0])


def _growing_loops(curve: Prepared, settings: SignThresholds) -> list[Finding]:
    """Energy per cycle that grows from cycle to cycle and does not slow down; softening of the first cycles does."""
    found = cycle_energies(curve)[1:]
    if len(found) < LEAST_LOOPS:
        return []
    energies = np.array([energy for _, energy in found])
    half = len(energies) // 2
    early, late = energies[half] - energies[0], energies[-1] - energies[half]
    growth = float(energies[-1] / energies[0] - 1) if energies[0] > 0 else 0.0
    slows = late / (len(energies) - 1 - half) < 0.8 * early / half
    if growth <= settings.loop_growth or energies[-1] - energies[0] < LEAST_GROWTH or slows:
        return []
    stroke = next(stroke for stroke, energy in found if energy > energies[0] * (1 + growth / 4))
    return [Finding(
        "crack", int(stroke.rows[0]), stroke.cycle, "growth of the energy per cycle", growth, settings.loop_growth,
        growth / settings.loop_growth,
    )]  # fmt: skip
