"""Equilibrium of rubber whose outer face rigid metal holds by pressure and friction, step by step along a path."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from dossier.mechanics.assemble import Equations
from dossier.mechanics.drive import RunStopped, Stop
from dossier.mechanics.friction import ContactState, FrictionContact, Slip
from dossier.mechanics.linear import factorise
from dossier.mechanics.newton import RESIDUAL_TOLERANCE, Equilibrium, Linearisation, NotConverged, State, Support
from dossier.mechanics.rigid_profile import RigidProfile

MOST_CONTACT_ITERATIONS = 30
"""More than for bonded faces: nodes that touch, leave, stick and slide are found on the way."""

STEP_PARTS = (1.0, 0.5, 0.25, 0.125)

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
        """Equilibrium at a placement after the slip `before`; raises NotConverged.

        The first iteration brings the bonded face to its place and lets the other one stick to the moved metal.
        """
        missing = np.where(self.held, placement.prescribed - start.displacement, 0.0)
        trial = self._tried(start, placement, before, sticking=True)
        trial = self._tried(self._stepped(trial, missing, 1.0), placement, before)
        for iteration in range(1, MOST_CONTACT_ITERATIONS):
            if trial.size < trial.tolerance:
                return FrictionEquilibrium(self._converged(trial.state, trial.forces, iteration), trial.touch)
            trial = self._improved_trial(trial, placement, before)
        raise NotConverged(f"no equilibrium of contact within {MOST_CONTACT_ITERATIONS} iterations")

    def _improved_trial(self, trial: _Trial, placement: Placement, before: Slip) -> _Trial:
        """Newton's step, or the first part of it that reduces the residual: nodes that touch and slide in turn are calmed."""
        step = self._change(trial, 0.0)
        for part in STEP_PARTS:
            other = self._tried(self._without_folds(trial.state, part * step[0], part * step[1]), placement, before)
            if other.size < trial.size:
                return other
        return other

    def _tried(self, state: State, placement: Placement, before: Slip, *, sticking: bool = False) -> _Trial:
        with np.errstate(all="ignore"):
            linear = self.kinematics.linearise(state)
        if not np.isfinite(linear.tangent).all():
            raise NotConverged("the rubber folded during the iteration")
        touch = self.contact.state(state.displacement, placement.profiles, before, sticking=sticking)
        residual = self.equations.vector([linear.residual[..., None], touch.force[..., None]])
        forces = self._nodal(linear.force)
        tolerance = RESIDUAL_TOLERANCE * float(np.linalg.norm(forces)) + self.body.force_noise
        return _Trial(state, linear, touch, float(np.linalg.norm(residual)), tolerance, forces)

    def _stepped(self, trial: _Trial, missing: np.ndarray, part: float) -> State:
        change, pressure_change = self._change(trial, missing)
        return self._without_folds(trial.state, part * change, part * pressure_change)

    def _change(self, trial: _Trial, missing: np.ndarray | float) -> tuple[np.ndarray, np.ndarray]:
        """Newton's change of displacement, which adds what is `missing` of the held values, and of pressure."""
        linear, touch = trial.linear, trial.touch
        missing = np.zeros(self.held.shape) + missing
        load = linear.residual + np.einsum("eij,ej->ei", linear.tangent, self._by_element(missing))
        right = self.equations.vector([load[..., None], touch.force[..., None]])
        solve = factorise(self.equations, [linear.tangent, touch.tangent], symmetric=False)
        change = missing - self.equations.expand(solve(right))[..., 0]
        if not np.isfinite(change).all():
            raise NotConverged("the equations are singular")
        response = np.einsum("emk,ek->em", linear.pressure_response, self._by_element(change))
        return change, linear.pressure_defect + response


@dataclass(frozen=True)
class _Trial:
    """A state on the way, its linearisation and contact, the size of its residual and the size that counts as none."""

    state: State
    linear: Linearisation
    touch: ContactState
    size: float
    tolerance: float
    forces: np.ndarray


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
