"""Lives, series and staircases as evidence items: what they decide, what is refused, workings by hand."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from dossier.actions.edit import add_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import record_value, set_state
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.evidence_support import of_life
from dossier.checks.told_evidence import deciding_words, decisions, life_words
from dossier.commands.planning import QUANTITIES
from dossier.evidence.capability import evaluate_capability
from dossier.evidence.sn_line import fit_sn_line
from dossier.evidence.staircase import likely_strength
from dossier.evidence.weibull import fit_weibull
from dossier.methods.evidence_links import evidence_methods
from dossier.records.evidence import Quantity
from dossier.records.requirement import Limit
from screens.sheets.evidence_judged import judged_lines
from tests import small_project as small
from tests.evidence_records.test_evaluations import check_lines, no_files

LAB = small.LABORATORY
METHODS = evidence_methods()
LIVES = (1.2e6, 1.9e6, 2.6e6, 3.1e6, 3.3e6, 4.0e6)


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """Six parts of one design, and a requirement on their life."""
    opened = small.begin(tmp_path / "project")
    for number in range(1, 7):
        opened.record(add_record(opened.project, "specimen", {"id": f"P-{number}", "design": "V1", "batch": "7"}, LAB))
    raw = {"id": "R-050", "title": "Life", "statement": "The joint shall bear 5e5 cycles.", "quantity": "life", "unit": "cycles",
           "limit": {"kind": "min", "min": 5e5}, "verification": ["test"]}  # fmt: skip
    opened.record(add_record(opened.project, "requirement", raw, small.ENGINEER))
    return opened


def begin(opened: Opened, quantity: str = "life", **fields: object) -> None:
    raw = {"id": "E-050", "title": "Lives", "way": "test", "quantity": quantity, "unit": "cycles", "variant": "V1",
           "state": "running", "started_on": "2026-03-01", "serves": [{"requirement": "R-050", "value": "variant"}],
           **fields}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))


def enter(opened: Opened, values: tuple[float, ...], survived: tuple[int, ...] = (), unit: str = "cycles") -> None:
    for number, value in enumerate(values, start=1):
        change = record_value(opened.project, "E-050", f"P-{number}", f"{value:.6f} {unit}", LAB, survived=number in survived)
        opened.record(change)


def evaluate(opened: Opened):
    opened.record(set_state(opened.project, "E-050", "finished", LAB, "2026-03-02"))
    opened.record(evaluate_items(opened.project, ["E-050"], LAB))
    return opened.project.get("E-050").result


def test_the_lower_bound_of_b10_decides(opened):
    begin(opened)
    enter(opened, LIVES, survived=(6,))
    result = evaluate(opened)
    fit = fit_weibull(LIVES, [False] * 5 + [True])
    value = result.value("variant")
    assert value.value == pytest.approx(fit.life(0.10), rel=1e-9)
    assert value.low == pytest.approx(fit.least_life(0.10, 0.90), rel=1e-9)
    assert (result.value("failures_variant").value, result.value("n_variant").value) == (5, 6)
    support = opened.view.verdicts["R-050"].supports[0]
    assert support.low == pytest.approx(value.low)
    assert support.state == ("met" if value.low >= 5e5 else "undecided")


def test_a_life_below_the_requirement_is_undecided_or_not_met(opened):
    opened.record(set_field(opened.project, "R-050", "limit.min", "1.2e6", small.ENGINEER))
    begin(opened)
    enter(opened, LIVES, survived=(6,))
    value = evaluate(opened).value("variant")
    assert value.low < 1.2e6 < value.high
    assert opened.view.verdicts["R-050"].supports[0].state == "undecided"
    opened.record(set_field(opened.project, "R-050", "limit.min", "9e6", small.ENGINEER))
    assert opened.view.verdicts["R-050"].supports[0].state == "not met"


def test_without_failure_the_reliability_is_shown_and_never_a_life_distribution(opened):
    begin(opened, statistics={"required": 5e5})
    enter(opened, (1e6, 1e6, 1e6), survived=(1, 2, 3))
    result = evaluate(opened)
    assert result.value("reliability_variant").value == pytest.approx(0.1 ** (1 / 3))
    assert result.value("weibull_shape_variant") is None
    assert any("no specimen of 3 failed" in warning for warning in result.warnings)
    assert any("R = 46.4% at 90% confidence" in warning for warning in result.warnings)


def test_a_life_told_as_a_multiple_says_of_what(opened):
    raw = {"id": "R-052", "title": "Programme", "statement": "The joint shall bear one programme.", "quantity": "life",
           "unit": "-", "limit": {"kind": "min", "min": 1.0}, "conditions": {"cycle": "six passes of P1"},
           "verification": ["test"]}  # fmt: skip
    opened.record(add_record(opened.project, "requirement", raw, small.ENGINEER))
    begin(opened, unit="-", statistics={"required": 1.0}, serves=[{"requirement": "R-052", "value": "variant"}])
    enter(opened, (1.17, 1.2), survived=(1, 2), unit="-")
    evaluate(opened)
    (decided,) = decisions(opened.view, opened.project.get("E-050"))
    asked = "× the life asked for, six passes of P1"
    assert decided.support.reason == f"2 of 2 survived, the least 1.170 {asked}"
    assert life_words(opened.project.get("E-050"))[0].startswith("variant: 2 parts, the least 1.17 × the life asked for; reliab")
    assert deciding_words(opened.project.get("E-050"), decided) == "1.17 × life"
    two = opened.project.get("R-052").model_copy(update={"limit": Limit(kind="min", min=2.0)})
    assert of_life(two, 2.4) == f" (1.20 {asked})"
    assert of_life(opened.project.get("R-050"), 6e5) == ""


def test_longer_tests_count_by_the_stated_low_bound_of_the_shape(opened):
    begin(opened, statistics={"required": 5e5, "slope_low": 2.0, "slope_source": "common practice, no source"})
    enter(opened, (1e6, 1e6, 1e6), survived=(1, 2, 3))
    assert evaluate(opened).value("reliability_variant").value == pytest.approx(0.1 ** (1 / 12))


def test_a_started_test_without_a_life_is_refused(opened):
    begin(opened)
    raw = {"id": "E-040", "title": "Lives, first try", "way": "test", "quantity": "life", "unit": "cycles", "variant": "V1",
           "state": "aborted", "reason": "rig stopped", "started_on": "2026-02-01",
           "samples": [{"specimen": "P-6", "value": 2e5}]}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    opened.record(set_field(opened.project, "E-050", "repeats", "E-040", LAB))
    enter(opened, LIVES[:5], survived=(5,))
    with pytest.raises(Refusal, match=r"P-6 \(E-040\) started and without a life here"):
        evaluate_items(opened.project, ["E-050"], LAB)
    opened.record(record_value(opened.project, "E-050", "P-6", "2e5 cycles", LAB, survived=True))
    assert evaluate(opened).value("n_variant").value == 6


def test_a_left_out_life_is_refused(opened):
    begin(opened)
    enter(opened, LIVES)
    opened.record(set_field(opened.project, "E-050", "samples.0.left_out", "looked odd", LAB))
    with pytest.raises(Refusal, match=r"P-1 \(E-050\) started and without a life"):
        evaluate_items(opened.project, ["E-050"], LAB)


def test_capability_of_a_series_is_decided_by_its_lower_bound(opened):
    values = tuple(np.random.default_rng(3).normal(60.0, 0.01, 6))
    raw = {"id": "R-051", "title": "Capability", "statement": "The diameter shall be made capably.", "quantity": "capability",
           "unit": "-", "limit": {"kind": "capability", "min": 1.33, "criterion": "Cpk at least 1.33 at 90 %"},
           "verification": ["test"]}  # fmt: skip
    opened.record(add_record(opened.project, "requirement", raw, small.ENGINEER))
    begin(opened, "capability", unit="mm", statistics={"lower": 59.9, "upper": 60.1},
          serves=[{"requirement": "R-051", "value": "cpk_variant"}])  # fmt: skip
    enter(opened, values, unit="mm")
    result = evaluate(opened)
    expected = evaluate_capability(np.round(values, 6), 59.9, 60.1, confidence=0.9)
    assert result.value("cpk_variant").low == pytest.approx(expected.cpk_low, rel=1e-6)
    assert result.value("tolerance_low_variant").value < min(values) < max(values) < result.value("tolerance_high_variant").value
    support = opened.view.verdicts["R-051"].supports[0]
    assert support.state == ("met" if expected.cpk_low >= 1.33 else "undecided")
    opened.record(set_field(opened.project, "R-051", "limit.min", "99", small.ENGINEER))
    assert opened.view.verdicts["R-051"].supports[0].state == "not met"


def test_survived_belongs_to_loads_and_lives_only(opened):
    begin(opened, "capability", unit="mm")
    with pytest.raises(Refusal, match="no item of single values, lives or steps"):
        record_value(opened.project, "E-050", "P-1", "60 mm", LAB, survived=True)


@pytest.mark.parametrize("fields", [{"slope_low": 3.0, "slope_high": 2.0}, {"lower": 2.0, "upper": 1.0}, {"slope_high": 2.0}])
def test_settings_in_the_wrong_order_are_refused(opened, fields):
    with pytest.raises(Refusal, match="swap the two|needs slope_low"):
        begin(opened, statistics=fields)


@pytest.mark.parametrize("columns", [78, 100, 140])
def test_sheet_4_shows_the_lives_along_their_scale(opened, columns):
    begin(opened)
    enter(opened, LIVES, survived=(6,))
    evaluate(opened)
    lines = judged_lines(opened.view, opened.project.get("E-050"), columns)
    shown = ["".join(piece.text for piece in pieces) for pieces in lines]
    assert "B10" in shown[0] and "5 of 6 failed" in " ".join(shown)
    (strip,) = [text for text in shown if "x failed" in text]
    assert len(strip) <= columns and strip.count("x", 0, strip.index("x failed")) == 5 and "> 4000000 cycles" in strip


def group(values: tuple[float, ...], survived: tuple[int, ...] = ()) -> list[dict[str, object]]:
    return [{"specimen": f"P-{n}", "batch": "7", "value": v, "survived": n in survived} for n, v in enumerate(values)]


@pytest.mark.parametrize(
    ("survived", "extra", "symbols"),
    [((5,), {"required": 5e5}, {"t_v": "variant", "R_v": "reliability_variant"}),
     ((0, 1, 2, 3, 4, 5), {}, {"R_v": "reliability_variant"}),
     ((0, 1, 2, 3, 4, 5), {"required": 1e6, "slope_low": 2.0}, {"R_v": "reliability_variant"})],
)  # fmt: skip
def test_workings_of_lives_follow_from_printed_numbers(survived, extra, symbols):
    method = METHODS["evidence.life"]
    given = method.input_model.model_validate({"unit": "cycles", "variant": group(LIVES, survived), **extra})
    found = method.run(given, no_files)
    working = method.working(given, found)
    check_lines(working)
    for symbol, name in symbols.items():
        assert working.values[symbol] == pytest.approx(found.value(name).value, rel=6e-3)


def test_one_failure_of_many_is_counted_by_the_binomial_distribution():
    method = METHODS["evidence.life"]
    fields = {"unit": "cycles", "variant": group(LIVES, (1, 2, 3, 4, 5)), "required": 1.5e6}
    given = method.input_model.model_validate(fields)
    found = method.run(given, no_files)
    assert any("1 specimen of 6 failed" in warning for warning in found.warnings)
    assert found.value("reliability_variant").value == pytest.approx(1 - 0.5103, abs=1e-3)  # scipy.stats.beta, 1 of 6 at 90 %
    assert method.working(given, found).values["R_v"] == pytest.approx(found.value("reliability_variant").value, rel=1e-4)


def test_lives_of_both_groups_are_compared_where_all_failed():
    method = METHODS["evidence.life"]
    reference = [{**entry, "specimen": f"Q-{n}"} for n, entry in enumerate(group(tuple(life * 1.1 for life in LIVES)))]
    fields = {"unit": "cycles", "variant": group(LIVES), "reference": reference}
    found = method.run(method.input_model.model_validate(fields), no_files)
    assert found.value("ratio").value == pytest.approx(1 / 1.1)
    assert found.value("reference").value == pytest.approx(1.1 * found.value("variant").value)


@pytest.mark.parametrize("limits", [{"lower": 59.9, "upper": 60.1}, {"upper": 60.1}, {"lower": 59.9}])
def test_workings_of_a_series_follow_from_printed_numbers(limits):
    method = METHODS["evidence.capability"]
    values = tuple(np.random.default_rng(1).normal(60.0, 0.02, 30))
    given = method.input_model.model_validate({"unit": "mm", "variant": group(values), **limits})
    found = method.run(given, no_files)
    working = method.working(given, found)
    check_lines(working)
    assert working.values["Cpk"] == pytest.approx(found.value("cpk_variant").value, rel=6e-3)
    assert ("Cp" in working.values) == (len(limits) == 2)
    assert (found.value("tolerance_low_variant") is None) == ("lower" not in limits)


def test_an_unstable_series_proves_nothing():
    method = METHODS["evidence.capability"]
    drift = tuple(60 + 0.01 * np.arange(20) + 0.001 * np.resize([0, 1, -1], 20))
    found = method.run(method.input_model.model_validate({"unit": "mm", "variant": group(drift), "upper": 61.0}), no_files)
    assert "not stable" in found.outside[0]


def test_a_staircase_gives_mean_bounds_and_a_working():
    method = METHODS["evidence.staircase"]
    loads = (380, 360, 340, 360, 380, 400, 380, 360, 380, 360, 380, 360, 340, 360, 380)
    survived = tuple(n for n, failed in enumerate((1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 0, 0, 0)) if not failed)
    given = method.input_model.model_validate({"unit": "kN", "variant": group(loads, survived)})
    found = method.run(given, no_files)
    assert found.value("variant").value == pytest.approx(367.142857, abs=1e-5)
    likely = likely_strength(loads, [n not in survived for n in range(15)], 0.8)
    assert found.value("variant").low == pytest.approx(likely.low)
    working = method.working(given, found)
    check_lines(working)
    assert (working.values["S_m"], working.values["s"]) == pytest.approx((367, 14.2), abs=0.05)


SN_LOADS = (20.0, 20.0, 25.0, 25.0, 30.0, 30.0)
SN_LIVES = (1.9e6, 1.2e6, 4.9e5, 6.3e5, 1.7e5, 2.3e5)


def test_a_line_over_loads_is_decided_by_its_lower_bound(opened):
    begin(opened, "sn_line", statistics={"load": 22.0, "load_unit": "kN"})
    for number, (load, life) in enumerate(zip(SN_LOADS, SN_LIVES, strict=True), start=1):
        change = record_value(opened.project, "E-050", f"P-{number}", f"{life} cycles", LAB, load=f"{1000 * load} N")
        opened.record(change)
    result = evaluate(opened)
    fit = fit_sn_line(SN_LOADS, SN_LIVES)
    assert result.value("variant").low == pytest.approx(fit.least_life(22.0, 0.9, 0.9), rel=1e-9)
    assert result.value("exponent_variant").value == pytest.approx(fit.exponent, rel=1e-9)
    support = opened.view.verdicts["R-050"].supports[0]
    assert support.state == ("met" if result.value("variant").low >= 5e5 else "undecided")


def test_a_load_level_is_asked_for_on_lines_only(opened):
    begin(opened, "sn_line")
    with pytest.raises(Refusal, match="state the load level of the part too, in kN"):
        record_value(opened.project, "E-050", "P-1", "1e6 cycles", LAB)
    with pytest.raises(Refusal, match="load"):
        record_value(opened.project, "E-050", "P-1", "1e6 cycles", LAB, load="20 mm")
    opened.record(set_field(opened.project, "E-050", "quantity", "life", LAB))
    with pytest.raises(Refusal, match="no item of an S–N line"):
        record_value(opened.project, "E-050", "P-1", "1e6 cycles", LAB, load="20 kN")


@pytest.mark.parametrize(("survived", "load"), [((), 22.0), ((0,), 22.0), ((), 40.0), ((), None)])
def test_workings_of_a_line_follow_from_printed_numbers(survived, load):
    method = METHODS["evidence.sn_line"]
    samples = [entry | {"load": each} for entry, each in zip(group(SN_LIVES, survived), SN_LOADS, strict=True)]
    fields = {"unit": "cycles", "variant": samples, **({"load": load} if load else {})}
    given = method.input_model.model_validate(fields)
    found = method.run(given, no_files)
    working = method.working(given, found)
    check_lines(working)
    assert working.values["s_lg"] == pytest.approx(found.value("log10_deviation_variant").value, rel=6e-3)
    if load:
        assert working.values["N"] == pytest.approx(found.value("variant").value, rel=6e-3)
    assert any("prolonged" in warning for warning in found.warnings) == (load == 40.0)
    assert any("state statistics.load" in warning for warning in found.warnings) == (load is None)


def test_the_command_plans_every_quantity():
    assert set(QUANTITIES) == set(get_args(Quantity))
