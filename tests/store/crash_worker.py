"""Runs one action of the store again and again, killed at its first, second, third ... touch of the disk.

Usage: crash_worker.py SCENARIO TEMPLATE OUT. Each run works on a fresh copy OUT/<k> of the folder TEMPLATE in a forked
process that kills itself just before its k-th call that could change the disk; a file about to be synced is cut in
half first. Prints the number of runs; the last one was not killed. Not a test by itself, see test_kill.py.
"""

from __future__ import annotations

import os
import shutil
import signal
import stat
import sys
from pathlib import Path

from dossier.store.change import Change
from dossier.store.folder import ProjectFolder

CALLS = ["open", "replace", "rename", "fsync", "mkdir", "unlink", "remove", "rmdir", "chmod", "link", "ftruncate"]
FIRST = {"project.toml": b"n = 0\n", "cost.toml": b"n = 0\n", "designs/D-001.toml": b"n = 0\n"}
EDIT = {"cost.toml": b"n = 1\n", "designs/D-001.toml": None, "requirements/a.toml": b"n = 1\n"}
EDITED = "cost.toml"

SCENARIOS = {
    "first": lambda folder: folder.commit(Change("Begun", "A. Berg", FIRST), None),
    "commit": lambda folder: folder.commit(Change("Edit", "A. Berg", EDIT), folder.load()),
    "undo": lambda folder: folder.undo("A. Berg"),
    "load": lambda folder: folder.load(),
    "record": lambda folder: folder.record_foreign([EDITED], "A. Berg"),
    "restore": lambda folder: folder.restore([EDITED]),
    "restart": lambda folder: folder.restart_history("A. Berg"),
}


def killed_at(limit: int) -> None:
    """Arm this process: the call number `limit` to the disk is its last moment."""
    calls = 0

    def armed(name: str):
        original = getattr(os, name)

        def call(*arguments, **options):
            nonlocal calls
            calls += 1
            if calls >= limit:
                if name == "fsync" and stat.S_ISREG(os.fstat(arguments[0]).st_mode):
                    cut_in_half(arguments[0])
                os.kill(os.getpid(), signal.SIGKILL)
            return original(*arguments, **options)

        return call

    cut = os.ftruncate

    def cut_in_half(fd: int) -> None:
        cut(fd, os.fstat(fd).st_size // 2)

    for name in CALLS:
        setattr(os, name, armed(name))


def main(scenario: str, template: Path, out: Path) -> None:
    import dulwich.objects  # noqa: F401  loaded once, before the forks
    import dulwich.refs  # noqa: F401
    import filelock  # noqa: F401

    runs = 0
    while True:
        runs += 1
        root = out / str(runs)
        shutil.copytree(template, root)
        child = os.fork()
        if child == 0:
            killed_at(runs)
            SCENARIOS[scenario](ProjectFolder(root, use_cache=False))
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if not os.WIFSIGNALED(status):
            assert os.WEXITSTATUS(status) == 0, "the run that is not killed must succeed"
            print(runs)
            return
        assert os.WTERMSIG(status) == signal.SIGKILL


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3]))
