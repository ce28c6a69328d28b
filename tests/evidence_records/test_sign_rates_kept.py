"""Simulated error rates are kept in the reading scheme, told as simulated, and outdated by other limits."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import pytest

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.sign_rates import keep_rates
from dossier.checks.told_sign_rates import rates_rows, rates_sentence, schemes_without_rates, upper_bound
from dossier.evidence.sign_rates import RatePoint, SignRates, sampling_of
from dossier.release.chapters.evidence_rates import sign_rates
from dossier.release.facts import Facts
from tests.evidence.samples import radial
from tests.evidence_records import test_import as base
from tests.evidence_records import test_signs as signs

sys.path[:0] = [str(Path(__file__).parents[1] / "release")]
from chapters_case import body, built, squeezed  # noqa: E402

LAB, DAY = base.LAB, "2026-03-02"
opened, files = base.opened, base.files


def rates() -> SignRates:
    seen = ((0.5, 20, 3), (1.0, 19, 0), (2.0, 4, 0))
    points = [RatePoint("slip", factor, 20, found, 0, false) for factor, found, false in seen]
    record = radial()
    return SignRates(sampling_of(record.travel, record.load), 20, 7, (*points, RatePoint("any", 1.0, 20, 0, 0, 1)))


@pytest.fixture
def kept(opened: Opened, files) -> Opened:
    signs.evaluated(opened, files["P-1"], files)
    assert schemes_without_rates(opened.view) == ["RS-01"]
    opened.record(keep_rates(opened.project, "E-001", rates(), LAB, DAY))
    return opened


def test_the_trade_off_is_kept_with_what_it_holds_for(kept):
    scheme = kept.project.get("RS-01")
    assert schemes_without_rates(kept.view) == []
    factors, rows = rates_rows(scheme.sign_rates)
    assert factors == [0.5, 1.0, 2.0]
    assert rows == [("slip", "slip of 5 % of the amplitude, once", "100 / 15", "95 / 0", "20 / 0")]
    told = rates_sentence(scheme, scheme.sign_rates)
    recording = rates().sampling.words
    assert told.startswith(f"SIMULATED, not measured: 20 curves a cell, seed 7, on the recording of E-001 P-1: {recording}.")
    assert "1 of 20, at most 22 % at 95 % confidence" in told and "simulate again" not in told
    assert kept.view.evaluations["E-001"].state == "current"


def test_other_limits_ask_to_simulate_again(kept):
    kept.record(set_field(kept.project, "RS-01", "signs.slip_travel", "3 %", LAB))
    scheme = kept.project.get("RS-01")
    assert "limits of RS-01 have changed since: simulate again" in rates_sentence(scheme, scheme.sign_rates)


def test_the_document_prints_it_and_the_same_bytes_twice(kept):
    facts = Facts(kept.view, "A", False, "2026-03-06", {}, [])
    first, second = (built(facts, chapters=lambda kit, facts: sign_rates(kit, facts)) for _ in range(2))
    assert first.data == second.data
    for words in ("SIMULATED, not measured", "100 / 15", "fault put in", "Assumed: parts with random stiffening"):
        assert squeezed(words) in body(first)


def test_rates_without_the_stated_limits_are_refused(opened, files):
    signs.evaluated(opened, files["P-1"], files)
    without = replace(rates(), points=rates().points[:3])
    with pytest.raises(Refusal, match="factor 1"):
        keep_rates(opened.project, "E-001", without, LAB, DAY)


def test_upper_bounds_of_rates():
    """0 of n: 1 - 0.05^(1/n), the binomial by hand; 1 of 20 from memory of Clopper and Pearson's interval, 0.216."""
    assert upper_bound(0, 20) == pytest.approx(1 - 0.05 ** (1 / 20))
    assert upper_bound(1, 20) == pytest.approx(0.2161, abs=2e-4)
