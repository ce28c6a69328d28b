"""From entered values to the decision on a requirement: uncertainty, calibration, states of items, outside reports."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import get_args

import pytest

from dossier.actions.answer import concede
from dossier.actions.edit import add_record, replace_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import record_value, set_state
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.verify_lines import margins_line
from dossier.checks.base import computed_checks
from dossier.checks.told_evidence import evidence_sentence, left_out_words
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_links import evidence_methods, method_of_item
from dossier.records.evidence import Quantity
from dossier.units import MINUS
from screens.sheets.evidence_next import next_words
from tests import small_project as small

LAB = small.LABORATORY


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """A running item of single values in kN that decides R-012 (at most 45 kN), with a calibrated machine."""
    opened = small.begin(tmp_path / "project")
    for name in ("P-1", "P-2", "P-3"):
        opened.record(add_record(opened.project, "specimen", {"id": name, "design": "V1", "batch": "7"}, LAB))
    channel = {"quantity": "force", "unit": "kN", "low": -50.0, "high": 50.0, "uncertainty": 0.01,
               "calibrated_on": "2026-01-31", "valid_until": "2027-01-31"}  # fmt: skip
    opened.record(add_record(opened.project, "equipment", {"id": "Q-001", "title": "Machine", "channel": [channel]}, LAB))
    raw = {"id": "E-001", "title": "Push-out", "way": "test", "quantity": "single", "unit": "kN", "variant": "V1",
           "state": "running", "started_on": "2026-03-01", "equipment": ["Q-001"],
           "serves": [{"requirement": "R-012", "value": "variant"}],
           "budget": [{"cause": "force calibration", "channel": "Q-001.force"}]}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    return opened


def enter(opened: Opened, *values: str) -> None:
    for number, value in enumerate(values, start=1):
        opened.record(record_value(opened.project, "E-001", f"P-{number}", value, LAB))
    opened.record(set_state(opened.project, "E-001", "finished", LAB, "2026-03-02"))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))


@pytest.mark.parametrize(
    ("values", "state"),
    [(("40 kN", "40100 N", "39.9 kN"), "met"), (("44.9", "45.2", "44.6"), "undecided"), (("50", "50.1", "49.8"), "not met")],
)
def test_the_limit_against_the_uncertainty_decides(opened, values, state):
    assert opened.view.verdicts["R-012"].state == "open"
    enter(opened, *values)
    assert opened.view.verdicts["R-012"].state == state


def test_the_calibration_of_the_machine_stands_in_the_uncertainty(opened):
    enter(opened, "40", "40", "40")
    value = opened.project.get("E-001").result.value("variant")
    # no scatter: half of 1 % (k = 2) of 40 kN, times 1.96 for 95 % of the normal distribution (analytic)
    assert value.high - value.value == pytest.approx(1.96 * 0.005 * 40.0, rel=1e-3)
    assert opened.project.get("E-001").result.sources["budget.force calibration"] == "Q-001.channel.force.uncertainty"
    opened.record(set_field(opened.project, "Q-001", "channel.0.uncertainty", "2 %", LAB))
    fresh = opened.view.evidence_freshness["E-001"]
    assert (fresh.state, [d.field for d in fresh.differences]) == ("outdated", ["budget[1].relative"])
    assert opened.view.verdicts["R-012"].state == "outdated"


def calibrated(opened: Opened, since: str, until: str, high: str = "50") -> None:
    """The calibration of the machine's force channel as a certificate states it."""
    raw = copy.deepcopy(opened.project.raw["Q-001"])
    raw["channel"][0] |= {"calibrated_on": since, "valid_until": until, "high": float(high)}
    opened.record(replace_record(opened.project, "Q-001", raw, "calibration", LAB))


def test_a_value_of_a_machine_out_of_calibration_is_undecided_until_it_is_put_right(opened):
    enter(opened, "40", "40.1", "39.9")
    calibrated(opened, "2025-01-31", "2026-01-31")
    (support,) = (s for s in opened.view.verdicts["R-012"].supports if s.record == "E-001")
    told = "calibration of Q-001 (force) holds 2025-01-31 to 2026-01-31, measured 2026-03-01 to 2026-03-02"
    assert (support.state, support.reason, opened.view.verdicts["R-012"].state) == ("undecided", told, "undecided")
    assert any(f"does not decide R-012: {told}" in str(f) for f in computed_checks()["4.12"](opened.view).findings)
    assert next_words(opened.project, opened.project.get("E-001")).startswith("r leads to Q-001, e there adds the calibration")
    calibrated(opened, "2026-01-31", "2027-01-31", "40")
    (support,) = (s for s in opened.view.verdicts["R-012"].supports if s.record == "E-001")
    assert support.reason == f"calibration of Q-001 (force) covers {MINUS}50 .. 40 kN, measured 40.10 kN"
    raw = copy.deepcopy(opened.project.raw["Q-001"])
    raw["channel"].append(raw["channel"][0] | {"high": 50.0, "certificate": "shown after the test"})
    opened.record(replace_record(opened.project, "Q-001", raw, "proven later", LAB))
    assert opened.view.verdicts["R-012"].state == "met" and computed_checks()["4.4"](opened.view).state == "met"


