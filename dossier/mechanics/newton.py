"""Equilibrium of rubber at finite strain under prescribed displacements: Newton's method with condensed pressure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from dossier.mechanics.assemble import Equations
from dossier.mechanics.elements import Field
from dossier.mechanics.linear import factorise
from dossier.mechanics.rubber_body import RubberBody

MOST_ITERATIONS = 12
RESIDUAL_TOLERANCE = 1e-8
HELD_TOLERANCE = 1e-13
"""Missing part of a held value that counts as round-off, in parts of the size of the body."""

SHORTEST_PART = 1.0 / 16.0


@dataclass(frozen=True)
class State:
    """Displacement (N, c), in the components of the kinematics, and pressure (E, m) in MPa."""

    displacement: np.ndarray
    pressure: np.ndarray


@dataclass(frozen=True)
class Linearisation:
    """Element matrices of one state, for the whole circumference.

    tangent (E, k, k) and residual (E, k) with the pressure eliminated; force (E, k) the nodal forces at the given
    pressure. The eliminated pressure changes by pressure_defect (E, m) + pressure_response (E, m, k) · du.
    """

    tangent: np.ndarray
    residual: np.ndarray
    force: np.ndarray
    pressure_defect: np.ndarray
    pressure_response: np.ndarray


class Kinematics(Protocol):
    """How nodal unknowns deform a body: axisymmetric, or coupled harmonics."""

    body: RubberBody
    fields: Sequence[Field]

    @property
    def rest(self) -> State:
        """The undeformed state."""

    def linearise(self, state: State) -> Linearisation:
        """Element matrices; not finite where the rubber is folded."""

    def least_volume_ratio(self, state: State, *, dense: bool) -> float:
        """Smallest J at the points of integration, or at the denser points of the check."""


@dataclass(frozen=True)
class Equilibrium:
    """A converged state and the forces (N, c) its nodes exert on the rubber.

    The forces do work with the displacement components: N, and N·mm with a rotation, for the whole circumference.
    `least_volume_ratio` is the smallest J at 6x6 points of each element.
    """

    state: State
    forces: np.ndarray
    iterations: int
    least_volume_ratio: float

    @property
    def folded(self) -> bool:
        """Whether the rubber is turned inside out somewhere between the points of integration.

        The resultant force is hardly disturbed by it, a local strain is worthless there.
        """
        return self.least_volume_ratio <= 0.0


class NotConverged(ArithmeticError):  # noqa: N818
    """No equilibrium found from the given start; the message tells why."""


class Support:
    """The held components of one body with their equations: solves for prescribed values again and again.

    held (N, c) bool; `kinematics` tells what the components are. `tied` (N, c) bool: components free to move by one
    common amount, so that their forces add up to zero.
    """

    def __init__(self, kinematics: Kinematics, held: np.ndarray, tied: np.ndarray | None = None):
        self.kinematics, self.held = kinematics, held
        self.body = kinematics.body
        self.equations = Equations(self.body.nodes, [self.body.group], kinematics.fields, held, tied)

    def solve(self, start: State, prescribed: np.ndarray) -> Equilibrium:
        """Equilibrium with held components set to `prescribed` (N, c); free unknowns start from `start`.

        Raises NotConverged when Newton's method fails or leaves folded rubber at a point of integration.
        """
        state = start
        for iteration in range(MOST_ITERATIONS + 1):
            missing = np.where(self.held, prescribed - state.displacement, 0.0)
            with np.errstate(all="ignore"):
                linear = self.kinematics.linearise(state)
            if not np.isfinite(linear.tangent).all():
                raise NotConverged("the rubber folded during the iteration")
            if self._balanced(linear, missing):
                return self._converged(state, self._nodal(linear.force), iteration)
            if iteration < MOST_ITERATIONS:
                state = self._improved(state, linear, missing)
        raise NotConverged(f"no equilibrium within {MOST_ITERATIONS} iterations")

    def _balanced(self, linear: Linearisation, missing: np.ndarray) -> bool:
        """Whether the held values are reached and the free nodes are in equilibrium."""
        if np.abs(missing).max() > HELD_TOLERANCE * np.abs(self.body.nodes).max():
            return False
        tolerance = RESIDUAL_TOLERANCE * np.linalg.norm(self._nodal(linear.force)) + self.body.force_noise
        return bool(np.linalg.norm(self._assembled(linear.residual)) < tolerance)

    def _improved(self, state: State, linear: Linearisation, missing: np.ndarray) -> State:
        """Newton's step, shortened while it would fold the rubber at a point of integration."""
        load = linear.residual + np.einsum("eij,ej->ei", linear.tangent, self._by_element(missing))
        solve = factorise(self.equations, [linear.tangent], allow_indefinite=True)
        change = missing - self.equations.expand(solve(self._assembled(load)))[..., 0]
        response = np.einsum("emk,ek->em", linear.pressure_response, self._by_element(change))
        return self._without_folds(state, change, linear.pressure_defect + response)

    def _without_folds(self, state: State, change: np.ndarray, pressure_change: np.ndarray) -> State:
        """The changed state, the change shortened while it would fold the rubber at a point of integration."""
        part = 1.0
        while True:
            trial = State(state.displacement + part * change, state.pressure + part * pressure_change)
            if part <= SHORTEST_PART or self.kinematics.least_volume_ratio(trial, dense=False) > 0.0:
                return trial
            part /= 2.0

    def _converged(self, state: State, forces: np.ndarray, iterations: int) -> Equilibrium:
        if self.kinematics.least_volume_ratio(state, dense=False) <= 0.0:
            raise NotConverged("the rubber is folded at a point of integration")
        return Equilibrium(
            state, forces, iterations, self.kinematics.least_volume_ratio(state, dense=True)
        )

    def _by_element(self, nodal: np.ndarray) -> np.ndarray:
        return nodal[self.body.quads].reshape(len(self.body.quads), -1)

    def _assembled(self, element_vectors: np.ndarray) -> np.ndarray:
        return self.equations.vector([element_vectors[..., None]])

    def _nodal(self, element_vectors: np.ndarray) -> np.ndarray:
        """Sum element vectors (E, k·c) at every node, held or not: (N, c)."""
        count, components = self.held.shape
        place = (self.body.quads[:, :, None] * components + np.arange(components)).ravel()
        return np.bincount(place, element_vectors.ravel(), count * components).reshape(count, components)
