"""Whole joints: an independent 3-D quadrature, sums of the breakdown, and how a mass follows its parts."""
from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.mechanics.mass import joint_masses, part_solids, pin_solid
from dossier.mechanics.shapes import (
    Bore,
    Core,
    Eye,
    GeometryError,
    HalfShells,
    JointShape,
    Layer,
    Pin,
    PinEnds,
    Rings,
    ball_contour,
    contour_radius,
)

ENDS = PinEnds(flat_thickness=26.0, flat_start=34.0, hole_diameter=17.5, hole_distance=112.0, clamp_edge=38.0)
PIN = Pin(150.0, 29.0, 18.0, 3.0, ENDS)
REFERENCE = JointShape(PIN, Core(), Layer(29.0, 34.0, 50.0, 130.0), Rings(38.0, 22.0, 2.4),
                       Eye(38.0, 53.0, 45.0))
VARIANT = replace(REFERENCE, pin=replace(PIN, bores=(Bore(18.0, -75.0, 75.0),)))
STEEL, RUBBER, ALUMINIUM, POLYMER = 7850.0, 1120.0, 2700.0, 1140.0
ALL_STEEL = {"pin": STEEL, "layer": RUBBER, "ring": STEEL}
LIGHT_RINGS = {"pin": STEEL, "layer": RUBBER, "ring": ALUMINIUM}

PINS = {
    "solid": PIN,
    "through bore": VARIANT.pin,
    "bore wider than the hole": replace(PIN, bores=(Bore(24.0, -75.0, 75.0),)),
    "bores ending inside the holes": replace(PIN, bores=(Bore(14.0, -75.0, -52.0), Bore(9.0, -52.0, 10.0),
                                                         Bore(20.0, 30.0, 60.0))),
    "round ends": replace(PIN, ends=replace(ENDS, flat_thickness=0.0), bores=(Bore(18.0, 0.0, 75.0),)),
}


def panels(breaks: list[float], count: int = 48) -> tuple[np.ndarray, np.ndarray]:
    """Gauss points between sorted breaks after x = middle − half·cos(t), which removes roots at both ends."""
    node, weight = np.polynomial.legendre.leggauss(count)
    angle = (node + 1) * math.pi / 2
    low, high = np.array(breaks[:-1])[:, None], np.array(breaks[1:])[:, None]
    half = (high - low) / 2
    return (((low + high) / 2 - half * np.cos(angle)).ravel(),
            (half * np.sin(angle) * weight * math.pi / 2).ravel())


def slice_moments(pin: Pin, z: float) -> tuple[float, float, float]:
    """Area, ∫b² and ∫c² of the steel at height z, from columns along the bolt direction b."""
    ends, outer = pin.ends, float(contour_radius(pin, z))
    flat = ends.flat_thickness / 2 if ends.flat_thickness and abs(z) > ends.flat_start else math.inf
    bore = next((b.diameter / 2 for b in pin.bores if b.start < z < b.end), 0.0)
    square = (ends.hole_diameter / 2) ** 2 - (abs(z) - ends.hole_distance / 2) ** 2
    hole = math.sqrt(square) if square > 0 else 0.0
    kinks = {0.0, outer, hole, bore}
    if flat < outer:
        kinks.add(math.sqrt(outer**2 - flat**2))
    c, weight = panels(sorted(kink for kink in kinks if kink <= outer))
    high = np.minimum(np.sqrt(np.maximum(outer**2 - c**2, 0.0)), flat)
    low = np.sqrt(np.maximum(bore**2 - c**2, 0.0))
    open_column = c > hole
    length, square_b = 2 * (high - low) * open_column, 2 / 3 * (high**3 - low**3) * open_column
    return tuple(2 * float(weight @ values) for values in (length, square_b, length * c**2))


def quadrature(pin: Pin) -> tuple[float, ...]:
    """Volume, ∫z, ∫z², ∫b², ∫c² of the steel by slices, with breaks where a slice changes form."""
    contour, ends, hole = ball_contour(pin), pin.ends, pin.ends.hole_diameter / 2
    heights = {0.0, contour.tangent[1], contour.fillet_end, ends.flat_start, pin.length / 2}
    heights |= {ends.hole_distance / 2 + d for d in (-hole, 0.0, hole)}
    for bore in pin.bores:
        heights |= {abs(bore.start), abs(bore.end)}
        if bore.diameter / 2 < hole:
            level = math.sqrt(hole**2 - bore.diameter**2 / 4)
            heights |= {ends.hole_distance / 2 - level, ends.hole_distance / 2 + level}
    breaks = sorted({side * height for height in heights for side in (-1, 1)})
    z, weight = panels(breaks)
    area, bolt, cross = np.array([slice_moments(pin, height) for height in z]).T
    return tuple(float(weight @ values) for values in (area, area * z, area * z**2, bolt, cross))


