"""Measured curves as a testing machine would give them, for tests and for the invented data of the demo.

The part follows other laws than the product's evaluation knows of: a stiffening spring that softens with the
distance travelled (first-cycle softening), Maxwell elements (rate dependence) and a Bouc–Wen element
(friction of the filler). The machine drives at constant rate and turns at a load or a travel; it adds the
fixture's compliance, drift, offsets, noise and the steps of its converters. Everything is seeded. Invented
values throughout.

The true stiffness is known: the law is scaled until the noise-free curve of the part alone has it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np


@dataclass(frozen=True)
class Law:
    """Shares of the stiffness, relative to a unit spring.

    `cubic`: force share of the cubic term at travel = `reach`; `softening`: additional stiffness of the
    virgin part, decaying over `softening_path` reaches; `maxwell`: (share, relaxation time in s) pairs;
    `friction`: share of the Bouc–Wen element, saturating at `yield_travel` reaches; `positive`: factor on the
    spring in positive direction.
    """

    cubic: float = 0.04
    softening: float = 0.25
    softening_path: float = 2.5
    maxwell: tuple[tuple[float, float], ...] = ((0.06, 0.8), (0.05, 8.0))
    friction: float = 0.12
    yield_travel: float = 0.25
    positive: float = 1.0


@dataclass(frozen=True)
class Programme:
    """How the part is loaded: turning points ±`load` (or ±`travel` if given), `rate` in travel unit per s,
    rows per second, full cycles, rest in s before the start. One-sided: from 0 to +`load`. `first` = -1
    pushes down first."""

    load: float = 11000.0
    travel: float | None = None
    rate: float = 10.0 / 60.0
    frequency: float = 100.0
    cycles: int = 4
    rest: float = 0.5
    one_sided: bool = False
    first: int = 1


@dataclass(frozen=True)
class Rig:
    """What the machine adds: compliance of the fixture (travel unit per load unit), drift of the travel per
    s, offsets, noise (standard deviation) and converter steps of load and travel."""

    compliance: float = 0.0
    travel_drift: float = 0.0
    load_offset: float = 0.0
    travel_offset: float = 0.0
    load_noise: float = 0.0
    travel_noise: float = 0.0
    load_step: float = 0.0
    travel_step: float = 0.0


@dataclass(frozen=True)
class Record:
    """A curve: time (s), load, travel (n,), and the row numbers of its turning points."""

    time: np.ndarray
    load: np.ndarray
    travel: np.ndarray
    turns: tuple[int, ...]


def part_record(law: Law, programme: Programme, stiffness: float) -> Record:
    """The noise-free record of the part whose unit spring has `stiffness` (load per travel)."""
    step = programme.rate / programme.frequency
    reach = programme.travel or programme.load / stiffness
    state = _State(law, stiffness, reach, 1.0 / programme.frequency)
    rest = int(programme.rest * programme.frequency)
    travels, loads, turns = [0.0] * (rest + 1), [0.0] * (rest + 1), []
    x, direction = 0.0, programme.first
    for target in _targets(programme):
        while True:
            x += direction * step
            load = state.move(direction * step, x)
            travels.append(x)
            loads.append(load)
            reached = (x if programme.travel else load) * direction >= target * direction
            if reached:
                break
        turns.append(len(travels) - 1)
        direction = -direction
    time = np.arange(len(travels)) / programme.frequency
    return Record(time, np.array(loads), np.array(travels), tuple(turns))


def _targets(programme: Programme) -> list[float]:
    """Turning levels in order, and back to zero at the end."""
    top = programme.travel or programme.load
    low = 0.0 if programme.one_sided else -top
    pair = [top, low] if programme.first > 0 else [-top, -low]
    levels = pair * programme.cycles
    return levels if programme.one_sided else [*levels, 0.0]


class _State:
    """The part's memory: softening path, Maxwell forces, Bouc–Wen variable."""

    def __init__(self, law: Law, stiffness: float, reach: float, dt: float) -> None:
        self.law, self.stiffness, self.reach = law, stiffness, reach
        self.path, self.z = 0.0, 0.0
        self.branches = [0.0] * len(law.maxwell)
        self.decay = [np.exp(-dt / relaxation) for _, relaxation in law.maxwell]

    def move(self, dx: float, x: float) -> float:
        """Load after the travel moved by `dx` to `x`."""
        law, c = self.law, self.stiffness
        self.path += abs(dx) / self.reach
        soft = 1.0 + law.softening * np.exp(-self.path / law.softening_path)
        spring = c * soft * x * (1.0 + law.cubic * (x / self.reach) ** 2) * (law.positive if x > 0 else 1.0)
        for place, (share, _) in enumerate(law.maxwell):
            self.branches[place] = self.branches[place] * self.decay[place] + share * c * dx
        limit = law.yield_travel * self.reach
        ratio = self.z / limit
        self.z += dx * (1.0 - (0.5 * np.sign(dx * self.z) + 0.5) * abs(ratio))
        return spring + sum(self.branches) + law.friction * c * self.z


def true_stiffness(record: Record, cycle: int, low: float, high: float, direction: int = 1) -> float:
    """Secant stiffness of the loading branch of `cycle` between the loads `low` and `high`, load per
    travel."""
    start, end = loading_branch(record, cycle, direction)
    load, travel = record.load[start : end + 1] * direction, record.travel[start : end + 1] * direction
    ends = np.interp([low * direction, high * direction], load, travel)
    return float((high - low) * direction / (ends[1] - ends[0]))


def loading_branch(record: Record, cycle: int, direction: int = 1) -> tuple[int, int]:
    """Rows of the lower turning point before and the upper one of `cycle`."""
    tops = [turn for turn in record.turns if record.load[turn] * direction > np.abs(record.load).max() / 2]
    top = tops[cycle - 1]
    before = [turn for turn in record.turns if turn < top]
    return (before[-1] if before else 0), top


def with_stiffness(
    target: float,
    programme: Programme,
    law: Law = Law(),
    *,
    low: float | None = None,
    high: float | None = None,
) -> Record:
    """The part's record, scaled so that the loading branch of its 4th (or else last) cycle has the secant
    stiffness `target` between the loads `low` and `high` (the turning points unless given)."""
    high = programme.load if high is None else high
    low = (0.0 if programme.one_sided else -high) if low is None else low
    cycle = min(4, programme.cycles)
    scale = target
    for _ in range(12):
        record = part_record(law, programme, scale)
        found = true_stiffness(record, cycle, low, high, programme.first)
        if abs(found / target - 1) < 1e-5:
            break
        scale *= target / found
    return record


def measured(record: Record, rig: Rig, seed: int) -> Record:
    """The record as the machine's channels show it."""
    random = np.random.default_rng(seed)
    travel = record.travel + rig.compliance * record.load + rig.travel_drift * record.time + rig.travel_offset
    load = record.load + rig.load_offset
    travel = travel + rig.travel_noise * random.standard_normal(len(travel))
    load = load + rig.load_noise * random.standard_normal(len(load))
    return replace(record, load=_stepped(load, rig.load_step), travel=_stepped(travel, rig.travel_step))


def _stepped(values: np.ndarray, step: float) -> np.ndarray:
    return np.round(values / step) * step if step else values
