"""A copy of the demonstration project opened in the app, for the sheets' tests."""

from __future__ import annotations

import shutil
from collections.abc import Awaitable, Callable
from pathlib import Path

from textual.pilot import Pilot

from dossier.actions.opened import Opened
from screens.app import DossierApp
from tests.screens.look import drive, settled, text_of

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
HOSTILE = "x [/b] 5 [mm] [@click=app.quit]y <F_max>"


def copied(folder: Path) -> Path:
    """The demonstration project as it is, in a folder of its own."""
    return Path(shutil.copytree(DEMO, folder / "axle-link"))


def project_bytes(root: Path) -> dict[str, bytes]:
    """Every file of a project."""
    return {str(path.relative_to(root)): path.read_bytes() for path in sorted(root.rglob("*")) if path.is_file()}


def records_bytes(root: Path) -> dict[str, bytes]:
    """Every record file, without history and lock."""
    return {name: data for name, data in project_bytes(root).items() if name.endswith((".toml", ".json", ".csv"))}


def entries(root: Path) -> list[str]:
    """First lines of the history, newest first."""
    return [entry.message.splitlines()[0] for entry in Opened(root).folder.history().log()]


def shown(app: DossierApp) -> str:
    """All that the screen shows."""
    return "\n".join(text_of(app))


def driven(root: Path, size: tuple[int, int], script: Callable[[DossierApp, Pilot], Awaitable[None]]) -> None:
    """Drive the app on a project, as its project engineer."""
    app = DossierApp(root, "M. Olsen")

    async def run(pilot: Pilot) -> None:
        await script(app, pilot)

    drive(app, size, run)


async def press(pilot: Pilot, *keys: str) -> None:
    """Keys one after the other, each settled."""
    for key in keys:
        await pilot.press(key)
        await settled(pilot)


async def retype(app: DossierApp, pilot: Pilot, text: str) -> None:
    """Replace the text of the strip."""
    assert app.here is not None
    entry = app.here.frame.strip.entry
    assert entry is not None
    await press(pilot, "end", *["backspace"] * len(entry.buffer.text))
    await pilot.press(*(KEYS.get(letter, letter) for letter in text))
    await settled(pilot)


KEYS = {".": "full_stop", " ": "space", "-": "minus", ",": "comma", ";": "semicolon", "≤": "≤", "[": "left_square_bracket"}


async def until(pilot: Pilot, done: Callable[[], bool], seconds: float = 20.0) -> None:
    """Wait for long work of the app."""
    for _ in range(int(seconds / 0.05)):
        if done():
            return
        await pilot.pause(0.05)
    raise AssertionError("the work did not come to its end")
