"""Stiffness of the whole section: own reference tables, rigid limits, statics of the pin, symmetry, messages."""

from dataclasses import astuple, replace
from math import nan, pi, radians

import numpy as np
import pytest

from dossier.mechanics import layer_stiffness, section_stiffness
from dossier.mechanics.section_mesh import MeshSize
from dossier.mechanics.section_stress import Motion, NodalStress, motion_under
from dossier.mechanics.whole_section import Elastic, Materials
from tests.mechanics.joints import ALUMINIUM, FILLER, STEEL, long_arm, short_arm, steel_and

RUBBER = (1.1, 2000.0)
RIGID = Elastic(1e10, 0.3)

# Own reference, not published: a prototype of the same formulation on its finest mesh of 10 x 40 cells, uncertain by
# 3e-4. Axial and radial in N/mm, torsional and conical in N·mm/rad.
OWN_REFERENCE = {
    "solid": (long_arm(), None, (2617.4, 16264, 950579, 609896)),
    "bored 16 mm": (long_arm(16.0), None, (2617.1, 16188, 950471, 609857)),
    "straight pin, filler": (long_arm(straight=True), FILLER, (2603.1, 15978, 946917, 608558)),
}


@pytest.mark.parametrize(("joint", "core", "reference"), OWN_REFERENCE.values(), ids=OWN_REFERENCE)
def test_own_reference_sections(joint, core, reference):
    """The default mesh stays within 0.05 %; the goal is 0.5 %."""
    stiffness = section_stiffness(joint, steel_and(RUBBER, core=core)).stiffness
    assert astuple(stiffness)[:4] == pytest.approx(reference, rel=5e-4)


@pytest.mark.parametrize("polar_end", [130.0, 118.0])
def test_rigid_metal_leaves_the_layer_alone(polar_end):
    """Metal 1e10 times as stiff as the rubber; the coupling keeps size and sign. 5e-4: two different meshes."""
    joint = short_arm(polar_end=polar_end, gap=0.0)
    stiffness = section_stiffness(joint, Materials(RIGID, RIGID, *RUBBER)).stiffness
    layer = layer_stiffness(29.0, 34.0, radians(50.0), radians(polar_end), *RUBBER)
    assert astuple(stiffness)[:4] == pytest.approx(astuple(layer)[:4], rel=5e-4)
    scale = (layer.radial * layer.conical) ** 0.5
    assert (stiffness.coupling - layer.coupling) / scale == pytest.approx(0.0, abs=1e-4)
    assert polar_end == 130.0 or abs(layer.coupling) > 0.01 * scale


def test_a_gap_and_soft_metal_take_stiffness_away():
    whole = section_stiffness(short_arm(gap=0.0), steel_and(RUBBER)).stiffness
    parted = section_stiffness(short_arm(gap=4.0), steel_and(RUBBER)).stiffness
    softer = section_stiffness(short_arm(gap=4.0), steel_and(RUBBER, carrier=ALUMINIUM)).stiffness
    for direction in ("axial", "radial", "torsional", "conical"):
        assert getattr(whole, direction) > getattr(parted, direction) > getattr(softer, direction)


def test_a_core_that_carries_nothing_is_as_good_as_a_hole():
    filled = replace(long_arm(straight=True))
    bonded = section_stiffness(filled, steel_and(RUBBER, core=STEEL)).stiffness
    solid = section_stiffness(long_arm(), steel_and(RUBBER)).stiffness
    # A ball contour of steel bonded to the straight pin is the solid pin; 1e-4: two different meshes.
    assert astuple(bonded)[:4] == pytest.approx(astuple(solid)[:4], rel=1e-4)


def test_symmetric_section_has_no_coupling():
    """The triangles are not mirrored, so what is left tells of the mesh: below 1e-5 of √(radial · conical)."""
    stiffness = section_stiffness(short_arm(), steel_and(RUBBER)).stiffness
    assert abs(stiffness.coupling) < 1e-5 * (stiffness.radial * stiffness.conical) ** 0.5


def test_stiffness_converges():
    """Halving all lengths: the default mesh within 0.1 %, the next within 0.03 % of one with four times its cells."""
    found = [section_stiffness(short_arm(), steel_and(RUBBER), size=MeshSize().finer(factor)).stiffness for factor in (1, 2, 4)]
    for direction in ("axial", "radial", "torsional", "conical"):
        default, finer, finest = (getattr(one, direction) for one in found)
        assert default == pytest.approx(finest, rel=1e-3)
        assert finer == pytest.approx(finest, rel=3e-4)


