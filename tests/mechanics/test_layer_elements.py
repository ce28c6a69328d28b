"""Elements of the meridional plane: shape functions, quadrature, rigid motions and exact patch tests."""

import numpy as np
import pytest

from dossier.mechanics.assemble import Equations
from dossier.mechanics.elements import (
    AXIAL_FIELD,
    LATERAL_FIELD,
    TORSIONAL_FIELD,
    ElementGroup,
    Field,
    element_stiffness,
    quad9_functions,
    strain_operator,
    tri6_functions,
)
from dossier.mechanics.linear import rigid_motion, solve_harmonic
from dossier.mechanics.mesh import graded_line, split_into_triangles, tube_mesh, zone_mesh

FUNCTIONS = {
    "quad9": (quad9_functions, [(x, y) for x in (-1, 0, 1) for y in (-1, 0, 1)]),
    "tri6": (tri6_functions, [(0, 0), (1, 0), (0, 1), (0.5, 0), (0.5, 0.5), (0, 0.5)]),
}
KINDS = ["quad9", "mixed quad9", "tri6"]
RIGID = [
    (AXIAL_FIELD, "axial"),
    (TORSIONAL_FIELD, "torsional"),
    (LATERAL_FIELD, "radial"),
    (LATERAL_FIELD, "conical"),
]


def group_of(kind, mesh, shear_modulus, bulk_modulus):
    if kind == "tri6":
        return ElementGroup(mesh.nodes, split_into_triangles(mesh.quads), "tri6", shear_modulus, bulk_modulus)
    return ElementGroup(
        mesh.nodes, mesh.quads, "quad9", shear_modulus, bulk_modulus, mixed=kind.startswith("mixed")
    )


@pytest.fixture
def zone():
    radii = 20.0 + 15.0 * graded_line(3, 1.5)
    return zone_mesh(radii, 0.7 + 1.2 * graded_line(5, 1.0))


@pytest.fixture
def cylinder():
    return tube_mesh(np.linspace(0.0, 10.0, 9), np.linspace(14.0, -14.0, 13))


@pytest.mark.parametrize("kind", FUNCTIONS)
def test_shape_functions_are_one_at_their_node_and_zero_at_the_others(kind):
    functions, places = FUNCTIONS[kind]
    shape, _ = functions(*np.array(places, float).T)
    np.testing.assert_allclose(shape, np.eye(len(places)), atol=1e-15)


@pytest.mark.parametrize("kind", FUNCTIONS)
def test_derivatives_agree_with_central_differences(kind):
    functions, _ = FUNCTIONS[kind]
    xi, eta, step = np.array([0.21, 0.4]), np.array([0.13, 0.37]), 1e-5
    _, derivative = functions(xi, eta)
    after_xi = (functions(xi + step, eta)[0] - functions(xi - step, eta)[0]) / (2 * step)
    after_eta = (functions(xi, eta + step)[0] - functions(xi, eta - step)[0]) / (2 * step)
    # Quadratic functions: the central difference is exact up to round-off 1e-16/1e-5.
    np.testing.assert_allclose(derivative[:, 0], after_xi, atol=1e-10)
    np.testing.assert_allclose(derivative[:, 1], after_eta, atol=1e-10)


@pytest.mark.parametrize("kind", KINDS)
def test_quadrature_gives_the_volume_of_the_cylinder(kind, cylinder):
    group = group_of(kind, cylinder, 1.0, 10.0)
    # The integrand r is linear: exact.
    assert 2 * np.pi * group.geometry.volume.sum() == pytest.approx(np.pi * 10.0**2 * 28.0, rel=1e-13)


def test_quadrature_gives_the_volume_of_the_zone(zone):
    group = group_of("quad9", zone, 1.0, 10.0)
    exact = 2 * np.pi / 3 * (35.0**3 - 20.0**3) * (np.cos(0.7) - np.cos(1.9))
    # Arcs are drawn by parabolas over cells of at most 0.3 rad: volume error of the order 0.3^4/1e3.
    assert 2 * np.pi * group.geometry.volume.sum() == pytest.approx(exact, rel=2e-5)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(("field", "motion"), RIGID, ids=[motion for _, motion in RIGID])
