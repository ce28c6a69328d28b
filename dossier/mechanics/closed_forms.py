"""Exact stiffnesses of spherical rubber layers bonded to rigid faces: the cross-check of the finite elements.

Radii in mm, angles in rad from the pin axis, moduli in MPa.
"""

from __future__ import annotations

from math import cos, inf, isinf, pi


def zone_torsion_stiffness(
    inner_radius: float, outer_radius: float, polar_start: float, polar_end: float, shear_modulus: float
) -> float:
    """Torsion of a spherical zone about the pin axis in N·mm/rad.

    Every sphere turns rigidly by an angle falling with 1/r³; this leaves the conical faces free of stress, so
    the result is exact for free end faces and any bulk modulus (derived here).
    """

    def depth(angle):
        return -cos(angle) + cos(angle) ** 3 / 3.0

    opening = depth(polar_end) - depth(polar_start)
    return 6.0 * pi * shear_modulus * opening / _inverse_cube_difference(inner_radius, outer_radius)


def sphere_rotation_stiffness(inner_radius: float, outer_radius: float, shear_modulus: float) -> float:
    """Rotation of the full spherical shell about any axis through its centre in N·mm/rad.

    Viscous analogue: rotating concentric spheres, Landau & Lifshitz, Fluid Mechanics, § 20 problem
    (from memory; the same result follows from `zone_torsion_stiffness` for angles from 0 to π).
    """
    return 8.0 * pi * shear_modulus / _inverse_cube_difference(inner_radius, outer_radius)


def sphere_translation_stiffness(
    inner_radius: float, outer_radius: float, shear_modulus: float, bulk_modulus: float = inf
) -> float:
    """Translation of the inner against the outer sphere of a full spherical shell in N/mm, any direction.

    Incompressible (bulk_modulus = inf), with λ = inner/outer radius:
    K = 6πGa (1 - λ⁵)/(1 - 9λ/4 + 5λ³/2 - 9λ⁵/4 + λ⁶), the viscous analogue of Williams, Phil. Mag. 29
    (1915) 526 and Happel & Brenner, Low Reynolds Number Hydrodynamics (1965) ch. 4 (from memory; it agrees
    with the compressible solution derived here). Numerator and denominator contain (1 - λ) and (1 - λ)⁴; they
    are taken out as factors, so that thin layers lose no digits.
    """
    if isinf(bulk_modulus):
        ratio = inner_radius / outer_radius
        gap = (outer_radius - inner_radius) / outer_radius
        geometric = 1.0 + ratio + ratio**2 + ratio**3 + ratio**4
        stokes = 6.0 * pi * shear_modulus * inner_radius
        return stokes * geometric / (gap**3 * (1.0 + 1.75 * ratio + ratio**2))
    return _compressible_translation(inner_radius, outer_radius, shear_modulus, bulk_modulus)


def _compressible_translation(
    inner_radius: float, outer_radius: float, shear_modulus: float, bulk_modulus: float
) -> float:
    """Translation at a finite bulk modulus from the four solutions of Navier's equation for one direction e.

    With x = r n:  e;  m r² e + (e·x) x, m = -(3 - 2ν)/(4 - 6ν);  [(3 - 4ν) e + (e·n) n]/r (point force);
    [e - 3 (e·n) n]/r³ (dipole). Only the point force carries a resultant, 16πG(1 - ν) per unit amplitude.
    """
    import numpy as np

    poisson = (3.0 * bulk_modulus - 2.0 * shear_modulus) / (6.0 * bulk_modulus + 2.0 * shear_modulus)
    interior = -(3.0 - 2.0 * poisson) / (4.0 - 6.0 * poisson)

    def rows(radius: float) -> list[list[float]]:
        across = [1.0, interior * radius**2, (3.0 - 4.0 * poisson) / radius, 1.0 / radius**3]
        along = [0.0, radius**2, 1.0 / radius, -3.0 / radius**3]
        return [across, along]

    scale = outer_radius
    amplitudes = np.linalg.solve(
        np.array(rows(inner_radius / scale) + rows(1.0)), np.array([1.0, 0.0, 0.0, 0.0])
    )
    return float(16.0 * pi * shear_modulus * (1.0 - poisson) * amplitudes[2] * scale)


def _inverse_cube_difference(inner_radius: float, outer_radius: float) -> float:
    """1/a³ - 1/b³ without losing digits in thin layers."""
    gap = outer_radius - inner_radius
    total = inner_radius**2 + inner_radius * outer_radius + outer_radius**2
    return gap * total / (inner_radius * outer_radius) ** 3
