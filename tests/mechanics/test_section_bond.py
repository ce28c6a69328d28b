"""Bonded areas and average stresses against direct numerical integration over the sphere."""
from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.mechanics.bond import bond_ratios, bonded_faces, face_stress
from dossier.mechanics.shapes import Core, GeometryError, HalfShells, JointShape, Layer, Pin, PinEnds, Rings

ENDS = PinEnds(26.0, 34.0, 17.5, 112.0, 38.0)
PIN = Pin(150.0, 29.0, 18.0, 0.0, ENDS)
LAYER = Layer(29.0, 34.0, 50.0, 130.0)
RINGS = JointShape(PIN, Core(), LAYER, Rings(38.0, 22.0, 2.4))
SHELLS = replace(RINGS, carrier=HalfShells(38.0, 22.0, 2.0))
SKEW = replace(RINGS, layer=replace(LAYER, polar_start=45.0, polar_end=115.0), carrier=Rings(38.0, 24.5, 3.0))
CASES = [(RINGS, 0), (RINGS, 1), (SHELLS, 1), (SKEW, 0), (SKEW, 1)]


def integrals(joint: JointShape, face: int) -> dict[str, float]:
    """Composite Gauss in the polar angle, breaking at the gap; slots as a share of the circumference."""
    radius = (joint.layer.inner_radius, joint.layer.outer_radius)[face]
    gap = joint.carrier.gap if face and isinstance(joint.carrier, Rings) else 0.0
    slot = joint.carrier.parting_gap if face and isinstance(joint.carrier, HalfShells) else 0.0
    edge = math.acos(gap / 2 / radius)
    first, last = math.radians(joint.layer.polar_start), math.radians(joint.layer.polar_end)
    breaks = [first, edge, math.pi - edge, last]
    node, weight = np.polynomial.legendre.leggauss(40)
    total = dict.fromkeys(("area", "lever", "lever_square", "radial_projection"), 0.0)
    axial = []
    for low, high in (breaks[:2], breaks[2:]):
        polar = (low + high) / 2 + (high - low) / 2 * node
        step = weight * (high - low) / 2 * radius
        r = radius * np.sin(polar)
        around = 2 * math.pi * r - 2 * slot
        total["area"] += step @ around
        total["lever"] += step @ (around * r)
        total["lever_square"] += step @ (around * r**2)
        # of the loaded half circle, cos φ dφ makes 2; the slot faces the load
        total["radial_projection"] += step @ ((2 * r - slot) * np.sin(polar))
        axial.append(step @ (around * np.abs(np.cos(polar))))
    return {**total, "axial_projection": min(axial)}


@pytest.mark.parametrize(("joint", "face"), CASES)
def test_closed_forms_against_quadrature(joint, face):
    found = bonded_faces(joint)[face]
    for name, expected in integrals(joint, face).items():
        assert getattr(found, name) == pytest.approx(expected, rel=1e-12), name


def test_zone_areas_of_the_demo_joint():
    """2πR²(cos θ1 − cos θ2), outside less the band of the gap 2πR·gap."""
    inner, outer = bonded_faces(RINGS)
    share = 2 * math.cos(math.radians(50))
    assert inner.area == pytest.approx(2 * math.pi * 29**2 * share, rel=1e-12)
    assert outer.area == pytest.approx(2 * math.pi * 34**2 * share - 2 * math.pi * 34 * 2.4, rel=1e-12)
    assert bonded_faces(SHELLS)[0] == inner


def test_slots_take_their_width_times_the_arc_between_the_bonded_edges():
    closed = bonded_faces(replace(SHELLS, carrier=HalfShells(38.0, 22.0, 0.0)))[1]
    slots = 2 * 2.0 * 34 * math.radians(80)
    assert closed.area - bonded_faces(SHELLS)[1].area == pytest.approx(slots, rel=1e-10)


def test_greatest_lever_is_at_the_equator_or_at_the_gap():
    assert bonded_faces(RINGS)[0].greatest_lever == 29.0
    assert bonded_faces(RINGS)[1].greatest_lever == pytest.approx(math.sqrt(34**2 - 1.2**2))
    above = replace(SHELLS, layer=replace(LAYER, polar_end=80.0))
    assert bonded_faces(above)[0].greatest_lever == pytest.approx(29 * math.sin(math.radians(80)))


