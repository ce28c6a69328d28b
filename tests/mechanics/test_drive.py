"""Following a path: halving, growing again, searching a load, and what is kept when it stops."""

from dataclasses import dataclass

import numpy as np
import pytest

from dossier.mechanics.drive import SMALLEST_STEP, Follower, RunStopped, Step, drive, extrapolated, find
from dossier.mechanics.newton import Equilibrium, NotConverged, State


def equilibrium(value):
    return Equilibrium(State(np.array([[value]]), np.array([[value]])), np.array([[value]]), 1, 1.0)


@dataclass
class Spring:
    """Stands for a support: the force is a function of the prescribed value; steps beyond `reach` of the start fail."""

    reach: float = np.inf
    wall: float = np.inf
    tried: int = 0

    def solve(self, start, prescribed):
        self.tried += 1
        target = float(prescribed[0, 0])
        if abs(target) > self.wall or abs(target - start.displacement[0, 0]) > self.reach:
            raise NotConverged("beyond reach")
        force = target + target**3 / 50.0
        return Equilibrium(State(prescribed, prescribed), np.array([[force]]), 1, 1.0)


def path(parameter):
    return np.array([[parameter]])


def force(step):
    return float(step.equilibrium.forces[0, 0])


def test_steps_stay_below_the_largest_and_land_on_every_stop():
    run = drive(Spring(), path, equilibrium(0.0), [0.5, 3.2], largest_step=1.0)
    assert [step.parameter for step in run.points] == [0.5, 3.2]
    places = [step.parameter for step in run.steps]
    assert max(np.diff(places)) <= 1.0
    assert run.stopped is None


def test_a_failing_step_is_halved_and_grows_again():
    """Without extrapolation a reach of 0.3 needs steps of a quarter; extrapolated starts reach further."""
    spring = Spring(reach=0.3)
    run = drive(spring, path, equilibrium(0.0), [4.0], largest_step=1.0)
    places = [step.parameter for step in run.steps]
    assert run.stopped is None
    assert places[1] == 0.25
    assert max(np.diff(places)) > 0.25
    assert spring.tried > len(places) - 1


@pytest.mark.parametrize("target", [0.2008, 0.4681, 0.4845, 0.4886])
def test_a_halved_step_that_lands_on_its_target_is_one_step(target):
    """Round-off left a second step of 1e-17, whose slope sent the search for a load astray."""
    follower = Follower(Spring(reach=0.6 * (target - 0.0625)), path, equilibrium(0.0625), 0.5, start_parameter=0.0625)
    assert follower.go(target).parameter == target
    assert len(follower.found) == 3


def test_a_run_against_a_wall_keeps_the_steps_before_and_tells_where():
    run = drive(Spring(wall=2.3), path, equilibrium(0.0), [1.0, 2.0, 3.0], largest_step=1.0)
    assert [step.parameter for step in run.points] == [1.0, 2.0]
    assert run.stopped.reason == "beyond reach"
    assert 2.3 - 2 * SMALLEST_STEP < run.stopped.reached <= 2.3 < run.stopped.tried <= 2.3 + 2 * SMALLEST_STEP
    assert run.last_found.parameter == run.stopped.reached


def test_the_follower_may_turn_back():
    follower = Follower(Spring(), path, equilibrium(0.0), 1.0)
    for place in (2.5, -1.5, 2.5):
        assert follower.go(place).parameter == place


def test_extrapolation_is_exact_for_a_parabola():
    def at(parameter):
        return Step(parameter, equilibrium(3.0 - parameter + 2.0 * parameter**2))

    start = extrapolated([at(0.0), at(0.5), at(2.0)], 3.0)
    assert start.displacement[0, 0] == pytest.approx(18.0)
    assert start.pressure[0, 0] == pytest.approx(18.0)


@pytest.mark.parametrize("target", [0.0, 1e-3, 2.0, 8.0, -5.0])
def test_a_load_is_found_on_either_side(target):
    follower = Follower(Spring(), path, equilibrium(0.0), 1.0)
    step = find(follower, force, target, 1e-9)
    assert force(step) == pytest.approx(target, abs=1e-9)


def test_a_load_beyond_the_wall_and_a_load_that_falls_are_told():
    follower = Follower(Spring(wall=2.3), path, equilibrium(0.0), 1.0)
    with pytest.raises(RunStopped, match=r"stopped between 2.2.* and 2.3.*: beyond reach"):
        find(follower, force, 5.0, 1e-9)
    with pytest.raises(RunStopped, match="no longer grows"):
        find(Follower(Spring(), path, equilibrium(0.0), 1.0), lambda step: -force(step), 5.0, 1e-9)


def test_a_small_load_is_found_before_a_wall_that_the_largest_step_would_meet():
    spring = Spring(wall=0.3)
    found = find(Follower(spring, path, equilibrium(0.0), 1.0), force, 0.05, 1e-9)
    assert force(found) == pytest.approx(0.05, abs=1e-9)
    assert spring.tried < 6
