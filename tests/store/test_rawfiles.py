"""Raw evidence files: stored once, never overwritten, verified byte by byte."""

from __future__ import annotations

import hashlib
import os
import stat

import pytest

from dossier.store import rawfiles
from dossier.store.errors import RefusedPath, StoreError
from dossier.store.rawfiles import find_raw, store_raw, verify_raw

DATA = b"time;force\n" + bytes(range(256)) * 9000


@pytest.fixture
def source(tmp_path):
    path = tmp_path / "Run 1 (hot).CSV"
    path.write_bytes(DATA)
    return path


@pytest.fixture
def root(tmp_path):
    path = tmp_path / "project"
    path.mkdir()
    return path


def test_a_file_is_stored_under_its_digest(root, source) -> None:
    raw = store_raw(root, source)
    digest = hashlib.sha256(DATA).hexdigest()
    assert (raw.sha256, raw.size, raw.path) == (digest, len(DATA), f"evidence/files/{digest}.csv")
    stored = root / raw.path
    assert stored.read_bytes() == DATA
    assert not stat.S_IMODE(stored.stat().st_mode) & 0o222
    assert os.listdir(stored.parent) == [stored.name]
    assert find_raw(root, digest) == stored
    assert verify_raw(root, [digest]) == []


def test_storing_again_changes_nothing(root, source, tmp_path) -> None:
    first = store_raw(root, source)
    facts = (root / first.path).stat()
    other = tmp_path / "other.txt"
    other.write_bytes(DATA)
    assert store_raw(root, other) == first
    assert (root / first.path).stat() == facts or (root / first.path).stat().st_mtime_ns == facts.st_mtime_ns
    assert len(os.listdir(root / "evidence/files")) == 1


def test_a_damaged_file_is_reported_and_not_overwritten(root, source) -> None:
    raw = store_raw(root, source)
    stored = root / raw.path
    stored.chmod(0o644)
    stored.write_bytes(DATA[:-1])
    assert [(p.path, "another SHA-256" in p.reason) for p in verify_raw(root, [raw.sha256])] == [(raw.path, True)]
    with pytest.raises(StoreError, match="is damaged.*not overwritten"):
        store_raw(root, source)
    assert stored.read_bytes() == DATA[:-1]


def test_what_verify_reports(root, source) -> None:
    raw = store_raw(root, source)
    folder = root / "evidence/files"
    (folder / "notes.txt").write_bytes(b"x")
    (folder / f"{raw.sha256}.zzz").write_bytes(DATA)
    (folder / ("0" * 64)).symlink_to(source)
    missing = "f" * 64
    found = {problem.path.removeprefix("evidence/files/"): problem.reason for problem in verify_raw(root, [missing])}
    assert found.keys() == {"notes.txt", f"{raw.sha256}.zzz", "0" * 64, missing}
    assert "not named by its SHA-256" in found["notes.txt"]
    assert "twice" in found[f"{raw.sha256}.zzz"]
    assert "not a plain file" in found["0" * 64]
    assert "missing" in found[missing]


def test_only_plain_files_and_folders_are_used(root, source, tmp_path) -> None:
    with pytest.raises(StoreError, match="not a plain file"):
        store_raw(root, tmp_path)
    outside = tmp_path / "outside"
    outside.mkdir()
    (root / "evidence").symlink_to(outside)
    with pytest.raises(RefusedPath, match="symlink"):
        store_raw(root, source)
    assert os.listdir(outside) == []
    assert "symlink" in verify_raw(root)[0].reason
    with pytest.raises(RefusedPath, match="64 hexadecimal"):
        find_raw(root, "../../etc/passwd")


@pytest.mark.parametrize(("name", "suffix"), [("a.tar.gz", ".gz"), ("a", ""), ("a.$(x)", ""), ("a.toolongsuffix", "")])
def test_odd_suffixes_are_dropped(root, tmp_path, name: str, suffix: str) -> None:
    (tmp_path / name).write_bytes(b"1")
    assert store_raw(root, tmp_path / name).path == f"evidence/files/{hashlib.sha256(b'1').hexdigest()}{suffix}"


def test_a_file_system_without_hard_links(root, source, monkeypatch) -> None:
    def refuses(*_):
        raise PermissionError("no links here")

    monkeypatch.setattr(rawfiles.os, "link", refuses)
    raw = store_raw(root, source)
    assert (root / raw.path).read_bytes() == DATA
    assert os.listdir(root / "evidence/files") == [raw.sha256 + ".csv"]


def test_a_failed_copy_leaves_nothing(root, source, monkeypatch) -> None:
    def fails(*_):
        raise OSError("disk full")

    monkeypatch.setattr(rawfiles.os, "fsync", fails)
    with pytest.raises(OSError, match="disk full"):
        store_raw(root, source)
    assert os.listdir(root / "evidence/files") == []
