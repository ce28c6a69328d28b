"""Dynamic stiffness, loss angle and damping of a part from a harmonic record, per step of frequency and amplitude.

Definitions of ISO 4664-1 (from memory, not checked against its text): complex stiffness K* = K' + i·K'' is the load's
first harmonic over the travel's, dynamic stiffness |K*|, storage K', loss K'', loss angle δ with tan δ = K''/K'.
"""

from __future__ import annotations

import cmath
import math
from dataclasses import dataclass, replace

import numpy as np

from dossier.evidence.dynamic_steps import BAND, Stretch, find_stretches, inside
from dossier.evidence.errors import EvaluationError
from dossier.evidence.harmonic import HarmonicFit, carried_overtones, fit_harmonic, stiffness_at
from dossier.evidence.least_squares import fit_columns
from dossier.evidence.turning import turning_rows

ROWS_PER_CYCLE = 4.0
SETTLING = 1.0
_LEFT_AFTER_SETTLING = 3.0
_GAPS = 0.05
_DISTORTED = 0.05
_NO_HARMONIC = 0.5
_UNSURE = 0.02
_A_SINE = 0.15


@dataclass(frozen=True)
class DynamicStep:
    """One step of constant frequency and amplitude. Errors are standard errors from the scatter about the fit.

    frequency in Hz; dynamic_stiffness |K*|, storage K', loss K'' in N/mm; loss_angle δ in rad, loss_angle_degrees in °;
    loss_factor tan δ; damping K''/ω in N·s/mm (of an equivalent viscous damper); energy per cycle π·K''·amplitude² in
    N·mm; amplitude (of travel, half its range) in mm and load_amplitude in N, of the first harmonic; mean_travel, mean_load
    at the middle of the step; distortion and travel_distortion: √(A₂² + … + A_m²)/A₁ of load and travel with m = `overtones`
    (5 where the sampling carries it); trend: |K*| of the second half of the step over that of its first, less 1 (None
    below four cycles); cycles that were fitted, rows first_row..last_row of the record. `rotational`: torque over angle, with
    stiffnesses in N·mm/rad, amplitude and mean_travel in °, load_amplitude and mean_load in N·mm, damping in N·mm·s/rad.
    """

    frequency: float
    frequency_error: float
    dynamic_stiffness: float
    dynamic_stiffness_error: float
    loss_angle: float
    loss_angle_error: float
    storage: float
    loss: float
    amplitude: float
    load_amplitude: float
    mean_travel: float
    mean_load: float
    distortion: float
    travel_distortion: float
    overtones: int
    cycles: float
    trend: float | None
    first_row: int
    last_row: int
    rotational: bool = False

    @property
    def loss_angle_degrees(self) -> float:
        """δ in °."""
        return math.degrees(self.loss_angle)

    @property
    def loss_factor(self) -> float:
        """tan δ."""
        return self.loss / self.storage

    @property
    def damping(self) -> float:
        """K''/ω in N·s/mm."""
        return self.loss / (2 * math.pi * self.frequency)

    @property
    def energy(self) -> float:
        """Energy lost per cycle in N·mm."""
        return math.pi * self.loss * (math.radians(self.amplitude) if self.rotational else self.amplitude) ** 2


@dataclass(frozen=True)
class DynamicEvaluation:
    """The steps in order of time, and notes in words. `longest` is the step with the most cycles, the only one of a
    record with one frequency and amplitude."""

    steps: tuple[DynamicStep, ...]
    notes: tuple[str, ...]

    @property
    def longest(self) -> DynamicStep:
        """The step with the most cycles."""
        return max(self.steps, key=lambda step: step.cycles)


