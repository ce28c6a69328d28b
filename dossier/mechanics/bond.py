"""Bonded areas of the rubber layer and the average stresses on them, in closed form.

All integrals are taken over bands of a sphere, where dA = 2πR dz (Archimedes). The stresses are averages on
the stated assumption, for comparing a variant with its reference part; local peaks at the bonded edges are
not in them.
"""
from __future__ import annotations

import math
from dataclasses import dataclass

from dossier.mechanics.shape_check import check_shape
from dossier.mechanics.shapes import HalfShells, JointShape, Rings


@dataclass(frozen=True)
class BondedFace:
    """Bonded spherical face of radius `radius` mm.

    `area` = ∫dA mm², `lever` = ∫r dA mm³ and `lever_square` = ∫r² dA mm⁴ with r the distance from the pin
    axis; `radial_projection` and `axial_projection`: area of the loaded half seen along the load, mm². Slots
    of half shells are taken where they cost most: facing the radial load. The axial one is the smaller of the
    two sides (z > 0, z < 0), 0 if one of them holds no rubber. `greatest_lever`: the greatest r of the face,
    mm.
    """

    name: str
    radius: float
    area: float
    lever: float
    lever_square: float
    radial_projection: float
    axial_projection: float
    greatest_lever: float


def bonded_faces(joint: JointShape) -> tuple[BondedFace, BondedFace]:
    """Inner face (on the ball contour) and outer face (in the rings or half shells); raises GeometryError.

    The inner face is bonded over the whole zone; the outer one lacks the gap between the rings, or the two
    slots of the half shells.
    """
    check_shape(joint)
    layer, carrier = joint.layer, joint.carrier
    gap = carrier.gap if isinstance(carrier, Rings) else 0.0
    slot = carrier.parting_gap if isinstance(carrier, HalfShells) else 0.0
    cosines = [math.cos(math.radians(angle)) for angle in (layer.polar_end, layer.polar_start)]
    inner = [layer.inner_radius * cosine for cosine in cosines]
    outer = [layer.outer_radius * cosine for cosine in cosines]
    return (_face("inner", layer.inner_radius, _bands(*inner, 0.0), 0.0),
            _face("outer", layer.outer_radius, _bands(*outer, gap), slot))


def _bands(low: float, high: float, gap: float) -> list[tuple[float, float]]:
    """Stretches of z on either side of z = 0, less the gap."""
    sides = [(low, min(high, -gap / 2)), (max(low, gap / 2), high)]
    return [(start, end) for start, end in sides if end > start]


def _face(name: str, radius: float, bands: list[tuple[float, float]], slot: float) -> BondedFace:
    """Integrals over `bands` of z less two slots of width `slot` along the circumference."""
    both = 2 * slot
    area = lever = square = seen = greatest = 0.0
    sides = [0.0, 0.0]
    for low, high in bands:
        span, chord = high - low, _half_disc(radius, high) - _half_disc(radius, low)
        angle = math.asin(high / radius) - math.asin(low / radius)
        cubic = radius**2 * span - (high**3 - low**3) / 3
        area += 2 * math.pi * radius * span - both * radius * angle
        lever += 2 * math.pi * radius * chord - both * radius * span
        square += 2 * math.pi * radius * cubic - both * radius * chord
        seen += 2 * chord - slot * span
        near, far = sorted((abs(low), abs(high)))
        widest = math.sqrt(radius**2 - near**2)
        greatest = max(greatest, widest)
        rim = widest - math.sqrt(radius**2 - far**2)
        sides[low >= 0] += math.pi * (far**2 - near**2) - both * rim
    return BondedFace(name, radius, area, lever, square, seen, min(sides), greatest)


def _half_disc(radius: float, z: float) -> float:
    """∫√(R² − z²) dz from 0 to z."""
    return (z * math.sqrt(max(radius**2 - z**2, 0.0)) + radius**2 * math.asin(z / radius)) / 2


@dataclass(frozen=True)
class FaceStress:
    """Average stresses on one bonded face, MPa, each as if it alone carried the load.

    `radial_traction` = F_r/A, `radial_pressure` = F_r/(radial projection of the loaded half);
    `axial_traction` = F_a/A, `axial_shear` = F_a/∫(r/R) dA (uniform meridional shear), `axial_pressure` =
    F_a/(axial projection), None if one side holds no rubber; `torsion_shear` = T/∫r dA (uniform),
    `torsion_peak` = T r_max/∫r² dA (shear growing with r, as between rigid concentric spheres).
    """

    face: str
    radial_traction: float
    radial_pressure: float
    axial_traction: float
    axial_shear: float
    axial_pressure: float | None
    torsion_shear: float
    torsion_peak: float


def face_stress(face: BondedFace, radial_force: float = 0.0, axial_force: float = 0.0,
                torque: float = 0.0) -> FaceStress:
    """Average stresses on `face` under forces (N) and a torque about the pin axis (N·mm)."""
    for name, value, unit in (("radial_force", radial_force, "N"), ("axial_force", axial_force, "N"),
                              ("torque", torque, "N·mm")):
        if not (math.isfinite(value) and value >= 0):
            raise ValueError(f"{name} = {value} {unit} must be at least 0 {unit}; enter its amount")
    return FaceStress(
        face=face.name,
        radial_traction=radial_force / face.area,
        radial_pressure=radial_force / face.radial_projection,
        axial_traction=axial_force / face.area,
        axial_shear=axial_force * face.radius / face.lever,
        axial_pressure=axial_force / face.axial_projection if face.axial_projection else None,
        torsion_shear=torque / face.lever,
        torsion_peak=torque * face.greatest_lever / face.lever_square)


@dataclass(frozen=True)
class BondRatio:
    """Bonded area of a variant against its reference; equal forces change the average stress by `stress`."""

    face: str
    reference_area: float
    variant_area: float
    area: float
    stress: float


def bond_ratios(reference: JointShape, variant: JointShape) -> tuple[BondRatio, BondRatio]:
    """Variant over reference for inner and outer face: `area` of areas, `stress` of average stresses."""
    pairs = zip(bonded_faces(reference), bonded_faces(variant), strict=True)
    inner, outer = (BondRatio(old.name, old.area, new.area, new.area / old.area, old.area / new.area)
                    for old, new in pairs)
    return inner, outer
