"""Equilibrium of a layer whose pin is led by its far end: travels or loads asked for there, linear metal between."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.mechanics.finite_layer import FiniteLayer
from dossier.mechanics.fourier import FourierKinematics
from dossier.mechanics.linear import factorise
from dossier.mechanics.newton import (
    HELD_TOLERANCE,
    MOST_ITERATIONS,
    RESIDUAL_TOLERANCE,
    Equilibrium,
    Linearisation,
    NotConverged,
    State,
    Support,
)
from dossier.mechanics.placement import PinPlacement, lever_stiffness, placement_of, rigid_placement, rigid_rates


@dataclass(frozen=True)
class PinFace:
    """The bonded face on the pin and the held outer face of a closed layer.

    outer (M, 2): displacement in mm of the held outer nodes after closing.
    """

    finite: FiniteLayer
    kinematics: FourierKinematics
    outer: np.ndarray

    @property
    def inner(self) -> np.ndarray:
        return self.finite.mesh.inner

    def held(self) -> np.ndarray:
        """Held components (N, 3·blocks)."""
        held = self.finite.support(3 * len(self.kinematics.blocks))
        if not self.kinematics.torsion:
            held[:, 2] = True
        return held

    def prescribed(self, placement: PinPlacement) -> np.ndarray:
        """Amplitudes (N, 3·blocks) of both faces with the pin at a placement."""
        result = np.zeros((len(self.finite.mesh.nodes), 3 * len(self.kinematics.blocks)))
        self.finite.place_outer(result, self.outer)
        result[self.inner] = rigid_placement(self.kinematics, self._nodes, placement)
        return result

    def rates(self, placement: PinPlacement) -> np.ndarray:
        """Amplitudes (N, 3·blocks, 4) per unit of each motion of the pin."""
        result = np.zeros((len(self.finite.mesh.nodes), 3 * len(self.kinematics.blocks), 4))
        result[self.inner] = np.moveaxis(rigid_rates(self.kinematics, self._nodes, placement), 0, -1)
        return result

    def lever(self, placement: PinPlacement, forces: np.ndarray) -> np.ndarray:
        """Stiffness (4, 4) of the turning lever arms under nodal forces (N, 3·blocks)."""
        return lever_stiffness(self.kinematics, self._nodes, placement, forces[self.inner])

    def placement(self, state: State) -> PinPlacement:
        """Where the pin stands in a state."""
        return placement_of(self.kinematics, self._nodes, state.displacement[self.inner])

    def loads(self, equilibrium: Equilibrium) -> np.ndarray:
        """Forces and moments (4,) on the pin in the order of `placement.MOTIONS`, in N and N·mm."""
        rates = self.rates(self.placement(equilibrium.state))
        return np.einsum("ncm,nc->m", rates, equilibrium.forces)

    @property
    def _nodes(self) -> np.ndarray:
        return self.finite.mesh.nodes[self.inner]


class PinSupport(Support):
    """The pin as four more unknowns of Newton's method.

    compliance (4, 4) of the metal between pin face and far end; by_load (4,) bool: motions whose load is asked for, the
    others by the travel of the far end, which is that of the face plus compliance · load.
    """

    def __init__(self, face: PinFace, compliance: np.ndarray, by_load: np.ndarray):
        super().__init__(face.kinematics, face.held())
        self.face, self.compliance, self.by_load = face, compliance, by_load

    def solve(self, start: State, asked: np.ndarray) -> Equilibrium:
        """Equilibrium with the far end at `asked` (4,): mm, rad, or N, N·mm where by load.

        Raises NotConverged when Newton's method fails or leaves folded rubber at a point of integration.
        """
        state, placement = start, self.face.placement(start)
        for iteration in range(MOST_ITERATIONS + 1):
            missing = np.where(self.held, self.face.prescribed(placement) - state.displacement, 0.0)
            with np.errstate(all="ignore"):
                linear = self.kinematics.linearise(state)
            if not np.isfinite(linear.tangent).all():
                raise NotConverged("the rubber folded during the iteration")
            if self._balanced(linear, missing) and self._led(linear, placement, asked):
                return self._converged(state, self._nodal(linear.force), iteration)
            if iteration < MOST_ITERATIONS:
                state, placement = self._moved(state, placement, linear, missing, asked)
        raise NotConverged(f"no equilibrium within {MOST_ITERATIONS} iterations")

    def _led(self, linear: Linearisation, placement: PinPlacement, asked: np.ndarray) -> bool:
        """Whether the far end stands, and is loaded, as asked."""
        forces = self._nodal(linear.force)
        loads = np.einsum("ncm,nc->m", self.face.rates(placement), forces)
        size = float(np.abs(self.body.nodes).max())
        lever = np.array([1.0, 1.0, size, size])
        accuracy = lever * (RESIDUAL_TOLERANCE * np.linalg.norm(forces) + self.body.force_noise)
        travel = HELD_TOLERANCE * size + np.abs(self.compliance) @ accuracy
        gap = self._gap(placement.vector, loads, asked)
        return bool((np.abs(gap) <= np.where(self.by_load, accuracy, travel)).all())

    def _gap(self, placement: np.ndarray, loads: np.ndarray, asked: np.ndarray) -> np.ndarray:
        return np.where(self.by_load, loads, placement + self.compliance @ loads) - asked

    def _moved(
        self, state: State, placement: PinPlacement, linear: Linearisation, missing: np.ndarray, asked: np.ndarray
    ) -> tuple[State, PinPlacement]:
        """Newton's step of the rubber and of the pin together."""
        rates = self.face.rates(placement)
        columns = np.concatenate([missing[..., None], rates], axis=-1)
        pulled = linear.tangent @ self._cases(columns)
        pulled[..., 0] += linear.residual
        solve = factorise(self.equations, [linear.tangent], allow_indefinite=True)
        columns = columns - self.equations.expand(solve(self.equations.vector([pulled])))
        forces = linear.tangent @ self._cases(columns)
        forces[..., 0] += linear.residual
        nodal = np.stack([self._nodal(forces[..., case]) for case in range(forces.shape[-1])], axis=-1)
        work = np.einsum("ncm,nck->mk", rates, nodal)
        stiffness = work[:, 1:] + self.face.lever(placement, nodal[..., 0])
        slope = np.where(self.by_load[:, None], stiffness, np.eye(4) + self.compliance @ stiffness)
        try:
            motion = np.linalg.solve(slope, -self._gap(placement.vector, work[:, 0], asked))
        except np.linalg.LinAlgError:
            raise NotConverged("the load no longer grows with the motion of the pin") from None
        if not np.isfinite(motion).all():
            raise NotConverged("the tangent became singular during the iteration")
        change = columns[..., 0] + columns[..., 1:] @ motion
        response = np.einsum("emk,ek->em", linear.pressure_response, self._by_element(change))
        try:
            moved = PinPlacement(*(placement.vector + motion))
        except ValueError:
            raise NotConverged("the pin turned too far during the iteration") from None
        return self._without_folds(state, change, linear.pressure_defect + response), moved

    def _cases(self, nodal: np.ndarray) -> np.ndarray:
        """Nodal cases (N, c, m) by element (E, k·c, m)."""
        return nodal[self.body.quads].reshape(len(self.body.quads), -1, nodal.shape[-1])
