"""Completing a change that a killed process left half written.

Before the branch moves, a mark beside the locks names the entry the change builds on; it goes when all files are
written. A mark found at opening therefore means a kill (or a process writing right now, which the write lock tells
apart). Without a mark, files that are not as recorded were edited by other means, even when they are as they were
one entry before.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from dossier.store.atomic import fsync_folder, write_atomic
from dossier.store.gitfiles import blob_id
from dossier.store.history import History
from dossier.store.lock import LOCK_FOLDER

MARK_FILE = "writing"
_FIRST = "first entry"


def mark_writing(root: Path, parent: str | None) -> None:
    """Say that a change on top of entry `parent` is about to be written (write lock held)."""
    write_atomic(root / LOCK_FOLDER / MARK_FILE, (parent or _FIRST).encode())


def is_marked(root: Path) -> bool:
    """Whether a change is being written, or was when its process died."""
    return (root / LOCK_FOLDER / MARK_FILE).is_file()


def clear_mark(root: Path) -> None:
    """Say that the change is complete."""
    (root / LOCK_FOLDER / MARK_FILE).unlink(missing_ok=True)
    fsync_folder(root / LOCK_FOLDER)


def files_behind(
    root: Path, history: History, head: str | None, read: Callable[[str], bytes | None]
) -> dict[str, bytes | None]:
    """{path: bytes as recorded} for the files of the marked change that still are as before it.

    Empty without a mark, when the change was not recorded, and when any file of the change is neither as before nor
    as recorded: then it was edited since, and nothing may be overwritten. `read` gives the bytes on disk. Raises
    DamagedHistory, RefusedPath, OSError.
    """
    if head is None:
        return {}
    entry = history.entry(head)
    try:
        marked = (root / LOCK_FOLDER / MARK_FILE).read_text("ascii", "replace")
    except FileNotFoundError:
        return {}
    if marked != (entry.parent or _FIRST):
        return {}
    old, new = history.tree_at(entry.parent), history.tree_at(head)
    on_disk = {path: blob_of(read(path)) for path in entry.paths}
    behind = [path for path in entry.paths if on_disk[path] != new.get(path)]
    if any(on_disk[path] != old.get(path) for path in behind):
        return {}
    return {path: history.read_at(head, path) for path in behind}


def blob_of(data: bytes | None) -> str | None:
    """Git's id of a file's bytes, None for no file."""
    return blob_id(data) if data is not None else None
