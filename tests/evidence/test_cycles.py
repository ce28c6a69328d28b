"""Cycles are found through noise, drift, offset and spikes, and counted in the direction of loading."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.evidence.cycles import choose, ordinal, split_cycles, turning_points
from dossier.evidence.errors import EvaluationError
from tests.evidence.generator import Programme, Rig, loading_branch, measured, with_stiffness


@pytest.mark.parametrize(
    "programme",
    [
        Programme(), Programme(cycles=6), Programme(one_sided=True), Programme(first=-1), Programme(frequency=1000.0),
        Programme(load=118000.0, rate=0.5, cycles=3),
    ],
)  # fmt: skip
def test_turning_points_of_the_machine_are_found_exactly(programme):
    """Without noise the rows of the turning points are those where the machine turned."""
    record = with_stiffness(56000.0, programme)
    direction = programme.first
    cycles = split_cycles(record.load, direction)
    assert len(cycles) == programme.cycles
    for cycle in cycles[1:]:
        assert (cycle.start, cycle.top) == loading_branch(record, cycle.number, direction)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    noise=st.floats(0, 0.04), drift=st.floats(-0.5, 0.5), offset=st.floats(-3, 3), seed=st.integers(0, 1000),
    cycles=st.integers(2, 12),
)  # fmt: skip
def test_the_count_survives_noise_drift_and_offset(noise, drift, offset, seed, cycles):
    """Sine of amplitude 1: noise to 4 %, drift to half the amplitude over the record, any offset."""
    phase = np.linspace(0, cycles, 400 * cycles + 1)
    random = np.random.default_rng(seed)
    signal = np.sin(2 * np.pi * phase) + noise * random.standard_normal(len(phase)) + offset + drift * phase / cycles
    found = split_cycles(signal)
    assert len(found) == cycles
    tops = np.array([phase[cycle.top] for cycle in found])
    assert np.abs(tops - (np.arange(cycles) + 0.25)).max() < 0.08


def test_the_count_holds_in_a_long_record():
    """A million rows, a thousand cycles: the extremes are reduced to stretches first."""
    phase = np.linspace(0, 1000, 1_000_001)
    signal = np.sin(2 * np.pi * phase) + 0.02 * np.random.default_rng(3).standard_normal(len(phase))
    assert len(split_cycles(signal)) == 1000


def test_single_spikes_make_no_cycle_and_no_turning_point():
    phase = np.linspace(0, 4, 4001)
    signal = np.sin(2 * np.pi * phase)
    signal[[300, 1500, 2750, 3251]] = [5.0, -4.0, 6.0, -6.0]
    found = split_cycles(signal)
    assert len(found) == 4
    assert not {cycle.top for cycle in found} & {300, 2750}


def test_both_directions_have_their_own_loading_branches():
    record = with_stiffness(56000.0, Programme())
    up, down = split_cycles(record.load, 1), split_cycles(record.load, -1)
    assert len(up) == len(down) == 4
    assert all(record.load[cycle.loading][-1] > 10900 for cycle in up)
    assert all(record.load[cycle.loading][-1] < -10900 for cycle in down)
    assert [cycle.top for cycle in up] == [cycle.start for cycle in down]


def test_the_first_cycle_from_rest_does_not_close_but_the_others_do():
    record = with_stiffness(56000.0, Programme())
    assert [cycle.closed for cycle in split_cycles(record.load)] == [False, True, True, True]


def test_a_test_stopped_on_the_way_up_has_no_further_cycle():
    record = with_stiffness(56000.0, Programme())
    start, top = loading_branch(record, 4)
    halfway = start + (top - start) * 2 // 3
    assert len(split_cycles(record.load[:halfway])) == 3
    assert len(split_cycles(record.load[: top + 1])) == 4


def test_a_missing_cycle_is_named_with_what_there_is():
    record = measured(with_stiffness(56000.0, Programme(cycles=3)), Rig(load_noise=8.0), seed=1)
    with pytest.raises(EvaluationError) as caught:
        choose(split_cycles(record.load), 4)
    assert str(caught.value) == (
        "3 conditioning cycles found, the 4th is missing; the reading scheme evaluates the 4th"
    )
    with pytest.raises(EvaluationError, match="^1 cycle found, the 4th is missing"):
        choose(split_cycles(record.load)[:1], 4)


@pytest.mark.parametrize("signal", [np.zeros(100), np.full(3, 7.0), np.array([1.0])])
def test_a_signal_that_stands_still_has_no_cycles(signal):
    assert split_cycles(signal) == ()


def test_a_single_rise_is_one_cycle_without_a_loop():
    (cycle,) = split_cycles(np.linspace(0, 5, 50))
    assert (cycle.start, cycle.top, cycle.closed) == (0, 49, False)


def test_turning_points_alternate():
    random = np.random.default_rng(5)
    signal = np.cumsum(random.standard_normal(5000))
    turns, first = turning_points(signal, 0.1)
    values = signal[turns] * first
    assert turns == sorted(turns)
    assert (np.diff(values) * np.resize([-1, 1], len(values) - 1) > 0).all()


def test_ordinals():
    assert [ordinal(n) for n in (1, 2, 3, 4, 11, 12, 13, 21, 102, 111)] == [
        "1st", "2nd", "3rd", "4th", "11th", "12th", "13th", "21st", "102nd", "111th",
    ]  # fmt: skip
