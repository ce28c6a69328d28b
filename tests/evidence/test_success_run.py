"""Reliability shown without failures or with few, by longer tests, and the number of specimens needed."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.evidence.errors import EvaluationError
from dossier.evidence.success_run import length_needed, reliability_of_lives, reliability_shown, specimens_needed

SHARES = st.floats(0.05, 0.99)


@settings(max_examples=80, deadline=None, derandomize=True)
@given(count=st.integers(1, 400), failures=st.integers(0, 5), confidence=SHARES)
def test_the_bound_is_where_so_few_failures_have_the_stated_chance(count, failures, confidence):
    """With the reliability shown, at most that many failures happen with probability 1 − confidence (binomial)."""
    from scipy.stats import binom

    failures = min(failures, count)
    shown = reliability_shown(count, failures, confidence).value
    if failures < count:
        assert binom.cdf(failures, count, 1 - shown) == pytest.approx(1 - confidence, abs=1e-9)
    else:
        assert shown == 0.0


@settings(max_examples=80, deadline=None, derandomize=True)
@given(reliability=SHARES, confidence=SHARES, failures=st.integers(0, 4))
def test_the_number_needed_is_the_least_that_shows_it(reliability, confidence, failures):
    count = specimens_needed(reliability, confidence, failures)
    assert reliability_shown(count, failures, confidence).value >= reliability - 1e-9
    if count > max(1, failures + 1):
        assert reliability_shown(count - 1, failures, confidence).value < reliability


def test_three_specimens_without_failure_show_little():
    shown = reliability_shown(3, 0, 0.90)
    assert shown.value == pytest.approx(0.1 ** (1 / 3))
    assert shown.words.startswith("R = 46.4% at 90% confidence from 3 specimens, no failure (binomial, without prior")


def test_longer_tests_count_by_the_low_bound_of_the_slope():
    shown = reliability_of_lives([2.0, 2.0, 2.0], [False] * 3, 1.0, (2.0, 4.0), 3)
    assert (shown.effective, shown.slope) == (12.0, 2.0)
    assert shown.value == pytest.approx(0.1 ** (1 / 12))
    assert "counted as 12.0 by their length with slope 2" in shown.words


def test_shorter_tests_count_by_the_high_bound_of_the_slope():
    shown = reliability_of_lives([0.5, 0.5], [False] * 2, 1.0, (2.0, 4.0), 2)
    assert (shown.effective, shown.slope) == (0.125, 4.0)


def test_a_missing_test_forbids_the_statement():
    with pytest.raises(EvaluationError, match="4 tests were started, 3 have a life"):
        reliability_of_lives([2.0] * 3, [False] * 3, 1.0, (2.0, 3.0), 4)


def test_lives_at_the_required_one_without_failure_are_the_plain_success_run():
    plain = reliability_shown(7, 0, 0.95).value
    assert reliability_of_lives([3e5] * 7, [False] * 7, 3e5, (1.5, 3.0), 7, 0.95).value == pytest.approx(plain)


def test_failures_among_longer_tests_hold_their_confidence():
    """Ten tests run to 2 required lives, true slope 2 and scale 3: the bound lies below the truth in at least 90 %."""
    random = np.random.default_rng(11)
    truth, held = math.exp(-((1 / 3) ** 2)), 0
    for _ in range(400):
        lives = 3 * random.weibull(2.0, 10)
        failed = lives < 2
        held += reliability_of_lives(np.minimum(lives, 2), failed, 1.0, (2.0, 2.0), 10).value <= truth
    assert held / 400 >= 0.87


@settings(max_examples=60, deadline=None, derandomize=True)
@given(reliability=SHARES, confidence=SHARES, count=st.integers(1, 50), slope=st.floats(0.8, 5.0))
def test_the_length_needed_shows_the_reliability(reliability, confidence, count, slope):
    length = length_needed(reliability, confidence, count, slope)
    lives = [length] * count
    shown = reliability_of_lives(lives, [False] * count, 1.0, (slope, slope), count, confidence)
    assert shown.value == pytest.approx(reliability, abs=1e-9)
    assert specimens_needed(reliability, confidence, length=length, slope=slope) == count


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: reliability_shown(0), "0 failures of 0"), (lambda: reliability_shown(3, 4), "4 failures of 3"),
        (lambda: reliability_shown(3, 0, 1.0), "confidence = 1"), (lambda: specimens_needed(1.0), "reliability = 1"),
        (lambda: specimens_needed(0.9, length=2.0), "state the slope"),
        (lambda: specimens_needed(0.9, failures=1, length=2.0, slope=2.0), "without failure only"),
        (lambda: specimens_needed(0.9, failures=-1), "failures = -1"),
        (lambda: specimens_needed(0.9999999, 0.9, 2), "more than 1,000,000"),
        (lambda: reliability_of_lives([1.0], [False], 0.0, (1, 2), 1), "required life 0"),
        (lambda: reliability_of_lives([1.0], [False], 1.0, (3, 2), 1), "slope 3 to 2"),
        (lambda: length_needed(0.9, 0.9, 0, 2.0), "0 specimens"),
    ],
)  # fmt: skip
def test_wrong_statements_are_refused(call, words):
    with pytest.raises(EvaluationError, match=words):
        call()
