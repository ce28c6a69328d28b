"""Fit of a harmonic with offset, drift and overtones to two channels of one frequency, the frequency fitted too."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError

OVERTONES = 5
SHORT = 2.0
_PASSES = 40
_CLOSE = 1e-10
_BESIDE_ERROR = 1e-3
_ASTRAY = 2.0


@dataclass(frozen=True)
class Harmonic:
    """One channel at the common frequency: complex `amplitudes` (m,) of the harmonics 1..m with value = Re Σ A_k·exp(i·k·ω·t),
    its standard `error` (one component of A_1), offset at the middle of the record, drift per second, standard deviation
    of the `remainder`."""

    amplitudes: np.ndarray
    error: float
    offset: float
    drift: float
    remainder: float

    @property
    def first(self) -> complex:
        """A_1."""
        return complex(self.amplitudes[0])

    @property
    def distortion(self) -> float:
        """Total harmonic distortion √(|A_2|² + … + |A_m|²)/|A_1|."""
        overtones = np.abs(self.amplitudes[1:])
        return float(np.sqrt(overtones @ overtones) / abs(self.first))


@dataclass(frozen=True)
class HarmonicFit:
    """Frequency in Hz with its standard error, and the two channels; time counts from the middle of the record."""

    frequency: float
    frequency_error: float
    travel: Harmonic
    load: Harmonic


def fit_harmonic(time: np.ndarray, travel: np.ndarray, load: np.ndarray, frequency: float) -> HarmonicFit:
    """Least-squares fit of both channels (n,) over time (n,) in s, from the starting value `frequency` in Hz.

    Gauss-Newton on the frequency with the linear parts solved exactly in each pass; both channels tell the frequency,
    each weighted by how well it knows it. Overtones up to the fifth, fewer where the sampling or the number of rows does
    not carry them. Below two cycles drift and frequency cannot be told apart: there is no drift then, and the frequency
    is that of a plain sine through the travel. Times need no constant step, the record no whole number of cycles.
    Source: the four-parameter sine fit of IEEE 1057, from memory, with overtones and drift added.
    """
    time = time - (time[0] + time[-1]) / 2
    short = (time[-1] - time[0]) * frequency < SHORT
    if short:
        plain = _Model(time, 1, drifts=False)
        omega, error = plain.frequency((travel,), 2 * math.pi * frequency)
        model = _Model(time, carried_overtones(time, frequency), drifts=False)
    else:
        model = _Model(time, carried_overtones(time, frequency), drifts=True)
        omega, error = model.frequency((travel, load), 2 * math.pi * frequency)
    return HarmonicFit(omega / (2 * math.pi), error / (2 * math.pi), *model.harmonics((travel, load), omega))


def stiffness_at(time: np.ndarray, travel: np.ndarray, load: np.ndarray, frequency: float) -> float:
    """Magnitude of load over travel (n,) at a known `frequency` in Hz."""
    time = time - (time[0] + time[-1]) / 2
    model = _Model(time, carried_overtones(time, frequency), drifts=True)
    of_travel, of_load = model.harmonics((travel, load), 2 * math.pi * frequency)
    return abs(of_load.first / of_travel.first)


def carried_overtones(time: np.ndarray, frequency: float) -> int:
    """Highest harmonic (1..5) below 0.45 of the sampling rate with at least three rows for each unknown."""
    step = float(np.median(np.diff(time)))
    by_rate = int(0.45 / (frequency * step))
    by_rows = (len(time) // 3 - 3) // 2
    return max(1, min(OVERTONES, by_rate, by_rows))


@dataclass(frozen=True)
class _Model:
    """Offset, drift (or none) and harmonics 1..`overtones` over `time` (n,), which counts from the middle."""

    time: np.ndarray
    overtones: int
    drifts: bool

    @property
    def first(self) -> int:
        """Column of the first harmonic's cosine."""
        return 2 if self.drifts else 1

    def basis(self, omega: float) -> np.ndarray:
        turn = np.exp(1j * omega * self.time)
        columns = np.empty((len(self.time), self.first + 2 * self.overtones), order="F")
        columns[:, 0] = 1.0
        if self.drifts:
            columns[:, 1] = self.time / self.time[-1]
        power = turn.copy()
        for at in range(self.first, columns.shape[1], 2):
            columns[:, at], columns[:, at + 1] = power.real, power.imag
            power *= turn
        return columns

    def frequency(self, channels: tuple[np.ndarray, ...], omega: float) -> tuple[float, float]:
        """ω that fits the channels best, from a starting value, with its standard error."""
        near = omega / _ASTRAY, omega * _ASTRAY
        for _ in range(_PASSES):
            basis = self.basis(omega)
            inverse = np.linalg.inv(basis.T @ basis)
            steps = [self._step(basis, inverse, values) for values in channels]
            weights = [1 / error**2 for _, error in steps]
            step = sum(w * s for w, (s, _) in zip(weights, steps, strict=True)) / sum(weights)
            step = float(np.clip(step, -0.1 * omega, 0.1 * omega))
            omega += step
            if not near[0] <= omega <= near[1]:
                raise EvaluationError(
                    f"no harmonic near {near[0] * _ASTRAY / (2 * math.pi):.4g} Hz fits the channels; check time and travel, "
                    "or cut the record to its steady part"
                )
            error = sum(weights) ** -0.5
            if abs(step) <= max(_CLOSE * omega, _BESIDE_ERROR * error):
                break
        return omega, error

    def _step(self, basis: np.ndarray, inverse: np.ndarray, values: np.ndarray) -> tuple[float, float]:
        unknowns = inverse @ (basis.T @ values)
        remainder = values - basis @ unknowns
        slope = np.zeros_like(self.time)
        for k in range(1, self.overtones + 1):
            at = self.first + 2 * (k - 1)
            slope += k * self.time * (unknowns[at + 1] * basis[:, at] - unknowns[at] * basis[:, at + 1])
        slope -= basis @ (inverse @ (basis.T @ slope))
        squares = float(slope @ slope)
        if squares == 0.0:
            raise EvaluationError("a channel has no harmonic part; check which columns are travel and load")
        scatter = math.sqrt(float(remainder @ remainder) / max(basis.shape[0] - basis.shape[1] - 1, 1))
        floor = 1e-12 * float(np.abs(values).max())
        return float(slope @ remainder) / squares, max(scatter, floor) / math.sqrt(squares)

    def harmonics(self, channels: tuple[np.ndarray, ...], omega: float) -> tuple[Harmonic, ...]:
        """The channels at ω."""
        basis = self.basis(omega)
        inverse = np.linalg.inv(basis.T @ basis)
        return tuple(self._harmonic(basis, inverse, values) for values in channels)

    def _harmonic(self, basis: np.ndarray, inverse: np.ndarray, values: np.ndarray) -> Harmonic:
        unknowns = inverse @ (basis.T @ values)
        unknowns += inverse @ (basis.T @ (values - basis @ unknowns))
        remainder = values - basis @ unknowns
        scatter = math.sqrt(float(remainder @ remainder) / max(basis.shape[0] - basis.shape[1] - 1, 1))
        share = math.sqrt(float(inverse[self.first, self.first] + inverse[self.first + 1, self.first + 1]) / 2)
        drift = float(unknowns[1] / self.time[-1]) if self.drifts else 0.0
        amplitudes = unknowns[self.first :: 2] - 1j * unknowns[self.first + 1 :: 2]
        return Harmonic(amplitudes, scatter * share * correlation(remainder), float(unknowns[0]), drift, scatter)


def correlation(remainder: np.ndarray) -> float:
    """Factor (≥ 1) on a standard error because neighbouring remainders are alike: √(1 + 2 Σ ρ) up to the first lag whose
    correlation is not positive, 50 at most."""
    power = float(remainder @ remainder)
    if power == 0.0:
        return 1.0
    total = 1.0
    for lag in range(1, min(50, len(remainder) // 4) + 1):
        alike = float(remainder[:-lag] @ remainder[lag:]) / power
        if alike <= 0:
            break
        total += 2 * alike
    return math.sqrt(total)
