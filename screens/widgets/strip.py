"""The entry strip at the foot of the body: edit, find, remark, choice. Not modal; drafts are kept."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual import events
from textual.geometry import Size
from textual.message import Message
from textual.strip import Strip
from textual.widget import Widget

from screens import keys
from screens.paint import Line, LineLike
from screens.widgets.entry import Entry, Option, entry_lines
from screens.widgets.field import consumes, edit, paste
from screens.widgets.house import paint_of


class EntryStrip(Widget, inherit_bindings=False):
    """Asks one thing at a time and keeps what was typed when it is left.

    While it has the cursor letters and digits are text. Enter tells the sheet when `Entry.check` has no objection:
    the sheet records the text and calls `settle`, or `refuse`, which leaves the question and the text standing.
    Esc leaves and keeps the draft under the entry's key. A question opened by the answer to another leads on from
    it: the drafts of all of them stay until the last one is settled.
    """

    can_focus = True
    BINDINGS = [*keys.bind_all("enter", "back", "up", "down", "page-up", "page-down")]

    class Told(Message):
        """Base of the strip's messages."""

        def __init__(self, strip: EntryStrip, entry: Entry, text: str) -> None:
            self.strip, self.entry, self.text = strip, entry, text
            super().__init__()

        @property
        def control(self) -> EntryStrip:
            """The strip."""
            return self.strip

    class Opened(Told):
        """It asks something new."""

    class Changed(Told):
        """The text changed; the sheet may show consequences or hits."""

    class Entered(Told):
        """Enter on a text without error; the sheet settles or refuses it."""

    class Recorded(Told):
        """The text is recorded. The strip is closed."""

    class Chosen(Told):
        """Enter on an option, whose id is `option`. The strip is closed."""

        def __init__(self, strip: EntryStrip, entry: Entry, text: str, option: str) -> None:
            super().__init__(strip, entry, text)
            self.option = option

    class Left(Told):
        """Esc. The strip is closed; `kept` tells whether a draft is kept."""

        def __init__(self, strip: EntryStrip, entry: Entry, text: str, kept: bool) -> None:
            super().__init__(strip, entry, text)
            self.kept = kept

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.entry: Entry | None = None
        self.drafts: dict[str, str] = {}
        self.most_rows = 9
        self._before: Widget | None = None
        self._led: list[str] = []
        self._answered = False
        self._made: tuple[tuple[int, int, bool], list[Line]] | None = None
        self.display = False

    def _renew(self) -> None:
        """Text, cursor or answers changed."""
        self._made = None
        self.refresh(layout=True)

    def _lines(self, columns: int, rows: int) -> list[Line]:
        key = columns, rows, self.has_focus
        if self._made is None or self._made[0] != key:
            self._made = key, entry_lines(self.entry, columns, rows, self.has_focus) if self.entry else []
        return self._made[1]

    @property
    def is_open(self) -> bool:
        """Whether it asks something."""
        return self.entry is not None

    def open(self, entry: Entry) -> None:
        """Ask; a draft kept under the entry's key comes back, and can be taken back to the entry's text."""
        if self.entry is None:
            self._before = self.screen.focused
        elif self._keep(self.entry) and self._answered:
            self._led.append(self.entry.key)
        if not self._answered:
            self._led = []
        self._answered = False
        self.entry = entry
        draft = self.drafts.get(entry.key)
        if draft is not None and draft != entry.text:
            entry.buffer.clear()
            entry.buffer.insert(draft)
            entry.error = entry.check(draft)
        self.display = True
        self._renew()
        self.focus()
        self.post_message(self.Opened(self, entry, entry.buffer.text))

    def ask_again(self) -> None:
        """Take the keys back after the sheet was filled anew, which shows the consequences of the text again."""
        if self.entry is not None:
            self.focus()
            self.post_message(self.Changed(self, self.entry, self.entry.buffer.text))

    def _keep(self, entry: Entry) -> bool:
        """Keep what was typed as a draft, except a search; whether there is one."""
        text = entry.buffer.text
        kept = entry.kind in ("edit", "remark") and text != entry.text
        if kept:
            self.drafts[entry.key] = text
        else:
            self.drafts.pop(entry.key, None)
        return kept

    def settle(self, entry: Entry) -> None:
        """What was typed is recorded: its draft and those of the questions that led to it go."""
        for key in (*self._led, entry.key):
            self.drafts.pop(key, None)
        self._led, self._answered = [], False
        if self.entry is entry:
            self.close()
        self.post_message(self.Recorded(self, entry, entry.buffer.text))

    def refuse(self, entry: Entry, reason: str) -> None:
        """What was typed could not be recorded: the question stays with its text, the reason under it."""
        self._answered = False
        if self.entry is entry:
            self._keep(entry)
            self.show_error(reason)
            self.focus()

    def close(self) -> None:
        """Ask no more and give the cursor back."""
        self.entry = None
        self.display = False
        if self._before is not None and self._before.is_attached:
            self._before.focus()
        self._before = None

    def show_below(self, lines: Sequence[LineLike]) -> None:
        """What the edit would do, under the field."""
        if self.entry is not None:
            self.entry.below = lines
            self._renew()

    def show_error(self, error: str) -> None:
        """The objection of the sheet, directly under the field; empty takes it away."""
        if self.entry is not None:
            self.entry.error = error
            self._renew()

    def show_options(self, options: Sequence[Option]) -> None:
        """Hits or targets to choose from; the option chosen stays chosen while it is among them."""
        if self.entry is None:
            return
        old = self.entry.options[self.entry.selected].id if 0 <= self.entry.selected < len(self.entry.options) else ""
        places = {option.id: index for index, option in enumerate(options)}
        none = 0 if self.entry.kind == "choice" and options else -1
        self.entry.options, self.entry.selected = options, places.get(old, none)
        self._renew()

    def commands(self) -> list[tuple[str, str, Callable[[], bool]]]:
        """What the list of actions offers for the text: key, word, and what is done."""
        return [("u", "take back in the text", self.undo_text), ("y", "bring back in the text", self.redo_text)]

    def undo_text(self) -> bool:
        """Take the last change of the text back."""
        return self._swap("undo")

    def redo_text(self) -> bool:
        """Bring the last change of the text back."""
        return self._swap("redo")

    def _swap(self, way: str) -> bool:
        done = self.entry is not None and getattr(self.entry.buffer, way)()
        if done:
            self._text_changed()
        return done

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        """As many rows as the question needs, at most `most_rows`."""
        return len(self._lines(width, self.most_rows))

    def render_line(self, y: int) -> Strip:
        """One line of the question."""
        if self.entry is None:
            return Strip.blank(self.size.width)
        lines = self._lines(self.size.width, self.most_rows)
        if len(lines) > self.size.height:
            lines = self._lines(self.size.width, self.size.height)
        return paint_of(self).strip(lines[y] if y < len(lines) else "", self.size.width, "lifted")

    def check_consume_key(self, key: str, character: str | None) -> bool:
        """Letters and digits are text here."""
        return self.entry is not None and self.entry.kind != "choice" and consumes(key, character)

    def on_key(self, event: events.Key) -> None:
        """Edit the text."""
        if self.entry is None or self.entry.kind == "choice" or not edit(self.entry.buffer, event):
            return
        event.stop()
        event.prevent_default()
        self._text_changed()

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text in, on one line."""
        event.stop()
        if self.entry is not None and self.entry.kind != "choice":
            paste(self.entry.buffer, event.text)
            self._text_changed()

    def _text_changed(self) -> None:
        entry = self.entry
        if entry is None:
            return
        if entry.error:
            entry.error = entry.check(entry.buffer.text)
        self._renew()
        self.post_message(self.Changed(self, entry, entry.buffer.text))

    def action_down(self) -> None:
        """To the next option."""
        self._select(1)

    def action_up(self) -> None:
        """To the option before, from the first of a search back into the text."""
        self._select(-1)

    def action_page_down(self) -> None:
        """Some options on."""
        self._select(max(self.size.height - 2, 1))

    def action_page_up(self) -> None:
        """Some options back."""
        self._select(-max(self.size.height - 2, 1))

    def _select(self, step: int) -> None:
        entry = self.entry
        if entry is None or not entry.options:
            return
        least = 0 if entry.kind == "choice" else -1
        entry.selected = min(max(entry.selected + step, least), len(entry.options) - 1)
        self._renew()

    def action_enter(self) -> None:
        """Hand the text to the sheet, or take the option chosen."""
        entry = self.entry
        if entry is None or self._answered:
            return
        text = entry.buffer.text
        if 0 <= entry.selected < len(entry.options):
            self.drafts.pop(entry.key, None)
            self.close()
            self._answered = True
            self.post_message(self.Chosen(self, entry, text, entry.options[entry.selected].id))
            return
        if entry.kind == "choice":
            return
        entry.error = entry.check(text)
        if entry.error:
            self._renew()
            return
        self._answered = True
        self.post_message(self.Entered(self, entry, text))

    def action_back(self) -> None:
        """Leave; what was typed is kept as a draft, except a search."""
        entry = self.entry
        if entry is None:
            return
        kept = self._keep(entry)
        self._led, self._answered = [], False
        self.close()
        self.post_message(self.Left(self, entry, entry.buffer.text, kept))
