"""Writing into a bare git repository: durable objects first, then the branch by compare-and-swap.

Objects are built by dulwich, which knows their exact form, and written here: each is complete and on the disk
before it gets its name, so a killed process leaves no half object and no stale lock on one. Temporary objects
carry the name git itself uses (`tmp_obj_...`), so git's own clean-up removes what a kill leaves behind.
"""

from __future__ import annotations

import contextlib
import os
import secrets
import time
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from dossier.store.atomic import fsync_folder, write_atomic, write_synced
from dossier.store.change import Change, compose_message
from dossier.store.errors import DamagedHistory, StaleHead
from dossier.store.gitfiles import BRANCH, FILE_MODE, TREE_MODE, loose_path, read_branch, read_loose

if TYPE_CHECKING:
    from dulwich.objects import ShaFile

STALE_REF_LOCK_S = 2.0
_CONFIG = b"[core]\n\trepositoryformatversion = 0\n\tfilemode = true\n\tbare = true\n"


def make_repository(git_dir: Path) -> None:
    """Lay out an empty bare repository in a new folder."""
    for folder in ("objects/info", "objects/pack", "refs/heads", "refs/tags"):
        (git_dir / folder).mkdir(parents=True)
    write_atomic(git_dir / "HEAD", f"ref: {BRANCH}\n".encode())
    write_atomic(git_dir / "config", _CONFIG)


class ObjectWriter:
    """Writes objects of one commit; `sync` makes their names durable before the branch may move."""

    def __init__(self, git_dir: Path) -> None:
        self._git_dir = git_dir
        self._touched: set[Path] = set()

    def blob(self, data: bytes) -> str:
        """Store a file's bytes; returns the id."""
        from dulwich.objects import Blob

        return self._put(Blob.from_string(data))

    def tree(self, files: Mapping[str, str]) -> str:
        """Store the tree (and its subtrees) of {relative path: blob id}; returns the id."""
        from dulwich.objects import Tree

        tree = Tree()
        folders: dict[str, dict[str, str]] = {}
        for path, sha in files.items():
            folder, slash, rest = path.partition("/")
            if slash:
                folders.setdefault(folder, {})[rest] = sha
            else:
                tree.add(folder.encode(), FILE_MODE, sha.encode())
        for folder, inner in folders.items():
            tree.add(folder.encode(), TREE_MODE, self.tree(inner).encode())
        return self._put(tree)

    def commit(self, change: Change, tree: str, parent: str | None) -> str:
        """Store the commit of `change`; returns the id."""
        from dulwich.objects import Commit

        commit = Commit()
        commit.tree = tree.encode()
        commit.parents = [parent.encode()] if parent else []
        commit.author = commit.committer = f"{change.author} <>".encode()
        commit.author_time = commit.commit_time = change.seconds()
        commit.author_timezone = commit.commit_timezone = 0
        commit.message = compose_message(change).encode()
        return self._put(commit)

    def sync(self) -> None:
        """Wait until all names written so far are on the disk."""
        for folder in sorted(self._touched):
            fsync_folder(folder)
        self._touched.clear()

    def _put(self, obj: ShaFile) -> str:
        sha = obj.id.decode()
        path = loose_path(self._git_dir, sha)
        with contextlib.suppress(DamagedHistory):
            if read_loose(self._git_dir, sha) is not None:
                return sha
        if not path.parent.is_dir():
            path.parent.mkdir(exist_ok=True)
            self._touched.add(path.parent.parent)
        temp = path.with_name(f"tmp_obj_{secrets.token_hex(8)}")
        write_synced(temp, obj.as_legacy_object(), 0o444)
        os.replace(temp, path)
        self._touched.add(path.parent)
        return sha


def swap_branch(git_dir: Path, expected: str | None, new: str) -> None:
    """Move the branch from `expected` (None: not there yet) to `new`, or raise StaleHead.

    The caller holds the project's write lock, so a reference lock that does not change for two seconds is left
    from a killed process and is removed.
    """
    from dulwich.file import FileLocked
    from dulwich.refs import DiskRefsContainer

    refs = DiskRefsContainer(git_dir)
    while True:
        seen = _ref_lock(git_dir)
        try:
            # set_if_equals with None would overwrite an existing reference
            if expected is None:
                moved = refs.add_if_new(BRANCH.encode(), new.encode())
            else:
                moved = refs.set_if_equals(BRANCH.encode(), expected.encode(), new.encode())
            break
        except FileLocked:
            _outwait(git_dir, seen)
    if not moved:
        raise StaleHead(expected, read_branch(git_dir))
    fsync_folder((git_dir / BRANCH).parent)


def _lock_file(git_dir: Path) -> Path:
    return git_dir / f"{BRANCH}.lock"


def _ref_lock(git_dir: Path) -> tuple[int, int] | None:
    try:
        facts = _lock_file(git_dir).stat()
    except FileNotFoundError:
        return None
    return facts.st_ino, facts.st_mtime_ns


def _outwait(git_dir: Path, seen: tuple[int, int] | None) -> None:
    deadline = time.monotonic() + STALE_REF_LOCK_S
    while time.monotonic() < deadline:
        if _ref_lock(git_dir) != seen or seen is None:
            return
        time.sleep(0.02)
    _lock_file(git_dir).unlink(missing_ok=True)