@pytest.mark.parametrize("name", PINS)
def test_pin_against_independent_slices(name):
    """Both are quadratures of smooth panels; 1e-9 leaves room for the 48-point panels of the test."""
    solid = pin_solid(PINS[name])
    expected = quadrature(PINS[name])
    found = (solid.volume, solid.first_z, solid.second_z, solid.second_bolt, solid.second_cross)
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * solid.volume * PIN.length)


def test_variant_against_random_points():
    """2·10⁵ points in the pin's box: the volume must lie within four standard errors."""
    rng = np.random.default_rng(11)
    pin, count = VARIANT.pin, 200_000
    c, b = rng.uniform(-29, 29, (2, count))
    z = rng.uniform(-75, 75, count)
    r = np.hypot(c, b)
    inside = (r < contour_radius(pin, z)) & (r > 9.0) & ~((np.abs(z) > 34) & (np.abs(b) > 13))
    inside &= c**2 + (np.abs(z) - 56) ** 2 > 8.75**2
    box, share = 58 * 58 * 150, inside.mean()
    assert abs(pin_solid(pin).volume - box * share) < 4 * box * math.sqrt(share * (1 - share) / count)


def test_rings_by_cylinder_less_ball_zone():
    """∫π(R² − (ρ² − z²))dz over both rings."""
    ring = part_solids(REFERENCE)["ring"]
    span = 22.0 - 1.2
    expected = 2 * math.pi * ((38**2 - 34**2) * span + (22.0**3 - 1.2**3) / 3)
    assert ring.volume == pytest.approx(expected, rel=1e-12)


def test_demo_joint_is_of_the_size_of_the_part_it_describes():
    """Plausibility only: reference about 1.9 kg, bored variant with aluminium rings about 0.55 kg lighter."""
    reference, variant = joint_masses(REFERENCE, ALL_STEEL), joint_masses(VARIANT, LIGHT_RINGS)
    assert 1.85 < reference.total < 1.95
    assert 0.50 < reference.total - variant.total < 0.60
    bored = reference.mass_of("pin") - variant.mass_of("pin")
    plain = math.pi * 81 * 150 * STEEL * 1e-9
    crossing = 2 * 2 * math.pi * 8.75**2 * 9.0 * STEEL * 1e-9
    assert plain - crossing < bored < plain


def test_breakdown_adds_up_and_takes_further_parts_as_points():
    rest = [("retaining ring", 0.031, 20.0), ("plug", 0.004, -70.0)]
    masses = joint_masses(VARIANT, LIGHT_RINGS, rest)
    assert [part.name for part in masses.parts] == ["pin", "layer", "ring", "retaining ring", "plug"]
    assert masses.total == pytest.approx(sum(part.mass for part in masses.parts), rel=1e-15)
    assert masses.mass_of("plug") == 0.004 and masses.mass_of("core") == 0.0
    assert masses.centre_z == pytest.approx((0.031 * 20 - 0.004 * 70) / masses.total, rel=1e-9)
    plain = joint_masses(VARIANT, LIGHT_RINGS)
    assert plain.centre_z == pytest.approx(0.0, abs=1e-9)
    assert masses.inertia_axial == plain.inertia_axial
    assert masses.inertia_transverse - plain.inertia_transverse == pytest.approx(0.031 * 400 + 0.004 * 4900)
    for part in plain.parts:
        assert part.mass == pytest.approx(part.volume * {**LIGHT_RINGS}[part.name] * 1e-9, rel=1e-15)


def test_flats_make_the_bolt_direction_the_stiffer_one():
    with_flats = joint_masses(REFERENCE, ALL_STEEL)
    round_pin = replace(PIN, ends=replace(ENDS, flat_thickness=0.0, hole_diameter=0.0))
    assert with_flats.transverse_difference > 0
    assert joint_masses(replace(REFERENCE, pin=round_pin), ALL_STEEL).transverse_difference == 0.0