def evaluate_dynamic(
    time: np.ndarray,
    travel: np.ndarray,
    load: np.ndarray,
    *,
    moving_mass: float = 0.0,
    channel_delay: float = 0.0,
    settling: float = SETTLING,
    rotational: bool = False,
    moving_inertia: float = 0.0,
) -> DynamicEvaluation:
    """Evaluate time (n,) in s, travel (n,) in mm and load (n,) in N, steps of constant frequency and amplitude apart; where
    `rotational`, travel is an angle in ° and load a torque in N·mm.

    `channel_delay` in s: the recorded load is later than the recorded travel by this much, load_recorded(t) =
    load(t − channel_delay), so that ω·channel_delay is added to the measured loss angle; negative where the travel is the
    late one. `moving_mass` in kg: mass between specimen and load cell that moves with the measured travel, the cell
    pushing part and mass; K_part = K_measured + m·ω², after the delay. `moving_inertia` in kg·mm² is the same of a rotation,
    about its axis: K_part = K_measured + J·ω². `settling`: cycles at the start of a step that are
    left out, where at least three remain.

    Raises EvaluationError for times that do not rise, channels that stand still, clip or are no numbers, fewer than two
    rows per half cycle, less than one cycle, or a load that falls while the travel rises.
    """
    for name, value in (("moving_mass", moving_mass), ("moving_inertia", moving_inertia), ("settling", settling)):
        if not value >= 0:
            raise EvaluationError(f"{name} = {value} must be 0 or more; correct it")
    if wrong := moving_mass if rotational else moving_inertia:
        told = f"moving_mass = {wrong:g}: torque over angle" if rotational else f"moving_inertia = {wrong:g}: force over travel"
        raise EvaluationError(f"{told} takes the other of moving_mass and moving_inertia; correct it")
    time, travel, load, notes = _taken(time, np.radians(np.asarray(travel, float)) if rotational else travel, load)
    mass, unit = (moving_inertia, "°") if rotational else (moving_mass, "mm")
    stretches = find_stretches(time, travel)
    stretches = _to_the_ends(time, travel, stretches[0]) if len(stretches) == 1 else stretches
    only = len(stretches) < 2
    steps = []
    for stretch in stretches or [_short(time, travel)]:
        try:
            step = _step(time, travel, load, stretch, mass, channel_delay, settling)
        except EvaluationError as error:
            if only:
                raise
            notes.append(f"rows {stretch.first} to {stretch.last} left out: {error}")
            continue
        step = _in_degrees(step) if rotational else step
        steps.append(step)
        notes += _questions(step, "" if only else f"{step.frequency:.4g} Hz, {step.amplitude:.3g} {unit}: ")
    if not steps:
        raise EvaluationError("no step of constant frequency and amplitude can be evaluated: " + "; ".join(notes))
    if channel_delay:
        notes.append(f"load channel taken as {channel_delay * 1e3:.4g} ms later than the travel; loss angle corrected")
    if moving_mass:
        notes.append(f"inertia of {moving_mass:g} kg between specimen and load cell taken out: K_part = K_measured + m·ω²")
    if moving_inertia:
        told = f"inertia of {moving_inertia:g} kg·mm² between specimen and torque cell taken out"
        notes.append(f"{told}: K_part = K_measured + J·ω²")
    return DynamicEvaluation(tuple(steps), tuple(notes))


def _taken(time: np.ndarray, travel: np.ndarray, load: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray, list[str]]:
    channels = [np.asarray(values, float) for values in (time, travel, load)]
    if len({values.shape for values in channels}) != 1 or channels[0].ndim != 1:
        raise EvaluationError(
            f"time, travel and load have {', '.join(str(values.size) for values in channels)} rows; they must agree"
        )
    rows = len(channels[0])
    known = np.isfinite(channels).all(axis=0)
    missing = rows - int(known.sum())
    notes = [f"{missing} rows without a number left out"] if missing else []
    if missing > _GAPS * rows:
        raise EvaluationError(f"{missing} of {rows} rows are no numbers; at most {_GAPS:.0%} may be missing: repair the record")
    time, travel, load = (values[known] for values in channels)
    if len(time) < 8:
        raise EvaluationError(f"{len(time)} rows; at least 8 are needed")
    steps = np.diff(time)
    if (steps <= 0).any():
        row = int(np.flatnonzero(steps <= 0)[0]) + 1
        what = "falls" if steps[row - 1] < 0 else "stands still"
        raise EvaluationError(
            f"the time {what} at row {row} ({time[row]:g} s after {time[row - 1]:g} s), {int((steps <= 0).sum())} such rows "
            "in all; write the time finer, or take it from the sampling rate"
        )
    for name, values in (("travel", travel), ("load", load)):
        if np.ptp(values) <= 1e-9 * max(abs(float(values.max())), abs(float(values.min()))):
            raise EvaluationError(f"the {name} stands still at {values[0]:g}; check the channel")
    return time, travel, load, notes


