"""Records of harmonic, endurance and history tests by laws the evaluations do not assume, as rigs write them.

Harmonic: springs with Maxwell elements and dry friction, about a pre-load. Endurance: a crack that grows in a part that
warms and softens. History: bursts of a random road on a slow swell. Everything is seeded; numbers are invented.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.signal import lfilter

from tests.evidence.laws import first_harmonic, sliders


@dataclass(frozen=True)
class Rubber:
    """Long-term stiffness in N/mm; Maxwell elements as (share of it, relaxation time in s); sliders of friction as share
    of the stiffness, the largest of their limits in N; load at rest in N."""

    stiffness: float
    elements: tuple[tuple[float, float], ...] = ((0.16, 0.04), (0.14, 0.004))
    friction: float = 0.28
    limit: float = 400.0
    preload: float = 8000.0

    def load(self, travel: np.ndarray, step: float) -> np.ndarray:
        """Load (n,) of a travel (n,) about the mean position, rows `step` s apart."""
        found = self.preload + self.stiffness * travel
        moved = np.diff(travel, prepend=0.0)
        for share, relaxation in self.elements:
            fades = np.exp(-step / relaxation)
            found += lfilter([share * self.stiffness * relaxation / step * (1 - fades)], [1.0, -fades], moved)
        springs = np.full(12, self.friction * self.stiffness / 12)
        return found + sliders(travel, springs, np.linspace(0.1, 1.0, 12) * self.limit)


def harmonic(
    rubber: Rubber, amplitudes: Sequence[float], frequencies: Sequence[float], *, rate: float = 500.0, cycles: int = 12,
    pause: float = 0.4, mean: float = 0.14,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:  # fmt: skip
    """Time in s, travel in mm about `mean` and load in N: each amplitude with each frequency, pauses between."""
    parts = [np.zeros(int(pause * rate))]
    for amplitude in amplitudes:
        for frequency in frequencies:
            turn = 2 * np.pi * frequency * np.arange(int(cycles * rate / frequency)) / rate
            parts += [amplitude * np.sin(turn), np.zeros(int(pause * rate))]
    travel = np.concatenate(parts)
    return np.arange(len(travel)) / rate, travel + mean, rubber.load(travel, 1 / rate)


def true_response(rubber: Rubber, amplitude: float, frequency: float, rate: float = 20_000.0) -> complex:
    """Load over travel of the first harmonic in the last of eight cycles, finely sampled."""
    per_cycle = int(rate / frequency)
    time = np.arange(8 * per_cycle + 1) / (per_cycle * frequency)
    travel = amplitude * np.sin(2 * np.pi * frequency * time)
    rows = slice(7 * per_cycle, None)
    return first_harmonic(travel[rows], rubber.load(travel, 1 / (per_cycle * frequency))[rows], frequency, time[rows])


def write_harmonic(
    path: Path, rubber: Rubber, amplitudes: Sequence[float], frequencies: Sequence[float], *, seed: int, noise: float = 0.003,
    mass: float = 0.0, delay: float = 0.0, rate: float = 500.0, cycles: int = 12,
) -> Path:  # fmt: skip
    """A harmonic record with noise, a mass in kg between part and load cell, and a load channel `delay` s late."""
    random = np.random.default_rng(seed)
    time, travel, load = harmonic(rubber, amplitudes, frequencies, rate=rate, cycles=cycles)
    step = float(time[1])
    load = load + mass * np.gradient(np.gradient(travel, step), step) / 1000
    load = np.interp(time - delay, time, load)
    travel = travel + noise * 0.1 * random.standard_normal(len(time))
    load = load + noise * 4000 * random.standard_normal(len(time))
    return _written(path, "Time [s],Displacement [mm],Force [kN]", (time, travel, load / 1000), ("%.4f", "%.5f", "%.4f"))


@dataclass(frozen=True)
class Endurance:
    """A part of `stiffness` N/mm whose crack share grows by rate·(1 + 6·crack)² per cycle, warms by `heat` K, and softens by
    0.4 % per K; its loss angle grows with the crack."""

    stiffness: float
    rate: float
    heat: float = 25.0
    angle: float = 5.5

    def crack(self, cycles: np.ndarray) -> np.ndarray:
        """Closed form of the growth from 1 %: 1/(1 + 6c) falls by 6·rate per cycle."""
        left = 1 / 1.06 - 6 * self.rate * cycles
        return np.minimum(0.9, (1 / np.maximum(left, 1e-3) - 1) / 6)

    def cold(self, cycles: np.ndarray) -> np.ndarray:
        """Stiffness at 23 °C."""
        return self.stiffness * (1 - 0.8 * self.crack(cycles)) * (1 - 0.006 * np.log10(1 + cycles / 200))

    def life(self, loss: float, reference: float) -> float:
        """Cycles at which the cold stiffness has lost `loss` against that at `reference`, by a fine table."""
        fine = np.arange(reference, 2e6, 20.0)
        level = (1 - loss) * float(self.cold(np.array([reference]))[0])
        below = self.cold(fine) < level
        return float(fine[int(np.argmax(below))]) if below.any() else float("inf")


def write_endurance(
    path: Path, part: Endurance, last: float, *, seed: int, every: float = 500.0, pauses: Sequence[float] = (),
    reset_at: Sequence[float] = (), outliers: int = 2, frequency: float = 2.0, rest: float = 43_200.0,
) -> Path:  # fmt: skip
    """A table to `last` cycles: time, counter, stiffness, temperature, loss angle. At `pauses` the rig rests for `rest` s
    (the part cools and comes back stiffer by 2 % for some rows), at `reset_at` the counter begins anew too."""
    random = np.random.default_rng(seed)
    cycles = np.arange(every, last + every / 2, every)
    time, counter, warm, rested = cycles / frequency, cycles.copy(), np.zeros(len(cycles)), np.zeros(len(cycles))
    for begin in (0.0, *pauses):
        behind = cycles > begin * (1 + 1e-6)
        warm[behind] = part.heat * (1 - np.exp(-(cycles[behind] - begin) / 4000))
        if begin:
            rested[behind] = 0.02 * np.exp(-(cycles[behind] - begin) / 800)
            time[behind] += rest
    for begin in reset_at:
        counter[cycles > begin + 1e-6 * begin] = cycles[cycles > begin + 1e-6 * begin] - begin
    stiffness = part.cold(cycles) * (1 - 0.004 * warm) * (1 + rested) * (1 + 0.003 * random.standard_normal(len(cycles)))
    for row in random.choice(np.arange(5, len(cycles) - 5), outliers, replace=False):
        stiffness[row] *= random.choice([0.6, 1.3])
    angle = part.angle * (1 + 3 * part.crack(cycles)) * (1 + 0.01 * random.standard_normal(len(cycles)))
    head = "Time [s];Cycles;Stiffness [kN/mm];Temperature [°C];Loss angle [°]"
    columns = (time, counter, stiffness / 1000, 23 + warm + 0.2 * random.standard_normal(len(cycles)), angle)
    return _written(path, head, columns, ("%.0f", "%.0f", "%.3f", "%.1f", "%.2f"), ";")


def history(seed: int, *, minutes: float = 8.0, rate: float = 50.0, level: float = 6000.0) -> tuple[np.ndarray, np.ndarray]:
    """Time in s and force in N: a second-order filtered random road whose severity jumps from stretch to stretch, on a slow
    swell, with a few hard hits."""
    random = np.random.default_rng(seed)
    count = int(60 * minutes * rate)
    time = np.arange(count) / rate
    road = lfilter([1.0], [1.0, -1.5, 0.75], random.standard_normal(count))
    severity = np.repeat(random.lognormal(0.0, 0.5, count // 500 + 1), 500)[:count]
    force = level / 3 * road / road.std() * severity + 0.4 * level * np.sin(2 * np.pi * 0.05 * time)
    for row in random.choice(count - 20, 12, replace=False):
        force[row : row + 10] += random.choice([-1, 1]) * random.uniform(2, 5) * level * np.hanning(10)
    return time, force


def write_history(path: Path, *, seed: int, level: float = 6000.0, minutes: float = 8.0) -> Path:
    """A history as a recorder writes it, in kN."""
    time, force = history(seed, level=level, minutes=minutes)
    return _written(path, "Time [s],Force [kN]", (time, force / 1000), ("%.3f", "%.4f"))


def _written(
    path: Path, head: str, columns: Sequence[np.ndarray], formats: Sequence[str], delimiter: str = ","
) -> Path:
    line = delimiter.join(formats)
    rows = [line % row for row in zip(*(column.tolist() for column in columns), strict=True)]
    path.write_text("\n".join([head, *rows]) + "\n", "utf-8")
    return path
