"""What can go wrong in the store, each with the facts a caller needs to show."""

from __future__ import annotations


class StoreError(Exception):
    """Any refusal of the store; its text names the thing, the reason and a remedy."""


class BrokenFile(StoreError):
    """A record file that cannot be read.

    Attributes: `file` (as the caller named it), `line` (1-based, None when unknown), `reason`.
    """

    def __init__(self, file: str, line: int | None, reason: str) -> None:
        self.file, self.line, self.reason = file, line, reason
        where = f"{file}, line {line}" if line is not None else file
        super().__init__(f"{where}: {reason}")


class RefusedPath(StoreError):
    """A path that must not be used as a record of the project."""

    def __init__(self, path: str, reason: str) -> None:
        self.path, self.reason = path, reason
        super().__init__(f"{path!r} is refused: {reason}")


class DamagedHistory(StoreError):
    """The history cannot be read; the project still opens, a new history can be begun."""


class StaleHead(StoreError):
    """Another change was recorded first. Attributes: `expected`, `actual` (ids or None)."""

    def __init__(self, expected: str | None, actual: str | None) -> None:
        self.expected, self.actual = expected, actual
        super().__init__(
            f"the history stands at {_short(actual)}, not at {_short(expected)} as loaded; "
            "nothing was written, load the project again and repeat the change"
        )


class Conflict(StoreError):
    """A file of the change is not what was loaded. Nothing was written.

    Attributes: `path` (the first of `paths`), `paths` (all in conflict), and for `path` the bytes
    `loaded`, `on_disk`, `wanted` (None: no such file).
    """

    def __init__(
        self, paths: list[str], loaded: bytes | None, on_disk: bytes | None, wanted: bytes | None, reason: str
    ) -> None:
        self.path, self.paths = paths[0], paths
        self.loaded, self.on_disk, self.wanted, self.reason = loaded, on_disk, wanted, reason
        super().__init__(f"{', '.join(paths)}: {reason}")


class NotUndoable(StoreError):
    """The newest change cannot be taken back (or brought back); the text says why."""


class UnfinishedWrite(StoreError):
    """The change is recorded in the history as `head`, but a file could not be written.

    Opening the project again completes it.
    """

    def __init__(self, head: str, path: str, reason: str) -> None:
        self.head, self.path = head, path
        super().__init__(
            f"the change is recorded as {_short(head)}, but {path} could not be written: {reason}; "
            "mend that and open the project again, which completes the change"
        )


class ProjectBusy(StoreError):
    """Another process is writing to the project at this moment."""


def _short(head: str | None) -> str:
    return head[:12] if head else "no entry"