def _to_the_ends(time: np.ndarray, travel: np.ndarray, only: Stretch) -> list[Stretch]:
    """A single stretch with the broken cycles at the ends of the record, where they keep within its range."""
    part = travel[only.first : only.last + 1]
    margin = 0.05 * float(np.ptp(part))
    low, high = float(part.min()) - margin, float(part.max()) + margin
    first, last = only.first, only.last
    period = 1 / only.frequency
    if time[first] - time[0] < period and _within(travel[:first], low, high):
        first = 0
    if time[-1] - time[last] < period and _within(travel[last:], low, high):
        last = len(time) - 1
    return [Stretch(first, last, only.frequency)]


def _within(values: np.ndarray, low: float, high: float) -> bool:
    return bool(((values >= low) & (values <= high)).all())


def _short(time: np.ndarray, travel: np.ndarray) -> Stretch:
    """The rows of a record of few cycles, without a way in or out where the rest is a sine only then, and its frequency."""
    turns = turning_rows(travel, BAND * float(np.ptp(travel)))
    if len(turns) > 4 and len(time) < ROWS_PER_CYCLE / 2 * len(turns):
        _check_sampling(time, len(turns) / 2 / float(time[-1] - time[0]))
    last = len(time) - 1
    first, end = inside(travel, 0, last)
    whole = 0, last
    for rows in dict.fromkeys((whole, (first, last), (0, end), (first, end))):
        frequency, left = _scanned(time[rows[0] : rows[1] + 1], travel[rows[0] : rows[1] + 1])
        if left <= _A_SINE:
            return Stretch(*rows, frequency)
    return Stretch(*whole, _scanned(time, travel)[0])


def _scanned(time: np.ndarray, travel: np.ndarray) -> tuple[float, float]:
    """The frequency, from 0.5 to 4 cycles in the rows, whose sine leaves least of the travel, and the share it leaves."""
    duration = float(time[-1] - time[0])
    if len(time) < 8:
        return 1 / max(duration, 1e-300), np.inf
    middle = time - (time[0] + time[-1]) / 2
    found = []
    for cycles in np.arange(0.5, 4.01, 0.1):
        turn = 2 * math.pi * cycles / duration * middle
        basis = np.stack((np.ones_like(middle), np.cos(turn), np.sin(turn)), axis=1)
        fit = fit_columns(basis, travel)
        left = math.sqrt(fit.squares / len(time)) / max(math.hypot(*fit.coefficients[1:]), 1e-300)
        found.append((left, cycles / duration))
    least = min(found)
    return least[1], least[0]


def _step(
    time: np.ndarray, travel: np.ndarray, load: np.ndarray, stretch: Stretch, mass: float, delay: float, settling: float
) -> DynamicStep:
    first, last = stretch.first, stretch.last
    whole = (time[last] - time[first]) * stretch.frequency
    if whole >= settling + _LEFT_AFTER_SETTLING:
        first += int(np.searchsorted(time[first : last + 1], time[first] + settling / stretch.frequency))
    rows = slice(first, last + 1)
    part = time[rows], travel[rows], load[rows]
    _check_sampling(part[0], stretch.frequency)
    for name, values in (("travel", part[1]), ("load", part[2])):
        _check_clipping(name, values, (last - first + 1) / max((time[last] - time[first]) * stretch.frequency, 1e-12))
    fit = fit_harmonic(*part, stretch.frequency)
    duration = float(part[0][-1] - part[0][0] + np.median(np.diff(part[0])))
    cycles = duration * fit.frequency
    _check_fit(fit, cycles, min(_UNSURE, 3 * fit.frequency_error * duration))
    _check_sampling(part[0], fit.frequency)
    return _described(fit, part, cycles, mass, delay, first, last)


def _check_sampling(time: np.ndarray, frequency: float) -> None:
    per_cycle = 1 / (float(np.median(np.diff(time))) * frequency)
    if per_cycle < ROWS_PER_CYCLE * (1 - 1e-6):
        raise EvaluationError(
            f"{per_cycle:.3g} rows per cycle at {frequency:.4g} Hz; fewer than 2 per half cycle cannot be told from another "
            f"frequency: sample at {ROWS_PER_CYCLE * frequency:.4g} Hz or more"
        )


