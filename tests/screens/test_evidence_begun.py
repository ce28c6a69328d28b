"""Sheet 4 from nothing: what an item still needs is told with its key, records and results are begun there by keys."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.edit import add_record
from dossier.actions.opened import Opened
from screens.app import DossierApp
from screens.sheets.editing import field_here
from screens.sheets.evidence_next import next_words
from tests.screens.look import drive
from tests.small_project import LABORATORY, begin
from tests.whole_path.hands import Hands
from tests.whole_path.pilot_hands import PilotHands

ITEMS = (
    {"id": "E-001", "title": "S-N", "way": "test", "quantity": "sn_line", "unit": "cycles", "variant": "V1"},
    {"id": "E-002", "title": "Radial", "way": "test", "quantity": "radial", "variant": "V1", "reference": "REF"},
)


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("DOSSIER_KEYS", str(tmp_path / "keys"))
    opened = begin(tmp_path / "small")
    for raw in ITEMS:
        opened.record(add_record(opened.project, "evidence", dict(raw), LABORATORY))
    return tmp_path / "small"


def test_machine_part_and_a_stopped_life_are_entered_by_keys(root: Path) -> None:
    app = DossierApp(root, LABORATORY)

    async def run(pilot: Pilot) -> None:
        hands = PilotHands(app, pilot, root.parent)
        await hands.press("4")
        await hands.expect("next: n adds specimens of V1; then n adds the equipment")
        await _record(hands, "equipment", {
            "title": "Bench 4", "serial": "", "place": "", "channel.0.quantity": "force", "channel.0.unit": "kN",
            "channel.0.low": "1", "channel.0.high": "100", "channel.0.calibrated_on": "2026-01-10",
            "channel.0.valid_until": "2027-01-10", "channel.0.uncertainty": "0.5 %", "channel.0.classification": "",
            "channel.0.certificate": "",
        })  # fmt: skip
        await hands.expect("Recorded: Q-001 added")
        await hands.press("4", "n")
        await hands.choose("the result of one specimen into E-001")
        await hands.expect("No specimen of V1 is registered; n adds one.")
        await hands.press("n")
        await hands.choose("> specimen")
        await hands.choose(" V1  ")
        await hands.press("escape")

    drive(app, (80, 24), run)
    channel = Opened(root).project.get("Q-001").channel[0]
    assert (channel.high, channel.uncertainty) == (100.0, 0.005)


def test_a_planned_item_asks_when_it_began_and_takes_a_run_out_at_its_load(root: Path) -> None:
    opened = Opened(root)
    opened.record(add_record(opened.project, "specimen", {"id": "P-1", "design": "V1", "batch": "7"}, LABORATORY))
    app = DossierApp(root, LABORATORY)

    async def run(pilot: Pilot) -> None:
        hands = PilotHands(app, pilot, root.parent)
        await hands.press("4", "n")
        await hands.choose("the result of one specimen into E-001")
        await hands.expect("E-001 began on")
        await hands.press("enter")
        await hands.choose("P-1 ")
        await hands.expect("life at load, such as 4e5 at 21 kN, > before it where it was stopped")
        await hands.type("> 2e6 at 21 kN; no crack")
        await hands.expect("Recorded: E-001 P-1")

    drive(app, (80, 24), run)
    item = Opened(root).project.get("E-001")
    (sample,) = item.samples
    assert (sample.value, sample.load, sample.survived, sample.observation) == (2e6, 21.0, True, "no crack")
    assert item.state == "running" and item.started_on


def test_what_is_next_follows_the_state_of_the_item(root: Path) -> None:
    opened = Opened(root)
    curve = opened.project.get("E-002")
    assert next_words(opened.project, curve) == (
        "n adds specimens of V1 and REF; then n adds the equipment; then n makes a reading scheme from a measured file"
    )
    values = opened.project.get("E-001").model_copy(update={"equipment": ["Q-1"], "way": "demonstration"})
    assert next_words(opened.project, values) == "n brings in values"
    finished = values.model_copy(update={"state": "finished", "samples": [object()]})
    assert next_words(opened.project, finished) == "c evaluates it"
    assert next_words(opened.project, values.model_copy(update={"state": "aborted"})) == ""


def test_a_field_that_names_records_tells_which_there_are(root: Path) -> None:
    opened = Opened(root)
    opened.record(add_record(opened.project, "equipment", {"id": "Q-001", "title": "Bench", "channel": []}, LABORATORY))
    assert field_here(opened.project, "E-002", "equipment").hint.startswith("of Q-001; several")


async def _record(hands: Hands, kind: str, answers: dict[str, str]) -> None:
    """Begin a record of the sheet and answer its questions."""
    await hands.press("n")
    await hands.choose(f" {kind}")
    for path, text in answers.items():
        name, chosen = await hands.asked("Q-001")
        assert name == path, (name, path)
        await (hands.choose(text) if chosen else hands.type(text))
