"""Atomic writing: permissions kept, nothing left behind, clean-up that touches only its own files."""

from __future__ import annotations

import os
import stat
import time

import pytest

from dossier.store import atomic
from dossier.store.atomic import clean_stale, temp_beside, write_atomic


def test_write_and_replace(tmp_path) -> None:
    path = tmp_path / "new" / "x.toml"
    write_atomic(path, b"one")
    path.chmod(0o640)
    write_atomic(path, b"two")
    assert path.read_bytes() == b"two"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert os.listdir(path.parent) == ["x.toml"]


def test_a_failed_write_leaves_the_old_file_alone(tmp_path, monkeypatch) -> None:
    path = tmp_path / "x.toml"
    write_atomic(path, b"old")

    def fails(*_):
        raise OSError("disk full")

    monkeypatch.setattr(atomic.os, "replace", fails)
    with pytest.raises(OSError, match="disk full"):
        write_atomic(path, b"new")
    assert path.read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["x.toml"]


def test_clean_up_takes_old_temporary_files_only(tmp_path) -> None:
    stale = temp_beside(tmp_path / "x.toml")
    fresh = temp_beside(tmp_path / "x.toml")
    users = [".x.toml.tmp", "x.dossier-tmp", ".x.zz.dossier-tmp", ".x.0123456789abcdef.dossier-tmp.bak"]
    folder = tmp_path / ".d.0123456789abcdef.dossier-tmp"
    folder.mkdir()
    link = tmp_path / ".l.0123456789abcdef.dossier-tmp"
    link.symlink_to(tmp_path / "target")
    for name in [stale.name, fresh.name, "target", *users]:
        (tmp_path / name).write_bytes(b"x")
    an_hour_ago = time.time() - 3700
    for entry in tmp_path.iterdir():
        if entry != fresh:
            os.utime(entry, (an_hour_ago, an_hour_ago), follow_symlinks=False)
    assert clean_stale(tmp_path) == [stale]
    assert {entry.name for entry in tmp_path.iterdir()} == {fresh.name, "target", folder.name, link.name, *users}
    assert clean_stale(tmp_path / "missing") == []
