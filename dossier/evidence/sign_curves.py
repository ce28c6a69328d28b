"""Simulated curves of sound and of faulty joints, many at once, for the error rates of the signs of trouble.

The part: a spring with cubic stiffening and first-cycle softening, friction elements that slip one after another
(filler), relaxing elements (Prony series); the fault sits in the physics: a friction joint in series, a crack that
opens on one side, a gap that opens at a load, a stop, clearance in the fixture, a broken metal part. None of these
laws is known to the detector. Travel and load are relative to the amplitude; everything is seeded.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

KINDS = ("slip", "crack", "preload_loss", "bottoming", "metal_break", "fixture_slip")
YIELDS = np.array((0.05, 0.15, 0.35))
RELAXATION = np.array((0.02, 0.2, 1.0))


@dataclass(frozen=True)
class SimulatedTest:
    """How the parts are loaded: full `cycles` (0: one stroke from zero to the amplitude) of `rows` rows each,
    `waveform` triangle or sine, from −1 to 1 or, `one_sided`, from 0 to 1."""

    rows: int = 400
    cycles: int = 4
    waveform: str = "triangle"
    one_sided: bool = False

    def travel(self) -> np.ndarray:
        """Travel of the machine (n,) relative to the amplitude."""
        count = max(self.rows * max(self.cycles, 1) if self.cycles else self.rows, 8)
        phase = np.linspace(0.0, self.cycles or 0.25, count)
        if not self.cycles:
            return phase * 4
        if self.one_sided:
            wave = phase % 1.0
            if self.waveform == "sine":
                return (1 - np.cos(2 * np.pi * phase)) / 2
            return 1 - np.abs(1 - 2 * wave)
        if self.waveform == "sine":
            return np.sin(2 * np.pi * phase)
        return _triangle(phase)


@dataclass(frozen=True)
class SimulatedFault:
    """What is wrong: `kind` and its `size`: slip travel, share of the slope lost on one side, share of the slope
    that remains beyond the gap, slope of the stop over that of the part, share of the load that drops, clearance;
    it begins at `level` (share of the amplitude) in `cycle`. `every` lets the joint slip at that load each time."""

    kind: str
    size: float
    level: float = 0.6
    cycle: int = 2
    every: bool = False
    step: bool = False


@dataclass(frozen=True)
class Batch:
    """Curves: travel (b, n) and load (b, n) as measured, `begins` (b,) the row at which the fault begins (−1 none)."""

    travel: np.ndarray
    load: np.ndarray
    begins: np.ndarray


def _triangle(phase: np.ndarray) -> np.ndarray:
    part = phase % 1.0
    return np.where(part < 0.25, 4 * part, np.where(part < 0.75, 2 - 4 * part, 4 * part - 4))


@dataclass(frozen=True)
class Rubber:
    """Random parts (b,): shares of the stiffness of each element."""

    cubic: np.ndarray
    softening: np.ndarray
    friction: np.ndarray
    relaxing: np.ndarray
    positive: np.ndarray

    @classmethod
    def drawn(cls, random: np.random.Generator, count: int) -> Rubber:
        """`count` parts as a compound and a pre-stress may give them."""
        return cls(
            cubic=random.uniform(0.0, 0.25, count),
            softening=random.uniform(0.0, 0.3, count),
            friction=random.uniform(0.05, 0.35, (count, 1)) * random.dirichlet((2.0, 2.0, 2.0), count),
            relaxing=random.uniform(0.02, 0.2, (count, 1)) * random.dirichlet((2.0, 2.0, 2.0), count),
            positive=random.uniform(0.97, 1.03, count),
        )


def simulate(
    test: SimulatedTest, count: int, *, seed: int, fault: SimulatedFault | None = None, noise: float = 0.002,
    travel_noise: float = 0.0005, step: float = 0.0, drift: float = 0.0,
) -> Batch:  # fmt: skip
    """`count` curves of random parts under `test`, with or without `fault`; `noise`, `travel_noise` standard
    deviations and `step` of the load converter relative to the amplitude, `drift` of the travel over the record."""
    random = np.random.default_rng(seed)
    part = Rubber.drawn(random, count)
    travel = test.travel()
    load, begins = _Machine(part, test, travel, fault).run()
    shown = np.broadcast_to(travel, load.shape) + travel_noise * random.standard_normal(load.shape)
    shown = shown + drift * np.linspace(0, 1, len(travel)) * random.choice((-1.0, 1.0), (count, 1))
    peak = np.median(np.abs(load), axis=1, keepdims=True) * 2
    load = load + noise * peak * random.standard_normal(load.shape)
    if step:
        load = np.round(load / (step * peak)) * (step * peak)
    return Batch(shown, load, begins)


class _Machine:
    """Drives all parts through the same travel."""

    def __init__(self, part: Rubber, test: SimulatedTest, travel: np.ndarray, fault: SimulatedFault | None) -> None:
        self.part, self.test, self.travel, self.fault = part, test, travel, fault
        count = len(part.cubic)
        self.joint, self.path = np.zeros(count), np.zeros(count)
        self.slider, self.dashpot = np.zeros((count, 3)), np.zeros((count, 3))
        self.load, self.slipped, self.gap = np.zeros(count), np.zeros(count), np.full(count, 0.0)
        self.left, self.broken = np.zeros(count), np.ones(count)
        self.begins = np.full(count, -1)
        per_cycle = test.rows if test.cycles else len(travel) * 4
        self.decay = np.exp(-1.0 / (RELAXATION * per_cycle))
        self.cycle = np.arange(len(travel)) // per_cycle + 1
        self.opened = False
        if fault and fault.kind == "fixture_slip":
            self.gap -= fault.size / 2

    def run(self) -> tuple[np.ndarray, np.ndarray]:
        loads = np.zeros((len(self.part.cubic), len(self.travel)))
        for row in range(1, len(self.travel)):
            self._advance(row, self.travel[row] - self.travel[row - 1])
            loads[:, row] = self.load
        return loads, self.begins

    def _begin(self, where: np.ndarray, row: int) -> None:
        self.begins[where & (self.begins < 0)] = row

    def _elastic(self, joint: np.ndarray) -> np.ndarray:
        """Load of the spring that softens with the path, with crack, gap opening and stop."""
        spring = (1 + self.part.softening * np.exp(-self.path / 2.5)) * np.where(joint > 0, self.part.positive, 1.0)
        fault, shown = self.fault, joint
        if fault and fault.kind == "preload_loss" and self.opened:
            beyond = np.maximum(np.abs(joint) - fault.level, 0.0)
            shown = joint - np.sign(joint) * beyond * (1 - fault.size)
        load = spring * (shown + self.part.cubic * shown**3)
        if fault and fault.kind == "bottoming" and self.opened:
            load = load + np.maximum(joint - fault.level, 0.0) * (fault.size - 1)
        return load

    def _trial(self, change: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Load if the part moved by `change` (b,), with its new friction and relaxing elements."""
        joint = self.joint + change
        limit = YIELDS * self.part.friction
        if self.fault and self.fault.kind == "preload_loss" and self.opened:
            change = change * np.where(np.abs(joint) > self.fault.level, self.fault.size, 1.0)
        slider = np.clip(self.slider + self.part.friction * change[:, None], -limit, limit)
        dashpot = self.dashpot * self.decay + self.part.relaxing * change[:, None]
        load = self._elastic(joint) + slider.sum(axis=1) + dashpot.sum(axis=1)
        if self.fault and self.fault.kind == "crack" and self.opened:
            load = np.where(load > 0, load * (1 - self.fault.size), load)
        return load * self.broken, slider, dashpot

    def _advance(self, row: int, step: float) -> None:
        fault = self.fault
        self.opened = bool(fault and self.cycle[row] >= fault.cycle)
        change = np.full(len(self.load), step)
        if fault and self.opened and fault.kind in ("crack", "preload_loss", "bottoming"):
            self._begin(self._reached(fault), row)
        if fault and fault.kind == "slip" and self.opened:
            change = self._slip(fault, change, row)
        if fault and fault.kind == "fixture_slip":
            change = self._clearance(fault, change, row)
        if fault and fault.kind == "metal_break" and self.opened:
            breaks = (self.load >= fault.level) & (step > 0) & (self.broken == 1.0)
            self.broken[breaks] = 1 - fault.size
            self._begin(breaks, row)
        self.load, self.slider, self.dashpot = self._trial(change)
        self.joint = self.joint + change
        self.path += np.abs(change)

    def _reached(self, fault: SimulatedFault) -> np.ndarray:
        if fault.kind == "crack":
            return self.load > 0
        return np.abs(self.joint) >= fault.level if fault.kind == "preload_loss" else self.joint >= fault.level

    def _slip(self, fault: SimulatedFault, change: np.ndarray, row: int) -> np.ndarray:
        if fault.every:
            over = (np.abs(self._trial(change)[0]) > fault.level) & (np.sign(change) == np.sign(self.load))
            self._begin(over, row)
            return np.where(over, 0.0, change)
        starts = (self.load >= fault.level) & (change > 0) & (self.slipped == 0.0)
        self._begin(starts, row)
        if fault.step:
            self.slipped[starts] = fault.size
            return change - np.where(starts, fault.size, 0.0)
        sliding = (starts | (self.slipped > 0)) & (self.slipped < fault.size) & (change > 0)
        self.slipped[sliding] += change[sliding]
        return np.where(sliding, 0.0, change)

    def _clearance(self, fault: SimulatedFault, change: np.ndarray, row: int) -> np.ndarray:
        trial, half = self._trial(change)[0], fault.size / 2
        free = ((trial > 0) & (change > 0) & (self.load <= 1e-3) & (self.gap < half)) | (
            (trial < 0) & (change < 0) & (self.load >= -1e-3) & (self.gap > -half)
        )
        self._begin(free, row)
        self.gap[free] += change[free]
        return np.where(free, 0.0, change)
