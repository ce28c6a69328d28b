"""Sheets 1 to 3 of a project without a record, and of one that cannot be written."""

from __future__ import annotations

from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.create import new_project
from dossier.actions.edit import add_record
from dossier.actions.opened import Opened
from dossier.store.folder import ProjectFolder
from dossier.store.lock import SessionLock
from screens.app import DossierApp
from screens.widgets.modal import Question
from tests.screens.look import text_of
from tests.screens.sheet_case import copied, driven, press, records_bytes, retype, shown

VERBS = "a b c C d e g h i k l m n o O p r s t v w x y z Z"


@pytest.fixture
def empty(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    root = tmp_path / "empty"
    change = new_project(root, "Empty one", "M. Olsen", ["PE"])
    root.mkdir()
    ProjectFolder(root).commit(change, None)
    return root


@pytest.mark.parametrize("sheet", ["1", "2", "3"])
@pytest.mark.parametrize("size", [(80, 24), (120, 40), (60, 12)])
def test_every_verb_says_or_asks_something_on_an_empty_sheet(empty: Path, sheet: str, size: tuple[int, int]) -> None:
    """A drawing key may move the empty drawing only; every other verb leaves a message or a question."""
    silent = []

    async def script(app: DossierApp, pilot: Pilot) -> None:
        for verb in VERBS.split():
            await press(pilot, sheet)
            said = len(app.session.messages.said)
            await press(pilot, verb)
            open_strip = app.here is not None and app.here.frame.strip.is_open
            if not (len(app.session.messages.said) > said or open_strip or isinstance(app.screen, Question)):
                silent.append(verb)
            if open_strip or isinstance(app.screen, Question):
                await press(pilot, "escape")
        await press(pilot, sheet)
        assert sheet == app.here.NUMBER and len(text_of(app)) == size[1]

    driven(empty, size, script)
    assert set(silent) <= ({"z", "Z"} if sheet == "3" else set())


def test_the_first_requirement_and_the_first_concept_of_a_project(empty: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "1", "n")
        await retype(app, pilot, "Hollow pin")
        await press(pilot, "enter")
        await retype(app, pilot, "900")
        await press(pilot, "enter")
        await press(pilot, "2", "n", "enter")
        for text in ("Mass", "The joint shall have a mass of at most 1 kg."):
            await retype(app, pilot, text)
            await press(pilot, "enter")
        await press(pilot, "enter")
        for text in ("kg", "<= 1000 g"):
            await retype(app, pilot, text)
            await press(pilot, "enter")
        assert "R-001" in shown(app)

    driven(empty, (80, 24), script)
    project = Opened(empty).project
    assert project.get("R-001").limit.max == 1.0
    assert [(concept.id, concept.mass) for concept in project.idea.concept] == [("V1", 0.9)]


def test_where_another_person_is_at_work_nothing_is_recorded(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))
    root = copied(tmp_path)
    before = records_bytes(root)
    other = SessionLock(root, "J. Adeyemi")
    assert other.acquire()

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "3", "home", "e")
        await retype(app, pilot, "17")
        await press(pilot, "enter")
        assert "Read-only" in text_of(app)[-3] and "Nothing was recorded" in app.session.messages.newest

    try:
        driven(root, (80, 24), script)
    finally:
        other.release()
    assert records_bytes(root) == before


def test_thousands_of_requirements_are_listed_and_moved_through(empty: Path) -> None:
    """Only rows in view are made; the last of 3000 is reached by one key."""
    opened = Opened(empty)
    raw = {"id": "R-0001", "title": "one", "statement": "It shall be.", "quantity": "mass", "unit": "g",
           "limit": {"kind": "max", "max": 1.0}}  # fmt: skip
    opened.record(add_record(opened.project, "requirement", raw, "M. Olsen"))
    path = next((empty / "requirements").glob("*.toml"))
    first = path.read_text()
    path.write_text("\n".join(first.replace("R-0001", f"R-{number:04d}") for number in range(1, 3001)))
    made = []

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "2")
        row = app.here._row
        app.here.rows.set_rows(app.here.rows.model.ids, lambda index: (made.append(index), row(index))[1])
        await press(pilot, "end")
        assert app.here.record_at_cursor() == "R-3000" and "> R-3000" in shown(app)

    driven(empty, (80, 24), script)
    assert 0 < len(set(made)) < 60
