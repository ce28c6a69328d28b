"""Tolerance band, deviation between curves, thinning for drawing, questions about units."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.evidence.band import deviation_of_means, largest_deviation, tolerance_band
from dossier.evidence.errors import EvaluationError
from dossier.evidence.plausibility import Expected, questions
from dossier.evidence.thin import thin


def test_the_band_lies_on_both_sides_of_the_nominal_line():
    travel = np.array([-0.2, 0.0, 0.1])
    band = tolerance_band(travel, 47600.0, 64400.0)
    assert band.low == pytest.approx([-12880.0, 0.0, 4760.0])
    assert band.high == pytest.approx([-9520.0, 0.0, 6440.0])
    assert list(band.outside(np.array([-11000.0, 0.0, 7000.0]))) == [False, False, True]
    with pytest.raises(EvaluationError, match="must be above 0"):
        tolerance_band(travel, 0.0, 1.0)
    with pytest.raises(EvaluationError, match="not exceed"):
        tolerance_band(travel, 2.0, 1.0)


def test_the_largest_deviation_and_its_place_are_found_through_noise():
    """A bump of −12 % at 0.12 mm, noise of 0.2 % of the load; tolerance: 200 stations of a noisy mean."""
    random = np.random.default_rng(1)
    travel = np.linspace(-0.2, 0.2, 20_000)
    shifted = np.linspace(-0.19, 0.21, 15_000)
    reference = 56000 * travel
    variant = 56000 * shifted * (1 - 0.12 * np.exp(-(((shifted - 0.12) / 0.01) ** 2)))
    noisy = variant + 22 * random.standard_normal(len(variant))
    found = largest_deviation(shifted, noisy, travel, reference + 22 * random.standard_normal(len(travel)))
    assert found.relative == pytest.approx(-0.12, abs=4e-3)
    assert found.travel == pytest.approx(0.12, abs=2e-3)
    assert (found.compared_from, found.compared_to) == (-0.19, 0.2)


def test_a_stiffer_curve_deviates_everywhere_alike_and_zero_is_left_out():
    travel = np.linspace(-1, 1, 500)
    found = largest_deviation(travel, 110 * travel, travel, 100 * travel)
    assert found.relative == pytest.approx(0.1, rel=1e-6)
    assert abs(found.reference_load) >= 10.0


def test_curves_without_common_travel_are_refused():
    one, other = np.linspace(0, 1, 50), np.linspace(2, 3, 50)
    with pytest.raises(EvaluationError, match="share no travel"):
        largest_deviation(one, one, other, other)


def rasterised(x: np.ndarray, y: np.ndarray, box: tuple, columns: int, rows: int) -> set[tuple[int, int]]:
    """Dots touched by the polyline, sampled finely; independent of the simplification."""
    low_x, high_x, low_y, high_y = box
    dots: set[tuple[int, int]] = set()
    for a in range(len(x) - 1):
        if not np.isfinite([x[a], x[a + 1], y[a], y[a + 1]]).all():
            continue
        across = (np.linspace(x[a], x[a + 1], 30) - low_x) / (high_x - low_x) * columns
        up = (np.linspace(y[a], y[a + 1], 30) - low_y) / (high_y - low_y) * rows
        dots |= set(zip(across.astype(int).clip(0, columns - 1), up.astype(int).clip(0, rows - 1), strict=True))
    return dots


@pytest.mark.parametrize("noise", [0.0, 0.02])
def test_the_thinned_loop_draws_the_same_picture(noise):
    """Every dot of the original is drawn or has a drawn neighbour, and the other way round."""
    phase = np.linspace(0, 6 * np.pi, 6000)
    x = np.sin(phase)
    y = np.sin(phase + 0.3) + noise * np.random.default_rng(2).standard_normal(len(x))
    box, size = (x.min(), x.max(), y.min(), y.max()), (100, 60)
    thinned_x, thinned_y = thin(x, y, *size)
    assert len(thinned_x) < len(x) / 3
    before, after = rasterised(x, y, box, *size), rasterised(thinned_x, thinned_y, box, *size)
    around = [(a, b) for a in (-1, 0, 1) for b in (-1, 0, 1)]
    for these, those in ((before, after), (after, before)):
        assert all(any((dot[0] + a, dot[1] + b) in those for a, b in around) for dot in these)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.floats(-1e3, 1e3), st.floats(-1e3, 1e3)), min_size=1, max_size=200), st.integers(1, 40))
def test_extremes_and_points_stay_exact(points, columns):
    x, y = np.array(points).T
    thinned_x, thinned_y = thin(x, y, columns, 20)
    known = np.isfinite(thinned_x)
    assert set(zip(thinned_x[known], thinned_y[known], strict=True)) <= set(points)
    assert (np.nanmin(thinned_y), np.nanmax(thinned_y)) == (y.min(), y.max())
    assert (np.nanmin(thinned_x), np.nanmax(thinned_x)) == (x.min(), x.max())


@pytest.mark.parametrize("points", [[(0.0, 0.0), (0.0, 1.0), (1.0, 0.0)], [(0.0, 0.0), (0.0, -19.0), (0.0, 1.0)]])
def test_an_extreme_on_a_stroke_drawn_before_stays(points):
    x, y = np.array(points).T
    thinned_x, thinned_y = thin(x, y, 1, 20)
    assert (np.nanmin(thinned_x), np.nanmax(thinned_x)) == (x.min(), x.max())
    assert (np.nanmin(thinned_y), np.nanmax(thinned_y)) == (y.min(), y.max())


def test_a_single_peak_among_a_million_points_survives():
    x = np.linspace(0, 1, 1_000_000)
    y = np.zeros_like(x)
    y[654_321] = 1.0
    thinned_x, thinned_y = thin(x, y, 200, 100)
    assert len(thinned_x) < 1000
    assert thinned_x[np.nanargmax(thinned_y)] == x[654_321]


def test_gaps_stay_gaps_and_nothing_is_nothing():
    x = np.array([0.0, 1.0, np.nan, 2.0, 3.0])
    y = np.array([0.0, 1.0, np.nan, 1.0, 0.0])
    thinned_x, thinned_y = thin(x, y, 50, 50)
    assert np.array_equal(thinned_x, x, equal_nan=True)
    assert np.array_equal(thinned_y, y, equal_nan=True)
    assert len(thin(np.array([np.nan]), np.array([1.0]), 5, 5)[0]) == 0
    with pytest.raises(ValueError, match="equal length"):
        thin(x, y[1:], 5, 5)
    with pytest.raises(ValueError, match="1 or more"):
        thin(x, y, 0, 5)


TRAVEL = 0.2 * np.sin(np.linspace(0, 20, 2000))
LOAD = 56000.0 * TRAVEL
EXPECTED = Expected(load=11000.0, travel=0.2, stiffness=56000.0)


def test_a_plausible_curve_raises_no_question():
    assert questions(TRAVEL, LOAD, EXPECTED) == []
    assert questions(TRAVEL, LOAD, Expected()) == []


def test_a_column_named_n_that_holds_kn_is_questioned():
    asked = questions(TRAVEL, LOAD / 1000, EXPECTED)
    assert len(asked) == 2
    assert asked[0].startswith("load is about 11.2, expected about 1.1e+04; 1000 times too small: is the column in the")


@pytest.mark.parametrize(
    ("travel_factor", "load_factor", "words"),
    [
        (1e3, 1.0, "travel is about 200, expected about 0.2; 1000 times too large"),
        (1.0, 1e3, "smaller unit"),
        (1e-6, 1.0, "a million times too small"),
        (1.0, 30.0, "check unit, column and part"),
    ],
)
def test_other_factors_are_questioned_too(travel_factor, load_factor, words):
    assert any(words in question for question in questions(TRAVEL * travel_factor, LOAD * load_factor, EXPECTED))


def test_radians_in_a_column_of_degrees_are_questioned():
    expected = Expected(load=1e5, travel=5.0, rotational=True)
    angle = 5.0 * np.sin(np.linspace(0, 20, 2000))
    assert questions(angle, 2e4 * angle, expected) == []
    (asked,) = questions(np.radians(angle), 2e4 * angle, expected)
    assert "is the angle in radians where degrees are stated?" in asked


def test_a_one_sided_curve_is_measured_from_zero():
    assert questions(np.abs(TRAVEL), np.abs(LOAD), EXPECTED) == []


def test_a_channel_that_stands_still_is_questioned():
    assert questions(TRAVEL * 0, LOAD, EXPECTED) == ["the travel stands still; is the right column read?"]


def test_the_mean_curves_differ_most_where_the_variant_stiffens():
    """Reference 10 x; the variant's mean 10 x·(1 + 0.05·[x > 2]) from two branches 1 % to both sides (analytic)."""
    travel = np.linspace(-4.0, 4.0, 4001)
    reference = [(travel, 10.0 * travel * factor) for factor in (0.98, 1.02)]
    stiffer = 10.0 * travel * np.where(travel > 2.0, 1.05, 1.0)
    variant = [(travel, stiffer * factor) for factor in (0.99, 1.01)]
    found = deviation_of_means(variant, reference)
    assert found.relative == pytest.approx(0.05, abs=1e-9)
    assert found.travel > 2.0
    assert deviation_of_means(reference, reference).relative == pytest.approx(0.0, abs=1e-12)


def test_one_branch_that_ends_early_shortens_what_is_compared():
    whole, short = np.linspace(-4.0, 4.0, 801), np.linspace(-3.0, 3.0, 601)
    found = deviation_of_means([(whole, 10 * whole), (short, 10 * short)], [(whole, 10.5 * whole)])
    assert (found.compared_from, found.compared_to) == pytest.approx((-3.0, 3.0), abs=0.05)
    with pytest.raises(EvaluationError, match="1 and 0 branches"):
        deviation_of_means([(whole, whole)], [])
