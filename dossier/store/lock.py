"""Who works on a project: one writer at a time, readers always.

Two locks lie in the hidden folder `.locks` of a project, both released by the system when a process dies:
the session lock, held as long as a person has the project open for changes, and the write lock, held for the
moment of one change.
"""

from __future__ import annotations

import contextlib
import json
import os
import socket
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from dossier.store.atomic import write_atomic
from dossier.store.clock import utc_stamp
from dossier.store.errors import ProjectBusy, RefusedPath
from dossier.store.paths import refuse_links

LOCK_FOLDER = ".locks"
WRITE_TIMEOUT_S = 20.0


@dataclass(frozen=True)
class Holder:
    """Who has a project open for changes: host, process id, person, time of opening (UTC, ISO 8601)."""

    host: str
    pid: int
    person: str
    time: str

    def __str__(self) -> str:
        return f"{self.person} on {self.host} (process {self.pid}) since {self.time}"


class SessionLock:
    """The right to change a project. `acquire` says whether it was got; `holder` and `reason` say why not."""

    def __init__(self, root: Path, person: str) -> None:
        self._root, self._person = root, person
        self._lock: Any = None
        self.holder: Holder | None = None
        self.reason = ""

    @property
    def held(self) -> bool:
        """Whether this object holds the lock."""
        return self._lock is not None

    def acquire(self) -> bool:
        """Try to become the writer, without waiting. False: open read-only and show `reason`."""
        from filelock import FileLock, Timeout

        if self.held:
            return True
        try:
            lock = FileLock(_lock_file(self._root, "session"))
            lock.acquire(timeout=0)
        except Timeout:
            self.holder = read_holder(self._root)
            self.reason = f"open for changes by {self.holder or 'another process'}"
            return False
        except (OSError, RefusedPath) as error:
            self.holder = None
            self.reason = f"the folder cannot be written ({error})"
            return False
        self._lock = lock
        now = utc_stamp()
        self.holder, self.reason = Holder(socket.gethostname(), os.getpid(), self._person, now), ""
        write_atomic(_holder_file(self._root), json.dumps(asdict(self.holder), indent=1).encode())
        return True

    def release(self) -> None:
        """Give the right back; harmless when it is not held."""
        if self._lock is not None:
            _holder_file(self._root).unlink(missing_ok=True)
            self._lock.release()
            self._lock = None
            self.holder = None

    def __enter__(self) -> SessionLock:
        self.acquire()
        return self

    def __exit__(self, *_: object) -> None:
        self.release()


def read_holder(root: Path) -> Holder | None:
    """What the holder of the session lock wrote about itself, None when that is missing or unreadable."""
    try:
        facts = json.loads(_holder_file(root).read_bytes())
        return Holder(str(facts["host"]), int(facts["pid"]), str(facts["person"]), str(facts["time"]))
    except (OSError, ValueError, KeyError, TypeError):
        return None


@contextlib.contextmanager
def write_lock(root: Path, timeout_s: float = WRITE_TIMEOUT_S) -> Iterator[None]:
    """Hold the right to write for one change. Raises ProjectBusy after `timeout_s`, OSError without access."""
    from filelock import FileLock, Timeout

    lock = FileLock(_lock_file(root, "write"))
    try:
        lock.acquire(timeout=timeout_s, poll_interval=0.01)
    except Timeout as error:
        raise ProjectBusy(
            f"another process has been writing to {root.name} for {timeout_s:g} s; nothing was written, try again"
        ) from error
    try:
        yield
    finally:
        lock.release()


def _lock_file(root: Path, name: str) -> str:
    refuse_links(root, LOCK_FOLDER)
    folder = root / LOCK_FOLDER
    folder.mkdir(exist_ok=True)
    return str(folder / f"{name}.lock")


def _holder_file(root: Path) -> Path:
    return root / LOCK_FOLDER / "holder.json"
