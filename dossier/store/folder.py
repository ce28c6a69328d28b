"""A project folder with its history as the point of commit.

A change is first stored in the history (objects, then the branch by compare-and-swap), then written to the files.
A process killed in between leaves files of the previous entry, which the next opening rolls forward (recovery.py).
Whatever else differs from the history was edited by other means: it is reported and never overwritten.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from dossier.store.atomic import clean_stale, fsync_folder, write_atomic
from dossier.store.cache import DocumentCache
from dossier.store.change import Change
from dossier.store.errors import (
    Conflict,
    DamagedHistory,
    StaleHead,
    StoreError,
    UnfinishedWrite,
)
from dossier.store.history import FOUND_ON_DISK, GitHistory, HistoryState, open_history, restart_history
from dossier.store.lock import write_lock
from dossier.store.paths import RECORD_FOLDERS, Problem, locate, refuse_links, scan
from dossier.store.recovery import blob_of, clear_mark, files_behind, is_marked, mark_writing
from dossier.store.snapshot import Snapshot, foreign_edits, read_files
from dossier.store.tomlfile import parse_document
from dossier.store.undo import change_to_redo, change_to_undo

HISTORY_FOLDER = "history.git"
KEPT_FOLDER = ".kept"
MAX_READINGS = 5


class ProjectFolder:
    """The folder at `root`. `use_cache` false reads every file anew (as `verify` must)."""

    def __init__(self, root: Path, *, use_cache: bool = True, cache_folder: Path | None = None) -> None:
        self.root = Path(root)
        self._use_cache, self._cache_folder = use_cache, cache_folder

    @property
    def history_dir(self) -> Path:
        return self.root / HISTORY_FOLDER

    def history(self) -> GitHistory:
        """The history, whatever its state; reading from it raises DamagedHistory when it is not intact."""
        return GitHistory(self.history_dir)

    def load(self) -> Snapshot:
        """Read the folder; completes a change that a killed process left half written.

        Raises FileNotFoundError for a missing folder; everything else that is wrong is told in the snapshot.
        """
        cache = DocumentCache(self.root, self._cache_folder) if self._use_cache else None
        snapshot, settled = self._read(cache)
        if not settled:
            try:
                with write_lock(self.root):
                    rolled = self._roll_forward(open_history(self.history_dir)[1].head)
                    snapshot, _ = self._read(cache, rolled)
            except (OSError, StoreError) as error:
                snapshot = self._with_unfinished(snapshot, error)
        if cache is not None:
            cache.save()
        return snapshot

    def commit(self, change: Change, expected: Snapshot | str | None) -> str:
        """Record `change` and write its files; returns the new head (the old one when nothing differs).

        `expected` is the snapshot (or the head) the change was made from. Raises Conflict when a file of the
        change is not what was loaded, StaleHead when another change came first, DamagedHistory, BrokenFile when
        a new file would not be readable, UnfinishedWrite, ProjectBusy. Nothing is written unless it says so.
        """
        for path, data in change.files.items():
            if data is not None and path.endswith(".toml"):
                parse_document(data, path)
        with write_lock(self.root):
            return self._commit(change, expected)

    def record_foreign(self, paths: Iterable[str], author: str, message: str | None = None) -> Change:
        """Take foreign edits of `paths`, as they are on disk now, into the history. Returns the recorded change."""
        paths = sorted(set(paths))
        with write_lock(self.root):
            head = self._ready_head()
            tree = self.history().tree_at(head)
            on_disk = {path: self._on_disk(path) for path in paths}
            edited = {path: data for path, data in on_disk.items() if blob_of(data) != tree.get(path)}
            if not edited:
                raise StoreError(f"{', '.join(paths)}: the file on disk is as the history has it, nothing to record")
            words = message or f"Edited outside the tool: {', '.join(sorted(edited))}"
            change = Change(words, author, edited, FOUND_ON_DISK)
            self.history().append(change, head)
        return change

    def restore(self, paths: Iterable[str]) -> dict[str, Path]:
        """Put files back as the history's head has them. Returns {path: copy kept of the foreign file}."""
        with write_lock(self.root):
            history, head = self.history(), self._ready_head()
            kept = {}
            for path in sorted(set(paths)):
                on_disk, wanted = self._on_disk(path), history.read_at(head, path)
                if on_disk == wanted:
                    continue
                if on_disk is not None:
                    kept[path] = self._keep(path, on_disk)
                self._place(path, wanted)
        return kept

    def undo(self, author: str) -> Change:
        """Take back the newest standing change of `author` by a new entry, which is returned.

        Raises NotUndoable with the reason, and what `commit` raises.
        """
        with write_lock(self.root):
            head = self._ready_head()
            change = change_to_undo(self.history(), author)
            self._commit(change, head)
        return change

    def redo(self, author: str) -> Change:
        """Bring back what `author` took back last, by a new entry, which is returned. Raises as `undo`."""
        with write_lock(self.root):
            head = self._ready_head()
            change = change_to_redo(self.history(), author)
            self._commit(change, head)
        return change

    def restart_history(self, author: str, old_head: str | None = None) -> str:
        """Begin a new history with the files as they are; a damaged one is put aside. Returns the new head."""
        with write_lock(self.root):
            files, _ = read_files(self.root, None)
            head = restart_history(self.history_dir, {p: f.data for p, f in files.items()}, author, old_head)
            clear_mark(self.root)
        return head

    def _read(self, cache: DocumentCache | None, rolled: Iterable[str] = ()) -> tuple[Snapshot, bool]:
        """A reading, and whether it is settled: no change was being written when it began or ended."""
        for _ in range(MAX_READINGS):
            settled = not is_marked(self.root)
            history, state = open_history(self.history_dir)
            files, problems = read_files(self.root, cache)
            settled = settled and self._stands_still(history, state)
            if settled:
                break
        tree = history.tree_at(state.head)
        foreign = foreign_edits(files, problems, tree) if state.head is not None else []
        return Snapshot(files, state.head, state, tuple(foreign), tuple(problems), tuple(rolled)), settled

    def _stands_still(self, history: GitHistory, state: HistoryState) -> bool:
        if state.status != "ok":
            return open_history(self.history_dir)[1] == state
        with contextlib.suppress(DamagedHistory):
            return history.head() == state.head
        return False

    def _roll_forward(self, head: str | None) -> list[str]:
        """Complete the head's change; the write lock is held, so no other process is in the middle of it."""
        if not is_marked(self.root):
            return []
        behind = files_behind(self.root, self.history(), head, self._on_disk)
        for path, data in behind.items():
            self._place(path, data)
        clear_mark(self.root)
        return list(behind)

    def _with_unfinished(self, snapshot: Snapshot, error: Exception) -> Snapshot:
        with contextlib.suppress(StoreError, OSError):
            if not files_behind(self.root, self.history(), snapshot.head, self._on_disk):
                return snapshot
        reason = f"the newest change is not yet written to all its files: {error}"
        return replace(snapshot, problems=(*snapshot.problems, Problem(HISTORY_FOLDER, None, reason)))

    def _ready_head(self) -> str | None:
        """The head, after completing a half-written change. Raises DamagedHistory when there is no good history."""
        _, state = open_history(self.history_dir)
        if state.status == "damaged":
            raise DamagedHistory(f"{state.reason}; begin a new history first, it will name the old one")
        if state.status == "missing":
            if scan(self.root).paths:
                raise DamagedHistory(f"{state.reason} although there are records; begin a new history first")
            return None
        self._roll_forward(state.head)
        for folder in ("", *RECORD_FOLDERS):
            clean_stale(self.root / folder)
        return state.head

    def _commit(self, change: Change, expected: Snapshot | str | None) -> str:
        history, head = self.history(), self._ready_head()
        tree = history.tree_at(head)
        before = {path: self._on_disk(path) for path in change.paths}
        self._refuse_conflicts(change, expected, before, tree)
        expected_head = expected.head if isinstance(expected, Snapshot) else expected
        if head != expected_head:
            raise StaleHead(expected_head, head)
        new_files = {path: data for path, data in change.files.items() if blob_of(data) != tree.get(path)}
        if not new_files and head is not None:
            return head
        recorded = Change(change.message, change.author, new_files, change.trailers, change.when)
        mark_writing(self.root, head)
        new_head = history.append(recorded, head)
        for path in recorded.paths:
            try:
                # a file edited by other means in this very moment stays and is reported as a foreign edit
                if self._on_disk(path) == before[path]:
                    self._place(path, recorded.files[path])
            except OSError as error:
                raise UnfinishedWrite(new_head, path, error.strerror or str(error)) from error
        clear_mark(self.root)
        return new_head

    def _refuse_conflicts(
        self,
        change: Change,
        expected: Snapshot | str | None,
        on_disk: dict[str, bytes | None],
        tree: dict[str, str],
    ) -> None:
        """Raise Conflict where disk, history and what was loaded do not agree about a file of the change."""
        reasons = {}
        for path in change.paths:
            found = blob_of(on_disk[path])
            if found == blob_of(change.files[path]) == tree.get(path):
                continue
            if isinstance(expected, Snapshot) and found != blob_of(expected.data(path)):
                reasons[path] = "was changed on disk since it was loaded; load the project again and repeat"
            elif found != tree.get(path):
                reasons[path] = "was edited outside the tool; record that edit or put the file back first"
            elif found != blob_of(self._loaded(path, expected)):
                reasons[path] = "was changed by another entry since it was loaded; load the project again and repeat"
        if reasons:
            paths = list(reasons)
            loaded, wanted = self._loaded(paths[0], expected), change.files[paths[0]]
            raise Conflict(paths, loaded, on_disk[paths[0]], wanted, reasons[paths[0]])

    def _loaded(self, path: str, expected: Snapshot | str | None) -> bytes | None:
        if isinstance(expected, Snapshot):
            return expected.data(path)
        return self.history().read_at(expected, path) if expected is not None else None

    def _on_disk(self, path: str) -> bytes | None:
        try:
            return locate(self.root, path).read_bytes()
        except FileNotFoundError:
            return None

    def _place(self, path: str, data: bytes | None) -> None:
        place = locate(self.root, path)
        if data is not None:
            write_atomic(place, data)
        elif place.exists():
            place.unlink()
            fsync_folder(place.parent)

    def _keep(self, path: str, data: bytes) -> Path:
        refuse_links(self.root, KEPT_FOLDER)
        stamp = datetime.now(UTC).strftime("%Y%m%dT%H%M%S%fZ")
        copy = self.root / KEPT_FOLDER / stamp / path
        copy.parent.mkdir(parents=True, exist_ok=True)
        write_atomic(copy, data)
        return copy
