"""Bolt and clamped parts: the pressure cone, contact area, torsion, temperature, and inputs that are refused."""

from math import log, pi, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.mechanics.clamp import (
    Bolt,
    Layer,
    assembly_preload,
    bearing_area,
    bolt_resilience,
    clamped_segments,
    cone_slope,
    thermal_gap,
    torque_lever,
    working_stress,
)

STEEL, ALUMINIUM = 210e3, 70e3
HEAD, HOLE = 22.5, 17.5
M16 = Bolt(16.0, 2.0, 940.0)


def total(segments):
    return sum(segment.resilience for segment in segments)


@pytest.mark.parametrize("cut", [10.0, 25.0, 40.0])
@pytest.mark.parametrize("outer", [24.0, 30.0, 200.0])
@pytest.mark.parametrize("tapped", [False, True])
def test_cone_of_one_material(cut, outer, tapped):
    """One material in two layers, wherever they meet: the closed forms of VDI 2230-1 for cone and cone with sleeve,
    from memory, not checked against its text; w = 1 with nut, 2 in a tapped hole."""
    grip, w = 50.0, 2 if tapped else 1
    slope = cone_slope(grip, HEAD, outer, tapped=tapped)
    widest = HEAD + w * grip * slope
    if outer >= widest:
        ratio = (HEAD + HOLE) * (widest - HOLE) / ((HEAD - HOLE) * (widest + HOLE))
        expected = 2 * log(ratio) / (w * STEEL * pi * HOLE * slope)
    else:
        ratio = (HEAD + HOLE) * (outer - HOLE) / ((HEAD - HOLE) * (outer + HOLE))
        sleeve = 4 / (outer**2 - HOLE**2) * (grip - (outer - HEAD) / (w * slope))
        expected = (2 / (w * HOLE * slope) * log(ratio) + sleeve) / (STEEL * pi)
    layers = [Layer(cut, STEEL), Layer(grip - cut, STEEL)]
    assert total(clamped_segments(layers, HEAD, HOLE, outer, tapped=tapped)) == pytest.approx(expected, rel=1e-12)


@settings(deadline=None)
@given(st.floats(5.0, 45.0), st.floats(23.0, 80.0))
def test_layers_of_two_materials_by_quadrature(cut, outer):
    """Analytic: resilience is the integral of dz/(E·A) through both cones."""
    grip = 50.0
    layers = [Layer(cut, STEEL), Layer(grip - cut, ALUMINIUM)]
    slope = cone_slope(grip, HEAD, outer)
    z = (np.arange(100_000) + 0.5) * grip / 100_000
    diameter = np.minimum(HEAD + 2 * slope * np.minimum(z, grip - z), outer)
    modulus = np.where(z < cut, STEEL, ALUMINIUM)
    by_sum = np.sum(4 / (modulus * pi * (diameter**2 - HOLE**2))) * grip / len(z)
    assert total(clamped_segments(layers, HEAD, HOLE, outer)) == pytest.approx(by_sum, rel=1e-4)


def test_parts_narrower_than_the_head_are_a_sleeve():
    segments = clamped_segments([Layer(26.0, STEEL), Layer(20.0, STEEL)], HEAD, HOLE, 20.0)
    assert not any(segment.cone for segment in segments)
    assert total(segments) == pytest.approx(4 * 46.0 / (pi * STEEL * (20.0**2 - HOLE**2)), rel=1e-12)


def test_resilience_of_a_plain_rod():
    """Limit: without thread in the grip what is left besides the shank is head, engaged thread and nut."""
    short, long = bolt_resilience(M16, 30.0, 30.0), bolt_resilience(M16, 80.0, 80.0)
    assert long - short == pytest.approx(50.0 / (M16.shank_area * M16.youngs_modulus), rel=1e-12)
    threaded = bolt_resilience(M16, 80.0, 30.0)
    assert threaded - short == pytest.approx(50.0 / (M16.core_area * M16.youngs_modulus), rel=1e-12)
    assert bolt_resilience(M16, 30.0, 30.0, socket_head=True, tapped=True) < short