def test_rigid_motion_strains_nothing(kind, field, motion, zone):
    """Translations and rotations, above all the tilt, leave no strain: the signs of the harmonic agree.

    On curved elements a rigid motion is a combination of shape functions (isoparametric), so this is exact.
    """
    group = group_of(kind, zone, 1.0, 2000.0)
    nodal = rigid_motion(zone.nodes, motion)[group.connectivity].reshape(len(group.connectivity), -1, 1)
    strain = strain_operator(group.geometry, field) @ nodal[:, None]
    force = element_stiffness(group, field) @ nodal
    assert np.abs(strain).max() < 1e-12
    scale = np.abs(element_stiffness(group, field)).max() * np.abs(nodal).max()
    assert np.abs(force).max() < 1e-13 * scale


@pytest.mark.parametrize("kind", KINDS)
def test_a_motion_that_is_not_rigid_strains(kind, zone):
    group = group_of(kind, zone, 1.0, 2000.0)
    wrong_sign = rigid_motion(zone.nodes, "radial") * [1.0, 1.0, -1.0]
    nodal = wrong_sign[group.connectivity].reshape(len(group.connectivity), -1, 1)
    assert np.abs(strain_operator(group.geometry, LATERAL_FIELD) @ nodal[:, None]).max() > 0.01


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("field", [AXIAL_FIELD, TORSIONAL_FIELD, LATERAL_FIELD, Field(2, (0, 1, 2))])
def test_element_matrices_are_symmetric_and_not_indefinite(kind, field, zone):
    matrices = element_stiffness(group_of(kind, zone, 1.0, 2000.0), field)
    scale = np.abs(matrices).max()
    np.testing.assert_allclose(matrices, matrices.transpose(0, 2, 1), atol=1e-14 * scale)
    assert np.linalg.eigvalsh(matrices).min() > -1e-13 * scale


