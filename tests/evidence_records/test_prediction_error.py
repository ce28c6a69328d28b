"""Prediction error over the projects of a folder, its acceptance, and the band it gives a calculation."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from dossier.actions.edit import add_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.opened import Opened
from dossier.actions.prediction_folder import accept_error, folder_errors
from dossier.actions.recompute import recompute
from dossier.actions.refusal import Refusal
from dossier.actions.run import run_calculations
from dossier.checks.told_prediction_error import item_error_words, own_errors_sentence
from dossier.cli import main
from tests import small_project as small


def weighed(root: Path, masses: tuple[float, ...]) -> Opened:
    """A small project with its mass calculated, and a part weighed at `masses` times that."""
    files = small.documents()
    small.entry_of(files, "R-001")["verification"] = ["analysis", "inspection"]
    opened = small.begin(root, files)
    opened.record(run_calculations(opened.project, ["C-001"], small.ENGINEER, small.NOW))
    predicted = opened.project.get("C-001").result.value("total").value
    for number, mass in enumerate(masses, start=1):
        part, item = f"P-{number}", f"E-{number:03d}"
        opened.record(add_record(opened.project, "specimen", {"id": part, "design": "V1"}, small.LABORATORY))
        raw = {
            "id": item, "title": "Weighing", "way": "inspection", "unit": "kg", "variant": "V1", "state": "finished",
            "started_on": "2026-03-01", "done_on": "2026-03-01", "serves": [{"requirement": "R-001", "value": "variant"}],
            "budget": [{"cause": "scale", "relative": 0.001}], "samples": [{"specimen": part, "value": mass * predicted}],
        }  # fmt: skip
        opened.record(add_record(opened.project, "evidence", raw, small.LABORATORY))
        opened.record(evaluate_items(opened.project, [item], small.LABORATORY))
    return opened


@pytest.fixture
def two(tmp_path: Path) -> Opened:
    """One project with ratios 1.02 and 0.99, beside it one with 1.01 and one that cannot be read."""
    weighed(tmp_path / "other", (1.01,))
    (tmp_path / "broken").mkdir()
    (tmp_path / "broken" / "project.toml").write_text("= no toml", "utf-8")
    return weighed(tmp_path / "one", (1.02, 0.99))


def test_all_projects_of_the_folder_count(two):
    found = folder_errors(two)
    assert sorted(pair.ratio for pair in found.pairs) == pytest.approx([0.99, 1.01, 1.02])
    assert found.errors["mass.joint"].count == 3
    assert found.errors["mass.joint"].bias == pytest.approx((0.99 * 1.01 * 1.02) ** (1 / 3))


def test_a_measurement_in_doubt_is_told_and_not_counted(two, capsys):
    channel = {"quantity": "mass", "unit": "kg", "low": 0.0, "high": 9.0, "calibrated_on": "2025-01-01",
               "valid_until": "2026-01-01"}  # fmt: skip
    raw = {"id": "Q-001", "title": "Scale", "channel": [channel]}
    two.record(add_record(two.project, "equipment", raw, small.LABORATORY))
    two.record(set_field(two.project, "E-001", "equipment", '["Q-001"]', small.LABORATORY))
    assert folder_errors(two).errors["mass.joint"].bias == pytest.approx((0.99 * 1.01) ** 0.5)
    (words,) = item_error_words(two.view, two.project.get("E-001"))
    assert words.startswith("C-001 mass.joint: measured +2.0 % off predicted (R-001), not counted: the measurement is in doubt")
    assert own_errors_sentence(two.view).endswith("Not counted, the measurement is in doubt: E-001.")
    assert main(["prediction-error", str(two.folder.root)]) == 0
    assert "= 1.020, not counted: calibration of Q-001 (mass) holds 2025-01-01 to 2026-01-01" in capsys.readouterr().out


def test_the_command_tells_pairs_and_what_is_not_read(two, capsys):
    assert main(["prediction-error", str(two.folder.root), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["methods"]["mass.joint"]["count"] == 3
    assert {"one", "other"} <= set(told["projects"])
    assert main(["prediction-error", str(two.folder.root)]) == 0
    assert "mass.joint: measured +0.7 % off predicted, scatter" in capsys.readouterr().out


def test_the_sheet_tells_the_item_and_its_method_so_far(two):
    words = item_error_words(two.view, two.project.get("E-001"))
    assert len(words) == 1 and words[0].startswith("C-001 mass.joint: measured +2.0 % off predicted (R-001); so far measured")
    assert "n = 2" in words[0]


def test_an_accepted_error_bands_the_next_run_and_never_silently(two):
    before = two.project.get("C-001").result.value("total")
    two.record(accept_error(two, "mass.joint", small.ENGINEER))
    assumption = two.project.find("A-003")
    assert assumption.accepted_by == small.ENGINEER and "n = 3" in assumption.statement
    assert two.view.freshness["C-001"].state == "current", "an accepted error changes nothing by itself"
    two.record(set_field(two.project, "C-001", "prediction_error", "A-003", small.ENGINEER))
    assert two.view.freshness["C-001"].state == "outdated"
    two.record(run_calculations(two.project, ["C-001"], small.ENGINEER, small.NOW))
    after = two.project.get("C-001").result.value("total")
    line = after.lines[-1]
    assert after.value == before.value and line.cause == "prediction error so far (A-003)"
    assert (line.minus, line.plus) == pytest.approx(
        (after.value * (assumption.low - 1), after.value * (assumption.high - 1)), rel=1e-9
    )
    assert two.view.freshness["C-001"].state == "current"
    assert recompute(two.project.get("C-001")).state == "reproduced"
    two.record(set_field(two.project, "A-003", "high", "1.5", small.ENGINEER))
    assert two.view.freshness["C-001"].state == "outdated"


def test_too_few_pairs_are_not_accepted(tmp_path):
    with pytest.raises(Refusal, match="mass.joint has 1 pairs of prediction and test, 2 are needed"):
        accept_error(weighed(tmp_path / "one", (1.02,)), "mass.joint", small.ENGINEER)
