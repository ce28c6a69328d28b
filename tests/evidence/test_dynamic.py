"""Dynamic stiffness and loss angle: closed forms, parts of other laws, disturbed and refused records."""

from __future__ import annotations

import math

import numpy as np
import pytest

from dossier.evidence.dynamic import evaluate_dynamic
from dossier.evidence.errors import EvaluationError
from tests.evidence.laws import first_harmonic, linear_solid, sine, sliders


def elliptic(frequency=2.0, amplitude=1.0, stiffness=1000.0, angle=0.1, cycles=10.3, rate=400.0):
    time, travel = sine(frequency, amplitude, cycles, rate)
    return time, travel, stiffness * amplitude * np.sin(2 * np.pi * frequency * time + angle)


def only(time, travel, load, **told):
    found = evaluate_dynamic(time, travel, load, **told)
    assert len(found.steps) == 1
    return found.steps[0]


def test_d1_ellipse():
    """D1: F0 = 1000 N, x0 = 1 mm, δ = 0.1 rad; definitions of ISO 4664-1, closed form."""
    step = only(*elliptic())
    assert step.energy == pytest.approx(313.636, rel=1e-6)
    assert step.storage == pytest.approx(995.004, rel=1e-6) and step.loss == pytest.approx(99.8334, rel=1e-6)
    assert step.dynamic_stiffness == pytest.approx(1000, rel=1e-9) and step.loss_factor == pytest.approx(0.100335, rel=1e-5)
    assert step.loss_angle == pytest.approx(0.1, abs=1e-9) and step.loss_angle_degrees == pytest.approx(math.degrees(0.1))
    assert step.frequency == pytest.approx(2, rel=1e-9) and step.amplitude == pytest.approx(1) and step.distortion < 1e-9


def test_d2_intercepts():
    """D2: load at the largest travel F0·cos δ = storage·x0, at zero travel F0·sin δ = loss·x0."""
    step = only(*elliptic())
    assert step.storage * step.amplitude == pytest.approx(995.004, rel=1e-6)
    assert step.loss * step.amplitude == pytest.approx(99.833, rel=1e-5)
    assert step.damping == pytest.approx(99.8334 / (2 * math.pi * 2), rel=1e-6)


def test_torque_over_angle_in_radians_with_the_inertia_that_turns_along():
    """K = 40 N·m/rad at δ = 0.1 rad, ±2°: torque = |K|·θ, less J·ω²·θ that the cell does not have to give (closed form)."""
    stiffness, angle, inertia, frequency = 40_000.0, 0.1, 900.0, 8.0
    time, turn = sine(frequency, 2.0, 20.3, 2000)
    omega, phase = 2 * np.pi * frequency, 2 * np.pi * frequency * time
    torque = stiffness * np.radians(2.0) * np.sin(phase + angle) - inertia * omega**2 / 1000 * np.radians(turn)
    step = only(time, turn, torque, rotational=True, moving_inertia=inertia)
    assert (step.dynamic_stiffness, step.loss_angle) == pytest.approx((stiffness, angle), rel=1e-6)
    assert step.amplitude == pytest.approx(2.0) and step.load_amplitude == pytest.approx(np.ptp(torque) / 2, rel=1e-3)
    assert step.energy == pytest.approx(math.pi * stiffness * math.sin(angle) * math.radians(2.0) ** 2, rel=1e-6)
    # without the inertia the part seems softer by J·ω² = 2274 N·mm/rad
    assert only(time, turn, torque, rotational=True).storage == pytest.approx(step.storage - inertia * omega**2 / 1000, rel=1e-6)
    for told in ({"rotational": True, "moving_mass": 1.0}, {"moving_inertia": 1.0}):
        with pytest.raises(EvaluationError, match="takes the other of moving_mass and moving_inertia"):
            evaluate_dynamic(time, turn, torque, **told)


