"""From bends of the middle line to loss of pre-stress, a stop, or clearance of the fixture."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.least_squares import fit_columns
from dossier.evidence.sign_finding import Finding
from dossier.evidence.sign_middle import BINS, Bend, bend, clearance, loops, middle, peaks, travel_at
from dossier.evidence.sign_sides import TWO_SIDED
from dossier.evidence.sign_strokes import Prepared, Stroke
from dossier.evidence.sign_thresholds import SignThresholds

POINTS, LEAST_POINTS = 60, 16
LEVELS_APART = 0.25
SURE = 5.0
LEAST_BINS, STRAYS, RISES_TOO = 12, 3.0, 0.8
SHARP_KNEE, SHARP_WAYS, SHARP_STOP, SHARP_SINGLE = 1.15, 1.4, 1.5, 2.0
SINGLE_KNEE, CLEAR_KNEE, GROSS_KNEE, SMEARED = 0.78, 0.72, 0.6, 0.85
EARLY_STOP = 2.5
PLAY_WIDTHS, PLAY_REACH, PLAY_POINTS = (0.05, 0.1, 0.16, 0.24), 0.75, 151
PLAY_SURE, PLAY_SHARP, PLAY_RATIO = 12.0, 1.6, 0.8
NEAR, FAR = 0.06, 0.25
HALF = 0.55


def bend_findings(curve: Prepared, settings: SignThresholds) -> list[Finding]:
    """Knees, rises and clearance that come back in the last loops (or show in the only stroke)."""
    if np.median([len(stroke) for stroke in curve.strokes]) < LEAST_POINTS:
        return []
    high, low = peaks(curve)
    two = min(high, -low) >= TWO_SIDED * max(high, -low)
    pairs = loops(curve)
    found = _stops(curve, high, low, two, settings)
    if two and not any(each.measured > EARLY_STOP for each in found):
        found += _clearances(curve, pairs, high, low, settings)
    if pairs:
        found += _knees(pairs, high, low, two, settings)
    else:
        found += _single_knee(curve.strokes[0], high, settings)
    if two and not found:
        found += _soft_play(pairs, min(high, -low), settings)
    return found


def _grid(peak: float) -> np.ndarray:
    return np.linspace(0.08, 0.94, POINTS) * peak


def _row_at(stroke: Stroke, load: float) -> int:
    """First row of the stroke at which its load comes to `load` (in its own sense)."""
    return int(stroke.rows[min(int(np.argmax(stroke.f >= load)), len(stroke) - 1)])


def _good(one: Bend | None, limit: float, sharp: float) -> bool:
    return one is not None and one.ratio < limit and one.sure > SURE and one.sharpness > sharp


def _clear_knee(one: Bend | None) -> bool:
    """A slope so much lower that few points need not show how sharp the knee is, where both sides have it."""
    least = 0.9 if one is None or one.ratio > GROSS_KNEE else 0.6
    return one is not None and one.ratio < CLEAR_KNEE and one.sure > 3 * SURE and one.sharpness > least


def _sharp_on_the_ways(pairs: Sequence[tuple[Stroke, Stroke]], high: float, low: float) -> bool:
    """Whether the ways to both sides bend sharply to a lower slope, over all loops more sharply than noise makes them:
    the width of the loops smears a knee in their middle line."""
    bends, points = [], 0
    for pair in pairs:
        for stroke, peak in zip(pair, (high, -low), strict=True):
            grid = _grid(min(peak, float(stroke.f[-3:].mean())))
            found = bend(grid, stroke.sign * travel_at(stroke, stroke.sign * grid)) if grid[-1] > 0 else None
            if found is None or found.ratio > SMEARED or found.sure < SURE:
                return False
            bends.append(found)
            points += min(max(len(stroke) // 3, LEAST_BINS), BINS)
    return bool(bends) and _usual_sharpness(bends) > SHARP_WAYS * np.exp(STRAYS / points**0.5)


def _usual_sharpness(bends: Sequence[Bend]) -> float:
    return float(np.exp(np.mean([np.log(max(found.sharpness, 0.1)) for found in bends])))


def _smeared(upper: Bend | None, lower: Bend | None) -> bool:
    return all(one is not None and one.ratio < SMEARED and one.sure > 3 * SURE for one in (upper, lower))


def _knees(
    pairs: Sequence[tuple[Stroke, Stroke]], high: float, low: float, two: bool, settings: SignThresholds
) -> list[Finding]:
    hits: list[tuple[tuple[Stroke, Stroke], Bend]] = []
    one_side: list[tuple[Stroke, Bend]] = []
    sharp = two and _sharp_on_the_ways(pairs, high, low)
    for pair in pairs:
        upper = bend(_grid(high), middle(pair, _grid(high)))
        lower = bend(_grid(-low), -middle(pair, -_grid(-low))) if two else upper
        good = [_good(each, settings.knee_ratio, SHARP_KNEE) for each in (upper, lower)]
        if not all(good) and two:
            good = [True, True] if _clear_knee(upper) and _clear_knee(lower) else good
            good = [True, True] if sharp and _smeared(upper, lower) else good
        if all(good) and abs(upper.level - lower.level) <= LEVELS_APART:
            hits.append((pair, upper if upper.ratio > lower.ratio else lower))
        elif two and any(good):
            one_side.append((pair[0] if good[0] else pair[1], upper if good[0] else lower))
    if hits and _stays([pair for pair, _ in hits], pairs):
        pair, first = hits[0]
        ratio = float(np.median([each.ratio for _, each in hits]))
        row = _row_at(pair[0], first.level * high)
        return [Finding(
            "preload_loss", row, pair[0].cycle, "slope beyond the knee over the slope before it", ratio,
            settings.knee_ratio, 1 + 2.5 * (settings.knee_ratio - ratio) / settings.knee_ratio,
        )]  # fmt: skip
    if one_side and len(one_side) >= OFTEN_ENOUGH * len(pairs):
        stroke, first = one_side[0]
        ratio = float(np.median([each.ratio for _, each in one_side]))
        return [Finding(
            "crack", _row_at(stroke, first.level * (high if stroke.sign > 0 else -low)), stroke.cycle,
            "slope beyond a knee of one side over the slope before it", ratio, settings.knee_ratio,
            1 + 1.5 * (settings.knee_ratio - ratio) / settings.knee_ratio,
        )]  # fmt: skip
    return []


OFTEN_ENOUGH = 0.5


def _stays(found: Sequence, pairs: Sequence) -> bool:
    """Whether it is there in the last loop and in at least half of those since it began."""
    first = next(place for place, pair in enumerate(pairs) if pair is found[0])
    return found[-1] is pairs[-1] and len(found) >= OFTEN_ENOUGH * (len(pairs) - first)


def _single_knee(stroke: Stroke, high: float, settings: SignThresholds) -> list[Finding]:
    """A single stroke softens smoothly by nature; only a sharp knee between straight pieces counts."""
    grid = _grid(float(stroke.f[-3:].mean()))
    found = bend(grid, stroke.sign * travel_at(stroke, stroke.sign * grid), 0.25, 0.85)
    if not _good(found, SINGLE_KNEE, SHARP_SINGLE):
        return []
    return [Finding(
        "preload_loss", _row_at(stroke, found.level * grid[-1]), stroke.cycle,
        "slope beyond the knee over the slope before it", found.ratio, SINGLE_KNEE,
        1 + 2.5 * (SINGLE_KNEE - found.ratio) / SINGLE_KNEE, 0.9,
    )]  # fmt: skip


def _stops(curve: Prepared, high: float, low: float, two: bool, settings: SignThresholds) -> list[Finding]:
    hits: list[tuple[Stroke, Bend]] = []
    looked = [stroke for stroke in curve.strokes if stroke.sign > 0 or two]
    looked = [stroke for stroke in looked if not stroke.first] or looked
    tried: list[tuple[Stroke, Bend | None]] = []
    for stroke in looked[:: max(1, len(looked) // 24) | 1]:  # odd, so that both sides come up
        peak = high if stroke.sign > 0 else -low
        grid = np.linspace(0.08, 0.98, POINTS) * min(peak, float(stroke.f[-3:].mean()))
        if grid[-1] < 0.6 * peak or grid[-1] <= 0:
            continue
        travel = stroke.sign * travel_at(stroke, stroke.sign * grid)
        found = bend(grid, travel, 0.1, 0.9)
        if found and found.level < 0.3 and found.ratio < EARLY_STOP:
            found = bend(grid, travel, 0.3, 0.9)
        tried.append((stroke, found))
        if found and found.ratio > settings.stop_ratio and found.sure > SURE and found.sharpness > SHARP_STOP:
            hits.append((stroke, found))
    if not any(_often(hits, tried, sign, settings.stop_ratio) for sign in (1, -1)):
        return []
    stroke, first = hits[0]
    ratio = float(np.median([each.ratio for _, each in hits]))
    row = _row_at(stroke, first.level * (high if stroke.sign > 0 else -low))
    return [Finding(
        "bottoming", row, stroke.cycle, "slope at the end over the slope before it", ratio, settings.stop_ratio,
        ratio / settings.stop_ratio,
    )]  # fmt: skip


def _often(
    hits: Sequence[tuple[Stroke, Bend]], tried: Sequence[tuple[Stroke, Bend | None]], sign: int, stop_ratio: float
) -> bool:
    """Whether the rise shows in most strokes towards one side, and is sharper over all of them than noise makes it: the
    fewer points, the further the ratio of two scatters strays from one. Where both sides rise, both must be sharp."""
    side = [(stroke, found) for stroke, found in tried if stroke.sign == sign and found]
    other = [(stroke, found) for stroke, found in tried if stroke.sign != sign and found]
    if other and float(np.median([found.ratio for _, found in other])) > RISES_TOO * stop_ratio:
        side += other
    count = sum(stroke.sign == sign for stroke, _ in hits)
    if not count or count < OFTEN_ENOUGH * sum(stroke.sign == sign for stroke, _ in tried):
        return False
    points = sum(min(max(len(stroke) // 3, LEAST_BINS), BINS) for stroke, _ in side)
    usual = _usual_sharpness([found for _, found in side])
    return usual > SHARP_STOP * np.exp(STRAYS / points**0.5)


def _soft_play(pairs: Sequence[tuple[Stroke, Stroke]], amplitude: float, settings: SignThresholds) -> list[Finding]:
    """Travel around zero beyond what a smooth line of the fifth order allows for, with some load of its own: a loose
    seat that is not quite free. It must show in most loops."""
    loads = np.linspace(-1, 1, PLAY_POINTS) * PLAY_REACH * amplitude
    fits = [_dip(middle(pair, loads), loads) for pair in pairs]
    good = [
        (pair, fit) for pair, fit in zip(pairs, fits, strict=True)
        if fit and fit.play > settings.clearance and fit.sure > PLAY_SURE and fit.sharp > PLAY_SHARP and fit.ratio < PLAY_RATIO
    ]  # fmt: skip
    if not good or len(good) < OFTEN_ENOUGH * len(pairs):
        return []
    play = float(np.median([fit.play for _, fit in good]))
    stroke = min(good[0][0], key=lambda one: one.rows[0])
    return [Finding(
        "fixture_slip", _row_at(stroke, 0.0), stroke.cycle, "travel with little load around zero, of the travel range", play,
        settings.clearance, play / settings.clearance,
    )]  # fmt: skip


@dataclass(frozen=True)
class _Dip:
    """A slope that dips around zero: `play` the travel without its load, `ratio` slope at zero over the slope beside it,
    `sharp` scatter without the dip over scatter with it, `sure` the dip over its standard error."""

    play: float
    ratio: float
    sharp: float
    sure: float


def _dip(travel: np.ndarray, loads: np.ndarray) -> _Dip | None:
    """The best dip of a middle line, travel (k,) over loads (k,); None where the line is not known or rises nowhere."""
    if not np.isfinite(travel).all() or np.ptp(travel) <= 0:
        return None
    zero, half = float(np.interp(0.0, loads, travel)), float(np.ptp(travel)) / 2
    x = (travel - zero) / half
    smooth = np.vander(x, 6)
    best: _Dip | None = None
    with suppress(EvaluationError):
        plain = fit_columns(smooth, loads).squares
        for width in PLAY_WIDTHS:
            fit = fit_columns(np.column_stack((smooth, np.tanh(x / width))), loads)
            step, rise = -float(fit.coefficients[6]), float(fit.coefficients[4])
            sharp = (plain / max(fit.squares, 1e-15)) ** 0.5
            if rise > 0 and (best is None or sharp > best.sharp):
                error = max(float(fit.errors[6]), 1e-9)
                best = _Dip(2 * step / rise * half, 1 - step / width / rise, sharp, step / error)
    return best


def _clearances(
    curve: Prepared, pairs: Sequence[tuple[Stroke, Stroke]], high: float, low: float, settings: SignThresholds
) -> list[Finding]:
    amplitude = min(high, -low)
    grid = np.linspace(-0.4, 0.4, 161) * amplitude
    found = []
    for pair in pairs or []:
        each = [clearance(travel_at(stroke, grid), grid, NEAR * amplitude, FAR * amplitude) for stroke in pair]
        found.append((pair, min(each, key=lambda one: one[0])))
    good = [
        (pair, one) for pair, one in found
        if one[0] > max(settings.clearance, 3 * curve.noise_of(pair[0])) and one[1] < HALF
    ]  # fmt: skip
    if not good or len(good) < OFTEN_ENOUGH * len(found):
        return []
    play = float(np.median([one[0] for _, one in good]))
    stroke = min(good[0][0], key=lambda one: one.rows[0])
    return [Finding(
        "fixture_slip", _row_at(stroke, -NEAR * amplitude), stroke.cycle,
        "travel without load around zero, of the travel range", play, settings.clearance, play / settings.clearance,
    )]  # fmt: skip
