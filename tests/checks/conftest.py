"""Lets the tests of this folder share their rows and the case they are run on."""

import sys
from pathlib import Path

import pytest

sys.path[:0] = [str(Path(__file__).parent), str(Path(__file__).parents[2])]

from check_case import Case, calculated_demo, empty_case  # noqa: E402


@pytest.fixture(scope="session")
def demo_documents(tmp_path_factory: pytest.TempPathFactory) -> dict:
    """The demonstration project's documents with a current result in every calculation."""
    return calculated_demo(tmp_path_factory.mktemp("demo") / "axle-link")


@pytest.fixture
def case(demo_documents: dict, tmp_path: Path) -> Case:
    """A copy of the demonstration project to be edited, in a folder without files."""
    return Case(demo_documents, tmp_path)


@pytest.fixture
def nothing() -> Case:
    """A project with a title and nothing else."""
    return empty_case()
