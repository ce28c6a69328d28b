"""Sheet 5 driven by keys on a copy of the demonstration project."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.opened import Opened
from dossier.checks.told import requirement_row
from screens.app import DossierApp
from screens.glyphs import one_minus
from screens.sheets.cost_rows import behind, cost_lines, from_words, source_words
from tests.screens.look import settled, text_of
from tests.screens.sheet_case import copied, driven, press, shown


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    return copied(tmp_path)


def test_the_lines_add_up_to_the_self_cost_and_every_priced_entry_stands_behind_one(root: Path) -> None:
    project = Opened(root).project
    result, cost = project.get("C-011").result, project.get("cost")
    lines = cost_lines(result)
    for side, name in ((sum(line.reference for line in lines), "reference"), (sum(line.variant for line in lines), "variant")):
        assert side == pytest.approx(result.value(name).value, rel=1e-9)
    named = {entry.name for line in lines for entry in behind(cost, line.name)}
    once = {item.name for item in cost.variant.one_off if item.once}
    assert named == {entry.name for entry in cost.variant.lines} - once
    assert from_words(cost, "material") == "3 quote, 1 own, 1 estimate"
    assert "quote QU-03 (invented) ± 5 %" in source_words(cost, "material")
    assert source_words(cost, "administration_sales") == "rates: rates of the works 2026 (invented)"


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_self_cost_decision_and_sources_are_on_the_first_screen(root: Path, size: tuple[int, int]) -> None:
    opened = Opened(root)
    told = requirement_row(opened.view.verdicts["R-044"])
    result = opened.project.get("C-011").result
    costs = [result.value(side).value for side in ("reference", "variant")]

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "5")
        await settled(pilot)
        rows = [row.split("│")[-1] for row in text_of(app)]
        assert any("self cost" in row and all(f"{value:.2f}" in row for value in costs) for row in rows)
        decided = next(row for row in rows if "R-044" in row and "limit" in row)
        assert all(one_minus(words) in decided for words in (told.told, told.limit, told.state, "margin"))
        assert "3 quote, 1 own, 1 estimate" in shown(app) and "quote QU-03 (invented)" in shown(app)
        await press(pilot, "down")
        assert "material overhead: rates of the works 2026" in shown(app).replace("rates: rates", "rates")

    driven(root, size, script)