def test_contact_area_without_and_with_overhang():
    """Analytic: annulus; a head that overhangs on both sides against quadrature of the strip."""
    assert bearing_area(24.0, 18.0, 40.0) == pytest.approx(pi / 4 * (24.0**2 - 18.0**2), rel=1e-12)
    x = (np.arange(200_000) + 0.5) / 200_000 * 10.0
    strip = 4 * np.sum(np.sqrt(12.0**2 - x**2)) * 10.0 / len(x)
    assert bearing_area(24.0, 18.0, 20.0) == pytest.approx(strip - pi / 4 * 18.0**2, rel=1e-8)


@settings(deadline=None)
@given(st.floats(0.05, 0.25), st.floats(0.5, 1.0))
def test_preload_uses_the_stated_share_of_the_yield_strength(friction, utilisation):
    """Analytic: tension and full torsion of tightening, with W of yielding sections (π·d³/12), give ν·R_p."""
    force = assembly_preload(M16, friction, utilisation)
    torque = force * M16.flank_diameter / 2 * (M16.pitch / (pi * M16.flank_diameter) + 1.155 * friction)
    tension = force / M16.stress_area
    torsion = torque * 12 / (pi * M16.stress_diameter**3)
    assert sqrt(tension**2 + 3 * torsion**2) == pytest.approx(utilisation * M16.yield_strength, rel=1e-12)


def test_frictionless_thread_has_the_lever_of_its_lead():
    """Limit: without friction a turn of 2π lifts one pitch, 0.16·P ≈ P/(2π) within the rounding of 0.16."""
    assert torque_lever(M16, 0.0, 0.0, HEAD, HOLE) == pytest.approx(M16.pitch / (2 * pi), rel=0.006)


def test_half_of_the_torsion_is_left_in_service():
    plain = working_stress(M16, 80e3, 0.0, 0.12)
    assert plain == pytest.approx(80e3 / M16.stress_area, rel=1e-12)
    torsion = 16 / (pi * M16.stress_diameter**3) * 80e3 * M16.flank_diameter / 2
    torsion *= M16.pitch / (pi * M16.flank_diameter) + 1.155 * 0.12
    assert working_stress(M16, 80e3, 80e3, 0.12) == pytest.approx(sqrt(plain**2 + 0.75 * torsion**2), rel=1e-12)


def test_parts_that_grow_like_the_bolt_change_nothing():
    assert thermal_gap([26.0, 20.0], [12e-6, 12e-6], 12e-6) == 0.0
    assert thermal_gap([26.0, 20.0], [23e-6, 12e-6], 12e-6) == pytest.approx(26.0 * 11e-6)


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        (lambda: Bolt(16.0, 9.0, 940.0), "bolt.pitch = 9 mm must lie between 0 and half of bolt.diameter = 16 mm"),
        (lambda: bolt_resilience(M16, 30.0, 40.0), "shank_length = 40 mm must lie between 0 and the grip 30 mm"),
        (lambda: clamped_segments([Layer(30.0, STEEL)], 17.0, HOLE, 30.0), "head_bearing_diameter = 17 mm must exceed"),
        (lambda: clamped_segments([Layer(30.0, STEEL)], HEAD, HOLE, 17.0), "clamped_diameter = 17 mm must exceed"),
        (lambda: bearing_area(18.0, 18.0, 40.0), "must exceed the hole's edge 18 mm; reduce the chamfer"),
        (lambda: bearing_area(24.0, 18.0, 18.0), "flat's width 18 mm must exceed the hole's edge 18 mm; widen"),
    ],
)
def test_what_does_not_fit_is_refused(wrong, told):
    with pytest.raises(ValueError, match=told):
        wrong()