def test_a_value_of_a_machine_out_of_calibration_can_be_conceded_and_never_becomes_better_than_not_met(opened):
    enter(opened, "40", "40.1", "39.9")
    calibrated(opened, "2025-01-31", "2026-01-31")
    why = ("concession after manufacture", "found within its class afterwards", "up to 41 kN", "2026-12-31")
    opened.record(concede(opened.view, "R-012", *why, small.ENGINEER, now=small.NOW))
    assert opened.view.verdicts["R-012"].state == "conceded"
    beyond = Opened(opened.folder.root, today=small.TODAY)
    raw = copy.deepcopy(beyond.project.raw["R-012"])
    raw["limit"]["max"] = 30.0
    beyond.record(replace_record(beyond.project, "R-012", raw, "limit", LAB))
    (support,) = (s for s in beyond.view.verdicts["R-012"].supports if s.record == "E-001")
    assert support.state == "not met"


def test_a_channel_that_gives_nothing_is_told(opened):
    opened.record(set_field(opened.project, "E-001", "budget.0.channel", "Q-001.torque", LAB))
    problems = opened.view.evidence_freshness["E-001"].problems
    assert problems == ["budget.0.channel = Q-001.torque states no uncertainty; correct it, or give relative instead"]
    with pytest.raises(Refusal, match="Q-001.torque"):
        evaluate_items(opened.project, ["E-001"], LAB)
    with pytest.raises(Refusal, match="give one of the four"):
        set_field(opened.project, "E-001", "budget.0.relative", "1 %", LAB)


def test_an_invalid_item_is_kept_and_decides_nothing(opened):
    enter(opened, "50", "50.1", "49.8")
    assert opened.view.verdicts["R-012"].state == "not met"
    opened.record(set_state(opened.project, "E-001", "invalid", LAB, "2026-03-03", "wrong eye"))
    assert opened.view.verdicts["R-012"].state == "open" and opened.view.verdicts["R-012"].supports == []
    assert opened.project.get("E-001").result is not None
    with pytest.raises(Refusal, match=r"E-001 is invalid \(wrong eye\)"):
        record_value(opened.project, "E-001", "P-1", "40", LAB)


def test_an_outside_report_needs_no_specimen(opened):
    raw = {"id": "E-002", "title": "Report", "way": "analysis", "unit": "-", "state": "running", "started_on": "2026-03-01",
           "statement": "safety of the pin by an outside office", "serves": [{"requirement": "R-002", "value": "variant"}],
           "budget": [{"cause": "stated by the report", "relative": 0.02}]}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    opened.record(record_value(opened.project, "E-002", "report", "1.52", LAB))
    opened.record(set_state(opened.project, "E-002", "finished", LAB, "2026-03-02"))
    opened.record(evaluate_items(opened.project, ["E-002"], LAB))
    support = next(s for s in opened.view.verdicts["R-002"].supports if s.record == "E-002")
    assert (support.way, support.state, support.value) == ("analysis", "met", 1.52)


def test_a_margin_is_held_against_the_first_measurement(opened):
    agreed = '{ low = 0.9, high = 1.1, agreed = { by = "customer", on = "2026-03-01" } }'
    opened.record(set_field(opened.project, "E-001", "margin", agreed, LAB))
    assert margins_line(opened.project).faults == ["E-001: margin agreed on 2026-03-01, first measured on 2026-03-01"]
    opened.record(set_field(opened.project, "E-001", "margin.agreed.on", "2026-02-28", LAB))
    assert margins_line(opened.project).faults == []


def test_a_measured_item_without_a_date_cannot_hide_from_the_margin(tmp_path):
    files = small.documents()
    files["specimens.toml"] = {"specimen": [{"id": "P-1", "design": "V1"}]}
    files["evidence/E-001.toml"] = {
        "id": "E-001", "title": "x", "way": "test", "variant": "V1", "samples": [{"specimen": "P-1", "value": 1.0}],
        "margin": {"low": 0.9, "high": 1.1, "agreed": {"by": "customer", "on": "2026-03-01"}},
    }  # fmt: skip
    project = small.begin(tmp_path / "project", files).project
    assert margins_line(project).faults == ["E-001: measured, but started_on is empty"]


