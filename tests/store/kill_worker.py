"""Records changes of several files in an endless loop, saying each number when it is done; waits to be killed.

Usage: kill_worker.py FOLDER SEED. Not a test by itself, see test_kill.py.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

from dossier.store.change import Change
from dossier.store.folder import ProjectFolder

PATHS = [
    "cost.toml",
    "loads.toml",
    "designs/D-001.toml",
    "designs/D-002.toml",
    "requirements/a.toml",
    "requirements/b.toml",
    "steps/1-idea.toml",
]


def content(number: int, size: int) -> bytes:
    """A document that says which change wrote it, of any size."""
    return b'n = %d\npadding = "%s"\n' % (number, b"x" * size)


def main(root: Path, seed: int) -> None:
    folder, chance = ProjectFolder(root, use_cache=False), random.Random(seed)
    snapshot = folder.load()
    number = snapshot.files["project.toml"].document["n"] if snapshot.head else 0
    while True:
        number += 1
        files: dict[str, bytes | None] = {"project.toml": content(number, 0)}
        for path in chance.sample(PATHS, chance.randint(1, 5)):
            files[path] = None if chance.random() < 0.25 else content(number, chance.choice((0, 50, 20_000)))
        folder.commit(Change(f"change {number}", "A. Berg", files), snapshot)
        print(number, flush=True)
        snapshot = folder.load()


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
