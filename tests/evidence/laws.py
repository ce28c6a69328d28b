"""Parts by laws the evaluation of harmonic records does not assume, and their response by numeric integration."""

from __future__ import annotations

import numpy as np


def sine(frequency: float, amplitude: float, cycles: float, rate: float, mean: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Time in s and travel in mm of a drive that begins at its mean."""
    time = np.arange(int(round(cycles / frequency * rate)) + 1) / rate
    return time, mean + amplitude * np.sin(2 * np.pi * frequency * time)


def linear_solid(time: np.ndarray, travel: np.ndarray, long: float, short: float, relaxation: float) -> np.ndarray:
    """Load of a standard linear solid: spring `long` beside a spring `short` with a dashpot of `relaxation` s, integrated
    exactly for a travel that is straight between the rows."""
    step = np.diff(time)
    fades = np.exp(-step / relaxation)
    rates = np.diff(travel) / step
    held = np.zeros_like(travel)
    for row in range(1, len(travel)):
        held[row] = held[row - 1] * fades[row - 1] + short * rates[row - 1] * relaxation * (1 - fades[row - 1])
    return long * travel + held


def sliders(travel: np.ndarray, springs: np.ndarray, limits: np.ndarray) -> np.ndarray:
    """Load of dry friction: springs (k,) in N/mm, each slipping at its limit (k,) in N."""
    held = np.zeros(len(springs))
    load = np.zeros_like(travel)
    for row in range(1, len(travel)):
        held = np.clip(held + springs * (travel[row] - travel[row - 1]), -limits, limits)
        load[row] = held.sum()
    return load


def first_harmonic(travel: np.ndarray, load: np.ndarray, frequency: float, time: np.ndarray) -> complex:
    """Load over travel of the first harmonic by Fourier's integral over whole cycles (trapezoids)."""
    turn = np.exp(-2j * np.pi * frequency * time)
    return complex(np.trapezoid(load * turn, time) / np.trapezoid(travel * turn, time))
