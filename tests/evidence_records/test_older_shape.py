"""What was measured on a part counts for the shape and drawing index the part was made to, and for no other."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from dossier.actions.calculate import outdated_runs
from dossier.actions.edit import add_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import record_value, set_state
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.run import with_changes
from dossier.actions.shape import as_made, carry_over
from dossier.checks.base import computed_checks
from dossier.checks.told_evidence import evidence_sentence, outdated_by
from dossier.checks.view import View
from dossier.store.change import Change
from dossier.store.tomlfile import dump_document
from screens.sheets.trial import consequence_lines, consequences
from tests import small_project as small

LAB, DAY = small.LABORATORY, "2026-03-02"
PARTS = ("P-1", "P-2", "P-3")


def measure(opened: Opened, item: str, parts: tuple[str, ...]) -> None:
    """Register parts, measure them in an item that decides R-012 (at most 45 kN), and evaluate it."""
    for name in parts:
        raw = {"id": name, "design": "V1", "batch": "7", "drawing_index": opened.project.variant.drawing_index}
        opened.record(add_record(opened.project, "specimen", raw, LAB))
    raw = {"id": item, "title": "Push-out", "way": "test", "quantity": "single", "unit": "kN", "variant": "V1",
           "state": "running", "started_on": "2026-03-01", "serves": [{"requirement": "R-012", "value": "variant"}],
           "budget": [{"cause": "force", "relative": 0.005}]}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    for name in parts:
        opened.record(record_value(opened.project, item, name, "40 kN", LAB))
    opened.record(set_state(opened.project, item, "finished", LAB, DAY))
    opened.record(evaluate_items(opened.project, [item], LAB))


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """Three parts of index A measured in E-001; R-012 is met."""
    opened = small.begin(tmp_path / "project")
    change(opened, "V1", "drawing_index", "A")
    measure(opened, "E-001", PARTS)
    assert opened.view.verdicts["R-012"].state == "met"
    return opened


def change(opened: Opened, record: str, field: str, value: str) -> None:
    opened.record(set_field(opened.project, record, field, value, small.ENGINEER))


def check(opened: Opened) -> str:
    found = computed_checks()["4.16"](opened.view)
    return f"{found.state}: {'; '.join(map(str, found.findings))}"


@pytest.mark.parametrize(
    ("record", "field", "value", "words"),
    [
        ("V1", "pin.bores.0.diameter", "19", "P-1, P-2, P-3 made before dimensions or materials of V1 changed"),
        ("V1", "pin.material", "M-002", "made before dimensions or materials of V1 changed"),
        ("M-001", "condition", "normalised", "made before dimensions or materials of V1 changed"),
        ("V1", "drawing_index", "B", "P-1, P-2, P-3 made to drawing index A, V1 has index B now"),
    ],
)
def test_a_changed_design_outdates_what_was_measured_before(opened, record, field, value, words):
    assert check(opened) == "met: "
    change(opened, record, field, value)
    assert opened.view.verdicts["R-012"].state == "outdated"
    assert check(opened).startswith("outdated: E-001.samples.specimen = outdated; ")
    assert words in check(opened) and "dossier carry-over … E-001" in check(opened)
    assert opened.view.evaluations["E-001"].state == "current"
    # nothing that calculating again could mend
    assert "E-001" not in outdated_runs(opened.project)
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    assert opened.view.verdicts["R-012"].state == "outdated"


def test_the_old_shape_back_makes_it_current_again(opened):
    old = str(opened.project.get("V1").pin.bores[0].diameter)
    change(opened, "V1", "pin.bores.0.diameter", "19")
    change(opened, "V1", "pin.bores.0.diameter", old)
    assert opened.view.verdicts["R-012"].state == "met"


@pytest.mark.parametrize(("record", "field", "value"), [
    ("V1", "title", "Another title"), ("V1", "pin.minimum_wall", "3"), ("M-001", "youngs_modulus.value", "207 GPa"),
])  # fmt: skip
def test_what_is_no_shape_outdates_nothing(opened, record, field, value):
    change(opened, record, field, value)
    assert opened.view.verdicts["R-012"].state == "met"


def test_a_reason_carries_the_result_over_to_this_shape_only(opened):
    change(opened, "V1", "pin.bores.0.diameter", "19")
    with pytest.raises(Refusal, match="for a reason only"):
        carry_over(opened.project, ["E-001"], "  ", LAB, DAY)
    opened.record(carry_over(opened.project, ["E-001"], "the bore does not touch the fit", LAB, DAY))
    assert opened.view.verdicts["R-012"].state == "met" and check(opened) == "met: "
    told = f"Carries over to V1 index A: the bore does not touch the fit ({LAB}, {DAY})."
    assert told in evidence_sentence(opened.view, opened.project.get("E-001"))
    with pytest.raises(Refusal, match="nothing is to be carried over"):
        carry_over(opened.project, ["E-001"], "again", LAB, DAY)
    change(opened, "V1", "drawing_index", "B")
    assert opened.view.verdicts["R-012"].state == "outdated"
    opened.record(carry_over(opened.project, ["E-001"], "only the title block", LAB, DAY))
    assert [entry.drawing_index for entry in opened.project.get("E-001").carries_over] == ["B"]
    assert opened.view.verdicts["R-012"].state == "met"


def test_parts_of_todays_shape_take_the_place_of_older_ones(opened):
    change(opened, "V1", "pin.bores.0.diameter", "19")
    change(opened, "V1", "drawing_index", "B")
    measure(opened, "E-002", ("P-11", "P-12", "P-13"))
    verdict = opened.view.verdicts["R-012"]
    assert verdict.state == "met"
    assert [support.record for support in verdict.supports if support.way == "test"] == ["E-002"]
    assert "E-001" in [support.record for support in verdict.beside]


def test_a_part_keeps_the_shape_it_was_registered_with(opened):
    with pytest.raises(Refusal, match="P-1.shape_sha256 is recorded already, a part does not change"):
        as_made(opened.project, ["P-1"], LAB)


def test_parts_written_by_hand_say_their_shape_once(opened):
    document = {"specimen": [*opened.project.documents["specimens.toml"]["specimen"],
                             {"id": "P-9", "design": "V1", "drawing_index": "A"},
                             {"id": "P-10", "design": "V1", "drawing_index": "Z"}]}  # fmt: skip
    opened.record(Change("by hand", LAB, {"specimens.toml": dump_document(document)}))
    opened.record(as_made(opened.project, ["P-9"], LAB))
    assert opened.project.get("P-9").shape_sha256 == opened.project.get("P-1").shape_sha256
    with pytest.raises(Refusal, match="P-10.drawing_index = Z is not V1.drawing_index = A"):
        as_made(opened.project, ["P-10"], LAB)


def test_an_analysis_is_of_the_shape_that_was_analysed(opened):
    raw = {"id": "E-003", "title": "Outside analysis", "way": "analysis", "quantity": "single", "unit": "kN",
           "variant": "V1", "state": "running", "started_on": "2026-03-01"}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    opened.record(record_value(opened.project, "E-003", "model", "40 kN", LAB))
    opened.record(set_state(opened.project, "E-003", "finished", LAB, DAY))
    opened.record(evaluate_items(opened.project, ["E-003"], LAB))
    assert opened.view.evidence_freshness["E-003"].state == "current"
    change(opened, "V1", "pin.bores.0.diameter", "19")
    assert opened.view.evidence_freshness["E-003"].state == "outdated"


def test_trying_tells_which_evidence_would_be_outdated(opened):
    tried = set_field(opened.project, "V1", "pin.bores.0.diameter", "19", small.ENGINEER)
    draft = with_changes(opened.project, tried)
    assert outdated_by(opened.view, View(draft, date(2026, 3, 2))) == ["E-001"]
    found = consequences(opened.view, draft, date(2026, 3, 2), small.ENGINEER)
    shown = " ".join("".join(piece.text for piece in entry) for entry in consequence_lines([], found, 200))
    assert "measured on an older shape then: E-001" in shown
