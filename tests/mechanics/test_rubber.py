"""Moduli from hardness: exact inverses, monotone relations, refusals that name field, limit, value and remedy."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.mechanics.rubber import (
    RELATIONS,
    RubberRangeError,
    hardness_of_modulus,
    lindley,
    lindley_table,
    moduli_of_hardness,
    others_at,
    poisson_ratio,
    rows_around,
    shear_modulus,
)

NAMES = list(RELATIONS)


@pytest.mark.parametrize("name", NAMES)
@given(share=st.floats(0, 1))
def test_hardness_to_modulus_and_back(name, share):
    found = RELATIONS[name]
    hardness = found.low + share * (found.high - found.low)
    assert hardness_of_modulus(name, found.youngs_modulus(hardness)) == pytest.approx(hardness, rel=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_a_harder_rubber_is_stiffer(name):
    found = RELATIONS[name]
    steps = [found.low + (found.high - found.low) * number / 50 for number in range(51)]
    moduli = [moduli_of_hardness(name, hardness, 2000.0) for hardness in steps]
    for field in ("youngs_modulus", "shear_modulus"):
        values = [getattr(one, field) for one in moduli]
        assert values == sorted(set(values))


def test_the_table_between_and_at_its_rows():
    rows = lindley_table()
    assert [row.hardness for row in rows] == [30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 75.0]
    assert all(lindley(row.hardness) == row for row in rows)
    half = lindley(62.5)
    assert (half.youngs_modulus, half.shear_modulus, half.bulk_modulus) == pytest.approx((5.15, 1.215, 1180.0))
    assert [row.hardness for row in rows_around(62.5)] == [60.0, 65.0]


def test_shear_modulus_of_an_isotropic_solid():
    """E = 2 G (1 + ν) and E = 9 K G/(3 K + G), whatever E and K."""
    for young, bulk in ((2.5, 1000.0), (5.5, 1270.0), (100.0, 50.0)):
        shear = shear_modulus(young, bulk)
        assert 2 * shear * (1 + poisson_ratio(shear, bulk)) == pytest.approx(young, rel=1e-12)
        assert 9 * bulk * shear / (3 * bulk + shear) == pytest.approx(young, rel=1e-12)


def test_where_each_value_comes_from():
    """Lindley's G is its own column; Gent's follows from E and K; K is Lindley's where none is given."""
    assert moduli_of_hardness("lindley", 60).shear_modulus == 1.06
    gent = moduli_of_hardness("gent", 60)
    assert (gent.bulk_modulus, gent.shear_modulus) == (1150.0, shear_modulus(gent.youngs_modulus, 1150.0))
    assert moduli_of_hardness("gent", 60, 2000.0).bulk_modulus == 2000.0
    assert moduli_of_hardness("gent", 80, 2000.0).poisson_ratio < 0.5


def test_which_relations_stand_beside():
    assert [other.name for other in others_at("gent", 60)] == ["lindley", "ruess"]
    assert [other.name for other in others_at("gent", 70)] == ["lindley"]
    assert [other.name for other in others_at("gent", 79)] == []


@pytest.mark.parametrize(("call", "words"), [
    (lambda: moduli_of_hardness("ruess", 72), "hardness = 72 Shore A must lie from 30 to 60 Shore A for Ruess's relation; take "
     "relation lindley (30 to 75 IRHD) or relation gent (40 to 80 Shore A), or measure the modulus"),
    (lambda: moduli_of_hardness("gent", 20), "hardness = 20 Shore A must lie from 40 to 80 Shore A for Gent's relation of 1958; "
     "no relation here reaches it: measure the modulus"),
    (lambda: lindley(29.9), "hardness = 29.9 IRHD must lie from 30 to 75 IRHD"),
    (lambda: moduli_of_hardness("gent", 78), "bulk_modulus is missing, and Lindley's table, which would give it, goes from 30 "
     "to 75 IRHD and does not reach hardness = 78; give bulk_modulus"),
    (lambda: moduli_of_hardness("lindley", float("nan")), "hardness = nan IRHD must lie from 30"),
    (lambda: hardness_of_modulus("ruess", 9.0), "youngs_modulus = 9 MPa must lie from 1.16 to 5.88 MPa for Ruess's relation"),
])
def test_outside_a_relation(call, words):
    with pytest.raises(RubberRangeError) as caught:
        call()
    assert words in str(caught.value)


def test_a_bulk_modulus_too_small_is_named():
    with pytest.raises(ValueError, match=r"youngs_modulus = 5\.52051 MPa must .* below three times bulk_modulus = 1 MPa"):
        moduli_of_hardness("gent", 70, 1.0)
