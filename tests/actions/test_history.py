"""Undo and redo in words, conflicts between two openings, and edits made outside the tool."""

from __future__ import annotations

from pathlib import Path

import pytest
import small_project as small

from dossier.actions.edit import add_record, set_field
from dossier.actions.foreign import told_edits
from dossier.actions.opened import Opened
from dossier.store.errors import Conflict, DamagedHistory, NotUndoable, StaleHead

ME, OTHER = small.ENGINEER, small.REVIEWER


def limit(opened: Opened) -> float:
    return opened.project.get("R-012").limit.max


def set_limit(opened: Opened, value: str, person: str = ME) -> None:
    opened.record(set_field(opened.project, "R-012", "limit.max", value, person))


def test_undo_and_redo_in_the_words_of_the_change(opened: Opened) -> None:
    first = small.bytes_of(opened.folder.root)["requirements/main.toml"]
    set_limit(opened, "50")
    set_limit(opened, "60")
    assert opened.undo(ME).message == "Taken back: R-012 limit.max 50 → 60 kN"
    assert limit(opened) == 50
    assert opened.undo(ME).message == "Taken back: R-012 limit.max 45 → 50 kN"
    assert small.bytes_of(opened.folder.root)["requirements/main.toml"] == first
    assert opened.redo(ME).message == "Brought back: R-012 limit.max 45 → 50 kN"
    assert opened.redo(ME).message == "Brought back: R-012 limit.max 50 → 60 kN"
    assert limit(opened) == 60
    with pytest.raises(NotUndoable, match="A. Berg has no change to bring back"):
        opened.redo(ME)


def test_what_is_not_taken_back(opened: Opened) -> None:
    with pytest.raises(NotUndoable, match="“Begun” began this history and cannot be taken back"):
        opened.undo(ME)
    with pytest.raises(NotUndoable, match="B. Lind has no change left to take back"):
        opened.undo(OTHER)
    set_limit(opened, "50")
    set_limit(opened, "60", OTHER)
    with pytest.raises(NotUndoable) as caught:
        opened.undo(ME)
    assert str(caught.value) == (
        "“R-012 limit.max 45 → 50 kN” cannot be taken back alone: requirements/main.toml was changed since by B. Lind "
        "(“R-012 limit.max 50 → 60 kN”); correct it by a new change"
    )
    assert limit(opened) == 60


def test_a_new_change_ends_what_could_be_brought_back(opened: Opened) -> None:
    set_limit(opened, "50")
    opened.undo(ME)
    set_limit(opened, "55")
    with pytest.raises(NotUndoable, match="no change to bring back"):
        opened.redo(ME)


def test_two_openings_the_second_learns_of_the_first(opened: Opened) -> None:
    second = small.reopen(opened.folder.root)
    mine = set_field(opened.project, "R-012", "limit.max", "50", ME)
    theirs = set_field(second.project, "R-012", "limit.max", "60", OTHER)
    elsewhere = set_field(second.project, "L-001", "radial", "5", OTHER)
    opened.record(mine)
    before = small.bytes_of(opened.folder.root)
    with pytest.raises(Conflict, match="requirements/main.toml: was changed on disk since it was loaded; load the"):
        second.record(theirs)
    with pytest.raises(StaleHead, match="nothing was written, load the project again and repeat the change"):
        second.record(elsewhere)
    assert small.bytes_of(opened.folder.root) == before
    second.reload()
    second.record(set_field(second.project, "R-012", "limit.max", "60", OTHER))
    assert [entry.message for entry in second.folder.history().log(limit=2)] == [
        "R-012 limit.max 50 → 60 kN", "R-012 limit.max 45 → 50 kN",
    ]  # fmt: skip


