"""A small app with invented contents, on which the widgets are tried."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widget import Widget

from screens import bars
from screens.base import HouseApp, HouseScreen
from screens.paint import Piece, line, state
from screens.widgets.columns import Column
from screens.widgets.frame import Frame
from screens.widgets.frame_lines import TitleBlock
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

HOSTILE = (
    "x [/b] 5 [mm] y",
    "[@click=app.quit]x",
    "[mm]",
    "<F_max>",
    "a\x1b[2J\x1b]0;title\x07b",
    "first\nsecond\tthird",
    "\u202egnp.exe",
    "\udc80 lone",
    "漢字 wide 🚗",
    "word " * 6000,
)
BLOCK = TitleBlock(
    "AX-76 axle link", ("V2 : ref.", "J-7610 V2 : reference J-7600"), ("work on B", "work on B, 3 changes since A"),
    "M. Olsen PE", ("closed", "closed", "reopened", "not met", "waiting", "ready"), "saved",
)
REQUIREMENTS = (
    ("R-007", "radial stiffness, kN/mm", "47.6 .. 64.4", "53.9", 0.13, "outdated"),
    ("R-008", "axial stiffness, kN/mm", "5.12 .. 7.68", "6.2", 0.19, "met"),
    ("R-009", "torsional, N⋅m/°", "19.6 .. 29.4", "24.8", 0.16, "met"),
    ("R-011", "ratio to reference", "0.90 .. 1.10", "1.02", 0.07, "open"),
    ("R-017", "radial overload, kN", "118 min", "125", 0.06, "met"),
    ("R-018", "pin static safety, -", "1.30 min", "1.27", -0.02, "not met"),
    ("R-022", "push-out 80 °C, kN", "17.0 min", "17.3", 0.02, "undecided"),
    ("R-031", "cold stiffness, ratio", "2.0 max", "2.1", -0.05, "conceded"),
)
COLUMNS = (
    Column("id", 5, gap=1), Column("requirement", 0, gap=1), Column("limit", 13, "right"),
    Column("V2", 6, "point", after=3), Column(bars.margin_head(), 7, gap=1), Column("margin", 17),
)


def requirement_row(index: int) -> Row:
    """One of the invented requirements, again and again."""
    name, title, limit, value, margin, word = REQUIREMENTS[index % len(REQUIREMENTS)]
    bar = bars.margin_bar(margin, word == "undecided")
    verdict = line(f"{bars.margin_text(margin)} ", state(word))
    number = name if index < len(REQUIREMENTS) else f"R-{index}"
    return Row((number, title, limit, value, Piece(bar, "quiet"), verdict))


def requirement_list(count: int = len(REQUIREMENTS)) -> SheetList:
    """A list of `count` invented requirements."""
    rows = SheetList(COLUMNS, id="rows")
    rows.set_rows([f"R-{index}" for index in range(count)], requirement_row)
    return rows


class SheetScreen(HouseScreen):
    """A sheet with whatever body is given."""

    def __init__(self, body: Sequence[Widget], margin: Sequence[Widget] = ()) -> None:
        super().__init__()
        self.frame = Frame(*body, margin=margin)

    def compose(self) -> ComposeResult:
        """The frame."""
        yield self.frame


class SampleApp(HouseApp):
    """Shows one sheet with the given body."""

    def __init__(self, *body: Widget, margin: Sequence[Widget] = (), appearance: str = "slate",
                 plain_glyphs: bool | None = False) -> None:
        super().__init__(appearance, plain_glyphs)
        self._sheet = SheetScreen(body or (Lines(["a line"]),), margin or (Lines([" section: C rubber"]),))
        self.went: list[object] = []

    @property
    def frame(self) -> Frame:
        """The sheet's frame."""
        return self._sheet.frame

    def on_mount(self) -> None:
        """Show the sheet and fill its rows."""
        self.push_screen(self._sheet)
        self.call_after_refresh(self._fill)

    def _fill(self) -> None:
        self.frame.set_head("2 Requirements", "Which requirement is not covered, or not held?")
        self.frame.set_answer("47 requirements: 33 met, 2 not met, 10 open, 1 outdated, 1 conceded.")
        self.frame.set_title_block(BLOCK)
        self.frame.set_keys("rests-on", "edit", "new", "group")
        self.frame.message("Sorted by id; showing 10 of 47.")

    def action_sheet(self, number: int) -> None:
        """Remember where one wanted to go."""
        self.went.append(number)


def side_by_side(first: Widget, second: Widget) -> Horizontal:
    """Two columns, the second hidden in small terminals."""
    second.add_class("second")
    return Horizontal(first, second)
