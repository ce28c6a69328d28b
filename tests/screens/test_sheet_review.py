"""Sheet 9 by its keys: a step is calculated, reviewed, signed, sent back; four eyes; what changed comes back."""

from itertools import product
from pathlib import Path

import pytest

from dossier.actions.answer import concede
from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.actions.run import outdated_calculations, run_calculations
from screens.review import review_of
from screens.session import Session
from screens.sheets.review_lines import chip_lines
from screens.widgets.modal import Question
from tests.screens.look import settled
from tests.screens.project import PASSPHRASE, Desk, at_desk, copied

REVIEWER, ENGINEER, RELEASER = "J. Adeyemi", "M. Olsen", "R. Hale"


@pytest.fixture(scope="module")
def calculated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The project with every result current, the forces of the new rings conceded."""
    with pytest.MonkeyPatch.context() as patch:
        folder = copied(tmp_path_factory.mktemp("calculated"), patch)
        opened = Opened(folder)
        ids = [calculation.id for calculation in outdated_calculations(opened.project)]
        opened.record(run_calculations(opened.project, ids, ENGINEER))
        until, limit = "2027-06-30", "first 5 000 joints"
        opened.record(concede(opened.view, "3.5", "deviation before manufacture", "as for index B", limit, until, RELEASER))
    return folder


@pytest.fixture
def root(calculated: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the calculated project: step 3 waits for signatures only."""
    return copied(tmp_path, monkeypatch, calculated)


async def read_and_accept(desk: Desk) -> int:
    """Accept the item shown, paging down to its end first; returns the presses."""
    sheet = desk.app.here
    presses = 0
    while sheet.page.rest:
        await desk.press("pagedown")
        presses += 1
    await desk.press("a")
    return presses + 1


async def accept_all(desk: Desk) -> int:
    presses = 0
    while desk.app.here.item is not None:
        number = desk.app.here.item.id
        presses += await read_and_accept(desk)
        assert desk.app.here.item is None or desk.app.here.item.id != number, desk.said
    return presses


def test_a_review_is_done_and_signed_by_keys(root: Path) -> None:
    async def script(desk: Desk) -> None:
        assert desk.app.here.NUMBER == "9"
        assert "Review of step 3" in desk.rows[0]
        items, given = len(desk.app.here.review.items), len(desk.app.here.review.items) - len(desk.app.here.review.left)
        presses = await accept_all(desk)
        assert presses >= items - given
        assert f"{items} items: {items} accepted, 0 withheld, 0 left." in desk.text
        await desk.press("enter")
        assert isinstance(desk.app.screen, Question)
        assert desk.rows[-1].split() == ["Enter", "take", "it", "Down", "on", "Esc", "not", "now"]
        await desk.press("enter")
        assert isinstance(desk.app.screen, Question), "Enter must not act while the passphrase is empty"
        await desk.type(PASSPHRASE)
        assert PASSPHRASE not in desk.text
        await desk.press("enter")
        assert desk.said.startswith("Step 3 released by J. Adeyemi, RV")
        assert "F1 help" in desk.rows[-1] and "You signed it as RV, and that holds." in desk.text

    at_desk(root, REVIEWER, script, land=True)
    opened = Opened(root)
    newest = opened.view.signoffs[-1]
    assert (newest.signoff.step, newest.signoff.role, newest.counts) == ("3", "RV", True)
    assert PASSPHRASE not in (root / "signoffs" / f"{newest.signoff.id}.json").read_text()
    assert opened.folder.history().check() == []


def test_answers_are_kept_at_once_and_the_review_resumes_where_it_was_left(root: Path) -> None:
    async def first(desk: Desk) -> None:
        await read_and_accept(desk)
        assert desk.app.here.item.id == "3.2"

    async def second(desk: Desk) -> None:
        assert desk.app.here.item.id == "3.2"
        assert "1 ✓" in desk.rows[3]

    at_desk(root, REVIEWER, first, land=True)
    at_desk(root, REVIEWER, second, land=True)


def test_accept_waits_until_the_whole_item_was_on_the_screen(root: Path) -> None:
    async def script(desk: Desk) -> None:
        sheet = desk.app.here
        while not sheet.page.rest:
            await desk.press("right")
        number = sheet.item.id
        await desk.press("a")
        assert "of this item below, page down" in desk.said
        assert sheet.item.id == number and sheet.item.answered == ""

    at_desk(root, REVIEWER, script, land=True)


