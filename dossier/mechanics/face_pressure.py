"""Pressure between rubber and metal on the outer face of an axisymmetric state."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np

from dossier.mechanics.elements import ReferenceElement, reference_quad9
from dossier.mechanics.hyperelastic import response
from dossier.mechanics.mesh import GridMesh
from dossier.mechanics.newton import State
from dossier.mechanics.rubber_body import MaterialPoints, RubberBody, axisymmetric_gradient, material_points

_EDGE = (2, 5, 8)
"""Local nodes of a quadrilateral on the outer face."""


@dataclass(frozen=True)
class FacePressure:
    """Pressure in MPa normal to the deformed face, positive when the rubber is pressed.

    least and greatest: in the middle of each held cell but those next to a free edge, where it is singular.
    projected_area in mm²: 2π ∫ r |dz| over the held face, on which a uniform pressure gives its radial resultant.
    """

    least: float
    greatest: float
    projected_area: float


def outer_face_pressure(body: RubberBody, mesh: GridMesh, held: np.ndarray, state: State) -> FacePressure:
    """Pressure on the held part of the outer face; `held` are node numbers."""
    cells = np.arange(len(mesh.quads)).reshape((mesh.grid.shape[0] - 1) // 2, -1)[:, -1]
    kept = np.isin(mesh.quads[cells][:, _EDGE], held).all(axis=1)
    inside = kept & np.append(kept[1:], _on_axis(mesh, -1)) & np.append(_on_axis(mesh, 0), kept[:-1])
    pressure = _cell_pressure(body, mesh.quads, cells[inside if inside.any() else kept], state)
    area = _projected_area(body, mesh.quads[cells[kept]], state)
    return FacePressure(float(pressure.min()), float(pressure.max()), area)


def _on_axis(mesh: GridMesh, row: int) -> bool:
    return bool(mesh.nodes[mesh.grid[row, -1], 0] == 0.0)


def _face_points(points: np.ndarray) -> ReferenceElement:
    return reference_quad9(points, np.ones_like(points), np.ones_like(points))


def _cell_pressure(body: RubberBody, quads: np.ndarray, cells: np.ndarray, state: State) -> np.ndarray:
    """-n·σn in the middle of the outer edge of each cell."""
    chosen, reference = quads[cells], _face_points(np.zeros(1))
    points: MaterialPoints = material_points(body.nodes, chosen, reference)
    gradient = axisymmetric_gradient(points, chosen, state.displacement)
    pressure = state.pressure[cells] @ reference.pressure.T
    answer = response(body.law, gradient, pressure, tangent=False)
    stress = answer.stress.reshape(gradient.shape) @ np.swapaxes(gradient, -1, -2)
    stress = stress[:, 0, :2, :2] / answer.volume_ratio[..., None]
    place = (body.nodes + state.displacement[:, :2])[chosen]
    along = reference.derivative[0, 0] @ place
    normal = np.stack([along[:, 1], -along[:, 0]], axis=1)
    normal /= np.linalg.norm(normal, axis=1)[:, None]
    return -np.einsum("ei,eij,ej->e", normal, stress, normal)


def _projected_area(body: RubberBody, quads: np.ndarray, state: State) -> float:
    points, weights = np.polynomial.legendre.leggauss(3)
    reference = _face_points(points)
    place = (body.nodes + state.displacement[:, :2])[quads]
    radius = place[..., 0] @ reference.shape.T
    slope = place[..., 1] @ reference.derivative[:, 0].T
    return float(2.0 * pi * (radius * np.abs(slope) @ weights).sum())

