"""A measured curve made ready for the search for signs: scaled, without single spikes and holds, cut into strokes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.cycles import turning_points
from dossier.evidence.errors import EvaluationError

LEAST_ROWS = 30
LEAST_IN_STROKE = 6
MOST_IN_STROKE = 500
SPIKE_NOISES = 8.0
SPIKE_STEPS = 2.5
SLOW, USUAL_WAY = 0.22, 90
CREEP, MOVED_NOISES = 0.2, 5.0


@dataclass(frozen=True, eq=False)
class Stroke:
    """One way between two turning points, turned so that it moves upwards: x, f (n,) travel and load over the ranges
    of the whole curve, counted from zero; rows (n,) in the arrays given; `after_hold` (n,) says that the machine
    stood before this point. `sign` −1: the machine moved down, x and f are mirrored. `first`: from rest."""

    x: np.ndarray
    f: np.ndarray
    rows: np.ndarray
    after_hold: np.ndarray
    sign: int
    cycle: int
    first: bool

    def __len__(self) -> int:
        return len(self.x)


@dataclass(frozen=True, eq=False)
class Prepared:
    """Strokes of a curve with its ranges of travel and load, its noise (of load, over the load range, the noise of the
    travel included) and whether load and travel have opposite signs."""

    strokes: tuple[Stroke, ...]
    travel_range: float
    load_range: float
    noise: float
    resolution: float
    turned: bool
    rows_in_stroke: int

    def noise_of(self, stroke: Stroke) -> float:
        """Standard deviation of one point of the stroke, points being means of several rows."""
        each = max(1.0, float(np.median(np.diff(stroke.rows)))) if len(stroke) > 1 else 1.0
        return max(self.noise / each**0.5, self.resolution / 12**0.5 / each**0.25)


def prepare(travel: np.ndarray, load: np.ndarray, direction: int = 1) -> Prepared:
    """Strokes of travel (n,), load (n,). Raises EvaluationError for too few rows, gaps or a channel that stands."""
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    if travel.shape != load.shape or travel.ndim != 1:
        raise EvaluationError(f"travel {travel.shape} and load {load.shape} must be of equal length")
    if len(travel) < LEAST_ROWS or not (np.isfinite(travel).all() and np.isfinite(load).all()):
        raise EvaluationError(f"{len(travel)} rows; signs need at least {LEAST_ROWS}, all of them numbers")
    good = ~(spikes(travel) | spikes(load))
    ranges = float(np.ptp(travel[good])), float(np.ptp(load[good]))
    if min(ranges) <= 0.0:
        raise EvaluationError("travel or load does not change; check the channels")
    turned = bool(np.corrcoef(travel[good], load[good])[0, 1] < 0)
    x = travel / ranges[0] * direction
    f = load / ranges[1] * direction * (-1 if turned else 1)
    noise = float(np.hypot(noise_of_values(f[good]), noise_of_values(x[good])))
    resolution = max(_resolution(f[good]), _resolution(x[good]))
    strokes = _strokes(x, f, good)
    if not strokes:
        raise EvaluationError("no stroke of at least 6 rows found; sample faster or check the channels")
    usual = int(np.median([stroke.rows[-1] - stroke.rows[0] for stroke in strokes]))
    return Prepared(tuple(strokes), *ranges, noise, resolution, turned, usual)


def spikes(values: np.ndarray) -> np.ndarray:
    """Rows (n,) that stand alone: away from both neighbours, which agree, by far more than noise and steps."""
    alone = np.zeros(len(values), bool)
    if len(values) < 5:
        return alone
    before, here, behind = values[1:-3], values[2:-2], values[3:-1]
    away = np.where((here - before) * (here - behind) > 0, np.minimum(np.abs(here - before), np.abs(here - behind)), 0.0)
    around = np.maximum.reduce((np.abs(before - values[:-4]), np.abs(behind - values[4:]), np.abs(behind - before)))
    limit = max(SPIKE_NOISES * noise_of_values(values), 0.01 * float(np.ptp(np.percentile(values, (1, 99)))))
    alone[2:-2] = away > np.maximum(limit, SPIKE_STEPS * around)
    return alone


def noise_of_values(values: np.ndarray) -> float:
    """Standard deviation of the noise, from second differences (median, so that events do not count)."""
    return float(1.4826 * np.median(np.abs(values[2:] - 2 * values[1:-1] + values[:-2])) / 6**0.5)


def _resolution(values: np.ndarray) -> float:
    """Step of the converter where it shows: the smallest change if many rows do not change at all."""
    change = np.abs(np.diff(values))
    moving = change[change > 1e-9]
    if len(moving) == 0 or len(moving) > 0.8 * len(change):
        return 0.0
    return float(np.percentile(moving, 5))


def _strokes(x: np.ndarray, f: np.ndarray, good: np.ndarray) -> list[Stroke]:
    kept = np.flatnonzero(good)
    turns, first = turning_points(x[kept], 0.3)
    if not turns:
        return []
    ends = kept[turns]
    strokes, cycle = [], 0
    for number, (start, end) in enumerate(zip(ends[:-1], ends[1:], strict=True)):
        sign = 1 if x[end] > x[start] else -1
        if sign > 0:
            cycle += 1
        rows = kept[(kept >= start) & (kept <= end)] if len(kept) < len(x) else np.arange(start, end + 1)
        stroke = _one_stroke(x, f, rows, sign, max(cycle, 1), number == 0)
        if stroke is not None:
            strokes.append(stroke)
    return strokes


def _one_stroke(x: np.ndarray, f: np.ndarray, rows: np.ndarray, sign: int, cycle: int, first: bool) -> Stroke | None:
    up_x, up_f = x[rows] * sign, f[rows] * sign
    rows, up_x, up_f = _moving_part(rows, up_x, up_f)
    if len(rows) < LEAST_IN_STROKE:
        return None
    moves = _moves(up_x, up_f)
    after_hold = np.zeros(len(rows), bool)
    places = np.flatnonzero(moves)
    after_hold[places[1:]] = np.diff(places) >= 3
    late = np.flatnonzero(after_hold[moves])
    if len(late) and len(places) - late[-1] <= max(2, len(places) // 40):
        moves[places[late[-1]] :] = False  # what creeps on between stands at the end of the way stands too
    rows, up_x, up_f, after_hold = rows[moves], up_x[moves], up_f[moves], after_hold[moves]
    if len(rows) < LEAST_IN_STROKE:
        return None
    size = -(-len(rows) // MOST_IN_STROKE)
    if size > 1:
        whole = len(rows) // size * size
        up_x, up_f = (values[:whole].reshape(-1, size).mean(axis=1) for values in (up_x, up_f))
        after_hold = after_hold[:whole].reshape(-1, size).any(axis=1)
        rows = rows[:whole:size]
    return Stroke(up_x, up_f, rows, after_hold, sign, cycle, first)


def _moving_part(rows: np.ndarray, x: np.ndarray, f: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Without what stands at both ends: behind the first row that comes to the end's travel, before the last one at
    its start."""
    span = x[-1] - x[0]
    near = 0.002 * span + 3 * noise_of_values(x) if len(x) > 4 else 0.0
    last = int(np.argmax(x >= x[-1] - near)) + 1
    starts = np.flatnonzero(x[:last] <= x[0] + near)
    begin = int(starts[-1]) if len(starts) else 0
    return rows[begin:last], x[begin:last], f[begin:last]


def _moves(x: np.ndarray, f: np.ndarray) -> np.ndarray:
    """Rows (n,) in which the machine moves: travel and load together more than a fifth of the usual way per row, or the
    travel alone clearly, as in a plateau near the turning point of a sine."""
    half = max(2, len(x) // 60)
    if len(x) < 6 * half:
        return np.ones(len(x), bool)
    ahead = np.minimum(np.arange(len(x)) + half, len(x) - 1)
    behind = np.maximum(np.arange(len(x)) - half, 0)
    way = (np.abs(x[ahead] - x[behind]) + np.abs(f[ahead] - f[behind])) / (ahead - behind)
    run = np.abs(x[ahead] - x[behind]) / (ahead - behind)
    clearly = CREEP * float(np.percentile(run, USUAL_WAY)) + MOVED_NOISES * noise_of_values(x) / (2 * half)
    return (way >= SLOW * float(np.percentile(way, USUAL_WAY))) | (run >= clearly)
