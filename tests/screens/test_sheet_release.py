"""Sheet 6 driven by keys on a copy of the demonstration project."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.run import run_calculations
from screens.chapters import chapters
from screens.session import Session
from tests.screens.project import Desk, at_desk, copied

ENGINEER = "M. Olsen"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


def test_a_chapters_state_is_that_of_its_content_not_of_its_step(root: Path) -> None:
    session = Session(root, ENGINEER)
    try:
        found = {chapter.number: chapter for chapter in chapters(session)}
        steps = {step.number: step for step in session.standing.steps}
        assert steps["5"].state == "reopened" and found["5"].state == "met", "both results of the cost are current"
        assert found["3"].state == "outdated" and " outdated" in found["3"].why
        assert found["2"].state == "undecided" and found["9"].state == "open"
        outdated = [run.id for run in session.opened.project.calculations
                    if session.opened.view.freshness[run.id].state == "outdated"]  # fmt: skip
        session.record(run_calculations(session.opened.project, outdated, ENGINEER))
        assert "outdated" not in {chapter.number: chapter for chapter in chapters(session)}["3"].why
        session.record(set_field(session.opened.project, "cost", "rates.administration_sales", "0.12", ENGINEER))
        assert {chapter.number: chapter for chapter in chapters(session)}["5"].state == "outdated"
    finally:
        session.close()


def test_enter_leads_from_every_chapter_to_where_it_is_written_and_its_word_follows_the_row(root: Path) -> None:
    async def script(desk: Desk) -> None:
        session = desk.app.session
        for number, chapter in enumerate(chapters(session)):
            await desk.press("6", "home", *["down"] * number)
            assert "Enter go there" in desk.rows[-1]
            told = " ".join(" ".join(row.split("│")[-1].split()) for row in desk.rows)
            assert chapter.title in desk.text and chapter.why in told
            await desk.press("enter")
            here = desk.app.here
            assert chapter.goal == here.NUMBER if chapter.goal.isdigit() else here.item.id == chapter.goal
        await desk.press("6", "end")
        assert "Enter verify" in desk.rows[-1]

    at_desk(root, ENGINEER, script, (120, 40))


def test_an_empty_project_has_no_chapter_that_is_met_for_want_of_records(tmp_path: Path) -> None:
    from dossier.actions.create import new_project
    from dossier.store.folder import ProjectFolder

    root = tmp_path / "empty"
    root.mkdir()
    ProjectFolder(root).commit(new_project(root, "empty", ENGINEER, ["PE"]), None)
    session = Session(root, ENGINEER)
    try:
        assert Opened(root).project.records and {c.state for c in chapters(session) if c.number in "2345679"} == {"open"}
    finally:
        session.close()
