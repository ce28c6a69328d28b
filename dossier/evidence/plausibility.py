"""Questions to a curve that was read without error but may be off by a factor: units, size, standing
channels."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

_NEAR = 2.0
_FAR = 5.0
# Common practice, no source: no rubber-metal joint is softer or stiffer, and none is turned or pushed further.
_USUAL_STIFFNESS = {False: (100.0, 3e6), True: (50.0, 3e6)}
_USUAL_TRAVEL = {False: 200.0, True: 90.0}
_UNITS = {False: ("N/mm", "mm"), True: ("N·mm/°", "°")}
_CLIPPED_ROWS = 5
_MOST_ALONE = 3
_CLIPPED_SHARE = 0.03
_TURN = 180 / np.pi
_LINEAR = {
    1e3: "1000 times too large: is the column in the smaller unit (N for kN, µm for mm)?",
    1e-3: "1000 times too small: is the column in the larger unit (kN for N, m for mm)?",
    1e6: "a million times too large: check the unit",
    1e-6: "a million times too small: check the unit",
}
_ANGULAR = {
    _TURN: "57.3 times too large: is the angle in degrees where radians are stated?",
    1 / _TURN: "57.3 times too small: is the angle in radians where degrees are stated?",
}


@dataclass(frozen=True)
class Expected:
    """Sizes a curve should have, in stored units; None = not known. `stiffness` as load per travel (N/mm,
    N·mm/°). `rotational`: the travel is an angle."""

    load: float | None = None
    travel: float | None = None
    stiffness: float | None = None
    rotational: bool = False


def questions(travel: np.ndarray, load: np.ndarray, expected: Expected) -> list[str]:
    """What a person should be asked about travel (n,) and load (n,), in words; empty if nothing is odd.

    The size is the larger of the 0.5 and 99.5 percentiles' distances from zero, half their distance for a
    curve on both sides; a size is odd when it is off by more than five, and named as a unit when a usual
    factor explains it.
    """
    sizes = {"load": _size(load), "travel": _size(travel)}
    asked = [
        f"the {name} stands still; is the right column read?" for name, size in sizes.items() if size == 0.0
    ]
    if asked:
        return asked
    found = {**sizes, "stiffness": sizes["load"] / sizes["travel"]}
    for name, value in found.items():
        wanted = getattr(expected, name)
        if wanted:
            factors = _ANGULAR if expected.rotational and name == "travel" else _LINEAR
            asked += _question(name, value, abs(wanted), factors)
    if not (expected.load or expected.travel or expected.stiffness):
        asked += _unusual(found, expected.rotational)
    asked += standing_alone("load", load) + standing_alone("travel", travel)
    asked += clipped("load", load, travel) + clipped("travel", travel, load)
    return asked


def _unusual(found: dict[str, float], rotational: bool) -> list[str]:
    """Sizes that no joint has, where nothing closer is known."""
    stiffness, travel = _UNITS[rotational]
    low, high = _USUAL_STIFFNESS[rotational]
    asked = []
    if not low <= found["stiffness"] <= high:
        asked.append(
            f"stiffness is about {found['stiffness']:.3g} {stiffness}, usual are {low:g} to {high:g}; "
            "check the units of both columns (kN named N, µm named mm)"
        )
    if found["travel"] > _USUAL_TRAVEL[rotational]:
        asked.append(
            f"travel is about {found['travel']:.3g} {travel}, usual is less than {_USUAL_TRAVEL[rotational]:g}; check its unit"
        )
    return asked


def clipped(
    name: str, values: np.ndarray, other: np.ndarray, sides: tuple[str, ...] = ("largest", "smallest")
) -> list[str]:
    """A channel (n,) that stays exactly at its largest or smallest value while the `other` one (n,) moves on."""
    starts = np.flatnonzero(np.concatenate(([True], values[1:] != values[:-1])))
    ends = np.concatenate((starts[1:], [len(values)]))
    moved = np.maximum.reduceat(other, starts) - np.minimum.reduceat(other, starts)
    asked = []
    for words in sides:
        extreme = values.max() if words == "largest" else values.min()
        at = values[starts] == extreme
        run = np.flatnonzero(at & (ends - starts >= _CLIPPED_ROWS))
        usual = float(np.percentile(moved[~at], 95)) if (~at).any() else 0.0
        if len(run) and moved[run].max() > max(_CLIPPED_SHARE * np.ptp(other), 3 * usual):
            row = int(starts[run[np.argmax(moved[run])]])
            asked.append(
                f"the {name} stays at its {words} value {extreme:.6g} over {int((ends - starts)[run].sum())} rows, first from "
                f"point {row + 1} on, while the other channel moves on; was the transducer at the end of its range?"
            )
    return asked


def standing_alone(name: str, values: np.ndarray) -> list[str]:
    """Single points of values (n,) further away than the whole range of the others, both neighbours within it."""
    low, high = np.percentile(values, (0.5, 99.5))
    span = high - low
    far = (values < low - span) | (values > high + span)
    far[1:-1] &= ~(far[:-2] | far[2:])
    rows = np.flatnonzero(far)
    if not span > 0 or not 0 < len(rows) <= max(_MOST_ALONE, len(values) // 1000):
        return []
    return [
        f"the {name} at point {rows[0] + 1} is {values[rows[0]]:.4g}, the others lie from {low:.4g} to {high:.4g}"
        + (f" ({len(rows)} such points)" if len(rows) > 1 else "")
        + "; was it a spike of the transducer? It counts as measured: cut it from the file"
    ]


def held_at_end(values: np.ndarray) -> list[str]:
    """A load history (n,) that stays exactly at its largest or smallest value again and again."""
    starts = np.flatnonzero(np.concatenate(([True], values[1:] != values[:-1])))
    lengths = np.diff(np.concatenate((starts, [len(values)])))
    asked = []
    for extreme, words in ((values.max(), "largest"), (values.min(), "smallest")):
        runs = lengths[(values[starts] == extreme) & (lengths >= _CLIPPED_ROWS)]
        if len(runs) >= 2:
            asked.append(
                f"the load stays at its {words} value {extreme:.6g} in {len(runs)} places, over {int(runs.sum())} rows; was "
                "the transducer at the end of its range? Then the damage is too small"
            )
    return asked


def _size(values: np.ndarray) -> float:
    low, high = np.percentile(np.asarray(values, float), (0.5, 99.5))
    return float(high - low) / (2.0 if low < 0 < high and -low > 0.5 * high else 1.0)


def _question(name: str, value: float, wanted: float, factors: dict[float, str]) -> list[str]:
    ratio = value / wanted
    if 1 / _FAR <= ratio <= _FAR:
        return []
    reason = next((words for factor, words in factors.items() if 1 / _NEAR <= ratio / factor <= _NEAR), None)
    reason = reason or f"{ratio:.3g} times that: check unit, column and part"
    return [f"{name} is about {value:.3g}, expected about {wanted:.3g}; {reason}"]
