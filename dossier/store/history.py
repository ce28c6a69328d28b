"""The history of a project: an ordinary bare git repository, one commit per change.

`History` is the small interface the rest of the house knows; `GitHistory` keeps it. Reading needs no git library
as long as nothing was packed; writing and checking load dulwich on first use.
"""

from __future__ import annotations

import contextlib
import os
import re
import secrets
import shutil
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Protocol

from dossier.store.atomic import STALE_AFTER_S, fsync_folder
from dossier.store.change import UNDOABLE, Change, split_message
from dossier.store.clock import utc_stamp
from dossier.store.errors import DamagedHistory, StaleHead
from dossier.store.gitfiles import (
    TREE_MODE,
    CommitFacts,
    is_object_id,
    parse_commit,
    parse_tree,
    read_branch,
    read_loose,
)

FOUND_ON_DISK = {"Files": "found on disk"}
MAX_KEPT_OBJECTS = 20_000


@dataclass(frozen=True)
class Entry:
    """One entry of the history: `time` in UTC (ISO 8601), `paths` the files it touched, `parent` the entry before."""

    id: str
    author: str
    time: str
    message: str
    paths: tuple[str, ...]
    trailers: Mapping[str, str]
    parent: str | None


@dataclass(frozen=True)
class HistoryState:
    """What was found at opening: `status` is ok, missing or damaged, `reason` says more unless ok, `head` if ok."""

    status: str
    reason: str = ""
    head: str | None = None


class History(Protocol):
    """What the store needs of a history. Reading raises DamagedHistory when the history is not intact."""

    def head(self) -> str | None:
        """Id of the newest entry, None for an empty history."""
        ...

    def append(self, change: Change, expected_head: str | None) -> str:
        """Record a change on top of `expected_head`; returns the new head. Raises StaleHead."""
        ...

    def log(self, limit: int | None = None, path: str | None = None, start: str | None = None) -> Iterator[Entry]:
        """Entries, newest first, from `start` (default: head); with `path` only those that touched it."""
        ...

    def entry(self, id: str) -> Entry:
        """One entry by its id."""
        ...

    def read_at(self, head: str, path: str) -> bytes | None:
        """Bytes of a file as of `head`, None when it was not there."""
        ...

    def tree_at(self, head: str | None) -> dict[str, str]:
        """{relative path: git blob id} as of `head` (None: empty)."""
        ...

    def diff(self, a: str | None, b: str | None) -> list[str]:
        """Sorted paths that differ between two entries."""
        ...

    def contains(self, id: str) -> bool:
        """Whether `id` is an entry of this history (tells diverged copies of a project apart)."""
        ...

    def check(self) -> list[str]:
        """Everything that is not intact: all objects, the chain, the head. Empty when all is well."""
        ...