def test_filling_a_bore_adds_the_core_less_what_the_bolts_cut():
    bores = (Bore(18.0, -75.0, 75.0, filled=True),)
    filled = replace(REFERENCE, pin=replace(PIN, bores=bores), core=Core("bore_fill"))
    solids, empty = part_solids(filled), part_solids(VARIANT)
    assert solids["pin"] == empty["pin"]
    assert solids["pin"].volume + solids["core"].volume == pytest.approx(pin_solid(PIN).volume, rel=1e-12)
    masses = joint_masses(filled, {**LIGHT_RINGS, "core": POLYMER})
    assert masses.total - joint_masses(VARIANT, LIGHT_RINGS).total == pytest.approx(
        POLYMER * 1e-9 * solids["core"].volume, rel=1e-12)
    assert solids["core"].volume < math.pi * 81 * 150


def test_ball_of_core_material_completes_the_straight_pin():
    straight = replace(REFERENCE, pin=replace(PIN, straight_radius=18.0), core=Core("ball_contour"))
    solids = part_solids(straight)
    assert solids["pin"].volume + solids["core"].volume == pytest.approx(pin_solid(PIN).volume, rel=1e-12)
    assert solids["core"].centre_z == pytest.approx(0.0, abs=1e-12)


def test_half_shells_are_the_closed_shell_less_two_slots():
    open_shell = part_solids(replace(REFERENCE, carrier=HalfShells(38.0, 22.0, 2.0)))["half_shell"]
    closed = part_solids(replace(REFERENCE, carrier=HalfShells(38.0, 22.0, 0.0)))["half_shell"]
    rings = part_solids(replace(REFERENCE, carrier=Rings(38.0, 22.0, 0.0)))["ring"]
    assert closed.volume == pytest.approx(rings.volume, rel=1e-12)
    area = 38 * 44 - (22 * math.sqrt(34**2 - 22**2) + 34**2 * math.asin(22 / 34))
    assert closed.volume - open_shell.volume == pytest.approx(2 * 2.0 * area, rel=1e-10)
    assert closed.axial > open_shell.axial


def test_bore_on_one_side_moves_the_centre_of_gravity_away_from_it():
    one_sided = replace(REFERENCE, pin=replace(PIN, bores=(Bore(18.0, 10.0, 75.0),)))
    mirrored = replace(REFERENCE, pin=replace(PIN, bores=(Bore(18.0, -75.0, -10.0),)))
    first, second = joint_masses(one_sided, ALL_STEEL), joint_masses(mirrored, ALL_STEEL)
    assert first.centre_z < -0.5
    assert second.centre_z == pytest.approx(-first.centre_z, rel=1e-10)
    assert second.inertia_transverse == pytest.approx(first.inertia_transverse, rel=1e-10)


def test_eye_is_not_counted():
    assert joint_masses(replace(REFERENCE, eye=None), ALL_STEEL) == joint_masses(REFERENCE, ALL_STEEL)


@settings(max_examples=30, deadline=None)
@given(factor=st.floats(0.2, 3), density=st.floats(900, 9000))
def test_mass_is_linear_in_density(factor, density):
    first = joint_masses(REFERENCE, {"pin": density, "layer": density, "ring": density})
    second = joint_masses(REFERENCE, {name: density * factor for name in ALL_STEEL})
    assert second.total == pytest.approx(factor * first.total, rel=1e-12)
    assert second.inertia_transverse == pytest.approx(factor * first.inertia_transverse, rel=1e-12)


@pytest.mark.parametrize(("densities", "message"), [
    ({"pin": STEEL, "ring": STEEL}, "densities.layer is missing; give the density of the layer in kg/m³"),
    ({**ALL_STEEL, "pin": 0.0}, "densities.pin = 0.0 kg/m³ must exceed 0 kg/m³"),
    ({**ALL_STEEL, "pin": math.nan}, "densities.pin = nan kg/m³ must exceed 0 kg/m³"),
    ({**ALL_STEEL, "rings": STEEL}, "densities.rings names no region; use one of pin, core")])
def test_unusable_densities_are_named(densities, message):
    with pytest.raises(ValueError, match=message.replace(".", r"\.")):
        joint_masses(REFERENCE, densities)


@pytest.mark.parametrize(("part", "message"), [
    (("plug", -0.1, 0.0), "rest.plug = -0.1 kg must be at least 0 kg"),
    (("plug", 0.1, math.nan), "rest.plug at z = nan mm must be finite")])
def test_unusable_further_parts_are_named(part, message):
    with pytest.raises(ValueError, match=message.replace(".", r"\.")):
        joint_masses(REFERENCE, ALL_STEEL, [part])


def test_a_joint_that_does_not_fit_has_no_mass():
    with pytest.raises(GeometryError, match=r"pin\.bores\[0\]\.diameter = 30\.0 mm must be below"):
        joint_masses(replace(REFERENCE, pin=replace(PIN, bores=(Bore(30.0, -75.0, 75.0),))), ALL_STEEL)
