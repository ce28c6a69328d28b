"""Rubber between rigid faces at finite strain: points of the material, deformation gradient, pressure functions.

Displacement (N, 2) or (N, 3) in an axisymmetric state: u_r, u_z in mm and, with finite torsion, the rotation φ about
the axis in rad. Gradient components are numbered 3·i + j: i the current direction (r, z, θ), j the undeformed one.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from dossier.mechanics.elements import ElementGroup, Field, Geometry, ReferenceElement, geometry_at, sampled_quad9
from dossier.mechanics.hyperelastic import StrainEnergy, cofactors, modified_invariants

CHECK_POINTS_PER_SIDE = 6


@dataclass(frozen=True)
class MaterialPoints:
    """Points of E elements, q in each: geometry and radius (E, q) in mm of the undeformed body."""

    reference: ReferenceElement
    geometry: Geometry
    radius: np.ndarray

    @property
    def volume(self) -> np.ndarray:
        """Undeformed volume (E, q) in mm³ around the whole axis."""
        return 2.0 * pi * self.geometry.volume


def material_points(nodes: np.ndarray, connectivity: np.ndarray, reference: ReferenceElement) -> MaterialPoints:
    """Points of nine-node elements; nodes (N, 2) in mm, connectivity (E, 9)."""
    radius = nodes[connectivity][..., 0] @ reference.shape.T
    return MaterialPoints(reference, geometry_at(nodes, connectivity, reference), radius)


class RubberBody:
    """Nine-node quadrilaterals of one strain-energy law; the pressure is linear in each and unknown by itself.

    nodes (N, 2) in mm as (r, z), exactly 0 in r on the axis; quads (E, 9); bulk modulus in MPa.
    """

    def __init__(self, nodes: np.ndarray, quads: np.ndarray, law: StrainEnergy, bulk_modulus: float):
        self.nodes, self.quads, self.law, self.bulk_modulus = nodes, quads, law, bulk_modulus
        self.group = ElementGroup(
            nodes, quads, "quad9", law.small_strain_shear_modulus, bulk_modulus, mixed=True
        )
        self.points = material_points(nodes, quads, self.group.reference)
        self.check_points = material_points(nodes, quads, sampled_quad9(CHECK_POINTS_PER_SIDE, CHECK_POINTS_PER_SIDE))
        functions = self.points.reference.pressure
        mass = (functions.T * self.points.volume[:, None, :]) @ functions
        self.pressure_stiffness = bulk_modulus * np.linalg.inv(mass)
        """K M⁻¹ (E, 3, 3) in MPa/mm³, M the mass matrix of the pressure functions around the whole axis."""

    @property
    def force_noise(self) -> float:
        """Force in N below which a residual counts as round-off whatever the load: (1e-9 G + 1e-14 K) · size²."""
        stress = 1e-9 * self.law.small_strain_shear_modulus + 1e-14 * self.bulk_modulus
        return stress * float(np.abs(self.nodes).max()) ** 2


def gradient_operator(geometry: Geometry, field: Field) -> np.ndarray:
    """Matrix H (E, q, 9, k·c) from nodal amplitudes of a field to the displacement gradient in 1/mm.

    Rows rθ and zθ: -(nU + V)/r and -nW/r; row θθ: (U + nV)/r; their factors around the axis are sin nθ, sin nθ
    and cos nθ. Rows θr and θz go with sin nθ, the others with cos nθ.
    """
    after_r, after_z = geometry.gradient[:, :, 0], geometry.gradient[:, :, 1]
    over_r, n = geometry.shape_over_radius, field.harmonic
    operator = np.zeros((*over_r.shape[:2], 3, 3, over_r.shape[2], len(field.components)))
    for place, component in enumerate(field.components):
        part = operator[..., place]
        part[:, :, component, 0], part[:, :, component, 1] = after_r, after_z
        if component == 0:
            part[:, :, 2, 2], part[:, :, 0, 2] = over_r, -n * over_r
        elif component == 1:
            part[:, :, 1, 2] = -n * over_r
        else:
            part[:, :, 0, 2], part[:, :, 2, 2] = -over_r, n * over_r
    return operator.reshape(*over_r.shape[:2], 9, -1)


def axisymmetric_gradient(points: MaterialPoints, quads: np.ndarray, displacement: np.ndarray) -> np.ndarray:
    """Deformation gradient F (E, q, 3, 3) of an axisymmetric state, with torsion if it has three components.

    F_θR = r φ,R and F_θZ = r φ,Z with the current radius r (the rotation φ itself turns only the frame).
    """
    nodal = displacement[quads]
    slope = points.geometry.gradient @ nodal[:, None]
    radial = nodal[..., 0] @ points.reference.shape.T
    gradient = np.zeros((*points.radius.shape, 3, 3))
    gradient[..., :2, :2] = np.swapaxes(slope[..., :2], -1, -2)
    gradient[..., 0, 0] += 1.0
    gradient[..., 1, 1] += 1.0
    gradient[..., 2, 2] = 1.0 + radial / points.radius
    if displacement.shape[1] == 3:
        gradient[..., 2, :2] = (points.radius + radial)[..., None] * slope[..., 2]
    return gradient


def axisymmetric_energy(body: RubberBody, displacement: np.ndarray, pressure: np.ndarray) -> float:
    """Stored energy in N·mm of a state in equilibrium: W plus p²/2K with the pressure (E, 3) in MPa."""
    gradient = axisymmetric_gradient(body.points, body.quads, displacement)
    local = pressure @ body.points.reference.pressure.T
    density = body.law.energy(*modified_invariants(gradient)) + local**2 / (2.0 * body.bulk_modulus)
    return float((body.points.volume * density).sum())


def least_volume_ratio(gradient: np.ndarray) -> float:
    """Smallest J = det F of all points; 0 or less means folded rubber. NaN counts as folded."""
    ratio = cofactors(gradient)[0]
    return float(ratio.min()) if np.isfinite(ratio).all() else -np.inf