def _check_clipping(name: str, values: np.ndarray, rows_per_cycle: float) -> None:
    """A channel that stands exactly at its largest or smallest value longer than a sine of its resolution would."""
    span = float(np.ptp(values))
    if span == 0:
        raise EvaluationError(f"the {name} stands still at {values[0]:g}; check the channel")
    steps = np.abs(np.diff(values))
    moving = steps[steps > 1e-9 * span]
    resolution = min(float(moving.min()) / (span / 2), 1.0) if len(moving) else 1.0
    expected = math.acos(1 - resolution) / math.pi
    for end, level in (("largest", values.max()), ("smallest", values.min())):
        there = np.abs(values - level) <= 1e-9 * span
        edges = np.flatnonzero(np.diff(np.concatenate(([0], there.view(np.int8), [0]))))
        longest = int((edges[1::2] - edges[::2]).max())
        if longest >= 4 and longest > 2.5 * expected * rows_per_cycle + 2:
            raise EvaluationError(
                f"the {name} stands at its {end} value {level:.6g} for {longest} rows of about {rows_per_cycle:.0f} per cycle: "
                "the channel is saturated, or the part slips; measure with a larger range"
            )


def _check_fit(fit: HarmonicFit, cycles: float, unsure: float) -> None:
    if not cycles >= 1 - 1e-6 - unsure:
        raise EvaluationError(f"{cycles:.3g} cycles in the record; at least one full cycle is needed: record longer")
    amplitude = abs(fit.travel.first)
    if amplitude <= 0 or fit.travel.remainder > _NO_HARMONIC * amplitude:
        left = fit.travel.remainder / max(amplitude, 1e-300)
        raise EvaluationError(
            f"the travel is no harmonic: {left:.3g} times its amplitude remains beside it; check time and travel channel, or cut "
            "the record"
        )


def _described(
    fit: HarmonicFit, part: tuple[np.ndarray, np.ndarray, np.ndarray], cycles: float, mass: float, delay: float, first: int,
    last: int,
) -> DynamicStep:  # fmt: skip
    omega = 2 * math.pi * fit.frequency
    measured = fit.load.first / fit.travel.first * cmath.exp(1j * omega * delay)
    stiffness = measured + mass * omega**2 / 1000
    relative = math.hypot(fit.load.error / abs(fit.load.first), fit.travel.error / abs(fit.travel.first))
    if stiffness.real <= 0:
        raise EvaluationError(
            f"the load falls while the travel rises (loss angle {math.degrees(cmath.phase(stiffness)):.4g}° "
            f"at {fit.frequency:.4g} Hz): turn the sign of one channel, or state moving_mass where the "
            "fixture swings beyond its resonance"
        )
    return DynamicStep(
        frequency=fit.frequency,
        frequency_error=fit.frequency_error,
        dynamic_stiffness=abs(stiffness),
        dynamic_stiffness_error=abs(measured) * relative,
        loss_angle=cmath.phase(stiffness),
        loss_angle_error=abs(measured) / abs(stiffness) * relative,
        storage=stiffness.real,
        loss=stiffness.imag,
        amplitude=abs(fit.travel.first),
        load_amplitude=abs(fit.load.first),
        mean_travel=fit.travel.offset,
        mean_load=fit.load.offset,
        distortion=fit.load.distortion,
        travel_distortion=fit.travel.distortion,
        overtones=carried_overtones(part[0], fit.frequency),
        cycles=cycles,
        trend=_trend(part, fit.frequency) if cycles >= 4 else None,
        first_row=first,
        last_row=last,
    )


def _in_degrees(step: DynamicStep) -> DynamicStep:
    """Amplitude and mean of an angle, worked out in rad, in °."""
    return replace(step, amplitude=math.degrees(step.amplitude), mean_travel=math.degrees(step.mean_travel), rotational=True)


def _trend(part: tuple[np.ndarray, np.ndarray, np.ndarray], frequency: float) -> float:
    half = len(part[0]) // 2
    before, after = (stiffness_at(*(values[rows] for values in part), frequency) for rows in (slice(0, half), slice(half, None)))
    return after / before - 1


def _questions(step: DynamicStep, where: str) -> list[str]:
    found = []
    if step.loss_angle < 0:
        found.append(
            f"{where}loss angle {step.loss_angle_degrees:.3g}° is negative, the part would give energy: check channel_delay"
        )
    if step.travel_distortion > _DISTORTED:
        found.append(f"{where}the travel is distorted by {step.travel_distortion:.1%}: the drive is no sine")
    if step.distortion > _DISTORTED:
        found.append(
            f"{where}the load is distorted by {step.distortion:.1%}: stiffness and loss angle are those of the first harmonic"
        )
    if step.trend is not None and abs(step.trend) > 0.02:
        found.append(f"{where}the stiffness changes by {step.trend:+.1%} within the step: not settled")
    if step.overtones < 5:
        found.append(f"{where}sampling carries {step.overtones} harmonics of 5; distortion is that of these")
    return found
