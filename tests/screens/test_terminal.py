"""The program in a real pseudo-terminal: first frame, keys, leaving; hostile titles reach no terminal."""

import re
from pathlib import Path

import pytest

from dossier.actions.create import new_project
from dossier.store.folder import ProjectFolder
from tests.screens.project import copied
from tests.screens.terminal import Terminal, bare


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
