"""Rubber at finite strain against exact solutions of a neo-Hookean body.

All are derived for an incompressible body; K/G = 1e6 stands for it. The errors in brackets were seen on these meshes.
"""

from math import log, pi, radians, sqrt

import numpy as np
import pytest
from finite_samples import sample, shell, through, zone

from dossier.mechanics.face_pressure import outer_face_pressure
from dossier.mechanics.hyperelastic import NeoHookean
from dossier.mechanics.increments import Faces, stiffness_around
from dossier.mechanics.mesh import graded_line, tube_mesh
from dossier.mechanics.rubber_body import axisymmetric_energy

INNER, OUTER = 20.0, 35.0


def shell_pressure(inner_ratio, outer_ratio):
    """Internal less external pressure over G of a shell with these hoop stretches."""

    def part(stretch):
        return stretch**-4 / 2 + 2 / stretch

    return part(outer_ratio) - part(inner_ratio)


def inflated(radius, cells):
    """Shell whose inner radius is moved from INNER, the outer face free; in four steps."""
    body = shell(INNER, OUTER, cells)
    held = np.zeros((len(body.mesh.nodes), 2), bool)
    held[body.mesh.inner] = True
    normal = np.zeros((len(body.mesh.nodes), 2))
    normal[body.mesh.inner] = body.mesh.nodes[body.mesh.inner] / INNER
    steps = [normal * (radius - INNER) * part for part in (0.25, 0.5, 0.75, 1.0)]
    return body, normal, through(body.axisymmetric(held), steps)[-1]


# Errors seen: pressure 8e-6 (24 mm), 1.5e-4 (18 mm); torsion 1.7e-5, 1.1e-4.
@pytest.mark.parametrize(("radius", "tolerance"), [(24.0, 3e-5), (18.0, 3e-4)])
def test_inflated_shell_and_small_motions_on_it(radius, tolerance):
    body, normal, found = inflated(radius, (4, 16))
    volume = radius**3 - INNER**3
    pressure = (found.forces * normal).sum() / (4 * pi * radius**2)
    exact = shell_pressure(radius / INNER, (OUTER**3 + volume) ** (1 / 3) / OUTER)
    assert pressure == pytest.approx(exact, rel=tolerance)
    around = stiffness_around(body.body, found, body.faces)
    places, weights = np.polynomial.legendre.leggauss(40)
    places = (INNER + OUTER) / 2 + (OUTER - INNER) / 2 * places
    integral = (OUTER - INNER) / 2 * (weights / (places**2 * (places**3 + volume) ** (2 / 3))).sum()
    assert around.torsional == pytest.approx(8 * pi / 3 / integral, rel=tolerance)
    # Every direction is alike in a sphere; the meridional mesh breaks that by its error only.
    assert around.conical == pytest.approx(around.torsional, rel=tolerance)
    assert around.radial == pytest.approx(around.axial, rel=tolerance)
    assert abs(around.coupling) < 1e-6 * sqrt(around.radial * around.conical)


def test_lever_arms_of_the_present_forces_matter_for_torsion():
    """Without them the torsional stiffness would be off by more than a tenth."""
    body, _, found = inflated(24.0, (4, 16))
    around = stiffness_around(body.body, found, body.faces)
    radial = ((body.mesh.nodes + found.state.displacement) * found.forces)[body.mesh.inner, 0].sum()
    assert abs(radial / around.torsional) > 0.1


def test_inflation_error_falls_with_the_fourth_power_of_the_cell():
    """From 2x8 to 4x16 cells by 16 in the limit; at least by 8 is asked for."""

    def error(cells):
        _, normal, found = inflated(24.0, cells)
        outer = (OUTER**3 + 24.0**3 - INNER**3) ** (1 / 3)
        return abs((found.forces * normal).sum() / (4 * pi * 24.0**2) / shell_pressure(1.2, outer / OUTER) - 1)

    assert error((4, 16)) < error((2, 8)) / 8


def test_pressure_on_the_outer_face_of_a_compressed_shell():
    """Outer radius 35 → 34 mm, the cavity free: one pressure everywhere on the face."""
    body = shell(INNER, OUTER, (8, 32))
    held = np.zeros((len(body.mesh.nodes), 2), bool)
    held[body.mesh.outer] = True
    given = np.zeros((len(body.mesh.nodes), 2))
    given[body.mesh.outer] = -body.mesh.nodes[body.mesh.outer] / OUTER
    found = through(body.axisymmetric(held), [given / 2, given])[-1]
    cavity = (INNER**3 + 34.0**3 - OUTER**3) ** (1 / 3)
    exact = -shell_pressure(cavity / INNER, 34.0 / OUTER)
    pressure = outer_face_pressure(body.body, body.mesh, body.mesh.outer, found.state)
    # Area of the deformed sphere projected: π²·r²; a resultant converges faster than a value at a point.
    assert pressure.projected_area == pytest.approx(pi**2 * 34.0**2, rel=1e-5)
    assert -found.forces[body.mesh.outer, 0].sum() / pressure.projected_area == pytest.approx(exact, rel=5e-5)
    assert (pressure.least, pressure.greatest) == pytest.approx((exact, exact), rel=1e-3)


def tube(inner, outer, length, cells):
    radii = inner + (outer - inner) * graded_line(cells[0], 0.0)
    return sample(tube_mesh(radii, length * graded_line(cells[1], 0.0)[::-1]), NeoHookean(1.0), 1e6)


