"""Press curves with known truth: peak, end force, seat, work, scoring, windows."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.evidence.errors import EvaluationError
from dossier.evidence.press import Gate, evaluate_press

FORCE, LENGTH = 30_000.0, 40.0


def pressed_in(rows=1500, *, wall=True, noise=0.004, teeth=0, depth=0.08, seed=1):
    """Contact at travel 50, load rises in proportion to the engaged length up to 40 mm, then the seat."""
    x = np.linspace(-3.0, LENGTH + (1.0 if wall else 0.0), rows)
    load = FORCE * np.clip(x, 0, LENGTH) / LENGTH
    if teeth:
        phase = np.clip(x, 0, LENGTH) / LENGTH * teeth % 1
        load -= np.where((x > 10) & (x < LENGTH), depth * FORCE * np.where(phase < 0.1, phase * 10, (1 - phase) / 0.9), 0)
    load += np.maximum(x - LENGTH, 0) * FORCE * 1.5 if wall else 0.0
    return x + 50.0, load + noise * FORCE * np.random.default_rng(seed).standard_normal(rows)


def pushed_out(rows=1000, *, noise=0.004, sliding=0.6, seed=2):
    """Breaks loose at 36 kN after 1.2 mm, slides at 60 % of it."""
    x = np.linspace(0, 15, rows)
    load = np.where(x < 1.2, x / 1.2, sliding + (1 - sliding) * np.exp(-(x - 1.2) / 0.4)) * 36_000
    return x, load + noise * 36_000 * np.random.default_rng(seed).standard_normal(rows)


@pytest.mark.parametrize("noise", [0.0005, 0.004, 0.02])
@pytest.mark.parametrize("rows", [300, 1500, 20_000])
def test_press_in_ends_before_the_wall(rows, noise):
    """Tolerance 3 %: one row in 300 is 0.4 % of the way, noise 2 % over the rows of the straight line."""
    found = evaluate_press(*pressed_in(rows, noise=noise), operation="press_in")
    assert found.seat_reached
    assert found.seat_travel == pytest.approx(50 + LENGTH, abs=0.5)
    assert found.end_force == pytest.approx(FORCE, rel=0.03)
    assert found.peak_force == pytest.approx(FORCE, rel=0.05)
    assert found.work == pytest.approx(FORCE * LENGTH / 2, rel=0.03)
    assert not found.scored


def test_press_in_without_a_wall_says_so():
    found = evaluate_press(*pressed_in(wall=False), operation="press_in")
    assert found.seat_reached is False
    assert "no steep wall" in found.notes[0]
    assert found.end_force == pytest.approx(FORCE, rel=0.02)


def test_the_end_force_at_a_known_length_whatever_the_sign():
    travel, load = pressed_in(wall=False)
    found = evaluate_press(-travel, -load, operation="press_in", press_length=30.0)
    assert found.end_force == pytest.approx(0.75 * FORCE, rel=0.03)
    assert found.travel_of_peak < 0
    with pytest.raises(EvaluationError, match="press_length = 60"):
        evaluate_press(travel, load, operation="press_in", press_length=60.0)


@pytest.mark.parametrize(("rows", "noise"), [(100, 0.004), (1000, 0.004), (1000, 0.015), (20_000, 0.015)])
def test_push_out_has_a_peak_and_a_sliding_plateau(rows, noise):
    found = evaluate_press(*pushed_out(rows, noise=noise), operation="push_out")
    assert found.peak_force == pytest.approx(36_000, rel=0.05)
    assert found.travel_of_peak == pytest.approx(1.2, abs=0.2)
    assert found.end_force == pytest.approx(0.6 * 36_000, rel=0.01)
    assert not found.scored


def test_scoring_is_a_saw_tooth_and_noise_is_none():
    assert evaluate_press(*pressed_in(teeth=20), operation="press_in").scored
    noisy = [pressed_in(noise=noise, seed=seed) for noise in (0.002, 0.01, 0.02) for seed in range(15)]
    assert not any(evaluate_press(*curve, operation="press_in").scored for curve in noisy)


def test_a_window_that_is_left_is_told_with_its_place():
    gates = (Gate(60, 80, 5_000, 25_000), Gate(85, 89, 24_000, 29_000), Gate(95, 99, 1_000))
    found = evaluate_press(*pressed_in(noise=0.0), operation="press_in", gates=gates)
    assert [crossing.gate for crossing in found.crossings] == [1, 2]
    assert found.crossings[0].load == pytest.approx(29_000, rel=0.01)
    assert found.crossings[0].travel == pytest.approx(50 + 29 / 30 * LENGTH, abs=0.1)


@pytest.mark.parametrize(
    ("change", "told"), [({"operation": "pull"}, "operation = 'pull'"), ({"load": 0.0}, "no way with a load")],
)  # fmt: skip
def test_what_is_no_press_curve_is_refused(change, told):
    travel, load = pressed_in()
    with pytest.raises(EvaluationError, match=told):
        evaluate_press(travel, load * change.get("load", 1.0), operation=change.get("operation", "press_in"))
