"""Sheet 4 and the curve, driven by keys on a copy of the demonstration project."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.opened import Opened
from dossier.checks.told import margin_words
from dossier.checks.told_evidence import decisions
from dossier.checks.told_prediction import prediction_of
from dossier.store.change import Change
from dossier.store.tomlfile import dump_document
from screens.app import DossierApp
from screens.glyphs import one_minus
from screens.sheets.evidence import _has_curve
from screens.widgets.curve_view import CurveView
from tests.predicted import PERSON, curve, documents_with
from tests.screens.look import settled, text_of
from tests.screens.sheet_case import copied, driven, press, shown, until


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    return copied(tmp_path)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_the_block_below_gives_scale_limit_margin_and_decision_of_every_requirement_served(
    root: Path, size: tuple[int, int]
) -> None:
    view = Opened(root).view

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        for name in ("E-009", "E-015", "E-055"):
            app.here.go_to(name)
            await settled(pilot)
            rows = [row.split("│")[-1].rstrip() for row in text_of(app)]
            for decided in decisions(view, view.project.get(name)):
                place = next(n for n, row in enumerate(rows) if row.startswith(f"   {decided.requirement.id}") and "limit" in row)
                margin = one_minus(margin_words(decided.support.margin, decided.requirement.unit))
                assert f"margin {margin}" in rows[place] and rows[place].endswith(decided.state)
                scale = rows[place + 1].split()
                assert float(scale[0]) < float(scale[2]) and set(scale[1]) <= set(".<-o>[]|")

    driven(root, size, script)


def test_enter_is_offered_and_works_only_where_a_curve_was_measured(root: Path) -> None:
    view = Opened(root).view
    assert {_has_curve(item) for item in view.project.evidence} == {True, False}

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        for item in view.project.evidence[:12]:
            app.here.go_to(item.id)
            await settled(pilot)
            assert ("Enter plot" in text_of(app)[-1]) == _has_curve(item)
        app.here.go_to("E-005")
        await press(pilot, "enter")
        assert "E-005 has no curve and no two values to draw" in shown(app)

    driven(root, (80, 24), script)


def test_the_curve_names_its_axes_with_units_and_the_values_in_the_requirements_unit(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        app.here.go_to("E-009")
        await press(pilot, "enter")
        await until(pilot, lambda: bool(app.screen.query_one(CurveView).chart.curves))
        await settled(pilot)
        text = shown(app)
        assert "force, kN" in text and "travel, mm" in text
        assert "56.65 ± 0.69 kN/mm" in text and "N/mm " not in text.replace("kN/mm", "")
        assert "░ band of R-007" in text and "band band" not in text

    driven(root, (80, 24), script)


def test_the_predicted_curve_lies_over_the_measured_one_and_the_deviation_is_said(root: Path) -> None:
    opened, place = Opened(root), "calculations/C-090.toml"
    documents = documents_with(root, curve(root, "C-090", "E-011", "torsional"))
    opened.record(Change("curve predicted", PERSON, {place: dump_document(documents[place])}))
    project = Opened(root).project
    predicted = prediction_of(project, project.get("E-011"))
    assert predicted is not None

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        app.here.go_to("E-011")
        await press(pilot, "enter")
        await until(pilot, lambda: bool(app.screen.query_one(CurveView).chart.curves))
        await settled(pilot)
        drawn = [line for line in app.screen.query_one(CurveView).chart.curves if line.name == "predicted C-090"]
        assert [line.form for line in drawn] == ["second"]
        moment = predicted.calculation.result.value("moment").value
        assert drawn[0].y[-1] == pytest.approx(moment / 1000, rel=1e-6)
        text = shown(app)
        assert "x x predicted C-090" in text and "% of measured" in text
        assert "C-090 predicts a secant of" in text

    driven(root, (120, 40), script)


def test_a_long_block_leaves_the_list_its_rows_and_names_the_key_to_the_rest(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        app.here.go_to("E-062")
        await settled(pilot)
        rows = text_of(app)
        assert any(row.startswith(" > E-062") for row in rows)
        assert "more lines; i tells all" in shown(app) and "next: Enter shows the sign of trouble in P-287" in shown(app)
        await press(pilot, "i")
        await press(pilot, *["pagedown"] * 12)
        assert "error rates" in shown(app)

    driven(root, (80, 24), script)
