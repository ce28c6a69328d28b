"""Error rates are simulated on a curve's own sampling and fall as the limits become stricter."""

from __future__ import annotations

import pytest

from dossier.evidence.errors import Cancelled, EvaluationError
from dossier.evidence.sign_curves import SimulatedTest, simulate
from dossier.evidence.sign_rates import rates_in_words, sampling_of, simulate_rates
from tests.evidence.samples import radial


@pytest.mark.parametrize("waveform", ["triangle", "sine"])
@pytest.mark.parametrize(("rows", "cycles", "one_sided"), [(400, 4, False), (120, 6, False), (300, 4, True)])
def test_the_sampling_of_a_curve_is_read_off(rows, cycles, one_sided, waveform):
    test = SimulatedTest(rows, cycles, waveform, one_sided)
    curves = simulate(test, 1, seed=3, noise=0.004, travel_noise=0.001)
    found = sampling_of(curves.travel[0], curves.load[0])
    assert found.rows == pytest.approx(rows, rel=0.15)
    assert (found.waveform, found.one_sided) == (waveform, one_sided)
    assert abs(found.cycles - cycles) <= 1
    assert found.noise == pytest.approx(0.004, rel=0.4)


def test_rates_of_a_measured_curve_show_the_whole_trade_off():
    record = radial()
    sampling = sampling_of(record.travel[::5], record.load[::5])
    rates = simulate_rates(sampling, count=20, seed=2, factors=(0.3, 1.0, 3.0))
    assert rates.at("any", 1.0).false <= 1
    assert rates.at("any", 0.3).false >= rates.at("any", 1.0).false >= rates.at("any", 3.0).false
    for kind in ("slip", "crack", "preload_loss", "fixture_slip"):
        assert rates.at(kind, 1.0).found >= 18, kind
        assert rates.at(kind, 3.0).found <= rates.at(kind, 1.0).found
    assert simulate_rates(sampling, count=20, seed=2, factors=(1.0,)).at("slip") == rates.at("slip")
    words = rates_in_words(rates)
    assert words[0].startswith("SIMULATED, 20 curves each, seed 2")
    assert any(line.startswith("slip ") for line in words)


def test_too_few_curves_and_a_stop_are_told():
    sampling = sampling_of(radial().travel, radial().load)
    with pytest.raises(EvaluationError, match="count = 3"):
        simulate_rates(sampling, count=3)
    with pytest.raises(Cancelled):
        simulate_rates(sampling, count=10, progress=lambda share: False)
