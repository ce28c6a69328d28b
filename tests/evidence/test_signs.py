"""Faults put into the physics of simulated joints are found by name, sound curves raise nothing."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.evidence.errors import EvaluationError
from dossier.evidence.sign_curves import SimulatedFault, SimulatedTest, simulate
from dossier.evidence.sign_thresholds import SignThresholds
from dossier.evidence.signs import find_signs

FAULTS = {
    "slip on a plateau": SimulatedFault("slip", 0.05, 0.5),
    "slip at each turn": SimulatedFault("slip", 0.1, 0.8, every=True),
    "breathing crack": SimulatedFault("crack", 0.15),
    "gap": SimulatedFault("preload_loss", 0.5, 0.5, cycle=1),
    "break": SimulatedFault("metal_break", 0.2, 0.9),
    "clearance": SimulatedFault("fixture_slip", 0.04),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_plain_fault_is_named_first_and_where_it_begins(name):
    fault = FAULTS[name]
    curves = simulate(SimulatedTest(400, 4), 20, seed=11, fault=fault)
    named, off = 0, []
    for travel, load, begins in zip(curves.travel, curves.load, curves.begins, strict=True):
        signs = find_signs(travel, load)
        if signs and signs[0].kind == fault.kind:
            named += 1
            off.append(signs[0].row - begins)
    assert named >= 18
    if fault.kind != "fixture_slip":
        assert abs(np.median(off)) < 20 or fault.kind == "preload_loss"


@pytest.mark.parametrize("waveform", ["triangle", "sine"])
def test_sound_curves_raise_no_sign(waveform):
    curves = simulate(SimulatedTest(400, 4, waveform), 40, seed=12, drift=0.004)
    assert sum(bool(find_signs(t, f)) for t, f in zip(curves.travel, curves.load, strict=True)) <= 1


def test_too_few_rows_are_refused():
    with pytest.raises(EvaluationError, match="at least 30"):
        find_signs(np.arange(10.0), np.arange(10.0))


def test_a_threshold_beyond_reason_is_refused():
    with pytest.raises(EvaluationError, match="stop_ratio = 0.5"):
        SignThresholds(stop_ratio=0.5)
