"""The frame of a sheet: its constant rows, the body between them, and from 120 columns on the left margin."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from textual import on
from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.strip import Strip
from textual.widget import Widget

from screens import keys
from screens.paint import Line, Piece
from screens.widgets.frame_lines import TitleBlock, answer_rows, head_row, message_row, rule_row, title_row
from screens.widgets.house import Lines, paint_of
from screens.widgets.strip import EntryStrip

MOST_MESSAGES = 500
STRIP_KEYS = {
    "edit": (("enter", "keep"), ("back", "leave, draft kept")),
    "remark": (("enter", "keep"), ("back", "leave, draft kept")),
    "find": (("enter", "keep"), ("down", "elsewhere"), ("back", "all again")),
    "choice": (("enter", "go"), ("back", "back")),
}
QUESTION_KEYS = (("enter", "take it"), ("down", "on"), ("back", "not now"))


@dataclass(frozen=True)
class Said:
    """One message: when (UTC), what, and the record it is about."""

    at: datetime
    text: str
    record: str = ""


class MessageLog:
    """The messages of a session, oldest first; one log serves all sheets."""

    def __init__(self) -> None:
        self.said: list[Said] = []

    def add(self, text: str, record: str = "") -> Said:
        """Keep a message; beyond 500 the oldest go."""
        self.said.append(Said(datetime.now(UTC), text, record))
        del self.said[:-MOST_MESSAGES]
        return self.said[-1]

    @property
    def newest(self) -> str:
        """Text of the newest message."""
        return self.said[-1].text if self.said else ""


class FrameRow(Widget, inherit_bindings=False):
    """One constant row, drawn by a function of its width."""

    def __init__(self, draw: Callable[[int], Line], *, id: str | None = None) -> None:
        super().__init__(id=id)
        self._draw = draw

    def render_line(self, y: int) -> Strip:
        """The row."""
        return paint_of(self).strip(self._draw(self.size.width), self.size.width)


class MarginRule(Widget, inherit_bindings=False):
    """The upright rule between margin and body."""

    def render_line(self, y: int) -> Strip:
        """One cell of it."""
        return paint_of(self).strip(Piece("│", "rule"), 1)


class Frame(Vertical, inherit_bindings=False):
    """The first rows say sheet, question, and the answer in one row or two; then the body; message, title, keys.

    `body` widgets fill the middle, `margin` widgets the 29 columns at the left of terminals of 120 columns and
    more. Body widgets of class `second` are hidden below 80x24, and the rule says so. `strip` is the entry strip.
    """

    def __init__(
        self, *body: Widget, margin: Sequence[Widget] = (), messages: MessageLog | None = None, id: str | None = None
    ) -> None:
        super().__init__(id=id)
        self._body = body
        self._margin = margin
        self.messages = messages if messages is not None else MessageLog()
        self._title, self._question, self._answer, self._progress = "", "", "", ""
        self._block = TitleBlock("", ("", ""), ("", ""), "")
        self._keys: list[tuple[str, str]] = []
        self._hint = ""
        self.strip = EntryStrip(id="strip")

    def compose(self) -> ComposeResult:
        """The rows from top to bottom."""
        yield FrameRow(lambda columns: head_row(self._title, self._question, columns), id="head")
        yield Lines(self._answer_rows, id="answer")
        yield FrameRow(lambda columns: rule_row(columns, self.app.size.height), id="rule")
        with Horizontal(id="middle"):
            yield Vertical(*self._margin, id="margin")
            yield MarginRule(id="margin-rule")
            with Vertical(id="right"):
                yield Vertical(*self._body, id="body")
                yield self.strip
        yield FrameRow(lambda columns: message_row(self.messages.newest, columns, self._hint_now), id="message")
        yield FrameRow(lambda columns: title_row(self._block, columns), id="title-block")
        yield FrameRow(self._key_row, id="keys")

    def _refresh_row(self, row: str) -> None:
        for widget in self.query(f"#{row}"):
            widget.refresh()

    def set_head(self, title: str, question: str) -> None:
        """Sheet number with title ("3 Design"), and the sheet's question."""
        self._title, self._question = title, question
        self._refresh_row("head")

    def set_answer(self, answer: str) -> None:
        """The computed answer."""
        self._answer = answer
        self._refresh_answer()

    @property
    def answer(self) -> str:
        """The computed answer in full."""
        return self._answer

    def _refresh_answer(self) -> None:
        for widget in self.query("#answer").results(Lines):
            widget.show(self._answer_rows)

    def _answer_rows(self, columns: int) -> list[Line]:
        return answer_rows(self._answer, self._progress, columns, self.app.size.height)

    def set_progress(self, told: str | None) -> None:
        """Show long work in the answer row, as `progress_text` words it; None takes it away."""
        self._progress = told or ""
        self._refresh_answer()

    def message(self, text: str, record: str = "") -> None:
        """Say something; it stays until something else is said."""
        self.messages.add(text, record)
        self._refresh_row("message")

    def refresh_message(self) -> None:
        """Show the newest message of a log that others write to as well."""
        self._refresh_row("message")

    def set_hint(self, hint: str) -> None:
        """What stands in the message row while nothing was said and hints are on."""
        self._hint = hint
        self._refresh_row("message")

    @property
    def _hint_now(self) -> str:
        return self._hint if self.app.hints else ""  # type: ignore[attr-defined]

    def set_title_block(self, block: TitleBlock) -> None:
        """Fill in the title block."""
        self._block = block
        self._refresh_row("title-block")

    def set_keys(self, *shown: str | tuple[str, str]) -> None:
        """The keys of the bottom row: ids of the table, or (id, word) where another word fits better.

        Raises ValueError for more than five and KeyError for an unknown id.
        """
        pairs = [item if isinstance(item, tuple) else (item, "") for item in shown]
        for key_id, _ in pairs:
            keys.entry(key_id)
        keys.key_row(pairs, 200)
        self._keys = pairs
        self._refresh_row("keys")

    @on(EntryStrip.Opened)
    @on(EntryStrip.Recorded)
    @on(EntryStrip.Chosen)
    @on(EntryStrip.Left)
    def _strip_turned(self) -> None:
        """The keys of the bottom row are those of the strip while it asks."""
        self._refresh_row("keys")

    def on_resize(self) -> None:
        """A lower terminal has room for less of the answer."""
        self._refresh_answer()

    def _key_row(self, columns: int) -> Line:
        bound = {item.id: item for item in keys.live(self.screen)}
        pairs = []
        for key_id, word in self._shown_keys():
            row = keys.entry(key_id)
            now = bound.get(key_id)
            pairs.append((now.key if now else row.key, word or (now.word if now else row.word)))
        return keys.key_row(pairs, columns, helped=not self._questioned)

    @property
    def _questioned(self) -> bool:
        return isinstance(self.app.screen, ModalScreen)

    def _shown_keys(self) -> Sequence[tuple[str, str]]:
        """Those of the question over the sheet, of the strip while it asks, or of the sheet."""
        if self._questioned:
            return QUESTION_KEYS
        return STRIP_KEYS[self.strip.entry.kind] if self.strip.entry else self._keys

    def refresh_keys(self) -> None:
        """A question came over the sheet, or has gone."""
        self._refresh_row("keys")
