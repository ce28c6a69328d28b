"""The entry strip and the text in it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from screens.glyphs import clean
from screens.widgets.entry import MOST_ROWS, Entry, Option, entry_lines
from screens.widgets.field import many_rows, one_row, spans
from screens.widgets.text_buffer import TextBuffer
from tests.screens import look
from tests.screens.sample import SampleApp, requirement_list

EDITS = st.lists(st.one_of(st.text("ab c漢", min_size=1, max_size=4), st.sampled_from(
    ["<back", "<delete", "<left", "<right", "<home", "<end", "<clear"])), max_size=25)


def apply(buffer: TextBuffer, edit: str) -> None:
    """One step of writing."""
    moves = {"<left": buffer.cursor - 1, "<right": buffer.cursor + 1, "<home": 0, "<end": len(buffer.text)}
    if edit in moves:
        buffer.move(moves[edit])
    elif edit == "<back":
        buffer.backspace()
    elif edit == "<delete":
        buffer.delete()
    elif edit == "<clear":
        buffer.clear()
    else:
        buffer.insert(edit)


@given(EDITS)
def test_undo_leads_back_and_redo_forth(edits: list[str]) -> None:
    buffer = TextBuffer("begin")
    for edit in edits:
        apply(buffer, edit)
        assert 0 <= buffer.cursor <= len(buffer.text)
    end, steps = buffer.text, 0
    while buffer.undo():
        steps += 1
    assert buffer.text == "begin"
    while buffer.redo():
        steps -= 1
    assert buffer.text == end and steps == 0


@pytest.mark.parametrize(
    ("presses", "left"),
    [(["2", "1"], "21"), (["backspace", "9"], "19"), (["left", "2"], "128"), (["end", "0"], "180"), (["home", "delete"], "8")],
)
def test_typing_replaces_a_recorded_value_and_moving_or_deleting_keeps_it(presses: list[str], left: str) -> None:
    app = Recorder()

    async def script(pilot) -> None:
        strip = app.frame.strip
        strip.open(Entry("edit", "V2.bore", "bore", "18", "mm"))
        await pilot.pause()
        await pilot.press(*presses)
        assert strip.entry.buffer.text == left
        while strip.undo_text():
            pass
        assert strip.entry.buffer.text == "18"

    look.drive(app, (80, 24), script)


def test_words_are_taken_back_one_by_one() -> None:
    buffer = TextBuffer()
    for character in "show the model":
        buffer.insert(character)
    seen = []
    while buffer.undo():
        seen.append(buffer.text)
    assert seen == ["show the", "show", ""]
    buffer.redo()
    buffer.insert("x")
    assert not buffer.redo()


@given(st.text("ab c漢é", max_size=80), st.integers(4, 30), st.integers(0, 90), st.booleans())
def test_field_shows_its_caret_in_its_width(text: str, columns: int, cursor: int, secret: bool) -> None:
    buffer = TextBuffer(text)
    buffer.move(cursor)
    pieces = one_row(buffer, columns, secret=secret)
    assert sum(piece.role == "caret" for piece in pieces) == 1
    before = sum(cell_len(piece.text) for piece in pieces[: [piece.role for piece in pieces].index("caret")])
    assert before < columns
    if secret:
        assert not set("ab漢é") & set("".join(piece.text for piece in pieces))


@given(st.text("ab c\n漢", max_size=120), st.integers(5, 30), st.integers(0, 130))
def test_rows_of_a_remark_hold_all_of_it(text: str, columns: int, cursor: int) -> None:
    rows = spans(text, columns)
    assert "".join(text[start:end] for start, end in rows) == text
    assert all(cell_len(text[start:end].rstrip(" \n")) <= columns for start, end in rows)
    buffer = TextBuffer(text)
    buffer.move(cursor)
    shown = many_rows(buffer, columns, 3)
    assert len(shown) <= 3
    assert sum(piece.role == "caret" for pieces in shown for piece in pieces) == 1


def test_edit_fits_field_and_hint_in_one_row() -> None:
    hint = "0 .. 22.0, wall >= 6.0   was 18.0   Enter keep   Esc 18.0"
    entry = Entry("edit", "V2.bore", "bore ⌀", "16.0", "mm", hint)
    rows = ["".join(piece.text for piece in pieces) for pieces in entry_lines(entry, 80, 9)]
    assert rows == [" bore ⌀ [ 16.0  ] mm   0 .. 22.0, wall >= 6.0   was 18.0   Enter keep   Esc 18.0"]
    narrow = ["".join(piece.text for piece in pieces) for pieces in entry_lines(entry, 60, 9)]
    assert narrow[0].startswith(" bore ⌀ [ 16.0") and narrow[1].startswith(" 0 .. 22.0")


def test_long_remark_grows_to_its_most() -> None:
    entry = Entry("remark", "r", "remark", "word " * 500, hint="goes to M. Olsen")
    lines = entry_lines(entry, 80, 9)
    assert len(lines) == MOST_ROWS + 1
    assert len(entry_lines(entry, 80, 3)) <= 3


def test_unknown_kind_is_refused() -> None:
    with pytest.raises(ValueError, match="table"):
        Entry("table", "k", "label")


class Recorder(SampleApp):
    """Remembers what the strip told."""

    def __init__(self, *body) -> None:
        super().__init__(*body)
        self.told: list[tuple] = []
        self.refusal = ""

    def on_entry_strip_changed(self, message) -> None:
        self.told.append(("changed", message.text))

    def on_entry_strip_entered(self, message) -> None:
        if self.refusal:
            self.frame.strip.refuse(message.entry, self.refusal)
        else:
            self.frame.strip.settle(message.entry)

    def on_entry_strip_recorded(self, message) -> None:
        self.told.append(("recorded", message.entry.key, message.text))

    def on_entry_strip_chosen(self, message) -> None:
        self.told.append(("chosen", message.option))

    def on_entry_strip_left(self, message) -> None:
        self.told.append(("left", message.text, message.kept))


def check_bore(text: str) -> str:
    """An objection in the house's form."""
    return "" if text == "16.5" else f"bore = {text} mm leaves wall 4.5 mm, minimum 6.0; at most 21.0 mm"


