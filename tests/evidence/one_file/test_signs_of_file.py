"""Signs at places a search between two sound pieces of curve does not reach, on parts of another law."""

import numpy as np
import pytest

from dossier.evidence import evaluate_file

STIFFNESS, PEAK = 50_000.0, 0.3
ELEMENTS = 12


def _travel(cycles, rows, sine):
    phase = 2 * np.pi * np.arange(cycles * rows + 1) / rows
    wave = np.sin(phase)
    return PEAK * (wave if sine else 2 / np.pi * np.arcsin(wave))


def _load(travel, friction=0.25, cubic=0.0):
    """A spring and friction elements that slide one after another (Iwan's model)."""
    each = STIFFNESS * friction / ELEMENTS
    limits = each * PEAK * np.linspace(0.01, 0.6, ELEMENTS)
    held, load, before = np.zeros(ELEMENTS), np.empty_like(travel), 0.0
    for row, place in enumerate(travel):
        held = np.clip(held + each * (place - before), -limits, limits)
        load[row] = STIFFNESS * (1 - friction) * place * (1 + cubic * (place / PEAK) ** 2) + held.sum()
        before = place
    return load


def _signs(folder, travel, load, noise=0.002, seed=3):
    random = np.random.default_rng(seed)
    load = load + noise * np.abs(load).max() * random.standard_normal(len(load))
    travel = travel + 0.2 * noise * PEAK * random.standard_normal(len(travel))
    path = folder / "curve.csv"
    path.write_text("Displacement [mm];Force [N]\n" + "".join(f"{x:.6f};{f:.2f}\n" for x, f in zip(travel, load, strict=True)))
    return evaluate_file(path, kind="static")["signs"]


@pytest.mark.parametrize("sine", [True, False])
def test_a_break_just_before_the_machine_turns(tmp_path, sine):
    travel = _travel(6, 200, sine)
    breaks = int(4.22 * 200)
    load = _load(travel) * np.where(np.arange(len(travel)) >= breaks, 0.4, 1.0)
    first = _signs(tmp_path, travel, load)[0]
    assert first["kind"] == "metal_break"
    assert abs(first["row"] - breaks) <= 2
    assert first["cycle"] in (5, 6)


@pytest.mark.parametrize("noise", [0.001, 0.005])
def test_a_plateau_until_the_machine_turns_in_every_stroke(tmp_path, noise):
    travel = _travel(4, 200, False)
    held, load, joint = 0.6 * STIFFNESS * PEAK, np.empty_like(travel), 0.0
    for row, place in enumerate(travel):
        joint = np.clip(joint, place - held / STIFFNESS, place + held / STIFFNESS)
        load[row] = STIFFNESS * (place - joint)
    first = _signs(tmp_path, travel, load, noise)[0]
    assert (first["kind"], first["cycle"]) == ("slip", 1)


@pytest.mark.parametrize(("cycles", "rows", "steps", "noise"), [(10, 60, 129, 0.001), (4, 200, 430, 0.01), (4, 1000, 2150, 0.01)])
def test_a_slip_step_at_low_load_is_no_break(tmp_path, cycles, rows, steps, noise):
    travel = _travel(cycles, rows, False)
    load = _load(np.where(np.arange(len(travel)) < steps, travel, travel - 0.06))
    first = _signs(tmp_path, travel, load, noise)[0]
    assert first["kind"] == "slip"
    assert abs(first["row"] - steps) <= 2


def test_a_slope_that_falls_over_four_cycles_while_the_loop_grows(tmp_path):
    travel = _travel(4, 200, True)
    lost = np.clip((np.arange(len(travel)) / 200 - 1) * 0.1, 0.0, 0.3)
    elastic = 0.8 * STIFFNESS * travel
    load = (1 - lost) * elastic + (1 + 4 * lost) * (_load(travel, 0.2) - elastic)
    assert _signs(tmp_path, travel, load)[0]["kind"] == "crack"


def test_a_knee_of_both_sides_at_few_rows(tmp_path):
    travel = _travel(6, 60, True)
    load = _load(travel)
    knee = 0.55 * load.max()
    load = np.sign(load) * np.where(np.abs(load) > knee, knee + (np.abs(load) - knee) / 2, np.abs(load))
    assert _signs(tmp_path, travel, load, 0.001)[0]["kind"] == "preload_loss"


@pytest.mark.parametrize("seed", range(6))
def test_strong_smooth_stiffening_in_noise_is_no_stop(tmp_path, seed):
    travel = _travel(4, 60, False)
    assert _signs(tmp_path, travel, _load(travel, 0.4, 1.2), 0.01, seed) == []


