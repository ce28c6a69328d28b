"""Makes changes through the actions in an endless loop, saying what each did; waits to be killed.

Usage: kill_edits.py FOLDER SEED. Each round is one change: a field, an answer, a record added or withdrawn with a
neighbour, or all calculations at once (two files). Not a test by itself, see test_kill_actions.py.
"""

from __future__ import annotations

import random
import sys
from datetime import UTC, datetime
from pathlib import Path

from dossier.actions.answer import answer_check
from dossier.actions.edit import add_record, next_id, set_field
from dossier.actions.opened import Opened
from dossier.actions.run import run_calculations
from dossier.store.change import Change

ME = "A. Berg"


def next_change(opened: Opened, chance: random.Random, number: int) -> Change:
    """A change that differs from what stands."""
    project = opened.project
    what = chance.choice(["set", "answer", "add", "calculate", "calculate"])
    if what == "set":
        return set_field(project, "R-012", "limit.max", f"{number + 100} kN", ME)
    if what == "answer":
        return answer_check(opened.view, chance.choice(["1.5", "1.6", "6.11"]), "met", ME, f"round {number}")
    if what == "add":
        return add_record(project, "load case", {"id": next_id(project, "load case"), "title": f"Round {number}"}, ME)
    # every result gets the same new time: two files of one change
    return run_calculations(project, ["C-001", "C-002"], ME, datetime.fromtimestamp(1_700_000_000 + number, UTC))


def main(root: Path, seed: int) -> None:
    chance = random.Random(seed)
    opened = Opened(root, use_cache=False)
    number = sum(1 for _ in opened.folder.history().log())
    print("ready", flush=True)
    while True:
        number += 1
        change = next_change(opened, chance, number)
        head = opened.record(change)
        print(head, flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
