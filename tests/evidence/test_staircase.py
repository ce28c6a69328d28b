"""Staircase tests: Dixon–Mood, its mirror image, its limits, and the likelihood of the same outcomes."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from dossier.evidence.errors import EvaluationError
from dossier.evidence.staircase import evaluate_staircase, likely_strength

LOADS = [380, 360, 340, 360, 380, 400, 380, 360, 380, 360, 380, 360, 340, 360, 380]
FAILED = [1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 0, 0, 0]


def staircase(outcomes, first=380.0, step=20.0):
    loads = [first]
    for failed in outcomes[:-1]:
        loads.append(loads[-1] + (-step if failed else step))
    return loads


@settings(max_examples=60, deadline=None, derandomize=True)
@given(outcomes=st.lists(st.booleans(), min_size=4, max_size=40), factor=st.floats(0.01, 1e4))
def test_mirror_and_unit_change_the_result_as_they_change_the_loads(outcomes, factor):
    assume(0 < sum(outcomes) < len(outcomes) and 2 * sum(outcomes) != len(outcomes))
    loads = np.array(staircase(outcomes))
    found = evaluate_staircase(loads, outcomes)
    mirrored = evaluate_staircase(1000 - loads, [not failed for failed in outcomes])
    assert mirrored.mean == pytest.approx(1000 - found.mean, rel=1e-9)
    assert mirrored.deviation == pytest.approx(found.deviation, rel=1e-9)
    scaled = evaluate_staircase(loads * factor, outcomes)
    assert (scaled.mean, scaled.deviation) == pytest.approx((found.mean * factor, found.deviation * factor), rel=1e-9)


def test_the_likelihood_finds_no_better_mean_and_deviation():
    from scipy.stats import norm

    found = likely_strength(LOADS, FAILED)
    signs = np.where(FAILED, 1.0, -1.0)
    signed = signs[:, None, None] * (np.array(LOADS)[:, None, None] - np.linspace(340, 400, 241)[None, :, None])
    deviations = np.geomspace(5, 80, 401)
    grid = norm.logcdf(signed / deviations[None, None, :]).sum(axis=0)
    best = norm.logcdf(signs * (np.array(LOADS) - found.mean) / found.deviation).sum()
    assert grid.max() == pytest.approx(best, abs=2e-3) and grid.max() <= best
    profile = grid.max(axis=1)
    inside = np.linspace(340, 400, 241)[profile > best - 2.7055434540954 / 2]
    assert (inside.min(), inside.max()) == pytest.approx((found.low, found.high), abs=0.3)


def test_both_evaluations_agree_within_the_bounds():
    found, likely = evaluate_staircase(LOADS, FAILED), likely_strength(LOADS, FAILED)
    assert likely.low < found.mean < likely.high
    assert found.event == "failures" and found.notes == ()


def test_dixon_and_mood_meet_the_truth_on_average():
    """Strength 370 with 15, step 15, 40 specimens: the mean of 200 staircases within 1.5 of 370 (about 4 standard
    errors)."""
    random = np.random.default_rng(5)
    means = []
    for _ in range(200):
        loads, outcomes = [375.0], []
        for _ in range(40):
            outcomes.append(bool(random.normal(370, 15) < loads[-1]))
            loads.append(loads[-1] + (-15 if outcomes[-1] else 15))
        means.append(evaluate_staircase(loads[:-1], outcomes).mean)
    assert np.mean(means) == pytest.approx(370, abs=1.5)


def test_too_few_specimens_and_too_wide_a_step_are_told():
    notes = evaluate_staircase(staircase([1, 0, 1, 0, 1, 0]), [1, 0, 1, 0, 1, 0]).notes
    assert "6 specimens: below 15" in notes[0]
    assert "is below 0.3" in notes[1] and "0.53 steps" in notes[1]
    far = [1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1]
    assert any("outside 0.5 to 2" in note for note in evaluate_staircase(staircase(far), far).notes)


@pytest.mark.parametrize(
    ("loads", "failed", "words"),
    [
        ([1.0], [1], "1 loads"), ([1.0, 2.0], [1], "2 loads, 1 outcomes"), ([1.0, math.nan], [1, 0], "2 loads"),
        ([3.0, 2.0, 1.0], [1, 1, 1], "all 3 specimens failed.*lower"),
        ([1.0, 2.0, 3.0], [0, 0, 0], "all 3 specimens survived.*higher"),
        ([1.0, 2.0, 4.0, 3.0], [0, 0, 1, 0], "specimen 3 moved by 2, the step is 1"),
        ([1.0, 2.0, 3.0, 2.0], [0, 1, 1, 0], "specimen 3 moved by 1 after a failure"),
        ([1.0, 2.0], [0, 3], "neither 0 nor 1"),
    ],
)  # fmt: skip
def test_sequences_that_are_no_staircase_are_refused(loads, failed, words):
    with pytest.raises(EvaluationError, match=words):
        evaluate_staircase(loads, failed)


def test_separate_outcomes_give_no_scatter():
    with pytest.raises(EvaluationError, match="the scatter cannot be found"):
        likely_strength([1.0, 2.0, 1.0, 2.0], [0, 1, 0, 1])
