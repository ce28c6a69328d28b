"""The app on a copy of the demonstration project, by its keys."""

import asyncio
import shutil
from pathlib import Path

import pytest

from screens.app import DossierApp

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"


@pytest.mark.parametrize("size", [(80, 24), (140, 40)])
def test_every_digit_shows_its_sheet_or_says_that_there_is_none(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    shutil.copytree(DEMO, tmp_path / "axle-link")
    app = DossierApp(tmp_path / "axle-link", "M. Olsen")
    shown = {}

    async def walk() -> None:
        async with app.run_test(size=size) as pilot:
            for digit in "0123456789":
                await pilot.press(digit)
                await pilot.pause()
                assert app.here is not None
                shown[digit] = app.here.NUMBER
                if digit != app.here.NUMBER:
                    assert "not built yet" in app.session.messages.newest

    asyncio.run(walk())
    assert {digit for digit, number in shown.items() if digit == number} >= {"0", "4", "5", "6", "7", "8", "9"}
