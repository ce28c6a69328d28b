"""The history: entries, compare-and-swap, packed repositories, and damage of every kind found."""

from __future__ import annotations

import os
import re
import shutil
import threading
import zlib
from datetime import UTC, datetime
from pathlib import Path

import pytest

from dossier.store import gitwrite
from dossier.store.change import Change
from dossier.store.errors import DamagedHistory, StaleHead
from dossier.store.gitfiles import blob_id, loose_path, object_id
from dossier.store.history import GitHistory, open_history, restart_history

WHEN = datetime(2025, 3, 1, 8, 30, 15, tzinfo=UTC)


def change(message: str, files: dict, author: str = "A. Berg", **more) -> Change:
    return Change(message, author, files, when=WHEN, **more)


@pytest.fixture
def history(tmp_path) -> GitHistory:
    """Three entries: begun, a limit changed and a file added, a file deleted."""
    history = GitHistory(tmp_path / "history.git")
    first = history.append(change("Begun", {"project.toml": b"a = 1\n", "requirements/r.toml": b"x = 1\n"}), None)
    second = history.append(
        change("R-012 limit 45 → 50 kN\n\nasked for", {"requirements/r.toml": b"x = 2\n", "cost.toml": b""}, "Ölund"),
        first,
    )
    history.append(change("Project file dropped", {"project.toml": None}, trailers={"Undoable": "no"}), second)
    return history


def test_log_tells_author_time_words_paths_and_trailers(history) -> None:
    third, second, first = history.log()
    assert (second.author, second.time, second.message, second.paths, second.trailers, second.parent) == (
        "Ölund",
        "2025-03-01T08:30:15Z",
        "R-012 limit 45 → 50 kN\n\nasked for",
        ("cost.toml", "requirements/r.toml"),
        {},
        first.id,
    )
    assert third.trailers == {"Undoable": "no"}
    assert third.paths == ("project.toml",)
    assert first.parent is None
    assert history.head() == third.id
    assert [entry.id for entry in history.log(limit=2)] == [third.id, second.id]
    assert [entry.id for entry in history.log(path="requirements/r.toml")] == [second.id, first.id]
    assert [entry.id for entry in history.log(limit=1, path="project.toml", start=second.id)] == [first.id]


def test_reading_at_an_entry(history) -> None:
    third, second, first = (entry.id for entry in history.log())
    assert history.read_at(first, "requirements/r.toml") == b"x = 1\n"
    assert history.read_at(second, "requirements/r.toml") == b"x = 2\n"
    assert history.read_at(third, "project.toml") is None
    assert history.read_at(third, "requirements") is None
    assert history.read_at(third, "requirements/r.toml/x") is None
    assert history.read_at(third, "nowhere/r.toml") is None
    assert history.tree_at(None) == {}
    assert history.tree_at(third) == {"cost.toml": blob_id(b""), "requirements/r.toml": blob_id(b"x = 2\n")}
    assert history.diff(first, third) == ["cost.toml", "project.toml", "requirements/r.toml"]
    assert history.diff(third, None) == ["cost.toml", "requirements/r.toml"]
    assert history.diff(second, second) == []
    assert history.contains(first) and history.contains(third)
    assert not history.contains("0" * 40) and not history.contains("main")


def test_git_ids_of_known_objects() -> None:
    """The ids of the empty blob and the empty tree, which every git repository shows; from memory."""
    assert blob_id(b"") == "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391"
    assert object_id("tree", b"") == "4b825dc642cb6eb9a060e54bf8d69288fbee4904"


def test_the_library_reads_what_was_written(history) -> None:
    """dulwich, opening the folder as an ordinary bare repository."""
    from dulwich.repo import Repo

    with Repo(str(history.git_dir)) as repo:
        assert repo.bare
        assert repo.head().decode() == history.head()
        entries = [walked.commit for walked in repo.get_walker()]
        assert [entry.message.decode().split("\n")[0] for entry in entries] == [
            "Project file dropped",
            "R-012 limit 45 → 50 kN",
            "Begun",
        ]
        assert entries[1].author == "Ölund <>".encode()
        assert (entries[1].author_time, entries[1].author_timezone) == (int(WHEN.timestamp()), 0)
        for sha in repo.object_store:
            repo.object_store[sha].check()
            kind, body = repo.object_store[sha].type_name.decode(), repo.object_store[sha].as_raw_string()
            assert object_id(kind, body) == sha.decode()


def test_the_first_entry_never_overwrites(history) -> None:
    head = history.head()
    with pytest.raises(StaleHead) as caught:
        history.append(change("Begun again", {"cost.toml": b"1"}), None)
    assert (caught.value.expected, caught.value.actual) == (None, head)
    with pytest.raises(StaleHead):
        gitwrite.swap_branch(history.git_dir, None, head)
    with pytest.raises(StaleHead):
        gitwrite.swap_branch(history.git_dir, "1" * 40, head)
    assert history.head() == head


