"""Methods against general libraries from the package registries, on numbers that no table holds.

Sources: shapely (BSD) for plane sections, trimesh (MIT) with manifold3d (Apache-2.0) for solids, uncertainties (BSD)
for the propagation of errors, numpy-financial (BSD) for present values, pint (BSD) for units.
"""

from __future__ import annotations

import math

import numpy as np
import numpy_financial
import pint
import pytest
import shapely
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, FillRule, Manifold
from uncertainties import ufloat

from dossier.economics.breakeven import capital_recovery, internal_rate, level_flows, present_value
from dossier.evidence.uncertainty import Contribution, budget_of_ratio
from dossier.mechanics.mass import pin_solid, region_properties
from dossier.mechanics.section import pin_region
from dossier.mechanics.shapes import Bore, Pin, PinEnds
from dossier.units import convert, dimensions

LENGTH, BALL, NECK, FILLET = 150.0, 29.0, 18.0, 3.0
FLAT, FLAT_START, HOLE, HOLE_DISTANCE = 26.0, 34.0, 17.5, 112.0
BORES = {"solid": (), "through": (Bore(18.0, -75.0, 75.0),), "stepped": (Bore(14.0, -75.0, -20.0), Bore(22.0, -20.0, 30.0))}
AROUND, ARC = 512, 256  # chords of a turn, of a quarter circle: both lose less than 3e-5 of an area


def our_pin(bores: tuple[Bore, ...]) -> Pin:
    return Pin(LENGTH, BALL, NECK, FILLET, PinEnds(FLAT, FLAT_START, HOLE, HOLE_DISTANCE, 38.0), bores)


def half_section(bores: tuple[Bore, ...]) -> shapely.Polygon:
    """The turned pin in the half plane (r, z): disc and bar, their corner rounded by growing and shrinking."""
    bar = shapely.box(-NECK, -LENGTH / 2, NECK, LENGTH / 2)
    whole = shapely.union(shapely.Point(0, 0).buffer(BALL, ARC), bar)
    rounded = whole.buffer(FILLET, ARC, join_style="mitre").buffer(-FILLET, ARC)
    section = rounded & shapely.box(0, -LENGTH, BALL, LENGTH)
    for bore in bores:
        section -= shapely.box(-1, bore.start, bore.diameter / 2, bore.end)
    return section


def solid(bores: tuple[Bore, ...]) -> trimesh.Trimesh:
    """The pin of triangles: turned, bored, flattened at both ends and drilled across."""
    pin = CrossSection([np.array(half_section(bores).exterior.coords)[:-1]], FillRule.EvenOdd).revolve(AROUND)
    for side in (-1.0, 1.0):
        drill = Manifold.cylinder(100.0, HOLE / 2, circular_segments=AROUND, center=True).rotate([0, 90, 0])
        pin -= drill.translate([0, 0, side * HOLE_DISTANCE / 2])
        for face in (-1.0, 1.0):
            mill = Manifold.cube([50.0, 100.0, 50.0], center=True)
            pin -= mill.translate([face * (FLAT / 2 + 25.0), 0, side * (FLAT_START + 25.0)])
    mesh = pin.to_mesh64()
    return trimesh.Trimesh(mesh.vert_properties[:, :3], mesh.tri_verts)


@pytest.mark.parametrize("bores", BORES.values(), ids=BORES)
def test_turned_pin_by_plane_section(bores):
    """shapely: volume by Pappus from area and centroid, and the height of the centre of gravity."""
    section = half_section(bores)
    ours = region_properties(pin_region(our_pin(bores)))
    assert ours.volume == pytest.approx(2 * math.pi * section.area * section.centroid.x, rel=5e-5)


@pytest.mark.parametrize("bores", BORES.values(), ids=BORES)
def test_pin_with_flats_and_holes_by_solid(bores):
    """trimesh: volume, centre of gravity and inertia about the pin axis of the finished pin."""
    theirs, ours = solid(bores), pin_solid(our_pin(bores))
    assert ours.volume == pytest.approx(theirs.volume, rel=1e-4)
    assert ours.centre_z == pytest.approx(theirs.center_mass[2], abs=2e-3)
    assert ours.axial == pytest.approx(theirs.moment_inertia[2, 2], rel=2e-4)


quantity = st.floats(0.5, 200.0)
share = st.floats(1e-4, 0.02)


@given(quantity, quantity, share, share, share)
def test_budget_of_a_ratio_by_propagation(variant, reference, gain, noise, other):
    """uncertainties: one gain shared by both, repeatability of each its own; to first order."""
    common = ufloat(1.0, gain)
    theirs = (common * ufloat(variant, noise * variant)) / (common * ufloat(reference, other * reference))
    lines = [
        [Contribution("gain", gain * value, systematic=True), Contribution("repeatability", spread * value, systematic=False)]
        for value, spread in ((variant, noise), (reference, other))
    ]
    ours = budget_of_ratio(variant, lines[0], reference, lines[1])
    assert ours.combined == pytest.approx(theirs.std_dev, rel=1e-9)


@given(st.floats(1e3, 1e6), st.floats(0.05, 2.0), st.integers(2, 25), st.floats(0.0, 0.3))
@settings(deadline=None)
def test_worth_of_an_investment(once, share, years, rate):
    """numpy-financial: present value, internal rate and capital recovery of level flows."""
    flows = level_flows(once, once * share, years)
    assert present_value(rate, flows) == pytest.approx(numpy_financial.npv(rate, flows), rel=1e-9, abs=1e-6 * once)
    theirs = numpy_financial.irr(flows)
    assert internal_rate(flows) == pytest.approx(theirs, abs=1e-7)
    if rate > 1e-4:
        assert capital_recovery(rate, years) == pytest.approx(-numpy_financial.pmt(rate, years, 1.0), rel=1e-9)


NOT_PHYSICAL = {"hardness", "shore_hardness", "money", "money_per_mass", "money_per_time", "count", "per_year"}
SPELLED = {"a": "julian_year", "‰": "permille", "%": "percent", "-": "dimensionless"}
UNITS = [
    (unit, dimension)
    for dimension in dimensions().values()
    if dimension.name not in NOT_PHYSICAL and not dimension.offsets
    for unit in dimension.factors
]


def spelled(unit: str) -> str:
    """The unit as the library reads it."""
    signs = {"·": "*", "°": "degree", "²": "**2", "³": "**3", "⁴": "**4"}
    return SPELLED.get(unit, unit).translate(str.maketrans(signs))


@pytest.mark.parametrize(("unit", "dimension"), UNITS, ids=[f"{d.name}-{unit}" for unit, d in UNITS])
def test_factors_of_units(unit, dimension):
    """pint: every unit of measurement a project may use, against the stored unit of its dimension."""
    read = pint.get_application_registry().parse_expression
    theirs = (1.0 * read(spelled(unit)) / read(spelled(dimension.stored))).to("dimensionless").magnitude
    assert dimension.factors[unit] == pytest.approx(theirs, rel=1e-12)


def test_temperatures():
    """pint: the one unit with a zero of its own."""
    theirs = pint.get_application_registry().Quantity(296.15, "kelvin").to("degC").magnitude
    assert convert(296.15, "K", "°C") == pytest.approx(theirs, abs=1e-9)
