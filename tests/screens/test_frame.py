"""The constant rows of a sheet at both sizes, in three appearances, without colour, and in small terminals."""

import pytest
from rich.cells import cell_len

from screens.glyphs import ambiguous
from screens.palette import APPEARANCES
from screens.widgets.frame import MOST_MESSAGES, MessageLog
from screens.widgets.frame_lines import TitleBlock, message_row, progress_text, rule_row, title_row
from screens.widgets.house import Lines, Page
from screens.widgets.section_view import SectionView
from tests.screens import look, parts
from tests.screens.sample import BLOCK, SampleApp, requirement_list, side_by_side

EXPECTED_80 = {
    0: " 2 Requirements                  Which requirement is not covered, or not held? ",
    1: " 47 requirements: 33 met, 2 not met, 10 open, 1 outdated, 1 conceded.           ",
    2: "─" * 80,
    21: " Sorted by id; showing 10 of 47.                                                ",
    22: " AX-76 axle link │ V2 : ref. │ work on B │ M. Olsen PE │ 1✓2✓3∆4✗5▫6▫ │ saved   ",
    23: " r rests on  e edit  n new  g group  F1 help                                    ",
}
TITLE_120 = (" AX-76 axle link │ J-7610 V2 : reference J-7600 │ work on B, 3 changes since A │ M. Olsen PE │ "
             "1✓ 2✓ 3∆ 4✗ 5▫ 6▫ │ saved")


def line_text(pieces) -> str:
    """Characters of a line of pieces."""
    return "".join(piece.text for piece in pieces)


@pytest.mark.parametrize("appearance", sorted(APPEARANCES))
def test_rows_stand_where_they_belong_at_80x24(appearance: str) -> None:
    app = SampleApp(requirement_list(), appearance=appearance)

    async def script(pilot) -> None:
        rows = look.text_of(app)
        assert len(rows) == 24 and all(cell_len(row) == 80 for row in rows)
        assert {number: rows[number] for number in EXPECTED_80} == EXPECTED_80
        assert rows[3].split() == ["id", "requirement", "limit", "V2", "..0....", "margin"]
        assert rows[5].startswith(" > R-007 radial stiffness")

    look.drive(app, (80, 24), script)


@pytest.mark.parametrize("appearance", sorted(APPEARANCES))
def test_rows_and_margin_at_120x40(appearance: str) -> None:
    app = SampleApp(requirement_list(), appearance=appearance)

    async def script(pilot) -> None:
        rows = look.text_of(app)
        assert len(rows) == 40 and all(cell_len(row) == 120 for row in rows)
        assert rows[0].startswith(" 2 Requirements") and rows[0].endswith(" not held? ")
        assert rows[2] == "─" * 120
        assert all(row[29] == "│" for row in rows[3:37])
        assert rows[3].startswith(" section: C rubber           │   id")
        assert rows[38] == TITLE_120
        assert rows[39].startswith(" r rests on")

    look.drive(app, (120, 40), script)


@pytest.mark.parametrize("appearance", sorted(APPEARANCES))
def test_only_colours_of_the_palette_are_shown(appearance: str) -> None:
    view = SectionView()
    app = SampleApp(view, appearance=appearance)
    palette = APPEARANCES[appearance]
    known = {palette.text(role).lower() for role in ("ink", "quiet", "key", "rule", "met", "notmet", "open", "outdated",
                                                      "conceded")}
    known |= {palette.area(area).lower() for area in ("ground", "lifted", "focus", *"ABCDEF")}

    async def script(pilot) -> None:
        view.show(parts.section())
        await pilot.pause()
        styles = [segment.style for row in look.rows_of(app) for segment in row]
        shown = {colour.get_truecolor().hex for style in styles for colour in (style.color, style.bgcolor) if colour}
        assert shown <= known and len(shown) > 8

    look.drive(app, (80, 24), script)


