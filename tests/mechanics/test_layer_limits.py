"""Limits of the rubber layer: equilibrium of the tractions, exact onsets of even tractions, averages that settle."""

from math import pi

import numpy as np
import pytest

from dossier.mechanics import section_stiffness
from dossier.mechanics.layer_limits import CAVITATION, SLIDING_SHARE, first_principal_strain, layer_limits
from dossier.mechanics.layer_state import FaceState, LayerState
from dossier.mechanics.section_mesh import MeshSize
from dossier.mechanics.section_stress import Motion, motion_under
from tests.mechanics.joints import ALUMINIUM, short_arm, steel_and

RUBBER = (1.06, 1150.0)
LENGTH = 0.5  # a tenth of the layer's thickness


def solved(size=None, **shape):
    solution = section_stiffness(short_arm(**shape), steel_and(RUBBER, carrier=ALUMINIUM), size=size)
    return solution, LayerState(solution.mesh.layer, solution.groups["layer"], solution.fields, LENGTH)


def resultants(face):
    """Force along z of unit axial motion, along x of unit radial motion, torque about z of unit torsion."""
    n_r, n_z = (face.place / np.hypot(*face.place.T)[:, None]).T

    def cartesian(motion):
        normal, meridional, circumferential = face.traction[motion].T
        return normal * n_r - meridional * n_z, normal * n_z + meridional * n_r, circumferential

    _, axial, _ = cartesian("axial")
    radial, _, around = cartesian("radial")
    _, _, torsional = cartesian("torsional")
    half = face.area / 2  # cos² and sin² around the axis
    return (axial * face.area).sum(), ((radial - around) * half).sum(), (torsional * face.place[:, 0] * face.area).sum()


@pytest.mark.parametrize("inner", [True, False])
def test_tractions_carry_the_forces(inner):
    """Tractions on each face sum up to stiffness times travel. 1 % inside; 3 % outside, where the gap's edges are singular."""
    solution, state = solved()
    face = state.face(inner, () if inner else solution.mesh.carried)
    stiffness = solution.stiffness
    expected = (stiffness.axial, stiffness.radial, stiffness.torsional)
    assert np.abs(resultants(face)) == pytest.approx(expected, rel=0.01 if inner else 0.03)


def test_areas_of_the_faces():
    """2π a² (cos 50° − cos 130°) inside; outside the gap of 2.4 mm is left out."""
    solution, state = solved()
    share = np.cos(np.radians(50.0)) - np.cos(np.radians(130.0))
    assert state.face(True).area.sum() == pytest.approx(2 * pi * 29.0**2 * share, rel=1e-5)
    outer = 2 * pi * 34.0 * (34.0 * share - 2.4)
    assert state.face(False, solution.mesh.carried).area.sum() == pytest.approx(outer, rel=1e-5)


def test_averages_settle_with_the_mesh():
    """Greatest mean tension under 11 kN within 5 % and least face pressure within 5 % between meshes."""
    found = []
    for size in (MeshSize(), MeshSize((10, 36))):
        solution, state = solved(size)
        faces = {"pin": state.face(True)}
        motion = motion_under(solution.stiffness, radial_force=11e3)
        limits = layer_limits(state, faces, {"pin": "bonded"}, {}, RUBBER[0], motion)
        found.append((limits.tension, limits.faces["pin"].least_pressure, limits.strain))
    assert found[0] == pytest.approx(found[1], rel=0.05)


def test_radial_load_pulls_the_far_side():
    """About 4 MPa under 11 kN: a smooth pressure p cosθ over the zone's projected area carries the force, 2.2 MPa mean."""
    solution, state = solved()
    motion = motion_under(solution.stiffness, radial_force=11e3)
    limits = layer_limits(state, {"pin": state.face(True)}, {"pin": "bonded"}, {}, RUBBER[0], motion)
    assert limits.cavitation == CAVITATION * RUBBER[0]
    assert limits.cavity_at == pytest.approx(limits.cavitation / limits.tension)
    assert limits.begins_at == limits.cavity_at < 1
    assert limits.faces["pin"].least_pressure < -2.2
    assert limits.needed_travel > 0