def test_every_quantity_has_its_evaluation(opened):
    item = opened.project.get("E-001")
    named = {method_of_item(item.model_copy(update={"quantity": q})).id
             for q in get_args(Quantity)}  # fmt: skip
    assert named == set(evidence_methods())


@pytest.mark.parametrize(
    ("decided_by", "values", "state", "leads"),
    [("mean", ("40", "40", "40.6"), "met", 40.2), ("worst part", ("40", "40", "44.9"), "undecided", 44.9),
     ("worst part", ("40", "40", "46"), "not met", 46.0), ("worst part", ("40", "41", "44"), "met", 44.0)],
)  # fmt: skip
def test_the_worst_part_decides_where_the_criterion_says_so(opened, decided_by, values, state, leads):
    """Its uncertainty is that of one measurement: 0.5 % standard (half of 1 %, k = 2), times 1.96 for 95 %."""
    if decided_by != "mean":
        opened.record(set_field(opened.project, "R-012", "decided_by", decided_by, LAB))
    enter(opened, *values)
    support = next(s for s in opened.view.verdicts["R-012"].supports if s.record == "E-001")
    assert support.value == pytest.approx(leads, abs=1e-3)
    assert support.state == state
    if decided_by == "worst part":
        assert support.high - support.value == pytest.approx(1.95996 * 0.005 * leads, rel=1e-4)
        assert support.reason == "worst part P-3"


@pytest.mark.parametrize(
    ("least", "failed", "state", "words"),
    [(40.0, "", "met", "3 of 3 survived, the least 44.00 kN"),
     (44.9, "", "undecided", "3 of 3 survived, the least 44.00 kN: stopped before the limit; go on to it"),
     (60.0, "P-3", "not met", "2 of 3 survived, the least 44.00 kN"),
     (44.8, "P-3", "undecided", "2 of 3 survived, the least 44.00 kN")],
)  # fmt: skip
def test_a_load_that_was_survived_is_no_strength(opened, least, failed, state, words):
    """Parts stopped at 44, 44 and (failed or stopped) 45 kN: no mean, no band, no margin, the verdict by what they bore."""
    raw = {**opened.project.raw["R-012"], "limit": {"kind": "min", "min": least}}
    opened.record(replace_record(opened.project, "R-012", raw, "least", LAB))
    for name, value in (("P-1", "44 kN"), ("P-2", "44 kN"), ("P-3", "45 kN")):
        opened.record(record_value(opened.project, "E-001", name, value, LAB, survived=name != failed))
    opened.record(set_state(opened.project, "E-001", "finished", LAB, "2026-03-02"))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    result = opened.project.get("E-001").result
    assert (result.value("variant").value, result.value("variant").low, result.value("spread_variant")) == (44.0, None, None)
    support = next(s for s in opened.view.verdicts["R-012"].supports if s.record == "E-001")
    assert (support.state, support.value, support.margin.value) == (state, None, None)
    assert support.reason.startswith(words)
    assert "±" not in evidence_sentence(opened.view, opened.project.get("E-001"))
    method = method_of_item(opened.project.get("E-001"))
    given = method.input_model.model_validate(result.inputs)
    lines = method.working(given, method.run(given, raw_files_of(opened.project.folder))).givens
    assert any("stopped without failure" in line.meaning for line in lines)


def budgeted(opened: Opened, *lines: dict) -> Opened:
    raw = {**opened.project.raw["E-001"], "budget": list(lines)}
    opened.record(replace_record(opened.project, "E-001", raw, "budget", LAB))
    return opened


def half(opened: Opened) -> float:
    value = opened.project.get("E-001").result.value("variant")
    return value.high - value.value


def test_the_class_of_a_channel_counts_where_the_certificate_states_no_uncertainty(opened):
    """Class 1: ± 1 % rectangular, 1.96·0.01/√3 of 40 kN without scatter (analytic)."""
    raw = {**opened.project.raw["Q-001"]}
    raw["channel"] = [{**raw["channel"][0], "uncertainty": 0.0, "classification": "ISO 7500-1 class 1"}]
    opened.record(replace_record(opened.project, "Q-001", raw, "class only", LAB))
    enter(opened, "40", "40", "40")
    assert half(opened) == pytest.approx(1.96 * 0.01 / 3**0.5 * 40.0, rel=1e-3)
    assert opened.project.get("E-001").result.sources["budget.force calibration"] == "Q-001.channel.force.classification"


