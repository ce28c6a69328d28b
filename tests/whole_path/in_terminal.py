"""The whole path by keys through a real terminal, with a picture of every sheet at each stage; run by hand.

`python -m tests.whole_path.in_terminal 80 24 FOLDER` needs tmux. The folder must not exist; a number behind it goes on
in a folder of an earlier run with the job of that number.
"""

from __future__ import annotations

import asyncio
import os
import shlex
import subprocess
import sys
import time
from pathlib import Path

from rich.console import Console
from rich.text import Text

from screens.keys import SHEETS
from tests.screens.picture import draw_rows
from tests.whole_path import path
from tests.whole_path.files import write_files
from tests.whole_path.hands import Hands
from tests.whole_path.records import ENGINEER

NAMES = {"pagedown": "NPage", "pageup": "PPage", "backspace": "BSpace"}
SETTLE_S, SETTLES = 0.05, 80
ENTER_S, KEY_S = 3.0, 0.15  # how long a key may take to show something
MARGIN = 29  # columns left of the rule, from 120 columns on


class TmuxHands(Hands):
    """Keys sent to a terminal that tmux keeps; rows are what tmux shows."""

    patience = 6

    def __init__(self, root: Path, person: str, files: Path, size: tuple[int, int]) -> None:
        self.files, self.size, self.pane, self.keys = files, size, f"dossier-{os.getpid()}", 0
        program = [sys.executable, "-m", "screens", str(root), "--person", person]
        kept = {name: os.environ[name] for name in ("DOSSIER_STATE", "DOSSIER_KEYS")}
        given = " ".join(f"{name}={shlex.quote(value)}" for name, value in kept.items())
        command = f"env COLORTERM=truecolor {given} {shlex.join(program)}"
        self._tmux("new-session", "-d", "-x", str(size[0]), "-y", str(size[1]), command)

    def _tmux(self, verb: str, *words: str) -> str:
        place = ["-s", self.pane] if verb == "new-session" else ["-t", self.pane]
        return subprocess.run(["tmux", verb, *place, *words], check=True, capture_output=True, text=True).stdout

    async def press(self, *keys: str) -> None:
        for key in keys:
            before = await self.rows()
            self._tmux("send-keys", NAMES.get(key, key.capitalize() if len(key) > 1 else key))
            self.keys += 1
            await self._answered(before, ENTER_S if key == "enter" else KEY_S)

    async def text(self, text: str) -> None:
        await self.rows()
        self._tmux("send-keys", "-l", "--", text)
        self.keys += len(text)
        await self.rows()

    async def _answered(self, before: list[str], seconds: float) -> None:
        """Until the screen has changed and rests; some keys change nothing."""
        began = time.monotonic()
        while await self.rows() == before and time.monotonic() - began < seconds:
            pass

    async def rows(self) -> list[str]:
        """The rows, without the left margin, once two looks in a row are alike."""
        last: list[str] = []
        for _ in range(SETTLES):
            await asyncio.sleep(SETTLE_S)
            now = [row.rstrip() for row in self._tmux("capture-pane", "-p").split("\n")[: self.size[1]]]
            if now == last and any(now):
                break
            last = now
        return [row[MARGIN + 1 :] if row[MARGIN : MARGIN + 1] == "│" else row for row in last]

    async def picture(self, target: Path) -> None:
        """Draw what the terminal shows, as a PNG file."""
        await self.rows()
        console = Console(width=self.size[0], color_system="truecolor", legacy_windows=False)
        shown = Text.from_ansi(self._tmux("capture-pane", "-p", "-e", "-N"), no_wrap=True)
        rows = console.render_lines(shown, console.options.update(no_wrap=True, overflow="crop"))
        draw_rows(rows[: self.size[1]], target)

    def close(self) -> None:
        """Leave the program."""
        self._tmux("kill-session")


async def work(root: Path, person: str, files: Path, size: tuple[int, int], job: path.Job, pictures: str) -> int:
    """One person's job in a terminal of its own, then a picture of each sheet; keys pressed."""
    hands = TmuxHands(root, person, files, size)
    try:
        await hands.wait("F1")
        await job(hands)
        for sheet, title in enumerate(SHEETS):
            await hands.press(str(sheet))
            await hands.wait(f" {sheet} {title}")
            await hands.picture(Path(f"{pictures}-sheet-{sheet}.png"))
    except BaseException:
        print("\n".join(await hands.rows()))
        raise
    finally:
        hands.close()
    return hands.keys


async def begin(hands: Hands) -> None:
    """The project itself."""
    await path.begin(hands, "Cart link")


async def main(width: int, height: int, base: Path, first: int = 0) -> None:
    """All jobs from the first wanted one after the other; says what each took."""
    os.environ |= {"DOSSIER_STATE": str(base / "state"), "DOSSIER_KEYS": str(base / "keys")}
    if not first:
        for name in ("projects", "pictures"):
            (base / name).mkdir(parents=True)
        write_files(base / "files")
    began, keys, root = time.monotonic(), 0, base / "projects" / ("cart-link" if first else "")
    for number, (person, job) in list(enumerate(((ENGINEER, begin), *path.JOBS)))[first:]:
        keys += await work(root, person, base / "files", (width, height), job, str(base / "pictures" / f"{number:02}"))
        root = base / "projects" / "cart-link"
        print(f"{number:2} {person:10} {job.__name__:20} {time.monotonic() - began:6.0f} s {keys:6} keys", flush=True)


if __name__ == "__main__":
    asyncio.run(main(int(sys.argv[1]), int(sys.argv[2]), Path(sys.argv[3]), *map(int, sys.argv[4:])))
