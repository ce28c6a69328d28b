"""After a kill: a half-written change is completed, a foreign edit never mistaken for one."""

from __future__ import annotations

import pytest

from dossier.store import folder as folder_module
from dossier.store.change import Change
from dossier.store.errors import UnfinishedWrite
from dossier.store.folder import ProjectFolder
from dossier.store.recovery import is_marked, mark_writing
from dossier.store.snapshot import ForeignEdit

LIMIT = "requirements/chapter-1.toml"
DESIGN = "designs/D-001.toml"


def change(files: dict) -> Change:
    return Change("Changed", "A. Berg", files)


def foreign(folder: ProjectFolder) -> list[tuple[str, str]]:
    return [(edit.path, edit.kind) for edit in folder.load().foreign]


@pytest.mark.parametrize("by_record", [False, True])
def test_a_file_put_back_by_hand_is_not_mistaken_for_a_kill(begun, by_record: bool) -> None:
    """As it was one entry before, but no process died: a foreign edit like any other."""
    old = (begun.root / DESIGN).read_bytes()
    if by_record:
        (begun.root / DESIGN).write_bytes(b"mass = 0.9\n")
        begun.record_foreign([DESIGN], "B. Lind")
    else:
        begun.commit(change({DESIGN: b"mass = 0.9\n", "cost.toml": b"n = 1\n"}), begun.load())
        (begun.root / "cost.toml").unlink()
    (begun.root / DESIGN).write_bytes(old)
    edits = [(DESIGN, "changed")] if by_record else [("cost.toml", "deleted"), (DESIGN, "changed")]
    assert foreign(begun) == edits
    assert foreign(begun) == edits
    assert (begun.root / DESIGN).read_bytes() == old
    assert not (begun.root / "cost.toml").exists()


def half_written(begun: ProjectFolder, done: list[str]) -> tuple[dict[str, bytes | None], str]:
    """As after a kill: the entry is recorded, only the files `done` are written."""
    wanted = {DESIGN: b"mass = 0.3\n", LIMIT: None, "cost.toml": b"total = 3\n"}
    before = begun.load().head
    mark_writing(begun.root, before)
    head = begun.history().append(change(wanted), before)
    for path in done:
        if wanted[path] is None:
            (begun.root / path).unlink()
        else:
            (begun.root / path).write_bytes(wanted[path])
    return wanted, head


@pytest.mark.parametrize("done", [[], [DESIGN], [LIMIT], ["cost.toml"], [DESIGN, "cost.toml"], [LIMIT, DESIGN]])
def test_a_half_written_change_is_completed(begun, done: list[str]) -> None:
    wanted, head = half_written(begun, done)
    snapshot = begun.load()
    assert (snapshot.head, snapshot.foreign, snapshot.rolled_forward) == (head, (), True)
    assert set(snapshot.rolled_paths) == wanted.keys() - set(done)
    assert {path: snapshot.data(path) for path in wanted} == wanted
    assert not begun.load().rolled_forward


def test_a_commit_completes_it_too(begun) -> None:
    _, head = half_written(begun, [DESIGN])
    begun.commit(change({"project.toml": b'id = "p-1"\n'}), head)
    assert foreign(begun) == []
    assert (begun.root / "cost.toml").read_bytes() == b"total = 3\n"
    assert not (begun.root / LIMIT).exists()


def test_a_kill_before_the_entry_was_recorded_leaves_the_old_state(begun) -> None:
    mark_writing(begun.root, begun.load().head)
    (begun.root / DESIGN).write_bytes(b"mass = 0.9\n")
    assert foreign(begun) == [(DESIGN, "changed")]
    assert foreign(begun) == [(DESIGN, "changed")]
    assert not is_marked(begun.root)


def test_anything_else_is_a_foreign_edit_and_stays(begun, files_of) -> None:
    half_written(begun, ["cost.toml"])
    (begun.root / DESIGN).write_bytes(b"mass = 77\n")
    before = files_of(begun)
    snapshot = begun.load()
    assert not snapshot.rolled_forward
    assert snapshot.foreign == (ForeignEdit(DESIGN, "changed"), ForeignEdit(LIMIT, "added"))
    assert files_of(begun) == before


def test_a_foreign_edit_of_another_file_does_not_hinder_completion(begun) -> None:
    half_written(begun, [])
    (begun.root / "project.toml").write_bytes(b"mine = 1\n")
    snapshot = begun.load()
    assert snapshot.rolled_forward
    assert snapshot.foreign == (ForeignEdit("project.toml", "changed"),)
    assert (begun.root / "project.toml").read_bytes() == b"mine = 1\n"


def test_a_folder_that_cannot_be_written_opens_and_says_what_is_unfinished(begun) -> None:
    half_written(begun, [])
    (begun.root / ".locks/write.lock").unlink()
    (begun.root / ".locks/write.lock").mkdir()
    snapshot = begun.load()
    assert not snapshot.rolled_forward
    assert len(snapshot.foreign) == 3
    assert [problem.path for problem in snapshot.problems] == ["history.git"]
    assert "not yet written to all its files" in snapshot.problems[0].reason


def test_a_file_that_cannot_be_written_is_completed_later(begun, monkeypatch) -> None:
    write = folder_module.write_atomic

    def full_disk(path, data, **options):
        if path.name == "D-001.toml":
            raise OSError(28, "No space left on device")
        write(path, data, **options)

    monkeypatch.setattr(folder_module, "write_atomic", full_disk)
    with pytest.raises(UnfinishedWrite, match="No space left") as caught:
        begun.commit(change({"cost.toml": b"total = 3\n", DESIGN: b"mass = 0.3\n"}), begun.load())
    monkeypatch.undo()
    snapshot = begun.load()
    assert (snapshot.head, snapshot.rolled_paths, snapshot.foreign) == (caught.value.head, (DESIGN,), ())
