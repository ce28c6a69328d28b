"""A ring that yields under outer pressure: equilibrium, limits, elastic unloading, losses that are kept."""

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.mechanics.fit import (
    RingFit,
    Tube,
    elastic_state,
    first_loading,
    first_yield_pressure,
    joint_pressure,
    state_after,
    yielded_pressure,
)

STRENGTH = 260.0
RING = Tube(34.0, 38.0, 70e3, 0.33)
EYE = Tube(38.0, 53.0, 210e3, 0.3)
FIT = RingFit((RING,), EYE, 45.0)
shares = st.floats(0.02, 0.98)
rubber = st.floats(0.0, 10.0)


def radial_stress_behind_the_plastic_zone(rho, inside, steps=4000):
    """r·σ_r grows by σ_θ = −R_e per mm from −a·p_i: equilibrium, integrated in steps."""
    moment, width = -RING.inner_radius * inside, (rho - RING.inner_radius) / steps
    for _ in range(steps):
        moment += -STRENGTH * width
    return moment / rho


@settings(deadline=None)
@given(shares, rubber)
def test_yielded_ring_is_in_equilibrium_and_at_yield(share, inside):
    """The elastic rest of the ring, as a tube of its own, yields at its inner face and has the stated shrinkage."""
    rho = RING.inner_radius + share * (RING.outer_radius - RING.inner_radius)
    pressure, shrinkage = yielded_pressure(RING, rho, STRENGTH, inside)
    rest = Tube(rho, RING.outer_radius, RING.youngs_modulus, RING.poisson_ratio)
    behind = -radial_stress_behind_the_plastic_zone(rho, inside)
    assert rest.stress(rho, behind, pressure)[1] == pytest.approx(-STRENGTH, rel=1e-9)
    by_lame = pressure * rest.inward_flexibility - rest.widening(behind)
    assert shrinkage == pytest.approx(by_lame, rel=1e-8)


@settings(deadline=None)
@given(rubber)
def test_pressure_lies_between_first_yield_and_the_fully_plastic_ring(inside):
    """Limits: first yield of the elastic ring; q = R_e·(1 − a/b) + p_i·a/b when the whole wall has yielded."""
    a, b = RING.inner_radius, RING.outer_radius
    assert yielded_pressure(RING, a, STRENGTH, inside)[0] == pytest.approx(
        first_yield_pressure(RING, STRENGTH, inside), rel=1e-12
    )
    limit = STRENGTH * (1 - a / b) + inside * a / b
    assert yielded_pressure(RING, b, STRENGTH, inside)[0] == pytest.approx(limit, rel=1e-12)
    squeezed = first_loading(RingFit((RING,), EYE, 45.0, inner_pressure=inside), 1.0, STRENGTH)
    assert squeezed.pressures[0] == pytest.approx(limit, rel=1e-9)


def test_thin_ring_carries_the_boiler_formula():
    """Limit: a thin ring has no room between first yield and full plasticity, p = R_e·t/r."""
    thin = Tube(100.0, 100.1, 70e3, 0.33)
    for pressure in (first_yield_pressure(thin, STRENGTH), yielded_pressure(thin, 100.1, STRENGTH)[0]):
        assert pressure == pytest.approx(STRENGTH * 0.1 / 100.0, rel=2e-3)


def test_pressure_rises_steadily_through_yield():
    """No jump at first yield, none at full plasticity, never falling, never above the elastic pressure."""
    loads = [0.001 * step for step in range(200)]
    pressures = [first_loading(FIT, load, STRENGTH).mean for load in loads]
    rises = [after - before for before, after in zip(pressures, pressures[1:], strict=False)]
    stiffness = elastic_state(FIT, 0.001).mean
    assert all(-1e-9 <= rise <= stiffness * (1 + 1e-9) for rise in rises)
    assert rises[0] == pytest.approx(stiffness, rel=1e-9)
    assert rises[-1] == pytest.approx(0.0, abs=1e-9)


@settings(deadline=None)
@given(st.floats(0.14, 0.3))
def test_back_at_the_greatest_interference_nothing_changes(load):
    """The loss is defined by elastic unloading: at the load itself the pressure is that of the first loading."""
    loaded = first_loading(FIT, load, STRENGTH)
    assert loaded.lost[0] > 0
    assert elastic_state(FIT, load, loaded.lost).mean == pytest.approx(loaded.mean, rel=1e-9)


@settings(deadline=None)
@given(st.floats(0.14, 0.3))
def test_unloading_does_not_yield_again(load):
    """Residual hoop stress inside after pressing out stays below yield: p ≤ 2·(pressure of first yield)."""
    pressure = first_loading(FIT, load, STRENGTH).mean
    residual = -STRENGTH - RING.stress(RING.inner_radius, 0.0, pressure)[1]
    assert abs(residual) <= STRENGTH


def test_loss_of_the_hot_state_is_missing_cold_and_the_order_does_not_matter():
    """Elastic–plastic by hand: interference 0.085 mm new, 0.15 hot, 0.06 cold."""
    new, hot, cold = (0.085, STRENGTH), (0.15, STRENGTH), (0.06, STRENGTH)
    lost = first_loading(FIT, *hot).lost[0]
    assert lost > 0 and first_loading(FIT, *new).lost[0] == 0
    after = state_after(FIT, cold[0], [new, hot, cold])
    assert after.mean == pytest.approx(joint_pressure(RING, EYE, cold[0] - lost), rel=1e-9)
    assert state_after(FIT, cold[0], [cold, hot, new]).mean == pytest.approx(after.mean, rel=1e-12)


def test_a_steel_ring_in_an_aluminium_eye_loses_in_the_cold_and_misses_it_hot():
    """The other order: cold is the tight state, the hot state after it has lost what yielded."""
    fit = RingFit((Tube(34.0, 38.0, 210e3, 0.3),), Tube(38.0, 60.0, 70e3, 0.33), 45.0)
    tight, loose = (0.16, 355.0), (0.09, 355.0)
    lost = first_loading(fit, *tight).lost[0]
    assert lost > 0
    after, before = state_after(fit, loose[0], [tight, loose]), state_after(fit, loose[0], [loose])
    assert after.mean < before.mean


def test_a_lost_fit_is_loose():
    loose = elastic_state(FIT, 0.01, (0.02,))
    assert loose.mean == 0.0 and loose.widening == 0.0


def test_never_yields_without_limit():
    assert first_loading(FIT, 0.3, inf).mean == pytest.approx(elastic_state(FIT, 0.3).mean, rel=1e-12)


@settings(deadline=None)
@given(rubber)
def test_rubber_inside_presses_the_ring_outwards(inside):
    """Superposition: the rubber adds its widening over both flexibilities to the joint pressure."""
    fit = RingFit((RING,), EYE, 45.0, inner_pressure=inside)
    both = RING.inward_flexibility + EYE.outward_flexibility
    plus = RING.widening(inside) / both
    assert elastic_state(fit, 0.06).mean == pytest.approx(elastic_state(FIT, 0.06).mean + plus, rel=1e-9)