def test_d3_loss_peak_of_the_linear_solid():
    """D3: E∞ = E1 = 1: tan δ = 0.353553 at ω·τ = 0.707107 (Ferry; closed form), the load integrated in time."""
    frequency = 0.5
    relaxation = math.sqrt(0.5) / (2 * math.pi * frequency)
    time, travel = sine(frequency, 1.0, 20, 2000)
    step = only(time, travel, linear_solid(time, travel, 1.0, 1.0, relaxation), settling=8)
    assert step.loss_factor == pytest.approx(0.353553, abs=2e-6)


@pytest.mark.parametrize("relaxation", [0.003, 0.02, 0.2])
@pytest.mark.parametrize("cycles", [30.0, 30.37])
def test_linear_solid_over_the_frequency(relaxation, cycles):
    """K* = k∞ + k1·iωτ/(1 + iωτ), closed form."""
    frequency = 10.0
    time, travel = sine(frequency, 0.3, cycles, 5000, mean=2.0)
    step = only(time, travel, linear_solid(time, travel - 2.0, 900.0, 600.0, relaxation), settling=10)
    turn = 2j * math.pi * frequency * relaxation
    expected = 900 + 600 * turn / (1 + turn)
    assert step.dynamic_stiffness == pytest.approx(abs(expected), rel=2e-4)
    assert step.loss_angle == pytest.approx(math.atan2(expected.imag, expected.real), abs=2e-4)


def test_stiffening_part():
    """F = k·x + c·x³: first harmonic k + 3/4·c·x0², third 1/4·c·x0³ (closed form); distortion is their ratio."""
    time, travel = sine(3.0, 0.8, 12.6, 600)
    step = only(time, travel, 500 * travel + 400 * travel**3)
    first = 500 + 0.75 * 400 * 0.64
    assert step.dynamic_stiffness == pytest.approx(first, rel=1e-9) and abs(step.loss_angle) < 1e-9
    assert step.distortion == pytest.approx(0.25 * 400 * 0.64 / first, rel=1e-9)
    assert step.travel_distortion < 1e-9 and step.mean_load == pytest.approx(0, abs=1e-9)


def test_stiffening_about_a_mean():
    """About x_m the same part has k + 3c·x_m² + 3/4·c·x0² and a mean load k·x_m + c·x_m³ + 3/2·c·x_m·x0²."""
    time, travel = sine(3.0, 0.3, 12.6, 600, mean=1.0)
    step = only(time, travel, 500 * travel + 400 * travel**3)
    assert step.dynamic_stiffness == pytest.approx(500 + 1200 + 0.75 * 400 * 0.09, rel=1e-9)
    assert step.mean_load == pytest.approx(900 + 1.5 * 400 * 0.09, rel=1e-9) and step.mean_travel == pytest.approx(1)


def test_friction():
    """Sliders of spread limits: compared with Fourier's integral over whole cycles of the same curve."""
    springs, limits = np.full(20, 60.0), np.linspace(2, 50, 20)
    time, travel = sine(1.0, 0.5, 12, 2000)
    load = 700 * travel + sliders(travel, springs, limits)
    rows = slice(2000, 12 * 2000 + 1)
    expected = first_harmonic(travel[rows], load[rows], 1.0, time[rows])
    step = only(time, travel, load)
    assert step.dynamic_stiffness == pytest.approx(abs(expected), rel=1e-4)
    assert step.loss_angle == pytest.approx(math.atan2(expected.imag, expected.real), abs=1e-4)
    assert step.loss_angle > 0.05 and step.distortion > 0.01


def test_errors_agree_with_the_scatter_of_repetitions():
    rng = np.random.default_rng(3)
    time, travel, load = elliptic(cycles=6.4, rate=100)
    found = [
        only(time, travel + 0.01 * rng.standard_normal(len(time)), load + 10 * rng.standard_normal(len(time))) for _ in range(60)
    ]
    for name, true in (("dynamic_stiffness", 1000), ("loss_angle", 0.1), ("frequency", 2.0)):
        values = np.array([getattr(each, name) for each in found])
        told = float(np.mean([getattr(each, f"{name}_error") for each in found]))
        assert values.std(ddof=1) == pytest.approx(told, rel=0.35)
        assert abs(values.mean() - true) < 4 * told / math.sqrt(60)


