"""Break-even, present value and interest: identities and limits."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.economics.breakeven import (
    NO_BREAK_EVEN,
    break_even,
    capital_recovery,
    internal_rate,
    level_flows,
    present_value,
)

rates = st.floats(0.001, 0.5)
years = st.integers(1, 30)


@settings(deadline=None)
@given(st.floats(1e3, 1e6), st.floats(0.01, 10.0), st.floats(100, 1e6))
def test_at_the_break_even_the_gains_have_paid(one_off, gain, volume):
    found = break_even(one_off, gain, volume)
    assert found.pieces * gain == pytest.approx(one_off)
    assert found.years * volume == pytest.approx(found.pieces)


@pytest.mark.parametrize("gain", [0.0, -0.8])
def test_a_dearer_piece_has_no_break_even(gain):
    found = break_even(161_000, gain, 12_000)
    assert found.pieces is None and found.years is None
    assert str(found) == NO_BREAK_EVEN == "there is no break-even"


def test_a_dearer_piece_has_none_without_investment_either():
    assert break_even(0.0, -0.01, 12_000).pieces is None


def test_cheaper_from_the_first_piece():
    assert break_even(0.0, 0.5, 12_000).pieces == 0.0


def test_told_in_words():
    assert str(break_even(161_000, 0.5552, 12_000)) == "break-even at 290 000 pieces, 24.2 years"


@settings(deadline=None)
@given(rates, years)
def test_capital_recovery_brings_the_investment_back(rate, count):
    """Identity: level payments of the recovery factor have the present value of the investment."""
    payment = 1000 * capital_recovery(rate, count)
    assert present_value(rate, level_flows(1000, payment, count)) == pytest.approx(0.0, abs=1e-8)
    assert internal_rate(level_flows(1000, payment, count)) == pytest.approx(rate, abs=1e-9)


def test_without_interest_payments_add_up():
    assert capital_recovery(0.0, 8) == pytest.approx(1 / 8)
    assert capital_recovery(1e-9, 8) == pytest.approx(1 / 8, rel=1e-6)
    assert present_value(0.0, [-100, 60, 50]) == pytest.approx(10)


def test_no_rate_where_nothing_comes_back():
    assert internal_rate([-100, -5, -5]) is None


def test_volume_and_years_have_limits():
    with pytest.raises(ValueError, match="annual_volume = 0 must exceed 0"):
        break_even(1.0, 1.0, 0)
    with pytest.raises(ValueError, match="years = 0 must be at least 1"):
        capital_recovery(0.1, 0)
