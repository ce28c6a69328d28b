"""Processes killed while actions change several files: the old or the new state, never torn, nothing reported as foreign.

Runs DOSSIER_KILLS kills (8 unless set; the store has its own test at every touch of the disk).
"""

from __future__ import annotations

import os
import random
import subprocess
import sys
import time
from pathlib import Path

import small_project as small

from dossier.actions.verify import verify_work

KILLS = int(os.environ.get("DOSSIER_KILLS", "8"))
LONGEST_LIFE_S = 0.25


def test_killed_at_random_moments(tmp_path: Path) -> None:
    root, chance = tmp_path / "project", random.Random(20260302)
    small.begin(root)
    written = 0
    for kill in range(KILLS):
        command = [sys.executable, str(Path(__file__).with_name("kill_edits.py")), str(root), str(kill)]
        worker = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        assert worker.stdout is not None
        assert worker.stdout.readline() == "ready\n"
        first = worker.stdout.readline() if kill % 2 else ""
        time.sleep(chance.uniform(0, LONGEST_LIFE_S))
        worker.kill()
        out, errors = worker.communicate()
        assert errors == ""
        said = [line for line in (first + out).splitlines() if len(line) == 40]

        opened = small.reopen(root)
        assert (opened.snapshot.history.status, opened.snapshot.foreign, opened.project.problems) == ("ok", (), [])
        heads = [entry.id for entry in opened.folder.history().log()]
        if said:
            assert heads.index(said[-1]) in (0, 1), "what was acknowledged stays, one more change may be complete"
        written += len(said)
        tree = opened.folder.history().tree_at(heads[0])
        on_disk = {path: fact.blob for path, fact in opened.snapshot.files.items()}
        assert on_disk == tree
        times = {c.result.computed_at for c in opened.project.calculations if c.result}
        assert len(times) <= 1, "results of one change have one time: both files are there or none"
        number = len([load for load in opened.project.loads if load.title.startswith("Round")])
        assert len({load.id for load in opened.project.loads}) == number + 2
    assert written >= KILLS // 2, "every second process lives until it has written once"
    assert verify_work(root).unaltered
