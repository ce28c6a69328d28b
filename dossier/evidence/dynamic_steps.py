"""Where a dynamic record has one frequency and one amplitude: its steps, found from the half cycles of the travel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.turning import turning_rows

BAND = 0.3
LIKE = 0.03
UNLIKE = 0.2
FEWEST_HALVES = 4
BESIDE_CYCLES = 4.0
BESIDE_ROWS = 8.0
_SMALLEST = 0.01


@dataclass(frozen=True)
class Stretch:
    """Rows first..last (inclusive) of one frequency and amplitude, with the frequency in Hz as the half cycles tell it."""

    first: int
    last: int
    frequency: float


def find_stretches(time: np.ndarray, travel: np.ndarray) -> list[Stretch]:
    """The stretches of constant frequency and amplitude of travel (n,) over time (n,), in order of time.

    Half cycles are taken between turning points that come back by 30 % of the range; neighbours whose height and
    duration are alike (within 3 % or what scatters) belong together. Between the stretches found the search goes on
    with the smaller range there, so that a small amplitude beside a large one is found, down to 1 % of the range.
    """
    found: list[Stretch] = []
    floor = _SMALLEST * float(np.ptp(travel))
    todo = [(0, len(travel) - 1)]
    while todo:
        first, last = todo.pop()
        low, high = inside(travel, first, last)
        span = _span(travel[low : high + 1])
        if high - low < 8 or span <= floor:
            continue
        here = _alike(time, travel, low, high, span)
        here = [each for each in here if each.last - each.first > len(travel) / 2 or _is_no_noise(time, each)]
        if here:
            found += here
            edges = [
                first - 1,
                *(edge for each in sorted(here, key=lambda s: s.first) for edge in (each.first, each.last)),
                last + 1,
            ]
            todo += [(a + 1, b - 1) for a, b in zip(edges[::2], edges[1::2], strict=True) if b - a > 10]
        elif (low, high) != (first, last):
            todo.append((low, high))
    return sorted(found, key=lambda each: each.first)


def _is_no_noise(time: np.ndarray, found: Stretch) -> bool:
    """Whether a stretch that is not most of the record has the cycles and rows to be more than noise."""
    cycles = float(time[found.last] - time[found.first]) * found.frequency
    return cycles >= BESIDE_CYCLES and found.last - found.first >= BESIDE_ROWS * cycles


def _span(values: np.ndarray) -> float:
    low, high = np.percentile(values, (0.5, 99.5))
    return float(high - low)


def inside(travel: np.ndarray, first: int, last: int) -> tuple[int, int]:
    """The rows between the first and last passage of the median: without a way in and out at the ends."""
    part = travel[first : last + 1]
    above = part > np.median(part)
    passing = np.flatnonzero(above[1:] != above[:-1])
    if len(passing) < 3:
        return first, first
    return first + int(passing[0]), first + int(passing[-1]) + 1


def _alike(time: np.ndarray, travel: np.ndarray, first: int, last: int, span: float) -> list[Stretch]:
    part = travel[first : last + 1]
    turns = turning_rows(part, BAND * span) + first
    if len(turns) < FEWEST_HALVES + 1:
        return []
    passed = _passages(time, travel, turns)
    heights = np.log(np.abs(np.diff(travel[turns])))
    halves = np.stack((heights[:-1], np.log(np.maximum(np.diff(passed), 1e-12))), axis=1)
    changes = np.abs(halves[2:] - halves[:-2])
    allowed = np.clip(5 * np.median(changes, axis=0), LIKE, UNLIKE) if len(changes) else np.full(2, LIKE)
    stretches = []
    for a, b in _joined(_runs(halves, allowed), halves, allowed):
        frequency = (b - a + 1) / (2 * float(passed[b + 1] - passed[a]))
        lasting = np.diff(time[turns[[a, a + 1, b + 1, b + 2]]])[::2] * 2 * frequency
        begins, ends = np.abs(lasting - 1) <= UNLIKE
        first = turns[a] if begins else turns[a + 1]
        last = turns[b + 2] if ends and abs(heights[b + 1] - heights[b - 1]) <= allowed[0] else turns[b + 1]
        stretches.append(Stretch(int(first), int(last), frequency))
    return _apart(stretches)


def _passages(time: np.ndarray, travel: np.ndarray, turns: np.ndarray) -> np.ndarray:
    """Times (k,) at which the travel passes the middle between each two neighbouring turning points (k + 1,)."""
    middles = (travel[turns[:-1]] + travel[turns[1:]]) / 2
    passed = np.empty(len(middles))
    for place, (a, b) in enumerate(zip(turns[:-1].tolist(), turns[1:].tolist(), strict=True)):
        part = travel[a : b + 1] - middles[place]
        change = np.flatnonzero((part[1:] > 0) != (part[:-1] > 0))
        ends = change[[0, -1]]
        share = part[ends] / (part[ends] - part[ends + 1])
        passed[place] = float(np.mean(time[a + ends] + share * (time[a + ends + 1] - time[a + ends])))
    return passed


def _runs(halves: np.ndarray, allowed: np.ndarray) -> list[tuple[int, int]]:
    """First and last place of runs of half cycles (k, 2) whose logarithms of height and duration keep within `allowed`
    (2,) of the run's mean, rising and falling ones apart."""
    runs, begin, sums = [], 0, [[0.0, 0.0, 0], [0.0, 0.0, 0]]
    for place, (height, duration) in enumerate([*halves.tolist(), (np.inf, np.inf)]):
        same, other = sums[place % 2], sums[1 - place % 2]
        mean, wide = (same, 1) if same[2] else (other, 3)
        near = not mean[2] or (
            abs(height - mean[0] / mean[2]) <= wide * allowed[0] and abs(duration - mean[1] / mean[2]) <= wide * allowed[1]
        )
        if not near:
            if place - begin >= FEWEST_HALVES - 1:
                runs.append((begin, place - 1))
            begin, sums = place, [[0.0, 0.0, 0], [0.0, 0.0, 0]]
            same = sums[place % 2]
        same[0], same[1], same[2] = same[0] + height, same[1] + duration, same[2] + 1
    return runs


def _joined(runs: list[tuple[int, int]], halves: np.ndarray, allowed: np.ndarray) -> list[tuple[int, int]]:
    """Runs that are alike and at most two half cycles apart, taken together: a disturbed half cycle ends no step."""
    joined: list[tuple[int, int]] = []
    for a, b in runs:
        if joined and a - joined[-1][1] <= 3:
            before = np.median(halves[joined[-1][0] : joined[-1][1] + 1], axis=0)
            if (np.abs(np.median(halves[a : b + 1], axis=0) - before) <= allowed).all():
                joined[-1] = (joined[-1][0], b)
                continue
        joined.append((a, b))
    return joined


def _apart(stretches: list[Stretch]) -> list[Stretch]:
    """The same without shared rows."""
    behind = [each.first for each in stretches[1:]]
    return [
        Stretch(each.first, min(each.last, first - 1), each.frequency)
        for each, first in zip(stretches, [*behind, stretches[-1].last + 1] if stretches else [], strict=True)
    ]
