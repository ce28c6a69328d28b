"""Tangents, the way back, the zero of the loop and the fixture's compliance, on curves of other laws with known truth."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.evidence.blank import fixture_compliance
from dossier.evidence.errors import EvaluationError
from dossier.evidence.static import PER_RADIAN, StaticSettings, evaluate_static
from dossier.evidence.tangent import tangent_at, tangent_map
from tests.evidence.generator import Law, Programme, Rig, measured, with_stiffness


def cubic_branch(noise=0.0, rows=2000):
    """load = 1000·(x + 0.3·x³): slope 1000·(1 + 0.9·x²), known at each travel."""
    x = np.linspace(-1.0, 1.0, rows)
    return x, 1000 * (x + 0.3 * x**3) + noise * np.random.default_rng(1).standard_normal(rows)


@pytest.mark.parametrize("noise", [0.0, 3.0])
def test_the_tangent_is_the_derivative(noise):
    """Tolerance 2 %: curvature over 6 % of the range costs below 0.1 %, noise 0.3 % of the load the rest."""
    travel, load = cubic_branch(noise)
    for x in (-0.8, -0.3, 0.0, 0.5, 0.9):
        found = tangent_at(travel, load, 1000 * (x + 0.3 * x**3))
        assert found.slope == pytest.approx(1000 * (1 + 0.9 * x**2), rel=0.02)
        assert found.travel == pytest.approx(x, abs=0.01)
    assert tangent_at(travel, load, 0.0, rotational=True).slope == pytest.approx(1000 * PER_RADIAN, rel=0.02)


def test_the_map_shows_where_a_branch_stiffens():
    found = tangent_map(*cubic_branch(), count=11)
    slopes = [one.slope for one in found]
    assert len(found) == 11 and min(slopes) == slopes[5] == pytest.approx(1000, rel=1e-2)
    assert slopes[0] == pytest.approx(slopes[-1], rel=1e-2) and slopes[0] > 1500
    with pytest.raises(EvaluationError, match="2000 is not reached"):
        tangent_at(*cubic_branch(), 2000.0)


def test_mean_of_both_ways_of_a_frictional_part():
    """Against the noise-free record read by straight interpolation; a frictional loop is a little steeper on one way."""
    record = with_stiffness(56000.0, Programme(), Law(friction=0.3))
    found = evaluate_static(record.travel, record.load, StaticSettings(-8000.0, 8000.0))
    tops = [turn for turn in record.turns if record.load[turn] > 5000]
    down = slice(tops[3], [turn for turn in record.turns if turn > tops[3]][0] + 1)
    ends = np.interp((-8000.0, 8000.0), record.load[down][::-1], record.travel[down][::-1])
    assert found.stiffness_unloading == pytest.approx(16000.0 / (ends[1] - ends[0]), rel=2e-3)
    assert found.stiffness_mean == pytest.approx((found.stiffness + found.stiffness_unloading) / 2)
    short = evaluate_static(record.travel[: tops[3] + 3], record.load[: tops[3] + 3], StaticSettings(-8000.0, 8000.0))
    assert short.stiffness_unloading is None and short.stiffness_mean is None


def test_the_zero_of_the_loop_takes_an_offset_out():
    """An offset of 0.4° shifts a travel range by a tenth; counted from the loop it does not matter. Tolerance: rows."""
    record = with_stiffness(24500.0, Programme(load=1e5, travel=5.0, rate=0.5), high=1e5)
    shown = measured(record, Rig(travel_offset=0.4), seed=1)

    def evaluated(travel: np.ndarray, zero: str):
        return evaluate_static(travel, shown.load, StaticSettings(-4.0, 4.0, between="travel", control="travel", zero=zero))

    found, plain = evaluated(shown.travel, "loop"), evaluated(shown.travel, "none")
    assert found.low_point.load == pytest.approx(evaluated(record.travel, "loop").low_point.load, rel=1e-6)
    assert abs(found.high_point.load - plain.high_point.load) > 5000
    with pytest.raises(EvaluationError, match='zero = "loop" needs'):
        evaluate_static(shown.travel, shown.load + 3e5, StaticSettings(2.6e5, 3.4e5, zero="loop"))


@pytest.mark.parametrize("play", [0.0, 0.005])
def test_the_compliance_of_a_blank_test(play):
    """A steel dummy: 1.5e-6 mm/N, noise 2e-5 mm; play opens between the ways."""
    phase = np.linspace(0, 3, 3000)
    load = 11000 * np.sin(2 * np.pi * phase)
    falling = np.gradient(load) < 0
    travel = 1.5e-6 * load + np.where(falling, play, 0.0) + 2e-5 * np.random.default_rng(2).standard_normal(3000)
    found = fixture_compliance(travel, load)
    assert abs(found.compliance - 1.5e-6) < max(4 * found.uncertainty, 1e-9)
    assert found.uncertainty < 1e-8 and found.branches >= 5
    assert found.play == pytest.approx(play, abs=1e-5)
    assert bool(found.notes) == bool(play)


def test_a_bent_or_turned_fixture_is_told():
    load = np.concatenate([np.linspace(0, 1000, 200), np.linspace(1000, 0, 200)])
    bent = fixture_compliance(1e-6 * load + np.maximum(load - 500, 0) * 1e-6, load)
    assert "softer than the lower" in bent.notes[0]
    with pytest.raises(EvaluationError, match="opposite sign"):
        fixture_compliance(-1e-6 * load, load)
    with pytest.raises(EvaluationError, match="passes both 0 and 5000"):
        fixture_compliance(1e-6 * load, load, low=0.0, high=5000.0)
