"""Adhesion: strength and shares of the failure codes, from the command to the decision."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.actions.edit import add_record
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import set_state
from dossier.actions.opened import Opened
from dossier.checks.told_evidence import evidence_sentence
from dossier.cli import main
from dossier.methods.evidence_links import evidence_methods
from tests import small_project as small
from tests.evidence_records.test_evaluations import check_lines

LAB = small.LABORATORY
ADHESION = evidence_methods()["evidence.adhesion"]


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """A running item of adhesion whose mean share in the rubber must be at least 80 %."""
    files = small.documents()
    wanted = small.requirement("R-020", "share", "-", {"kind": "min", "min": 0.8}, verification=["test"])
    files["requirements/main.toml"]["requirement"].append(wanted)
    opened = small.begin(tmp_path / "project", files)
    for name in ("P-1", "P-2", "P-3"):
        opened.record(add_record(opened.project, "specimen", {"id": name, "design": "V1", "batch": "7"}, LAB))
    raw = {"id": "E-001", "title": "Adhesion", "way": "test", "quantity": "adhesion", "unit": "N/mm", "variant": "V1",
           "state": "running", "started_on": "2026-03-01", "serves": [{"requirement": "R-020", "value": "share_R"}]}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    return opened


def value(opened: Opened, specimen: str, strength: str, *shares: str) -> int:
    line = ["value", str(opened.folder.root), "E-001", specimen, strength, "--person", LAB]
    return main([*line, *(["--shares", *shares] if shares else [])])


def test_shares_are_entered_evaluated_and_decide(opened):
    for specimen, strength, rubber in (("P-1", "9.1", 95), ("P-2", "8.7", 92), ("P-3", "9.0", 98)):
        assert value(opened, specimen, strength, f"R={rubber}", f"RC={100 - rubber}") == 0
    opened = small.reopen(opened.folder.root)
    opened.record(set_state(opened.project, "E-001", "finished", LAB, "2026-03-02"))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    result = opened.project.get("E-001").result
    assert result.value("share_R").value == pytest.approx(0.95)
    assert result.value("least_share_R").value == pytest.approx(0.92)
    assert result.value("share_RC").value == pytest.approx(0.05)
    assert result.value("share_M").value == 0.0
    assert result.value("share_R").high <= 1.0, "no share is above the whole"
    assert opened.view.verdicts["R-020"].state == "met"
    assert "95.0 % failed in the rubber (R), the least 92.0 %" in evidence_sentence(opened.view, opened.project.get("E-001"))


@pytest.mark.parametrize(
    ("shares", "words"),
    [(("R=95", "RC=4"), "shares add up to 99 %, must be 100 %"), (("R=95", "X=5"), "X is no failure code; use R, RC, CP, M"),
     (("R=105", "RC=-5"), "none below 0"), (("R=all",), "must be CODE=PERCENT"), ((), "needs the shares")],
)  # fmt: skip
def test_shares_that_are_no_whole_are_refused(opened, capsys, shares, words):
    assert value(opened, "P-1", "9.1", *shares) == 1
    assert words in capsys.readouterr().err
    assert small.reopen(opened.folder.root).project.get("E-001").samples == []


def test_the_working_of_shares_can_be_followed():
    samples = [{"specimen": f"P-{n}", "batch": "7", "value": 9.0 + 0.1 * n, "shares": {"R": r, "M": round(1 - r, 2)}}
               for n, r in enumerate((0.9, 0.85, 0.97))]  # fmt: skip
    given = ADHESION.input_model.model_validate({"variant": samples, "unit": "N/mm"})
    working = ADHESION.working(given, ADHESION.run(given, lambda digest: Path(digest)))
    check_lines(working)
    assert working.values["A_R"] == pytest.approx((0.9 + 0.85 + 0.97) / 3, rel=5e-3)


def test_the_budget_is_of_the_areas_where_no_strength_was_measured() -> None:
    """1.96 times 2 % of the least share, and no end of a band beyond the whole area."""
    budget = [{"cause": "areas read", "relative": 0.02, "systematic": False}]
    shares = [{"R": 0.90, "RC": 0.10}, {"R": 0.99, "CP": 0.01}]
    samples = [{"specimen": f"P-{place}", "shares": each} for place, each in enumerate(shares)]
    given = ADHESION.input_model.model_validate({"unit": "-", "variant": samples, "budget": budget})
    found = {value.name: value for value in ADHESION.run(given, lambda digest: Path()).values}
    least = found["least_share_R"]
    assert least.value == 0.90
    assert least.high - least.value == pytest.approx(1.96 * 0.02 * 0.90, rel=1e-3)
    assert found["share_R"].high == 1.0
    strong = given.model_copy(update={"variant": [each.model_copy(update={"value": 9.0}) for each in given.variant]})
    beside = {value.name: value for value in ADHESION.run(strong, lambda digest: Path()).values}
    assert beside["least_share_R"].high is None
