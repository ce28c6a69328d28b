"""Who wrote a record: from the history, record by record, whatever file it stands in."""

from __future__ import annotations

import pytest
import small_project as small

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.people import register_key
from dossier.store.authors import authors_of, changed_ids
from dossier.store.errors import DamagedHistory

ME, OTHER, THIRD = small.ENGINEER, small.REVIEWER, small.SAFETY


def authors(opened: Opened, *ids: str) -> dict[str, set[str]]:
    places = {name: opened.project.places[name].path for name in ids}
    return authors_of(opened.folder.history(), places)


def test_the_author_of_one_record_is_not_the_author_of_its_neighbour(opened: Opened) -> None:
    opened.record(set_field(opened.project, "R-012", "limit.max", "50", OTHER))
    assert authors(opened, "R-001", "R-012", "V1") == {"R-001": {ME}, "R-012": {ME, OTHER}, "V1": {ME}}


def test_who_takes_back_or_brings_back_is_an_author_too(opened: Opened) -> None:
    opened.record(set_field(opened.project, "R-012", "limit.max", "50", OTHER))
    opened.undo(OTHER)
    assert authors(opened, "R-012")["R-012"] == {ME, OTHER}


def test_registering_a_key_makes_nobody_an_author_and_another_field_does(opened: Opened) -> None:
    opened.record(register_key(opened.project, OTHER, "ab" * 32))
    assert authors(opened, "project") == {"project": {ME}}
    opened.record(set_field(opened.project, "project", "people.1.organisation", "Works 2", OTHER))
    assert authors(opened, "project") == {"project": {ME, OTHER}}


def test_entering_ones_own_acceptance_makes_nobody_an_author_and_another_field_does(opened: Opened) -> None:
    opened.record(set_field(opened.project, "A-001", "accepted_by", OTHER, OTHER))
    opened.record(set_field(opened.project, "A-001", "accepted_on", "2026-11-20", OTHER))
    assert authors(opened, "A-001") == {"A-001": {ME}}
    newest = next(opened.folder.history().log())
    assert changed_ids(opened.folder.history(), newest.parent, newest.id, newest.paths) == ["A-001"]
    opened.record(set_field(opened.project, "A-001", "reason", "another one", OTHER))
    assert authors(opened, "A-001") == {"A-001": {ME, OTHER}}


def test_only_what_was_written_before_counts(opened: Opened) -> None:
    head = opened.snapshot.head
    opened.record(set_field(opened.project, "R-012", "limit.max", "50", OTHER))
    places = {"R-012": "requirements/main.toml"}
    assert authors_of(opened.folder.history(), places, head) == {"R-012": {ME}}


def test_a_move_to_another_file_in_one_entry_makes_nobody_an_author(opened: Opened) -> None:
    root = opened.folder.root
    opened.record(set_field(opened.project, "R-012", "limit.max", "50", OTHER))
    (root / "requirements/moved.toml").write_bytes((root / "requirements/main.toml").read_bytes())
    (root / "requirements/main.toml").unlink()
    opened.folder.record_foreign(["requirements/main.toml", "requirements/moved.toml"], THIRD)
    assert authors(small.reopen(root), "R-001", "R-012") == {"R-001": {ME}, "R-012": {ME, OTHER}}


def test_what_was_broken_and_mended_counts_for_both(opened: Opened) -> None:
    root = opened.folder.root
    good = (root / "loads.toml").read_bytes()
    for person, data in ((OTHER, b"x = ["), (THIRD, good)):
        (root / "loads.toml").write_bytes(data)
        opened.folder.record_foreign(["loads.toml"], person)
    assert authors(small.reopen(root), "L-001") == {"L-001": {ME, OTHER, THIRD}}


def test_a_damaged_object_is_told_where_it_decides_and_left_out_where_it_is_shown(opened: Opened) -> None:
    opened.record(set_field(opened.project, "R-012", "limit.max", "50", OTHER))
    history = opened.folder.history()
    newest = next(history.log())
    assert changed_ids(history, newest.parent, newest.id, newest.paths) == ["R-012"]
    blob = history.tree_at(newest.id)["requirements/main.toml"]
    file = opened.folder.history_dir / "objects" / blob[:2] / blob[2:]
    file.chmod(0o644)
    file.write_bytes(b"broken")
    fresh = opened.folder.history()
    assert changed_ids(fresh, newest.parent, newest.id, newest.paths) == []
    with pytest.raises(DamagedHistory):
        authors(opened, "R-012")
