"""Rubber at finite strain against published solutions for an incompressible neo-Hookean body.

Identifiers R13 to R20 number the rows of the collected check values; all are analytic, the sources from memory.
"""

import numpy as np
import pytest

from dossier.mechanics.axisymmetric import AxisymmetricKinematics
from dossier.mechanics.hyperelastic import MooneyRivlin, NeoHookean, Yeoh, response
from dossier.mechanics.mesh import graded_line, zone_mesh
from dossier.mechanics.newton import Support
from dossier.mechanics.rubber_body import RubberBody

UNIT = NeoHookean(1.0)


def nominal_stress(law, stretches):
    """Nominal stress along the first principal stretch, the pressure set so that the third face is free."""
    gradient = np.diag(stretches)
    free = response(law, gradient, np.array(0.0)).stress.reshape(3, 3)[2, 2]
    pressure = -free * stretches[2]
    return response(law, gradient, np.array(pressure)).stress.reshape(3, 3)[0, 0]


@pytest.mark.parametrize(("stretch", "published"), [(2.0, 1.75), (1.25, 0.61), (0.8, -0.7625)])
def test_r13_uniaxial_tension_and_compression(stretch, published):
    """R13: nominal λ - λ⁻² for μ = 1. Treloar, The Physics of Rubber Elasticity, ch. 4-5."""
    across = stretch**-0.5
    assert nominal_stress(UNIT, (stretch, across, across)) == pytest.approx(published, rel=1e-9)


def test_r14_simple_shear():
    """R14: γ = 0.5, μ = 1: τ = 0.5 and σ11 - σ22 = μγ² = 0.25. Rivlin, Phil. Trans. A 241 (1948) 379."""
    gradient = np.eye(3)
    gradient[0, 1] = 0.5
    piola = response(UNIT, gradient, np.array(0.3)).stress.reshape(3, 3)
    stress = piola @ gradient.T
    assert stress[0, 1] == pytest.approx(0.5, rel=1e-9)
    assert stress[0, 0] - stress[1, 1] == pytest.approx(0.25, rel=1e-9)


def test_r19_equibiaxial_tension_and_pure_shear():
    """R19: λ = 1.5, μ = 1: nominal 1.368313 and 1.203704. Treloar, The Physics of Rubber Elasticity."""
    assert nominal_stress(UNIT, (1.5, 1.5, 1.5**-2)) == pytest.approx(1.368313, rel=1e-6)
    assert nominal_stress(UNIT, (1.5, 1.0, 1 / 1.5)) == pytest.approx(1.203704, rel=1e-6)


@pytest.mark.parametrize("law", [Yeoh(0.5, 0.0, 0.0), MooneyRivlin(0.5, 0.0)], ids=["Yeoh", "MooneyRivlin"])
def test_r13_holds_for_the_laws_that_contain_it(law):
    assert nominal_stress(law, (2.0, 2.0**-0.5, 2.0**-0.5)) == pytest.approx(1.75, rel=1e-9)


def test_mooney_rivlin_uniaxial_tension():
    """Nominal 2(λ - λ⁻²)(C10 + C01/λ): 2 · 1.75 · (0.3 + 0.1) = 1.4 at λ = 2.

    Treloar, The Physics of Rubber Elasticity, ch. 5, from memory.
    """
    assert nominal_stress(MooneyRivlin(0.3, 0.2), (2.0, 2.0**-0.5, 2.0**-0.5)) == pytest.approx(1.4, rel=1e-9)


CAVITIES = [(2.0, 1.46875, 1e-9), (3.0, 1.827160, 1e-6)]


@pytest.mark.parametrize(("stretch", "published", "tolerance"), CAVITIES)
def test_r15_r20_cavity_in_an_infinite_body_from_the_law(stretch, published, tolerance):
    """R15, R20: P = μ(5/2 - 2/λ - 1/(2λ⁴)); Gent & Lindley, Proc. R. Soc. A 249 (1959) 195.

    Equilibrium integrated from the cavity outwards: P = ∫ 2(σ_θ - σ_r)/(λ(λ³ - 1)) dλ from 1 to the stretch.
    """
    assert 5 / 2 - 2 / stretch - 1 / (2 * stretch**4) == pytest.approx(published, abs=5e-7)
    places, weights = np.polynomial.legendre.leggauss(40)
    hoop = (1 + stretch) / 2 + (stretch - 1) / 2 * places
    gradient = np.zeros((40, 3, 3))
    gradient[:, 0, 0], gradient[:, 1, 1], gradient[:, 2, 2] = hoop**-2, hoop, hoop
    stress = response(UNIT, gradient, np.zeros(40)).stress.reshape(40, 3, 3) @ gradient
    difference = stress[:, 1, 1] - stress[:, 0, 0]
    pressure = (stretch - 1) / 2 * (weights * 2 * difference / (hoop * (hoop**3 - 1))).sum()
    assert pressure == pytest.approx(published, rel=tolerance)


@pytest.mark.parametrize(("stretch", "published", "tolerance"), CAVITIES)
def test_r15_r20_cavity_in_a_large_body_from_the_elements(stretch, published, tolerance):
    """A shell 100 times as large as its cavity: the outside still takes 4(λ³ - 1)/(3 · 100³) = 3.5e-5 MPa at most.

    The mesh of 20 x 12 cells leaves 1.2e-4 of the pressure, and 1e-5 with half as many cells more.
    """
    mesh = zone_mesh(100.0 ** graded_line(20, 0.0), np.pi * graded_line(12, 0.0))
    body = RubberBody(mesh.nodes, mesh.quads, UNIT, 1e6)
    held = np.zeros((len(mesh.nodes), 2), bool)
    held[mesh.inner] = True
    support = Support(AxisymmetricKinematics(body), held)
    normal = np.zeros((len(mesh.nodes), 2))
    normal[mesh.inner] = mesh.nodes[mesh.inner]
    state = support.kinematics.rest
    for part in np.linspace(0.0, 1.0, 9)[1:]:
        found = support.solve(state, part * (stretch - 1) * normal)
        state = found.state
    pressure = (found.forces * normal).sum() / (4 * np.pi * stretch**2)
    assert pressure == pytest.approx(published, rel=2e-4)
