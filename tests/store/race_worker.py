"""Raises the number in one file COUNT times, against others who do the same; prints how often it had to repeat.

Usage: race_worker.py FOLDER PERSON COUNT. Not a test by itself, see test_kill.py.
"""

from __future__ import annotations

import sys
from pathlib import Path

from dossier.store.change import Change
from dossier.store.errors import Conflict, StaleHead
from dossier.store.folder import ProjectFolder


def main(root: Path, person: str, count: int) -> None:
    folder, repeats = ProjectFolder(root, use_cache=False), 0
    while count:
        snapshot = folder.load()
        assert (snapshot.foreign, snapshot.problems) == ((), ()), snapshot
        number = snapshot.files["cost.toml"].document["n"]
        assert snapshot.files["loads.toml"].document["n"] == number, "half of a change was seen"
        raw = b"n = %d\n" % (number + 1)
        try:
            folder.commit(Change(f"{person} {number + 1}", person, {"cost.toml": raw, "loads.toml": raw}), snapshot)
            count -= 1
        except (Conflict, StaleHead):
            repeats += 1
    print(repeats)


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]))
