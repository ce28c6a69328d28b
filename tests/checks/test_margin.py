"""Margins and decisions: a table by hand, and what must hold for any numbers."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from dossier.checks.margin import Margin, decide, limit_in_words, margin
from dossier.records.requirement import Limit


def limit(kind: str, low: float | None = None, high: float | None = None) -> Limit:
    return Limit(kind=kind, min=low, max=high)  # type: ignore[arg-type]


# limit, value's band, margin (value, absolute), decision
TABLE: list[tuple[Limit, float, float, float | None, bool, str | None]] = [
    (limit("max", high=100.0), 80.0, 80.0, 0.2, False, "met"),
    (limit("max", high=100.0), 70.0, 90.0, 0.1, False, "met"),
    (limit("max", high=100.0), 90.0, 110.0, -0.1, False, "undecided"),
    (limit("max", high=100.0), 110.0, 120.0, -0.2, False, "not met"),
    (limit("max", high=100.0), 100.0, 100.0, 0.0, False, "met"),
    (limit("max", high=100.0), 100.0, 120.0, -0.2, False, "undecided"),
    (limit("max", high=-10.0), -12.0, -12.0, 0.2, False, "met"),
    (limit("max", high=-10.0), -8.0, -8.0, -0.2, False, "not met"),
    (limit("max", high=0.0), -3.0, -3.0, 3.0, True, "met"),
    (limit("max", high=0.0), 0.0, 0.0, 0.0, True, "met"),
    (limit("max", high=0.0), 2.0, 2.0, -2.0, True, "not met"),
    (limit("max", high=0.0), -1.0, 2.0, -2.0, True, "undecided"),
    (limit("min", low=2.0), 3.0, 3.0, 0.5, False, "met"),
    (limit("min", low=2.0), 2.0, 2.0, 0.0, False, "met"),
    (limit("min", low=2.0), 1.5, 2.5, -0.25, False, "undecided"),
    (limit("min", low=2.0), 1.0, 1.5, -0.5, False, "not met"),
    (limit("min", low=2.0), 1.0, 2.0, -0.5, False, "undecided"),
    (limit("min", low=-2.0), -1.0, -1.0, 0.5, False, "met"),
    (limit("min", low=-2.0), -3.0, -3.0, -0.5, False, "not met"),
    (limit("min", low=0.0), 4.0, 5.0, 4.0, True, "met"),
    (limit("min", low=0.0), -4.0, -4.0, -4.0, True, "not met"),
    (limit("range", 10.0, 20.0), 15.0, 15.0, 1.0, False, "met"),
    (limit("range", 10.0, 20.0), 12.0, 14.0, 0.4, False, "met"),
    (limit("range", 10.0, 20.0), 10.0, 20.0, 0.0, False, "met"),
    (limit("range", 10.0, 20.0), 9.0, 15.0, -0.2, False, "undecided"),
    (limit("range", 10.0, 20.0), 15.0, 22.0, -0.4, False, "undecided"),
    (limit("range", 10.0, 20.0), 5.0, 25.0, -1.0, False, "undecided"),
    (limit("range", 10.0, 20.0), 21.0, 22.0, -0.4, False, "not met"),
    (limit("range", 10.0, 20.0), 8.0, 9.0, -0.4, False, "not met"),
    (limit("range", -5.0, 5.0), 0.0, 0.0, 1.0, False, "met"),
    (limit("range", -20.0, -10.0), -15.0, -12.0, 0.4, False, "met"),
    (Limit(kind="target", nominal=5.0), 4.0, 4.0, None, False, None),
    (Limit(kind="pass_fail", criterion="no crack"), 1.0, 1.0, None, False, None),
    (Limit(kind="capability", criterion="Cpk 1.33"), 1.4, 1.4, None, False, None),
]


@pytest.mark.parametrize(("demand", "low", "high", "distance", "absolute", "decision"), TABLE)
def test_by_table(
    demand: Limit, low: float, high: float, distance: float | None, absolute: bool, decision: str | None
) -> None:
    found = margin(demand, low, high)
    assert found.absolute == absolute
    if distance is None:
        assert found.value is None
    else:
        assert found.value == pytest.approx(distance, abs=1e-12), "rounding of one subtraction and one division"
    assert decide(demand, low, high) == decision


NUMBERS = st.floats(-1e6, 1e6, allow_nan=False).map(lambda number: round(number, 3))
BANDS = st.tuples(NUMBERS, NUMBERS).map(sorted)


@given(bound=NUMBERS, band=BANDS, kind=st.sampled_from(["max", "min"]))
def test_a_margin_is_not_negative_exactly_when_it_is_met(bound: float, band: list[float], kind: str) -> None:
    demand = limit("max", high=bound) if kind == "max" else limit("min", low=bound)
    found = margin(demand, *band)
    assert found.value is not None
    assert (found.value >= 0) == (decide(demand, *band) == "met")


@given(ends=BANDS, band=BANDS)
def test_the_same_for_a_range(ends: list[float], band: list[float]) -> None:
    assume(ends[0] < ends[1])
    demand = limit("range", *ends)
    found = margin(demand, *band)
    assert found.value is not None and found.value <= 1
    assert (found.value >= 0) == (decide(demand, *band) == "met")


@given(bound=NUMBERS, band=BANDS, wider=st.floats(0, 1e3), kind=st.sampled_from(["max", "min"]))
def test_a_wider_band_is_never_better(bound: float, band: list[float], wider: float, kind: str) -> None:
    order = ["not met", "undecided", "met"]
    demand = limit("max", high=bound) if kind == "max" else limit("min", low=bound)
    wide = (band[0] - wider, band[1] + wider)
    assert (margin(demand, *wide).value or 0) <= (margin(demand, *band).value or 0)
    before, after = decide(demand, *band), decide(demand, *wide)
    assert before is not None and after is not None
    assert order.index(after) <= max(order.index(before), order.index("undecided"))


@given(bound=NUMBERS, value=NUMBERS, scale=st.sampled_from([1e-3, 1e3]))
def test_a_relative_margin_does_not_depend_on_the_unit(bound: float, value: float, scale: float) -> None:
    assume(bound != 0)
    first = margin(limit("max", high=bound), value, value).value
    second = margin(limit("max", high=bound * scale), value * scale, value * scale).value
    assert first is not None and second is not None
    assert math.isclose(first, second, rel_tol=1e-9, abs_tol=1e-12 * max(1.0, abs(value / bound)))


def test_a_single_value_is_never_undecided() -> None:
    for bound in (-5.0, 0.0, 5.0):
        for value in (-6.0, -5.0, 0.0, 5.0, 6.0):
            assert decide(limit("max", high=bound), value, value) == ("met" if value <= bound else "not met")
            assert decide(limit("min", low=bound), value, value) == ("met" if value >= bound else "not met")


def test_limits_in_words() -> None:
    assert [limit_in_words(demand, unit) for demand, unit in (
        (limit("max", high=45.0), "kN"), (limit("min", low=1.3), "-"), (limit("range", -2.5, 64.4), "kN/mm"),
        (Limit(kind="target", nominal=5.0), "mm"), (Limit(kind="pass_fail", criterion="no crack"), "-"),
    )] == ["≤ 45 kN", "≥ 1.3", "−2.5 .. 64.4 kN/mm", "target 5 mm", "no crack"]  # fmt: skip
    assert Margin(None) == Margin(None, absolute=False)
