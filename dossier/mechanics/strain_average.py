"""Principal strain averaged over a disc of the meridional section, a local measure that a finer mesh does not change.

The edge between a bonded and a free face is singular, so the greatest strain at a point only tells the mesh.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.mechanics.elements import sampled_quad9
from dossier.mechanics.rubber_body import MaterialPoints, RubberBody, axisymmetric_gradient, material_points

FEWEST_POINTS = 6
POINTS_PER_LENGTH = 2.5
MOST_POINTS = 200_000

CENTRE_STRIDE = 9
"""Every ninth sampling point and every node of the faces is tried as the centre of a disc."""


@dataclass(frozen=True)
class AveragedStrain:
    """Greatest disc average of the largest principal nominal strain (1), its disc's centre (r, z) and radius in mm."""

    strain: float
    centre: tuple[float, float]
    length: float


def averaged_principal_strain(
    body: RubberBody, displacement: np.ndarray, face_nodes: np.ndarray, length: float
) -> AveragedStrain:
    """Greatest average over discs of radius `length` in mm, in the undeformed section of an axisymmetric state.

    Strain at 6x6 points of each element, or more where an element is long against the disc, weighted with the area;
    a disc across the surface counts its part inside. At a tenth of the thickness the values scattered by 4 % over
    practical meshes. Raises ValueError when the length is not positive or needs more than MOST_POINTS points.
    """
    from scipy.spatial import cKDTree

    points = _sampled(body, length)
    gradient = axisymmetric_gradient(points, body.quads, displacement)
    stretch = np.sqrt(np.linalg.eigvalsh(np.swapaxes(gradient, -1, -2) @ gradient)[..., -1])
    area = (points.geometry.volume / points.radius).ravel()
    height = body.nodes[body.quads][..., 1] @ points.reference.shape.T
    place = np.stack([points.radius.ravel(), height.ravel()], axis=1)
    centres = np.concatenate([place[::CENTRE_STRIDE], body.nodes[face_nodes]])
    discs = cKDTree(place).query_ball_point(centres, length)
    weighted = (stretch.ravel() - 1.0) * area
    average = np.array([weighted[disc].sum() / area[disc].sum() for disc in discs])
    best = int(average.argmax())
    return AveragedStrain(float(average[best]), (float(centres[best, 0]), float(centres[best, 1])), float(length))


def _sampled(body: RubberBody, length: float) -> MaterialPoints:
    """Points close enough to each other for discs of the length."""
    if not 0.0 < length < np.inf:
        raise ValueError(f"strain.length = {length:g} mm must be a finite number above 0 mm; give the radius of the disc")
    corner = body.nodes[body.quads]
    along = np.linalg.norm(corner[:, [6, 8]] - corner[:, [0, 2]], axis=-1).max()
    across = np.linalg.norm(corner[:, [2, 8]] - corner[:, [0, 6]], axis=-1).max()
    counts = [max(FEWEST_POINTS, int(np.ceil(POINTS_PER_LENGTH * size / length))) for size in (along, across)]
    if counts[0] * counts[1] * len(body.quads) > MOST_POINTS:
        raise ValueError(
            f"strain.length = {length:g} mm needs more than {MOST_POINTS} points in cells of {along:.3g} x {across:.3g} mm;"
            " give a greater length or a finer mesh"
        )
    return material_points(body.nodes, body.quads, sampled_quad9(*counts))
