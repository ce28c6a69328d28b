"""An item of lives that takes them from endurance records: stopped parts as stopped, outdated and evaluated with them."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier import cli
from dossier.actions.calculate import calculate, outdated_runs
from dossier.actions.edit import set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import record_value, set_state
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.base import computed_checks
from dossier.checks.evidence_support import measurement_doubts
from dossier.checks.view import View
from dossier.evidence.weibull import fit_weibull
from dossier.methods.evidence_stored import stored_working
from dossier.store.project import project_from_documents
from screens.sheets.evidence import _parts
from screens.sheets.evidence_next import next_words
from tests import recorded_project as recorded

LAB = recorded.LAB
TYPED = {"P-3": 47_000.0, "P-12": 55_000.0, "P-13": 58_000.0}


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    """E-102 has P-1 stopped at 36,000 cycles and P-2 and the reference P-11 failed; E-103 takes them beside typed lives."""
    folder: Path = tmp_path_factory.mktemp("lives")
    begun = recorded.begin(folder / "project", folder, ("durability",))
    assert cli.main(["plan-test", str(begun.folder.root), "--title", "Lives", "--quantity", "life", "--unit", "cycles", "--id",
                     "E-103", "--variant", "V1", "--reference", "REF", "--serves", "R-026", "--lives-from", "E-102", "--person",
                     LAB]) == 0  # fmt: skip
    opened = Opened(begun.folder.root)
    opened.record(set_state(opened.project, "E-103", "running", LAB, "2026-03-05"))
    for specimen, value in TYPED.items():
        opened.record(record_value(opened.project, "E-103", specimen, f"{value} cycles", LAB))
    opened.record(set_state(opened.project, "E-103", "finished", LAB, "2026-03-06"))
    opened.record(evaluate_items(opened.project, ["E-103"], LAB))
    return opened


def test_lives_come_with_what_was_stopped_and_stand_beside_typed_ones(opened):
    result, source = opened.project.get("E-103").result, opened.project.get("E-102").result
    lives = [source.value(f"specimen:{name}").value for name in ("P-1", "P-2")]
    assert [(s["specimen"], s["value"], s.get("survived")) for s in result.inputs["variant"]] == [
        ("P-3", 47_000.0, None), ("P-1", lives[0], True), ("P-2", lives[1], None),
    ]  # fmt: skip
    fit = fit_weibull([47_000.0, *lives], [False, True, False])
    assert result.value("weibull_shape_variant").value == pytest.approx(fit.shape, rel=1e-9)
    assert result.value("variant").value == pytest.approx(fit.life(0.10), rel=1e-9)
    assert result.value("n_reference").value == 3  # P-11 of E-102, P-12 and P-13 typed
    assert result.sources["variant.P-1"] == "E-102.result"
    assert _parts(opened.project, opened.project.get("E-103")) == "3 : 3"
    facts = dict(stored_working(opened.project.get("E-103")).facts)
    assert facts["lives"] == "cycles to the end criterion of E-102, or where a part was stopped before it"


def test_what_is_next_for_lives_that_are_taken(opened):
    item = opened.project.get("E-103").model_copy(update={"samples": [], "result": None})
    assert next_words(opened.project, item) == "c evaluates it"
    begun = item.model_copy(update={"state": "running"})
    assert next_words(opened.project, begun) == "e says that it is finished; then c evaluates it"


def test_a_part_twice_another_kind_and_a_missing_life_are_refused(opened):
    raw = [*opened.project.raw["E-103"]["samples"], {"specimen": "P-2", "value": 1.0}]
    item = opened.project.get("E-103")
    for fields, told in (
        ({"samples": raw}, "P-2 has a life here and in lives_from"), ({"lives_from": ["E-100"]}, "name a durability item"),
        ({"unit": "h"}, "correct the unit"), ({"quantity": "single"}, "only an item of lives takes them"),
    ):  # fmt: skip
        stored = {name: value for name, value in opened.project.raw["E-103"].items() if name != "result"}
        other = type(item).model_validate({**stored, "state": "running", **fields})
        from dossier.methods.evidence_links import resolve_item

        assert any(told in problem for problem in resolve_item(opened.project, other).problems), told


def test_an_item_without_parts_of_its_own_is_asked_for_no_conditions(opened):
    def asked(fields: dict) -> set[str]:
        raw = {name: value for name, value in opened.project.raw["E-103"].items() if name != "samples"} | fields
        documents = {**opened.project.documents, "evidence/E-103.toml": raw}
        view = View(project_from_documents(opened.project.folder, documents), opened.today)
        found = [finding for check in ("4.3", "4.7") for finding in computed_checks()[check](view).findings]
        return {finding.record for finding in found}

    assert "E-103" not in asked({}) and "E-103" in asked({"lives_from": []})


def test_the_machine_and_the_endurance_items_are_looked_at_behind_the_lives(opened):
    equipment = opened.project.get("Q-001").channel[0]
    assert measurement_doubts(opened.project, opened.project.get("E-103")) == []
    assert any(fact.startswith("E-102: 3 specimens") for fact in computed_checks()["4.9"](opened.view).facts)
    opened.record(set_field(opened.project, "Q-001", "channel.0.valid_until", "2026-02-28", LAB))
    (doubt,) = measurement_doubts(opened.project, opened.project.get("E-103"))
    assert doubt.startswith("E-102: calibration of Q-001 (force) holds 2026-01-31 to 2026-02-28")
    opened.record(set_field(opened.project, "Q-001", "channel.0.valid_until", equipment.valid_until, LAB))


def test_lives_are_outdated_with_their_endurance_item_and_evaluated_behind_it(opened):
    before = opened.project.get("E-103").result.value("variant").value
    opened.record(set_field(opened.project, opened.project.get("E-102").scheme, "durability.loss", "15 %", LAB))
    fresh = opened.view.evaluations["E-103"]
    assert (fresh.state, fresh.problems) == ("outdated", ["lives_from = E-102 is outdated; evaluate it first"])
    with pytest.raises(Refusal, match="E-102 is outdated"):
        evaluate_items(opened.project, ["E-103"], LAB)
    assert outdated_runs(opened.project)[-2:] == ["E-102", "E-103"]
    opened.record(calculate(opened.project, ["E-102", "E-103"], LAB))
    assert opened.view.evaluations["E-103"].state == "current"
    assert opened.project.get("E-103").result.value("variant").value < before
