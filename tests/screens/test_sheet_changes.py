"""Sheet 8 by its keys: seen up to here, what each change touched, outside edits, taking back, long histories."""

from pathlib import Path

import pytest

from dossier.actions.edit import set_field
from dossier.actions.opened import Opened
from dossier.store.change import Change
from screens.changes import told_fields, when_in_words
from tests.screens.project import Desk, at_desk, copied
from tests.screens.sample import HOSTILE

ENGINEER = "M. Olsen"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    return copied(tmp_path, monkeypatch)


def edit_outside(root: Path) -> None:
    file = root / "project.toml"
    file.write_text(file.read_text().replace("annual_volume = 12000", "annual_volume = 13000"))


def test_the_line_seen_up_to_here_is_kept_per_person(root: Path) -> None:
    async def look(desk: Desk) -> None:
        await desk.press("8")
        assert "seen up to here" not in desk.text

    at_desk(root, ENGINEER, look)
    opened = Opened(root)
    opened.record(set_field(opened.project, "M-04", "remark", "mixed again", ENGINEER))

    async def again(desk: Desk) -> None:
        await desk.press("8")
        assert desk.rows[1].startswith(" 1 change since today")
        lines = [index for index, row in enumerate(desk.rows) if "seen up to here" in row]
        assert lines and "M-04 remark" in desk.rows[lines[0] - 1]

    async def other(desk: Desk) -> None:
        await desk.press("8")
        assert "for the first time" in desk.rows[1]

    at_desk(root, ENGINEER, again)
    at_desk(root, "R. Hale", other)


def test_a_change_is_told_field_by_field_with_what_it_made_outdated(root: Path) -> None:
    opened = Opened(root)
    opened.record(set_field(opened.project, "V2", "carrier.outer_radius", "38.20 mm", ENGINEER))

    async def script(desk: Desk) -> None:
        await desk.press("8")
        assert "was 38.14 mm   now 38.2 mm" in desk.text or "now 38.2 mm" in desk.text
        assert "step 3" in desk.text
        assert "outdated now     C-002 C-003" in desk.text

    at_desk(root, ENGINEER, script, (120, 40))


@pytest.mark.parametrize(("key", "volume"), [("a", 13000), ("w", 12000)])
def test_an_outside_edit_is_shown_then_taken_in_or_put_back(root: Path, key: str, volume: int) -> None:
    edit_outside(root)

    async def script(desk: Desk) -> None:
        assert "Files edited outside the tool: 1" in desk.said
        await desk.press("8")
        assert "project.toml changed" in desk.text and "not taken in" in desk.text
        await desk.press("enter")
        assert "was 12000   now 13000   +8.3 %" in desk.text
        await desk.press(key)
        assert ("taken in under your name" if key == "a" else "Put back as recorded") in desk.said
        assert not desk.app.session.opened.snapshot.foreign
        assert "not taken in" not in desk.text

    at_desk(root, ENGINEER, script)
    opened = Opened(root)
    assert opened.project.header.annual_volume == volume
    newest = next(opened.folder.history().log())
    assert (newest.author == ENGINEER and "project.toml" in newest.message) == (key == "a")


def test_a_and_w_on_a_recorded_change_say_why_not(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("8", "a")
        assert "recorded already" in desk.said

    at_desk(root, ENGINEER, script)


def test_take_back_and_bring_back(root: Path) -> None:
    opened = Opened(root)
    before = opened.project.get("M-04").remark
    opened.record(set_field(opened.project, "M-04", "remark", "mixed again", ENGINEER))

    async def script(desk: Desk) -> None:
        await desk.press("8", "u")
        assert "Taken back: M-04 remark" in desk.said and "y brings it back" in desk.said
        assert desk.app.session.opened.project.get("M-04").remark == before != "mixed again"
        await desk.press("y")
        assert desk.app.session.opened.project.get("M-04").remark == "mixed again"

    at_desk(root, ENGINEER, script)


def test_history_of_one_record_and_back_to_all(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("7")
        record = desk.app.here.record_at_cursor()
        await desk.press("h")
        assert f"changes of {record}" in desk.rows[1]
        few = desk.app.here.list.row_count()
        assert few > 0 and all(record in desk.app.here.reader.ids(e) for e in desk.app.here._entries)
        await desk.press("escape")
        assert desk.app.here.NUMBER == "8" and desk.app.here.list.row_count() > few
        await desk.press("escape")
        assert desk.app.here.NUMBER == "7"

    at_desk(root, ENGINEER, script)


def test_a_long_history_is_read_page_by_page(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("8")
        sheet = desk.app.here
        assert sheet.list.row_count() == 100 and "The newest 100 changes" in desk.rows[1]
        await desk.press("end")
        assert sheet.list.row_count() > 100

    at_desk(root, ENGINEER, script)


def test_hostile_words_in_changes(root: Path) -> None:
    texts = [text[:300] for text in HOSTILE if "\udc80" not in text]
    opened = Opened(root)
    for text in texts:
        opened.record(Change(text, ENGINEER, {"materials.toml": (root / "materials.toml").read_bytes() + b"\n"}))

    async def script(desk: Desk) -> None:
        await desk.press("8")
        assert "x [/b] 5 [mm] y" in desk.text
        for _ in texts:
            await desk.press("down", "d", "d")
        assert all(ord(character) >= 32 for row in desk.rows for character in row)

    at_desk(root, ENGINEER, script)


def test_fields_of_a_deleted_an_added_and_a_broken_file() -> None:
    data = b'id = "V9"\ntitle = "variant 9"\nkind = "variant"\n'
    assert told_fields("designs/V9.toml", data, None)[0].now == "deleted"
    added = told_fields("designs/V9.toml", None, data)
    assert (added[0].record, added[0].now) == ("V9", "added  variant 9")
    assert "line" in told_fields("designs/V9.toml", data, b"id = [")[0].now


def test_when_in_words_from_today_to_years_ago() -> None:
    from datetime import datetime, timedelta

    now = datetime.now().astimezone().replace(hour=12)
    assert when_in_words(now.isoformat(), now).startswith("today ")
    assert when_in_words((now - timedelta(days=1)).isoformat(), now).startswith("yest. ")
    assert when_in_words("2019-03-04T10:00:00Z", now) == "2019-03-04"


def test_a_change_of_many_records_leaves_the_list_its_rows(root: Path) -> None:
    async def script(desk: Desk) -> None:
        await desk.press("8")
        shown = [row for row in desk.rows[5:] if row.rstrip().endswith(("│", "┃"))]
        assert len(shown) >= 6, desk.text
        assert any("more carried over" in row for row in desk.rows), desk.text

    at_desk(root, ENGINEER, script)
