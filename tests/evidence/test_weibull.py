"""Weibull fits with stopped specimens: invariances, bounds, plot positions, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from dossier.evidence.errors import EvaluationError
from dossier.evidence.plot_positions import plot_positions
from dossier.evidence.weibull import bias_factor, fit_weibull
from dossier.evidence.weibull_offset import fit_offset

LIVES = st.lists(st.tuples(st.floats(0.01, 100.0), st.booleans()), min_size=3, max_size=25)
SAMPLE = (np.array([3.0, 7.0, 8.0, 12.0, 15.0, 20.0, 21.0]), np.array([0, 0, 1, 0, 0, 0, 1]))


def fitted(pairs):
    lives, marks = np.array([life for life, _ in pairs]), np.array([mark for _, mark in pairs])
    failures = lives[~marks]
    assume(len(failures) >= 2 and failures.min() < 0.999 * lives.max())
    return lives, marks, fit_weibull(lives, marks)


def log_likelihood(lives, marks, shape, scale):
    """Written out from density and survival, apart from the module's own form."""
    power = (lives / scale) ** shape
    density = np.log(shape / scale) + (shape - 1) * np.log(lives / scale) - power
    return float(np.where(marks, -power, density).sum())


@settings(max_examples=60, deadline=None, derandomize=True)
@given(pairs=LIVES)
def test_no_other_shape_and_scale_is_more_likely(pairs):
    lives, marks, fit = fitted(pairs)
    best = log_likelihood(lives, marks, fit.shape, fit.scale)
    assert fit.log_likelihood == pytest.approx(best, rel=1e-9, abs=1e-9)
    for shape, scale in ((1.01, 1.0), (0.99, 1.0), (1.0, 1.01), (1.0, 0.99), (1.02, 1.02), (0.98, 1.02)):
        assert log_likelihood(lives, marks, fit.shape * shape, fit.scale * scale) <= best + 1e-9


@settings(max_examples=60, deadline=None, derandomize=True)
@given(pairs=LIVES, factor=st.floats(1e-6, 1e9), power=st.floats(0.2, 5.0))
def test_unit_order_and_power_of_the_lives_do_not_matter(pairs, factor, power):
    lives, marks, fit = fitted(pairs)
    scaled = fit_weibull(lives[::-1] * factor, marks[::-1])
    assert scaled.shape == pytest.approx(fit.shape, rel=1e-9)
    assert scaled.scale == pytest.approx(fit.scale * factor, rel=1e-9)
    raised = fit_weibull(lives**power, marks)
    assert raised.shape == pytest.approx(fit.shape / power, rel=1e-8)
    assert raised.scale == pytest.approx(fit.scale**power, rel=1e-7)
    bounds, moved = fit.life_bounds(0.1), scaled.life_bounds(0.1)
    assert moved.low == pytest.approx(bounds.low * factor, rel=1e-6)


@settings(max_examples=30, deadline=None, derandomize=True)
@given(pairs=LIVES)
def test_bounds_lie_around_the_estimate_and_widen_with_confidence(pairs):
    _, _, fit = fitted(pairs)
    for bounds, value in (
        (fit.shape_bounds, fit.shape), (fit.scale_bounds, fit.scale), (lambda c: fit.life_bounds(0.1, c), fit.life(0.1)),
    ):  # fmt: skip
        narrow, wide = bounds(0.8), bounds(0.95)
        assert 0 <= wide.low < narrow.low < value < narrow.high < wide.high


def test_bounds_are_where_the_best_likelihood_has_fallen_by_half_chi_square():
    """The profile found by brute force over a grid of shapes (χ² of one degree of freedom at 90 %: 2.7055)."""
    lives, marks = SAMPLE
    fit = fit_weibull(lives, marks)
    shapes = np.geomspace(fit.shape / 8, fit.shape * 8, 40_001)
    for share in (0.1, 1 - math.exp(-1)):
        bounds = fit.life_bounds(share, 0.90)
        for end in (bounds.low, bounds.high):
            scales = end * (-math.log1p(-share)) ** (-1 / shapes)
            power = (lives[:, None] / scales) ** shapes
            density = np.log(shapes / lives[:, None]) + shapes * np.log(lives[:, None] / scales) - power
            best = np.where(marks.astype(bool)[:, None], -power, density).sum(axis=0).max()
            assert fit.log_likelihood - best == pytest.approx(2.7055434540954 / 2, abs=1e-6)


def test_life_and_survival_at_confidence_are_each_other_s_inverse():
    fit = fit_weibull(*SAMPLE)
    assert fit.least_life(0.1, 0.95) == pytest.approx(fit.life_bounds(0.1, 0.90).low, rel=1e-12)
    assert fit.least_survival(fit.least_life(0.1, 0.9), 0.9) == pytest.approx(0.9, abs=1e-9)
    assert fit.survival(fit.life(0.1)) == pytest.approx(0.9, abs=1e-12)


def test_profile_bounds_hold_their_confidence():
    """One-sided bound of B10 at 90 % from 300 samples of 10, stopped at the scale: at least 84 % lie below the true
    B10 (1 in 10⁴ by chance if the bound held 90 %)."""
    random = np.random.default_rng(7)
    true, held = (-math.log(0.9)) ** (1 / 2.0), 0
    for _ in range(300):
        lives = random.weibull(2.0, 10)
        if (lives < 1.0).sum() < 2:
            held += 1
            continue
        held += fit_weibull(np.minimum(lives, 1.0), lives >= 1.0).least_life(0.1, 0.90) <= true
    assert 0.84 <= held / 300 <= 0.96


