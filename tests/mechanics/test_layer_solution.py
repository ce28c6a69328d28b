"""Meshes, numbering and equilibrium of one harmonic."""

import numpy as np
import pytest

from dossier.mechanics import linear
from dossier.mechanics.assemble import Equations
from dossier.mechanics.elements import (
    AXIAL_FIELD,
    LATERAL_FIELD,
    TORSIONAL_FIELD,
    ElementGroup,
    element_stiffness,
)
from dossier.mechanics.linear import rigid_motion, solve_harmonic
from dossier.mechanics.mesh import (
    end_cell,
    graded_line,
    grading_strength,
    split_into_triangles,
    tube_mesh,
    zone_mesh,
)


def held_layer(mesh, field, motions):
    held = np.zeros((len(mesh.nodes), len(field.components)), bool)
    held[mesh.inner] = held[mesh.outer] = True
    prescribed = np.zeros((*held.shape, len(motions)))
    for case, motion in enumerate(motions):
        prescribed[mesh.inner, :, case] = rigid_motion(mesh.nodes[mesh.inner], motion)
    return held, prescribed


@pytest.fixture
def cap():
    """A layer that closes over the pole, so that it has nodes on the axis."""
    mesh = zone_mesh(np.linspace(20.0, 30.0, 7), np.linspace(0.0, 1.9, 21))
    return mesh, ElementGroup(mesh.nodes, mesh.quads, "quad9", 1.0, 2000.0, mixed=True)


@pytest.mark.parametrize(("low", "high"), [(True, True), (True, False), (False, True), (False, False)])
def test_graded_line_runs_from_0_to_1_and_clusters_at_the_chosen_ends(low, high):
    places = graded_line(6, 1.8, low=low, high=high)
    corners = places[::2]
    np.testing.assert_allclose([places[0], places[-1]], [0.0, 1.0], atol=1e-15)
    np.testing.assert_allclose(places[1::2], (corners[1:] + corners[:-1]) / 2, rtol=1e-15)
    cells = np.diff(corners)
    middle = cells[3]
    assert (cells[0] < 0.6 * middle) == low
    assert (cells[-1] < 0.6 * middle) == high


@pytest.mark.parametrize("both_ends", [True, False])
@pytest.mark.parametrize("length", [0.2, 0.03, 1e-3, 1e-5])
def test_grading_strength_gives_the_wanted_end_cell(both_ends, length):
    strength = grading_strength(12, length, both_ends=both_ends)
    places = graded_line(12, strength, low=both_ends, high=True)
    last = places[-1] - places[-3]
    wanted = min(length, 1 / 12)
    # Bisection leaves 12/2^40 in the strength; the end cell depends exponentially on it.
    assert last == pytest.approx(wanted, rel=1e-6)
    assert end_cell(12, strength, both_ends=both_ends) == pytest.approx(wanted, rel=1e-6)


def test_zone_mesh_lies_on_the_spheres_and_exactly_on_the_axis():
    mesh = zone_mesh(np.linspace(20.0, 30.0, 5), np.linspace(0.0, np.pi, 17))
    distance = np.hypot(*mesh.nodes.T)
    np.testing.assert_allclose(distance[mesh.inner], 20.0, rtol=1e-14)
    np.testing.assert_allclose(distance[mesh.outer], 30.0, rtol=1e-14)
    assert np.all(mesh.nodes[mesh.ends, 0] == 0.0)
    assert mesh.quads.shape == (16, 9)
    assert len(np.unique(mesh.quads)) == len(mesh.nodes)


def test_triangles_cover_the_quadrilaterals():
    mesh = tube_mesh(np.linspace(2.0, 6.0, 5), np.linspace(3.0, -3.0, 7))
    triangles = split_into_triangles(mesh.quads)
    corner = mesh.nodes[triangles]
    first, second = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    area = (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]) / 2
    assert np.all(area > 0.0)
    assert area.sum() == pytest.approx(4.0 * 6.0, rel=1e-14)
    middle = (corner[:, [0, 1, 2]] + corner[:, [1, 2, 0]]) / 2
    np.testing.assert_allclose(corner[:, 3:], middle, atol=1e-14)


