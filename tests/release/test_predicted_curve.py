"""The predicted curve over the measured one: drawn, named at the curve, and the secants compared in words."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from chapters_case import DEMO, body, built, facts_of, squeezed

sys.path[:0] = [str(Path(__file__).parents[1])]

from predicted import curve, documents_with  # noqa: E402

from dossier.checks.told_prediction import prediction_of  # noqa: E402
from dossier.release.chapters.evidence import evidence  # noqa: E402
from dossier.release.chapters.evidence_curves import figure  # noqa: E402
from dossier.release.kit import Kit  # noqa: E402
from dossier.release.page import Page  # noqa: E402
from dossier.store.project import project_from_documents  # noqa: E402

ITEM = "E-011"


@pytest.fixture(scope="module")
def documents():
    return documents_with(DEMO, curve(DEMO, "C-090", ITEM, "torsional"))


@pytest.fixture(scope="module")
def predicted(documents):
    project = project_from_documents(DEMO, documents)
    return prediction_of(project, project.get(ITEM))


def test_the_sheet_names_the_curve_and_tells_the_deviation(documents, predicted):
    shown = body(built(facts_of(DEMO, documents), chapters=lambda kit, facts: evidence(kit, facts, "Evidence")))
    assert shown.count(squeezed("predicted C-090")) == 2  # at the curve and in the caption
    assert squeezed(f"Long dashes: predicted C-090. {predicted.in_words()}") in shown


def test_the_deviation_is_of_the_secants_over_the_measured(predicted):
    told = predicted.calculation.result.value("turning_stiffness").value
    measured = predicted.item.result.value("variant").value
    assert predicted.deviation() == pytest.approx((told - measured) / measured, rel=1e-12)
    assert f"{100 * (told - measured) / measured:+.1f} % (predicted less measured, over measured)" in predicted.in_words()


def test_the_curve_in_the_diagram_is_that_of_the_calculation(documents, predicted):
    facts = facts_of(DEMO, documents)
    (chart, *_) = figure(Kit(Page("a4")), facts, facts.project.get(ITEM)).parts
    (line,) = [series for series in chart.series if series.predicted]
    value = predicted.calculation.result.value
    assert line.label == "predicted C-090"
    assert line.y[-1] == pytest.approx(value("moment").value / 1000, rel=1e-6)
    assert line.x[-1] == pytest.approx(value("angle").value * 57.29577951308232, rel=1e-6)
    assert line.x[0] == -line.x[-1] and len(line.x) == 7


@pytest.mark.parametrize("change", ["direction", "requirement", "design", "outdated"])
def test_only_a_standing_curve_of_the_same_part_direction_and_requirement_counts(documents, change):
    changed = dict(documents)
    calculation = dict(changed["calculations/C-090.toml"])
    if change == "direction":
        changed[f"evidence/{ITEM}.toml"] = changed[f"evidence/{ITEM}.toml"] | {"quantity": "conical"}
    elif change == "requirement":
        calculation["serves"] = []
    elif change == "design":
        changed[f"evidence/{ITEM}.toml"] = changed[f"evidence/{ITEM}.toml"] | {"variant": "V9"}
    else:
        calculation["inputs"] = calculation["inputs"] | {"press_in": 0.01}
    changed["calculations/C-090.toml"] = calculation
    project = project_from_documents(DEMO, changed)
    assert prediction_of(project, project.get(ITEM)) is None


def test_secants_of_other_ranges_are_not_compared(documents, predicted):
    changed = dict(documents)
    result = changed["calculations/C-090.toml"]["result"]
    item = dict(changed[f"evidence/{ITEM}.toml"])
    item["result"] = item["result"] | {"inputs": item["result"]["inputs"] | {"high": 50000.0}}
    changed[f"evidence/{ITEM}.toml"] = item
    project = project_from_documents(DEMO, changed)
    found = prediction_of(project, project.get(ITEM))
    assert found.deviation() is None
    low, high = (result["inputs"][name] / 1000 for name in ("low", "high"))
    assert f"evaluated over −{-low:.0f} .. {high:.0f} N·m, measured over −{-low:.0f} .. 50.0 N·m" in found.in_words()
