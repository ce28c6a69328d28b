"""Records begun, corrected, changed and withdrawn by keys: what was answered stays until it is recorded."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.opened import Opened
from dossier.actions.typed import value_of
from dossier.records.calculation import Calculation
from dossier.records.fields import spot_at
from dossier.store.project import project_from_documents
from screens.app import DossierApp
from screens.sheets.editing import field_here
from tests.screens.look import drive
from tests.small_project import ENGINEER, begin, documents
from tests.whole_path.hands import Hands
from tests.whole_path.pilot_hands import PilotHands


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("DOSSIER_KEYS", str(tmp_path / "keys"))
    begin(tmp_path / "small")
    return tmp_path / "small"


def driven(root: Path, script) -> None:
    """Let `script` work on the project as its engineer."""
    app = DossierApp(root, ENGINEER)

    async def run(pilot: Pilot) -> None:
        await script(PilotHands(app, pilot, root.parent))

    drive(app, (80, 24), run)


async def _begin(hands: Hands, kind: str) -> None:
    await hands.press("7", "g", "n")
    await hands.choose(f" {kind}")


def test_a_record_refused_as_a_whole_offers_its_answers_and_is_recorded_after_the_correction(root: Path) -> None:
    async def corrected(hands: Hands) -> None:
        await _begin(hands, "assumption")
        answers = {"title": "Friction", "statement": "It lies here.", "value": "0.14", "unit": "-", "low": "0.2"}
        for path, text in answers.items():
            assert (await hands.asked("A-003"))[0] == path
            await hands.type(text)
        await hands.press("enter", "enter")
        await hands.expect("which answer is wrong")
        await hands.expect("must lie between low = 0.2")
        await hands.choose("low ")
        await hands.press("end", "backspace", "backspace", "backspace")
        await hands.type("0.12")
        await hands.expect("A-003 added")

    driven(root, corrected)
    found = Opened(root).project.get("A-003")
    assert (found.value, found.low) == (0.14, 0.12)


def test_answers_stay_when_the_questions_are_left_and_can_be_dropped(root: Path) -> None:
    async def script(hands: PilotHands) -> None:
        await _begin(hands, "document")
        await hands.type("Photo")
        await hands.press("escape")
        await _begin(hands, "document")
        await hands.expect("go on with the one begun, 1 answer kept")
        await hands.press("enter")
        assert (await hands.asked("B-001"))[0] == "kind"
        await hands.press("escape")
        await _begin(hands, "document")
        await hands.choose("begin anew")
        assert (await hands.asked("B-001"))[0] == "title"

    driven(root, script)
    assert Opened(root).project.find("B-001") is None


def test_a_field_that_will_not_do_is_told_at_its_question(root: Path) -> None:
    async def script(hands: PilotHands) -> None:
        await _begin(hands, "load case")
        await hands.type("Kerb")
        await hands.choose("static")
        await hands.type("12 mm")
        await hands.expect("radial")
        assert (await hands.asked("L-003"))[0] == "radial"

    driven(root, script)


def test_an_input_is_added_by_name_and_a_record_typed_short_is_a_link(root: Path) -> None:
    async def script(hands: PilotHands) -> None:
        hands.app.show_record("C-002")
        await hands.press("f")
        await hands.type("inputs.force")
        await hands.press("e", "end")
        await hands.expect("L-001.radial")
        await hands.press(*["backspace"] * len("L-001.radial"))
        await hands.type("A-002.value")
        await hands.expect("Recorded")

    driven(root, script)
    assert Opened(root).project.raw["C-002"]["inputs"]["force"] == {"record": "A-002", "field": "value"}


def test_an_entry_is_taken_out_and_brought_back(root: Path) -> None:
    async def script(hands: PilotHands) -> None:
        hands.app.show_record("V1")
        await hands.press("f")
        await hands.type("rest.0.mass")
        await hands.press("x")
        await hands.choose("take the whole entry rest.0 out")
        assert Opened(root).project.get("V1").rest == []
        await hands.press("u")

    driven(root, script)
    assert len(Opened(root).project.get("V1").rest) == 1


def test_only_what_is_not_met_is_conceded(root: Path) -> None:
    async def script(hands: PilotHands) -> None:
        await hands.press("9", "k")
        assert "only what is not met is conceded" in await hands.message()

    driven(root, script)


def test_a_list_of_pairs_stands_in_the_strip_as_it_is_typed() -> None:
    """Entered again unchanged it gives the same list: nothing that was typed is lost by opening it."""
    points = [[1.1, 0.26], [1.2, -0.47], [2, 1.4]]
    files = documents()
    inputs = {"law": "neo_hookean", "points": points, "more": [{"name": "a \"b\"", "bonded": True}]}
    files["calculations/C-020.toml"] = {"id": "C-020", "title": "Fit", "method": "rubber.fit", "inputs": inputs}
    project = project_from_documents(Path("none"), files)
    for name in ("points", "more"):
        field = field_here(project, "C-020", f"inputs.{name}")
        assert field is not None
        spot = spot_at(Calculation, project.raw["C-020"], f"inputs.{name}")
        assert value_of(spot, field.text) == inputs[name]


def test_a_law_is_fitted_to_measured_points_by_keys(root: Path) -> None:
    """Points typed as pairs, a law refused where it is none of the words, a result with its moduli."""

    async def script(hands: PilotHands) -> None:
        await _begin(hands, "calculation")
        await hands.type("Law of the compound")
        await hands.choose("rubber.fit")
        for _ in range(3):
            await hands.choose("leave it empty")
        assert (await hands.asked("C-003"))[0] == "inputs.points"
        await hands.type("[[1.0, 0], [1.1, 0.26], [1.2, 0.47], [1.5, 0.94], [2.0, 1.46]]")
        await hands.type("neohook")
        await hands.expect('"neohook" is none of neo_hookean, mooney_rivlin, yeoh')
        await hands.press(*["backspace"] * len("neohook"))
        await hands.type("yeoh")
        await hands.expect("C-003 added")
        await hands.press("c")
        await hands.wait("shear modulus")

    driven(root, script)
    found = Opened(root).project.get("C-003")
    assert found.inputs["points"][1] == [1.1, 0.26]
    assert found.result is not None and found.result.value("shear_modulus").value > 0.5