class GitHistory:
    """`History` in the bare git repository at `git_dir` (made with the first change)."""

    def __init__(self, git_dir: Path) -> None:
        self.git_dir = git_dir
        self._kept: dict[str, tuple[str, bytes]] = {}
        self._packs: Any = None

    def head(self) -> str | None:
        return read_branch(self.git_dir)

    def append(self, change: Change, expected_head: str | None) -> str:
        from dossier.store.gitwrite import swap_branch

        actual = self.head()
        if actual != expected_head:
            raise StaleHead(expected_head, actual)
        if not self.git_dir.exists():
            return self._begin(change)
        new = self._write_commit(self.git_dir, change, expected_head)
        swap_branch(self.git_dir, expected_head, new)
        return new

    def log(self, limit: int | None = None, path: str | None = None, start: str | None = None) -> Iterator[Entry]:
        sha = start if start is not None else self.head()
        given = 0
        while sha is not None and (limit is None or given < limit):
            entry = self.entry(sha)
            if path is None or path in entry.paths:
                given += 1
                yield entry
            sha = entry.parent

    def entry(self, id: str) -> Entry:
        facts = self._commit(id)
        parent = facts.parents[0] if facts.parents else None
        message, trailers = split_message(facts.message)
        utc = utc_stamp(datetime.fromtimestamp(facts.seconds, UTC))
        return Entry(id, facts.author, utc, message, tuple(self.diff(parent, id)), trailers, parent)

    def read_at(self, head: str, path: str) -> bytes | None:
        sha = self._commit(head).tree
        *folders, name = path.split("/")
        for folder in folders:
            sub = self._entries(sha).get(folder)
            if sub is None or sub[0] != TREE_MODE:
                return None
            sha = sub[1]
        found = self._entries(sha).get(name)
        return self._body(found[1], "blob") if found and found[0] != TREE_MODE else None

    def tree_at(self, head: str | None) -> dict[str, str]:
        return self._files(self._commit(head).tree) if head is not None else {}

    def diff(self, a: str | None, b: str | None) -> list[str]:
        trees = [self._commit(sha).tree if sha is not None else None for sha in (a, b)]
        return sorted(self._differing(*trees))

    def contains(self, id: str) -> bool:
        if not is_object_id(id):
            return False
        sha = self.head()
        while sha is not None and sha != id:
            parents = self._commit(sha).parents
            sha = parents[0] if parents else None
        return sha == id

    def check(self) -> list[str]:
        from dossier.store.gitcheck import problems_of

        return problems_of(self.git_dir)

    def _begin(self, change: Change) -> str:
        """Make the repository with its first commit aside and give it its name in one step."""
        from dossier.store.gitwrite import make_repository, swap_branch

        _remove_abandoned(self.git_dir)
        aside = self.git_dir.with_name(f".{self.git_dir.name}-new-{secrets.token_hex(8)}")
        try:
            make_repository(aside)
            new = self._write_commit(aside, change, None)
            swap_branch(aside, None, new)
            try:
                os.rename(aside, self.git_dir)
            except OSError as error:
                if self.git_dir.exists():
                    raise StaleHead(None, self.head()) from error
                raise
        finally:
            shutil.rmtree(aside, ignore_errors=True)
        fsync_folder(self.git_dir.parent)
        return new

    def _write_commit(self, git_dir: Path, change: Change, parent: str | None) -> str:
        from dossier.store.gitwrite import ObjectWriter

        files = self.tree_at(parent)
        writer = ObjectWriter(git_dir)
        for path, data in change.files.items():
            if data is not None:
                files[path] = writer.blob(data)
            elif files.pop(path, None) is None:
                raise ValueError(f"files[{path!r}] is to be deleted, but the history holds no such file")
        new = writer.commit(change, writer.tree(files), parent)
        writer.sync()
        return new

    def _files(self, tree: str, prefix: str = "") -> dict[str, str]:
        files = {}
        for name, (mode, sha) in self._entries(tree).items():
            if mode == TREE_MODE:
                files.update(self._files(sha, f"{prefix}{name}/"))
            else:
                files[prefix + name] = sha
        return files

    def _differing(self, a: str | None, b: str | None, prefix: str = "") -> list[str]:
        if a == b:
            return []
        old, new = (self._entries(tree) if tree is not None else {} for tree in (a, b))
        paths: list[str] = []
        for name in old.keys() | new.keys():
            if old.get(name) == new.get(name):
                continue
            sides = [side.get(name) for side in (old, new)]
            folders = [side[1] if side and side[0] == TREE_MODE else None for side in sides]
            if any(folders):
                paths += self._differing(*folders, f"{prefix}{name}/")
            if any(side and side[0] != TREE_MODE for side in sides):
                paths.append(prefix + name)
        return paths

    def _entries(self, tree: str) -> dict[str, tuple[int, str]]:
        return {name: (mode, sha) for mode, name, sha in parse_tree(tree, self._body(tree, "tree"))}

    def _commit(self, sha: str) -> CommitFacts:
        return parse_commit(sha, self._body(sha, "commit"))

    def _body(self, sha: str, kind: str) -> bytes:
        found = self._kept.get(sha) or read_loose(self.git_dir, sha) or self._packed(sha)
        if found[0] != kind:
            raise DamagedHistory(f"object {sha} is a {found[0]} where a {kind} is expected")
        if kind != "blob":
            if len(self._kept) >= MAX_KEPT_OBJECTS:
                self._kept.clear()
            self._kept[sha] = found
        return found[1]

    def _packed(self, sha: str) -> tuple[str, bytes]:
        if is_object_id(sha) and any(self.git_dir.glob("objects/pack/*.pack")):
            from dossier.store.gitcheck import open_packs, read_packed

            self._packs = self._packs or open_packs(self.git_dir)
            found = read_packed(self._packs, sha)
            if found is not None:
                return found
        raise DamagedHistory(f"object {sha} is missing")


def _remove_abandoned(git_dir: Path) -> None:
    """Remove repositories that a process killed in `_begin` left aside."""
    for folder in git_dir.parent.glob(f".{git_dir.name}-new-*"):
        if re.fullmatch(r".*-new-[0-9a-f]{16}", folder.name) and folder.stat().st_mtime < time.time() - STALE_AFTER_S:
            shutil.rmtree(folder, ignore_errors=True)


def open_history(git_dir: Path) -> tuple[GitHistory, HistoryState]:
    """The history at `git_dir` and its state, judged by head, its commit and its trees; never raises for damage."""
    history = GitHistory(git_dir)
    if git_dir.is_symlink():
        return history, HistoryState("damaged", f"{git_dir.name} is a symlink; put the folder itself there")
    if not git_dir.exists():
        return history, HistoryState("missing", f"{git_dir.name} is missing")
    try:
        head = history.head()
        history.tree_at(head)
    except (DamagedHistory, OSError) as error:
        return history, HistoryState("damaged", str(error))
    if head is None:
        return history, HistoryState("missing", f"{git_dir.name} holds no entry yet")
    return history, HistoryState("ok", head=head)


def restart_history(git_dir: Path, files: Mapping[str, bytes], author: str, old_head: str | None) -> str:
    """Begin a new history with the files as they are; its first message names the old head. Returns the new head.

    A damaged history is not deleted but put aside as `history.git.damaged-<time>` in the same folder.
    `old_head` None: what the old reference still says is taken, otherwise "unknown" is written.
    """
    if old_head is None:
        with contextlib.suppress(DamagedHistory):
            old_head = read_branch(git_dir)
    _, state = open_history(git_dir)
    if git_dir.is_symlink():
        raise DamagedHistory(f"{state.reason}; a new history is begun only in the project's own folder")
    if git_dir.exists():
        stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
        os.rename(git_dir, git_dir.with_name(f"{git_dir.name}.damaged-{stamp}"))
    message = f"New history begun; the earlier one ended at {old_head or 'an unknown entry'} ({state.reason or 'ok'})"
    trailers = {UNDOABLE: "no", "Earlier-Head": old_head or "unknown", **FOUND_ON_DISK}
    return GitHistory(git_dir).append(Change(message, author, files, trailers), None)