def neck_stress(joint, motion_of, row):
    """Amplitude of one stress component at mid-arm, (r, value), and the stiffness."""
    solution = section_stiffness(joint, steel_and(RUBBER), size=MeshSize((6, 20), 0.2, 8))
    stress = NodalStress(solution.mesh.nodes, solution.groups["pin"], solution.fields)
    place = solution.mesh.nodes[stress.nodes]
    return place, stress.at_angle(motion_of(solution.stiffness), 0.0)[:, row]


@pytest.mark.parametrize("bore", [0.0, 16.0])
def test_axial_force_of_the_arms(bore):
    """Each arm carries half the force; its mean stress over the section is F/2A (statics). 0.5 %: nodal averages."""
    place, stress = neck_stress(long_arm(bore), lambda k: motion_under(k, axial_force=20e3), 1)
    area = pi * (17.0**2 - (bore / 2) ** 2)
    arm = (np.abs(np.abs(place[:, 1]) - 48.0) < 6.0) & (place[:, 0] > bore / 2 - 1e-6)
    weight = np.maximum(place[arm, 0], 1e-9)
    upper, lower = place[arm, 1] > 0, place[arm, 1] < 0
    for side, sense in ((upper, 1.0), (lower, -1.0)):
        mean = np.average(stress[arm][side], weights=weight[side])
        # The eye pulls towards +z: the lower arm is stretched, the upper one compressed.
        assert mean == pytest.approx(-sense * 10e3 / area, rel=0.02)


def test_bending_moment_grows_with_the_arm():
    """Between two places of an arm the outer bending stress changes by (F/2)·Δz/W (statics), W = π D³/32. 0.5 %, a
    diameter and a half away from fillet and clamp, where both are no longer felt."""
    short = long_arm()
    joint = replace(
        short, pin=replace(short.pin, length=260.0, ends=replace(short.pin.ends, hole_distance=240.0, clamp_edge=120.0))
    )
    place, stress = neck_stress(joint, lambda k: motion_under(k, radial_force=1e5), 1)
    outer = (np.abs(place[:, 0] - 17.0) < 1e-6) & (place[:, 1] > 65.0) & (place[:, 1] < 80.0)
    slope = np.polyfit(place[outer, 1], stress[outer], 1)[0]
    modulus = pi * 34.0**3 / 32
    assert abs(slope) == pytest.approx(0.5e5 / modulus, rel=0.005)


def test_motion_under_a_force_moves_by_force_over_stiffness():
    stiffness = section_stiffness(short_arm(polar_end=118.0), steel_and(RUBBER)).stiffness
    free = motion_under(stiffness, radial_force=1000.0, tilt=0.02)
    assert stiffness.radial * free.radial + stiffness.coupling * free.conical == pytest.approx(1000.0)
    assert motion_under(stiffness, axial_force=50.0).axial == pytest.approx(50.0 / stiffness.axial)
    assert Motion(1.0, 2.0, 3.0, 4.0, 5.0).scaled(2.0) == Motion(2.0, 4.0, 6.0, 8.0, 5.0)
    assert len(Motion(1.0, 2.0, 3.0, 4.0).with_signs()) == 8
    assert len(Motion(conical=4.0).with_signs()) == 1


@pytest.mark.parametrize(
    ("materials", "message"),
    [
        (Materials(Elastic(nan, 0.3), STEEL, *RUBBER), r"pin\.youngs_modulus = nan MPa must be a finite number"),
        (Materials(STEEL, Elastic(-1.0, 0.3), *RUBBER), r"carrier\.youngs_modulus = -1\.0 MPa must exceed 0 MPa"),
        (Materials(STEEL, Elastic(1e5, 0.5), *RUBBER), r"carrier\.poisson_ratio = 0\.5 must lie from 0 to below 0\.5"),
        (Materials(STEEL, STEEL, 0.0, 2000.0), r"layer\.shear_modulus = 0\.0 MPa must exceed 0 MPa"),
        (Materials(STEEL, STEEL, 1.0, 0.5), r"layer\.bulk_modulus = 0\.5 MPa must exceed layer\.shear_modulus = 1 MPa"),
        (Materials(STEEL, STEEL, *RUBBER, FILLER), r"materials\.core is given for core\.kind = 'none'"),
    ],
)
def test_materials_out_of_range_are_told(materials, message):
    with pytest.raises(ValueError, match=message):
        section_stiffness(long_arm(), materials)
