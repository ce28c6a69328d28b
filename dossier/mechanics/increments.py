"""Small motions of the pin around a strained axisymmetric state: four stiffnesses and the coupling."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.mechanics.assemble import Equations
from dossier.mechanics.elements import AXIAL_FIELD, LATERAL_FIELD, TORSIONAL_FIELD, Field
from dossier.mechanics.hyperelastic import Response, response
from dossier.mechanics.layer import LayerStiffness
from dossier.mechanics.linear import factorise, rigid_motion
from dossier.mechanics.newton import Equilibrium
from dossier.mechanics.rubber_body import RubberBody, axisymmetric_gradient, gradient_operator


@dataclass(frozen=True)
class Faces:
    """Node numbers of the face on the pin, which moves, of the face that is held, and of nodes held along z only."""

    moved: np.ndarray
    held: np.ndarray
    guided: np.ndarray | tuple[()] = ()


def stiffness_around(
    body: RubberBody, equilibrium: Equilibrium, faces: Faces, *, pin_centre: float = 0.0
) -> LayerStiffness:
    """Stiffness against small motions of the pin from an axisymmetric equilibrium without torsion.

    pin_centre is the current height z in mm of the point the pin tilts about. A rotated pin also rotates the lever
    arms of the forces f it already exerts, which adds to v'Kv: torsion -Σ r f_r; tilt -Σ (r f_r / 2 + z f_z), sums
    over the whole circumference with current r and z, z from the pin centre. Moments are about the pin centre.
    Raises ValueError for a state with torsion, whose motions are coupled in pairs this does not hold.
    """
    if equilibrium.state.displacement.shape[1] != 2:
        raise ValueError("state.torsion must be absent; solve the state without torsion")
    tangent = _StateTangent(body, equilibrium)
    axial = tangent.motions(AXIAL_FIELD, faces, ["axial"], pin_centre)[0, 0]
    torsional = tangent.motions(TORSIONAL_FIELD, faces, ["torsional"], pin_centre)[0, 0]
    lateral = tangent.motions(LATERAL_FIELD, faces, ["radial", "conical"], pin_centre)
    turned, tilted = _lever_moments(body, equilibrium, faces, pin_centre)
    return LayerStiffness(
        axial=float(axial),
        radial=float(lateral[0, 0]),
        torsional=float(torsional + turned),
        conical=float(lateral[1, 1] + tilted),
        coupling=float(lateral[0, 1]),
    )


def _lever_moments(
    body: RubberBody, equilibrium: Equilibrium, faces: Faces, pin_centre: float
) -> tuple[float, float]:
    """Moment per angle that the present pin forces gain by torsion and by tilt, in N·mm/rad."""
    place = body.nodes[faces.moved] + equilibrium.state.displacement[faces.moved]
    force = equilibrium.forces[faces.moved]
    radial = float((place[:, 0] * force[:, 0]).sum())
    axial = float(((place[:, 1] - pin_centre) * force[:, 1]).sum())
    return -radial, -radial / 2.0 - axial


class _StateTangent:
    """Response of one strained state, ready for any field of small motions."""

    def __init__(self, body: RubberBody, equilibrium: Equilibrium):
        self.body = body
        state = equilibrium.state
        self.place = body.nodes + state.displacement
        gradient = axisymmetric_gradient(body.points, body.quads, state.displacement)
        pressure = state.pressure @ body.points.reference.pressure.T
        self.answer: Response = response(body.law, gradient, pressure)

    def motions(self, field: Field, faces: Faces, names: Sequence[str], pin_centre: float) -> np.ndarray:
        """v_i'Kv_j (cases, cases) for unit rigid motions of the moved face, the held face at rest."""
        shape = (len(self.body.nodes), len(field.components))
        held = np.zeros(shape, bool)
        held[faces.moved] = held[faces.held] = True
        if len(faces.guided) and 1 in field.components:
            held[faces.guided, field.components.index(1)] = True
        given = np.zeros((*shape, len(names)))
        place = self.place[faces.moved] - [0.0, pin_centre]
        for case, name in enumerate(names):
            given[faces.moved, :, case] = rigid_motion(place, name)
        matrix = self._element_matrices(field)
        equations = Equations(self.body.nodes, [self.body.group], field, held)
        load = equations.vector([matrix @ self._by_element(given)])
        solve = factorise(equations, [matrix], allow_indefinite=True)
        moved = self._by_element(given - equations.expand(solve(load)))
        return np.einsum("eki,ekj->ij", moved, matrix @ moved)

    def _element_matrices(self, field: Field) -> np.ndarray:
        """Condensed tangent (E, k·c, k·c) for the whole circumference."""
        points, answer = self.body.points, self.answer
        part = 1.0 if field.harmonic == 0 else 0.5
        weight = part * points.volume[..., None]
        operator = gradient_operator(points.geometry, field)
        rows = operator.reshape(len(operator), -1, operator.shape[-1])
        modulus = (weight[..., None] * answer.tangent) @ operator
        matrix = rows.transpose(0, 2, 1) @ modulus.reshape(rows.shape)
        weighted = ((weight * answer.cofactor)[:, :, None, :] @ operator)[:, :, 0]
        volume_rows = points.reference.pressure.T @ weighted
        return matrix + volume_rows.transpose(0, 2, 1) @ (self.body.pressure_stiffness / part) @ volume_rows

    def _by_element(self, nodal: np.ndarray) -> np.ndarray:
        return nodal[self.body.quads].reshape(len(self.body.quads), -1, nodal.shape[2])
