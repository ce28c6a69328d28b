"""Processes killed while they write: the next opening finds the old or the new state, never a mixture.

`test_killed_at_random_moments` runs DOSSIER_KILLS kills (20 unless set; 300 before a release).
"""

from __future__ import annotations

import os
import random
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest

from dossier.store import gitwrite
from dossier.store.change import Change
from dossier.store.folder import ProjectFolder
from dossier.store.recovery import is_marked, mark_writing
from dossier.store.tomlfile import parse_document

HERE = Path(__file__).parent
KILLS = int(os.environ.get("DOSSIER_KILLS", "20"))
LONGEST_LIFE_S = 0.2


def start(script: str, *arguments: object) -> subprocess.Popen:
    command = [sys.executable, str(HERE / script), *map(str, arguments)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def record_files(root: Path) -> dict[str, bytes]:
    names = {path.relative_to(root).as_posix(): path for path in root.rglob("*.toml") if path.is_file()}
    return {name: path.read_bytes() for name, path in names.items() if not name.startswith(".")}


def test_killed_at_random_moments(tmp_path) -> None:
    root, chance = tmp_path / "project", random.Random(20250301)
    root.mkdir()
    last, completed = 0, 0
    for kill in range(KILLS):
        worker = start("kill_worker.py", root, kill)
        said = [worker.stdout.readline()]
        time.sleep(chance.uniform(0, LONGEST_LIFE_S))
        worker.kill()
        out, errors = worker.communicate()
        said += out.splitlines()
        assert errors == ""
        acknowledged = max(int(line) for line in said if line.strip())

        folder = ProjectFolder(root, use_cache=False)
        snapshot = folder.load()
        assert (snapshot.history.status, snapshot.foreign, snapshot.problems) == ("ok", (), ())
        entry = next(folder.history().log())
        number = snapshot.files["project.toml"].document["n"]
        assert number in (acknowledged, acknowledged + 1), "what was acknowledged stays, one more may be complete"
        assert number > last
        assert entry.message == f"change {number}"
        for path in entry.paths:
            assert path not in snapshot.files or snapshot.files[path].document["n"] == number
        on_disk = record_files(root)
        assert on_disk == {path: fact.data for path, fact in snapshot.files.items()}
        assert on_disk == {
            path: folder.history().read_at(entry.id, path) for path in folder.history().tree_at(entry.id)
        }
        last, completed = number, completed + snapshot.rolled_forward
    assert folder.history().check() == []
    assert len(list(folder.history().log())) == last
    print(f"{KILLS} kills over {last} changes; {completed} were completed at the next opening")


OLD = {"project.toml": b"n = 0\n", "cost.toml": b"n = 0\n", "designs/D-001.toml": b"n = 0\n"}
NEW = {"project.toml": b"n = 0\n", "cost.toml": b"n = 1\n", "requirements/a.toml": b"n = 1\n"}
EDIT = {"cost.toml": b"n = 1\n", "designs/D-001.toml": None, "requirements/a.toml": b"n = 1\n"}
FOREIGN = b"n = 77  # by hand\n"


@pytest.fixture
def killed(tmp_path, monkeypatch):
    """Prepare a folder, run a scenario killed at each touch of the disk, return the folders left behind."""
    monkeypatch.setattr(gitwrite, "STALE_REF_LOCK_S", 0.05)

    def run(scenario: str, prepare) -> list[ProjectFolder]:
        template, out = tmp_path / "template", tmp_path / "runs"
        template.mkdir()
        prepare(ProjectFolder(template, use_cache=False))
        worker = start("crash_worker.py", scenario, template, out)
        said, errors = worker.communicate()
        assert errors == ""
        return [ProjectFolder(out / str(number), use_cache=False) for number in range(1, int(said) + 1)]

    return run


def begin(folder: ProjectFolder) -> None:
    folder.commit(Change("Begun", "C. Roth", OLD), None)


def begin_and_edit(folder: ProjectFolder) -> None:
    begin(folder)
    folder.commit(Change("Edit", "A. Berg", EDIT), folder.load())


def begin_and_edit_by_hand(folder: ProjectFolder) -> None:
    begin(folder)
    (folder.root / "cost.toml").write_bytes(FOREIGN)


def begin_and_half_edit(folder: ProjectFolder) -> None:
    begin(folder)
    head = folder.load().head
    mark_writing(folder.root, head)
    folder.history().append(Change("Edit", "A. Berg", EDIT), head)
    (folder.root / "cost.toml").write_bytes(EDIT["cost.toml"])


def lose_branch(folder: ProjectFolder) -> None:
    begin(folder)
    (folder.history_dir / "refs/heads/main").unlink()


@pytest.mark.parametrize(
    ("scenario", "prepare", "old", "new", "least"),
    [
        ("first", lambda folder: None, {}, OLD, 30),
        ("commit", begin, OLD, NEW, 30),
        ("undo", begin_and_edit, NEW, OLD, 20),
        ("load", begin_and_half_edit, NEW, NEW, 5),
    ],
)
def test_killed_at_every_touch_of_the_disk(killed, scenario: str, prepare, old: dict, new: dict, least: int) -> None:
    folders = killed(scenario, prepare)
    assert len(folders) > least
    found = []
    for folder in folders:
        snapshot = folder.load()
        assert (snapshot.foreign, snapshot.problems) == ((), ())
        assert record_files(folder.root) in (old, new)
        assert {path: fact.data for path, fact in snapshot.files.items()} == record_files(folder.root)
        assert folder.load() == snapshot or snapshot.rolled_forward
        found.append(record_files(folder.root) == new)
        if snapshot.head is not None:
            assert folder.history().check() == []
        folder.commit(Change("Next", "A. Berg", {"materials.toml": b"n = 2\n"}), snapshot)
        assert not is_marked(folder.root)
        assert (folder.load().foreign, folder.history().check()) == ((), [])
    assert found == sorted(found), "once recorded, a change is there after any later kill"
    assert found[-1]
    assert found[0] == (old == new)


def test_killed_while_a_foreign_edit_is_recorded(killed) -> None:
    recorded = []
    for folder in killed("record", begin_and_edit_by_hand):
        snapshot = folder.load()
        assert record_files(folder.root) == {**OLD, "cost.toml": FOREIGN}
        assert [edit.path for edit in snapshot.foreign] in ([], ["cost.toml"])
        recorded.append(snapshot.foreign == ())
        assert folder.history().check() == []
    assert recorded == sorted(recorded) and recorded[-1] and not recorded[0]


def test_killed_while_a_file_is_put_back(killed) -> None:
    put_back = []
    for folder in killed("restore", begin_and_edit_by_hand):
        now = record_files(folder.root)["cost.toml"]
        assert now in (FOREIGN, OLD["cost.toml"])
        kept = [path.read_bytes() for path in (folder.root / ".kept").rglob("cost.toml")]
        assert now == FOREIGN or kept == [FOREIGN]
        put_back.append(now != FOREIGN)
        assert [edit.path for edit in folder.load().foreign] == ([] if put_back[-1] else ["cost.toml"])
    assert put_back == sorted(put_back) and put_back[-1] and not put_back[0]


def test_killed_while_a_new_history_begins(killed) -> None:
    states = []
    for folder in killed("restart", lose_branch):
        snapshot = folder.load()
        assert record_files(folder.root) == OLD
        states.append(snapshot.history.status)
        if states[-1] != "ok":
            folder.restart_history("A. Berg")
        assert (folder.load().history.status, folder.load().foreign, folder.history().check()) == ("ok", (), [])
        assert len(list(folder.root.glob("history.git.damaged-*"))) == 1
    assert set(states) == {"damaged", "missing", "ok"}


def test_two_processes_at_the_same_file_lose_nothing(tmp_path) -> None:
    root, count = tmp_path / "project", 75
    root.mkdir()
    folder = ProjectFolder(root, use_cache=False)
    folder.commit(Change("Begun", "C. Roth", {"cost.toml": b"n = 0\n", "loads.toml": b"n = 0\n"}), None)
    people = ["A. Berg", "B. Lind", "D. Falk"]
    workers = [start("race_worker.py", root, person, count) for person in people]
    repeats = []
    for worker in workers:
        out, errors = worker.communicate()
        assert errors == ""
        repeats.append(int(out))
    assert parse_document((root / "cost.toml").read_bytes(), "cost")["n"] == count * len(people)
    entries = list(folder.history().log())
    assert [entry.message.split()[-1] for entry in entries[:-1]] == [str(n) for n in range(count * len(people), 0, -1)]
    assert all(sum(entry.author == person for entry in entries) == count for person in people)
    assert sum(repeats) > 0, "the three never met; the test has shown nothing"
    assert folder.history().check() == []
    shutil.rmtree(root)
