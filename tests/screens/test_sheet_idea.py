"""Sheet 1 driven by keys on a copy of the demonstration project."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.checks.told import sheet_answer
from screens.app import DossierApp
from screens.cells import cell_len
from tests.screens.look import text_of
from tests.screens.sheet_case import HOSTILE, copied, driven, entries, press, retype, shown


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    return copied(tmp_path)


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 15)])
def test_answer_reference_row_and_saving(root: Path, size: tuple[int, int]) -> None:
    opened = Opened(root)
    told, idea = sheet_answer(opened.view, "1"), opened.project.idea

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "1", "end")
        lines = text_of(app)
        assert all(cell_len(text) == size[0] for text in lines) and len(lines) == size[1]
        if size[0] >= 80:
            assert lines[1].strip() == told
            assert any("ref " in text and "1940" in text for text in lines)
            chosen = next(concept for concept in idea.concept if concept.fate == "chosen")
            row = next(text for text in lines if f" {chosen.id} " in text and "chosen" in text and "%" in text)
            assert f"{100 * (1 - chosen.mass / 1.94):.1f} %" in row

    driven(root, size, script)


def test_reference_row_never_scrolls_away(root: Path) -> None:
    opened = Opened(root)
    for number in range(4, 30):
        text = f'{{ id = "V{number + 1}", title = "concept {number}", mass = 1.5 }}'
        opened.record(set_field(opened.project, "idea", f"concept.{number}", text, "M. Olsen"))

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "1", "end")
        assert "concept 29" in shown(app) and "reference J" in shown(app)

    driven(root, (120, 40), script)


def test_mass_of_a_concept_is_changed_by_keys(root: Path) -> None:
    before = entries(root)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "1", "home", "e", "enter", "enter")
        assert app.here.frame.strip.entry.label == "idea concept.0.mass"
        await retype(app, pilot, "1700 g")
        await press(pilot, "enter")

    driven(root, (80, 24), script)
    assert entries(root) == ["idea concept.0.mass 1.706 → 1.7 kg", *before]


def test_a_concept_is_added_with_title_and_mass(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "1", "n")
        await retype(app, pilot, HOSTILE.replace("[", "(").replace("]", ")"))
        await press(pilot, "enter")
        await retype(app, pilot, "heavy")
        await press(pilot, "enter")
        assert "mass:" in shown(app) and app.here.frame.strip.is_open
        await retype(app, pilot, "1500")
        await press(pilot, "enter")
        await press(pilot, "o")
        assert app.here._concept[1].id == "V5"

    driven(root, (80, 24), script)
    added = Opened(root).project.idea.concept[-1]
    assert (added.id, added.mass, added.fate) == ("V5", 1.5, "open")


def test_difference_shows_grams_against_the_reference_and_r_goes_to_the_design(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "1", "home", "d")
        assert "-234" in shown(app) and "against, g" in shown(app)
        await press(pilot, "r")
        assert "V1 has no design yet" in shown(app)
        await press(pilot, "down", "r")
        assert app.here.NUMBER == "3" and app.here.record_at_cursor() == "V2"
        await press(pilot, "escape")
        assert app.here.NUMBER == "1"

    driven(root, (80, 24), script)


def test_hostile_text_stands_literally(root: Path) -> None:
    opened = Opened(root)
    opened.record(set_field(opened.project, "idea", "concept.0.reason", HOSTILE, "M. Olsen"))

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "1", "home")
        assert HOSTILE in shown(app)

    driven(root, (80, 24), script)
