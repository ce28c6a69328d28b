"""Press fit of closed rings: known figures, limits, temperature, yielding."""

import pytest

from dossier.mechanics.fit import (
    RingFit,
    Tube,
    elastic_state,
    first_loading,
    first_yield_pressure,
    joint_pressure,
    sliding_force,
    state_after,
    tresca,
    yielded_pressure,
)

STEEL, ALUMINIUM = (210e3, 0.3), (70e3, 0.33)
EYE = Tube(38.0, 53.0, *STEEL)


@pytest.mark.parametrize(
    ("metal", "oversize", "friction", "pressure", "force"),
    [
        (STEEL, 0.130, 0.08, 29, 25), (STEEL, 0.200, 0.16, 45, 77),
        (ALUMINIUM, 0.130, 0.08, 12, 10), (ALUMINIUM, 0.200, 0.16, 19, 32),
    ],
)  # fmt: skip
def test_rings_of_the_demo_as_cylinders(metal, oversize, friction, pressure, force):
    """Ring 68/76, eye 76/106 of steel, 45 mm long: figures of our own hand calculation (Lamé) with the
    pressure rounded to whole MPa, which is 2 % of the force."""
    found = joint_pressure(Tube(34.0, 38.0, *metal), EYE, oversize / 2)
    assert found == pytest.approx(pressure, abs=0.8)
    assert sliding_force(found, friction, 38.0, 45.0) / 1e3 == pytest.approx(force, rel=0.03, abs=0.5)


def test_hoop_stress_of_the_steel_ring_reaches_yield():
    """At the greatest oversize the steel ring is near −450 MPa inside: beyond the yield strength of S355."""
    ring = Tube(34.0, 38.0, *STEEL)
    pressure = joint_pressure(ring, EYE, 0.1)
    assert ring.stress(34.0, 0.0, pressure)[1] == pytest.approx(-450, abs=15)
    assert tresca(*ring.stress(34.0, 0.0, pressure)) > 355


def test_clearance_carries_nothing():
    assert joint_pressure(Tube(34.0, 38.0, *STEEL), EYE, -0.01) == 0.0


def test_first_yield_is_where_tresca_reaches_the_strength():
    ring = Tube(34.0, 38.0, *ALUMINIUM)
    pressure = first_yield_pressure(ring, 260.0)
    assert tresca(*ring.stress(34.0, 0.0, pressure)) == pytest.approx(260.0, rel=1e-12)


def test_yielded_front_at_the_inside_gives_first_yield():
    """Limit: a plastic zone of no depth carries the pressure of first yield."""
    ring = Tube(34.0, 38.0, *ALUMINIUM)
    assert yielded_pressure(ring, 34.0, 260.0)[0] == pytest.approx(first_yield_pressure(ring, 260.0), rel=1e-9)


def _fit(metal=ALUMINIUM):
    return RingFit((Tube(34.0, 38.0, *metal),), EYE, 45.0)


def test_below_yield_loading_is_elastic():
    fit = _fit()
    elastic, loaded = elastic_state(fit, 0.06), first_loading(fit, 0.06, 260.0)
    assert loaded.mean == pytest.approx(elastic.mean, rel=1e-9)
    assert sum(loaded.lost) == pytest.approx(0.0, abs=1e-12)


def test_what_yields_hot_is_missing_cold():
    """An aluminium ring yields in the hot eye; cold afterwards it holds less than without the hot state."""
    fit = _fit()
    cold = 0.05
    without = state_after(fit, cold, ())
    after = state_after(fit, cold, ((0.22, 260.0),))
    assert sum(after.lost) > 0
    assert after.mean < without.mean