def test_appearances_change_while_running() -> None:
    app = SampleApp(requirement_list())

    async def script(pilot) -> None:
        shown = {}
        for _ in range(3):
            shown[app.appearance] = look.rows_of(app)[0][0].style.bgcolor.get_truecolor().hex.upper()
            before = look.text_of(app)
            await pilot.press("f4")
            await pilot.pause()
            assert look.text_of(app) == before
        assert shown == {name: entry.ground for name, entry in APPEARANCES.items()}
        assert set(app.available_themes) == set(APPEARANCES)

    look.drive(app, (80, 24), script)


@pytest.mark.parametrize("size", look.SIZES)
def test_no_color_takes_all_colour_away(size: tuple[int, int], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    rows = requirement_list(100)
    view = SectionView(classes="second")
    app = SampleApp(rows, view)

    async def script(pilot) -> None:
        view.show(parts.section())
        rows.focus()
        await pilot.pause()
        segments = [segment for row in look.rows_of(app) for segment in row]
        for segment in segments:
            for colour in (segment.style.color, segment.style.bgcolor):
                assert colour is None or colour.is_default, segment
        reversed_text = "".join(segment.text for segment in segments if segment.style.reverse)
        assert ">" in reversed_text and "R-007" in reversed_text and "outdated" in reversed_text
        bold = "".join(segment.text for segment in segments if segment.style.bold)
        assert "2 Requirements" in bold and "margin" in bold

    look.drive(app, size, script)


@pytest.mark.parametrize("size", look.SIZES)
def test_plain_glyphs_leave_no_doubtful_width(size: tuple[int, int]) -> None:
    view = SectionView(classes="second")
    app = SampleApp(requirement_list(100), view, plain_glyphs=True)

    async def script(pilot) -> None:
        view.show(parts.section())
        await pilot.pause()
        text = look.text_of(app)
        assert not [character for row in text for character in ambiguous(row)]
        assert all(row.isascii() for row in text)
        assert all(cell_len(row) == size[0] for row in text)
        assert "v met" in "\n".join(text) and "d outdated" in "\n".join(text)
        app.set_plain_glyphs(False)
        await pilot.pause()
        assert "✓ met" in "\n".join(look.text_of(app))

    look.drive(app, size, script)


@pytest.mark.parametrize("size", [(79, 24), (80, 23), (60, 18), (40, 12), (20, 8), (10, 4), (3, 2), (1, 1)])
def test_small_terminals_show_one_column_and_say_so(size: tuple[int, int]) -> None:
    second = Lines(["second column"])
    app = SampleApp(side_by_side(requirement_list(), second))

    async def script(pilot) -> None:
        text = look.text_of(app)
        assert len(text) == size[1] and all(cell_len(row) == size[0] for row in text)
        assert not any("second column" in row for row in text)
        if size[0] >= 40:
            assert "one column" in text[2]
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        assert any("second column" in row for row in look.text_of(app))

    look.drive(app, size, script)


def test_rule_says_the_size() -> None:
    assert line_text(rule_row(72, 20)).startswith("── 72x20 is below 80x24: one column ─")
    assert line_text(rule_row(80, 24)) == "─" * 80
    assert all(len(line_text(rule_row(columns, 10))) == columns for columns in range(1, 80))


def test_long_answer_takes_a_second_row_and_is_cut_after_a_word_only_beyond_it() -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        app.frame.set_answer("Step 3 reopened: " + "one result outdated, " * 5 + "and 4 things are yours.")
        await pilot.pause()
        rows = look.text_of(app)[1:4]
        assert rows[0].rstrip().endswith("one result") and rows[1].rstrip().endswith("are yours.") and rows[2][0] == "─"
        app.frame.set_answer("word " * 100)
        await pilot.pause()
        assert look.text_of(app)[2].split() == ["word"] * 12 + ["...", "F1", "shows", "all"]
        app.frame.set_progress(progress_text(0.6, 8))
        await pilot.pause()
        row = look.text_of(app)[1]
        assert row.startswith(" word word") and row.rstrip().endswith("... 60 %  8 s left  Esc stops")
        app.frame.set_progress(None)
        app.frame.set_answer("short")
        await pilot.pause()
        assert "Esc stops" not in look.text_of(app)[1] and look.text_of(app)[2][0] == "─"

    look.drive(app, (80, 24), script)
    assert progress_text(1.7) == "... 100 %  Esc stops"
    assert progress_text(None, None, "page 12") == "... page 12  Esc stops"


def test_a_long_message_ends_after_a_word_and_names_the_key_that_shows_all() -> None:
    assert line_text(message_row("short", 80)) == " short"
    shown = line_text(message_row("one result outdated " * 9, 80))
    assert len(shown) == 79 and shown.endswith(" F3 shows all")
    assert shown.removesuffix("F3 shows all").rstrip().endswith(("outdated ...", "result ...", "one ..."))


@pytest.mark.parametrize("columns", [20, 40, 60, 80, 100, 119, 120, 160])
def test_title_block_keeps_steps_and_state(columns: int) -> None:
    long = TitleBlock("a project with a very long name indeed", ("V2 : ref.", "J-7610 V2 : reference J-7600 of old"),
                      ("work on B", "work on B, 3 changes since A"), "Maximiliane Olsen-Lindqvist PE", BLOCK.steps)
    text = line_text(title_row(long, columns))
    if columns >= 60:
        assert cell_len(text) <= columns
        assert "1✓" in text and text.endswith("saved")
    assert text.startswith(" a")


def test_title_block_without_steps() -> None:
    block = TitleBlock("projects", ("in ~/joints", "in ~/joints"), ("key found", "key found"), "M. Olsen PE")
    assert line_text(title_row(block, 80)) == " projects │ in ~/joints │ key found │ M. Olsen PE │ saved"


def test_messages_stay_and_are_kept() -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        app.frame.message("first", "R-001")
        app.frame.message("second")
        await pilot.pause()
        assert look.text_of(app)[21].strip() == "second"
        assert [(said.text, said.record) for said in app.frame.messages.said[-2:]] == [("first", "R-001"),
                                                                                       ("second", "")]

    look.drive(app, (80, 24), script)
    log = MessageLog()
    for number in range(MOST_MESSAGES + 20):
        log.add(str(number))
    assert len(log.said) == MOST_MESSAGES and log.newest == str(MOST_MESSAGES + 19)


def test_keys_of_the_row_are_checked() -> None:
    app = SampleApp()
    with pytest.raises(KeyError):
        app.frame.set_keys("no-such-key")
    with pytest.raises(ValueError, match="at most 5"):
        app.frame.set_keys("edit", "new", "find", "group", "history", "term")


def test_page_reads_to_its_end() -> None:
    page = Page([f"line {number}" for number in range(50)])
    app = SampleApp(page)

    async def script(pilot) -> None:
        page.focus()
        await pilot.pause()
        assert page.rest == 50 - 18
        await pilot.press("pagedown")
        assert page.top == 17 and page.rest == 15
        await pilot.press("end")
        await pilot.pause()
        assert page.rest == 0 and "line 49" in look.text_of(app)[20]
        await pilot.press("up")
        assert page.rest == 1
        await pilot.press("home")
        assert page.top == 0
        page.show(["short"])
        await pilot.pause()
        assert page.rest == 0 and look.text_of(app)[3].startswith("short")

    look.drive(app, (80, 24), script)


def test_lines_follow_their_width_and_are_made_once() -> None:
    asked: list[int] = []

    def make(columns: int) -> list[str]:
        asked.append(columns)
        return [f"{columns} columns", "second", "third"]

    lines = Lines(make)
    app = SampleApp(lines)

    async def script(pilot) -> None:
        assert look.text_of(app)[3].startswith("80 columns") and asked.count(80) == 1
        await pilot.resize_terminal(100, 24)
        await pilot.pause()
        assert look.text_of(app)[3].startswith("100 columns")
        lines.show(["other"])
        await pilot.pause()
        assert look.text_of(app)[3].startswith("other") and "second" not in look.text_of(app)[4]

    look.drive(app, (80, 24), script)
