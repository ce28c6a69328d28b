"""A copy of the demonstration project with keys, and the sheets driven on it by keys."""

from __future__ import annotations

import shutil
from collections.abc import Awaitable, Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from screens.app import DossierApp
from tests.demo.people import PASSPHRASE, place_keys
from tests.screens import look

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
Script = Callable[["Desk"], Awaitable[None]]


def copied(folder: Path, monkeypatch: pytest.MonkeyPatch, project: Path = DEMO) -> Path:
    """A copy of `project`, usually the demonstration one, in `folder`, with everybody's key and a state folder of its own."""
    monkeypatch.setenv("DOSSIER_STATE", str(folder / "state"))
    monkeypatch.setenv("DOSSIER_KEYS", str(folder / "keys"))
    place_keys(folder / "keys")
    return Path(shutil.copytree(project, folder / "axle-link"))


class Desk:
    """An app and its keys."""

    def __init__(self, app: DossierApp, pilot: Pilot) -> None:
        self.app, self.pilot = app, pilot

    async def press(self, *keys: str) -> None:
        """Press keys one after another and let the screen settle."""
        for key in keys:
            await self.pilot.press(key)
            await look.settled(self.pilot)

    async def type(self, text: str) -> None:
        """Type a text."""
        for character in text:
            await self.pilot.press("space" if character == " " else character)
        await look.settled(self.pilot)

    async def work_done(self) -> None:
        """Wait for work that runs beside the sheets."""
        await self.app.workers.wait_for_complete()
        await look.settled(self.pilot)

    @property
    def rows(self) -> list[str]:
        """What is on the screen."""
        return look.text_of(self.app)

    @property
    def text(self) -> str:
        """What is on the screen, as one text."""
        return "\n".join(self.rows)

    @property
    def said(self) -> str:
        """The newest message."""
        assert self.app.session is not None
        return self.app.session.messages.newest


def at_desk(
    root: Path, person: str, script: Script, size: tuple[int, int] = (80, 24), *, land: bool = False, appearance: str = "slate"
) -> None:
    """Open the sheets for a person, let `script` press keys, and leave."""
    app = DossierApp(root, person, land=land, appearance=appearance, plain_glyphs=False)

    async def drive(pilot: Pilot) -> None:
        await script(Desk(app, pilot))

    look.drive(app, size, drive)


__all__ = ["DEMO", "PASSPHRASE", "Desk", "at_desk", "copied"]
