"""From a new project to a signed release, all by keys, in the app without a terminal; then verified by command."""

from __future__ import annotations

from pathlib import Path

import pytest
from pypdf import PdfReader

from dossier.cli import main
from screens.app import DossierApp
from tests.screens.look import drive
from tests.whole_path import path
from tests.whole_path.files import curve_file
from tests.whole_path.hands import Hands
from tests.whole_path.pilot_hands import PilotHands
from tests.whole_path.records import CONCESSIONS, CURVES, ENGINEER, records


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
    files.mkdir()
    for name in ("B-001", "B-002"):
        (files / f"{name}.txt").write_text(f"stands for the file of {name}")
    for name in CURVES:
        curve_file(files / f"E-002-{name}.csv", name)

    async def begin(hands: Hands) -> None:
        await path.begin(hands, "Cart link")

    _work(folder, ENGINEER, files, begin)
    root = folder / "cart-link"
    for person, job in path.JOBS:
        _work(root, person, files, job)
    assert main(["verify", str(root), "--revision", "A"]) == 0
    told = capsys.readouterr().out
    assert "Nothing was altered." in told
    pages = PdfReader(root / "revisions" / "A" / "dossier.pdf").pages
    text = pages[0].extract_text()
    assert "DRAFT" not in text and "6 of 6" in text.replace("\n", " ")
    printed = "".join(page.extract_text() for page in pages)
    assert all(fields["id"] in printed for kind, fields in records() if kind not in ("idea", "cost"))
    assert all(reason.split(":")[0] in printed.replace("\n", " ") for reason in CONCESSIONS.values())
