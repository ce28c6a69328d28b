"""What is worked out from records that never change is worked out once, and anew for what changed."""

from __future__ import annotations

import pytest
import small_project as small

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.run import with_changes
from dossier.checks import base
from dossier.checks.standing import standing
from dossier.methods import freshness as fresh
from dossier.store.digest import sha256_of_document


def digests(opened: Opened) -> dict[str, str]:
    return {name: opened.project.sha256(name) for name in opened.project.records}


def test_digests_are_those_of_the_fields_before_and_after_a_change(opened: Opened) -> None:
    before = digests(opened)
    assert before == {name: sha256_of_document(raw) for name, raw in opened.project.raw.items()}
    change = set_field(opened.project, "R-012", "limit.max", "46 kN", small.ENGINEER)
    draft = with_changes(opened.project, change)
    opened.record(change)
    other_requirements = {n for n, place in opened.project.places.items() if place.path == opened.project.places["R-012"].path}
    for project in (draft, opened.project):
        assert set(project.derived["sha256"]) == set(before) - other_requirements
        assert {name: project.sha256(name) for name in before} == {
            name: sha256_of_document(raw) for name, raw in opened.project.raw.items()
        }
    assert opened.project.sha256("R-012") != before["R-012"]


def test_an_edit_outside_the_tool_is_seen(opened: Opened) -> None:
    before = digests(opened)
    path = opened.folder.root / opened.project.places["R-012"].path
    path.write_text(path.read_text("utf-8").replace("45.0", "47.0"), "utf-8")
    opened.reload()
    assert opened.project.sha256("R-012") == sha256_of_document(opened.project.raw["R-012"]) != before["R-012"]


def test_checks_and_freshness_are_worked_out_once_a_view(opened: Opened, monkeypatch: pytest.MonkeyPatch) -> None:
    checked: list[str] = []
    compared: list[str] = []
    state_of, compare = base._state_of, fresh._compared
    monkeypatch.setattr(base, "_state_of", lambda view, text: checked.append(text.id) or state_of(view, text))
    monkeypatch.setattr(fresh, "_compared", lambda project, c: compared.append(c.id) or compare(project, c))
    opened.reload()
    first = standing(opened.view)
    assert standing(opened.view).as_plain() == first.as_plain()
    assert sorted(checked) == sorted(base.check_texts())
    assert sorted(compared) == sorted(c.id for c in opened.project.calculations)
