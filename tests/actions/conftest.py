"""Lets the tests of this folder use the small project."""

import sys
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[1])]

import small_project as small  # noqa: E402

from dossier.actions.opened import Opened  # noqa: E402


@pytest.fixture
def opened(tmp_path: Path) -> Opened:
    """The small project, begun and open."""
    return small.begin(tmp_path / "project")
