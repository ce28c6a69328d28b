"""User text through every widget: it appears as it was written, acts on nothing and crashes nothing."""

import numpy as np
import pytest
from rich.cells import cell_len
from textual.widgets import Static

from screens.glyphs import clean, plain
from screens.paint import line
from screens.widgets.chart import Band, Chart, Curve, Mark
from screens.widgets.columns import Column
from screens.widgets.curve_view import CurveView
from screens.widgets.entry import Entry, Option
from screens.widgets.frame_lines import TitleBlock
from screens.widgets.house import Lines, Page
from screens.widgets.modal import Question
from screens.widgets.question import Asked, Needed
from screens.widgets.section_shape import CallOut, Section, Span
from screens.widgets.section_view import SectionView
from screens.widgets.sheet_list import Row, SheetList
from tests.screens import look, parts
from tests.screens.sample import BLOCK, HOSTILE, SampleApp

EVERY = pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))


def beginning(text: str) -> str:
    """The first letters as they must be seen."""
    return clean(text)[:12].rstrip()


def check(app: SampleApp, text: str, times: int = 1) -> None:
    """The text is seen, every row has its width, nothing but printable characters is sent, no link is made."""
    rows = look.text_of(app)
    assert sum(row.count(beginning(text)) for row in rows) >= times, rows
    size = app.size
    assert all(cell_len(row) == size.width for row in rows)
    assert not any(ord(character) < 32 or 0x7F <= ord(character) < 0xA0 for row in rows for character in row)
    "".join(rows).encode("utf-8")
    for row in look.rows_of(app):
        for segment in row:
            assert not any("click" in key for key in segment.style.meta)
    assert app.is_running


@EVERY
@pytest.mark.parametrize("size", [*look.SIZES, (40, 12)])
def test_frame(text: str, size: tuple[int, int]) -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        app.frame.set_head(text, text)
        app.frame.set_answer(text)
        app.frame.message(text)
        app.frame.set_title_block(TitleBlock(text, (text, text), (text, text), text, BLOCK.steps, "saved"))
        app.frame.set_keys(("edit", clean(text)[:20]))
        await pilot.pause()
        rows = look.text_of(app)
        shown = beginning(text)[:1 if size[0] == 40 else 4]
        for number in (0, 1, -3, -2):
            assert shown in rows[number], rows[number]
        check(app, text, 2)
        app.frame.set_progress(0.5, 3)
        await pilot.pause()
        check(app, text, 1)

    look.drive(app, size, script)


@EVERY
@pytest.mark.parametrize("size", look.SIZES)
def test_lists_lines_and_pages(text: str, size: tuple[int, int]) -> None:
    rows = SheetList((Column(text, 0), Column(text, 14, "point", 3)), id="rows")
    rows.set_rows([text, "other"], lambda index: Row((text, line(text, text))) if index else Row(line=text))
    rows.set_head([text])
    page = Page([text] * 40)
    lines = Lines([text, line(text, "after")])
    app = SampleApp(lines, rows, page)

    async def script(pilot) -> None:
        rows.focus()
        await pilot.press("down", "space")
        await pilot.pause()
        check(app, text, 6)
        assert rows.go_to(text)

    look.drive(app, size, script)


@EVERY
@pytest.mark.parametrize("kind", ["edit", "find", "remark", "choice"])
def test_strip(text: str, kind: str) -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        strip = app.frame.strip
        entry = Entry(kind, text, text[:30], text, unit=text[:10], hint=text[:40], below=[text],
                      options=[Option("one", text)], check=lambda value: text[:60])
        strip.open(entry)
        await pilot.pause()
        await pilot.press("end", "x", "left", "backspace", "home", "delete")
        strip.show_error(text)
        await pilot.pause()
        check(app, text[:8], 1)
        await pilot.press("enter", "escape")
        assert app.is_running

    look.drive(app, (80, 24), script)


@EVERY
@pytest.mark.parametrize("size", [*look.SIZES, (30, 10)])
def test_question(text: str, size: tuple[int, int]) -> None:
    fields = [Needed("reason", text, text=text, check=lambda value: text), Needed("pass", text, secret=True)]
    app = SampleApp()

    async def script(pilot) -> None:
        app.push_screen(Question(Asked(f"{text}?", text, text, text, fields)))
        await pilot.pause()
        await pilot.press("x", "enter", "pagedown", "down", "y", "down", "down", "up", "pageup")
        await pilot.pause()
        if size[0] > 30:
            check(app, text, 2)
        await pilot.press("escape")
        await pilot.pause()
        assert len(app.screen_stack) == 2

    look.drive(app, size, script)


@EVERY
@pytest.mark.parametrize("in_plain_glyphs", [False, True])
def test_drawings(text: str, in_plain_glyphs: bool) -> None:
    section = SectionView(id="section")
    curve = CurveView(id="curve")
    app = SampleApp(section, curve, plain_glyphs=in_plain_glyphs)
    known = "".join(character for character in clean(text)[:8] if cell_len(character) == 1)

    async def script(pilot) -> None:
        section.show(Section(parts.reference(), parts.variant(), (text, text),
                             [CallOut("A", text[:30], 60, 10)], [Span(-20, 20, text)]))
        x = np.linspace(-1, 1, 50)
        curve.show(Chart((Curve(text, x, 50 * x, "reference", text), Curve(text, x, 60 * x, "variant", text)), text,
                         text, Band(20, 80, text), (Mark(text, 0.5, 25),)))
        curve.set_side([text])
        curve.focus()
        await pilot.press("right", "enter", "right")
        await pilot.pause()
        assert sum(known in row for row in look.text_of(app)) >= 3
        check(app, known)

    look.drive(app, (120, 40), script)


@EVERY
def test_toolkit_widget_through_the_one_door(text: str) -> None:
    app = SampleApp(Static(plain(text)))

    async def script(pilot) -> None:
        check(app, text.split("\n")[0])

    look.drive(app, (80, 24), script)
