"""The cache of parsed documents: used when whole, ignored when not, never wrong."""

from __future__ import annotations

import pytest

from dossier.store import snapshot
from dossier.store.cache import DocumentCache
from dossier.store.change import Change
from dossier.store.folder import ProjectFolder


@pytest.fixture
def parses(monkeypatch) -> list[str]:
    """The files parsed from TOML since the start of the test."""
    seen: list[str] = []
    parse = snapshot.parse_document

    def counted(raw: bytes, name: str):
        seen.append(name)
        return parse(raw, name)

    monkeypatch.setattr(snapshot, "parse_document", counted)
    return seen


def cache_file(folder: ProjectFolder, tmp_path):
    [file] = (tmp_path / "cache").iterdir()
    return file


def test_the_second_opening_parses_nothing(begun, parses) -> None:
    first = begun.load()
    assert len(parses) == 3
    second = begun.load()
    assert len(parses) == 3
    assert first.files == second.files


def test_an_edit_that_keeps_size_and_time_is_noticed(begun, parses) -> None:
    import os

    begun.load()
    path = begun.root / "designs/D-001.toml"
    facts = path.stat()
    path.write_bytes(path.read_bytes().replace(b"0.4", b"0.5"))
    os.utime(path, ns=(facts.st_atime_ns, facts.st_mtime_ns))
    snapshot = begun.load()
    assert snapshot.files["designs/D-001.toml"].document["mass"] == 0.5
    assert [edit.path for edit in snapshot.foreign] == ["designs/D-001.toml"]
    assert parses[3:] == ["designs/D-001.toml"]


def test_without_cache_every_file_is_parsed_and_none_is_written(begun, parses, tmp_path) -> None:
    folder = ProjectFolder(begun.root, use_cache=False, cache_folder=tmp_path / "other")
    folder.load()
    folder.load()
    assert len(parses) == 6
    assert not (tmp_path / "other").exists()


@pytest.mark.parametrize("damage", ["flip", "cut", "empty", "text", "folder", "older"])
def test_a_damaged_cache_is_ignored_and_rewritten(begun, parses, tmp_path, damage: str) -> None:
    before = begun.load()
    file = cache_file(begun, tmp_path)
    raw = file.read_bytes()
    if damage == "flip":
        file.write_bytes(raw.replace(b"0.4", b"0.9"))
    elif damage == "cut":
        file.write_bytes(raw[:-5])
    elif damage == "empty":
        file.write_bytes(b"")
    elif damage == "text":
        file.write_bytes(b"\xff\x00 not a cache\n{}")
    elif damage == "older":
        file.write_bytes(raw.replace(b"cache 1", b"cache 0"))
    else:
        file.unlink()
        file.mkdir()
    after = begun.load()
    assert len(parses) == 6
    assert after.files == before.files
    if damage != "folder":
        begun.load()
        assert len(parses) == 6


def test_documents_with_dates_and_odd_numbers_come_back_exactly(begun, parses) -> None:
    raw = b"day = 2025-03-01\nbig = 123456789012345678901234567890\nsmall = -0.0\none = 1.0\nf = inf\n"
    begun.commit(Change("Cost", "A. Berg", {"cost.toml": raw}), begun.load())
    first, second = begun.load(), begun.load()
    assert repr(first.files["cost.toml"].document) == repr(second.files["cost.toml"].document)
    assert parses.count("cost.toml") == 2


def test_a_cache_forgets_what_is_no_longer_there(begun, tmp_path) -> None:
    snapshot = begun.load()
    begun.commit(Change("Design dropped", "A. Berg", {"designs/D-001.toml": None}), snapshot)
    begun.load()
    cache = DocumentCache(begun.root, tmp_path / "cache")
    assert cache.get(snapshot.files["designs/D-001.toml"].sha256) is None
    assert cache.get(snapshot.files["project.toml"].sha256) == {"id": "p-1", "title": "Lower arm joint"}
