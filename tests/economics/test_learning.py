"""Learning curves: definition by doubling, sums, the two models apart."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.economics.learning import average_time, exponent, first_time, unit_time, unit_total

rates = st.floats(0.6, 1.0)


@settings(deadline=None)
@given(rates, st.integers(1, 5000))
def test_doubling_leaves_the_rate(rate, number):
    """Definition: at twice the quantity the time is the rate times the time before, in either model."""
    assert unit_time(10.0, 2 * number, rate) == pytest.approx(rate * unit_time(10.0, number, rate), rel=1e-12)
    wright = [average_time(10.0, count, rate, "cumulative_average") for count in (number, 2 * number)]
    assert wright[1] == pytest.approx(rate * wright[0], rel=1e-12)


@pytest.mark.parametrize("rate", [0.5, 0.8, 0.95, 1.0])
@pytest.mark.parametrize("count", [1, 1999, 2000, 2001, 30_000])
def test_total_is_the_sum_of_the_units(rate, count):
    """Sum piece by piece; beyond 2000 pieces the closed rest must join without a step. 0.5 has the exponent −1."""
    by_piece = sum(unit_time(7.0, number, rate) for number in range(1, count + 1))
    assert unit_total(7.0, count, rate) == pytest.approx(by_piece, rel=1e-11)


def test_no_learning_changes_nothing():
    for model in ("cumulative_average", "unit_time"):
        assert average_time(12.0, 96_000, 1.0, model) == pytest.approx(12.0, rel=1e-12)


@settings(deadline=None)
@given(st.floats(0.7, 0.99), st.integers(2, 3000))
def test_models_differ(rate, count):
    """The same rate and first piece: Wright's mean lies below Crawford's, which is a mean of dearer units."""
    wright = average_time(1.0, count, rate, "cumulative_average")
    assert wright < average_time(1.0, count, rate, "unit_time")


@settings(deadline=None)
@given(rates, st.integers(1, 1000))
def test_first_piece_from_a_later_one(rate, at):
    assert unit_time(first_time(50.0, at, rate), at, rate) == pytest.approx(50.0, rel=1e-12)


@pytest.mark.parametrize("rate", [0.0, -0.5, 1.2])
def test_a_rate_beyond_its_limits_is_refused(rate):
    with pytest.raises(ValueError, match="learning_rate = .* must lie above 0 and at most at 1"):
        exponent(rate)


def test_nothing_made_is_refused():
    with pytest.raises(ValueError, match="count = 0 must be at least 1"):
        average_time(1.0, 0, 0.9, "unit_time")
