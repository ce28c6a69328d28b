"""From a new project to a signed release, all by keys, in the app without a terminal; then verified by command."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.cli import main
from screens.app import DossierApp
from tests.screens.look import drive
from tests.whole_path import path
from tests.whole_path.files import write_files
from tests.whole_path.hands import Hands
from tests.whole_path.outcome import assert_released
from tests.whole_path.pilot_hands import PilotHands
from tests.whole_path.records import ENGINEER


def _work(root: Path, person: str, files: Path, job: path.Job) -> None:
    app = DossierApp(root, person)
    drive(app, (80, 24), lambda pilot: job(PilotHands(app, pilot, files)))


def test_a_project_goes_from_nothing_to_a_signed_release_by_keys(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    monkeypatch.setenv("DOSSIER_KEYS", str(tmp_path / "keys"))
    folder, files = tmp_path / "projects", tmp_path / "files"
    folder.mkdir()
    write_files(files)

    async def begin(hands: Hands) -> None:
        await path.begin(hands, "Cart link")

    _work(folder, ENGINEER, files, begin)
    root = folder / "cart-link"
    for person, job in path.JOBS:
        _work(root, person, files, job)
    assert main(["verify", str(root), "--revision", "A"]) == 0
    assert_released(root, capsys.readouterr().out)
