"""Capability and tolerance intervals: exact coverage, what is told beside, and what is refused."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.evidence.capability import bissell_bound, chart_signals, evaluate_capability, within_deviation
from dossier.evidence.errors import EvaluationError
from dossier.evidence.noncentral import below
from dossier.evidence.tolerance import (
    free_count,
    free_interval,
    normal_count,
    normal_interval,
    one_sided_factor,
    two_sided_factor,
)

STEADY = np.random.default_rng(8).normal(16.0, 1.2, 50)
SHARES = st.floats(0.01, 0.999)


def exact(count, mean, deviation):
    """`count` values with exactly this mean and standard deviation."""
    values = np.random.default_rng(4).normal(size=count)
    return (values - values.mean()) / values.std(ddof=1) * deviation + mean


@settings(max_examples=60, deadline=None, derandomize=True)
@given(limit=st.floats(-20.0, 60.0), freedom=st.integers(1, 300), off=st.floats(-8.0, 40.0))
def test_the_noncentral_t_agrees_with_a_library(limit, freedom, off):
    from scipy.stats import nct

    theirs = nct.cdf(limit, freedom, off)
    if np.isfinite(theirs):
        assert below(limit, freedom, off) == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize("limits", [(8.0, None), (None, 20.0), (8.0, 20.0)])
def test_the_lower_bound_holds_its_confidence(limits):
    """400 series of 20 normal values: the bound at 90 % lies below the true index in 90 % (one limit; 86 to 94 by
    chance) and at least that (two)."""
    random = np.random.default_rng(9)
    lower, upper = limits
    truth = min(gap for gap in ((lower and 15 - lower), (upper and upper - 15)) if gap) / 6.0
    series = [evaluate_capability(random.normal(15.0, 2.0, 20), lower, upper, confidence=0.9) for _ in range(400)]
    held = sum(found.cpk_low <= truth for found in series) / 400
    assert 0.86 <= held <= (1.0 if None not in limits else 0.94)


def test_the_usual_approximation_is_near_for_many_values():
    found = evaluate_capability(exact(125, 16.0, 1.0), 8.0, 20.0)
    assert found.cpk_low == pytest.approx(bissell_bound(found.cpk, 125), abs=2e-3)


def test_moving_and_scaling_values_with_their_limits_changes_no_index():
    one = evaluate_capability(STEADY, 8.0, 20.0)
    other = evaluate_capability(STEADY * 1e3 - 5e4, 8e3 - 5e4, 20e3 - 5e4)
    assert (other.cp, other.cpk, other.cpk_low) == pytest.approx((one.cp, one.cpk, one.cpk_low), rel=1e-9)
    assert one.notes == ()


def test_a_drifting_series_is_told():
    drift = STEADY + np.linspace(-6, 6, 50)
    found = evaluate_capability(drift, 0.0, 30.0)
    assert "not stable" in found.notes[0]
    assert any("on one side of the mean" in words for words in found.unstable)
    assert within_deviation(drift) < found.deviation / 2
    assert "the step to value 26" in chart_signals(np.concatenate((STEADY[:25], [40.0], STEADY[25:])))[1]


def test_values_far_from_normal_and_few_values_are_told():
    skew = np.exp(np.random.default_rng(2).normal(size=60) * 1.5)
    assert any("not normal" in note for note in evaluate_capability(skew, None, 100.0).notes)
    assert any("10 values, fewer than 50" in note for note in evaluate_capability(STEADY[:10], 8.0, 20.0).notes)


@pytest.mark.parametrize(
    ("values", "limits", "words"),
    [
        (STEADY, (None, None), "no limit"), (STEADY, (20.0, 8.0), "must be below"), ([5.0, 5.0], (1.0, 9.0), "needs spread"),
        ([5.0], (1.0, 9.0), "at least 2"), ([5.0, math.nan], (1.0, 9.0), "no number"),
    ],
)  # fmt: skip
def test_series_without_an_index_are_refused(values, limits, words):
    with pytest.raises(EvaluationError, match=words):
        evaluate_capability(np.array(values), *limits)


@pytest.mark.parametrize(("count", "side"), [(5, "both"), (20, "both"), (5, "low"), (20, "high")])
def test_normal_intervals_hold_their_share_at_their_confidence(count, side):
    """2000 samples: the share inside is at least 0.9 in 95 % of them (93.5 to 96.5 by chance)."""
    from scipy.special import ndtr

    factor = (two_sided_factor if side == "both" else one_sided_factor)(count, 0.9, 0.95)
    random = np.random.default_rng(count)
    values = random.normal(size=(2000, count))
    mean, deviation = values.mean(axis=1), values.std(axis=1, ddof=1)
    low = -np.inf if side == "high" else mean - factor * deviation
    high = np.inf if side == "low" else mean + factor * deviation
    assert 0.935 <= np.mean(ndtr(high) - ndtr(low) >= 0.9) <= 0.965
    found = normal_interval(values[0], 0.9, 0.95, side=side)
    assert found.factor == factor
    assert found.high == (math.inf if side == "low" else pytest.approx(mean[0] + factor * deviation[0]))


@settings(max_examples=60, deadline=None, derandomize=True)
@given(count=st.integers(2, 300), share=SHARES, confidence=SHARES)
def test_the_two_sided_factor_lies_between_its_neighbours(count, share, confidence):
    """Wider than one more value needs or narrower with less confidence; above the one-sided limit for each half."""
    factor = two_sided_factor(count, share, confidence)
    assert factor > two_sided_factor(count, share, confidence * 0.9)
    assert factor > two_sided_factor(count, share * 0.9, confidence)
    assert two_sided_factor(count, share, 0.95) > two_sided_factor(count + 1, share, 0.95)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(share=st.floats(0.5, 0.995), confidence=st.floats(0.5, 0.99), sides=st.sampled_from((1, 2)))
def test_the_number_without_a_distribution_is_the_least(share, confidence, sides):
    """One side: 1 − p^n; both: 1 − n·p^(n−1) + (n − 1)·p^n (Wilks)."""

    def reached(n):
        return 1 - share**n if sides == 1 else 1 - n * share ** (n - 1) + (n - 1) * share**n

    count = free_count(share, confidence, sides=sides)
    assert reached(count) >= confidence - 1e-12
    assert count == sides or count == 2 or reached(count - 1) < confidence + 1e-12


def test_an_interval_without_a_distribution_cuts_off_what_it_may():
    """200 values at 95 % and 95 %: the five outermost may go (binomial: 0.9736 with five, 0.9377 with six)."""
    values = np.arange(1.0, 201.0)
    found = free_interval(values, 0.95, 0.95)
    assert (found.low, found.high) == (2.0, 198.0)
    assert free_interval(values, 0.95, 0.95, side="low").low == 5.0
    with pytest.raises(EvaluationError, match="92 values; 93 are needed"):
        free_interval(values[:92], 0.95, 0.95)


def test_the_number_of_values_for_a_reach_is_the_least():
    count = normal_count(4.0, 0.9973, 0.95)
    assert two_sided_factor(count, 0.9973, 0.95) <= 4.0 < two_sided_factor(count - 1, 0.9973, 0.95)
    with pytest.raises(EvaluationError, match="reduce the scatter"):
        normal_count(2.9, 0.9973, 0.95)


@pytest.mark.parametrize(("share", "confidence", "words"), [(1.0, 0.9, "share = 1"), (0.9, 0.0, "confidence = 0")])
def test_shares_outside_their_range_are_refused(share, confidence, words):
    for call in (lambda: two_sided_factor(5, share, confidence), lambda: one_sided_factor(5, share, confidence)):
        with pytest.raises(EvaluationError, match=words):
            call()
    with pytest.raises(EvaluationError, match="none of both"):
        normal_interval([1.0, 2.0], side="left")
