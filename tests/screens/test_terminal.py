"""The program in a real pseudo-terminal: first frame, keys, leaving; hostile titles reach no terminal."""

import fcntl
import os
import pty
import re
import select
import struct
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

from dossier.actions.create import new_project
from dossier.store.folder import ProjectFolder
from tests.screens.project import copied

WAIT_S = 30.0  # far above the second a first frame takes, so that a busy machine fails nothing


class Terminal:
    """A process in a terminal of 24 rows and 80 columns."""

    def __init__(self, arguments: list[str], environment: dict[str, str] | None = None) -> None:
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        given = {**os.environ, "TERM": "xterm-256color", "COLORTERM": "truecolor", **(environment or {})}
        command = [sys.executable, "-m", "screens", *arguments]
        self.process = subprocess.Popen(command, stdin=slave, stdout=slave, stderr=slave, env=given, close_fds=True)
        os.close(slave)
        self.seen = b""

    def until(self, *texts: str) -> str:
        """Read until all of `texts` were drawn, in whatever order; returns everything drawn since the last call."""
        began, start = time.monotonic(), len(self.seen)
        while time.monotonic() - began < WAIT_S:
            ready, _, _ = select.select([self.master], [], [], 0.1)
            if ready:
                try:
                    self.seen += os.read(self.master, 65536)
                except OSError:
                    break
            drawn = self.seen[start:].decode("utf-8", "replace")
            if all(text in bare(drawn) for text in texts):
                return drawn
        raise AssertionError(f"{texts} were not drawn: {bare(self.seen[start:].decode('utf-8', 'replace'))[-2000:]}")

    def press(self, keys: str) -> None:
        """Send keys."""
        os.write(self.master, keys.encode())

    def ended(self) -> int:
        """Exit code, after reading what is still drawn."""
        began = time.monotonic()
        while self.process.poll() is None and time.monotonic() - began < WAIT_S:
            if select.select([self.master], [], [], 0.1)[0]:
                try:
                    self.seen += os.read(self.master, 65536)
                except OSError:
                    break
        return self.process.wait(WAIT_S)

    def close(self) -> None:
        """End it, whatever happened."""
        if self.process.poll() is None:
            self.process.kill()
            self.process.wait()
        os.close(self.master)


def bare(drawn: str) -> str:
    """What was drawn, without the sequences of the terminal."""
    return re.sub(r"\x1b\[[0-9;?<>=]*[ -/]*[@-~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[@-Z\\-_=>]", "", drawn)


def test_first_frame_keys_and_leaving(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    root = copied(tmp_path, monkeypatch)
    terminal = Terminal([str(root), "--person", "M. Olsen"])
    try:
        terminal.until("What stops the next step from closing?")
        terminal.press("8")
        terminal.until("What changed since I last looked")
        terminal.press("f")
        terminal.until("words, an id, a number, or a state")
        terminal.press("push")
        terminal.until("shown above")
        terminal.press("\x1b")
        terminal.until("All rows are shown again.")
        terminal.press("\x03")
        terminal.until("Leave the program?")
        terminal.press("\r")
        assert terminal.ended() == 0
        assert terminal.seen.count(b"\x1b[?1049h") == terminal.seen.count(b"\x1b[?1049l") == 1
    finally:
        terminal.close()
    assert not (root / ".locks" / "holder.json").exists()


def test_hostile_titles_reach_no_terminal_and_plain_glyphs_are_plain(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    folder = tmp_path / "projects"
    for number, title in enumerate(("x [/b] 5 [mm] y", "[@click=app.quit]z", "\u202egnp \u2066exe")):
        place = folder / f"p{number}"
        place.mkdir(parents=True)
        ProjectFolder(place).commit(new_project(place, title, "M. Olsen", ["PE"]), None)
    terminal = Terminal([str(folder), "--person", "M. Olsen", "--plain"], {"NO_COLOR": "1"})
    try:
        drawn = terminal.until("3 projects here", "n new", "x [/b] 5 [mm]", "[@click=app", "gnp", "project \"x")
        text = bare(drawn)
        assert "\u202e" not in text and "\u2066" not in text
        assert all(ord(character) < 128 for character in text)
        assert re.search(r"\x1b\[[0-9;]*(38|48);2;", drawn) is None
        terminal.press("\x03")
        terminal.until("Leave the program?")
        terminal.press("\r")
        assert terminal.ended() == 0
    finally:
        terminal.close()
