"""Lists: cursor, paging, marks, order, filter, in 5 and in 100,000 rows."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from screens.paint import Piece
from screens.widgets.columns import Column, cell, cells_line, fitted, head_line
from screens.widgets.list_model import ListModel
from screens.widgets.sheet_list import Row, SheetList
from tests.screens import look
from tests.screens.sample import SampleApp, requirement_list


def text(pieces) -> str:
    """Characters of a line of pieces."""
    return "".join(piece.text for piece in pieces)


def names(model: ListModel) -> list[str]:
    """Ids in the order shown."""
    return [model.id_at(place) for place in range(len(model))]


def test_model_orders_and_filters() -> None:
    model = ListModel()
    model.set_ids(["b", "a", "d", "c"])
    model.order(lambda index: model.ids[index])
    assert names(model) == ["a", "b", "c", "d"]
    model.filter(lambda index: model.ids[index] != "b")
    model.order(lambda index: model.ids[index], reverse=True)
    assert names(model) == ["d", "c", "a"]
    model.filter(None)
    model.order(None)
    assert names(model) == ["b", "a", "d", "c"]


def test_cursor_keeps_to_its_row() -> None:
    model = ListModel()
    model.set_ids(list("abcde"))
    model.move_to(3)
    assert model.row_id == "d"
    model.order(lambda index: -index)
    assert model.row_id == "d"
    model.set_ids(list("xdy"))
    assert model.row_id == "d"
    model.filter(lambda index: model.ids[index] != "d")
    assert model.row_id in "xy"
    model.filter(None)
    assert model.row_id == "d"
    model.set_ids(list("xy"))
    assert model.row_id in "xy"
    model.set_ids([])
    assert model.row_id is None and not model.move_to(0)


@given(st.lists(st.sampled_from("abcdefgh"), unique=True), st.lists(st.sampled_from("abcdefgh"), unique=True),
       st.integers(0, 9))
def test_cursor_is_always_on_a_shown_row(first: list[str], second: list[str], place: int) -> None:
    model = ListModel()
    model.set_ids(first)
    model.move_to(place)
    wanted = model.row_id
    model.set_ids(second)
    assert (model.row_id is None) == (not second)
    if wanted in second and place:
        assert model.row_id == wanted or place >= len(first)


def test_cursor_passes_rows_that_cannot_take_it() -> None:
    model = ListModel()
    model.selectable = lambda index: index not in (0, 2, 3)
    model.set_ids(list("abcdef"))
    assert model.row_id == "b"
    model.move_to(2, 1)
    assert model.row_id == "e"
    model.move_to(3, -1)
    assert model.row_id == "b"
    model.move_to(0, 1)
    assert model.row_id == "b"


def test_marks_follow_their_rows() -> None:
    model = ListModel()
    model.set_ids(list("abc"))
    model.toggle_mark()
    model.move_to(2)
    model.toggle_mark()
    assert model.marked() == ["a", "c"]
    model.set_ids(list("cb"))
    assert model.marked() == ["c"]
    model.clear_marks()
    assert model.marked() == []


def test_columns_share_what_is_left() -> None:
    columns = [Column("id", 5), Column("text", 0), Column("value", 8, "right")]
    widths = [column.width for column in fitted(columns, 60)]
    assert widths == [5, 60 - 5 - 8 - 4, 8]
    assert [column.width for column in fitted([Column("a", 0), Column("b", 0)], 31)] == [15, 14]
    narrow = fitted(columns, 14)
    assert sum(column.width for column in narrow) + 2 * (len(narrow) - 1) <= 14


@given(st.integers(1, 120))
def test_row_and_head_have_one_width(room: int) -> None:
    columns = fitted([Column("id", 5), Column("a long title of a column", 0), Column("value", 8, "point", 3)], room)
    row = cells_line(["R-1", Piece("x [mm] " * 30), "1.25"], columns)
    assert len(text(row)) == len(text(head_line(columns))) <= max(room, 1)


def test_cell_alignment() -> None:
    assert text(cell("ab", Column("", 5, "right"))) == "   ab"
    assert text(cell("1.5", Column("", 6, "point", 3))) == "  1.5 "
    assert text(cell([Piece("long ", "key"), Piece("text here")], Column("", 8))) == "long ..."
    assert cell([Piece("long ", "key"), Piece("text here")], Column("", 8))[0].role == "key"


@pytest.mark.parametrize("count", [5, 100_000])
@pytest.mark.parametrize("size", look.SIZES)
def test_list_moves_and_pages(count: int, size: tuple[int, int]) -> None:
    rows = requirement_list(count)
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.pause()
        page = rows.page_rows
        assert page == size[1] - 8
        await pilot.press("down", "down", "up")
        assert rows.row_id == "R-1"
        await pilot.press("end")
        await pilot.pause()
        assert rows.row_id == f"R-{count - 1}"
        last = min(count, page)
        shown = look.text_of(app)
        offset = 29 + 1 if size[0] == 120 else 0
        assert shown[4 + last][offset:].startswith(" > ")
        await pilot.press("home", "pagedown")
        assert rows.row_id == f"R-{min(count - 1, page - 1)}"
        await pilot.press("pageup")
        assert rows.row_id == "R-0"
        await pilot.press("up")
        assert rows.row_id == "R-0"

    look.drive(app, size, script)


def test_big_list_makes_only_the_rows_in_view() -> None:
    asked: set[int] = set()

    def provide(index: int) -> Row:
        asked.add(index)
        return Row((f"row {index}",))

    rows = SheetList((Column("row", 0),))
    rows.set_rows([str(index) for index in range(100_000)], provide)
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.press("pagedown", "pagedown", "end", "pageup")
        await pilot.pause()
        assert len(asked) < 200
        assert "row 99984" in "\n".join(look.text_of(app))

    look.drive(app, (80, 24), script)


def test_moving_the_cursor_repaints_two_rows() -> None:
    rows = requirement_list(100)
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.pause()
        painted: list[int] = []
        original = rows.render_line
        rows.render_line = lambda y: painted.append(y) or original(y)
        await pilot.press("down")
        await pilot.pause()
        assert sorted(set(painted)) == [2, 3]

    look.drive(app, (80, 24), script)


def test_order_filter_and_find_on_the_widget() -> None:
    rows = requirement_list(50)
    app = SampleApp(rows)
    moved: list[str | None] = []
    app.on_sheet_list_moved = lambda message: moved.append(message.row_id)

    async def script(pilot) -> None:
        rows.focus()
        assert rows.go_to("R-17")
        rows.filter(lambda index: index % 2 == 1)
        assert rows.row_id == "R-17" and rows.row_count() == 25
        rows.filter(lambda index: index % 2 == 0)
        assert rows.row_id != "R-17"
        rows.filter(None)
        assert rows.row_id == "R-17"
        rows.order(lambda index: -index)
        assert rows.row_id == "R-17"
        assert rows.go_to_next(lambda index: index == 40, -1) and rows.row_id == "R-40"
        assert not rows.go_to_next(lambda index: index == 99)
        assert not rows.go_to("R-99")
        rows.filter(lambda index: False)
        rows.set_empty([" No requirement. n new, or F2 import"])
        rows.set_no_hit([" Nothing here matches"])
        await pilot.pause()
        assert rows.row_id is None and any("Nothing here matches" in line for line in look.text_of(app))
        assert not any("No requirement" in line for line in look.text_of(app))
        await pilot.press("down", "end", "space", "enter")
        rows.filter(None)
        assert rows.row_id == "R-40"

    look.drive(app, (80, 24), script)


def test_rows_in_view_stay_while_the_cursor_does() -> None:
    rows = requirement_list(500)
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        rows.go_to("R-300")
        await pilot.press(*["up"] * 5)
        offset = rows.model.cursor - rows.top
        rows.filter(lambda index: index > 100)
        assert rows.model.cursor - rows.top == offset and rows.row_id == "R-295"

    look.drive(app, (80, 24), script)


def test_marks_and_enter_are_told() -> None:
    rows = requirement_list(5)
    opened: list[str] = []

    class App(SampleApp):
        def on_sheet_list_opened(self, message: SheetList.Opened) -> None:
            opened.append(message.row_id)

    app = App(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.press("space", "space", "enter")
        await pilot.pause()
        assert rows.model.marked() == ["R-0", "R-1"] and opened == ["R-2"]
        assert [line[1:3] for line in look.text_of(app)[5:8]] == [" |", " |", "> "]

    look.drive(app, (80, 24), script)


def test_separations_and_fixed_lines() -> None:
    rows = SheetList((Column("concept", 0), Column("mass g", 8, "right")))

    def provide(index: int) -> Row:
        if index == 1:
            return Row(line=" ── seen up to here ──", selectable=False)
        return Row((f"concept {index}", "1.0"), mark=Piece("∆", "outdated"))

    rows.set_rows([str(index) for index in range(60)], provide)
    rows.set_head([" reference part                       1940"])
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.press("down")
        assert rows.row_id == "2"
        await pilot.press("end")
        await pilot.pause()
        shown = look.text_of(app)
        assert shown[5].startswith(" reference part")
        assert rows.row_id == "59" and shown[20].startswith(" >∆concept 59")
        await pilot.press("home")
        await pilot.pause()
        assert "seen up to here" in look.text_of(app)[7]

    look.drive(app, (80, 24), script)


def test_clicks_and_wheel() -> None:
    rows = requirement_list(100)
    app = SampleApp(rows)

    async def script(pilot) -> None:
        await pilot.click(rows, offset=(10, 6))
        assert rows.row_id == "R-4"
        await pilot.click(rows, offset=(10, 0))
        assert rows.row_id == "R-4"

    look.drive(app, (80, 24), script)
