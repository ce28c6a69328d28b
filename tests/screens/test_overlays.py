"""Help, list of actions, messages, appearance and hints of the app, by keys."""

from pathlib import Path

import pytest

from screens import keys
from screens.cells import cell_len
from screens.overlays import MARKS, Overlay
from screens.paint import text_of
from screens.sheets.refusals import NO_USE
from screens.widgets.sheet_list import SheetList
from tests.screens.project import Desk, at_desk, copied

ENGINEER = "M. Olsen"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


# Landing and the list of projects -------------------------------------------------------------------------------


def test_help_lists_the_live_keys_and_the_fields(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("4", "f1")
        assert isinstance(desk.app.screen, Overlay)
        lines = [str(row) for row in desk.app.screen.main._lines()]
        text = "\n".join(lines)
        for item in keys.live(desk.app.screen_stack[-2]):
            if item.id and item.id not in NO_USE:
                assert item.word in text
        assert "zoom" not in text
        assert "fields of E-0" in text and "procedure" in text
        await desk.press("escape")
        assert desk.app.here.NUMBER == "4"

    at_desk(root, ENGINEER, script)


@pytest.mark.parametrize(("sheet", "overlay"), [*((sheet, "f1") for sheet in "01234578"), ("2", "f3"), ("2", "f4")])
def test_a_question_takes_the_keys_again_after_a_page_over_it(root: Path, sheet: str, overlay: str) -> None:
    async def script(desk: Desk) -> None:
        await desk.press(sheet, "m")
        strip, recorded = desk.app.here.frame.strip, desk.app.session.opened.snapshot.head
        await desk.press("7", overlay, "escape", "8")
        assert strip.is_open and strip.has_focus and strip.entry.buffer.text == "78"
        assert desk.app.session.opened.snapshot.head == recorded

    at_desk(root, ENGINEER, script)


def test_a_dimension_being_tried_is_drawn_and_weighed_again_after_a_page_over_it(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("3", "e", "2", "0")
        await desk.pilot.pause(0.3)
        tried = next(row for row in desk.rows if " joint " in row)
        await desk.press("f1", "escape")
        await desk.pilot.pause(0.3)
        assert "1334" in tried and "1334" in next(row for row in desk.rows if " joint " in row)

    at_desk(root, ENGINEER, script)


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_help_tells_every_mark_of_a_state_whole(root: Path, size: tuple[int, int]) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("f1")
        columns = desk.app.screen.main.size.width
        rows = [text_of(row) for row in desk.app.screen.main._lines()]
        assert all(any(mark in row and cell_len(row) <= columns for row in rows) for mark in MARKS)

    at_desk(root, ENGINEER, script, size)


def test_a_rebound_key_is_told_by_help(root: Path) -> None:
    async def script(desk: Desk) -> None:
        desk.app.set_keymap({"find": "j"})
        await desk.press("f1")
        assert any(row.startswith(" j ") and "find" in row for row in desk.rows)

    at_desk(root, ENGINEER, script)


def test_the_list_of_actions_does_the_one_chosen_and_greys_with_reason(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("f2")
        listed = desk.app.screen.query_one(SheetList)
        assert "more say why not" in desk.rows[1]
        await desk.press("end")
        assert any("Nothing is drawn here; Z works on 3 Design and on a curve." in row for row in desk.rows[18:21])
        await desk.press("enter")
        assert "Nothing is drawn here" in desk.said and desk.app.here is not None
        await desk.press("f2")
        listed = desk.app.screen.query_one(SheetList)
        rows = [listed._provider(i).cells[1].text for i in range(listed.row_count())]
        listed.go_to(str(rows.index("Changes")))
        await desk.press("enter")
        assert desk.app.here.NUMBER == "8"

    at_desk(root, ENGINEER, script)


def test_messages_lead_to_their_record(root: Path) -> None:
    async def script(desk: Desk) -> None:
        desk.app.here.say("about an item [/b]", "E-013")
        await desk.press("f3")
        assert "about an item [/b]" in desk.text
        await desk.press("enter")
        assert desk.app.here.record_at_cursor() == "E-013"

    at_desk(root, ENGINEER, script)


def test_appearance_and_plain_glyphs_are_chosen(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("f4", "down", "enter")
        assert desk.app.appearance == "paper"
        await desk.press("end", "up", "enter")
        assert desk.app.plain_glyphs
        await desk.press("escape")
        assert desk.app.here is not None and "─" not in desk.text and "✓" not in desk.text

    at_desk(root, ENGINEER, script)


def test_hints_stand_in_the_message_row_until_something_is_said_and_f4_turns_them_off(root: Path) -> None:
    async def script(desk: Desk) -> None:
        assert "1 of 6" in desk.rows[-3]
        await desk.press("f4", "end", "enter")
        assert "off" in next(row for row in desk.rows if "hints" in row)
        await desk.press("escape")
        assert desk.rows[-3].strip() == ""
        await desk.press("f4", "end", "enter", "escape", "p")
        assert "p on 6 Release prints" in desk.rows[-3] and "1 of 6" not in desk.text

    at_desk(root, ENGINEER, script)


def test_a_newcomer_is_led_through_the_demonstration_project_in_six_stations(root: Path) -> None:
    async def script(desk: Desk) -> None:
        for presses, station in (
            (("0",), 1), (("7",), 2), (("3", "i"), 3), (("escape", "3"), 4), (("6",), 5), (("9",), 6)
        ):  # fmt: skip
            await desk.press(*presses)
            assert desk.rows[-3].startswith(f" {station} of 6: ") and "..." not in desk.rows[-3], desk.rows[-3]
        for presses in (("8",), ("7", "g"), ("6", "end", "enter")):
            await desk.press(*presses)
            assert "F1 tells the keys here" in desk.rows[-3], "no station of the way"

    at_desk(root, ENGINEER, script)


def test_a_digit_on_an_overlay_goes_to_the_sheet(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("f1", "8")
        assert desk.app.here.NUMBER == "8"

    at_desk(root, ENGINEER, script)


# Long work ------------------------------------------------------------------------------------------------------
