"""Cycles of a measured curve: turning points of the control channel, loading branches, the cycle to
evaluate."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError

BAND = 0.3
CLOSED = 0.05
NO_SPIKE = 0.05
_CANDIDATES = 20_000


@dataclass(frozen=True)
class Cycle:
    """One cycle: rows of the lower turning point before it (or the start of the record), of its upper turning
    point, and of the lower turning point behind it (or the end of the record).

    "Upper" is meant in the direction of loading. `closed`: the cycle ends within 5 % of its height where it
    began, so that its loop has an area.
    """

    number: int
    start: int
    top: int
    end: int
    closed: bool

    @property
    def loading(self) -> slice:
        """Rows of the loading branch, through the whole range."""
        return slice(self.start, self.top + 1)

    @property
    def unloading(self) -> slice:
        """Rows of the branch behind the upper turning point."""
        return slice(self.top, self.end + 1)

    @property
    def loop(self) -> slice:
        """Rows of the whole cycle."""
        return slice(self.start, self.end + 1)


def turning_points(values: np.ndarray, band: float = BAND) -> tuple[list[int], int]:
    """Rows of the turning points of `values` (n,), lower and upper in turn, and the kind of the first (-1
    lower, +1 upper).

    A reversal counts when the signal has come back by `band` of its range (between its 0.5 and 99.5
    percentiles), so that noise, drift and offset make no turning points; single spikes are removed by a
    median of three. The extreme at the start and the one still running at the end are part of the list.
    """
    values = np.asarray(values, float)
    smooth = _median_of_three(values)
    low, high = np.percentile(smooth, (0.5, 99.5))
    rows = _extreme_rows(smooth)
    turns, first = _reversals(smooth[rows].tolist(), rows.tolist(), band * float(high - low))
    return _sharpened(turns, first, values, smooth, NO_SPIKE * float(high - low)), first


def _sharpened(
    turns: list[int], first: int, values: np.ndarray, smooth: np.ndarray, spike: float
) -> list[int]:
    """The turning points moved by one row where the unsmoothed signal has its tip there and the tip is no
    spike."""
    moved = []
    for number, row in enumerate(turns):
        kind = first if number % 2 == 0 else -first
        near = [other for other in (row - 1, row, row + 1) if 0 <= other < len(values)]
        tip = max(near, key=lambda other: kind * values[other])
        moved.append(tip if abs(values[tip] - smooth[row]) <= spike else row)
    return moved


def _median_of_three(values: np.ndarray) -> np.ndarray:
    if len(values) < 3:
        return values
    a, b, c = values[:-2], values[1:-1], values[2:]
    middle = np.maximum(np.minimum(a, b), np.minimum(np.maximum(a, b), c))
    return np.concatenate((values[:1], middle, values[-1:]))


def _extreme_rows(values: np.ndarray) -> np.ndarray:
    """Rows of the lowest and highest value of each of about 20,000 stretches, in order of time."""
    size = math.ceil(len(values) / _CANDIDATES)
    if size < 3:
        return np.arange(len(values))
    whole = len(values) // size * size
    stretches = values[:whole].reshape(-1, size)
    starts = np.arange(0, whole, size)
    pairs = np.stack((starts + stretches.argmin(axis=1), starts + stretches.argmax(axis=1)), axis=1)
    return np.concatenate((np.sort(pairs, axis=1).ravel(), np.arange(whole, len(values))))


def _reversals(values: list[float], rows: list[int], threshold: float) -> tuple[list[int], int]:
    lowest = highest = 0
    direction, turns, first = 0, [], 0
    for place, value in enumerate(values):
        if value < values[lowest]:
            lowest = place
        if value > values[highest]:
            highest = place
        rises = value - values[lowest] >= threshold > 0
        falls = values[highest] - value >= threshold > 0
        if direction <= 0 and rises:
            first = first or -1
            turns.append(rows[lowest])
            direction, highest = 1, place
        elif direction >= 0 and falls:
            first = first or 1
            turns.append(rows[highest])
            direction, lowest = -1, place
    if direction:
        turns.append(rows[highest if direction > 0 else lowest])
    return turns, first


def split_cycles(control: np.ndarray, direction: int = 1, band: float = BAND) -> tuple[Cycle, ...]:
    """The cycles of the control channel (n,), counted by their upper turning points in `direction` (±1).

    A cycle has a loading branch: a record that begins at its top, or at rest and moves against `direction`,
    counts from the next upper turning point. A last rise without reversal counts only when it comes within 5
    % of the height of the others.
    """
    signal = np.asarray(control, float) * direction
    turns, first = turning_points(signal, band)
    if not turns:
        return ()
    turns = turns if first < 0 else turns[1:]
    lows, tops = turns[0::2], turns[1::2]
    if len(lows) <= len(tops) and len(tops) > 1 and not _as_high(signal, tops, lows):
        tops = tops[:-1]
    cycles = []
    for number, (start, top) in enumerate(zip(lows, tops, strict=False), 1):
        end = lows[number] if number < len(lows) else len(signal) - 1
        gap = abs(signal[end] - signal[start])
        cycles.append(Cycle(number, start, top, end, bool(gap <= CLOSED * (signal[top] - signal[start]))))
    return tuple(cycles)


def _as_high(signal: np.ndarray, tops: list[int], lows: list[int]) -> bool:
    usual = float(np.median(signal[tops[:-1]]))
    return signal[tops[-1]] >= usual - CLOSED * (usual - float(np.median(signal[lows])))


def choose(cycles: tuple[Cycle, ...], number: int) -> Cycle:
    """Cycle `number` of `cycles`; EvaluationError says how many there are."""
    if number <= len(cycles):
        return cycles[number - 1]
    kind = "conditioning cycle" if len(cycles) == number - 1 else "cycle"
    raise EvaluationError(
        f"{len(cycles)} {kind}{'' if len(cycles) == 1 else 's'} found, the {ordinal(number)} is missing; the reading "
        f"scheme evaluates the {ordinal(number)}"
    )


def ordinal(number: int) -> str:
    """ "1st", "2nd", "3rd", "4th"."""
    ending = "th" if 10 <= number % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")
    return f"{number}{ending}"
