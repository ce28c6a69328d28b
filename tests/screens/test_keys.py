"""The table of keys, bindings made from it, help and key row."""

import importlib
import inspect
import pkgutil

import pytest
from textual.app import App
from textual.binding import BindingsMap
from textual.widget import Widget

import screens
from screens import keys
from screens.paint import text_of as line_text
from tests.screens import look
from tests.screens.sample import SampleApp, requirement_list

LEAVE = {"ctrl+c", "ctrl+q"}


def house_classes() -> list[type]:
    """All widgets, screens and apps of the package."""
    found = []
    for module in pkgutil.walk_packages(screens.__path__, "screens."):
        members = inspect.getmembers(importlib.import_module(module.name), inspect.isclass)
        found += [cls for _, cls in members if cls.__module__ == module.name and issubclass(cls, Widget | App)]
    return found


def test_every_key_and_id_is_there_once() -> None:
    assert len({row.key for row in keys.KEYS}) == len(keys.KEYS)
    assert len({row.id for row in keys.KEYS}) == len(keys.KEYS)


def test_only_keys_every_keyboard_has() -> None:
    assert all(keys.allowed(row.key) for row in keys.KEYS)
    assert {row.key for row in keys.KEYS if "+" in row.key} == LEAVE
    for key in ("ctrl+s", "alt+x", "slash", "question_mark", "f5", "shift+tab", "ctrl+p", "delete", "!", "é"):
        assert not keys.allowed(key), key


def test_keys_left_free_are_free() -> None:
    assert not {"j", "q", "f5"} & {row.key for row in keys.KEYS}


def test_ten_sheets_have_their_digit() -> None:
    assert [keys.entry(f"sheet-{digit}").word for digit in range(10)] == list(keys.SHEETS)
    assert keys.bind("sheet-3").action == "sheet(3)"


def test_unknown_id_names_the_known_ones() -> None:
    with pytest.raises(KeyError, match="rests-on"):
        keys.bind("rest-on")


@pytest.mark.parametrize("cls", house_classes(), ids=lambda cls: cls.__name__)
def test_no_class_of_the_house_binds_anything_else(cls: type) -> None:
    bindings: BindingsMap = cls._merge_bindings()
    for key, binding in bindings:
        assert keys.allowed(key), f"{cls.__name__} binds {key} to {binding.action}"
        assert binding.id in {row.id for row in keys.KEYS}, f"{cls.__name__}: {key} is not from the table"
    if not issubclass(cls, App):
        assert not LEAVE & set(bindings.key_to_bindings)


def test_the_running_app_has_no_other_keys() -> None:
    rows = requirement_list()
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.pause()
        assert all(keys.allowed(key) for key in app.screen.active_bindings)
        before = look.text_of(app)
        for key in ("ctrl+p", "ctrl+a", "ctrl+backslash", "f5", "q"):
            await pilot.press(key)
        assert look.text_of(app) == before and len(app.screen_stack) == 2

    look.drive(app, (80, 24), script)


@pytest.mark.parametrize("key", sorted(LEAVE))
def test_leaving(key: str) -> None:
    class Leaving(SampleApp):
        left = False

        def action_leave(self) -> None:
            self.left = True

    app = Leaving()

    async def script(pilot) -> None:
        await pilot.press(key)
        assert app.left

    look.drive(app, (80, 24), script)


def test_digits_and_capital_letters_arrive() -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        await pilot.press("3", "0", "9")
        assert app.went == [3, 0, 9]

    look.drive(app, (80, 24), script)
    assert keys.bind("calculate-all").key == "C" != keys.bind("calculate").key


def test_help_follows_the_live_bindings() -> None:
    rows = requirement_list()
    app = SampleApp(rows)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.pause()
        shown = {item.id: item for item in keys.live(app.screen)}
        assert {"sheet-0", "help", "mark", "page-down", "leave"} <= set(shown)
        assert "accept" not in shown
        app.set_keymap({"mark": "x"})
        await pilot.pause()
        assert {item.id: item for item in keys.live(app.screen)}["mark"].key == "x"
        text = "\n".join(line_text(content) for content in keys.help_lines(keys.live(app.screen), 78))
        assert " x         mark" in text and "Space" not in text
        await pilot.press("x")
        assert rows.model.marked() == ["R-0"]

    look.drive(app, (80, 24), script)


def test_help_lines_fit() -> None:
    items = [keys.Live(row.id, row.key, row.word, row.does, True) for row in keys.KEYS]
    for columns in (79, 40):
        lines = keys.help_lines(items, columns)
        assert max(len(line_text(content)) for content in lines) <= columns


def test_key_row_holds_five_and_the_help() -> None:
    row = keys.key_row([("o", "next"), ("c", "calculate"), ("r", "rests on"), ("f", "find")], 80)
    assert line_text(row) == " o next  c calculate  r rests on  f find  F1 help"
    with pytest.raises(ValueError, match="at most 5"):
        keys.key_row([("a", "b")] * 6, 80)


def test_narrow_key_row_keeps_the_help() -> None:
    pairs = [("enter", "open"), ("r", "rests on"), ("n", "import"), ("d", "difference")]
    for columns in range(10, 80):
        row = line_text(keys.key_row(pairs, columns))
        assert row.endswith("F1 help") and len(row) <= columns