@pytest.mark.parametrize("field", [AXIAL_FIELD, TORSIONAL_FIELD, LATERAL_FIELD])
def test_band_and_sparse_matrix_are_the_same(field, cap):
    mesh, group = cap
    held, _ = held_layer(mesh, field, [])
    equations = Equations(mesh.nodes, [group], field, held)
    matrices = [element_stiffness(group, field)]
    band = equations.banded_matrix(matrices)
    dense = equations.sparse_matrix(matrices).toarray()
    scale = np.abs(dense).max()
    for offset in range(len(band)):
        np.testing.assert_allclose(
            band[offset, : equations.count - offset], np.diag(dense, -offset), atol=1e-14 * scale
        )
    assert np.abs(np.tril(dense, -len(band))).max() == 0.0
    np.testing.assert_allclose(dense, dense.T, atol=1e-14 * scale)
    assert np.linalg.eigvalsh(dense).min() > 0.0


@pytest.mark.parametrize("band_limit", [linear.BAND_LIMIT, 0], ids=["banded", "sparse"])
def test_an_indefinite_matrix_is_solved_when_allowed(cap, monkeypatch, band_limit):
    """The tangent of strained rubber may be indefinite; the stiffness of a supported body must not be."""
    monkeypatch.setattr(linear, "BAND_LIMIT", band_limit)
    mesh, group = cap
    held, _ = held_layer(mesh, AXIAL_FIELD, [])
    equations = Equations(mesh.nodes, [group], AXIAL_FIELD, held)
    matrices = element_stiffness(group, AXIAL_FIELD)
    matrices[: len(matrices) // 2] *= -1.0
    dense = equations.sparse_matrix([matrices]).toarray()
    assert np.linalg.eigvalsh(dense)[0] < 0.0 < np.linalg.eigvalsh(dense)[-1]
    right = np.linspace(-1.0, 1.0, equations.count)[:, None]
    found = linear.factorise(equations, [matrices], allow_indefinite=True)(right)
    np.testing.assert_allclose(dense @ found, right, atol=1e-8)
    if band_limit:
        with pytest.raises(np.linalg.LinAlgError):
            linear.factorise(equations, [matrices])


@pytest.mark.parametrize("band_limit", [linear.BAND_LIMIT, 0], ids=["banded", "sparse"])
def test_a_singular_matrix_solves_to_nan_when_allowed(cap, monkeypatch, band_limit):
    monkeypatch.setattr(linear, "BAND_LIMIT", band_limit)
    mesh, group = cap
    held, _ = held_layer(mesh, AXIAL_FIELD, [])
    equations = Equations(mesh.nodes, [group], AXIAL_FIELD, held)
    matrices = np.zeros_like(element_stiffness(group, AXIAL_FIELD))
    found = linear.factorise(equations, [matrices], allow_indefinite=True)(np.ones((equations.count, 1)))
    assert np.isnan(found).all()


def test_band_and_sparse_solver_agree(cap, monkeypatch):
    mesh, group = cap
    held, prescribed = held_layer(mesh, LATERAL_FIELD, ["radial", "conical"])
    banded = solve_harmonic(mesh.nodes, [group], LATERAL_FIELD, held, prescribed)
    monkeypatch.setattr(linear, "BAND_LIMIT", 0)
    sparse = solve_harmonic(mesh.nodes, [group], LATERAL_FIELD, held, prescribed)
    # Two direct solvers differ by round-off times the condition, which K/G = 2000 sets.
    np.testing.assert_allclose(sparse.stiffness, banded.stiffness, rtol=1e-9)


def test_numbering_of_nodes_does_not_matter(cap):
    mesh, group = cap
    held, prescribed = held_layer(mesh, LATERAL_FIELD, ["radial", "conical"])
    plain = solve_harmonic(mesh.nodes, [group], LATERAL_FIELD, held, prescribed)
    order = np.random.default_rng(3).permutation(len(mesh.nodes))
    place = np.argsort(order)
    shuffled = ElementGroup(mesh.nodes[order], place[mesh.quads], "quad9", 1.0, 2000.0, mixed=True)
    again = solve_harmonic(mesh.nodes[order], [shuffled], LATERAL_FIELD, held[order], prescribed[order])
    np.testing.assert_allclose(again.stiffness, plain.stiffness, rtol=1e-9)
    np.testing.assert_allclose(again.displacement[place], plain.displacement, atol=1e-9)


def test_nodes_without_elements_stay_at_rest(cap):
    mesh, group = cap
    nodes = np.vstack([mesh.nodes, [[99.0, 99.0]]])
    held, prescribed = held_layer(mesh, AXIAL_FIELD, ["axial"])
    held = np.vstack([held, [[False, False]]])
    prescribed = np.concatenate([prescribed, np.zeros((1, 2, 1))])
    solution = solve_harmonic(nodes, [group], AXIAL_FIELD, held, prescribed)
    assert np.all(solution.displacement[-1] == 0.0)
    assert solution.stiffness[0, 0] > 0.0


@pytest.mark.parametrize(
    ("field", "motions"),
    [(AXIAL_FIELD, ["axial"]), (TORSIONAL_FIELD, ["torsional"]), (LATERAL_FIELD, ["radial", "conical"])],
)
def test_both_faces_moved_alike_give_no_force(field, motions, cap):
    """The assembled layer under a rigid motion of both faces follows it: K u = 0 in translation and tilt."""
    mesh, group = cap
    held, single = held_layer(mesh, field, motions)
    both = single.copy()
    for case, motion in enumerate(motions):
        both[mesh.outer, :, case] = rigid_motion(mesh.nodes[mesh.outer], motion)
    moved = solve_harmonic(mesh.nodes, [group], field, held, both)
    alone = solve_harmonic(mesh.nodes, [group], field, held, single)
    # Round-off 1e-16, enlarged by K/G = 2000 and by the cancelling force of each element.
    assert np.abs(moved.stiffness).max() < 1e-10 * np.abs(alone.stiffness).max()
    for case, motion in enumerate(motions):
        expected = rigid_motion(mesh.nodes, motion)
        np.testing.assert_allclose(
            moved.displacement[..., case], expected, atol=1e-10 * np.abs(expected).max()
        )


def test_stiffness_matrix_of_motions_is_symmetric(cap):
    mesh, group = cap
    held, prescribed = held_layer(mesh, LATERAL_FIELD, ["radial", "conical"])
    stiffness = solve_harmonic(mesh.nodes, [group], LATERAL_FIELD, held, prescribed).stiffness
    scale = np.sqrt(stiffness[0, 0] * stiffness[1, 1])
    assert abs(stiffness[0, 1] - stiffness[1, 0]) < 1e-12 * scale
    assert abs(stiffness[0, 1]) > 1e-3 * scale
    assert np.linalg.eigvalsh(stiffness / np.array([[1.0, 20.0], [20.0, 400.0]])).min() > 0.0


@pytest.mark.parametrize(
    ("field", "component", "message"),
    [
        (AXIAL_FIELD, 0, "axial"),
        (LATERAL_FIELD, None, "radial or conical"),
        (TORSIONAL_FIELD, None, "torsional"),
    ],
)
def test_a_body_left_free_is_refused(field, component, message, cap):
    mesh, group = cap
    held = np.zeros((len(mesh.nodes), len(field.components)), bool)
    if component is not None:
        held[mesh.inner, component] = True
    with pytest.raises(ValueError, match=rf"mesh\.held = .* free in {message} direction; hold a whole face"):
        solve_harmonic(mesh.nodes, [group], field, held, np.zeros((*held.shape, 1)))