@pytest.mark.parametrize("cycles", [1.0, 1.4, 2.05, 3.7, 25.25])
def test_broken_cycles(cycles):
    step = only(*elliptic(cycles=cycles))
    assert step.dynamic_stiffness == pytest.approx(1000, rel=1e-8) and step.loss_angle == pytest.approx(0.1, abs=1e-8)


@pytest.mark.parametrize("cycles", [2.2, 2.9, 6.5])
def test_a_way_to_the_pre_load_before_few_cycles(cycles):
    time, travel, load = elliptic(cycles=cycles)
    way = np.linspace(0, 5, 90)
    travel, load = np.concatenate((way, 5 + travel)), np.concatenate((1000 * way, 5000 + load))
    step = only(np.arange(len(travel)) * time[1], travel, load)
    assert step.dynamic_stiffness == pytest.approx(1000, rel=2e-3) and step.loss_angle == pytest.approx(0.1, abs=2e-3)


def test_drift_and_offset_do_not_count():
    time, travel, load = elliptic(cycles=8.3)
    step = only(time, travel + 3 + 0.05 * time, load - 4000 + 60 * time)
    assert step.dynamic_stiffness == pytest.approx(1000, rel=1e-6) and step.loss_angle == pytest.approx(0.1, abs=1e-6)


def test_rows_at_any_time():
    rng = np.random.default_rng(5)
    time = np.sort(rng.uniform(0, 6, 700))
    step = only(time, np.sin(2 * np.pi * 1.7 * time), 1000 * np.sin(2 * np.pi * 1.7 * time + 0.1))
    assert step.frequency == pytest.approx(1.7, rel=1e-8) and step.loss_angle == pytest.approx(0.1, abs=1e-7)


def test_late_load_channel():
    """load_recorded(t) = load(t − delay): the lost angle ω·delay is given back; without it the angle is too small."""
    time, travel = sine(10, 0.2, 20, 2000)
    load = 200 * np.sin(2 * np.pi * 10 * (time - 0.0005) + 0.1)
    assert only(time, travel, load, channel_delay=0.0005).loss_angle == pytest.approx(0.1, abs=1e-8)
    assert only(time, travel, load).loss_angle == pytest.approx(0.1 - 2 * np.pi * 10 * 0.0005, abs=1e-8)


def test_moving_mass():
    """A cell behind 4 kg measures F = F_part + m·x″: at 30 Hz it misses 142 N/mm, which come back."""
    time, travel = sine(30, 0.1, 40, 3000)
    omega = 2 * np.pi * 30
    part = 0.1 * 2000 * np.sin(omega * time + 0.08)
    measured = part - 4.0 * 0.1e-3 * omega**2 * np.sin(omega * time)
    step = only(time, travel, measured, moving_mass=4.0)
    assert step.dynamic_stiffness == pytest.approx(2000, rel=1e-8) and step.loss_angle == pytest.approx(0.08, abs=1e-8)
    assert 4 * omega**2 / 1000 == pytest.approx(142.1, abs=0.05)
    assert only(time, travel, measured).dynamic_stiffness == pytest.approx(
        abs(2000 * np.exp(0.08j) - 4 * omega**2 / 1000), rel=1e-8
    )


