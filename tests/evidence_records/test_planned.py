"""What a planned number of parts can show, told before the test: in words, on sheet 4, by command."""

from __future__ import annotations

import json

import pytest

from dossier import cli
from dossier.actions.edit import add_record
from dossier.actions.evaluate import evaluate_items
from dossier.actions.opened import Opened
from dossier.checks.told_plan import planned_words
from dossier.checks.told_reach import reach_words
from dossier.evidence.capability import evaluate_capability, index_needed
from dossier.evidence.errors import EvaluationError
from dossier.records.evidence import EvidenceItem
from screens.sheets.evidence_judged import judged_lines
from tests import small_project as small


def planned(quantity: str, count: int, **fields: object) -> EvidenceItem:
    raw = {"id": "E-1", "title": "x", "way": "test", "quantity": quantity, "variant": "V1", "planned_variant": count, **fields}
    return EvidenceItem.model_validate(raw)


def text_of(lines) -> str:
    return " ".join("".join(piece.text for piece in each.pieces) if hasattr(each, "pieces") else str(each) for each in lines)


def test_a_planned_run_without_failure_says_what_it_will_show():
    (told,) = planned_words(planned("life", 3))
    assert told.startswith("3 parts without failure show R = 46 % at 90 % confidence; 90 % needs 22 parts without failure")
    longer = planned_words(planned("life", 3, statistics={"slope_low": 2.0}))
    assert longer[1] == "or each of the 3 to 2.70 times the life, by the shape's low bound 2"
    assert planned_words(planned("life", 30, statistics={"slope_low": 2.0}))[1:] == []


def test_a_planned_comparison_says_its_power_and_what_is_lacking():
    margin = {"low": 0.9, "high": 1.1, "agreed": {"by": "customer", "on": "2026-01-01"}}
    fields = {"reference": "REF", "planned_reference": 5, "margin": margin}
    (told,) = planned_words(planned("radial", 5, **fields))
    assert "0.62 at 0.95" in told and told.endswith("0.80 at 0.95 needs 8 of each")
    assert "needs" not in planned_words(planned("radial", 12, **(fields | {"planned_reference": 12})))[0]


def test_a_planned_series_says_the_index_it_must_find():
    told = planned_words(planned("capability", 30, statistics={"lower": 1.0, "upper": 2.0}))
    assert f"from a found Cpk of {index_needed(1.33, 30, 0.9):.2f} on" in told[0]
    assert "mean ± " in told[1]
    assert "shows no capability" in planned_words(planned("capability", 1))[0]


def test_a_planned_staircase_of_few_parts_is_told():
    assert "needs 15 parts and more" in planned_words(planned("staircase", 9))[0]
    assert "scatter roughly" in planned_words(planned("staircase", 20))[0]


@pytest.fixture(scope="module")
def machine(tmp_path_factory):
    """A planned push-out on a machine of 1 % (k = 2); R-012 asks for at most 45 kN, E-007 found 44.2 kN."""
    opened = small.begin(tmp_path_factory.mktemp("planned") / "project")
    channel = {"quantity": "force", "unit": "kN", "low": -50.0, "high": 50.0, "uncertainty": 0.01,
               "calibrated_on": "2026-01-31", "valid_until": "2027-01-31"}  # fmt: skip
    raw = {"id": "Q-001", "title": "Machine", "channel": [channel]}
    opened.record(add_record(opened.project, "equipment", raw, small.LABORATORY))
    opened.record(add_record(opened.project, "specimen", {"id": "P-1", "design": "V1"}, small.LABORATORY))
    raw = {"id": "E-007", "title": "Earlier", "way": "test", "variant": "V1", "state": "finished", "started_on": "2026-03-01",
           "samples": [{"specimen": "P-1", "value": 44.2}], **PUSH_OUT}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, small.LABORATORY))
    opened.record(evaluate_items(opened.project, ["E-007"], small.LABORATORY))
    return opened


PUSH_OUT = {
    "unit": "kN", "equipment": ["Q-001"], "serves": [{"requirement": "R-012", "value": "variant"}],
    "budget": [{"cause": "force calibration", "channel": "Q-001.force"}],
}  # fmt: skip


def test_a_planned_single_part_says_its_uncertainty_and_what_it_leaves_open(machine):
    (told,) = reach_words(machine.view, planned("single", 1, **PUSH_OUT))
    # half of 1 % times 1.96 for 95 % of the normal distribution (analytic): 0.98 %, met up to 45/(1 + 0.0098)
    assert told.startswith("R-012 ≤ 45 kN by 1 part: expanded uncertainty ±0.98 % (budget of 1 line; how far parts differ stays")
    assert "met up to 44.6 kN" in told