POISSON = 0.3
PATCHES = {
    "pure bending": (
        LATERAL_FIELD,
        lambda r, z: (
            (z * z + POISSON * r * r) / 200.0,
            -r * z / 100.0,
            (-z * z + POISSON * r * r) / 200.0,
        ),
    ),
    "tension": (AXIAL_FIELD, lambda r, z: (-POISSON * r / 100.0, z / 100.0)),
    "torsion": (TORSIONAL_FIELD, lambda r, z: (r * z / 100.0,)),
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("patch", PATCHES)
def test_patch_of_a_solid_cylinder(kind, patch, cylinder):
    """Saint-Venant bending, tension and torsion of a solid cylinder are quadratic: met to round-off.

    Surface nodes carry the exact field; the nodes inside, those on the axis among them, must find it.
    """
    field, exact_field = PATCHES[patch]
    young = 1.0
    group = group_of(kind, cylinder, young / (2 * (1 + POISSON)), young / (3 * (1 - 2 * POISSON)))
    r, z = cylinder.nodes.T
    exact = np.stack(exact_field(r, z), axis=1)[..., None]
    held = np.zeros(exact.shape[:2], bool)
    held[(r == r.max()) | (np.abs(z) == z.max())] = True
    solution = solve_harmonic(cylinder.nodes, [group], field, held, exact)
    assert not held.all()
    np.testing.assert_allclose(solution.displacement, exact, atol=1e-12 * np.abs(exact).max())


@pytest.mark.parametrize("kind", KINDS)
def test_bending_stiffness_of_the_cylinder(kind, cylinder):
    """Twice the energy of pure bending is E·I·κ²·L with I = πR⁴/4, exact for the quadratic field."""
    young, radius, length, curvature = 1.0, 10.0, 28.0, 0.01
    group = group_of(kind, cylinder, young / (2 * (1 + POISSON)), young / (3 * (1 - 2 * POISSON)))
    exact = np.stack(PATCHES["pure bending"][1](*cylinder.nodes.T), axis=1)[..., None]
    solution = solve_harmonic(cylinder.nodes, [group], LATERAL_FIELD, np.ones(exact.shape[:2], bool), exact)
    expected = young * np.pi * radius**4 / 4 * curvature**2 * length
    # tri6 integrates the 1/r terms near the axis with its six-point rule, also without remainder here.
    assert solution.stiffness[0, 0] == pytest.approx(expected, rel=1e-12)


def test_torsion_energy_of_the_cylinder(cylinder):
    """Twice the energy of torsion is G·J·τ²·L with J = πR⁴/2."""
    group = group_of("tri6", cylinder, 0.5, 10.0)
    exact = np.stack(PATCHES["torsion"][1](*cylinder.nodes.T), axis=1)[..., None]
    solution = solve_harmonic(cylinder.nodes, [group], TORSIONAL_FIELD, np.ones((len(exact), 1), bool), exact)
    assert solution.stiffness[0, 0] == pytest.approx(0.5 * np.pi * 10.0**4 / 2 * 0.01**2 * 28.0, rel=1e-12)


def test_quads_and_triangles_conform():
    """A cylinder half of quadrilaterals and half of triangles passes the bending patch across the joint."""
    mesh = tube_mesh(np.linspace(0.0, 10.0, 9), np.linspace(14.0, -14.0, 13))
    upper = mesh.nodes[mesh.quads[:, 4], 1] > 0.0
    shear, bulk = 1.0 / (2 * (1 + POISSON)), 1.0 / (3 * (1 - 2 * POISSON))
    groups = [
        ElementGroup(mesh.nodes, mesh.quads[upper], "quad9", shear, bulk),
        ElementGroup(mesh.nodes, split_into_triangles(mesh.quads[~upper]), "tri6", shear, bulk),
    ]
    r, z = mesh.nodes.T
    exact = np.stack(PATCHES["pure bending"][1](r, z), axis=1)[..., None]
    held = np.repeat(((r == r.max()) | (np.abs(z) == z.max()))[:, None], 3, axis=1)
    solution = solve_harmonic(mesh.nodes, groups, LATERAL_FIELD, held, exact)
    np.testing.assert_allclose(solution.displacement, exact, atol=1e-12 * np.abs(exact).max())


def test_mixed_element_does_not_lock():
    """A nearly incompressible thin layer: plain elements are far too stiff, condensed pressure is not."""
    mesh = zone_mesh(np.linspace(30.0, 34.0, 5), np.linspace(0.96, 2.18, 13))
    held = np.zeros((len(mesh.nodes), 2), bool)
    held[mesh.inner] = held[mesh.outer] = True
    prescribed = np.zeros((*held.shape, 1))
    prescribed[mesh.inner, :, 0] = rigid_motion(mesh.nodes[mesh.inner], "axial")

    def axial(kind):
        group = group_of(kind, mesh, 1.5, 2500.0)
        return solve_harmonic(mesh.nodes, [group], AXIAL_FIELD, held, prescribed).stiffness[0, 0]

    fine = 9631.9  # own reference, extrapolated from graded meshes of 24 x 72 and 32 x 96 cells
    assert axial("mixed quad9") == pytest.approx(fine, rel=0.02)
    assert axial("quad9") > 1.1 * fine


def test_folded_element_is_named():
    mesh = tube_mesh(np.linspace(1.0, 5.0, 5), np.linspace(4.0, 0.0, 5))
    nodes = mesh.nodes.copy()
    nodes[mesh.quads[2, 8]] = nodes[mesh.quads[2, 4]] - 1.0
    with pytest.raises(ValueError, match=r"mesh\.element\[2\]: Jacobian -.* must exceed 0; .*finer mesh"):
        ElementGroup(nodes, mesh.quads, "quad9", 1.0, 10.0)


def test_clockwise_numbering_is_refused():
    rising = tube_mesh(np.linspace(1.0, 5.0, 5), np.linspace(0.0, 4.0, 5))
    with pytest.raises(ValueError, match="numbered clockwise"):
        ElementGroup(rising.nodes, rising.quads, "quad9", 1.0, 10.0)


def test_mixed_triangle_is_refused(zone):
    with pytest.raises(ValueError, match=r"group\.kind = 'tri6' cannot be mixed; use quad9"):
        ElementGroup(zone.nodes, split_into_triangles(zone.quads), "tri6", 1.0, 10.0, mixed=True)


@pytest.mark.parametrize(
    ("field", "free"),
    [(AXIAL_FIELD, {1}), (TORSIONAL_FIELD, set()), (LATERAL_FIELD, {0}), (Field(2, (0, 1, 2)), set())],
)
def test_conditions_on_the_axis(field, free, cylinder):
    """Smoothness at r = 0: n = 0 only u_z; n = 1 only u_r with u_θ = -u_r; n = 2 nothing."""
    group = group_of("quad9", cylinder, 1.0, 10.0)
    held = np.zeros((len(cylinder.nodes), len(field.components)), bool)
    equations = Equations(cylinder.nodes, [group], field, held)
    middle = equations.expand(np.ones((equations.count, 1)))[cylinder.nodes[:, 0] == 0.0, :, 0]
    moving = {
        component for place, component in enumerate(field.components) if np.all(middle[:, place] == 1.0)
    }
    assert moving == free
    if field == LATERAL_FIELD:
        assert np.all(middle == [1.0, 0.0, -1.0])
