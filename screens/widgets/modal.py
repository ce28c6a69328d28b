"""The base of the five modal questions: sign, concede, conflict on disk, freeze, leave while something runs."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.geometry import Size
from textual.screen import ModalScreen
from textual.strip import Strip
from textual.widget import Widget

from screens import keys
from screens.paint import Line
from screens.widgets.field import consumes, edit, paste
from screens.widgets.frame import Frame
from screens.widgets.house import paint_of
from screens.widgets.question import Asked, last_top, panel_lines
from screens.widgets.text_buffer import TextBuffer

Answer = dict[str, str] | None


class QuestionPanel(Widget, inherit_bindings=False):
    """Draws the question and takes its keys."""

    can_focus = True
    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("enter", "back", "up", "down", "page-up", "page-down", "next-area")
    ]

    def __init__(self, asked: Asked) -> None:
        super().__init__()
        self.asked = asked
        self.yes, self.no = len(asked.fields), len(asked.fields) + 1
        self.place = self.no if asked.safe_first else 0
        self.top = 0
        self._made: tuple[tuple[int, int], list[Line]] | None = None

    def _renew(self) -> None:
        """Text, cursor or view changed."""
        self._made = None
        self.refresh(layout=True)

    def _lines(self, columns: int, rows: int) -> list[Line]:
        if self._made is None or self._made[0] != (columns, rows):
            self._made = (columns, rows), panel_lines(self.asked, columns, rows, self.place, self.top)
        return self._made[1]

    @property
    def _most_rows(self) -> int:
        return max(self.screen.size.height - 2, 3)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as the question needs, at most the screen's."""
        return len(self._lines(width, self._most_rows))

    def render_line(self, y: int) -> Strip:
        """One line of the panel."""
        lines = self._lines(self.size.width, self.size.height)
        return paint_of(self).strip(lines[y] if y < len(lines) else "", self.size.width, "lifted")

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Letters and digits are text in a field."""
        return self.place < self.yes and consumes(key, character)

    def on_key(self, event: events.Key) -> None:
        """Edit the field under the cursor."""
        if self.place < self.yes and edit(self.asked.fields[self.place].buffer, event):
            event.stop()
            event.prevent_default()
            self._edited()

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text into the field."""
        event.stop()
        if self.place < self.yes:
            paste(self.asked.fields[self.place].buffer, event.text)
            self._edited()

    def _edited(self) -> None:
        entry = self.asked.fields[self.place]
        if entry.error:
            entry.error = "" if entry.secret else entry.objection()
        self._renew()

    def _move(self, place: int) -> None:
        self.place = place % (self.no + 1)
        self._renew()

    def action_down(self) -> None:
        """To the next field or way out."""
        self._move(min(self.place + 1, self.no))

    def action_up(self) -> None:
        """To the field or way out before."""
        self._move(max(self.place - 1, 0))

    def action_next_area(self) -> None:
        """To the next field or way out, round."""
        self._move(self.place + 1)

    def _scroll(self, lines: int) -> None:
        most = last_top(self.asked, self.size.width, self.size.height)
        self.top = min(max(self.top + lines, 0), most)
        self._renew()

    def action_page_down(self) -> None:
        """On in the explanation."""
        self._scroll(max(self.size.height - 9, 1))

    def action_page_up(self) -> None:
        """Back in the explanation."""
        self._scroll(-max(self.size.height - 9, 1))

    def action_enter(self) -> None:
        """Take the way out under the cursor; from a field yes, when all needed texts are there."""
        if self.place == self.no:
            self.action_back()
            return
        for index, entry in enumerate(self.asked.fields):
            entry.error = entry.objection()
            if entry.error and entry.secret:
                entry.buffer = TextBuffer("")
            if entry.error and not any(earlier.error for earlier in self.asked.fields[:index]):
                self.place = index
        if any(entry.error for entry in self.asked.fields):
            self._renew()
            return
        texts = self.asked.texts()
        self.asked.error = self.asked.deed(texts)
        if self.asked.error:
            self._renew()
            return
        self.asked.drop_drafts()
        self.screen.dismiss(texts)

    def action_back(self) -> None:
        """Leave without doing it; what was typed is kept for the next time."""
        self.asked.keep_drafts()
        self.screen.dismiss(None)


class Question(ModalScreen[Answer], inherit_bindings=False):
    """A modal question. `dismiss` gives the needed texts by key when the answer is yes, None when it is no."""

    def __init__(self, asked: Asked) -> None:
        super().__init__()
        self.panel = QuestionPanel(asked)

    def compose(self) -> ComposeResult:
        """The panel over the sheet."""
        yield self.panel

    def on_mount(self) -> None:
        """The keys go to the panel, and the bottom row says so."""
        self.panel.focus()
        self._refresh_keys()

    def on_unmount(self) -> None:
        """The bottom row is the sheet's again."""
        self._refresh_keys()

    def _refresh_keys(self) -> None:
        for screen in self.app.screen_stack:
            for frame in screen.query(Frame):
                frame.refresh_keys()