def test_needed_travel_just_closes_the_faces():
    solution, state = solved()
    faces = {"pin": state.face(True), "carrier": state.face(False, solution.mesh.carried)}
    held = {"pin": "bonded", "carrier": "bonded"}
    motion = motion_under(solution.stiffness, radial_force=11e3)
    travel = layer_limits(state, faces, held, {}, RUBBER[0], motion).needed_travel
    closed = layer_limits(
        state, faces, held, {}, RUBBER[0], motion_under(solution.stiffness, radial_force=11e3, prestress=travel)
    )
    least = min(face.least_pressure for face in closed.faces.values())
    assert least == pytest.approx(0.0, abs=1e-9)
    assert closed.tension < closed.cavitation < 4.0


# An even face of 1000 mm² at r = 10 mm: pre-stress presses with 2 MPa per mm; axial load pulls with 1 MPa per mm, torsion
# shears with 1 MPa per rad, radial load pulls and shears with 1 MPa around.
EVEN = FaceState(
    np.array([[10.0, 5.0], [10.0, -5.0]]), np.array([500.0, 500.0]),
    {"prestress": np.tile([-2.0, 0, 0], (2, 1)), "axial": np.tile([1.0, 0, 0], (2, 1)), "torsional": np.tile([0, 0, 1.0], (2, 1)),
     "radial": np.tile([1.0, 0, 0.5], (2, 1)), "conical": np.zeros((2, 3))})  # fmt: skip


def even(motion, held="friction", friction=0.4):
    _, state = even.state
    return layer_limits(state, {"face": EVEN}, {"face": held}, {"face": friction}, 1.0, motion).faces["face"]


@pytest.fixture(autouse=True, scope="module")
def _one_state():
    even.state = solved(MeshSize((2, 8), 0.6, 2))


def test_even_face_opens_and_slides_exactly():
    assert even(Motion(axial=1.0, prestress=3.0)).opens_at == pytest.approx(6.0, rel=2e-3)
    slipping = even(Motion(torsional=1.0, prestress=3.0))
    assert slipping.slides_at == pytest.approx(0.4 * 6.0, rel=2e-3)
    assert slipping.opens_at is None
    assert slipping.slip_torque == pytest.approx(0.4 * 6.0 * 1000.0 * 10.0)
    assert slipping.greatest_shear == pytest.approx(1.0)


def test_even_face_under_radial_load_is_half_in_tension():
    found = even(Motion(radial=1.0))
    assert found.tension_share == pytest.approx(0.5, abs=1 / 12)
    assert found.sliding > 0.5 - 1 / 12
    assert found.least_pressure == pytest.approx(-1.0)


def test_bonded_face_neither_opens_nor_slides():
    found = even(Motion(axial=9.0, prestress=1.0), held="bonded")
    assert (found.sliding, found.opens_at, found.slides_at, found.slip_torque) == (None, None, None, None)
    assert found.least_pressure == pytest.approx(-7.0)
    assert found.tension_share == 1.0


def test_slip_begins_beyond_what_slides_at_rest():
    assert 0 < SLIDING_SHARE < 0.2
    assert even(Motion(torsional=0.0, prestress=1.0)).slides_at is None


def test_first_principal_strain_against_eigenvalues():
    strain = np.random.default_rng(7).normal(size=(200, 6))
    rr, zz, tt, rz, rt, zt = strain.T
    tensor = np.stack([rr, rz / 2, rt / 2, rz / 2, zz, zt / 2, rt / 2, zt / 2, tt], axis=1).reshape(-1, 3, 3)
    assert first_principal_strain(strain) == pytest.approx(np.linalg.eigvalsh(tensor)[:, -1], abs=1e-12)


def test_averaging_length_must_be_a_length():
    solution, _ = even.state
    with pytest.raises(ValueError, match=r"averaging = 0 mm must exceed 0 mm"):
        LayerState(solution.mesh.layer, solution.groups["layer"], solution.fields, 0)
