"""Sheet 4 of the document: dynamic, durability and load-history items with their curves, criteria and parts."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from chapters_case import body, built, squeezed

sys.path[:0] = [str(Path(__file__).parents[2])]

from dossier.release.chapters.evidence import evidence  # noqa: E402
from dossier.release.chapters.evidence_curves import Figure, figure  # noqa: E402
from dossier.release.chapters.evidence_working import ratio_budget_words, working_of_item  # noqa: E402
from dossier.release.facts import Facts  # noqa: E402
from dossier.release.kit import Kit  # noqa: E402
from dossier.release.page import Page  # noqa: E402
from tests import recorded_project as recorded  # noqa: E402


@pytest.fixture(scope="module")
def facts(tmp_path_factory) -> Facts:
    folder = tmp_path_factory.mktemp("recorded")
    opened = recorded.begin(folder / "project", folder)
    return Facts(opened.view, "A", False, "2026-03-06", {}, [])


@pytest.fixture(scope="module")
def shown(facts) -> str:
    return body(built(facts, chapters=lambda kit, facts: evidence(kit, facts, "Evidence")))


def drawn(facts: Facts, kind: str) -> Figure:
    found = figure(Kit(Page("a4")), facts, facts.project.get(recorded.IDS[kind]))
    assert isinstance(found, Figure), found
    return found


def test_stiffness_and_loss_angle_over_the_frequency(facts, shown):
    stiffness, angle = drawn(facts, "dynamic").parts
    assert (stiffness.x_scale.name, stiffness.y_scale.name) == ("frequency, Hz", "dynamic stiffness, kN/mm")
    assert angle.y_scale.name == "loss angle, °"
    line = next(series for series in stiffness.series if series.label == "variant ±0.2 mm")
    value = facts.project.get("E-101").result.value("variant").value
    assert line.y[-1] == pytest.approx(value / 1000, rel=1e-6) and line.x[-1] == pytest.approx(10, rel=0.01)
    assert squeezed("step that decides 10 Hz ±0.2 mm") in shown and shown.count(squeezed("Mean of the parts at each step.")) == 1


def test_no_stiffness_is_worked_for_an_item_of_loss_angles(facts):
    item = facts.project.get("E-101")
    angles = item.model_copy(update={"serves": [link for link in item.serves if link.value.startswith("loss_angle")]})
    assert angles.serves and working_of_item(Kit(Page("a4")), facts, item) and ratio_budget_words(item)
    assert working_of_item(Kit(Page("a4")), facts, angles) == [] and ratio_budget_words(angles) == ""


def test_captions_name_only_the_forms_that_are_drawn(facts):
    assert drawn(facts, "load_history").caption.endswith("Line with rings: variant. Long dashes: programme.")
    assert drawn(facts, "dynamic").caption.endswith("Line with rings: variant. Dotted: reference.")


def test_stiffness_over_cycles_with_the_criterion_of_the_part_that_ended(facts, shown):
    course, warm = drawn(facts, "durability").parts
    limit = next(series for series in course.series if series.predicted)
    assert limit.label == "end at 20% loss" and limit.y[0] == limit.y[1]
    line = next(series for series in course.series if series.label == "variant P-2")
    assert min(line.y) < limit.y[0] < max(line.y)
    assert warm.y_scale.name == "temperature, °C"
    assert squeezed("P-2 end at 4") in shown and squeezed("least of 2") in shown
    assert squeezed("2 parts reached the target without failure") in shown


def test_ranges_of_the_history_beside_the_programme(facts, shown):
    (reached,) = drawn(facts, "load_history").parts
    programme = next(series for series in reached.series if series.predicted)
    assert max(programme.y) == 62.0 and squeezed("damage of one programme") not in shown
    assert squeezed("History of P-3, driven 400 times.") in shown


def test_schemes_tell_their_settings(shown):
    for words in ("decides at 10 Hz ±0.2 mm; mass 5 kg", "ends at 20% loss against 1,000 cycles",
                  "at 100000 cycles, exponent 5, 3"):  # fmt: skip
        assert squeezed(words) in shown


def test_a_missing_file_is_told_in_words(facts, monkeypatch):
    fresh = Facts(facts.view, "A", False, "2026-03-06", {}, [])
    monkeypatch.setattr("dossier.methods.evidence_files.find_raw", lambda root, digest: None)
    told = figure(Kit(Page("a4")), fresh, fresh.project.get("E-102"))
    assert isinstance(told, str) and "is missing" in told
