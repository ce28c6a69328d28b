"""A disposable cache of parsed documents in the user's cache folder.

Reading TOML is by far the slowest part of opening a project, so the parsed form is kept as JSON. The key is the
SHA-256 of the file's bytes (the files are read in any case, to notice foreign edits), not its time stamp: a cache
entry can never belong to other bytes. A damaged, foreign or older cache is ignored and rewritten. `verify` opens
projects without it.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import sys
from pathlib import Path
from typing import Any

from dossier.store.atomic import write_atomic

FORMAT = f"dossier-cache 1 python {sys.version_info[0]}.{sys.version_info[1]}"


def user_cache_folder() -> Path:
    """Where the caches of all projects lie."""
    from platformdirs import user_cache_path

    return user_cache_path("dossier", appauthor=False) / "documents"


class DocumentCache:
    """Parsed documents of the project at `root`; `folder` is the cache folder (default: the user's)."""

    def __init__(self, root: Path, folder: Path | None = None) -> None:
        name = hashlib.sha256(str(root.resolve()).encode("utf-8", "surrogatepass")).hexdigest()
        self._file = (folder if folder is not None else user_cache_folder()) / f"{name[:32]}.json"
        self._known = _read(self._file)
        self._used: dict[str, Any] = {}

    def get(self, sha256: str) -> dict[str, Any] | None:
        """The document parsed earlier from bytes with this SHA-256."""
        document = self._used.get(sha256, self._known.get(sha256))
        if document is not None:
            self._used[sha256] = document
        return document

    def put(self, sha256: str, document: dict[str, Any]) -> None:
        """Remember a document; one that JSON cannot hold exactly (dates) is left out."""
        with contextlib.suppress(TypeError, ValueError):
            if json.loads(json.dumps(document)) == document:
                self._used[sha256] = document

    def save(self) -> None:
        """Write what was used since the opening; a cache that cannot be written is no error."""
        if self._used.keys() == self._known.keys():
            return
        body = json.dumps(self._used, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "surrogatepass")
        head = f"{FORMAT} {hashlib.sha256(body).hexdigest()}\n".encode()
        with contextlib.suppress(OSError):
            write_atomic(self._file, head + body)


def _read(file: Path) -> dict[str, Any]:
    try:
        head, _, body = file.read_bytes().partition(b"\n")
    except OSError:
        return {}
    if head.decode("ascii", "replace") != f"{FORMAT} {hashlib.sha256(body).hexdigest()}":
        return {}
    return json.loads(body)
