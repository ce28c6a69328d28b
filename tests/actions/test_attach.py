"""The file of a document: kept once, under its digest, told when it cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.actions.attach import attach_file
from dossier.actions.edit import add_record
from dossier.actions.refusal import Refusal
from dossier.cli import main
from dossier.store.digest import sha256_of_file
from dossier.store.rawfiles import find_raw
from tests.small_project import ENGINEER, begin, reopen

DOCUMENT = {"id": "B-001", "title": "Photo of the weighing", "kind": "photo"}


@pytest.fixture
def root(tmp_path: Path) -> Path:
    opened = begin(tmp_path / "small")
    opened.record(add_record(opened.project, "document", dict(DOCUMENT), ENGINEER))
    return tmp_path / "small"


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    file = tmp_path / "weighing.png"
    file.write_bytes(b"\x89PNG not really")
    return file


def test_a_file_is_kept_under_its_digest_and_named_in_the_record(root: Path, photo: Path) -> None:
    assert main(["attach", str(root), "B-001", str(photo), "--person", ENGINEER]) == 0
    record = reopen(root).project.get("B-001")
    assert (record.file, record.file_name) == (sha256_of_file(photo), "weighing.png")
    kept = find_raw(root, record.file)
    assert kept is not None and kept.read_bytes() == photo.read_bytes()


def test_another_file_a_missing_one_and_another_record_are_refused(root: Path, photo: Path) -> None:
    opened = reopen(root)
    with pytest.raises(Refusal, match="is not there, or is no single file; correct the path"):
        attach_file(opened.project, "B-001", photo.with_name("none.png"), ENGINEER)
    with pytest.raises(Refusal, match="R-001 is no document of this project; its documents are B-001"):
        attach_file(opened.project, "R-001", photo, ENGINEER)
    opened.record(attach_file(opened.project, "B-001", photo, ENGINEER))
    with pytest.raises(Refusal, match="B-001 holds weighing.png; add a document for another file"):
        attach_file(opened.project, "B-001", photo, ENGINEER)
