"""What a project folder held at one moment: its record files, the head of the history, foreign edits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dossier.store.cache import DocumentCache
from dossier.store.digest import sha256_of_bytes
from dossier.store.errors import BrokenFile
from dossier.store.gitfiles import blob_id
from dossier.store.history import HistoryState
from dossier.store.paths import Problem, is_record_path, scan
from dossier.store.tomlfile import parse_document


@dataclass(frozen=True)
class FileFact:
    """A record file as read: exact bytes, their SHA-256 and git blob id, and the parsed document.

    `document` is None for signatures and signed bytes, and for a broken file, which has a `problem` instead.
    """

    path: str
    data: bytes
    sha256: str
    blob: str
    document: dict[str, Any] | None
    problem: Problem | None


@dataclass(frozen=True)
class ForeignEdit:
    """A record file that is not as the history's head says; `kind` is added, changed or deleted."""

    path: str
    kind: str


@dataclass(frozen=True)
class Snapshot:
    """A loaded project folder.

    `head` is None without a readable history (see `history`); then foreign edits cannot be told. `rolled_forward`:
    a change that a killed process left half written was completed, in the files `rolled_paths`. `problems` lists
    broken files and refused names.
    """

    files: Mapping[str, FileFact]
    head: str | None
    history: HistoryState
    foreign: tuple[ForeignEdit, ...]
    problems: tuple[Problem, ...]
    rolled_paths: tuple[str, ...] = ()

    @property
    def rolled_forward(self) -> bool:
        return bool(self.rolled_paths)

    def data(self, path: str) -> bytes | None:
        """Bytes of a file as loaded, None when there was none."""
        fact = self.files.get(path)
        return fact.data if fact is not None else None


def read_files(root: Path, cache: DocumentCache | None) -> tuple[dict[str, FileFact], list[Problem]]:
    """All record files of the folder, and what could not be read. Raises FileNotFoundError for a missing folder."""
    found = scan(root)
    files: dict[str, FileFact] = {}
    problems = list(found.problems)
    for path in found.paths:
        try:
            data = root.joinpath(path).read_bytes()
        except FileNotFoundError:
            continue
        except OSError as error:
            problems.append(Problem(path, None, f"cannot be read: {error.strerror or error}"))
            continue
        files[path] = fact = fact_of(path, data, cache)
        if fact.problem is not None:
            problems.append(fact.problem)
    return files, problems


def fact_of(path: str, data: bytes, cache: DocumentCache | None) -> FileFact:
    """Digest and parse the bytes of one record file."""
    sha256 = sha256_of_bytes(data)
    document, problem = None, None
    if path.endswith(".toml"):
        document = cache.get(sha256) if cache is not None else None
        if document is None:
            try:
                document = parse_document(data, path)
            except BrokenFile as error:
                problem = Problem(path, error.line, error.reason)
            else:
                if cache is not None:
                    cache.put(sha256, document)
    return FileFact(path, data, sha256, blob_id(data), document, problem)


def foreign_edits(
    files: Mapping[str, FileFact], unread: Iterable[Problem], tree: Mapping[str, str]
) -> list[ForeignEdit]:
    """Compare the files with the tree {path: blob id} of the head; a file that cannot be read counts as changed."""
    unreadable = {problem.path for problem in unread}
    edits = []
    for path in sorted(files.keys() | {name for name in tree if is_record_path(name)}):
        if path not in files:
            behind_link = path in unreadable or path.partition("/")[0] in unreadable
            edits.append(ForeignEdit(path, "changed" if behind_link else "deleted"))
        elif path not in tree:
            edits.append(ForeignEdit(path, "added"))
        elif files[path].blob != tree[path]:
            edits.append(ForeignEdit(path, "changed"))
    return edits