def steps_record(noise: float, pause: float = 0.3, rate: float = 1000.0):
    """Three amplitudes × three frequencies about a pre-load with a way in, and pauses between."""
    rng = np.random.default_rng(9)
    travel, load, told = [np.linspace(0, 2, 700)], [np.linspace(0, 3000, 700)], []
    for amplitude in (0.1, 0.2, 0.5):
        for frequency in (1.0, 5.0, 20.0):
            told.append((frequency, amplitude, 1500 * (1 - 0.4 * amplitude) * (1 + 0.1 * math.log10(frequency))))
            turn = 2 * np.pi * frequency * np.arange(int(12 * rate / frequency)) / rate
            travel += [2 + amplitude * np.sin(turn), np.full(int(pause * rate), 2.0)]
            load += [3000 + told[-1][2] * amplitude * np.sin(turn + 0.12), np.full(int(pause * rate), 3000.0)]
    travel, load = np.concatenate(travel), np.concatenate(load)
    time = np.arange(len(travel)) / rate
    return time, travel + noise * rng.standard_normal(len(time)), load + 1500 * noise * rng.standard_normal(len(time)), told


@pytest.mark.parametrize("noise", [0.0, 0.001, 0.003])
@pytest.mark.parametrize("pause", [0.0, 0.3])
def test_every_step_of_frequency_and_amplitude(noise, pause):
    time, travel, load, told = steps_record(noise, pause)
    found = evaluate_dynamic(time, travel, load).steps
    assert len(found) == len(told)
    for step, (frequency, amplitude, stiffness) in zip(found, told, strict=True):
        assert step.frequency == pytest.approx(frequency, rel=2e-3 if noise else 1e-4)
        assert step.amplitude == pytest.approx(amplitude, rel=0.01)
        assert step.dynamic_stiffness == pytest.approx(stiffness, rel=0.01 if noise else 2e-3)
        assert step.loss_angle == pytest.approx(0.12, abs=0.012 if noise else 2e-3)


def test_a_softening_step_is_told():
    time, travel, load = elliptic(cycles=20)
    found = evaluate_dynamic(time, travel, load * (1 - 0.01 * time))
    assert found.longest.trend == pytest.approx(-0.05, abs=0.01)
    assert any("not settled" in note for note in found.notes)


def test_few_missing_rows_are_left_out_and_told():
    time, travel, load = elliptic()
    load[100:110] = np.nan
    found = evaluate_dynamic(time, travel, load)
    assert found.longest.dynamic_stiffness == pytest.approx(1000) and "10 rows without a number" in found.notes[0]


def test_negative_loss_is_questioned():
    assert any("channel_delay" in note for note in evaluate_dynamic(*elliptic(angle=-0.05)).notes)


def test_a_quantised_record_is_not_taken_for_saturated():
    time, travel, load = elliptic(rate=1000)
    step = only(time, np.round(travel / 0.02) * 0.02, np.round(load / 20) * 20)
    assert step.dynamic_stiffness == pytest.approx(1000, rel=3e-3) and step.loss_angle == pytest.approx(0.1, abs=3e-3)


def clipped(time, travel, load):
    return time, travel, np.clip(load, -2000, 900)


def too_slow(time, travel, load):
    return time[::57], travel[::57], load[::57]


def refused(change):
    return change(*elliptic(cycles=40.7))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (clipped, "load stands at its largest value 900 .* saturated"),
        (too_slow, "rows per cycle"),
        (lambda t, x, f: (t[:190], x[:190], f[:190]), "0.95 cycles in the record"),
        (lambda t, x, f: (t, 0 * x, f), "travel stands still at 0"),
        (lambda t, x, f: (t, x, -f), "turn the sign of one channel"),
        (lambda t, x, f: (np.round(t, 2), x, f), "time stands still at row 1"),
        (lambda t, x, f: (t[::-1], x, f), "time falls at row 1"),
        (lambda t, x, f: (t, np.where(np.arange(len(x)) % 3, x, np.nan), f), "are no numbers"),
        (lambda t, x, f: (t[:5], x[:5], f[:5]), "5 rows"),
        (lambda t, x, f: (t, x[:-1], f), "must agree"),
        (lambda t, x, f: (t, np.random.default_rng(1).standard_normal(len(x)), f), "rows per cycle|no harmonic"),
    ],
)
def test_what_cannot_be_evaluated_says_why(change, words):
    with pytest.raises(EvaluationError, match=words):
        evaluate_dynamic(*refused(change))
