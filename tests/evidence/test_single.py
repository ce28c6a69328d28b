"""Mean, uncertainty and decision of one group; budgets for a limit and for a ratio."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from dossier.evidence.errors import EvaluationError
from dossier.evidence.single import decide, describe, uncertainty_of_mean
from dossier.evidence.uncertainty import (
    Contribution,
    budget_against_limit,
    budget_of_ratio,
    combine,
    from_certificate,
    from_limits,
    from_repeats,
    from_resolution,
    means_with_covariance,
    propagate,
)

VALUES = [54.2, 56.1, 55.3, 57.0, 54.9]


def test_statistics_of_a_group():
    sample = describe(VALUES)
    assert (sample.count, sample.smallest, sample.largest) == (5, 54.2, 57.0)
    assert sample.mean == pytest.approx(55.5, abs=1e-12)
    assert sample.deviation == pytest.approx(1.0840, abs=1e-4)
    assert describe([3.0]).deviation is None


def test_the_expanded_uncertainty_of_a_mean_is_students():
    """t(0.975, 4) = 2.776 of Student's distribution, from memory."""
    budget = uncertainty_of_mean(VALUES)
    assert budget.factor == pytest.approx(2.776, abs=1e-3)
    assert budget.expanded == pytest.approx(2.776 * 1.0840 / math.sqrt(5), abs=1e-3)


def test_calibration_adds_to_scatter_and_raises_the_degrees_of_freedom():
    plain = uncertainty_of_mean(VALUES)
    more = uncertainty_of_mean(VALUES, [from_certificate("load cell", 1.0)])
    assert more.combined == pytest.approx(math.hypot(plain.combined, 0.5), rel=1e-12)
    assert more.freedom > 4
    assert more.factor < plain.factor


def test_a_single_value_needs_a_known_deviation():
    with pytest.raises(EvaluationError, match="1 value has no spread"):
        uncertainty_of_mean([5.0])
    known = uncertainty_of_mean([5.0], deviation=0.4)
    assert known.expanded == pytest.approx(1.96 * 0.4, abs=1e-3)
    with pytest.raises(EvaluationError, match="0 values"):
        uncertainty_of_mean([])


@pytest.mark.parametrize(
    ("value", "expanded", "lower", "upper", "verdict"),
    [
        (50.0, 2.0, 47.6, 64.4, "met"), (49.0, 2.0, 47.6, 64.4, "undecided"), (45.0, 2.0, 47.6, 64.4, "not met"),
        (46.0, 2.0, 47.6, None, "undecided"), (63.0, 1.0, None, 64.4, "met"), (66.0, 1.0, None, 64.4, "not met"),
        (64.0, 0.5, None, 64.4, "undecided"), (56.0, 20.0, 47.6, 64.4, "undecided"), (47.6, 0.0, 47.6, None, "met"),
    ],
)  # fmt: skip
def test_decisions(value, expanded, lower, upper, verdict):
    decision = decide(value, expanded, lower, upper, "kN/mm")
    assert decision.verdict == verdict
    assert f": {verdict}, " in decision.words
    assert "kN/mm" in decision.words


@given(value=st.floats(-1e6, 1e6), expanded=st.floats(0, 1e6), limit=st.floats(-1e6, 1e6))
def test_a_limit_inside_the_uncertainty_is_never_met(value, expanded, limit):
    if expanded - abs(value - limit) > 1e-6:
        assert decide(value, expanded, upper=limit).verdict == "undecided"
        assert decide(value, expanded, lower=limit).verdict == "undecided"


def test_decisions_without_sense_are_refused():
    with pytest.raises(EvaluationError, match="no limit"):
        decide(1.0, 0.1)
    with pytest.raises(EvaluationError, match="must not exceed"):
        decide(1.0, 0.1, 3.0, 2.0)
    with pytest.raises(EvaluationError, match="no value with an uncertainty"):
        decide(1.0, math.nan, upper=2.0)


