"""Stiffness, energy and peaks of each cycle of a long force-displacement record."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.turning import turning_rows

BAND = 0.3
_FEWEST_ROWS = 6


@dataclass(frozen=True)
class CycleTable:
    """One row (k,) per closed cycle: its number (or the counter's value at its end), stiffness (least-squares slope of
    load over travel, N/mm), energy of its loop (N·mm), damping energy/(π·load amplitude·travel amplitude) (sin δ of an
    ellipse), largest and smallest load and travel, row at its end."""

    cycles: np.ndarray
    stiffness: np.ndarray
    energy: np.ndarray
    damping: np.ndarray
    load_max: np.ndarray
    load_min: np.ndarray
    travel_max: np.ndarray
    travel_min: np.ndarray
    last_row: np.ndarray


def cycle_table(
    travel: np.ndarray, load: np.ndarray, *, control: str = "travel", counter: np.ndarray | None = None
) -> CycleTable:
    """The cycles of travel (n,) in mm and load (n,) in N, from lower to lower turning point of the `control` channel.

    Turning points come back by 30 % of the channel's range. `counter` (n,): the machine's cycle counter, where not every
    cycle was recorded; without it the cycles are numbered from 1. Cycles of fewer than six rows, and those across a jump
    of the counter, are left out. Raises EvaluationError for unequal channels, rows that are no numbers or no cycle.
    """
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    if travel.shape != load.shape or travel.ndim != 1 or not (np.isfinite(travel).all() and np.isfinite(load).all()):
        raise EvaluationError(f"travel {travel.shape} and load {load.shape} must be equally long and all of them numbers")
    lows = _lower_turns(load if control == "load" else travel)
    if len(lows) < 2:
        raise EvaluationError(f"no closed cycle in {len(travel)} rows; check the channels, or evaluate it as a static test")
    starts, ends = lows[:-1], lows[1:]
    whole = ends - starts >= _FEWEST_ROWS
    if counter is not None:
        counter = np.asarray(counter, float)
        whole &= np.abs(counter[ends] - counter[starts + 1]) <= 1
    if not whole.any():
        raise EvaluationError(f"no cycle of {_FEWEST_ROWS} rows or more; sample faster")
    numbers = np.arange(1.0, len(ends) + 1) if counter is None else counter[ends]
    found = _per_cycle(travel, load, lows)
    high_x, low_x, high_f, low_f = (
        _extreme(kind, values, lows) for values in (travel, load) for kind in (np.maximum, np.minimum)
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        damping = 4 * found["energy"] / (np.pi * (high_f - low_f) * (high_x - low_x))
    columns = numbers, found["stiffness"], found["energy"], damping, high_f, low_f, high_x, low_x, ends
    return CycleTable(*(column[whole] for column in columns))


def _lower_turns(values: np.ndarray) -> np.ndarray:
    low, high = np.percentile(values, (0.5, 99.5))
    turns = turning_rows(values, BAND * float(high - low))
    if len(turns) < 2:
        return turns[:0]
    return turns[0 if values[turns[0]] < values[turns[1]] else 1 :: 2]


def _extreme(kind: np.ufunc, values: np.ndarray, lows: np.ndarray) -> np.ndarray:
    return kind.reduceat(values[: lows[-1]], lows[:-1])


def _per_cycle(travel: np.ndarray, load: np.ndarray, lows: np.ndarray) -> dict[str, np.ndarray]:
    def total(values: np.ndarray) -> np.ndarray:
        return np.add.reduceat(values[: lows[-1]], lows[:-1])

    rows = np.diff(lows).astype(float)
    cycle = np.repeat(np.arange(len(rows)), np.diff(lows))
    part = slice(lows[0], lows[-1])
    x, f = np.zeros_like(travel), np.zeros_like(load)
    x[part] = travel[part] - (total(travel) / rows)[cycle]
    f[part] = load[part] - (total(load) / rows)[cycle]
    ahead_x, ahead_f = np.append(x[1:], x[-1]), np.append(f[1:], f[-1])
    last = lows[1:] - 1
    ahead_x[last], ahead_f[last] = x[lows[:-1]], f[lows[:-1]]
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = total(x * f) / total(x * x)
    return {"stiffness": slope, "energy": total((f + ahead_f) / 2 * (ahead_x - x))}
