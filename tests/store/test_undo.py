"""Taking back and bringing back, against a plain model of files and stacks."""

from __future__ import annotations

import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.store.change import Change
from dossier.store.errors import Conflict, NotUndoable
from dossier.store.folder import ProjectFolder

DESIGN, COST = "designs/D-001.toml", "cost.toml"


def commit(folder: ProjectFolder, author: str, message: str, files: dict, **more) -> None:
    folder.commit(Change(message, author, files, **more), folder.load())


def test_back_and_forth(begun) -> None:
    before = (begun.root / DESIGN).read_bytes()
    commit(begun, "A. Berg", "Lighter", {DESIGN: b"mass = 0.3\n", COST: b"n = 1\n"})
    commit(begun, "A. Berg", "Cheaper", {COST: b"n = 2\n"})
    assert begun.undo("A. Berg").message == "Taken back: Cheaper"
    assert begun.undo("A. Berg").message == "Taken back: Lighter"
    assert (begun.root / DESIGN).read_bytes() == before
    assert not (begun.root / COST).exists()
    assert begun.redo("A. Berg").message == "Brought back: Lighter"
    assert begun.redo("A. Berg").message == "Brought back: Cheaper"
    assert (begun.root / COST).read_bytes() == b"n = 2\n"
    with pytest.raises(NotUndoable, match="no change to bring back"):
        begun.redo("A. Berg")
    assert begun.undo("A. Berg").message == "Taken back: Cheaper"
    assert begun.load().foreign == ()
    assert begun.history().check() == []
    assert len(list(begun.history().log())) == 8


def test_a_new_change_ends_bringing_back(begun) -> None:
    commit(begun, "A. Berg", "Lighter", {DESIGN: b"mass = 0.3\n"})
    begun.undo("A. Berg")
    commit(begun, "A. Berg", "Cheaper", {COST: b"n = 1\n"})
    with pytest.raises(NotUndoable, match="no change to bring back"):
        begun.redo("A. Berg")


def test_each_person_takes_back_their_own(begun) -> None:
    commit(begun, "A. Berg", "Lighter", {DESIGN: b"mass = 0.3\n"})
    commit(begun, "B. Lind", "Cheaper", {COST: b"n = 1\n"})
    assert begun.undo("A. Berg").message == "Taken back: Lighter"
    assert (begun.root / COST).read_bytes() == b"n = 1\n"
    with pytest.raises(NotUndoable, match="C. Roth has no change left"):
        begun.undo("C. Roth")


def test_what_others_changed_since_is_not_taken_back(begun) -> None:
    commit(begun, "A. Berg", "Lighter", {DESIGN: b"mass = 0.3\n", COST: b"n = 1\n"})
    commit(begun, "B. Lind", "Heavier", {DESIGN: b"mass = 0.5\n"})
    with pytest.raises(NotUndoable, match=r"D-001.toml was changed since by B. Lind \(“Heavier”\)"):
        begun.undo("A. Berg")
    assert (begun.root / COST).read_bytes() == b"n = 1\n"
    begun.undo("B. Lind")
    assert begun.undo("A. Berg").message == "Taken back: Lighter"
    commit(begun, "B. Lind", "Again", {DESIGN: b"mass = 0.6\n"})
    with pytest.raises(NotUndoable, match="“Lighter” cannot be brought back alone"):
        begun.redo("A. Berg")


def test_what_is_marked_or_first_is_not_taken_back(begun) -> None:
    with pytest.raises(NotUndoable, match="“Project begun” began this history"):
        begun.undo("A. Berg")
    commit(begun, "A. Berg", "Signed", {"signoffs/S-1.sig": b"\x01"}, trailers={"Undoable": "no"})
    with pytest.raises(NotUndoable, match="“Signed” cannot be taken back; correct it by a new change"):
        begun.undo("A. Berg")


def test_a_foreign_edit_is_not_lost_by_taking_back(begun) -> None:
    commit(begun, "A. Berg", "Lighter", {DESIGN: b"mass = 0.3\n"})
    (begun.root / DESIGN).write_bytes(b"mass = 0.77\n")
    with pytest.raises(Conflict, match="edited outside the tool"):
        begun.undo("A. Berg")
    assert (begun.root / DESIGN).read_bytes() == b"mass = 0.77\n"
    begun.record_foreign([DESIGN], "A. Berg")
    begun.undo("A. Berg")
    begun.undo("A. Berg")
    assert (begun.root / DESIGN).read_bytes() == b'id = "D-001"\nmass = 0.4\n'


AUTHORS = ["A. Berg", "B. Lind"]
PATHS = ["cost.toml", "loads.toml", "designs/D-1.toml", "designs/D-2.toml"]
EDITS = st.dictionaries(st.sampled_from(PATHS), st.none() | st.integers(0, 3), min_size=1, max_size=3)
MOVES = st.tuples(st.sampled_from(["commit", "commit", "undo", "redo"]), st.sampled_from(AUTHORS), EDITS)


class Model:
    """Files as a dict; per person the standing changes and those taken back, each as (before, after) per path."""

    def __init__(self, files: dict[str, bytes]) -> None:
        self.files = dict(files)
        self.standing: dict[str, list[dict]] = {author: [] for author in AUTHORS}
        self.taken_back: dict[str, list[dict]] = {author: [] for author in AUTHORS}

    def commit(self, author: str, wanted: dict[str, bytes | None]) -> bool:
        difference = {p: (self.files.get(p), d) for p, d in wanted.items() if self.files.get(p) != d}
        if difference:
            self._apply({path: after for path, (_, after) in difference.items()})
            self.standing[author].append(difference)
            self.taken_back[author].clear()
        return bool(difference)

    def undo(self, author: str) -> bool:
        return self._move(self.standing[author], self.taken_back[author], 1)

    def redo(self, author: str) -> bool:
        return self._move(self.taken_back[author], self.standing[author], 0)

    def _move(self, source: list[dict], target: list[dict], now: int) -> bool:
        if not source or any(self.files.get(path) != sides[now] for path, sides in source[-1].items()):
            return False
        difference = source.pop()
        target.append(difference)
        self._apply({path: sides[1 - now] for path, sides in difference.items()})
        return True

    def _apply(self, wanted: dict[str, bytes | None]) -> None:
        for path, data in wanted.items():
            if data is None:
                self.files.pop(path, None)
            else:
                self.files[path] = data


@settings(max_examples=40, deadline=None)
@given(st.lists(MOVES, max_size=14))
def test_random_sequences_agree_with_the_model(moves: list) -> None:
    with tempfile.TemporaryDirectory() as place:
        folder = ProjectFolder(Path(place), use_cache=False)
        start = {"project.toml": b"id = 1\n"}
        folder.commit(Change("Begun", "C. Roth", start), None)
        model = Model(start)
        entries = 1
        for name, author, numbers in moves:
            if name == "commit":
                wanted = {path: None if n is None else b"n = %d\n" % n for path, n in numbers.items()}
                folder.commit(Change("Edit", author, wanted), folder.load())
                done = model.commit(author, wanted)
            else:
                try:
                    getattr(folder, name)(author)
                    done = True
                except NotUndoable:
                    done = False
                assert done == getattr(model, name)(author)
            entries += done
            snapshot = folder.load()
            assert {path: fact.data for path, fact in snapshot.files.items()} == model.files
            assert (snapshot.foreign, snapshot.rolled_forward) == ((), False)
        log = list(folder.history().log())
        assert len(log) == entries
        assert folder.history().check() == []
