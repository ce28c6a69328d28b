"""Volume, mass, centre of gravity and moments of inertia of a joint, exact from its outlines.

The body of revolution follows from closed line integrals (`outline`), the flats from circular segments, the
bolt holes and their crossing with coaxial bores from integrals over z of exact cross-sections.
"""
from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.outline import Region
from dossier.mechanics.section import REGION_NAMES, pin_region, regions
from dossier.mechanics.shape_check import check_pin
from dossier.mechanics.shapes import Bore, JointShape, Pin

Array = NDArray[np.float64]
KG_PER_MM3 = 1e-9
"""Factor from kg/m³ to kg/mm³."""


@dataclass(frozen=True)
class SolidProperties:
    """Integrals over a solid, about the ball centre.

    `volume` mm³, `first_z` = ∫z dV mm⁴, `second_z` = ∫z² dV, `second_bolt` = ∫b² dV with b along the bolt
    holes, `second_cross` = ∫c² dV with c square to bolt holes and pin axis, mm⁵.
    """

    volume: float
    first_z: float
    second_z: float
    second_bolt: float
    second_cross: float

    def __add__(self, other: SolidProperties) -> SolidProperties:
        return self._combined(other, 1.0)

    def __sub__(self, other: SolidProperties) -> SolidProperties:
        return self._combined(other, -1.0)

    def _combined(self, other: SolidProperties, factor: float) -> SolidProperties:
        return SolidProperties(
            self.volume + factor * other.volume, self.first_z + factor * other.first_z,
            self.second_z + factor * other.second_z, self.second_bolt + factor * other.second_bolt,
            self.second_cross + factor * other.second_cross)

    @property
    def centre_z(self) -> float:
        """z of the centroid, mm."""
        return self.first_z / self.volume

    @property
    def axial(self) -> float:
        """Moment of inertia about the pin axis per unit of density, mm⁵."""
        return self.second_bolt + self.second_cross

    @property
    def transverse(self) -> float:
        """Mean of both moments of inertia about transverse axes through the ball centre, mm⁵ per density."""
        return self.second_z + self.axial / 2


NOTHING = SolidProperties(0.0, 0.0, 0.0, 0.0, 0.0)


def region_properties(region: Region) -> SolidProperties:
    """Properties of the body of revolution of `region`, exact (Green's theorem on each line and arc)."""
    turn = 2 * math.pi
    half_axial = turn * region.moment(3, 0) / 2
    return SolidProperties(turn * region.moment(1, 0), turn * region.moment(1, 1), turn * region.moment(1, 2),
                           half_axial, half_axial)


def strip_of_disc(half_width: Array | float, radius: float) -> tuple[Array, Array, Array]:
    """Part |a| ≤ half_width of a disc: its area, ∫a² dA and ∫b² dA with b square to a; exact, mm² and mm⁴."""
    width = np.minimum(np.asarray(half_width, dtype=float), radius)
    chord = np.sqrt(np.maximum(radius**2 - width**2, 0.0))
    angle = np.arctan2(width, chord)
    area = 2 * (width * chord + radius**2 * angle)
    along = (radius**4 * angle - width * chord * (radius**2 - 2 * width**2)) / 2
    across = (width * chord * (5 * radius**2 - 2 * width**2) + 3 * radius**4 * angle) / 6
    return area, along, across


def flats_cut(pin: Pin) -> SolidProperties:
    """What the flats take from both ends of the solid pin: circular segments, exact."""
    ends, half = pin.ends, pin.length / 2
    if not ends.flat_thickness:
        return NOTHING
    area, bolt, cross = (float(v) for v in strip_of_disc(ends.flat_thickness / 2, pin.neck_radius))
    radius = pin.neck_radius
    length = 2 * (half - ends.flat_start)
    quarter = math.pi * radius**4 / 4
    segments = math.pi * radius**2 - area
    return SolidProperties(segments * length, 0.0, segments * 2 * (half**3 - ends.flat_start**3) / 3,
                           (quarter - bolt) * length, (quarter - cross) * length)


def holes_cut(pin: Pin) -> SolidProperties:
    """Steel that both bolt holes take from the pin with its flats and bores already cut."""
    return _over_holes(pin, pin.bores, solid=True)


