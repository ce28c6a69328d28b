"""What compares is told as one statement: limited by batches in words, curves and modes on sheet and paper alike."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.actions.edit import add_record, replace_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.opened import Opened
from dossier.checks.told_equivalence import mode_words, modes_of, set_sentence
from dossier.checks.told_evidence import decision_words, decisions
from tests import small_project as small

LAB = small.LABORATORY
VALUES = {"P-1": 55.8, "P-2": 56.3, "P-3": 56.0, "R-1": 57.0, "R-2": 56.6, "R-3": 56.8}


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """Three parts of each design from two compound batches, compared in one item with a margin."""
    files = small.documents()
    ratio = small.requirement("R-030", "stiffness_ratio", "-", {"kind": "range", "min": 0.9, "max": 1.1}, verification=["test"])
    files["requirements/main.toml"]["requirement"].append(ratio)
    opened = small.begin(tmp_path / "project", files)
    for name in VALUES:
        raw = {"id": name, "design": "REF" if name[0] == "R" else "V1", "batch": "8" if name[0] == "R" else "7"}
        opened.record(add_record(opened.project, "specimen", raw, LAB))
    raw = {
        "id": "E-001", "title": "Stiffness", "way": "test", "unit": "kN/mm", "variant": "V1", "reference": "REF",
        "state": "finished", "started_on": "2026-03-01", "done_on": "2026-03-01",
        "margin": {"low": 0.9, "high": 1.1, "agreed": {"by": "customer", "on": "2026-02-20"}},
        "serves": [{"requirement": "R-030", "value": "ratio"}],
        "samples": [{"specimen": name, "value": value, "mode": "rubber"} for name, value in VALUES.items()],
    }  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    return opened


def told(opened: Opened) -> str:
    return decision_words(decisions(opened.view, opened.project.get("E-001"))[0])


def test_other_batches_limit_the_verdict_in_words(opened):
    assert opened.view.verdicts["R-030"].state == "met"
    assert told(opened).endswith("holds for the tested batches only")


def test_an_accepted_scatter_of_batches_widens_the_ratio_and_lifts_the_limit(opened):
    before = opened.project.get("E-001").result.value("ratio")
    raw = {"id": "A-007", "title": "Scatter", "statement": "Batches scatter so.", "value": 5.0, "unit": "%"}
    opened.record(add_record(opened.project, "assumption", raw, LAB))
    opened.record(set_field(opened.project, "E-001", "batch_scatter", "A-007", LAB))
    problems = opened.view.evidence_freshness["E-001"].problems
    assert problems == ["batch_scatter = A-007 is not accepted; let a person accept the assumption first"]
    opened.record(set_field(opened.project, "A-007", "accepted_by", small.ENGINEER, LAB))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    after = opened.project.get("E-001").result.value("ratio")
    assert after.low < before.low and after.high > before.high
    assert opened.view.verdicts["R-030"].state == "undecided", "5 % between batches: ± 12 % cannot lie in ± 10 %"
    assert "tested batches only" not in told(opened)
    assert set_sentence(opened.view) == "Equivalence over the one comparison is not shown: E-001 undecided; all must pass."


def test_a_comparison_on_a_machine_out_of_calibration_shows_nothing(opened):
    channel = {"quantity": "force", "unit": "kN", "low": 0.0, "high": 100.0, "calibrated_on": "2025-01-01",
               "valid_until": "2026-01-01"}  # fmt: skip
    opened.record(add_record(opened.project, "equipment", {"id": "Q-001", "title": "Rig", "channel": [channel]}, LAB))
    raw = {**opened.project.raw["E-001"], "unit": "kN", "equipment": ["Q-001"]}
    opened.record(replace_record(opened.project, "E-001", raw, "measured as a force", LAB))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    assert set_sentence(opened.view) == "Equivalence over the one comparison is not shown: E-001 undecided; all must pass."
    assert opened.view.verdicts["R-030"].state == "undecided"
    doubt = "calibration of Q-001 (force) holds 2025-01-01 to 2026-01-01, measured 2026-03-01"
    assert told(opened).endswith(f"{doubt}; holds for the tested batches only")


def test_failure_modes_are_told_by_group(opened):
    words = mode_words(modes_of(opened.project, opened.project.get("E-001")))
    assert words == "failed by: variant rubber (3), reference part rubber (3)"
