"""The mesh of the whole section: it fills the regions exactly, its parts share their nodes, bad walls are told."""

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.mechanics.section import model_regions
from dossier.mechanics.section_mesh import MeshSize, SectionMesh, section_mesh
from dossier.mechanics.shapes import Bore, Core, GeometryError, JointShape, Layer, Pin, PinEnds, Rings
from dossier.mechanics.triangles import inside, triangulate
from tests.mechanics.joints import long_arm, short_arm


def areas(mesh: SectionMesh) -> dict[str, float]:
    """Area of each region's elements by quadrature of their curved sides."""
    from dossier.mechanics.elements import geometry_at, reference_element

    kinds = {"layer": ("quad9", mesh.layer.quads), **{name: ("tri6", part) for name, part in mesh.triangles.items()}}
    found = {}
    for name, (kind, connectivity) in kinds.items():
        reference = reference_element(kind)
        geometry = geometry_at(mesh.nodes, connectivity, reference, 1e-9)
        radius = mesh.nodes[connectivity][..., 0] @ reference.shape.T
        found[name] = float((geometry.volume / radius).sum())
    return found


JOINTS = {
    "solid": long_arm(), "bored": long_arm(16.0), "straight pin with ball contour": long_arm(straight=True),
    "rings": short_arm(), "rings that touch": short_arm(gap=0.0),
    "hollow face": short_arm(free_surface="concave", hollow_depth=1.5),
    "edge fillets": short_arm(edge_fillet=1.0), "lopsided": short_arm(polar_end=124.0),
}  # fmt: skip


@pytest.mark.parametrize("joint", JOINTS.values(), ids=JOINTS)
def test_elements_fill_the_regions(joint):
    """Quadratic sides leave of an arc of 90°/16 a share of about 1e-7 of its area; feather edges of fillets 1e-3."""
    regions = model_regions(joint)
    for name, area in areas(section_mesh(joint)).items():
        exact = regions[name].moment(0, 0)
        assert area == pytest.approx(exact, rel=2e-3 if joint.layer.edge_fillet and name == "layer" else 2e-5)


@pytest.mark.parametrize("joint", JOINTS.values(), ids=JOINTS)
def test_regions_share_their_nodes(joint):
    """No two nodes at one place, none without an element, and each side inside the section has an element on both sides."""
    mesh = section_mesh(joint)
    used = np.unique(np.concatenate([mesh.layer.quads.ravel(), *(part.ravel() for part in mesh.triangles.values())]))
    assert len(used) == len(mesh.nodes)
    from scipy.spatial import cKDTree

    assert cKDTree(mesh.nodes).query_pairs(1e-7) == set()


@pytest.mark.parametrize("joint", JOINTS.values(), ids=JOINTS)
def test_triangles_are_not_slender(joint):
    mesh = section_mesh(joint)
    for name, part in mesh.triangles.items():
        corner = mesh.nodes[part[:, :3]]
        side = np.roll(corner, -1, axis=1) - corner
        area = side[:, 0, 0] * side[:, 1, 1] - side[:, 0, 1] * side[:, 1, 0]
        quality = 2 * np.sqrt(3) * area / (side**2).sum(axis=(1, 2))
        # The core runs out tangentially on the straight pin, in a feather edge.
        assert quality.min() > (0.02 if name == "core" else 0.3)
        assert quality.mean() > 0.8


def test_finer_halves_all_lengths():
    size = MeshSize()
    assert len(section_mesh(long_arm(), size.finer(2)).layer.quads) == 4 * len(section_mesh(long_arm(), size).layer.quads)


@settings(max_examples=25, deadline=None)
@given(
    ball=st.floats(15.0, 60.0), neck=st.floats(0.4, 0.8), fillet=st.floats(0.02, 0.3), thickness=st.floats(0.06, 0.5),
    bore=st.floats(0.0, 0.85), reach=st.floats(-0.9, 0.9), gap=st.one_of(st.just(0.0), st.floats(0.005, 0.2)),
)  # fmt: skip
def test_any_joint_that_fits_is_meshed(ball, neck, fillet, thickness, bore, reach, gap):
    """Through and blind bores down to thin walls; the elements fill the regions."""
    neck_radius, outer = neck * ball, ball * (1 + thickness)
    edge = 1.6 * ball + fillet * ball
    half = edge + 0.3 * ball
    bores = (Bore(2 * bore * neck_radius, -half, reach * half),) if bore > 0.05 else ()
    joint = JointShape(
        Pin(2 * half, ball, neck_radius, fillet * ball, PinEnds(0.0, 0.0, 0.0, 2 * edge, edge), bores), Core(),
        Layer(ball, outer, 55.0, 125.0), Rings(outer * 1.15, 0.6 * outer, gap * outer))  # fmt: skip
    try:
        regions = model_regions(joint)
    except GeometryError:
        return
    for name, area in areas(section_mesh(joint)).items():
        assert area == pytest.approx(regions[name].moment(0, 0), rel=1e-3)


def test_polygon_with_a_notch_keeps_its_corners():
    corners = np.array([[0, 0], [4, 0], [4, 4], [2, 1], [0, 4]], dtype=float)
    points, triangles = triangulate(corners, 1.0)
    assert np.array_equal(points[:5], corners)
    one, other = points[triangles[:, 1]] - points[triangles[:, 0]], points[triangles[:, 2]] - points[triangles[:, 0]]
    doubled = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    assert doubled.min() > 0
    assert doubled.sum() / 2 == pytest.approx(16 - 6)


def test_walls_thinner_than_their_division_are_told():
    # A slit of 0.02 above a side of 10 that is not divided: the corner over its middle is nearer than its own ends.
    corners = np.array([[0, 0], [12, 0], [12, 1], [2, 1], [7, 1.02], [12, 2], [12, 3], [0, 3]], dtype=float)
    with pytest.raises(ValueError, match=r"outline near r = .*enlarge the wall there or divide it finer"):
        triangulate(corners, 5.0)


def test_inside_is_the_parity_of_crossings():
    angle = np.linspace(0, 2 * pi, 40, endpoint=False)
    circle = np.stack([np.cos(angle), np.sin(angle)], axis=1)
    assert inside(circle, np.array([[0.0, 0.0], [0.9, 0.0], [1.1, 0.0], [-2.0, 0.3]])).tolist() == [True, True, False, False]
