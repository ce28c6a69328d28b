"""How the steel of the pin is used: utilisation field under loads, notch peak, and the steel that is idle under all."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.elements import ElementGroup, reference_element
from dossier.mechanics.idle_contour import radius_inside
from dossier.mechanics.section_mesh import SectionMesh
from dossier.mechanics.section_stress import NodalStress
from dossier.mechanics.shapes import JointShape, Pin, ball_contour

Array = NDArray[np.float64]

CLAMP_ZONE = 0.35
"""Length of pin before a clamp edge, as a share of the neck's radius, in which stress is not read: the held corner of the
model is singular. Own convention; the pin end has verifications of its own."""

EDGE_ZONE = 0.2
"""Distance from an edge of the rubber's face on the carrier, as a share of the layer's thickness, within which stress is not
read: at that corner of two materials it grows with every finer mesh. Own convention."""

LEAST_CAVITY = 1.0
"""Radius and half length in mm below which a cavity is none: about the distance of the mesh's nodes."""

NO_NUMBER = "where no stress can be stated; give it a radius"


@dataclass(frozen=True)
class Peak:
    """Greatest stress in MPa, and its place (r, z) in mm."""

    stress: float
    place: tuple[float, float]


@dataclass(frozen=True)
class Cavity:
    """Coaxial cylinder within the idle zone: diameter and half length in mm, 0 where there is none."""

    diameter: float
    half_length: float


def sharp_corners(pin: Pin) -> list[str]:
    """Re-entrant corners of the steel without a radius within the model; each names its field and remedy.

    The stress of a linear body grows without bound there, so that no number can be given.
    """
    found = []
    if not pin.neck_fillet and not pin.straight_radius:
        line = ball_contour(pin).neck_line
        found.append(f"pin.neck_fillet = 0 mm leaves a sharp corner at z = ±{line:.4g} mm, {NO_NUMBER}")
    edge = pin.ends.clamp_edge
    for index, bore in enumerate(pin.bores):
        ends = [z for z in (bore.start, bore.end) if abs(z) < edge - 1e-9 and not _meets_wider(pin, index, z)]
        if ends and not bore.end_radius:
            places = " and ".join(f"{z:.4g}" for z in ends)
            told = f"pin.bores[{index}].end_radius is not given: the bore ends in a sharp corner at z = {places} mm"
            found.append(f"{told}, {NO_NUMBER}")
    return found


def _meets_wider(pin: Pin, index: int, z: float) -> bool:
    """Whether the bore opens there into a bore at least as wide: its own corner then is an outer one of the steel."""
    bore = pin.bores[index]
    return any(other is not bore and other.diameter >= bore.diameter and min(abs(other.start - z), abs(other.end - z)) < 1e-6
               for other in pin.bores)  # fmt: skip


def reach_of(pin: Pin) -> float:
    """Height |z| in mm up to which the stress of the pin is read."""
    return pin.ends.clamp_edge - CLAMP_ZONE * pin.neck_radius


def readable(mesh: SectionMesh, nodes: NDArray[np.int64], joint: JointShape) -> NDArray[np.bool_]:
    """Which of `nodes` lie far enough from the held ends and from the rubber's edges for their stress to be read."""
    place = mesh.nodes[nodes]
    edges = mesh.nodes[[end for stretch in mesh.carried for end in (stretch[0], stretch[-1])]]
    thickness = joint.layer.outer_radius - joint.layer.inner_radius
    away = np.hypot(*np.moveaxis(place[:, None] - edges, -1, 0)).min(axis=1) > EDGE_ZONE * thickness
    return away & (np.abs(place[:, 1]) < reach_of(joint.pin))


def peak(mesh: SectionMesh, stress: NodalStress, von_mises: Array, joint: JointShape) -> Peak:
    """Greatest of the von Mises stresses (m,) of a part, and where, among the places that can be read."""
    found = np.where(readable(mesh, stress.nodes, joint), von_mises, 0.0)
    worst = int(found.argmax())
    r, z = mesh.nodes[stress.nodes[worst]]
    return Peak(float(found[worst]), (float(r), float(z)))


def idle_volume(mesh: SectionMesh, group: ElementGroup, stress: NodalStress, utilisation: Array, threshold: float) -> float:
    """Volume in mm³ of the part whose utilisation lies below `threshold`, by quadrature."""
    at_node = np.zeros(len(mesh.nodes))
    at_node[stress.nodes] = utilisation
    inside = at_node[group.connectivity] @ reference_element("tri6").shape.T
    return float(2 * pi * group.geometry.volume[inside < threshold].sum())


def idle_bore(mesh: SectionMesh, stress: NodalStress, utilisation: Array, threshold: float, pin: Pin) -> float:
    """Diameter in mm of the largest coaxial through bore that stays in the idle zone between the zones of the held ends."""
    place = mesh.nodes[stress.nodes]
    used = (utilisation >= threshold) & (np.abs(place[:, 1]) < reach_of(pin))
    return 2 * float(place[used, 0].min()) if used.any() else 2 * pin.neck_radius


def idle_cavity(
    mesh: SectionMesh, stress: NodalStress, utilisation: Array, threshold: float, pin: Pin, wall: float
) -> Cavity:
    """Largest coaxial cylinder by volume, symmetric in z, in the idle zone and at least `wall` mm inside the contour."""
    place, height = mesh.nodes[stress.nodes], np.abs(mesh.nodes[stress.nodes, 1])
    order = np.argsort(height)
    reach = height[order]
    used = np.where(utilisation >= threshold, place[:, 0], np.inf)[order]
    radius = np.minimum(np.minimum.accumulate(used), radius_inside(pin, reach, wall))
    inside = (reach < reach_of(pin)) & (np.minimum(radius, reach) > LEAST_CAVITY)
    volume = np.where(inside, radius**2 * reach, 0.0)
    best = int(volume.argmax())
    return Cavity(2 * float(radius[best]), float(reach[best])) if volume[best] > 0 else Cavity(0.0, 0.0)