def compressed_tube():
    """Tube 10/18 mm, 20 mm long between lubricated plates, outside moved in by 1 mm, inside by as much volume."""
    body = tube(10.0, 18.0, 20.0, (4, 4))
    held = body.held(2)
    held[body.mesh.ends, 1] = True
    steps = []
    for part in (0.5, 1.0):
        volume = part * (17.0**2 - 18.0**2)
        given = np.zeros((len(body.mesh.nodes), 2))
        given[body.mesh.inner, 0] = sqrt(100.0 + volume) - 10.0
        given[body.mesh.outer, 0] = sqrt(324.0 + volume) - 18.0
        steps.append(given)
    return body, through(body.axisymmetric(held), steps)[-1]


def test_torsion_of_a_compressed_tube():
    """Exact 4πLGc / ln(B²(A² + c)/((B² + c)A²)), c = b² - B²; 30 % from the unstrained tube (3.5e-5)."""
    body, found = compressed_tube()
    volume = 17.0**2 - 18.0**2
    exact = 4 * pi * 20.0 * volume / log(324.0 * (100.0 + volume) / ((324.0 + volume) * 100.0))
    unstrained = 4 * pi * 20.0 / (1 / 100.0 - 1 / 324.0)
    assert abs(unstrained / exact - 1) > 0.25
    assert stiffness_around(body.body, found, body.faces).torsional == pytest.approx(exact, rel=1e-4)


def test_axial_shear_of_a_compressed_tube():
    """Exact 2πGL/ln(B/A), whatever the compression, if u_r is held at the ends (5.8e-6)."""
    body, found = compressed_tube()
    bonded = np.concatenate([body.mesh.inner, body.mesh.outer])
    ends = np.setdiff1d(body.mesh.ends, bonded)
    held = body.held(2)
    held[ends, 0] = True
    support = body.axisymmetric(held)
    given = np.where(held, found.state.displacement, 0.0)

    def force(travel):
        moved = given.copy()
        moved[body.mesh.inner, 1] += travel
        return support.solve(found.state, moved).forces[body.mesh.inner, 1].sum()

    # A central difference: the ends' pressure, symmetric in the travel, drops out.
    stiffness = (force(0.01) - force(-0.01)) / 0.02
    assert stiffness == pytest.approx(2 * pi * 20.0 / log(1.8), rel=5e-5)


def test_finite_torsion_of_a_solid_cylinder():
    """60° over one radius of length: torque πGτA⁴/2 and axial force -πGτ²A⁴/4, on one element (3e-7, 2e-6)."""
    body = tube(0.0, 10.0, 10.0, (1, 1))
    top, bottom = body.mesh.grid[0], body.mesh.grid[-1]
    held = np.zeros((len(body.mesh.nodes), 3), bool)
    held[top] = held[bottom] = True
    given = np.zeros((len(body.mesh.nodes), 3))
    given[top, 2] = pi / 3
    found = through(body.axisymmetric(held, torsion=True), [given * part for part in (0.25, 0.5, 0.75, 1.0)])[-1]
    twist = pi / 3 / 10.0
    assert found.forces[top, 2].sum() == pytest.approx(pi / 2 * twist * 1e4, rel=2e-6)
    assert found.forces[top, 1].sum() == pytest.approx(-pi / 4 * twist**2 * 1e4, rel=1e-5)


def test_finite_azimuthal_shear_of_a_tube():
    """40°: M = 4πGLφ/(1/A² - 1/B²); errors 1.4e-4 on 4 cells and 9e-6 on 8."""

    def error(cells):
        body = tube(10.0, 18.0, 5.0, (cells, 1))
        held = body.held(3)
        held[body.mesh.ends, 1] = True
        given = np.zeros((len(body.mesh.nodes), 3))
        given[body.mesh.inner, 2] = radians(40)
        found = through(body.axisymmetric(held, torsion=True), [given / 2, given])[-1]
        exact = 4 * pi * 5.0 * radians(40) / (1 / 100.0 - 1 / 324.0)
        return abs(found.forces[body.mesh.inner, 2].sum() / exact - 1)

    coarse, fine = error(4), error(8)
    assert coarse < 3e-4
    assert fine < coarse / 8


def test_force_is_the_slope_of_the_energy():
    """dW/dd = F, with p²/2K of the projected pressure; the difference quotient leaves 1e-7."""
    body = zone(20, 35, 50, 130, 1.0, 2000, (4, 14))
    support = body.axisymmetric()
    low, high, middle = through(support, [body.axial(travel) for travel in (1.0, 2.0, 2.99, 3.01, 3.0)])[2:]
    energy = [axisymmetric_energy(body.body, each.state.displacement, each.state.pressure) for each in (low, high)]
    slope = (energy[1] - energy[0]) / 0.02
    assert slope == pytest.approx(middle.forces[body.mesh.inner, 1].sum(), rel=1e-6)


def test_only_a_state_without_torsion_has_the_four_stiffnesses():
    body = tube(10.0, 18.0, 5.0, (2, 1))
    found = body.axisymmetric(torsion=True).solve(
        body.axisymmetric(torsion=True).kinematics.rest, np.zeros((len(body.mesh.nodes), 3))
    )
    with pytest.raises(ValueError, match="state.torsion must be absent"):
        stiffness_around(body.body, found, Faces(body.mesh.inner, body.mesh.outer))