def test_a_stale_head_writes_nothing(history) -> None:
    before = sorted(history.git_dir.rglob("*"))
    with pytest.raises(StaleHead, match="load the project again"):
        history.append(change("Late", {"cost.toml": b"late"}), next(history.log(limit=1)).parent)
    assert sorted(history.git_dir.rglob("*")) == before


def test_deleting_what_is_not_there_is_refused(history) -> None:
    with pytest.raises(ValueError, match="holds no such file"):
        history.append(change("x", {"loads.toml": None}), history.head())


@pytest.mark.parametrize("begun", [False, True])
def test_of_writers_at_the_same_moment_exactly_one_wins(tmp_path, begun: bool) -> None:
    """Without any other lock: only the compare-and-swap decides."""
    git_dir = tmp_path / "history.git"
    rounds, writers = 8, 4
    expected = GitHistory(git_dir).append(change("Begun", {"project.toml": b""}), None) if begun else None
    for round_number in range(rounds if begun else 1):
        barrier = threading.Barrier(writers)
        won, lost = [], []

        def write(number: int, head=expected, barrier=barrier, won=won, lost=lost, name=round_number) -> None:
            barrier.wait()
            try:
                won.append(GitHistory(git_dir).append(change(f"{name}-{number}", {"cost.toml": b"%d" % number}), head))
            except StaleHead:
                lost.append(number)

        threads = [threading.Thread(target=write, args=(number,)) for number in range(writers)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        assert (len(won), len(lost)) == (1, writers - 1)
        [expected] = won
        assert GitHistory(git_dir).head() == expected
    assert len(list(GitHistory(git_dir).log())) == (rounds + 1 if begun else 1)
    assert GitHistory(git_dir).check() == []
    assert os.listdir(tmp_path) == ["history.git"]


def test_a_reference_lock_of_a_dead_process_is_outwaited(history, monkeypatch) -> None:
    monkeypatch.setattr(gitwrite, "STALE_REF_LOCK_S", 0.1)
    lock = history.git_dir / "refs/heads/main.lock"
    lock.write_bytes(b"0" * 40)
    new = history.append(change("After", {"cost.toml": b"1"}), history.head())
    assert history.head() == new
    assert not lock.exists()


def test_packed_objects_and_references_are_read(history) -> None:
    from dulwich.repo import Repo

    ids = [entry.id for entry in history.log()]
    with Repo(str(history.git_dir)) as repo:
        repo.object_store.pack_loose_objects()
        repo.refs.pack_refs(all=True)
    assert list(history.git_dir.glob("objects/[0-9a-f][0-9a-f]/*")) == []
    assert not (history.git_dir / "refs/heads/main").exists()
    packed = GitHistory(history.git_dir)
    assert [entry.id for entry in packed.log()] == ids
    assert packed.read_at(ids[0], "requirements/r.toml") == b"x = 2\n"
    assert packed.check() == []
    assert open_history(history.git_dir)[1].status == "ok"
    with pytest.raises(StaleHead):
        packed.append(change("x", {"cost.toml": b"2"}), None)
    new = packed.append(change("After packing", {"cost.toml": b"2"}), ids[0])
    assert GitHistory(history.git_dir).diff(ids[0], new) == ["cost.toml"]
    [pack] = history.git_dir.glob("objects/pack/*.pack")
    raw = bytearray(pack.read_bytes())
    raw[len(raw) // 2] ^= 0x10
    pack.chmod(0o644)
    pack.write_bytes(raw)
    assert any(problem.startswith("pack ") for problem in GitHistory(history.git_dir).check())


def every_object(git_dir: Path) -> list[Path]:
    return sorted(git_dir.glob("objects/[0-9a-f][0-9a-f]/*"))


def test_a_flipped_bit_in_any_object_is_found(history, tmp_path) -> None:
    objects = every_object(history.git_dir)
    assert len(objects) == 3 + 3 + 2 + 4  # commits, root trees, subtrees, blobs
    for number, path in enumerate(objects):
        copy = tmp_path / f"copy-{number}"
        shutil.copytree(history.git_dir, copy)
        victim = copy / path.relative_to(history.git_dir)
        raw = bytearray(victim.read_bytes())
        raw[2 + number % 4] ^= 1 << (number % 8)  # inside the compressed stream, before any padding
        victim.chmod(0o644)
        victim.write_bytes(raw)
        sha = path.parent.name + path.name
        problems = GitHistory(copy).check()
        assert problems and all(sha in problem for problem in problems)


def test_a_lost_object_is_found(history, tmp_path) -> None:
    for number, path in enumerate(every_object(history.git_dir)):
        copy = tmp_path / f"copy-{number}"
        shutil.copytree(history.git_dir, copy)
        (copy / path.relative_to(history.git_dir)).unlink()
        problems = GitHistory(copy).check()
        assert any(f"object {path.parent.name}{path.name} is missing" in problem for problem in problems)


def test_an_exchanged_object_is_found(history) -> None:
    """Whole and readable, but with other content than its name says."""
    victim = loose_path(history.git_dir, blob_id(b"x = 2\n"))
    victim.chmod(0o644)
    victim.write_bytes(zlib.compress(b"blob 6\0x = 9\n"))
    assert any("another SHA-1" in problem for problem in history.check())
    with pytest.raises(DamagedHistory, match="another SHA-1"):
        GitHistory(history.git_dir).read_at(history.head(), "requirements/r.toml")


def test_recording_the_same_bytes_again_heals_their_object(history) -> None:
    victim = loose_path(history.git_dir, blob_id(b"x = 1\n"))
    victim.chmod(0o644)
    victim.write_bytes(b"torn")
    history.append(change("Back", {"requirements/r.toml": b"x = 1\n"}), history.head())
    assert GitHistory(history.git_dir).check() == []


def lose_reference(git_dir: Path) -> None:
    (git_dir / "refs/heads/main").unlink()


def lose_all_references(git_dir: Path) -> None:
    shutil.rmtree(git_dir / "refs")


def spoil_reference(git_dir: Path) -> None:
    (git_dir / "refs/heads/main").write_bytes(b"\x00\xff")


def empty_reference(git_dir: Path) -> None:
    (git_dir / "refs/heads/main").write_bytes(b"")


def point_nowhere(git_dir: Path) -> None:
    (git_dir / "refs/heads/main").write_text("1" * 40 + "\n")


def point_at_a_tree(git_dir: Path) -> None:
    (git_dir / "refs/heads/main").write_text(blob_id(b"x = 2\n") + "\n")


def lose_objects(git_dir: Path) -> None:
    shutil.rmtree(git_dir / "objects")


def become_a_file(git_dir: Path) -> None:
    shutil.rmtree(git_dir)
    git_dir.write_bytes(b"not a folder")


def become_a_link(git_dir: Path) -> None:
    git_dir.rename(git_dir.with_name("elsewhere.git"))
    git_dir.symlink_to(git_dir.with_name("elsewhere.git"))


DAMAGES = [
    lose_reference,
    lose_all_references,
    spoil_reference,
    empty_reference,
    point_nowhere,
    point_at_a_tree,
    lose_objects,
    become_a_file,
    become_a_link,
]


@pytest.mark.parametrize("damage", DAMAGES)
def test_damage_is_told_at_opening_and_by_the_check(history, damage) -> None:
    damage(history.git_dir)
    _, state = open_history(history.git_dir)
    assert state.status == "damaged"
    assert state.reason
    assert state.head is None
    if damage is not become_a_link:
        assert GitHistory(history.git_dir).check()


def test_a_missing_or_empty_history_is_missing(tmp_path) -> None:
    assert open_history(tmp_path / "history.git")[1].status == "missing"
    gitwrite.make_repository(tmp_path / "history.git")
    assert open_history(tmp_path / "history.git")[1].status == "missing"
    assert GitHistory(tmp_path / "history.git").check() == ["the history holds no entry"]
    first = GitHistory(tmp_path / "history.git").append(change("Begun", {"cost.toml": b""}), None)
    assert open_history(tmp_path / "history.git")[1].head == first


def test_a_lost_head_file_is_reported(history) -> None:
    (history.git_dir / "HEAD").unlink()
    assert [re.sub(":.*", "", problem) for problem in history.check()] == ["HEAD is unreadable"]


@pytest.mark.parametrize("damage", [d for d in DAMAGES if d is not become_a_link])
def test_a_new_history_names_the_old_head_and_keeps_the_old_folder(history, damage) -> None:
    old = history.head()
    damage(history.git_dir)
    new = restart_history(history.git_dir, {"cost.toml": b"now = 1\n"}, "A. Berg", old)
    fresh, state = open_history(history.git_dir)
    assert (state.status, fresh.head(), fresh.check()) == ("ok", new, [])
    [entry] = fresh.log()
    assert old in entry.message and entry.trailers["Earlier-Head"] == old
    assert entry.trailers["Undoable"] == "no"
    assert fresh.read_at(new, "cost.toml") == b"now = 1\n"
    assert len(list(history.git_dir.parent.glob("history.git.damaged-*"))) == 1


def test_a_new_history_without_a_known_head_says_so(history) -> None:
    old = history.head()
    restart_history(history.git_dir, {}, "A. Berg", None)
    assert old in next(GitHistory(history.git_dir).log()).message
    lose_reference(history.git_dir)
    restart_history(history.git_dir, {}, "A. Berg", None)
    assert "an unknown entry" in next(GitHistory(history.git_dir).log()).message


def test_a_linked_history_is_not_replaced(history) -> None:
    become_a_link(history.git_dir)
    with pytest.raises(DamagedHistory, match="symlink"):
        restart_history(history.git_dir, {}, "A. Berg", None)
    assert GitHistory(history.git_dir.with_name("elsewhere.git")).check() == []
