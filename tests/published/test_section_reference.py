"""The whole section against a general finite-element library: axial and torsional stiffness on straight triangles.

Source: scikit-fem (package registry, BSD licence), quadratic displacement and linear pressure (Taylor–Hood) throughout.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementTriP0, ElementTriP1, ElementTriP2, ElementVector, MeshTri, bmat, condense, solve

from dossier.mechanics import section_stiffness
from dossier.mechanics.section_mesh import MeshSize, section_mesh
from tests.mechanics.joints import ALUMINIUM, FILLER, STEEL, long_arm, short_arm, steel_and

RUBBER = (1.06, 1150.0)


@BilinearForm
def distortion(u, v, w):
    """2 G ε_dev : ε_dev of axisymmetric displacement (u_r, u_z), per radian."""
    hoop_u, hoop_v = u[0] / w.x[0], v[0] / w.x[0]
    du, dv = u.grad[0, 0] + u.grad[1, 1] + hoop_u, v.grad[0, 0] + v.grad[1, 1] + hoop_v
    shear = (u.grad[0, 1] + u.grad[1, 0]) * (v.grad[0, 1] + v.grad[1, 0]) / 2
    full = u.grad[0, 0] * v.grad[0, 0] + u.grad[1, 1] * v.grad[1, 1] + hoop_u * hoop_v + shear
    return 2 * w["shear"] * (full - du * dv / 3) * w.x[0]


@BilinearForm
def dilation(u, q, w):
    return (u.grad[0, 0] + u.grad[1, 1] + u[0] / w.x[0]) * q * w.x[0]


@BilinearForm
def compressibility(p, q, w):
    return p * q / w["bulk"] * w.x[0]


@BilinearForm
def twist(u, v, w):
    """G (γ_rθ² + γ_zθ²) of the circumferential displacement, per radian."""
    return w["shear"] * ((u.grad[0] - u / w.x[0]) * (v.grad[0] - v / w.x[0]) + u.grad[1] * v.grad[1]) * w.x[0]


class Straight:
    """The section on straight triangles of a fine mesh of ours, with its own elements."""

    def __init__(self, joint, core=None):
        mesh = section_mesh(joint, MeshSize().finer(2))
        cells = mesh.layer.quads[:, [0, 3, 4, 0, 4, 1, 1, 4, 5, 1, 5, 2, 3, 6, 7, 3, 7, 4, 4, 7, 8, 4, 8, 5]].reshape(-1, 3)
        parts, materials = [cells], [RUBBER]
        solids = {"pin": STEEL, "core": core}
        for name, six in mesh.triangles.items():
            solid = solids.get(name, ALUMINIUM)
            parts.append(np.concatenate([six[:, list(corner)] for corner in ((0, 3, 5), (3, 1, 4), (5, 4, 2), (3, 4, 5))]))
            materials.append((solid.shear_modulus, solid.bulk_modulus))
        triangles = np.concatenate(parts)
        self.mesh = MeshTri(np.ascontiguousarray(mesh.nodes.T), np.ascontiguousarray(triangles.T))
        constant = Basis(self.mesh, ElementTriP0(), intorder=4)
        values = np.repeat(np.array(materials), [len(part) for part in parts], axis=0)
        self.shear = constant.interpolate(values[:, 0])
        self.bulk = constant.interpolate(values[:, 1])
        self.edge, self.eye = joint.pin.ends.clamp_edge, joint.carrier.outer_radius

    def held(self, place):
        r, z = place
        return (r > self.eye - 1e-6), (np.abs(z) > self.edge - 1e-6) & (r < self.eye - 1), r < 1e-9

    def axial(self) -> float:
        moved = Basis(self.mesh, ElementVector(ElementTriP2()), intorder=4)
        pressed = moved.with_element(ElementTriP1())
        stiff = distortion.assemble(moved, shear=self.shear)
        soft, mixed = compressibility.assemble(pressed, bulk=self.bulk), dilation.assemble(moved, pressed)
        system = bmat([[stiff, mixed.T], [mixed, -soft]], "csr")
        along_z = np.zeros(moved.N, bool)
        for numbers in (moved.nodal_dofs[1], moved.facet_dofs[1]):
            along_z[numbers] = True
        eye, clamp, axis = self.held(moved.doflocs)
        given = np.zeros(system.shape[0])
        given[: moved.N][eye & along_z] = 1.0
        fixed = np.flatnonzero(eye | clamp | (axis & ~along_z))
        found = solve(*condense(system, x=given, D=fixed))
        u, p = found[: moved.N], found[moved.N :]
        return float(2 * pi * (u @ (stiff @ u) + p @ (soft @ p)))

    def torsional(self) -> float:
        basis = Basis(self.mesh, ElementTriP2(), intorder=4)
        system = twist.assemble(basis, shear=self.shear)
        eye, clamp, axis = self.held(basis.doflocs)
        given = np.where(eye, basis.doflocs[0], 0.0)
        found = solve(*condense(system, x=given, D=np.flatnonzero(eye | clamp | axis)))
        return float(2 * pi * found @ (system @ found))


@pytest.mark.parametrize(
    ("joint", "core"),
    [(short_arm(), None), (short_arm(free_surface="concave", hollow_depth=1.5), None), (long_arm(straight=True), FILLER)],
    ids=["rings, bored pin", "hollow free faces", "ball contour of filler"],
)
def test_axial_and_torsional_stiffness(joint, core):
    """0.3 %: straight sides instead of arcs there, a mesh half as fine here."""
    ours = section_stiffness(joint, steel_and(RUBBER, carrier=ALUMINIUM, core=core)).stiffness
    other = Straight(joint, core)
    assert ours.torsional == pytest.approx(other.torsional(), rel=3e-3)
    assert ours.axial == pytest.approx(other.axial(), rel=3e-3)
