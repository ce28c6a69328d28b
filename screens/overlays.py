"""F1 to F4: help from the live bindings, all actions in words, the messages, the appearance."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from textual import on
from textual.binding import BindingType
from textual.screen import Screen
from textual.widget import Widget

from screens import keys
from screens.cells import cell_len, wrap
from screens.paint import LineLike, Piece, line, text_of
from screens.sheets.refusals import no_use
from screens.widgets.columns import Column
from screens.widgets.frame import Frame, MessageLog
from screens.widgets.frame_lines import TitleBlock
from screens.widgets.house import HouseScreen, Lines, Page
from screens.widgets.sheet_list import Row, SheetList

PLAIN, HINTS = "plain glyphs", "hints"
MARKS = ("✓ met, closed", "✗ not met", "? undecided", "▫ open, waiting", "∆ outdated, reopened", "~ conceded")


class Overlay(HouseScreen):
    """A page over a sheet; Esc closes it."""

    KEYS: ClassVar[tuple[str | tuple[str, str], ...]] = (("page-down", "more"), "back")
    BINDINGS: ClassVar[list[BindingType]] = [keys.bind("back")]

    def __init__(self, title: str, question: str, answer: str, body: Widget, messages: MessageLog, block: TitleBlock) -> None:
        super().__init__()
        self.main = body
        self.detail = Lines(id="detail")
        self.frame = Frame(body, self.detail, messages=messages)
        self.frame.set_head(title, question)
        self.frame.set_answer(answer)
        self.frame.set_title_block(block)

    def compose(self):
        """The frame."""
        yield self.frame

    def on_mount(self) -> None:
        """The keys of the page."""
        self.frame.set_keys(*self.KEYS)
        self.main.focus()

    def action_back(self) -> None:
        """Close the page."""
        self.app.pop_screen()


def help_page(below: Screen, columns_lines: Callable[[], Sequence[LineLike]], answer: str = "") -> Page:
    """The answer of the screen below in full, the keys that work there, and about the field at its cursor."""
    live = sorted((item for item in keys.live(below) if item.id and not no_use(below, item.id)), key=_verbs_first)
    field_lines = list(columns_lines())

    def lines(columns: int) -> list[LineLike]:
        fields: list[LineLike] = [row for told in field_lines for row in hanging(told, columns)]
        told = [line(" ", text) for text in wrap(answer, columns - 2)] if cell_len(answer) > columns - 2 else []
        return [*told, *([""] if told else []), *keys.help_lines(live, columns), "", *mark_lines(columns), "", *fields]

    return Page(lines)


def mark_lines(columns: int) -> list[LineLike]:
    """The marks of the states with their words, none of them cut or parted from its mark."""
    rows = [""]
    for mark in MARKS:
        longer = f"{rows[-1]}   {mark}" if rows[-1] else mark
        rows = [*rows[:-1], longer] if cell_len(longer) < columns else [*rows, mark]
    return [line(Piece(f" {row}", "quiet")) for row in rows]


def hanging(told: LineLike, columns: int) -> list[LineLike]:
    """A line of a name and its text, the text wrapped beside the name; a line of one piece wrapped under itself."""
    pieces = line(told) if isinstance(told, str | Piece) else line(*told)
    if sum(cell_len(piece.text) for piece in pieces) <= columns or not pieces:
        return [pieces]
    blank = len(pieces[0].text) - len(pieces[0].text.lstrip())
    lead = pieces[0] if len(pieces) > 1 else Piece(" " * blank)
    body, role = (text_of(pieces[1:]), pieces[1].role) if len(pieces) > 1 else (pieces[0].text.strip(), pieces[0].role)
    indent = cell_len(lead.text)
    rows = wrap(body, max(columns - indent - 1, 12))
    return [line(lead if number == 0 else " " * indent, Piece(row, role)) for number, row in enumerate(rows)]


def _verbs_first(item: keys.Live) -> int:
    """Verbs of the sheet, then F keys, moves, sheets, leaving."""
    kinds = (len(item.key) == 1 and item.key.isalpha(), item.key[0] == "f", not item.id.startswith(("sheet-", "leave")))
    return next((place for place, found in enumerate(kinds) if found), len(kinds) + item.id.startswith("leave"))


@dataclass(frozen=True)
class Command:
    """One line of the list of actions: key, word, what it does, why not now, and the deed."""

    key: str
    word: str
    does: str
    reason: str
    action: str
    node: Any


def commands_of(below: Screen) -> list[Command]:
    """Everything the keys do on this screen, in the order of the table; what cannot be done says why."""
    active = {item.binding.id: item for item in below.active_bindings.values() if item.binding.id}
    found = []
    for row in keys.KEYS:
        bound = active.get(row.id)
        if bound is None:
            continue
        reason = no_use(below, row.id) or getattr(below, "why_not", lambda key_id: "")(row.id)
        name = keys.key_name(bound.binding.key)
        found.append(Command(name, bound.binding.description, row.does, reason, bound.binding.action, bound.node))
    usable = [command for command in found if not command.reason]
    return usable + [command for command in found if command.reason]


def command_list(commands: Sequence[Command]) -> SheetList:
    """The commands as a list; greyed lines say why not."""
    listed = SheetList((Column("key", 10), Column("action", 14), Column("what it does, or why not now", 0)), indent=3)

    def row(index: int) -> Row:
        command = commands[index]
        role = "quiet" if command.reason else "ink"
        told = command.reason or command.does
        return Row((Piece(command.key, role if command.reason else "key"), Piece(command.word, role), Piece(told, role)))

    listed.set_rows([str(index) for index in range(len(commands))], row)
    return listed


def message_list(messages: MessageLog) -> SheetList:
    """All messages, newest first."""
    said = list(reversed(messages.said))
    listed = SheetList((Column("time", 8), Column("about", 8), Column("message", 0)))
    listed.set_rows(
        [str(index) for index in range(len(said))],
        lambda index: Row((f"{said[index].at.astimezone():%H:%M:%S}", Piece(said[index].record, "key"), said[index].text)),
    )
    listed.set_empty([line("   No message yet.")])
    return listed


LOOKS = {
    "slate": "dark: green-black ground, chalk text",
    "paper": "light: unbleached paper, blue-black ink",
    "ink": "high contrast: black and white",
    PLAIN: "symbols of doubtful width in plain letters: - | v x o d instead of lines and marks",
    HINTS: "what to do next, in the message row while nothing was said",
}


def appearance_told(name: str) -> str:
    """A row of the appearances in full."""
    return f"{name}: {LOOKS[name]}."


def appearance_list(now: str, plain: bool, hints: bool) -> SheetList:
    """The three appearances, plain glyphs, hints."""
    listed = SheetList((Column("appearance", 14), Column("", 8), Column("", 0)))
    names = list(LOOKS)
    switched = {PLAIN: plain, HINTS: hints}

    def row(index: int) -> Row:
        name = names[index]
        used = ("on" if switched[name] else "off") if name in switched else "in use" if name == now else ""
        return Row((name, used, Piece(LOOKS[name], "quiet")))

    listed.set_rows(names, row)
    return listed


class ListOverlay(Overlay):
    """An overlay with a list and the row at its cursor in full below; Enter hands the row to `chosen`."""

    KEYS = (("enter", "take"), "back")

    def __init__(self, chosen: Callable[[str], None], full: Callable[[str], str], *args: Any) -> None:
        super().__init__(*args)
        self._chosen, self._full = chosen, full

    def on_mount(self) -> None:
        """The keys of the page, and the first row in full."""
        super().on_mount()
        self._show_full(self.main.row_id)  # type: ignore[attr-defined]

    @on(SheetList.Moved)
    def _moved(self, message: SheetList.Moved) -> None:
        self._show_full(message.row_id)

    def _show_full(self, row_id: str | None) -> None:
        """The row in full, where a cell may cut it."""
        told = self._full(row_id) if row_id is not None else ""
        self.detail.show(lambda columns: ["", *(line(" ", text) for text in wrap(told, columns - 2))] if told else [])

    @on(SheetList.Opened)
    def _opened(self, message: SheetList.Opened) -> None:
        self._chosen(message.row_id)
