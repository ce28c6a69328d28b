"""One writer per project; the second is told who; a dead holder holds nothing."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time

import pytest

from dossier.store.change import Change
from dossier.store.errors import ProjectBusy
from dossier.store.lock import Holder, SessionLock, read_holder, write_lock

HOLD = """
import sys, time
from pathlib import Path
from dossier.store.lock import SessionLock, write_lock
root = Path(sys.argv[1])
lock = SessionLock(root, "B. Lind") if sys.argv[2] == "session" else None
if lock:
    assert lock.acquire()
    print("held", flush=True)
    time.sleep(60)
with write_lock(root):
    print("held", flush=True)
    time.sleep(60)
"""


@pytest.fixture
def hold(tmp_path):
    """Another process that takes a lock of the folder and keeps it until killed."""
    started = []

    def start(kind: str) -> subprocess.Popen:
        process = subprocess.Popen([sys.executable, "-c", HOLD, str(tmp_path), kind], stdout=subprocess.PIPE)
        started.append(process)
        assert process.stdout.readline() == b"held\n"
        return process

    yield start
    for process in started:
        process.kill()
        process.wait()
        process.stdout.close()


def test_the_second_opener_is_told_who(tmp_path, hold) -> None:
    process = hold("session")
    lock = SessionLock(tmp_path, "A. Berg")
    assert not lock.acquire()
    assert not lock.held
    assert (lock.holder.person, lock.holder.pid, lock.holder.host) == ("B. Lind", process.pid, socket.gethostname())
    assert lock.reason.startswith("open for changes by B. Lind")
    lock.release()
    assert read_holder(tmp_path) == lock.holder


def test_a_killed_holder_holds_nothing(tmp_path, hold) -> None:
    process = hold("session")
    process.send_signal(signal.SIGKILL)
    process.wait()
    with SessionLock(tmp_path, "A. Berg") as lock:
        assert lock.held
        assert (
            read_holder(tmp_path)
            == lock.holder
            == Holder(socket.gethostname(), os.getpid(), "A. Berg", lock.holder.time)
        )
    assert not lock.held
    assert read_holder(tmp_path) is None


def test_the_lock_can_be_taken_again_after_release(tmp_path) -> None:
    first, second = SessionLock(tmp_path, "A. Berg"), SessionLock(tmp_path, "B. Lind")
    assert first.acquire() and first.acquire()
    assert not second.acquire()
    first.release()
    assert second.acquire()
    second.release()


def test_an_unreadable_side_file_does_not_matter(tmp_path, hold) -> None:
    hold("session")
    for raw in (b"", b"\xff{", b"[]", b'{"host": 1}'):
        (tmp_path / ".locks/holder.json").write_bytes(raw)
        lock = SessionLock(tmp_path, "A. Berg")
        assert not lock.acquire()
        assert "another process" in lock.reason


def test_a_folder_without_right_to_write_opens_read_only(tmp_path) -> None:
    (tmp_path / ".locks").write_bytes(b"in the way")
    lock = SessionLock(tmp_path, "A. Berg")
    assert not lock.acquire()
    assert "cannot be written" in lock.reason


def test_a_linked_lock_folder_is_refused(tmp_path) -> None:
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / ".locks").symlink_to(tmp_path / "elsewhere")
    lock = SessionLock(tmp_path, "A. Berg")
    assert not lock.acquire()
    assert "symlink" in lock.reason
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_a_writer_waits_for_the_other_and_gives_up(tmp_path, hold) -> None:
    process = hold("write")
    begin = time.monotonic()
    with pytest.raises(ProjectBusy, match="nothing was written"), write_lock(tmp_path, timeout_s=0.3):
        pass
    assert 0.3 <= time.monotonic() - begin < 5
    process.kill()
    process.wait()
    with write_lock(tmp_path, timeout_s=5):
        pass


def test_reading_leaves_no_trace(begun, files_of) -> None:
    begun.commit(Change("Cost", "A. Berg", {"cost.toml": b"total = 3.2\n"}), begun.load())
    before = {path: path.stat().st_mtime_ns for path in begun.root.rglob("*")}
    begun.load()
    list(begun.history().log())
    assert begun.history().check() == []
    assert {path: path.stat().st_mtime_ns for path in begun.root.rglob("*")} == before
