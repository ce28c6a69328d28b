"""User text through every widget: it appears as it was written, acts on nothing and crashes nothing.

One app is asked about all texts in turn, because starting one costs more than the drawing.
"""

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


def beginning(text: str) -> str:
    """The first letters as they must be seen."""
    return clean(text)[:12].rstrip()


def check(app: SampleApp, text: str, times: int = 1) -> None:
    """The text is seen, every row has its width, nothing but printable characters is sent, no link is made."""
    rows = look.text_of(app)
    assert sum(row.count(beginning(text)) for row in rows) >= times, (text[:40], rows)
    size = app.size
    assert all(cell_len(row) == size.width for row in rows), text[:40]
    assert not any(ord(character) < 32 or 0x7F <= ord(character) < 0xA0 for row in rows for character in row)
    "".join(rows).encode("utf-8")
    for row in look.rows_of(app):
        for segment in row:
            assert not any("click" in key for key in segment.style.meta), text[:40]
    assert app.is_running


@pytest.mark.parametrize("size", [*look.SIZES, (40, 12)])
def test_frame(size: tuple[int, int]) -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        for text in HOSTILE:
            app.frame.set_head(text, text)
            app.frame.set_answer(text)
            app.frame.message(text)
            app.frame.set_title_block(TitleBlock(text, (text, text), (text, text), text, BLOCK.steps, "saved"))
            app.frame.set_keys(("edit", clean(text)[:20]))
            app.frame.set_progress(None)
            await pilot.pause()
            rows = look.text_of(app)
            shown = beginning(text)[:1 if size[0] == 40 else 4]
            for number in (0, 1, -3, -2):
                assert shown in rows[number], rows[number]
            check(app, text, 2)
            app.frame.set_progress("... 50 %  3 s left  Esc stops")
            await pilot.pause()
            check(app, text, 1)

    look.drive(app, size, script)


@pytest.mark.parametrize("size", look.SIZES)
def test_lists_lines_and_pages(size: tuple[int, int]) -> None:
    rows, page, lines = SheetList(id="rows"), Page(), Lines()
    app = SampleApp(lines, rows, page)

    async def script(pilot) -> None:
        rows.focus()
        for text in HOSTILE:
            rows.set_columns((Column(text, 0), Column(text, 14, "point", 3)))
            rows.set_rows([text, "other"],
                          lambda index, text=text: Row((text, line(text, text))) if index else Row(line=text))
            rows.set_head([text])
            page.show([text] * 40)
            lines.show([text, line(text, "after")])
            assert rows.go_to(text)
            await pilot.press("down", "space")
            await pilot.pause()
            check(app, text, 6)

    look.drive(app, size, script)


@pytest.mark.parametrize("kind", ["edit", "find", "remark", "choice"])
def test_strip(kind: str) -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        strip = app.frame.strip
        for text in HOSTILE:
            entry = Entry(kind, text, text[:30], text, unit=text[:10], hint=text[:40], below=[text],
                          options=[Option("one", text)], check=lambda value, text=text: text[:60])
            strip.open(entry)
            await pilot.pause()
            await pilot.press("x", "backspace")
            strip.show_error(text)
            await pilot.pause()
            check(app, text[:8], 1)
            strip.action_enter()
            strip.action_back()
            await pilot.pause()
            assert app.is_running and not strip.is_open

    look.drive(app, (80, 24), script)


@pytest.mark.parametrize("size", [*look.SIZES, (30, 10)])
def test_question(size: tuple[int, int]) -> None:
    app = SampleApp()

    async def script(pilot) -> None:
        for text in HOSTILE:
            reason = Needed("reason", text, text=text, check=lambda value, text=text: text)
            asked = Question(Asked(f"{text}?", text, text, text, [reason, Needed("pass", text, secret=True)]))
            app.push_screen(asked)
            await pilot.pause()
            await pilot.press("x")
            for act in ("enter", "page_down", "down", "up", "page_up"):
                getattr(asked.panel, f"action_{act}")()
            await pilot.pause()
            if size[0] > 30:
                check(app, text, 2)
            asked.panel.action_back()
            await pilot.pause()
            assert len(app.screen_stack) == 2, text[:40]

    look.drive(app, size, script)


@pytest.mark.parametrize("in_plain_glyphs", [False, True])
def test_drawings(in_plain_glyphs: bool) -> None:
    section, curve = SectionView(id="section"), CurveView(id="curve")
    app = SampleApp(section, curve, plain_glyphs=in_plain_glyphs)

    async def script(pilot) -> None:
        x = np.linspace(-1, 1, 50)
        curve.focus()
        for text in HOSTILE:
            known = "".join(character for character in clean(text)[:8] if cell_len(character) == 1)
            section.show(Section(parts.reference(), parts.variant(), (text, text),
                                 [CallOut("A", text[:30], 60, 10)], [Span(-20, 20, text)]))
            curves = (Curve(text, x, 50 * x, "reference", text), Curve(text, x, 60 * x, "variant", text))
            curve.show(Chart(curves, text, text, Band(20, 80, text), (Mark(text, 0.5, 25),)))
            curve.set_side([text])
            await pilot.press("right", "enter", "right")
            await pilot.pause()
            assert sum(known in row for row in look.text_of(app)) >= 3, text[:40]
            check(app, known)

    look.drive(app, (120, 40), script)


def test_toolkit_widget_through_the_one_door() -> None:
    shown = Static(plain(""))
    app = SampleApp(shown)

    async def script(pilot) -> None:
        for text in HOSTILE:
            shown.update(plain(text))
            await pilot.pause()
            check(app, text.split("\n")[0])

    look.drive(app, (80, 24), script)
