"""Peaks, idle steel and sharp corners of the pin."""

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from dossier.mechanics import section_stiffness
from dossier.mechanics.idle_steel import CLAMP_ZONE, idle_bore, idle_cavity, idle_volume, peak, sharp_corners
from dossier.mechanics.section_stress import NodalStress, motion_under
from dossier.mechanics.shapes import Bore
from tests.mechanics.joints import long_arm, short_arm, steel_and


@pytest.fixture(scope="module")
def solved():
    joint = short_arm(0.0)
    solution = section_stiffness(joint, steel_and((1.06, 1150.0)))
    stress = NodalStress(solution.mesh.nodes, solution.groups["pin"], solution.fields)
    motions = [motion_under(solution.stiffness, radial_force=118e3), motion_under(solution.stiffness, axial_force=4e3)]
    return joint, solution, stress, motions, np.maximum.reduce([stress.von_mises(motion) for motion in motions]) / 650.0


def test_the_peak_is_read_off_the_held_ends(solved):
    joint, solution, stress, motions, used = solved
    greatest = peak(solution.mesh, stress, stress.von_mises(motions[0]), joint)
    assert greatest.stress <= 650.0 * used.max() + 1e-9
    assert abs(greatest.place[1]) < 42.0 - CLAMP_ZONE * 18.0


def test_components_give_the_von_mises_stress_they_belong_to(solved):
    from dossier.mechanics.section_stress import mises_square

    _, _, stress, motions, _ = solved
    for motion in motions:
        greatest, components = stress.worst(motion)
        assert greatest == pytest.approx(stress.von_mises(motion))
        assert np.sqrt(mises_square(components)) == pytest.approx(greatest)


def test_the_peak_of_the_ring_is_that_of_the_metal_and_not_of_the_rubber_s_edge(solved):
    """At the gap the corner of two materials is singular: read there, the value would grow by half with each finer mesh."""
    from dossier.mechanics.section_mesh import MeshSize

    joint, *_, motions, _ = solved
    found, at_corner = [], []
    for size in (MeshSize((4, 14)), MeshSize(), MeshSize((12, 40))):
        solution = section_stiffness(joint, steel_and((1.06, 1150.0)), size=size)
        stress = NodalStress(solution.mesh.nodes, solution.groups["ring"], solution.fields)
        von_mises = stress.von_mises(motions[0])
        found.append(peak(solution.mesh, stress, von_mises, joint).stress)
        at_corner.append(von_mises.max())
    assert found[1] == pytest.approx(found[2], rel=0.12)
    assert at_corner[2] > 1.3 * at_corner[1] > 1.3 * at_corner[0]


def test_idle_volume_grows_with_the_threshold_up_to_the_whole(solved):
    _, solution, stress, _, used = solved
    group = solution.groups["pin"]
    volumes = [idle_volume(solution.mesh, group, stress, used, threshold) for threshold in (0.0, 0.05, 0.1, 0.3, 2.0)]
    assert volumes[0] == 0.0
    assert volumes == sorted(volumes)
    # The pin between the clamp edges: ball, fillets and necks, from its outline.
    from dossier.mechanics.section import model_regions

    exact = 2 * pi * model_regions(solved[0])["pin"].moment(1, 0)
    assert volumes[-1] == pytest.approx(exact, rel=1e-6)


def test_cavity_lies_in_the_idle_zone_and_keeps_its_wall(solved):
    joint, solution, stress, _, used = solved
    cavity = idle_cavity(solution.mesh, stress, used, 0.1, joint.pin, 3.0)
    place = solution.mesh.nodes[stress.nodes]
    inside = (place[:, 0] < cavity.diameter / 2 - 1e-9) & (np.abs(place[:, 1]) < cavity.half_length - 1e-9)
    assert cavity.diameter > 30.0 and cavity.half_length > 8.0
    assert inside.sum() > 20 and used[inside].max() < 0.1
    assert np.hypot(cavity.diameter / 2, cavity.half_length) <= 29.0 - 3.0 + 1e-9
    assert idle_cavity(solution.mesh, stress, used, 1e-6, joint.pin, 3.0).diameter == 0.0


def test_no_through_bore_is_idle_where_the_axis_carries_shear(solved):
    """Under 118 kN the arms' axis carries 4/3·Q/A·√3 = 134 MPa, a fifth of 650 MPa: idle below 0.3, used above 0.1."""
    joint, solution, stress, _, used = solved
    assert idle_bore(solution.mesh, stress, used, 0.1, joint.pin) == 0.0
    assert idle_bore(solution.mesh, stress, used, 0.3, joint.pin) > 5.0
    assert idle_bore(solution.mesh, stress, used, 9.0, joint.pin) == 36.0


def test_axis_of_the_arm_carries_the_shear_of_the_beam(solved):
    joint, solution, stress, motions, _ = solved
    place = solution.mesh.nodes[stress.nodes]
    axis = (place[:, 0] == 0.0) & (np.abs(place[:, 1] - 33.0) < 3.0)
    shear = np.sqrt(3) * 4 / 3 * (118e3 / 2) / (pi * 18.0**2)
    # Stub arms are no beams: 15 %.
    assert stress.von_mises(motions[0])[axis] == pytest.approx(shear, rel=0.15)


def test_sharp_corners_are_named_with_their_field():
    pin = long_arm().pin
    assert sharp_corners(pin) == []
    assert "pin.neck_fillet = 0 mm leaves a sharp corner at z = ±22.25 mm" in sharp_corners(replace(pin, neck_fillet=0.0))[0]
    blind = replace(pin, bores=(Bore(12.0, -80.0, 10.0),))
    assert sharp_corners(blind) == [
        "pin.bores[0].end_radius is not given: the bore ends in a sharp corner at z = 10 mm, where no stress can be stated; "
        "give it a radius"
    ]
    assert sharp_corners(replace(pin, bores=(Bore(12.0, -80.0, 10.0, end_radius=3.0),))) == []
    assert sharp_corners(replace(pin, bores=(Bore(12.0, -80.0, 80.0),))) == []
    stepped = replace(pin, bores=(Bore(16.0, -80.0, 5.0), Bore(10.0, 5.0, 80.0)))
    assert len(sharp_corners(stepped)) == 1 and "bores[0]" in sharp_corners(stepped)[0]


def test_a_rounded_end_gives_a_converged_peak():
    """A blind bore with rounded corners: the peak on the default mesh within 1 % of one with lengths a quarter."""
    from dossier.mechanics.section_mesh import MeshSize

    joint = long_arm()
    joint = replace(joint, pin=replace(joint.pin, bores=(Bore(20.0, -80.0, 30.0, end_radius=4.0),)))
    found = []
    for size in (MeshSize(), MeshSize((6, 20), 0.12, 64)):
        solution = section_stiffness(joint, steel_and((1.1, 2000.0)), size=size)
        stress = NodalStress(solution.mesh.nodes, solution.groups["pin"], solution.fields)
        von_mises = stress.von_mises(motion_under(solution.stiffness, radial_force=1e5))
        found.append(peak(solution.mesh, stress, von_mises, joint).stress)
    assert found[0] == pytest.approx(found[1], rel=0.01)
