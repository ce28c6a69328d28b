"""Margin bars, difference bars, interval strips."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from screens import bars


@pytest.mark.parametrize(("margin", "bar"), [
    (0.13, "..|==.."), (0.07, "..|=..."), (0.10, "..|=..."), (0.32, "..|===."), (5.0, "..|===."), (0.0, "..|...."),
    (-0.02, ".x|...."), (-0.5, "xx|...."), (None, "..|...."),
])
def test_margin_bar(margin: float | None, bar: str) -> None:
    assert bars.margin_bar(margin) == bar


def test_undecided_margin_proves_nothing() -> None:
    assert bars.margin_bar(0.42, undecided=True) == "..|?..."
    assert bars.margin_bar(-0.42, undecided=True) == ".?|...."


@given(st.floats(-10, 10), st.booleans(), st.integers(1, 5), st.integers(1, 5))
def test_zero_of_a_margin_bar_never_moves(margin: float, undecided: bool, left: int, right: int) -> None:
    bar = bars.margin_bar(margin, undecided, left, right)
    assert len(bar) == left + 1 + right and bar[left] == "|"
    assert bars.margin_head(left, right).index("0") == left
    broken, held = bar[:left].strip("."), bar[left + 1:].strip(".")
    assert not (broken and held)
    assert bool(broken) == (margin < 0)


@pytest.mark.parametrize(("margin", "text"), [
    (0.13, "+0.13"), (-0.02, "-0.02"), (0.003, "+0.003"), (0.0, "+0.00"), (None, "-"), (0.00001, "+<0.001"),
    (-0.00001, "-<0.001"), (float("nan"), "-"),
])
def test_margin_text(margin: float | None, text: str) -> None:
    assert bars.margin_text(margin) == text


def test_absolute_margin_keeps_its_digits() -> None:
    assert bars.margin_text(-0.04321, absolute=True) == "-0.04321"


def test_interval_with_the_limit_inside() -> None:
    strip = bars.interval_strip((16, 18), (16.8, 17.3, 17.8), [17.0], 41)
    assert strip == "................<---|-----o--------->...."


def test_interval_inside_a_band() -> None:
    strip = bars.interval_strip((0.90, 1.10), (0.962, 0.993, 1.025), [0.90, 1.10], 41)
    assert strip == "[...........<------o----->..............]"


def test_interval_that_reaches_its_limit_exactly_holds_it() -> None:
    strip = bars.interval_strip((0, 10), (5.0, 6.0, 7.0), [5.0], 11)
    assert strip.index("|") < strip.index("<")
    strip = bars.interval_strip((0, 10), (5.0, 6.0, 7.0), [7.0], 11)
    assert strip.index(">") < strip.index("|")


@pytest.mark.parametrize(("axis", "columns", "said"), [((1.0, 1.0), 20, "axis"), ((0.0, 1.0), 3, "columns")])
def test_interval_that_cannot_be_drawn(axis: tuple[float, float], columns: int, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        bars.interval_strip(axis, (0.2, 0.3, 0.4), [0.5], columns)


@given(st.lists(st.floats(-5, 5), min_size=4, max_size=4, unique=True), st.integers(5, 60))
def test_signs_stand_in_the_order_of_their_numbers(numbers: list[float], columns: int) -> None:
    *interval, limit = numbers
    low, value, high = sorted(interval)
    assume(min(abs(limit - number) for number in interval) > 1e-6)
    strip = bars.interval_strip((-3, 3), (low, value, high), [limit], columns)
    assert len(strip) == columns
    expected = "".join(sign for _, sign in sorted([(low, "<"), (value, "o"), (high, ">"), (limit, "|")]))
    assert strip.replace(".", "").replace("-", "") == expected


def test_lives_stand_on_the_scale_of_their_logarithm():
    lives = [1e5, 1e6, 1e6, 1e7, 3.16e5]
    assert bars.lives_strip(lives, [False, False, True, True, False], 9) == "x.x.2...>"
    assert bars.lives_strip([1.0] * 12 + [2.0], [False] * 13, 4) == "+..x"


@pytest.mark.parametrize(("lives", "columns"), [([1.0, 1.0], 9), ([0.0, 1.0], 9), ([1.0, 2.0], 1)])
def test_lives_without_a_scale_are_refused(lives, columns):
    with pytest.raises(ValueError, match="must differ"):
        bars.lives_strip(lives, [False] * len(lives), columns)
