"""The stiffness put into a generated curve is recovered; everything else the cycle shows is what was put
in."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.evidence.errors import EvaluationError
from dossier.evidence.static import PER_RADIAN, StaticSettings, evaluate_static
from tests.evidence.generator import Law, Programme, Rig, measured, true_stiffness, with_stiffness

LAWS = {
    "usual": Law(),
    "stiffening and frictional": Law(cubic=0.3, friction=0.3),
    "softer when pushed": Law(positive=0.8),
    "rate dependent": Law(maxwell=((0.2, 0.5), (0.2, 10.0))),
}


@pytest.mark.parametrize("law", LAWS)
@pytest.mark.parametrize(
    ("programme", "target"),
    [
        (Programme(), 56000.0), (Programme(first=-1), 56000.0), (Programme(one_sided=True), 48000.0),
        (Programme(load=4000.0), 6400.0), (Programme(cycles=6, frequency=20.0), 56000.0),
    ],
)  # fmt: skip
def test_the_known_stiffness_is_recovered_through_a_real_rig(law, programme, target):
    """Tolerance 0.5 %: noise of the travel is 0.3 ‰ and of the load 0.7 ‰ of the amplitude, one row in 20 Hz
    records stands for 4 % of it, drift during a branch is below 0.1 ‰; the fixture alone would falsify by 10
    %."""
    record = with_stiffness(target, programme, LAWS[law])
    high = programme.load
    low = 0.0 if programme.one_sided else -high
    rig = Rig(
        compliance=0.1 / target, travel_drift=1e-5, travel_offset=0.05, load_noise=7e-4 * high,
        travel_noise=3e-4 * high / target, load_step=high / 1e4,
    )  # fmt: skip
    shown = measured(record, rig, seed=3)
    settings_ = StaticSettings(low, high, fixture_compliance=rig.compliance)
    true = true_stiffness(record, 4, low, high)
    result = evaluate_static(shown.travel, shown.load, settings_)
    assert result.stiffness == pytest.approx(true, rel=5e-3)
    uncorrected = evaluate_static(shown.travel, shown.load, StaticSettings(low, high))
    assert uncorrected.stiffness == pytest.approx(true / 1.1, rel=1e-2)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    target=st.floats(5e3, 2e5), load=st.floats(2e3, 4e4), compliance=st.floats(0, 0.3), friction=st.floats(0.02, 0.3),
    cubic=st.floats(0, 0.4), cycle=st.integers(2, 4), direction=st.sampled_from([1, -1]),
)  # fmt: skip
def test_any_part_behind_any_fixture(target, load, compliance, friction, cubic, cycle, direction):
    """Noise-free: tolerance 0.3 %, what interpolation between rows costs at the turning points."""
    programme = Programme(load=load, rate=load / target / 1.2)
    record = with_stiffness(target, programme, Law(cubic=cubic, friction=friction))
    shown = measured(record, Rig(compliance=compliance / target), seed=1)
    result = evaluate_static(
        shown.travel, shown.load,
        StaticSettings(-load, load, cycle=cycle, direction=direction, fixture_compliance=compliance / target),
    )  # fmt: skip
    assert result.stiffness == pytest.approx(true_stiffness(record, cycle, -load, load, direction), rel=3e-3)


def test_torque_and_angle_give_newton_millimetres_per_radian():
    """Torsion to ±5° at 30°/min of a part of 24,500 N·mm/°; tolerance as above."""
    programme = Programme(load=1e5, travel=5.0, rate=0.5)
    record = with_stiffness(24500.0, programme, high=1e5)
    shown = measured(record, Rig(load_noise=70.0, travel_noise=1e-3), seed=2)
    by_angle = evaluate_static(
        shown.travel, shown.load,
        StaticSettings(-5.0, 5.0, between="travel", control="travel", rotational=True),
    )  # fmt: skip
    by_torque = evaluate_static(shown.travel, shown.load, StaticSettings(-1e5, 1e5, rotational=True))
    assert by_torque.stiffness == pytest.approx(24500.0 * 180 / math.pi, rel=3e-3)
    assert by_angle.low_point.travel == pytest.approx(-5.0, abs=5e-3)
    branch = (by_angle.high_point.load - by_angle.low_point.load) / 10.0
    assert by_angle.stiffness == pytest.approx(branch * PER_RADIAN, rel=1e-3)


def test_a_linear_part_gives_secant_slope_and_no_loop():
    """Analytic: load = 1000·travel exactly."""
    travel = np.sin(np.linspace(0, 8 * np.pi, 4001))
    result = evaluate_static(travel, 1000.0 * travel, StaticSettings(-800.0, 800.0))
    assert result.stiffness == pytest.approx(1000.0, rel=1e-9)
    assert result.slope == pytest.approx(1000.0, rel=1e-9)
    assert result.energy == pytest.approx(0.0, abs=1e-6)
    assert result.loop_width == pytest.approx(0.0, abs=1e-9)
    assert result.residual == pytest.approx(0.0, abs=1e-9)
    assert result.asymmetry == pytest.approx(1.0, rel=1e-6)
    assert result.peaks == pytest.approx((1000.0,) * 4, rel=1e-6)


def test_energy_of_an_ellipse_in_both_kinds():
    """Analytic: area π·F0·x0·sin δ = 313.636 N·mm; in ° the same area is π/180 of it. 2000 points per cycle
    inscribe a polygon that is smaller by 1.6e-6."""
    angle = np.linspace(0, 8 * np.pi, 8001)
    travel, load = np.sin(angle), 1000.0 * np.sin(angle + 0.1)
    area = math.pi * 1000.0 * math.sin(0.1)
    force = evaluate_static(travel, load, StaticSettings(-900.0, 900.0, cycle=3))
    torque = evaluate_static(travel, load, StaticSettings(-900.0, 900.0, cycle=3, rotational=True))
    assert force.energy == pytest.approx(area, rel=5e-6)
    assert torque.energy == pytest.approx(area * math.pi / 180, rel=5e-6)
    assert force.loop_width == pytest.approx(2 * math.sin(0.1), rel=1e-4)


@pytest.mark.parametrize("positive", [0.6, 0.8, 1.0, 1.5])
def test_asymmetry_is_the_ratio_that_was_put_in(positive):
    """Without friction and memory the ratio is that of the springs; tolerance 1 %: cubic term and
    interpolation."""
    law = Law(cubic=0.0, softening=0.0, maxwell=(), friction=1e-6, positive=positive)
    record = with_stiffness(56000.0, Programme(rate=0.05), law)
    result = evaluate_static(record.travel, record.load, StaticSettings(-11000.0, 11000.0))
    assert result.asymmetry == pytest.approx(positive, rel=1e-2)
    down = evaluate_static(record.travel, record.load, StaticSettings(-11000.0, 11000.0, cycle=3, direction=-1))
    assert down.asymmetry == pytest.approx(positive, rel=1e-2)


def test_zero_from_the_start_takes_offsets_away():
    record = with_stiffness(56000.0, Programme())
    shown = measured(record, Rig(load_offset=900.0, travel_offset=0.4), seed=1)
    raw = evaluate_static(shown.travel, shown.load, StaticSettings(-9000.0, 9000.0))
    zeroed = evaluate_static(shown.travel, shown.load, StaticSettings(-9000.0, 9000.0, zero="start"))
    true = evaluate_static(record.travel, record.load, StaticSettings(-9000.0, 9000.0))
    assert zeroed.stiffness == pytest.approx(true.stiffness, rel=1e-9)
    assert abs(raw.stiffness / true.stiffness - 1) > 1e-3
    assert "zero taken from the first 5 rows: travel 0.4, load 900" in zeroed.notes


def test_the_first_cycle_is_stiffer_than_the_conditioned_one():
    record = with_stiffness(56000.0, Programme())
    found = [
        evaluate_static(record.travel, record.load, StaticSettings(0.0, 11000.0, cycle=cycle)).stiffness
        for cycle in (1, 4)
    ]
    assert found[0] > 1.05 * found[1]


def test_the_standard_error_describes_the_scatter():
    """Repeated with 60 seeds the stiffness scatters as its stated standard error says, within a factor of 1.5
    (an estimate from 60 values has 9 % uncertainty itself; the error ignores the noise of the load)."""
    record = with_stiffness(6400.0, Programme(load=4000.0, frequency=400.0))
    shown = [measured(record, Rig(travel_noise=2e-3), seed=seed) for seed in range(60)]
    results = [evaluate_static(each.travel, each.load, StaticSettings(-3500.0, 3500.0)) for each in shown]
    scatter = np.std([result.stiffness for result in results], ddof=1)
    assert 1 / 1.5 < scatter / np.mean([result.stiffness_error for result in results]) < 1.5


def test_coarse_records_have_no_standard_error_but_a_stiffness():
    record = with_stiffness(56000.0, Programme(frequency=10.0))
    result = evaluate_static(record.travel, record.load, StaticSettings(-11000.0, 11000.0))
    assert result.stiffness_error is None
    assert result.stiffness == pytest.approx(56000.0, rel=1e-2)


def test_a_one_sided_test_says_what_it_cannot_show():
    record = with_stiffness(56000.0, Programme(one_sided=True))
    result = evaluate_static(record.travel, record.load, StaticSettings(1000.0, 11000.0))
    assert result.asymmetry is None
    assert result.energy > 0
    assert any("no asymmetry" in note for note in result.notes)
    assert "4 cycles found; cycles 1 to 3 are conditioning, the 4th evaluated" in result.notes


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"low": 5.0, "high": 5.0}, "low = 5 must be below high = 5"),
        ({"between": "time"}, "between = 'time'"),
        ({"direction": 0}, "direction = 0"),
        ({"zero": "end"}, "zero = 'end'"),
        ({"fixture_compliance": -1e-6}, "fixture_compliance"),
    ],
)
def test_wrong_settings_name_the_field(change, words):
    with pytest.raises(EvaluationError, match=words):
        StaticSettings(**{"low": -1.0, "high": 1.0, **change})


def test_what_the_curve_does_not_carry_is_an_error():
    record = with_stiffness(56000.0, Programme(cycles=3))
    with pytest.raises(EvaluationError, match="the 4th is missing"):
        evaluate_static(record.travel, record.load, StaticSettings(-11000.0, 11000.0))
    with pytest.raises(EvaluationError, match="load 15000 is not reached"):
        evaluate_static(record.travel, record.load, StaticSettings(-11000.0, 15000.0, cycle=3))
    with pytest.raises(EvaluationError, match="equal length"):
        evaluate_static(record.travel[1:], record.load, StaticSettings(-1.0, 1.0))
    gap = record.load.copy()
    gap[100] = np.nan
    with pytest.raises(EvaluationError, match="all of them numbers"):
        evaluate_static(record.travel, gap, StaticSettings(-1.0, 1.0))