def core_holes_cut(pin: Pin) -> SolidProperties:
    """Core material that both bolt holes take from the filled bores."""
    return _over_holes(pin, tuple(bore for bore in pin.bores if bore.filled), solid=False)


def _over_holes(pin: Pin, bores: tuple[Bore, ...], solid: bool) -> SolidProperties:
    """Overlap of the bolt holes with the solid ends less `bores` (`solid`), or with `bores` alone."""
    total, radius = NOTHING, pin.ends.hole_diameter / 2
    if not radius:
        return total
    for centre in (-pin.ends.hole_distance / 2, pin.ends.hole_distance / 2):
        inside = NOTHING
        for bore in bores:
            inside += _hole_slices(centre, radius, bore.diameter / 2, bore.start, bore.end)
        if solid:
            inside = _hole_in_solid_end(pin, centre, radius) - inside
        total += inside
    return total


def _hole_in_solid_end(pin: Pin, centre: float, radius: float) -> SolidProperties:
    if not pin.ends.flat_thickness:
        return _hole_slices(centre, radius, pin.neck_radius, centre - radius, centre + radius)
    depth = pin.ends.flat_thickness
    volume = math.pi * radius**2 * depth
    return SolidProperties(volume, volume * centre, volume * (centre**2 + radius**2 / 4),
                           volume * depth**2 / 12, volume * radius**2 / 4)


def _hole_slices(centre: float, hole: float, disc: float, low: float, high: float) -> SolidProperties:
    """Cylinder of radius `disc`, low ≤ z ≤ high, inside a hole of radius `hole` that crosses it at `centre`.

    Each slice is a strip of a disc. z = centre + hole·sin(a) takes the roots at the hole's edge away; where
    the strip grows as wide as the disc and at the hole's middle the panels are graded.
    """
    low, high = max(low, centre - hole), min(high, centre + hole)
    if low >= high:
        return NOTHING
    cuts = [0.0]
    if disc < hole:
        wide = math.acos(disc / hole)
        cuts += [wide, -wide]
    first, last = (math.asin(min(max((z - centre) / hole, -1.0), 1.0)) for z in (low, high))
    bounds = [first, *sorted(cut for cut in cuts if first < cut < last), last]
    angle, weight = graded_quadrature(bounds)
    z = centre + hole * np.sin(angle)
    area, cross, bolt = strip_of_disc(hole * np.cos(angle), disc)
    weight = weight * hole * np.cos(angle)
    return SolidProperties(*(float(weight @ values) for values in (area, area * z, area * z**2, bolt, cross)))


def graded_quadrature(bounds: Sequence[float]) -> tuple[Array, Array]:
    """Nodes and weights over the panels between `bounds`, each refined geometrically towards both its ends.

    Exponentially convergent for integrands that are smooth but for algebraic singularities at the bounds.
    """
    node, weight = _graded_panel()
    low, width = np.asarray(bounds[:-1])[:, None], np.diff(bounds)[:, None]
    return (low + width * node).ravel(), (width * weight).ravel()


@lru_cache(maxsize=1)
def _graded_panel() -> tuple[Array, Array]:
    node, weight = np.polynomial.legendre.leggauss(14)
    edges = np.concatenate([[0.0], 0.5 * 0.2 ** np.arange(16, -1, -1.0)])
    width = np.diff(edges)[:, None]
    nodes = (edges[:-1, None] + width * (node + 1) / 2).ravel()
    weights = (width * weight / 2).ravel()
    return np.concatenate([nodes, 1 - nodes]), np.concatenate([weights, weights])


def pin_solid(pin: Pin) -> SolidProperties:
    """Properties of the steel pin with bores, flats and bolt holes; raises GeometryError."""
    check_pin(pin)
    return region_properties(pin_region(pin)) - flats_cut(pin) - holes_cut(pin)


def pin_solid_volume(pin: Pin) -> float:
    """Volume of the steel pin with bores, flats and bolt holes, mm³."""
    return pin_solid(pin).volume


