"""Signs on curves of a Bouc–Wen part with its machine (tests.evidence.generator), a law that neither the search nor the
product's own simulation knows: sound ones stay silent, faults put into channels as a machine would show them are named."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.evidence.signs import find_signs
from tests.evidence.generator import Law, Programme, Rig, measured, with_stiffness

LAWS = {
    "usual": Law(),
    "stiffening and frictional": Law(cubic=0.3, friction=0.3),
    "rate dependent": Law(maxwell=((0.2, 0.5), (0.2, 10.0))),
    "softens long": Law(softening=0.4, softening_path=6.0),
}
RIG = Rig(compliance=1.5e-6, travel_drift=2e-5, load_noise=30.0, travel_noise=1e-4, load_step=10.0)


def curve(law: str, *, seed: int = 1, one_sided: bool = False, cycles: int = 4, rig: Rig = RIG):
    record = with_stiffness(56000.0, Programme(frequency=30.0, one_sided=one_sided, cycles=cycles), LAWS[law])
    shown = measured(record, rig, seed)
    return shown.travel.copy(), shown.load.copy(), record


def first(travel, load) -> str:
    signs = find_signs(travel, load)
    return signs[0].kind if signs else ""


def held(travel, load, record, fall: float, creep: float):
    """The curve with 40 rows of hold at each turn: the load relaxes by `fall`, the travel creeps by `creep` of it."""
    random, xs, fs, last, off = np.random.default_rng(3), [], [], 0, 0.0
    for turn in record.turns:
        share = np.log1p(np.arange(40)) / np.log(40)
        xs += [travel[last : turn + 1] + off, travel[turn] * (1 + creep * share) + off + 1e-4 * random.standard_normal(40)]
        fs += [load[last : turn + 1], load[turn] * (1 - fall * share) + 30 * random.standard_normal(40)]
        off += creep * travel[turn]
        last = turn + 1
    return np.concatenate([*xs, travel[last:] + off]), np.concatenate([*fs, load[last:]])


@pytest.mark.parametrize("law", LAWS)
def test_what_is_normal_raises_no_sign(law):
    random = np.random.default_rng(7)
    for one_sided in (False, True):
        travel, load, record = curve(law, one_sided=one_sided)
        assert first(travel, load) == ""
        assert first(travel, -load) == "" == first(-travel, load)
        assert first(1e3 * travel, 1e-3 * load) == ""
        kept = np.sort(random.choice(len(travel), int(0.6 * len(travel)), replace=False))
        assert first(travel[kept], load[kept]) == "", "unequal sampling"
        assert first(np.round(travel / 2e-3) * 2e-3, np.round(load / 100) * 100) == "", "coarse converters"
        assert first(travel + np.linspace(0, 0.01, len(travel)), load + np.linspace(0, 150, len(load))) == "", "drift"
        spiked = load.copy()
        spiked[len(load) // 3] += 9000
        assert first(travel, spiked) == "", "a single spike"
        assert first(*held(travel, load, record, 0.06, 0.0)) == "", "relaxation"
        assert first(*held(travel, load, record, 0.0, 0.02)) == "", "creep"


@pytest.mark.parametrize("law", LAWS)
def test_faults_are_named_first(law):
    travel, load, record = curve(law)
    second = next(turn for turn in record.turns if turn > record.turns[1])
    begin = int(record.turns[1] + np.argmax(load[record.turns[1] :] > 7000))
    rows = np.arange(len(load))
    slipped = travel + np.where(rows > begin, 0.025, 0.0)
    assert first(slipped, load) == "slip"
    assert abs(find_signs(slipped, load)[0].row - begin) <= 3
    broken = np.where(rows > begin, 0.88 * load, load)
    assert first(travel, broken) == "metal_break"
    assert abs(find_signs(travel, broken)[0].row - begin) <= 3
    opened = travel + np.where((load > 0) & (rows > record.turns[1]), 0.2 * load / 56000, 0.0)
    assert first(opened, load) == "crack"
    gap = travel + np.sign(load) * np.maximum(np.abs(load) - 5500, 0) / 56000
    assert first(gap, load) == "preload_loss"
    play = travel + 0.008 * np.tanh(load / 150)
    assert first(play, load) == "fixture_slip"
    stop = travel - np.maximum(load - 7500, 0) / 56000 * 0.75
    assert first(stop, load) == "bottoming"
    assert begin < second


def test_a_crack_that_grows_from_cycle_to_cycle():
    travel, load, record = curve("usual", cycles=8)
    tops = [turn for turn in record.turns if record.load[turn] > 0]
    cycle = np.searchsorted(tops, np.arange(len(load)))
    grown = travel + np.maximum(cycle - 2, 0) * 0.03 * np.maximum(load, 0) / 56000
    assert first(grown, load) == "crack"