def test_edit_records_only_what_will_do() -> None:
    rows = requirement_list()
    app = Recorder(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.pause()
        app.frame.strip.open(Entry("edit", "V2.bore", "bore", "16.0", "mm", check=check_bore))
        await pilot.pause()
        await pilot.press("backspace", "7", "enter")
        await pilot.pause()
        text = look.text_of(app)
        assert "bore = 16.7 mm leaves wall" in text[20] and " bore [ 16.7" in text[19]
        assert app.frame.strip.is_open and app.went == []
        await pilot.press("backspace", "5")
        await pilot.pause()
        assert not any("leaves wall" in row for row in look.text_of(app))
        assert "Enter keep" in look.text_of(app)[23]
        await pilot.press("enter")
        await pilot.pause()
        assert app.told[-1] == ("recorded", "V2.bore", "16.5")
        assert app.screen.focused is rows and not app.frame.strip.display
        assert "r rests on" in look.text_of(app)[23]
        await pilot.press("3")
        assert app.went == [3]

    look.drive(app, (80, 24), script)


def test_draft_is_kept_and_comes_back() -> None:
    app = Recorder(requirement_list())

    async def script(pilot) -> None:
        strip = app.frame.strip
        strip.open(Entry("remark", "R-018", "remark"))
        await pilot.press("h", "a", "l", "f", "space", "c", "escape")
        await pilot.pause()
        assert app.told[-1] == ("left", "half c", True) and strip.drafts == {"R-018": "half c"}
        strip.open(Entry("remark", "R-019", "remark"))
        await pilot.pause()
        assert strip.entry.buffer.text == ""
        await pilot.press("escape")
        strip.open(Entry("remark", "R-018", "remark"))
        await pilot.press("l")
        assert strip.entry.buffer.text == "half cl"
        assert strip.undo_text() and strip.entry.buffer.text == "half c"
        assert strip.redo_text() and [word for word, _, _ in strip.commands()] == ["u", "y"]
        await pilot.press("enter")
        await pilot.pause()
        assert app.told[-1] == ("recorded", "R-018", "half cl") and strip.drafts == {}

    look.drive(app, (80, 24), script)


def test_what_is_refused_stays_in_the_open_question_with_the_reason_and_goes_when_it_is_recorded() -> None:
    app = Recorder(requirement_list())

    async def script(pilot) -> None:
        strip = app.frame.strip
        app.refusal = "Read-only: opened to look."
        strip.open(Entry("remark", "R-018", "remark"))
        await pilot.press("y", "e", "s", "enter", "enter")
        await pilot.pause()
        assert strip.is_open and strip.entry.buffer.text == "yes" and strip.has_focus
        assert any("Read-only: opened to look." in row for row in look.text_of(app)) and app.told[-1][0] != "recorded"
        await pilot.press("escape")
        assert strip.drafts == {"R-018": "yes"}
        app.refusal = ""
        strip.open(Entry("remark", "R-018", "remark"))
        await pilot.press("enter")
        await pilot.pause()
        assert app.told[-1] == ("recorded", "R-018", "yes") and strip.drafts == {} and not strip.is_open

    look.drive(app, (80, 24), script)


def test_a_question_opened_over_another_keeps_what_was_typed() -> None:
    app = Recorder(requirement_list())

    async def script(pilot) -> None:
        strip = app.frame.strip
        strip.open(Entry("remark", "R-018", "remark"))
        await pilot.press("y", "e", "s")
        strip.open(Entry("edit", "bore", "bore"))
        await pilot.press("2", "enter")
        await pilot.pause()
        assert app.told[-1] == ("recorded", "bore", "2") and strip.drafts == {"R-018": "yes"}

    look.drive(app, (80, 24), script)


def test_find_narrows_and_goes_elsewhere() -> None:
    app = Recorder(requirement_list())

    async def script(pilot) -> None:
        strip = app.frame.strip
        strip.open(Entry("find", "find", "find", hint="words, an id"))
        await pilot.press("p", "u")
        await pilot.pause()
        assert app.told == [("changed", "p"), ("changed", "pu")]
        strip.show_options([Option("E-013", "elsewhere E-013"), Option("E-014", "E-014")])
        await pilot.press("down", "down", "up")
        strip.show_options([Option("X", "another"), Option("E-013", "elsewhere E-013")])
        await pilot.press("enter")
        await pilot.pause()
        assert app.told[-1] == ("chosen", "E-013")
        strip.open(Entry("find", "find", "find"))
        await pilot.press("x", "escape")
        await pilot.pause()
        assert app.told[-1] == ("left", "x", False) and strip.drafts == {}

    look.drive(app, (80, 24), script)


def test_choice_by_arrows() -> None:
    app = Recorder(requirement_list())

    async def script(pilot) -> None:
        strip = app.frame.strip
        options = [Option(f"C-{number:03d}", f"C-{number:03d} target") for number in range(30)]
        strip.open(Entry("choice", "c", "rests on, 30 targets", options=options))
        await pilot.pause()
        await pilot.press("a", *["down"] * 20)
        await pilot.pause()
        assert any(row.startswith(" > C-020") for row in look.text_of(app))
        await pilot.press("pageup", "enter")
        await pilot.pause()
        assert app.told[-1][0] == "chosen" and app.told[-1][1] < "C-020"
        strip.open(Entry("choice", "c", "nothing"))
        await pilot.press("enter", "escape")
        await pilot.pause()
        assert app.told[-1][0] == "left"

    look.drive(app, (80, 24), script)


def test_paste_comes_on_one_line() -> None:
    app = Recorder()

    async def script(pilot) -> None:
        strip = app.frame.strip
        strip.open(Entry("remark", "k", "remark"))
        await pilot.pause()
        from textual.events import Paste
        strip.post_message(Paste("two\nlines\x1b[2J\r\n"))
        await pilot.pause()
        assert strip.entry.buffer.text == "two lines\\x1b[2J" == clean("two\nlines\x1b[2J")

    look.drive(app, (80, 24), script)


def test_sheet_stays_visible_above_the_strip() -> None:
    rows = requirement_list(100)
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.press("end")
        app.frame.strip.open(Entry("edit", "k", "bore", "16.0", below=["1398 > 1447 g", "second line"]))
        await pilot.pause()
        text = look.text_of(app)
        assert text[18].startswith(" bore [ 16.0") and text[19].startswith(" 1398") and text[20].startswith(" second")
        assert text[17].startswith(" > R-99")

    look.drive(app, (80, 24), script)
