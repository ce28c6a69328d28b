"""The axle link shows every kind of evidence that fits its story, with what failed and what was left out."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from dossier.actions.opened import Opened
from dossier.checks.told_equivalence import mode_words, modes_of
from dossier.checks.told_evidence import left_out_words
from dossier.evidence import evaluate_file
from dossier.records.evidence import EvidenceItem
from dossier.store.project import Project
from dossier.store.tomlfile import parse_document
from tests.demo.builder import TODAY
from tests.demo.pressing import write_pressed

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
KINDS = {"radial", "axial", "torsional", "conical", "dynamic", "durability", "load_history", "press_in", "push_out", "single",
         "adhesion", "life", "yes_no"}  # fmt: skip


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    copy = tmp_path_factory.mktemp("demo") / "axle-link"
    shutil.copytree(DEMO, copy)
    return Opened(copy, use_cache=False, today=TODAY)


@pytest.fixture(scope="module")
def project(opened: Opened) -> Project:
    return opened.project


@pytest.mark.parametrize("operation", ["press_in", "push_out"])
@pytest.mark.parametrize("force", [26.9, 54.8])
def test_a_pressed_part_peaks_at_the_force_it_was_given(tmp_path, operation, force):
    file = write_pressed(tmp_path / "part.csv", operation, force, seed=7)
    found = evaluate_file(file, kind="press", operation=operation, force_unit="kN")
    assert found["peak_force"] == pytest.approx(force, rel=0.005)
    assert found["end_force"] < found["peak_force"]
    assert not found["scored"]


def test_each_kind_of_evidence_is_in_revision_a():
    found = [parse_document(path.read_bytes(), path.name) for path in (DEMO / "revisions" / "A" / "evidence").glob("E-*.toml")]
    assert {item["quantity"] for item in found if item["state"] == "finished"} == KINDS


def test_what_failed_is_told_of_every_part_that_was_destroyed(project):
    for name in ("E-013", "E-016", "E-034", "E-055"):
        item = project.get(name)
        assert isinstance(item, EvidenceItem)
        assert all(sample.mode for sample in item.samples), name
    pushed = project.get("E-016")
    assert mode_words(modes_of(project, pushed)) == "failed by: variant rubber (3), reference part rubber (3)"


def test_the_run_in_the_loose_fixture_stays_beside_its_repetition(opened, project):
    item = project.get("E-009")
    runs = {sample.run: sample for sample in item.samples if sample.specimen == "P-203"}
    assert sorted(runs) == [1, 2]
    assert "loose" in runs[1].left_out and not runs[2].left_out
    assert runs[1].file != runs[2].file
    with_it, without = item.result.value("variant_with_left_out"), item.result.value("variant")
    assert with_it.value < without.value, "play makes a part look softer"
    assert "With what was left out (P-203: bolts of the fixture found loose" in left_out_words(opened.view, item)


def test_the_measured_road_load_stays_within_the_programme(opened, project):
    result = project.get("E-057").result
    shares = [result.value(f"share of variant at k = {exponent}").value for exponent in (7, 5, 4)]
    assert shares == sorted(shares), "the road has more small loads than the programme"
    assert shares[1] == result.value("variant").value
    assert opened.view.verdicts["R-049"].state == "met"
