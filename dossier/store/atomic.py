"""Files that are either the old or the new one, never half of each."""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import stat
import time
from pathlib import Path

TEMP_NAME = re.compile(r"\.[^/]+\.[0-9a-f]{16}\.dossier-tmp")
STALE_AFTER_S = 3600.0


def temp_beside(path: Path) -> Path:
    """A fresh hidden name in the folder of `path`, recognised later by `clean_stale`."""
    return path.with_name(f".{path.name}.{secrets.token_hex(8)}.dossier-tmp")


def write_atomic(path: Path, data: bytes, *, sync_folder: bool = True) -> None:
    """Replace `path` by `data`: temporary file beside it, fsync, rename, fsync of the folder.

    The folder is made when missing; the permissions of an existing file are kept. With `sync_folder` false
    the caller syncs the folder (one sync for several files). Raises OSError; the old file then stands.
    """
    path.parent.mkdir(parents=True, exist_ok=True)
    temp = temp_beside(path)
    try:
        write_synced(temp, data)
        with contextlib.suppress(FileNotFoundError):
            os.chmod(temp, stat.S_IMODE(os.lstat(path).st_mode))
        os.replace(temp, path)
    except BaseException:
        temp.unlink(missing_ok=True)
        raise
    if sync_folder:
        fsync_folder(path.parent)


def write_synced(path: Path, data: bytes, mode: int = 0o666) -> None:
    """Write a new file (it must not exist) and wait until it is on the disk."""
    fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), mode)
    with os.fdopen(fd, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def fsync_folder(folder: Path) -> None:
    """Make renames inside `folder` durable (Windows does this by itself and offers no call)."""
    if os.name == "nt":
        return
    fd = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(fd)
    finally:
        os.close(fd)


def clean_stale(folder: Path, older_than_s: float = STALE_AFTER_S) -> list[Path]:
    """Delete temporary files that a killed process left in `folder`; returns what was deleted.

    Only regular files with exactly the name pattern of `temp_beside` and an age above `older_than_s` go:
    a younger one may belong to a process that is writing right now.
    """
    removed = []
    limit = time.time() - older_than_s
    try:
        entries = list(os.scandir(folder))
    except FileNotFoundError:
        return []
    for entry in entries:
        if not TEMP_NAME.fullmatch(entry.name) or not entry.is_file(follow_symlinks=False):
            continue
        if entry.stat(follow_symlinks=False).st_mtime <= limit:
            with contextlib.suppress(FileNotFoundError):
                os.unlink(entry.path)
                removed.append(Path(entry.path))
    return removed
