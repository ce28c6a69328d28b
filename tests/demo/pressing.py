"""Force over travel of joints pressed into their eye and pushed out of it, as a press writes it; all invented.

Pressing in: a chamfer, then friction that rises as the assembly fluid is squeezed away, over an engaged length whose bore is
wavy; at the shoulder of the eye the elastic frame of the press. Pushing out: slip that spreads along the ring from its loaded
end, break-loose, then kinetic friction on a shrinking length. Seeded; the force at which each part is to peak is told.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.evidence import dialects

LENGTH, CHAMFER, FRAME = 45.0, 2.5, 160_000.0
STOP = 1.35
PRESS = replace(
    dialects.GERMAN, header=("Einpressen;Presse P-4", "Geschwindigkeit;100;mm/min", "Nullpunkt;vor dem Auge", ""),
    unit_names=("s", "mm", "kN"),
)  # fmt: skip
PUSH = replace(dialects.ENGLISH, header=("Push-out of rings", "Rate,10,mm/min", "Machine,M-3"))


def write_pressed(path: Path, operation: str, force: float, seed: int) -> Path:
    """A file of one part whose deciding force is `force` in kN: `press_in` in mm and kN with decimal comma, `push_out` with
    decimal point."""
    random = np.random.default_rng(seed)
    travel, load, rate = _in(random) if operation == "press_in" else _out(random)
    load = load * 1000 * force
    load = load + 15.0 * random.standard_normal(len(load))
    travel = travel + load / FRAME + 0.002 * random.standard_normal(len(load))
    return dialects.write(path, PRESS if operation == "press_in" else PUSH, np.arange(len(load)) / rate, travel, load)


def _in(random: np.random.Generator) -> tuple[np.ndarray, np.ndarray, float]:
    """Travel of the ring in mm and load over that at the seat, rows per second; the last rows are the shoulder."""
    rate, speed = 40.0, 100 / 60
    travel = np.arange(-4.0, LENGTH, speed / rate)
    engaged = np.clip(travel, 0.0, None)
    grip = np.where(engaged < CHAMFER, engaged**2 / (2 * CHAMFER), engaged - CHAMFER / 2)
    friction = 1.0 - 0.18 * np.exp(-engaged / 14.0)
    load = grip * friction * (1 + _waves(random, engaged, 0.012))
    load /= load[-1]
    shoulder = np.linspace(1.0, STOP, 12)[1:]
    return np.append(travel, np.full(len(shoulder), LENGTH)), np.append(load, shoulder), rate


def _out(random: np.random.Generator) -> tuple[np.ndarray, np.ndarray, float]:
    """Travel of the loaded end in mm and load over the peak, rows per second."""
    rate, speed, loose = 10.0, 10 / 60, 0.35
    travel = np.arange(0.0, 10.0, speed / rate)
    stuck = np.sqrt(np.clip(travel / loose, 0.0, 1.0)) * np.clip(travel / (0.3 * loose), 0.0, 1.0) ** 0.6
    slipped = np.clip(travel - loose, 0.0, None)
    slide = (0.72 + 0.28 * np.exp(-slipped / 0.6)) * (1 - slipped / LENGTH) * (1 + _waves(random, slipped, 0.008))
    load = np.where(travel < loose, stuck, slide)
    return travel, load / load.max(), rate


def _waves(random: np.random.Generator, path: np.ndarray, size: float) -> np.ndarray:
    """Waviness of the bore along the path, 0 at its begin."""
    phases, lengths = random.uniform(0, 2 * np.pi, 4), np.array([19.0, 11.0, 6.3, 3.7])
    waves = (np.sin(2 * np.pi * path / long + at) - np.sin(at) for long, at in zip(lengths, phases, strict=True))
    return size * sum(waves) / 2
