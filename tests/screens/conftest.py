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