@pytest.mark.parametrize(("count", "within"), [(5, 0.05), (10, 0.03), (20, 0.03)])
def test_the_reduced_bias_shape_is_right_on_average(count, within):
    random = np.random.default_rng(count)
    fits = [fit_weibull(random.weibull(3.0, count)) for _ in range(1000)]
    plain, reduced = (np.mean([getattr(fit, name) for fit in fits]) / 3.0 for name in ("shape", "reduced_bias_shape"))
    assert reduced == pytest.approx(1.0, abs=within)
    assert plain - 1 > 2 * abs(reduced - 1)


def test_few_failures_and_a_shape_about_one_are_told():
    notes = fit_weibull([100.0, 150.0, 300.0]).notes
    assert notes[0] == "3 failures: the shape is hardly known and comes out too steep, by 106% on average"
    assert "the shape may be 1: wear-out is not shown" in fit_weibull([1.0, 5.0, 30.0, 100.0, 200.0, 210.0]).notes
    assert fit_weibull([1.0, 2.0]).reduced_bias_shape is None
    assert bias_factor(10) == pytest.approx(0.847, abs=1e-3)
    assert "early failures" in fit_weibull([0.001, 0.01, 1.0, 40.0, 900.0, 2e4, 5e5]).notes[0]


def test_thousands_of_lives_and_two_are_fitted():
    random = np.random.default_rng(3)
    lives = random.weibull(2.0, 5000) * 1e6
    fit = fit_weibull(np.minimum(lives, 1e6), lives > 1e6)
    assert (fit.shape, fit.scale) == pytest.approx((2.0, 1e6), rel=0.04)
    two = fit_weibull([1.0, 1e9])
    assert two.life_bounds(0.001, 0.99).low < 1e-100
    assert fit_weibull([1.0, 2.0]).shape == pytest.approx(2.39935728 / math.log(2), rel=1e-8)


@pytest.mark.parametrize(
    ("lives", "censored", "words"),
    [
        ([1.0, 2.0], [1, 1], "no specimen of 2 failed.*success run"),
        ([1.0, 2.0, 3.0], [0, 1, 1], "1 specimen of 3 failed"),
        ([5.0, 5.0, 5.0], None, "all failures lie at the longest life 5"),
        ([5.0, 5.0, 3.0], [0, 0, 1], "all failures lie at the longest life"),
        ([], None, "0 lives"),
        ([1.0, 0.0], None, "life 2 is 0"),
        ([1.0, -3.0], None, "life 2 is -3"),
        ([1.0, math.nan], None, "life 2 is nan"),
        ([1.0, math.inf], None, "life 2 is inf"),
        ([1e-30, 1e30], None, "cannot differ so much"),
        ([1.0, 2.0], [0], "2 lives, 1 marks"),
        ([1.0, 2.0], [0, 2], "neither 0 nor 1"),
    ],
)
def test_lives_that_carry_no_fit_are_refused(lives, censored, words):
    with pytest.raises(EvaluationError, match=words):
        fit_weibull(lives, censored)


@pytest.mark.parametrize("confidence", [0.0, 1.0, 90.0])
def test_a_confidence_outside_its_range_is_refused(confidence):
    with pytest.raises(EvaluationError, match="must lie between"):
        fit_weibull(*SAMPLE).shape_bounds(confidence)
    with pytest.raises(EvaluationError, match="one-sided"):
        fit_weibull(*SAMPLE).least_life(0.1, confidence)


def test_ranks_step_over_stopped_specimens():
    """1, 2 stopped, 3, 4, 5 stopped: adjusted ranks 1, 1 + 5/4 = 2.25, 3.5 (worked by hand)."""
    found = plot_positions([4.0, 2.0, 3.0, 1.0, 5.0], [0, 1, 0, 0, 1])
    assert found.lives.tolist() == [1.0, 3.0, 4.0]
    assert found.ranks == pytest.approx([1.0, 2.25, 3.5])
    assert found.shares == pytest.approx((np.array([1.0, 2.25, 3.5]) - 0.3) / 5.4)
    assert found.censored.tolist() == [2.0, 5.0]
    assert plot_positions([2.0, 2.0], [1, 0]).ranks == pytest.approx([1.0])


def test_medians_of_order_statistics_are_near_bernard_s_ranks():
    """The exact median rank is the median of a beta distribution; Bernard's form is within 0.5 %-points."""
    from scipy.stats import beta

    ranks = np.arange(1, 11)
    assert plot_positions(np.arange(1.0, 11.0)).shares == pytest.approx(beta.median(ranks, 11 - ranks), abs=5e-3)


def test_an_offset_needs_a_maximum_inside():
    with pytest.raises(EvaluationError, match="no maximum|keep to two"):
        fit_offset([1.0, 2.0, 9.0, 40.0, 200.0, 900.0, 5000.0])
    with pytest.raises(EvaluationError, match="3 failures; three parameters need"):
        fit_offset([1.0, 2.0, 4.0])
