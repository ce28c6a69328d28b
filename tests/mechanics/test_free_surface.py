"""The layer at finite strain with hollow or filleted free faces: against the linear section, finer meshes, conflicts."""

from dataclasses import replace
from math import nan, radians

import pytest

from dossier.mechanics import (
    RingTravel,
    ShellClosing,
    SphericalLayer,
    layer_curve,
    pre_stressed_layer,
    section_stiffness,
)
from dossier.mechanics.section_mesh import MeshSize
from dossier.mechanics.shapes import FreeSurface
from dossier.mechanics.whole_section import Elastic, Materials
from tests.mechanics.joints import long_arm

SIZES = (28.0, 36.0, radians(50), radians(130), 1.1, 2000.0)
FORMS = {
    "slight fillet": FreeSurface(edge_fillet=0.8), "deep fillet": FreeSurface(edge_fillet=3.6),
    "hollow": FreeSurface("concave", hollow_depth=1.6), "deep hollow": FreeSurface("concave", hollow_depth=3.6),
}  # fmt: skip
CONICAL = FreeSurface()
NAMES = ("axial", "radial", "torsional", "conical")


def assembled(free, closing=0.0, **rest):
    return pre_stressed_layer(SphericalLayer(*SIZES, free), assembly=ShellClosing(closing), **rest)


def of_section(free):
    """The linear section with metal a thousand times stiffer than steel (1e-5 of the stiffness)."""
    metal = Elastic(210e6, 0.3)
    joint = long_arm()
    form = replace(joint.layer, free_surface=free.kind, edge_fillet=free.edge_fillet, hollow_depth=free.hollow_depth)
    fine = MeshSize((9, 30), 0.7, 4)
    return section_stiffness(replace(joint, layer=form), Materials(metal, metal, *SIZES[4:]), size=fine).stiffness


@pytest.mark.parametrize("free", FORMS.values(), ids=FORMS)
def test_small_motions_meet_the_linear_section(free):
    """The default mesh against the section's with a finer layer: 0.1 %; the form takes at least 3 % of the axial stiffness."""
    finite, linear = assembled(free).stiffness, of_section(free)
    for name in NAMES:
        assert getattr(finite, name) == pytest.approx(getattr(linear, name), rel=1.5e-3), name
    assert finite.axial < 0.97 * assembled(CONICAL).stiffness.axial


@pytest.mark.parametrize(("free", "closing", "largest"), [
    (FORMS["slight fillet"], 0.0, 2e-3), (FORMS["hollow"], 0.0, 1e-3),
    (FORMS["slight fillet"], 0.2, 0.01), (FORMS["hollow"], 0.2, 0.01),
])  # fmt: skip
def test_the_mesh_error_falls_with_the_mesh(free, closing, largest):
    """Coarse, usual and fine mesh: the usual one is the nearer to the fine one, and near enough."""
    coarse, usual, fine = (assembled(free, closing, cells=cells).stiffness for cells in ((3, 10), (6, 20), (9, 30)))
    for name in ("axial", "radial"):
        far, near = (abs(getattr(each, name) / getattr(fine, name) - 1.0) for each in (coarse, usual))
        assert near < largest and near < far, (name, far, near)


def test_a_curve_starts_with_the_stiffness_and_follows_the_form():
    """First points of the curve against the increments around rest (1e-4: a fortieth of a degree, a thousandth of the layer)."""
    free = FORMS["hollow"]
    stiffness = assembled(free, cells=(4, 14)).stiffness
    for direction, motion in (("axial", 8e-3), ("torsional", 5e-4), ("radial", 8e-3), ("conical", 5e-4)):
        curve = layer_curve(*SIZES, direction=direction, displacements=[motion], free=free, cells=(4, 14))
        assert curve.forces[0] / motion == pytest.approx(getattr(stiffness, direction), rel=1e-3), direction
    conical = layer_curve(*SIZES, direction="axial", displacements=[0.8, 1.6])
    hollow = layer_curve(*SIZES, direction="axial", displacements=[0.8, 1.6], free=free)
    shares = [one / other for one, other in zip(hollow.forces, conical.forces, strict=True)]
    assert shares == pytest.approx([0.93, 0.93], abs=0.03)


def test_rings_keep_their_gap_between_hollow_faces():
    layer = SphericalLayer(*SIZES, FORMS["hollow"])
    found = pre_stressed_layer(layer, assembly=RingTravel(0.2, 3.0))
    conical = pre_stressed_layer(SphericalLayer(*SIZES), assembly=RingTravel(0.2, 3.0))
    assert 0.85 < found.stages[0].ring_force / conical.stages[0].ring_force < 0.999


def test_a_layer_to_the_axis_has_no_free_face_there():
    """A cap hollowed at its one free end: the mesh stays on the axis, and the hollow takes little of it."""
    cap = (28.0, 36.0, 0.0, radians(130), 1.1, 2000.0)
    plain, hollow = (pre_stressed_layer(SphericalLayer(*cap, free), assembly=ShellClosing(0.0)).stiffness.axial
                     for free in (CONICAL, FORMS["hollow"]))  # fmt: skip
    assert 0.9 * plain < hollow < plain


@pytest.mark.parametrize(("free", "words"), [
    (FreeSurface("concave"), "layer.hollow_depth = 0.0 mm must exceed 0 with layer.free_surface = 'concave'"),
    (FreeSurface(hollow_depth=1.0), "layer.hollow_depth = 1.0 mm must be 0 with layer.free_surface = 'straight'"),
    (FreeSurface(edge_fillet=4.1), "layer.edge_fillet = 4.1 mm must be at most 4.0 mm, set by layer.outer_radius = 36.0 mm"),
    (FreeSurface(edge_fillet=-1.0), "layer.edge_fillet = -1 mm must be at least 0 mm; give 0 for none"),
    (FreeSurface(edge_fillet=nan), "layer.edge_fillet = nan mm must be a finite number; correct the entry"),
    (FreeSurface("round"), "layer.free_surface = 'round' must be one of straight, concave"),
])  # fmt: skip
def test_impossible_forms_are_refused(free, words):
    with pytest.raises(ValueError) as caught:
        SphericalLayer(*SIZES, free)
    assert words in str(caught.value)
