"""Follow a path of prescribed displacements step by step, halving the step where no equilibrium is found."""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import copysign

import numpy as np

from dossier.mechanics.newton import Equilibrium, NotConverged, State, Support

SMALLEST_STEP = 1.0 / 32.0
"""Smallest step, in parts of the largest one."""

GROWTH = 2.0

ROUND_OFF = 1e-9
"""Way in parts of a step that is no step of its own."""


@dataclass(frozen=True)
class Step:
    """Equilibrium at one value of the path's parameter (mm or rad)."""

    parameter: float
    equilibrium: Equilibrium

    @property
    def state(self) -> State:
        return self.equilibrium.state


@dataclass(frozen=True)
class Stop:
    """Why and where a run ended early: the last equilibrium stands at `reached`, none was found at `tried`."""

    reached: float
    tried: float
    reason: str


@dataclass(frozen=True)
class Run:
    """All steps with an equilibrium in the order they were found, the start first.

    `points` are the steps at the values asked for. `stopped` is None when all were reached.
    """

    steps: tuple[Step, ...]
    points: tuple[Step, ...]
    stopped: Stop | None

    @property
    def last_found(self) -> Step:
        return self.steps[-1]


class RunStopped(ArithmeticError):  # noqa: N818
    """A run ended early; `stop` tells where."""

    def __init__(self, stop: Stop):
        super().__init__(f"stopped between {stop.reached:g} and {stop.tried:g}: {stop.reason}")
        self.stop = stop


class Follower:
    """Finds equilibria along a path, each from its nearest neighbours.

    `path` gives the prescribed values (N, c) at a parameter; `start` is an equilibrium at `start_parameter`. The
    first guess is extrapolated through the nearest three states. A step never exceeds `largest_step`; it is halved
    down to SMALLEST_STEP of that, and grows again after two equilibria in a row.
    """

    def __init__(
        self,
        support: Support,
        path: Callable[[float], np.ndarray],
        start: Equilibrium,
        largest_step: float,
        start_parameter: float = 0.0,
    ):
        self.support, self.path, self.largest_step = support, path, largest_step
        self.found = [Step(start_parameter, start)]
        self._sorted = list(self.found)

    def go(self, parameter: float) -> Step:
        """Equilibrium at the parameter; raises RunStopped when the smallest step fails."""
        parameter, step = float(parameter), self.largest_step
        here, failed = self._nearest(parameter)[0], False
        while here.parameter != parameter:
            way = parameter - here.parameter
            target = parameter if abs(way) <= (1.0 + ROUND_OFF) * step else here.parameter + copysign(step, way)
            try:
                here = self._solve(target, careful=step < self.largest_step / GROWTH)
            except NotConverged as failure:
                step, failed = min(step, abs(way)) / 2.0, True
                if step < SMALLEST_STEP * self.largest_step:
                    raise RunStopped(Stop(here.parameter, target, str(failure))) from None
            else:
                step, failed = step if failed else min(step * GROWTH, self.largest_step), False
        return here

    def _solve(self, target: float, *, careful: bool) -> Step:
        """One equilibrium; `careful` starts from the nearest state itself, without extrapolation."""
        base = self._nearest(target)[: 1 if careful else 3]
        equilibrium = self.support.solve(extrapolated(base, target), self.path(target))
        step = Step(target, equilibrium)
        self.found.append(step)
        insort(self._sorted, step, key=lambda each: each.parameter)
        return step

    def _nearest(self, parameter: float) -> list[Step]:
        return sorted(self._sorted, key=lambda each: abs(each.parameter - parameter))


def extrapolated(base: Sequence[Step], target: float) -> State:
    """Polynomial through the states of `base` (one to three of different parameters) at the target."""
    places = np.array([step.parameter for step in base])
    weights = [
        np.prod([(target - other) / (place - other) for other in places if other != place]) for place in places
    ]
    displacement = sum(weight * step.state.displacement for weight, step in zip(weights, base, strict=True))
    pressure = sum(weight * step.state.pressure for weight, step in zip(weights, base, strict=True))
    return State(displacement, pressure)


MOST_SECANTS = 25

FIRST_TRIAL = 0.125
"""First trial of a search, in parts of the largest step: short, so that a small target is not overshot."""


def find(follower: Follower, measure: Callable[[Step], float], target: float, tolerance: float) -> Step:
    """Step at which the measure of a step (a force, say) reaches the target within the tolerance.

    Secant method on the path's parameter between the two steps whose measure is nearest, each trial an equilibrium
    of its own; the first trial, without a second step, goes by FIRST_TRIAL of the largest step. Raises RunStopped when an
    equilibrium is missing on the way or when the measure no longer grows with the parameter.
    """
    for _ in range(MOST_SECANTS):
        known = sorted(follower.found, key=lambda step: abs(measure(step) - target))
        best, gap = known[0], target - measure(known[0])
        if abs(gap) <= tolerance:
            return best
        if len(known) == 1:
            follower.go(best.parameter + copysign(FIRST_TRIAL * follower.largest_step, gap))
            continue
        slope = (measure(known[1]) - measure(best)) / (known[1].parameter - best.parameter)
        if not slope > 0.0:
            raise RunStopped(Stop(best.parameter, known[1].parameter, "the load no longer grows with the motion"))
        follower.go(best.parameter + gap / slope)
    raise RunStopped(Stop(best.parameter, best.parameter + gap / slope, f"load not met in {MOST_SECANTS} trials"))


def drive(
    support: Support,
    path: Callable[[float], np.ndarray],
    start: Equilibrium,
    stops: Sequence[float],
    *,
    largest_step: float,
) -> Run:
    """Visit the stops in the given order, beginning at parameter 0; never raises for lack of an equilibrium."""
    follower = Follower(support, path, start, largest_step)
    points: list[Step] = []
    stopped = None
    try:
        for stop in stops:
            points.append(follower.go(stop))
    except RunStopped as failure:
        stopped = failure.stop
    return Run(tuple(follower.found), tuple(points), stopped)