def test_withheld_items_are_sent_back_with_their_remarks(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("w", "enter")
        assert "remark is needed" in desk.text
        await desk.type("draw the support model [b]x[/b]")
        await desk.press("enter")
        await accept_all(desk)
        assert "1 withheld" in desk.text
        await desk.press("enter")
        assert "Send step 3 back with 1 remark?" in desk.text
        await desk.type("wrong passphrase")
        await desk.press("enter")
        assert "does not open" in desk.text and isinstance(desk.app.screen, Question)
        await desk.type(PASSPHRASE)
        await desk.press("enter")
        assert desk.said.startswith("Step 3 sent back by J. Adeyemi")

    at_desk(root, REVIEWER, script, (120, 40), land=True)
    signoff = Opened(root).view.signoffs[-1].signoff
    assert signoff.decision == "sent back"
    assert "3.1: draw the support model [b]x[/b]" in signoff.statement

    async def author(desk: Desk) -> None:
        await desk.press("9")
        desk.app.here._go(0)
        await settled(desk.pilot)
        assert "sent back    draw the support model [b]x[/b] (J. Adeyemi," in desk.text

    at_desk(root, ENGINEER, author)


def test_a_withheld_item_is_taken_back_by_emptying_its_remark(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("w")
        await desk.type("xy")
        await desk.press("enter")
        assert "1 withheld" in desk.text
        desk.app.here._go(0)
        await settled(desk.pilot)
        await desk.press("w")
        assert "empty it and press Enter" in desk.text
        await desk.press("backspace", "backspace", "enter")
        assert desk.said.startswith("3.1 is withheld no longer.")
        assert "0 withheld" in desk.text and desk.app.here.review.items[0].answered == ""

    at_desk(root, REVIEWER, script, land=True)


def test_the_place_to_sign_is_whole_at_every_width(root: Path) -> None:
    session = Session(root, REVIEWER, read_only=True)
    for step in ("2", "3"):
        review = review_of(session, step)
        for columns, at in product(range(20, 130), (0, len(review.items))):
            rows = ["".join(piece.text for piece in row) for row in chip_lines(review, at, columns)]
            assert any("to sign" in row for row in rows)
            assert all(len(row) <= columns for row in rows), rows


def test_signing_with_items_left_names_them(root: Path) -> None:
    async def script(desk: Desk) -> None:
        sheet = desk.app.here
        sheet._go(len(sheet.review.items))
        await desk.press("enter")
        assert not isinstance(desk.app.screen, Question)
        assert "items left: 3.1, 3.2" in desk.said

    at_desk(root, REVIEWER, script, land=True)


def test_an_author_may_not_release_own_work_and_the_policy_line_is_named(root: Path) -> None:
    opened = Opened(root)
    opened.record(set_field(opened.project, "A-003", "reason", "ends half clamped, seen again", REVIEWER))

    async def script(desk: Desk) -> None:
        await desk.press("9")
        assert desk.app.here.review.own == ["A-003"]
        await desk.press("a")
        assert "J. Adeyemi wrote A-003" in desk.said and "own_work.RV = false" in desk.said

    at_desk(root, REVIEWER, script, (120, 40))


def test_who_signs_nothing_reads_only(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("9")
        assert "To read only" in desk.rows[1]
        await desk.press("a")
        assert "is reviewed by PE, RV" in desk.said

    at_desk(root, "P. Novak", lambda desk: _on_step_three(desk, script))


async def _on_step_three(desk: Desk, script) -> None:
    await desk.press("9")
    desk.app.here._take_step("3")
    await desk.press("0")
    await script(desk)


def test_only_items_whose_records_changed_come_back(root: Path) -> None:
    async def review(desk: Desk) -> None:
        await accept_all(desk)

    at_desk(root, REVIEWER, review, land=True)
    opened = Opened(root)
    opened.record(set_field(opened.project, "C-008", "title", "Bending of the pin, seen again", ENGINEER))

    async def again(desk: Desk) -> None:
        await desk.press("9")
        answered = {item.id: item.answered for item in desk.app.here.review.items}
        back = [name for name, word in answered.items() if word == "outdated"]
        assert back and len(back) < len(answered)
        named = {item.id for item in desk.app.here.review.items if "C-008" in item.records}
        assert named - {i.id for i in desk.app.here.review.items if i.state.answer} <= set(back)

    at_desk(root, REVIEWER, again, (120, 40))


def test_changes_since_the_last_signature_are_told_field_by_field(root: Path) -> None:
    async def script(desk: Desk) -> None:
        sheet = desk.app.here
        item = next(i for i in sheet.review.items if i.id == "3.3")
        sheet._go(sheet.review.items.index(item))
        await desk.press("end")
        assert "changed since your signature of 2026-11-03" in desk.text
        assert "result.saving was" in desk.text

    at_desk(root, REVIEWER, script, (120, 40), land=True)


def test_detail_goes_to_the_record_and_escape_comes_back(root: Path) -> None:
    async def script(desk: Desk) -> None:
        sheet = desk.app.here
        item = next(i for i in sheet.review.items if len(i.records) > 1)
        sheet._go(sheet.review.items.index(item))
        await desk.press("i")
        assert "record behind it" in desk.text
        await desk.press("escape")
        assert desk.app.here is sheet and sheet.item.id == item.id

    at_desk(root, REVIEWER, script, land=True)


def test_the_arrows_lead_on_to_the_other_steps_and_the_key_row_names_g(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("9")
        sheet = desk.app.here
        sheet.step, sheet.at = "5", 0
        sheet.refill()
        await desk.press(*["right"] * (len(sheet.review.items) + 1))
        assert sheet.step == "6" and sheet.at == 0
        await desk.press("left")
        assert sheet.step == "5" and sheet.item is None
        assert "g other step" in desk.rows[-1]
        sheet.step, sheet.at = "1", 0
        sheet.refill()
        await desk.press("left")
        assert sheet.step == "1" and "is the first one" in desk.said

    at_desk(root, ENGINEER, script)


def test_an_empty_remark_says_so_and_one_that_is_kept_or_removed_too(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("9")
        number = desk.app.here.item.id
        await desk.press("m", "enter")
        assert "the remark is empty" in desk.text and desk.app.here.frame.strip.is_open
        await desk.type("look again")
        await desk.press("enter")
        assert desk.said == f"{number}: remark kept, signed with the statement."
        await desk.press("m", *["backspace"] * len("look again"), "enter")
        assert desk.said == f"{number}: remark removed."

    at_desk(root, ENGINEER, script)