def test_the_step_of_a_display_is_new_with_each_reading(opened):
    """Step 0.1 kN over three readings: 1.96·0.1/√12/√3 (analytic)."""
    enter(budgeted(opened, {"cause": "display", "step": 0.1}), "40", "40", "40")
    assert half(opened) == pytest.approx(1.96 * 0.1 / 12**0.5 / 3**0.5, rel=1e-3)


def test_a_part_off_23_degrees_counts_with_the_factor_of_the_rubber(opened):
    """1 % per kelvin at 24.5 °C ± 0.5 K: half width 2 K, rectangular (analytic)."""
    opened.record(set_field(opened.project, "E-001", "temperature", "24.5 °C", LAB))
    enter(budgeted(opened, {"cause": "temperature", "per_kelvin": 0.01, "kelvin": 0.5}), "40", "40", "40")
    assert half(opened) == pytest.approx(1.96 * 0.01 * 2.0 / 3**0.5 * 40.0, rel=1e-3)


def test_repeatability_is_kept_apart_from_the_scatter_of_parts(opened):
    """Parts scatter with 1 kN, one part measured again with 1.5 % of 40 kN: √(1 − 0.6²) = 0.8 kN between the parts; the
    mean's band is that of the scatter alone."""
    enter(budgeted(opened, {"cause": "measured again", "relative": 0.015, "kind": "repeatability"}), "39", "40", "41")
    result = opened.project.get("E-001").result
    assert result.value("spread_variant").value == pytest.approx(1.0)
    assert result.value("spread_parts_variant").value == pytest.approx(0.8)
    assert [line.cause for line in result.value("variant").lines] == ["scatter"]


def test_a_line_of_the_budget_has_one_origin(opened):
    with pytest.raises(Refusal, match="give one of the four"):
        budgeted(opened, {"cause": "x", "relative": 0.01, "step": 0.1})


def test_a_changed_setting_makes_the_result_outdated(opened):
    enter(opened, "40", "40.1", "39.9")
    assert opened.view.evidence_freshness["E-001"].state == "current"
    raw = {**opened.project.raw["Q-001"]}
    raw["channel"] = [{**raw["channel"][0], "uncertainty": 0.02}]
    opened.record(replace_record(opened.project, "Q-001", raw, "calibrated again", LAB))
    assert opened.view.evidence_freshness["E-001"].state == "outdated"
    assert opened.view.verdicts["R-012"].state == "outdated"


def test_what_is_left_out_stands_beside_the_result_with_it(opened):
    """40, 40.2 without the third, whose first run was left out with 46 kN: mean 40.1 against 42.067 (by hand)."""
    raw = {**opened.project.raw["E-001"], "samples": [
        {"specimen": "P-1", "value": 40.0}, {"specimen": "P-2", "value": 40.2},
        {"specimen": "P-3", "value": 46.0, "left_out": "[/b] tongue slipped"},
    ]}  # fmt: skip
    opened.record(replace_record(opened.project, "E-001", raw, "values", LAB))
    opened.record(set_state(opened.project, "E-001", "finished", LAB, "2026-03-02"))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    item = opened.project.get("E-001")
    assert item.result.value("variant").value == pytest.approx(40.1)
    assert item.result.value("variant_with_left_out").value == pytest.approx((40.0 + 40.2 + 46.0) / 3)
    assert item.result.value("n_variant_with_left_out").value == 3
    told = left_out_words(opened.view, item)
    assert told.startswith("With what was left out (P-3: [/b] tongue slipped): variant 42")
    assert "; without it: variant 40.1" in told


def test_a_repetition_keeps_its_first_run_beside_the_second(opened):
    raw = {**opened.project.raw["E-001"], "samples": [
        {"specimen": "P-1", "value": 40.0}, {"specimen": "P-2", "value": 39.0, "left_out": "wrong speed"},
        {"specimen": "P-2", "run": 2, "value": 40.4},
    ]}  # fmt: skip
    opened.record(replace_record(opened.project, "E-001", raw, "values", LAB))
    opened.record(set_state(opened.project, "E-001", "finished", LAB, "2026-03-02"))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    result = opened.project.get("E-001").result
    assert (result.value("variant").value, result.value("variant_with_left_out").value) == pytest.approx((40.2, 39.5))
    assert result.value("n_variant_with_left_out").value == 2