def test_standard_uncertainties_from_the_usual_sources():
    """Rectangular a/√3, certificate U/k, resolution step/√12, repeats s/√n (JCGM 100:2008 clause 4, from
    memory)."""
    assert from_limits("creep", 0.3).standard == pytest.approx(0.3 / math.sqrt(3), rel=1e-12)
    assert from_certificate("cell", 0.5, 2.0).standard == 0.25
    assert from_resolution("display", 0.1).standard == pytest.approx(0.1 / math.sqrt(12), rel=1e-12)
    repeats = from_repeats("repeats", VALUES)
    assert (repeats.freedom, repeats.systematic) == (4, False)
    with pytest.raises(EvaluationError, match="at least 2"):
        from_repeats("repeats", [1.0])
    with pytest.raises(EvaluationError, match="must be 0 or more"):
        Contribution("x", -1.0)


def test_against_a_limit_systematic_contributions_count_in_full():
    lines = [Contribution("scatter", 0.3, 4), Contribution("load cell", 0.4, systematic=True)]
    assert budget_against_limit(lines).combined == pytest.approx(0.5, rel=1e-12)


def test_in_a_ratio_on_one_rig_a_wrong_scale_cancels():
    """Scale error of 1 % of both values and independent scatter of 0.5 and 0.6."""
    variant = [Contribution("scatter", 0.5, 4), Contribution("load cell", 0.54, systematic=True)]
    reference = [Contribution("scatter", 0.6, 4), Contribution("load cell", 0.60, systematic=True)]
    budget = budget_of_ratio(54.0, variant, 60.0, reference)
    assert budget.combined == pytest.approx(0.9 * math.hypot(0.5 / 54, 0.6 / 60), rel=1e-12)
    common = next(line for line in budget.contributions if "common" in line.name)
    assert common.standard == pytest.approx(0.0, abs=1e-15)


def test_in_a_ratio_a_wrong_zero_cancels_only_in_part():
    variant, reference = [Contribution("zero", 0.2, systematic=True)], [Contribution("zero", 0.2, systematic=True)]
    budget = budget_of_ratio(40.0, variant, 50.0, reference)
    assert budget.combined == pytest.approx(0.8 * (0.2 / 40 - 0.2 / 50), rel=1e-12)


def test_what_is_not_common_adds_by_squares():
    """The cell was changed between the groups: two different systematic errors."""
    variant = [Contribution("cell 1", 0.4, systematic=True)]
    reference = [Contribution("cell 2", 0.5, systematic=True)]
    budget = budget_of_ratio(40.0, variant, 50.0, reference)
    assert budget.combined == pytest.approx(0.8 * math.hypot(0.01, 0.01), rel=1e-12)
    with pytest.raises(EvaluationError, match="must be above 0"):
        budget_of_ratio(0.0, variant, 50.0, reference)


def test_infinite_and_few_degrees_of_freedom():
    """k(95 %) = 1.960 for ∞, 12.706 for 1 degree of freedom of Student's distribution, from memory."""
    assert combine([Contribution("a", 1.0)]).factor == pytest.approx(1.960, abs=1e-3)
    assert combine([Contribution("a", 1.0, 1)]).factor == pytest.approx(12.706, abs=1e-3)
    assert combine([Contribution("a", 0.0)]).expanded == 0.0


def test_propagation_of_a_ratio_is_the_root_of_relative_squares():
    found = propagate(lambda x: np.array([x[0] / x[1]]), np.array([40.0, 50.0]), np.diag([0.16, 0.25]))
    assert found.standard[0] == pytest.approx(0.8 * math.hypot(0.01, 0.01), rel=1e-6)
    means, covariance = means_with_covariance(np.array([[1.0, 2.0], [3.0, 6.0], [5.0, 10.0]]))
    assert means == pytest.approx([3.0, 6.0])
    assert covariance[0, 1] == pytest.approx(8.0 / 3, rel=1e-12)


@pytest.mark.parametrize("count", range(2, 40))
def test_scatter_alone_has_the_degrees_of_freedom_of_its_values(count):
    """Rounding of s⁴ must not cost a degree of freedom: 3 values have 2, whatever their scatter."""
    for scale in (0.03, 0.1, 0.7, 13.0):
        values = [1.0 + scale * (number % 3) for number in range(count)]
        found = uncertainty_of_mean(values)
        assert found.factor == pytest.approx(stats.t.ppf(0.975, count - 1), rel=1e-9)
