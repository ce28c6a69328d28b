"""What a planned number of parts can show, told before the test: in words, on sheet 4, by command."""

from __future__ import annotations

import json

import pytest

from dossier import cli
from dossier.checks.told_plan import planned_words
from dossier.evidence.capability import evaluate_capability, index_needed
from dossier.evidence.errors import EvaluationError
from dossier.records.evidence import EvidenceItem
from screens.sheets.evidence_judged import judged_lines


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


def test_nothing_is_planned_for_what_is_done_or_has_no_count():
    assert planned_words(planned("life", 0)) == []
    assert planned_words(planned("life", 3, state="finished")) == []


def test_the_sheet_shows_the_plan():
    assert "46 % at 90 %" in text_of(judged_lines(planned("life", 3), 100))


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
