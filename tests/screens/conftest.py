"""Lets the tests of this folder share their sample app, and keeps the outside's settings away."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[2]))


@pytest.fixture(autouse=True)
def plain_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    """No colour setting or locale of the machine changes what is tested."""
    for name in ("NO_COLOR", "LC_ALL", "LC_CTYPE", "LANG", "TEXTUAL_THEME"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("COLORTERM", "truecolor")


@pytest.fixture(autouse=True, scope="session")
def short_looks():
    """The pilot looks every five milliseconds instead of every twenty whether the app rests; `look.settled` looks twice."""
    from textual import _wait

    patch = pytest.MonkeyPatch()
    patch.setattr(_wait, "SLEEP_GRANULARITY", 1 / 200)
    patch.setattr(_wait, "SLEEP_IDLE", _wait.SLEEP_GRANULARITY / 20)
    yield
    patch.undo()
