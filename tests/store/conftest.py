"""A small invented project folder for the tests of the store."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from dossier.store.change import Change
from dossier.store.folder import ProjectFolder

FIRST_FILES = {
    "project.toml": b'id = "p-1"\ntitle = "Lower arm joint"\n',
    "requirements/chapter-1.toml": b'[[requirement]]\nid = "R-001"\nlimit = 45.0\n',
    "designs/D-001.toml": b'id = "D-001"\nmass = 0.4\n',
}


@pytest.fixture
def folder(tmp_path: Path) -> ProjectFolder:
    """An empty project folder with its own cache."""
    root = tmp_path / "project"
    root.mkdir()
    return ProjectFolder(root, cache_folder=tmp_path / "cache")


@pytest.fixture
def begun(folder: ProjectFolder) -> ProjectFolder:
    """A project folder after its first entry, by A. Berg."""
    folder.commit(Change("Project begun", "A. Berg", FIRST_FILES), None)
    return folder


@pytest.fixture
def files_of() -> Callable[[ProjectFolder], dict[str, bytes]]:
    """What the record files of a folder hold, read without the store."""

    def read(folder: ProjectFolder) -> dict[str, bytes]:
        found = {}
        for path in folder.root.rglob("*"):
            name = path.relative_to(folder.root).as_posix()
            if path.is_file() and not name.startswith((".", "history.git")):
                found[name] = path.read_bytes()
        return found

    return read