def half_shell_solid(region: Region, parting_gap: float) -> SolidProperties:
    """Two half shells: the body of revolution less two slots `parting_gap` wide along the circumference.

    The orientation of the slots is not a dimension of the design: `second_bolt` and `second_cross` are means.
    """
    both = 2 * parting_gap
    half_axial = both * region.moment(2, 0) / 2
    slots = SolidProperties(both * region.moment(0, 0), both * region.moment(0, 1),
                            both * region.moment(0, 2), half_axial, half_axial)
    return region_properties(region) - slots


def part_solids(joint: JointShape) -> dict[str, SolidProperties]:
    """Properties of each part that counts (no eye), keyed by region name."""
    solids = {}
    for name, region in regions(joint).items():
        if name == "pin":
            solids[name] = pin_solid(joint.pin)
        elif name == "core" and joint.core.kind == "bore_fill":
            solids[name] = region_properties(region) - core_holes_cut(joint.pin)
        elif name == "half_shell":
            solids[name] = half_shell_solid(region, joint.carrier.parting_gap)
        elif name != "eye":
            solids[name] = region_properties(region)
    return solids


@dataclass(frozen=True)
class PartMass:
    """One part: `volume` mm³ (None where only the mass is known), `mass` kg, `centre_z` mm, inertias kg·mm².

    The inertias are taken about the pin axis and about a transverse axis through the ball centre.
    """

    name: str
    volume: float | None
    mass: float
    centre_z: float
    inertia_axial: float
    inertia_transverse: float


@dataclass(frozen=True)
class MassBreakdown:
    """Masses of a joint; the centre of gravity lies on the pin axis at `centre_z`.

    `inertia_transverse` is the mean of the two transverse directions; about the bolt direction the inertia is
    greater by `transverse_difference`/2, about the other one smaller by it (flats and bolt holes only),
    kg·mm².
    """

    parts: tuple[PartMass, ...]
    total: float
    centre_z: float
    inertia_axial: float
    inertia_transverse: float
    transverse_difference: float

    def mass_of(self, name: str) -> float:
        """Mass of the part `name` in kg, 0 where the joint has none."""
        return sum(part.mass for part in self.parts if part.name == name)


def joint_masses(joint: JointShape, densities: Mapping[str, float],
                 rest: Sequence[tuple[str, float, float]] = ()) -> MassBreakdown:
    """Mass breakdown of `joint`.

    `densities`: kg/m³ per region name (pin, core, layer, ring or half_shell; the eye is not ours). `rest`:
    further parts as (name, mass in kg, z in mm), taken as points on the axis: they add nothing to the axial
    inertia. Raises GeometryError for a shape that does not fit, ValueError for a missing or unusable density
    or mass.
    """
    unknown = sorted(set(densities) - set(REGION_NAMES))
    if unknown:
        raise ValueError(f"densities.{unknown[0]} names no region; use one of {', '.join(REGION_NAMES[:-1])}")
    solids = part_solids(joint)
    rho = {name: _density(densities, name) * KG_PER_MM3 for name in solids}
    parts = [PartMass(name, solid.volume, rho[name] * solid.volume, solid.centre_z, rho[name] * solid.axial,
                      rho[name] * solid.transverse) for name, solid in solids.items()]
    parts += [_point_part(*item) for item in rest]
    total = math.fsum(part.mass for part in parts)
    difference = sum(rho[name] * (solid.second_cross - solid.second_bolt) for name, solid in solids.items())
    return MassBreakdown(
        tuple(parts), total, math.fsum(part.mass * part.centre_z for part in parts) / total,
        math.fsum(part.inertia_axial for part in parts), math.fsum(part.inertia_transverse for part in parts),
        difference)


def _density(densities: Mapping[str, float], name: str) -> float:
    if name not in densities:
        raise ValueError(f"densities.{name} is missing; give the density of the {name} in kg/m³")
    value = densities[name]
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"densities.{name} = {value} kg/m³ must exceed 0 kg/m³; enter the density")
    return value


def _point_part(name: str, mass: float, z: float) -> PartMass:
    if not (math.isfinite(mass) and mass >= 0):
        raise ValueError(f"rest.{name} = {mass} kg must be at least 0 kg; enter the weighed mass")
    if not math.isfinite(z):
        raise ValueError(f"rest.{name} at z = {z} mm must be finite; enter its distance from the ball centre")
    return PartMass(name, None, mass, z, 0.0, mass * z**2)
