"""Equivalence and non-inferiority: verdicts, batches, power, and the reasons a verdict is limited."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.evidence.difference import tost
from dossier.evidence.equivalence import compare_minimum, compare_ratio
from dossier.evidence.errors import EvaluationError
from dossier.evidence.power import acceptance, power_of_design, set_power, specimens_needed, tost_power

VALUES = st.lists(st.floats(10.0, 100.0), min_size=2, max_size=8)
REFERENCE = [55.1, 56.3, 54.8, 57.0, 55.9]


def group(ratio: float, spread: float = 1.0) -> list[float]:
    """The reference moved by a ratio, its scatter widened by `spread` (on the log scale)."""
    logs = np.log(REFERENCE)
    return list(np.exp(logs.mean() + (logs - logs.mean()) * spread) * ratio)


@pytest.mark.parametrize(
    ("ratio", "spread", "verdict"),
    [
        (1.0, 1.0, "met"), (0.95, 1.0, "met"), (0.91, 1.0, "undecided"), (1.0, 8.0, "undecided"),
        (0.85, 1.0, "not met"), (1.2, 1.0, "not met"), (0.89, 1.0, "undecided"),
    ],
)  # fmt: skip
def test_the_verdict_follows_the_place_of_the_interval(ratio, spread, verdict):
    found = compare_ratio(group(ratio, spread), REFERENCE)
    assert found.ratio == pytest.approx(ratio, rel=1e-12)
    assert found.verdict == verdict


@settings(max_examples=100, deadline=None, derandomize=True)
@given(variant=VALUES, reference=VALUES)
def test_the_interval_inside_the_margin_is_the_two_tests_at_five_percent(variant, reference):
    found = compare_ratio(variant, reference)
    if abs(found.p - 0.05) > 1e-9:
        assert (found.verdict == "met") == (found.p < 0.05)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(variant=VALUES, reference=VALUES)
def test_exchanging_the_groups_inverts_the_ratio(variant, reference):
    one, other = compare_ratio(variant, reference), compare_ratio(reference, variant)
    assert one.low * other.high == pytest.approx(1.0, rel=1e-9)
    assert one.p == pytest.approx(compare_ratio(reference, variant, 1 / 1.1, 1 / 0.9).p, abs=1e-9)


def test_no_difference_found_is_not_equivalence():
    """Three specimens with 7 % scatter: a t-test finds nothing (p above 0.3), equivalence is undecided all
    the same."""
    found = compare_ratio([50.0, 57.5, 55.0], [55.0, 60.0, 53.0])
    assert abs(math.log(found.ratio)) < 2 * found.error
    assert found.verdict == "undecided"


def test_half_widths_of_the_interval_at_usual_numbers():
    """Half width at s = 4 % is 4.7 % for n = 5 + 5 and 7.0 % for n = 3 + 3, at s = 7 % 8.2 % for n = 5 + 5 (t
    = 1.86, 2.13; worked by hand: t·s·√(2/n)). Tolerance: the printed digit."""
    for count, deviation, half in ((5, 0.04, 0.047), (3, 0.04, 0.070), (5, 0.07, 0.082)):
        logs = np.arange(count) - (count - 1) / 2
        values = np.exp(logs / logs.std(ddof=1) * deviation)
        found = compare_ratio(values, values)
        assert math.log(found.high) == pytest.approx(half, abs=1e-3)


def test_one_batch_is_compared_without_limit():
    found = compare_ratio(
        group(1.0), REFERENCE, variant_batches=["B7"] * 5, reference_batches=["B7"] * 5
    )
    assert (found.verdict, found.limited) == ("met", False)
    assert found.scope == "all specimens are of batch B7"


def test_unrecorded_batches_limit_the_statement():
    for ours, theirs in ((None, None), (["B1"] * 5, None), (["B1", "", "B1", "B1", "B1"], ["B1"] * 5)):
        found = compare_ratio(group(1.0), REFERENCE, variant_batches=ours, reference_batches=theirs)
        assert found.limited
        assert "batches are not recorded" in found.words


def test_different_batches_limit_the_statement():
    found = compare_ratio(group(1.0), REFERENCE, variant_batches=["B1"] * 5, reference_batches=["B2"] * 5)
    assert found.limited
    assert found.scope.startswith("variant of batch B1, reference of batch B2: the scatter between batches is not in")


def test_paired_batches_take_the_scatter_between_batches_out():
    """Three batches 10 % apart, ratio 0.98 within each: paired it is shown, unpaired it cannot be."""
    batches = ["a", "a", "b", "b", "c", "c"]
    reference = np.array([50.0, 50.4, 55.0, 55.3, 60.0, 60.5])
    variant = reference[[1, 0, 3, 2, 5, 4]] * 0.98
    paired = compare_ratio(variant, reference, variant_batches=batches, reference_batches=batches)
    plain = compare_ratio(variant, reference)
    assert (paired.verdict, paired.limited) == ("met", False)
    assert paired.freedom == 2
    assert paired.ratio == pytest.approx(0.98, rel=1e-4)
    assert plain.verdict == "undecided"


def test_batches_must_be_named_for_each_value():
    with pytest.raises(EvaluationError, match="variant has 5 values, 2 batches"):
        compare_ratio(group(1.0), REFERENCE, variant_batches=["a", "b"], reference_batches=["a"] * 5)


@pytest.mark.parametrize(
    ("ratio", "verdict"), [(1.0, "met"), (1.5, "met"), (0.94, "met"), (0.90, "undecided"), (0.8, "not met")]
)
def test_non_inferiority_asks_for_the_lower_end_only(ratio, verdict):
    assert compare_minimum(group(ratio), REFERENCE, 0.90).verdict == verdict


def test_more_scatter_than_twice_is_noted():
    found = compare_ratio(group(1.0, 3.0), REFERENCE)
    assert found.spread_ratio == pytest.approx(3.0, rel=1e-9)
    assert found.spread_p == pytest.approx(0.0286, abs=2e-3)
    assert any("scatters 3.0 times" in note for note in found.notes)
    assert compare_ratio(group(1.0, 1.5), REFERENCE).notes == ()


@pytest.mark.parametrize(
    ("variant", "reference", "words"),
    [
        ([1.0], [1.0, 2.0], "variant has 1 values"),
        ([1.0, 2.0], [], "reference has 0 values"),
        ([1.0, -2.0], [1.0, 2.0], "above 0"),
        ([1.0, math.nan], [1.0, 2.0], "no number"),
    ],
)
def test_groups_that_cannot_be_compared(variant, reference, words):
    with pytest.raises(EvaluationError, match=words):
        compare_ratio(variant, reference)


def test_wrong_margins_are_refused():
    with pytest.raises(EvaluationError, match="must hold the ratio 1"):
        compare_ratio(REFERENCE, REFERENCE, 1.05, 1.1)
    with pytest.raises(EvaluationError, match="low = 0 must be above 0"):
        compare_minimum(REFERENCE, REFERENCE, 0.0)
    with pytest.raises(EvaluationError, match="is empty"):
        tost(REFERENCE, REFERENCE, 1.0, -1.0)
    with pytest.raises(EvaluationError, match="cannot be paired"):
        tost(REFERENCE, REFERENCE[:3], -1.0, 1.0, kind="paired")


def test_identical_values_without_spread_are_equivalent():
    found = compare_ratio([50.0, 50.0], [50.0, 50.0])
    assert (found.verdict, found.p) == ("met", 0.0)


def test_power_of_the_usual_plan_and_of_four_directions():
    """True ratio 0.95, n = 5 + 5, s = 4 %: about 0.60 for one direction, 0.13 to 0.15 for four (product)."""
    one = tost_power(0.95, 0.04, 5, 5)
    assert one == pytest.approx(0.61, abs=0.02)
    assert set_power([one] * 4) == pytest.approx(one**4, rel=1e-12)


@pytest.mark.parametrize(("ratio", "deviation", "count"), [(0.95, 0.04, 5), (1.0, 0.06, 6), (1.03, 0.05, 12)])
def test_power_agrees_with_simulating_the_test_itself(ratio, deviation, count):
    """20,000 runs have a standard error of 0.0035; Welch's test against the pooled one of the integral adds
    up to 0.02 in small groups."""
    simulated = acceptance(ratio, deviation, 0.0, count)
    assert tost_power(ratio, deviation, count, count) == pytest.approx(simulated, abs=0.03)


def test_at_the_margin_the_power_is_the_error_of_the_first_kind():
    assert tost_power(0.9, 0.02, 12, 12) == pytest.approx(0.05, abs=1e-3)


def test_scatter_between_batches_makes_wrong_acceptance_likely_and_more_specimens_worse():
    """Simulated: 5 % scatter between batches lifts 5 % to about a quarter at n = 5 and a third at n = 12."""
    assert acceptance(0.90, 0.04, 0.0, 5) == pytest.approx(0.05, abs=0.01)
    assert acceptance(0.90, 0.04, 0.05, 5) == pytest.approx(0.24, abs=0.03)
    assert acceptance(0.90, 0.04, 0.05, 12) == pytest.approx(0.33, abs=0.03)
    assert acceptance(0.90, 0.04, 0.05, 5, seed=4) == acceptance(0.90, 0.04, 0.05, 5, seed=4)


def test_specimens_needed_is_the_smallest_number_that_suffices():
    count = specimens_needed(0.95, 0.04)
    assert tost_power(0.95, 0.04, count, count) >= 0.8 > tost_power(0.95, 0.04, count - 1, count - 1)
    with pytest.raises(EvaluationError, match="widen the margin"):
        specimens_needed(0.901, 0.07, most=50)
    with pytest.raises(EvaluationError, match="each group needs 2"):
        tost_power(1.0, 0.04, 1, 5)


@pytest.mark.parametrize(
    ("variation", "count", "power"), [(0.20, 20, 0.8347), (0.25, 28, 0.8074), (0.30, 40, 0.8158)]
)
def test_power_of_cross_over_trials_as_tabulated(variation, count, power):
    """Bioequivalence, 0.80 … 1.25, ratio 0.95, power 80 %: 20, 28 and 40 subjects (Diletti, Hauschke &
    Steinijans, Int. J. Clin. Pharmacol. 29 (1991) 1, table 1) with these powers: all from memory."""
    error = math.sqrt(math.log(1 + variation**2)) * math.sqrt(2 / count)
    assert power_of_design(0.95, error, count - 2, 0.8, 1.25, 0.05) == pytest.approx(power, abs=2e-4)