def test_stresses_carry_the_loads_they_come_from():
    """Putting each assumed stress field back over the face returns force or torque."""
    inner = bonded_faces(RINGS)[0]
    stress = face_stress(inner, radial_force=40_000.0, axial_force=9_000.0, torque=300_000.0)
    polar = np.linspace(math.radians(50), math.radians(130), 200_001)
    ring = 2 * math.pi * 29**2 * np.sin(polar)
    r = 29 * np.sin(polar)

    def over_face(values: np.ndarray) -> float:
        return float(np.trapezoid(values * ring, polar))

    assert over_face(np.full_like(polar, stress.radial_traction)) == pytest.approx(40_000, rel=1e-8)
    assert over_face(stress.axial_shear * np.sin(polar)) == pytest.approx(9_000, rel=1e-8)
    assert over_face(stress.torsion_shear * r) == pytest.approx(300_000, rel=1e-8)
    assert over_face(stress.torsion_peak * r / 29 * r) == pytest.approx(300_000, rel=1e-8)
    # uniform pressure on the half facing the load: ∫cos φ dφ = 2 over the half circle
    half = stress.radial_pressure * np.sin(polar) * 29**2 * np.sin(polar) * 2
    assert float(np.trapezoid(half, polar)) == pytest.approx(40_000, rel=1e-8)
    upper = polar < math.pi / 2
    pressed = stress.axial_pressure * np.cos(polar) * ring
    assert float(np.trapezoid(pressed[upper], polar[upper])) == pytest.approx(9_000, rel=1e-4)
    assert stress.axial_traction == pytest.approx(9_000 / inner.area)


def test_full_sphere_limits():
    """Towards the full sphere: area 4πR², radial projection πR², ∫r² dA = 8πR⁴/3."""
    pin = Pin(4000.0, 29.0, 0.001, 0.0, PinEnds(0.0, 0.0, 0.0, 112.0, 38.0))
    joint = JointShape(pin, Core(), Layer(29.0, 34.0, 0.01, 179.99), HalfShells(38.0, 33.9999999, 0.0))
    inner = bonded_faces(joint)[0]
    assert inner.area == pytest.approx(4 * math.pi * 29**2, rel=1e-6)
    assert inner.radial_projection == pytest.approx(math.pi * 29**2, rel=1e-6)
    assert inner.axial_projection == pytest.approx(math.pi * 29**2, rel=1e-6)
    assert inner.lever_square == pytest.approx(8 / 3 * math.pi * 29**4, rel=1e-6)
    assert inner.lever == pytest.approx(math.pi**2 * 29**3, rel=1e-6)


def test_layer_on_one_side_only_has_no_axial_pressure_in_both_directions():
    face = bonded_faces(replace(SHELLS, layer=replace(LAYER, polar_end=80.0)))[0]
    assert face.axial_projection == 0.0
    assert face_stress(face, axial_force=1000.0).axial_pressure is None
    assert face_stress(face, axial_force=1000.0).axial_shear > 0


def test_smaller_ball_raises_the_average_stress_with_the_square():
    """A ball 10 % smaller: 1/0.9² = 1.235, "about 23 %"."""
    small = replace(RINGS, pin=replace(PIN, ball_radius=26.1), layer=replace(LAYER, inner_radius=26.1))
    inner, outer = bond_ratios(RINGS, small)
    assert inner.area == pytest.approx(0.81, rel=1e-12)
    assert inner.stress == pytest.approx(1 / 0.81, rel=1e-12)
    assert (outer.area, outer.stress) == (1.0, 1.0)
    assert inner.variant_area == pytest.approx(0.81 * inner.reference_area)


@settings(max_examples=30, deadline=None)
@given(scale=st.floats(0.2, 5), gap=st.floats(0, 20))
def test_areas_scale_and_shrink_with_the_gap(scale, gap):
    joint = replace(RINGS, carrier=Rings(38.0, 22.0, gap))
    ends = PinEnds(26 * scale, 34 * scale, 17.5 * scale, 112 * scale, 38 * scale)
    large = JointShape(Pin(150 * scale, 29 * scale, 18 * scale, 0.0, ends), Core(),
                       Layer(29 * scale, 34 * scale, 50.0, 130.0), Rings(38 * scale, 22 * scale, gap * scale))
    for first, second in zip(bonded_faces(joint), bonded_faces(large), strict=True):
        assert second.area == pytest.approx(first.area * scale**2, rel=1e-9)
        assert second.lever_square == pytest.approx(first.lever_square * scale**4, rel=1e-9)
    assert bonded_faces(joint)[1].area <= bonded_faces(replace(RINGS, carrier=Rings(38.0, 22.0, 0.0)))[1].area


@pytest.mark.parametrize(("load", "message"), [
    ({"radial_force": -1.0}, "radial_force = -1.0 N must be at least 0 N"),
    ({"axial_force": math.nan}, "axial_force = nan N must be at least 0 N"),
    ({"torque": math.inf}, "torque = inf N·mm must be at least 0 N·mm")])
def test_unusable_loads_are_named(load, message):
    with pytest.raises(ValueError, match=message.replace(".", r"\.")):
        face_stress(bonded_faces(RINGS)[0], **load)


def test_a_joint_that_does_not_fit_has_no_bonded_faces():
    with pytest.raises(GeometryError, match=r"layer\.polar_start = 30\.0° must be at least"):
        bonded_faces(replace(RINGS, layer=replace(LAYER, polar_start=30.0)))
