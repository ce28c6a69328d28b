"""The folder: commits, conflicts, foreign edits, roll-forward, damaged and missing histories."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys

import pytest

from dossier.store import folder as folder_module
from dossier.store.change import Change
from dossier.store.errors import (
    BrokenFile,
    Conflict,
    DamagedHistory,
    RefusedPath,
    StaleHead,
    StoreError,
)
from dossier.store.folder import ProjectFolder
from dossier.store.snapshot import ForeignEdit

LIMIT = "requirements/chapter-1.toml"
DESIGN = "designs/D-001.toml"


def change(files: dict, message: str = "Changed", author: str = "A. Berg", **more) -> Change:
    return Change(message, author, files, **more)


def foreign(folder: ProjectFolder) -> list[tuple[str, str]]:
    return [(edit.path, edit.kind) for edit in folder.load().foreign]


def test_an_empty_folder_opens(folder) -> None:
    snapshot = folder.load()
    assert (snapshot.files, snapshot.head, snapshot.history.status) == ({}, None, "missing")
    with pytest.raises(FileNotFoundError):
        ProjectFolder(folder.root / "none").load()


def test_a_commit_is_in_the_files_and_in_the_history(begun, files_of) -> None:
    snapshot = begun.load()
    wanted = {DESIGN: b"mass = 0.35\n", LIMIT: None, "loads.toml": b"n = 1\n", "signoffs/S-1.sig": b"\x00\xff"}
    head = begun.commit(change(wanted, "Lighter"), snapshot)
    after = begun.load()
    assert (after.head, after.foreign, after.problems, after.rolled_forward) == (head, (), (), False)
    expected = {"project.toml": snapshot.data("project.toml"), **{p: d for p, d in wanted.items() if d is not None}}
    assert files_of(begun) == expected
    assert {path: fact.data for path, fact in after.files.items()} == expected
    assert after.files[DESIGN].document == {"mass": 0.35}
    assert after.files["signoffs/S-1.sig"].document is None
    assert next(begun.history().log()).message == "Lighter"


def test_a_change_without_difference_makes_no_entry(begun) -> None:
    snapshot = begun.load()
    same = change({DESIGN: snapshot.data(DESIGN), "cost.toml": None})
    assert begun.commit(same, snapshot) == snapshot.head
    assert len(list(begun.history().log())) == 1


def test_only_files_that_differ_are_recorded(begun) -> None:
    snapshot = begun.load()
    begun.commit(change({DESIGN: snapshot.data(DESIGN), LIMIT: b"x = 1\n"}), snapshot)
    assert next(begun.history().log()).paths == (LIMIT,)


def test_an_edit_on_disk_since_loading_is_a_conflict(begun, files_of) -> None:
    snapshot = begun.load()
    (begun.root / DESIGN).write_bytes(b"mass = 0.9\n")
    before = files_of(begun)
    with pytest.raises(Conflict, match="since it was loaded") as caught:
        begun.commit(change({DESIGN: b"mass = 0.3\n", LIMIT: b"x = 1\n"}), snapshot)
    error = caught.value
    assert (error.path, error.loaded, error.on_disk, error.wanted) == (
        DESIGN,
        snapshot.data(DESIGN),
        b"mass = 0.9\n",
        b"mass = 0.3\n",
    )
    assert files_of(begun) == before
    assert begun.load().head == snapshot.head


def test_a_file_deleted_or_added_since_loading_is_a_conflict(begun) -> None:
    snapshot = begun.load()
    (begun.root / DESIGN).unlink()
    (begun.root / "cost.toml").write_bytes(b"theirs = 1\n")
    with pytest.raises(Conflict) as caught:
        begun.commit(change({DESIGN: b"mass = 0.3\n", "cost.toml": b"ours = 1\n"}), snapshot)
    assert caught.value.paths == ["cost.toml", DESIGN]
    assert (caught.value.loaded, caught.value.on_disk, caught.value.wanted) == (None, b"theirs = 1\n", b"ours = 1\n")


def test_an_edit_of_another_file_does_not_stand_in_the_way(begun) -> None:
    snapshot = begun.load()
    (begun.root / DESIGN).write_bytes(b"mass = 0.9\n")
    begun.commit(change({LIMIT: b"x = 1\n"}), snapshot)
    assert foreign(begun) == [(DESIGN, "changed")]
    assert (begun.root / DESIGN).read_bytes() == b"mass = 0.9\n"


def test_a_foreign_edit_that_was_loaded_must_be_recorded_first(begun) -> None:
    (begun.root / DESIGN).write_bytes(b"mass = 0.9\n")
    snapshot = begun.load()
    with pytest.raises(Conflict, match="record that edit"):
        begun.commit(change({DESIGN: b"mass = 0.3\n"}), snapshot)
    begun.record_foreign([DESIGN], "B. Lind")
    begun.commit(change({DESIGN: b"mass = 0.3\n"}), begun.load())
    assert [entry.author for entry in begun.history().log(path=DESIGN)] == ["A. Berg", "B. Lind", "A. Berg"]


def test_a_change_by_another_entry_is_a_conflict_or_a_stale_head(begun) -> None:
    snapshot = begun.load()
    begun.commit(change({DESIGN: b"mass = 0.3\n"}, author="B. Lind"), snapshot)
    for expected in (snapshot, snapshot.head):
        with pytest.raises(Conflict) as caught:
            begun.commit(change({DESIGN: b"mass = 0.2\n"}), expected)
        assert (caught.value.loaded, caught.value.on_disk) == (snapshot.data(DESIGN), b"mass = 0.3\n")
        with pytest.raises(StaleHead):
            begun.commit(change({LIMIT: b"x = 1\n"}), expected)
    with pytest.raises(StaleHead):
        begun.commit(change({"cost.toml": b"x = 1\n"}), None)


def test_an_edit_in_the_moment_of_the_commit_is_not_overwritten(begun, monkeypatch) -> None:
    append = folder_module.GitHistory.append

    def append_while_edited(history, *arguments):
        head = append(history, *arguments)
        (begun.root / DESIGN).write_bytes(b"mass = 0.9\n")
        return head

    monkeypatch.setattr(folder_module.GitHistory, "append", append_while_edited)
    begun.commit(change({DESIGN: b"mass = 0.3\n", LIMIT: b"x = 1\n"}), begun.load())
    assert (begun.root / DESIGN).read_bytes() == b"mass = 0.9\n"
    assert foreign(begun) == [(DESIGN, "changed")]
    assert (begun.root / LIMIT).read_bytes() == b"x = 1\n"


def test_unreadable_toml_is_never_written(begun) -> None:
    snapshot = begun.load()
    with pytest.raises(BrokenFile, match=f"{DESIGN}, line 2"):
        begun.commit(change({DESIGN: b"mass = 1\nmass = \n"}), snapshot)
    assert begun.load().head == snapshot.head


def test_a_broken_file_is_told_and_the_rest_opens(begun) -> None:
    (begun.root / DESIGN).write_bytes(b"a = 1\nb = \n")
    snapshot = begun.load()
    fact = snapshot.files[DESIGN]
    assert (fact.document, fact.problem.line, fact.problem.path) == (None, 2, DESIGN)
    assert snapshot.problems == (fact.problem,)
    assert snapshot.files["project.toml"].document == {"id": "p-1", "title": "Lower arm joint"}
    assert (begun.root / DESIGN).read_bytes() == b"a = 1\nb = \n"


def test_foreign_edits_are_told_recorded_or_put_back(begun) -> None:
    (begun.root / DESIGN).write_bytes(b"mass = 0.9\n")
    (begun.root / LIMIT).unlink()
    (begun.root / "cost.toml").write_bytes(b"total = 3\n")
    (begun.root / "notes.txt").write_bytes(b"not a record")
    edits = [("cost.toml", "added"), (DESIGN, "changed"), (LIMIT, "deleted")]
    assert foreign(begun) == edits
    assert foreign(begun) == edits
    recorded = begun.record_foreign(["cost.toml", DESIGN], "B. Lind")
    assert recorded.files == {"cost.toml": b"total = 3\n", DESIGN: b"mass = 0.9\n"}
    assert foreign(begun) == [(LIMIT, "deleted")]
    entry = next(begun.history().log())
    assert (entry.author, entry.message) == ("B. Lind", f"Edited outside the tool: cost.toml, {DESIGN}")
    assert begun.restore([LIMIT]) == {}
    assert foreign(begun) == []
    (begun.root / DESIGN).write_bytes(b"mass = 0.7\n")
    (begun.root / "loads.toml").write_bytes(b"n = 1\n")
    kept = begun.restore([DESIGN, "loads.toml", "project.toml"])
    assert kept.keys() == {DESIGN, "loads.toml"}
    assert [kept[path].read_bytes() for path in (DESIGN, "loads.toml")] == [b"mass = 0.7\n", b"n = 1\n"]
    assert (begun.root / "notes.txt").read_bytes() == b"not a record"
    assert foreign(begun) == []
    assert not (begun.root / "loads.toml").exists()


def test_a_deletion_can_be_recorded(begun) -> None:
    (begun.root / DESIGN).unlink()
    begun.record_foreign([DESIGN], "B. Lind", "Design given up")
    assert foreign(begun) == []
    assert next(begun.history().log()).message == "Design given up"
    with pytest.raises(StoreError, match="nothing to record"):
        begun.record_foreign([DESIGN], "B. Lind")


def test_symlinks_are_refused_for_reading_and_writing(begun, tmp_path) -> None:
    secret = tmp_path / "secret.toml"
    secret.write_bytes(b"key = 1\n")
    (begun.root / DESIGN).unlink()
    (begun.root / DESIGN).symlink_to(secret)
    (begun.root / "calculations").symlink_to(tmp_path)
    snapshot = begun.load()
    assert DESIGN not in snapshot.files and "calculations/secret.toml" not in snapshot.files
    assert {problem.path for problem in snapshot.problems} == {DESIGN, "calculations"}
    assert snapshot.foreign == (ForeignEdit(DESIGN, "changed"),)
    for path in (DESIGN, "calculations/C-1.toml"):
        with pytest.raises(RefusedPath, match="symlink"):
            begun.commit(change({path: b"x = 1\n"}), snapshot)
        with pytest.raises(RefusedPath, match="symlink"):
            begun.restore([path])
        with pytest.raises(RefusedPath, match="symlink"):
            begun.record_foreign([path], "A. Berg")
    assert secret.read_bytes() == b"key = 1\n"
    assert sorted(os.listdir(tmp_path)) == ["cache", "project", "secret.toml"]


def test_paths_out_of_the_project_are_refused(begun) -> None:
    for path in ("../x.toml", "/etc/passwd", "history.git/HEAD"):
        with pytest.raises(RefusedPath):
            begun.restore([path])
        with pytest.raises(RefusedPath):
            begun.record_foreign([path], "A. Berg")


def test_a_copy_made_by_a_synchroniser_is_reported(begun) -> None:
    shutil.copy(begun.root / DESIGN, begun.root / "designs/D-001 (1).toml")
    [problem] = begun.load().problems
    assert problem.path == "designs/D-001 (1).toml"
    assert "synchroniser" in problem.reason


def test_two_diverged_copies_are_told_apart(begun, tmp_path) -> None:
    shutil.copytree(begun.root, tmp_path / "copy")
    copy = ProjectFolder(tmp_path / "copy", cache_folder=tmp_path / "cache")
    common = begun.load().head
    ours = begun.commit(change({DESIGN: b"mass = 0.1\n"}), begun.load())
    theirs = copy.commit(change({DESIGN: b"mass = 0.2\n"}), copy.load())
    assert begun.history().contains(common) and copy.history().contains(common)
    assert not begun.history().contains(theirs) and not copy.history().contains(ours)


@pytest.mark.parametrize("loss", ["missing", "reference", "commit", "tree"])
def test_a_project_opens_without_its_history_and_begins_a_new_one(begun, files_of, loss: str) -> None:
    snapshot = begun.load()
    git_dir = begun.history_dir
    if loss == "missing":
        shutil.rmtree(git_dir)
    elif loss == "reference":
        (git_dir / "refs/heads/main").unlink()
    else:
        sha = snapshot.head if loss == "commit" else begun.history()._commit(snapshot.head).tree
        victim = git_dir / "objects" / sha[:2] / sha[2:]
        victim.chmod(0o644)
        victim.write_bytes(victim.read_bytes()[:-6])
    damaged = begun.load()
    assert damaged.history.status == ("missing" if loss == "missing" else "damaged")
    assert damaged.history.reason
    assert (damaged.head, damaged.foreign) == (None, ())
    assert damaged.files == snapshot.files
    before = files_of(begun)
    for attempt in (
        lambda: begun.commit(change({DESIGN: b"mass = 0.1\n"}), damaged),
        lambda: begun.undo("A. Berg"),
        lambda: begun.record_foreign([DESIGN], "A. Berg"),
        lambda: begun.restore([DESIGN]),
    ):
        with pytest.raises(DamagedHistory, match="begin a new history first"):
            attempt()
    assert files_of(begun) == before
    head = begun.restart_history("A. Berg", snapshot.head)
    restarted = begun.load()
    assert (restarted.head, restarted.history.status, restarted.foreign) == (head, "ok", ())
    assert snapshot.head in next(begun.history().log()).message
    begun.commit(change({DESIGN: b"mass = 0.1\n"}), restarted)
    assert begun.history().check() == []


def test_damage_deeper_in_the_history_does_not_stop_work(begun) -> None:
    blob = begun.load().files[DESIGN].blob
    begun.commit(change({DESIGN: b"mass = 0.3\n"}), begun.load())
    victim = begun.history_dir / "objects" / blob[:2] / blob[2:]
    victim.chmod(0o644)
    victim.write_bytes(b"spoilt")
    assert begun.load().history.status == "ok"
    begun.commit(change({DESIGN: b"mass = 0.2\n"}), begun.load())
    assert [blob in problem for problem in begun.history().check()] == [True]
    assert begun.undo("A. Berg").files == {DESIGN: b"mass = 0.3\n"}
    with pytest.raises(DamagedHistory, match=blob):
        begun.undo("A. Berg")


def test_opening_loads_neither_the_git_library_nor_the_heavy_ones(begun) -> None:
    code = (
        "import sys; from pathlib import Path; from dossier.store.folder import ProjectFolder;"
        "s = ProjectFolder(Path(sys.argv[1]), cache_folder=Path(sys.argv[2])).load();"
        "assert len(s.files) == 3 and s.history.status == 'ok', s;"
        "print(*sorted({'dulwich', 'filelock', 'numpy', 'pydantic', 'rfc8785', 'textual'} & sys.modules.keys()))"
    )
    arguments = [sys.executable, "-c", code, str(begun.root), str(begun.root.parent / "cache")]
    done = subprocess.run(arguments, capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""
