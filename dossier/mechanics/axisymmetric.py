"""Axisymmetric deformation at finite strain, with or without finite torsion."""

from __future__ import annotations

import numpy as np

from dossier.mechanics.elements import AXIAL_FIELD, TWISTED_FIELD
from dossier.mechanics.hyperelastic import Response, response
from dossier.mechanics.newton import Linearisation, State
from dossier.mechanics.rubber_body import (
    RubberBody,
    axisymmetric_gradient,
    gradient_operator,
    least_volume_ratio,
)

IN_PLANE = (0, 1, 3, 4, 8)
"""Components of F that vary without torsion: rR, rZ, zR, zZ, θΘ."""

TWIST = (6, 7)
"""Components that torsion adds: θR, θZ."""


class AxisymmetricKinematics:
    """Unknowns u_r, u_z and, with `torsion`, the rotation φ about the axis (not u_θ, so that it may be large)."""

    def __init__(self, body: RubberBody, *, torsion: bool = False):
        self.body, self.torsion = body, torsion
        self.fields = (TWISTED_FIELD if torsion else AXIAL_FIELD,)
        operator = gradient_operator(body.points.geometry, AXIAL_FIELD)
        self._in_plane = np.ascontiguousarray(operator[:, :, IN_PLANE])

    @property
    def rest(self) -> State:
        return State(np.zeros((len(self.body.nodes), 3 if self.torsion else 2)), np.zeros((len(self.body.quads), 3)))

    def least_volume_ratio(self, state: State, *, dense: bool) -> float:
        points = self.body.check_points if dense else self.body.points
        return least_volume_ratio(axisymmetric_gradient(points, self.body.quads, state.displacement))

    def linearise(self, state: State) -> Linearisation:
        """See `Linearisation`; unknowns of an element run node by node."""
        body, points = self.body, self.body.points
        gradient = axisymmetric_gradient(points, body.quads, state.displacement)
        pressure = state.pressure @ points.reference.pressure.T
        components = IN_PLANE + TWIST if self.torsion else IN_PLANE
        answer = response(body.law, gradient, pressure, components=components)
        operator = self._twisted_operator(state) if self.torsion else self._in_plane
        elements, count = len(body.quads), operator.shape[-1]
        rows = operator.reshape(elements, -1, count)
        weighted = points.volume[..., None, None] * answer.tangent
        tangent = rows.transpose(0, 2, 1) @ (weighted @ operator).reshape(rows.shape)
        if self.torsion:
            tangent += self._twist_coupling(answer)
        stress = (points.volume[..., None] * answer.stress).reshape(elements, 1, -1)
        force = (stress @ rows)[:, 0]
        return condensed(body, tangent, force, self._volume_rows(answer, operator), answer.volume_ratio, pressure)

    def _volume_rows(self, answer: Response, operator: np.ndarray) -> np.ndarray:
        """Change of volume per unknown, weighted with each pressure function: (E, 3, k)."""
        weighted = (self.body.points.volume[..., None] * answer.cofactor)[:, :, None, :] @ operator
        return self.body.points.reference.pressure.T @ weighted[:, :, 0]

    def _twisted_operator(self, state: State) -> np.ndarray:
        """δF (E, q, 7, 27): F_θa = r φ,a varies by δr φ,a + r δφ,a."""
        points = self.body.points
        nodal = state.displacement[self.body.quads]
        slope = (points.geometry.gradient @ nodal[:, None, :, 2:])[..., 0]
        shape = points.reference.shape
        radius = points.radius + nodal[..., 0] @ shape.T
        elements, count = points.radius.shape
        operator = np.zeros((elements, count, 7, 9, 3))
        operator[:, :, :5, :, :2] = self._in_plane.reshape(elements, count, 5, 9, 2)
        operator[:, :, 5:, :, 0] = slope[..., None] * shape[None, :, None]
        operator[:, :, 5:, :, 2] = radius[..., None, None] * points.geometry.gradient
        return operator.reshape(elements, count, 7, 27)

    def _twist_coupling(self, answer: Response) -> np.ndarray:
        """Second variation of F_θa = r φ,a against its stress: P_θa (δr Δφ,a + Δr δφ,a)."""
        points = self.body.points
        matrix = np.zeros((len(self.body.quads), 9, 3, 9, 3))
        for axis in range(2):
            weight = points.volume * answer.stress[..., 5 + axis]
            part = (points.reference.shape.T * weight[:, None, :]) @ points.geometry.gradient[:, :, axis]
            matrix[:, :, 0, :, 2] += part
            matrix[:, :, 2, :, 0] += part.transpose(0, 2, 1)
        return matrix.reshape(-1, 27, 27)


def condensed(
    body: RubberBody,
    tangent: np.ndarray,
    force: np.ndarray,
    volume_rows: np.ndarray,
    volume_ratio: np.ndarray,
    pressure: np.ndarray,
) -> Linearisation:
    """Eliminate the pressure of each element: its condition is ∫ψ (J - 1 - p/K) = 0 for ψ = 1, ξ, η.

    The condition is linearised together with the equilibrium; putting p = K (J - 1) in beforehand converges badly.
    """
    points = body.points
    gap = (points.volume * (volume_ratio - 1.0 - pressure / body.bulk_modulus)) @ points.reference.pressure
    pressure_response = body.pressure_stiffness @ volume_rows
    defect = np.einsum("emn,en->em", body.pressure_stiffness, gap)
    return Linearisation(
        tangent=tangent + volume_rows.transpose(0, 2, 1) @ pressure_response,
        residual=force + np.einsum("emk,em->ek", volume_rows, defect),
        force=force,
        pressure_defect=defect,
        pressure_response=pressure_response,
    )