def test_a_planned_mean_takes_the_scatter_of_its_parts_and_says_what_is_out_of_reach(machine):
    (told,) = reach_words(machine.view, planned("single", 4, expected_scatter=0.1, **PUSH_OUT))
    # t(3, 97.5 %) = 3.182 (tables, from memory) times √(0.05² + 0.005²), both relative; degrees of freedom stay 3
    assert "by the mean of 4 parts: expanded uncertainty ±16 % (scatter 10.0 %; budget of 1 line)" in told
    assert told.endswith("E-007 found 44.2 kN: not in reach, it would stay undecided")
    assert reach_words(machine.view, planned("single", 1, **PUSH_OUT))[0].endswith("E-007 found 44.2 kN: in reach")
    (told,) = reach_words(machine.view, planned("single", 3, **(PUSH_OUT | {"budget": []})))
    assert "common practice, no source; its budget is empty, check 4.12 asks for it" in told
    (told,) = reach_words(machine.view, planned("single", 1, **(PUSH_OUT | {"budget": []})))
    assert told.endswith("E-007 found 44.2 kN: met with an expanded uncertainty up to ±1.8 %")  # 45/44.2 − 1
    assert reach_words(machine.view, planned("single", 3, state="finished", **PUSH_OUT)) == []
    assert reach_words(machine.view, planned("yes_no", 3, **PUSH_OUT)) == []


def test_sheet_and_test_order_say_what_a_planned_item_can_show(machine, tmp_path, capsys):
    where = str(machine.folder.root)
    arguments = [where, "--person", small.LABORATORY, "--title", "Push-out", "--unit", "kN", "--variant", "V1", "--count", "1",
                 "--serves", "R-012"]  # fmt: skip
    assert cli.main(["plan-test", *arguments]) == 0
    assert "R-012 ≤ 45 kN by 1 part: no uncertainty, its budget is empty" in capsys.readouterr().out
    out = tmp_path / "order.txt"
    assert cli.main(["test-order", where, "--out", str(out)]) == 0
    assert "can show     R-012 ≤ 45 kN by 1 part: no uncertainty" in out.read_text()
    opened = Opened(machine.folder.root)
    assert "no uncertainty, its budget is empty" in text_of(judged_lines(opened.view, opened.project.evidence[-1], 100))


def test_nothing_is_planned_for_what_is_done_or_has_no_count():
    assert planned_words(planned("life", 0)) == []
    assert planned_words(planned("life", 3, state="finished")) == []


def test_the_sheet_shows_the_plan():
    assert "46 % at 90 %" in text_of(judged_lines(None, planned("life", 3), 100))


@pytest.mark.parametrize("count", [5, 30, 125])
def test_the_index_needed_is_the_one_whose_bound_reaches_it(count):
    import numpy as np

    spread = np.random.default_rng(2).normal(size=count)
    spread = (spread - spread.mean()) / spread.std(ddof=1)
    found = evaluate_capability(spread, -3 * index_needed(1.33, count, 0.9), None, confidence=0.9)
    assert found.cpk_low == pytest.approx(1.33, abs=1e-6)
    with pytest.raises(EvaluationError, match="give 2 or more"):
        index_needed(1.33, 1)


COMMANDS = [
    (("success-run",), 22), (("success-run", "--reliability", "0.95", "--confidence", "0.95", "--failures", "1"), 93),
    (("success-run", "--length", "2", "--slope", "2"), 6), (("equivalence",), 8), (("tolerance",), 93),
    (("tolerance", "--one-sided"), 59), (("tolerance", "--reach", "4", "--share", "0.9973"), 27),
]  # fmt: skip


@pytest.mark.parametrize(("arguments", "count"), COMMANDS)
def test_the_command_gives_the_number(capsys, arguments, count):
    assert cli.main(["how-many", *arguments, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["specimens"] == count
    assert cli.main(["how-many", *arguments]) == 0
    assert f"{count} " in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [(("success-run", "--length", "2"), "the slope's low bound"), (("success-run", "--count", "3"), "needs --slope"),
     (("success-run", "--reliability", "1"), "reliability = 1"), (("tolerance", "--reach", "1"), "reduce the scatter"),
     (("equivalence", "--margin", "1.1", "1.2"), "must hold the ratio 1"),
     (("equivalence", "--scatter", "0"), "must be above 0")],
)  # fmt: skip
def test_the_command_refuses_what_no_number_shows(capsys, arguments, words):
    assert cli.main(["how-many", *arguments]) == 1
    assert words in capsys.readouterr().err