def by_hand(opened: Opened, path: str, *pairs: tuple[str, str]) -> Opened:
    file: Path = opened.folder.root / path
    text = file.read_text("utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new, 1)
    file.write_text(text, "utf-8")
    return small.reopen(opened.folder.root)


def test_foreign_edits_are_told_field_by_field(opened: Opened) -> None:
    now = by_hand(opened, "requirements/main.toml", ("max = 45.0", "max = 50.0"), ('"test"', '"test", "analysis"'))
    now = by_hand(now, "designs/V1.toml", ("outer_radius = 34.0", "outer_radius = 35.0"), ("upper = 1.0", "upper = 2.0"),
                  ("diameter = 18.0", "diameter = 17.5"))  # fmt: skip
    now = by_hand(now, "materials.toml", ("value = 7850.0", "value = 7840.0"))
    assert told_edits(now) == [
        "designs/V1.toml: V1 pin.bores[1].diameter 18 → 17.5 mm",
        "designs/V1.toml: V1 layer.outer_radius 34 → 35 mm",
        "designs/V1.toml: V1 tolerances.layer.polar_end.upper 1 → 2 °",
        "materials.toml: M-001 density.value 7850 → 7840 kg/m³",
        "requirements/main.toml: R-012 verification [“test”] → [“test”, “analysis”]",
        "requirements/main.toml: R-012 limit.max 45 → 50 kN",
    ]


def test_foreign_files_that_came_went_or_broke(opened: Opened) -> None:
    root = opened.folder.root
    (root / "cost.toml").write_text("years = 1\n")
    (root / "loads.toml").unlink()
    (root / "materials.toml").write_text("x = [")
    now = by_hand(opened, "assumptions.toml", ("[[assumption]]", "# by hand\n[[assumption]]"))
    assert told_edits(now) == [
        "assumptions.toml was changed: comments, spacing or order of fields",
        "cost.toml was added",
        "loads.toml was deleted",
        "materials.toml was changed",
    ]
    now.folder.record_foreign([edit.path for edit in now.snapshot.foreign], OTHER)
    again = small.reopen(root)
    assert (again.snapshot.foreign, told_edits(again)) == ((), [])
    newest = next(again.folder.history().log())
    assert newest.author == OTHER
    assert newest.message.startswith("Edited outside the tool: assumptions.toml, cost.toml, loads.toml")
    mended = by_hand(again, "materials.toml", ("x = [", "[[material]]\nid = 'M-009'\ntitle = 'x'\nkind = 'steel'\n"))
    assert told_edits(mended) == ["materials.toml was changed"]


def test_foreign_edits_are_put_back_and_kept_aside(opened: Opened) -> None:
    before = small.bytes_of(opened.folder.root)["requirements/main.toml"]
    now = by_hand(opened, "requirements/main.toml", ("max = 45.0", "max = 50.0"))
    edited = small.bytes_of(opened.folder.root)["requirements/main.toml"]
    (kept,) = now.folder.restore(["requirements/main.toml"]).values()
    assert small.bytes_of(opened.folder.root)["requirements/main.toml"] == before
    assert kept.read_bytes() == edited
    assert small.reopen(opened.folder.root).snapshot.foreign == ()


def test_a_foreign_edit_is_never_written_over(opened: Opened) -> None:
    now = by_hand(opened, "requirements/main.toml", ("max = 45.0", "max = 50.0"))
    edited = small.bytes_of(opened.folder.root)["requirements/main.toml"]
    with pytest.raises(Conflict, match="was edited outside the tool; record that edit or put the file back first"):
        now.record(set_field(now.project, "R-012", "limit.max", "60", ME))
    now.record(set_field(now.project, "L-001", "radial", "5 kN", ME))
    assert small.bytes_of(opened.folder.root)["requirements/main.toml"] == edited
    assert [edit.path for edit in now.snapshot.foreign] == ["requirements/main.toml"]


def test_a_damaged_history_stops_writing_but_not_reading(opened: Opened) -> None:
    (opened.folder.history_dir / "refs/heads/main").write_text("nonsense")
    now = small.reopen(opened.folder.root)
    assert now.snapshot.history.status == "damaged"
    assert len(now.project.records) == len(opened.project.records)
    assert told_edits(now) == []
    before = small.bytes_of(opened.folder.root)
    with pytest.raises(DamagedHistory, match="begin a new history first"):
        now.record(add_record(now.project, "load case", {"id": "L-009", "title": "x"}, ME))
    assert small.bytes_of(opened.folder.root) == before