def test_a_stop_of_one_side_stays_found(tmp_path):
    travel = _travel(30, 60, False)  # 60 strokes: more than are looked at
    load = _load(travel) - np.where(travel < -0.24, 5 * STIFFNESS * (-0.24 - travel), 0.0)
    first = _signs(tmp_path, travel, load, 0.005)[0]
    assert first["kind"] == "bottoming"
    assert first["displacement"] == pytest.approx(-0.24, abs=0.04)


@pytest.mark.parametrize("rest", [0.45, 0.55])
def test_a_seat_that_is_loose_but_not_free(tmp_path, rest):
    """Within 8 % of the travel around zero the slope falls to `rest`, smoothly."""
    travel = _travel(5, 200, True)
    load = _load(travel - (1 - rest) * 0.08 * PEAK * np.tanh(travel / (0.08 * PEAK)))
    assert _signs(tmp_path, travel, load, 0.002)[0]["kind"] == "fixture_slip"


@pytest.mark.parametrize("two", [False, True])
def test_a_stop_so_hard_that_it_begins_at_a_small_share_of_the_load(tmp_path, two):
    travel = _travel(4, 200, False)
    beyond = np.maximum(0, np.abs(travel) - 0.6 * PEAK) * np.sign(travel)
    load = _load(travel) + 8 * STIFFNESS * (beyond if two else np.maximum(0, beyond))
    assert _signs(tmp_path, travel, load, 0.002)[0]["kind"] == "bottoming"


@pytest.mark.parametrize("steps", [44, 1044])
def test_a_slip_in_the_first_way_and_in_the_last_is_no_break(tmp_path, steps):
    """The part softens from the first way on by its friction; behind the last one no further way of its sense is whole."""
    travel = _travel(5, 250, True)
    load = _load(np.where(np.arange(len(travel)) < steps, travel, travel - 0.1 * PEAK))
    first = _signs(tmp_path, travel, load)[0]
    assert first["kind"] == "slip"
    assert abs(first["row"] - steps) <= 2


def test_a_plateau_just_before_a_sine_turns(tmp_path):
    travel = _travel(4, 1000, True)
    begins = 2140
    slipped = np.where(np.arange(len(travel)) < begins, 0.0, np.clip(travel - travel[begins], 0.0, 0.2 * PEAK))
    first = _signs(tmp_path, travel, _load(travel - np.maximum.accumulate(slipped)))[0]
    assert first["kind"] == "slip"
    assert abs(first["row"] - begins) <= 20


@pytest.mark.parametrize("noise", [0.001, 0.01])
def test_relaxation_while_the_machine_stands_in_the_middle_of_a_way_is_no_sign(tmp_path, noise):
    """The machine stands at zero; the load falls by 9 % of its peak and comes back over the next third of the way."""
    travel = _travel(4, 400, False)
    load, at = _load(travel), 800
    back = 0.09 * load.max() * np.exp(-np.arange(len(travel) - at) / 40)
    held = 0.09 * load.max() * (1 - np.exp(-np.arange(120) / 25))
    load = np.concatenate((load[:at], load[at] - held, load[at:] - back))
    travel = np.concatenate((travel[:at], np.full(120, travel[at]), travel[at:]))
    assert _signs(tmp_path, travel, load, noise) == []


@pytest.mark.parametrize(("smooth", "told"), [(True, []), (False, ["crack"])])
def test_sides_that_drift_apart_smoothly_are_no_crack(tmp_path, smooth, told):
    """Loads that differ by 14 % at the ends: from the curvature of the part, or from zero on by an open gap."""
    travel = _travel(5, 200, False)
    load = _load(travel)
    load = load * (1 + 0.07 * travel / PEAK) if smooth else np.where(load > 0, 0.86 * load, load)
    assert [each["kind"] for each in _signs(tmp_path, travel, load)] == told


def test_a_side_that_has_lost_nearly_two_thirds(tmp_path):
    travel = _travel(5, 200, False)
    load = _load(travel)
    lost = np.where((np.arange(len(travel)) > 380) & (load > 0), 0.38, 1.0)
    assert _signs(tmp_path, travel, lost * load)[0]["kind"] == "crack"


def test_teeth_that_follow_each_other_closely(tmp_path):
    """Four drops four rows apart: no sound piece of curve between them."""
    travel = _travel(5, 120, False)
    slipped = sum(np.where(np.arange(len(travel)) >= row, 0.07 * PEAK, 0.0) for row in (374, 378, 382, 386))
    first = _signs(tmp_path, travel, _load(travel - slipped))[0]
    assert first["kind"] == "slip"
    assert abs(first["row"] - 374) <= 2
