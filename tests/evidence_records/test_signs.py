"""A sign of trouble in a curve keeps its item from being met until a person says why the result stands."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from dossier.actions.answer_sign import answer_sign
from dossier.actions.edit import add_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import set_state
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.base import computed_checks
from dossier.evidence.cycles import split_cycles
from dossier.methods.evidence_signs import kept_signs, unanswered
from tests import small_project as small
from tests.evidence.dialects import ENGLISH, write
from tests.evidence.generator import measured as shown
from tests.evidence_records import test_import as base

LAB, DAY = base.LAB, "2026-03-02"
opened, files = base.opened, base.files


def slipped(path: Path) -> Path:
    """The record of P-1 whose ring slips by 4 % of the travel in the second cycle, at 60 % of the peak."""
    record = shown(base.ideal(base.TRUE["P-1"]), base.RIG, 1)
    cycle = split_cycles(record.load)[1]
    begin = cycle.start + int(np.argmax(record.load[cycle.start :] >= 0.6 * record.load.max()))
    travel = record.travel + np.where(np.arange(len(record.travel)) > begin, 0.04 * np.ptp(record.travel), 0.0)
    record = replace(record, travel=travel)
    return write(path, ENGLISH, record.time, record.travel, record.load)


def evaluated(opened: Opened, path: Path, files: dict[str, Path]) -> None:
    limit = {"kind": "range", "min": 30.0, "max": 90.0}
    raw = small.requirement("R-007", "stiffness", "kN/mm", limit, verification=["test"])
    opened.record(add_record(opened.project, "requirement", raw, LAB))
    base.take(opened, [f"P-1={path}", f"P-2={files['P-2']}", f"P-3={files['P-3']}"], scheme="RS-01")
    serves = '[{requirement = "R-007", value = "variant"}]'
    opened.record(set_field(opened.project, "E-001", "serves", serves, LAB))
    opened.record(set_field(opened.project, "E-001", "budget", '[{cause = "force", relative = 0.002}]', LAB))
    opened.record(set_state(opened.project, "E-001", "finished", LAB, DAY))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))


def state(opened: Opened) -> str:
    (support,) = [s for s in opened.view.verdicts["R-007"].supports if s.record == "E-001"]
    return f"{support.state}: {support.reason}" if support.reason else support.state


def findings(opened: Opened) -> list[str]:
    return [str(finding) for finding in computed_checks()["4.6"](opened.view).findings]


def test_sound_curves_have_no_sign_and_say_so(opened, files):
    evaluated(opened, files["P-1"], files)
    result = opened.project.get("E-001").result
    assert result.value("signs_variant").value == 0 == result.value("signs_reference").value
    assert kept_signs(opened.project.get("E-001")) == []
    assert not any("sign" in told for told in findings(opened))
    assert state(opened) == "met"


def test_a_slip_is_told_asked_about_and_stays_visible(opened, files, tmp_path):
    evaluated(opened, slipped(tmp_path / "slip P-1.csv"), files)
    item = opened.project.get("E-001")
    (sign,) = kept_signs(item)
    assert (sign.specimen, sign.kind) == ("P-1", "slip") and sign.confidence > 0.7
    assert any("P-1: sign of slip in cycle 2" in told and "witness marks" in told for told in item.result.warnings)
    assert any("result.sign:P-1" in told and "dossier answer-sign" in told for told in findings(opened))
    assert state(opened) == "undecided: sign of trouble not answered: slip in P-1"
    with pytest.raises(Refusal, match="with a reason only"):
        answer_sign(opened.project, "E-001", "P-1", "slip", " ", LAB, DAY)
    with pytest.raises(Refusal, match="shows no sign of crack in P-1; its signs: P-1 slip"):
        answer_sign(opened.project, "E-001", "P-1", "crack", "looked", LAB, DAY)
    opened.record(answer_sign(opened.project, "E-001", "P-1", "slip", "eye was oiled, marks show 0.2 mm", LAB, DAY))
    assert state(opened) == "met"
    assert unanswered(opened.project.get("E-001")) == [] and len(kept_signs(opened.project.get("E-001"))) == 1
    assert not any("sign:" in told for told in findings(opened))
    facts = computed_checks()["4.6"](opened.view).facts
    assert any("slip in P-1 answered: eye was oiled" in fact for fact in facts)


def test_limits_of_the_scheme_make_a_result_outdated(opened, files):
    evaluated(opened, files["P-1"], files)
    opened.record(set_field(opened.project, "RS-01", "signs.side_loss", "0.12", LAB))
    assert opened.view.evaluations["E-001"].state == "outdated"


def test_a_kept_sign_is_told_with_its_place_and_figure(opened, files, tmp_path):
    evaluated(opened, slipped(tmp_path / "slipped.csv"), files)
    sign = next(sign for sign in kept_signs(opened.project.get("E-001")) if sign.kind == "slip")
    assert sign.words.startswith("slip in cycle ") and f"(row {sign.row})" in sign.words
    assert "limit" in sign.words and "to confirm: " in sign.words
    assert not sign.words.startswith("P-1")
    result = opened.project.get("E-001").result.model_copy(update={"warnings": []})
    bare = next(s for s in kept_signs(opened.project.get("E-001"), result) if s.kind == "slip")
    assert f"slip from row {sign.row}" in bare.words and "to confirm: " in bare.words
