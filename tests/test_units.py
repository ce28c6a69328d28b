import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier import units

EVERY = sorted({unit for dimension in units.dimensions().values() for unit in dimension.factors})


@pytest.mark.parametrize(
    ("text", "unit", "expected"),
    [
        ("12.5 kN", "N", 12500.0),
        ("118 000 N", "kN", 118.0),
        ("−35 °C", "°C", -35.0),
        ("300 K", "°C", 26.85),
        ("1e3", "mm", 1000.0),
        (7, "mm", 7.0),
        ("1420 g", "kg", 1.42),
        ("15 %", "-", 0.15),
        ("24.5 Nm/deg", "N·mm/rad", 24.5e3 * 180 / math.pi),
    ],
)
def test_parse(text, unit, expected):
    assert units.parse(text, unit) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "unit", "named"),
    [
        ("12,5 kN", "N", "12.5 kN"),
        ("abc", "N", "12.5 N"),
        ("5 mm", "N", "length"),
        ("3 kNmm", "N", "kN/mm"),
        ("1e999", "N", "finite"),
        (True, "N", "number"),
    ],
)
def test_parse_refuses_and_names_the_remedy(text, unit, named):
    with pytest.raises(units.UnitError, match=named):
        units.parse(text, unit)


@given(st.sampled_from(EVERY), st.floats(-1e6, 1e6, allow_nan=False))
def test_conversion_there_and_back(unit, value):
    stored = units.stored_unit(unit)
    back = units.convert(units.convert(value, unit, stored), stored, unit)
    assert back == pytest.approx(value, rel=1e-12, abs=1e-9)


def test_every_stored_unit_is_its_own_dimension_with_factor_one():
    for dimension in units.dimensions().values():
        assert dimension.factors[dimension.stored] == 1
        assert dimension.stored not in dimension.offsets


def test_moment_and_energy_share_a_unit_but_joule_is_no_moment():
    assert units.same_dimension("N·mm", "J") and units.same_dimension("N·mm", "N·m")
    assert not units.same_dimension("J", "N·m")


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        (53912.3, 3, "53900"),
        (0.99996, 3, "1.00"),
        (9.996, 3, "10.0"),
        (-0.0213, 2, "−0.021"),
        (0, 3, "0"),
        (1.2745, 3, "1.27"),
        (float("nan"), 3, "–"),
        (123456.0, 5, "123460"),
    ],
)
def test_show(value, digits, shown):
    assert units.show(value, digits) == shown


@given(st.floats(1e-4, 1e8), st.integers(2, 6))
def test_shown_number_lies_within_half_a_printed_digit(value, digits):
    shown = float(units.show(value, digits))
    assert abs(shown - value) <= 0.5000001 * 10 ** (math.floor(math.log10(value)) - digits + 1)


@pytest.mark.parametrize(
    ("number", "told"), [(1, "1 byte"), (0, "0 bytes"), (2, "2 bytes"), (12345678, "12345678 bytes")]
)
def test_a_number_stands_with_its_noun(number: int, told: str) -> None:
    assert units.amount(number, "byte") == told
    assert units.amount(2, "entry", "entries") == "2 entries"
