"""Printing the draft and freezing a revision beside the sheets, on a copy of the demonstration project."""

from __future__ import annotations

from pathlib import Path

import pytest

from dossier.actions.answer import answer_check
from dossier.actions.opened import Opened
from dossier.actions.sign import sign_step
from dossier.checks.standing import DONE, standing
from dossier.records.step import STEPS
from dossier.store.revisions import letters, read_revision
from tests.screens.project import PASSPHRASE, Desk, at_desk, copied

ENGINEER, RELEASER = "M. Olsen", "R. Hale"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


@pytest.fixture(scope="module")
def signed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project as it was when the releaser had signed its last step."""
    with pytest.MonkeyPatch.context() as patch:
        return _back_to_the_last_signature(copied(tmp_path_factory.mktemp("signed"), patch))


@pytest.fixture
def closed(signed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the signed project."""
    return copied(tmp_path, monkeypatch, signed)


def _back_to_the_last_signature(root: Path) -> Path:
    history = Opened(root).folder.history()
    then = next(entry.id for entry in history.log() if entry.message.startswith(f"step 6 released by {RELEASER}"))
    wanted, now = history.tree_at(then), history.tree_at(history.head())
    for path in now:
        if path not in wanted:
            (root / path).unlink()
        else:
            (root / path).write_bytes(history.read_at(then, path) or b"")
    (root / "history.git" / "refs" / "heads" / "main").write_text(f"{then}\n")
    answered_and_signed(Opened(root))
    return root


def answered_and_signed(opened: Opened) -> None:
    """Give again what today's checks take as given to other facts, and sign again what that supersedes."""
    people = opened.project.header.people
    for number in STEPS:
        step = next(step for step in standing(opened.view).steps if step.number == number)
        for check in [check for check in step.checks if check.state not in DONE and check.check.kind != "computed"]:
            by = next(person.name for person in people if check.check.role in person.roles)
            opened.record(answer_check(opened.view, check.check.id, "met", by))
        for role in next(step for step in standing(opened.view).steps if step.number == number).missing_roles:
            by = next(person.name for person in people if role in person.roles)
            opened.record(sign_step(opened, number, by, role, PASSPHRASE))


def drafts(root: Path) -> list[str]:
    return [path.name for path in (root / "drafts").iterdir()] if (root / "drafts").exists() else []


async def until_pages(desk: Desk) -> None:
    """Wait until pages are drawn."""
    for _ in range(1200):
        if "page " in desk.rows[1]:
            return
        await desk.pilot.pause(0.05)
    raise AssertionError(f"no page was told: {desk.rows[1]}")


def test_the_draft_is_printed_beside_the_sheets(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("6", "p")
        assert desk.app.running is not None and "Esc stops" in desk.rows[1]
        await desk.press("2", "p")
        assert desk.app.here.NUMBER == "2", "the sheets stay usable"
        await until_pages(desk)
        await desk.press("C")
        assert desk.said == "the draft is being printed; Esc stops it first."
        await desk.work_done()
        assert desk.said.startswith("Draft printed: drafts/") and "Esc stops" not in desk.rows[1]

    at_desk(root, ENGINEER, script)
    assert len(drafts(root)) == 1 and (root / "drafts" / drafts(root)[0]).read_bytes().startswith(b"%PDF")


def test_escape_stops_printing_and_leaves_no_draft(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("6", "p")
        await until_pages(desk)
        await desk.press("escape")
        await desk.work_done()
        assert desk.said == "Stopped: the draft is not printed; nothing of it was written."
        assert desk.app.here.NUMBER == "6"

    at_desk(root, ENGINEER, script)
    assert drafts(root) == []


@pytest.mark.parametrize("stopped", [True, False])
def test_a_revision_is_frozen_as_a_whole_or_not_at_all(closed: Path, stopped: bool) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("6", "n")
        assert "Freeze revision B?" in desk.text
        await desk.type(PASSPHRASE)
        await desk.press("enter")
        await until_pages(desk)
        if stopped:
            await desk.press("escape")
        await desk.work_done()
        told = "Stopped: revision B is not frozen" if stopped else "Revision B is frozen: "
        assert desk.said.startswith(told)

    at_desk(closed, RELEASER, script)
    assert letters(closed) == (["A"] if stopped else ["A", "B"])
    assert sorted(path.name for path in (closed / "revisions").iterdir()) == letters(closed)
    if not stopped:
        assert read_revision(closed, "B").faults == []


def test_a_refused_freeze_says_why_and_freezes_nothing(root: Path) -> None:
    async def script(desk: Desk) -> None:
        desk.app.freeze("not needed, the steps are open")
        await desk.work_done()
        assert "Nothing was frozen: revision B cannot be frozen: step " in desk.said

    at_desk(root, RELEASER, script)
    assert letters(root) == ["A"]
