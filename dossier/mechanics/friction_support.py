"""Equilibrium of rubber whose outer face rigid metal holds by pressure and friction, step by step along a path."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from dossier.mechanics.assemble import Equations
from dossier.mechanics.drive import RunStopped, Stop
from dossier.mechanics.friction import ContactState, FrictionContact, Slip
from dossier.mechanics.linear import factorise
from dossier.mechanics.newton import HELD_TOLERANCE, RESIDUAL_TOLERANCE, Equilibrium, NotConverged, State, Support
from dossier.mechanics.rigid_profile import RigidProfile

MOST_CONTACT_ITERATIONS = 25
"""More than for bonded faces: nodes that touch, leave, stick and slide are found on the way."""

SMALLEST_PART = 1.0 / 256.0


@dataclass(frozen=True)
class FrictionEquilibrium:
    """A converged state with its contact and what friction remembers of it."""

    equilibrium: Equilibrium
    contact: ContactState

    @property
    def state(self) -> State:
        return self.equilibrium.state

    @property
    def slip(self) -> Slip:
        return self.contact.slip


@dataclass(frozen=True)
class Placement:
    """Prescribed displacement (N, c) of the bonded face, and where the metal of the other face stands."""

    prescribed: np.ndarray
    profiles: Sequence[RigidProfile]


class FrictionSupport(Support):
    """A `Support` with contact on one face besides; the tangent is not symmetric where nodes slide."""

    def __init__(self, kinematics, held: np.ndarray, contact: FrictionContact, tied: np.ndarray | None = None):
        super().__init__(kinematics, held, tied)
        self.contact = contact
        groups = [self.body.group, contact.points]
        self.equations = Equations(self.body.nodes, groups, kinematics.fields, held, tied)

    def balance(self, start: State, placement: Placement, before: Slip) -> FrictionEquilibrium:
        """Equilibrium at a placement after the slip `before`; raises NotConverged."""
        state = start
        for iteration in range(MOST_CONTACT_ITERATIONS + 1):
            missing = np.where(self.held, placement.prescribed - state.displacement, 0.0)
            with np.errstate(all="ignore"):
                linear = self.kinematics.linearise(state)
            if not np.isfinite(linear.tangent).all():
                raise NotConverged("the rubber folded during the iteration")
            touch = self.contact.state(state.displacement, placement.profiles, before)
            residual = self.equations.vector([linear.residual[..., None], touch.force[..., None]])
            if np.abs(missing).max() <= HELD_TOLERANCE * np.abs(self.body.nodes).max():
                forces = self._nodal(linear.force)
                if np.linalg.norm(residual) < RESIDUAL_TOLERANCE * np.linalg.norm(forces) + self.body.force_noise:
                    return FrictionEquilibrium(self._converged(state, forces, iteration), touch)
            state = self._stepped(state, linear, touch, missing)
        raise NotConverged(f"no equilibrium of contact within {MOST_CONTACT_ITERATIONS} iterations")

    def _stepped(self, state: State, linear, touch: ContactState, missing: np.ndarray) -> State:
        load = linear.residual + np.einsum("eij,ej->ei", linear.tangent, self._by_element(missing))
        right = self.equations.vector([load[..., None], touch.force[..., None]])
        solve = factorise(self.equations, [linear.tangent, touch.tangent], symmetric=False)
        change = missing - self.equations.expand(solve(right))[..., 0]
        if not np.isfinite(change).all():
            raise NotConverged("the equations are singular")
        response = np.einsum("emk,ek->em", linear.pressure_response, self._by_element(change))
        return self._without_folds(state, change, linear.pressure_defect + response)


def follow(
    support: FrictionSupport,
    path: Callable[[float], Placement],
    start: FrictionEquilibrium,
    reach: float,
    largest_step: float,
) -> list[tuple[float, FrictionEquilibrium]]:
    """Equilibria along a path from parameter 0 to `reach`, the last of them there; friction remembers the way.

    Steps are halved where none is found, down to SMALLEST_PART of the largest. Raises RunStopped.
    """
    found = [(0.0, start)]
    step = largest_step
    while found[-1][0] != reach:
        here, last = found[-1]
        way = reach - here
        target = reach if abs(way) <= step * (1.0 + 1e-9) else here + np.copysign(step, way)
        try:
            found.append((target, support.balance(_guess(found, target), path(target), last.slip)))
        except NotConverged as failure:
            step = min(step, abs(way)) / 2.0
            if step < SMALLEST_PART * largest_step:
                raise RunStopped(Stop(here, target, str(failure))) from None
        else:
            step = min(1.5 * step, largest_step)
    return found


def _guess(found: list[tuple[float, FrictionEquilibrium]], target: float) -> State:
    """The last state, carried on as from the one before it to it."""
    here, last = found[-1]
    if len(found) == 1:
        return last.state
    before, other = found[-2]
    part = (target - here) / (here - before)
    return State(
        last.state.displacement + part * (last.state.displacement - other.state.displacement),
        last.state.pressure + part * (last.state.pressure - other.state.pressure),
    )
