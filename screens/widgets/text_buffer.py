"""A text being written: cursor, editing, its own undo. Knows nothing of keys or drawing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class _Moment:
    text: str
    cursor: int


class TextBuffer:
    """Text with a cursor between its characters; `undo` takes back a word typed, or one other change, at a time.

    While `chosen`, all of it is replaced by what is typed next; moving the cursor or deleting keeps it.
    """

    def __init__(self, text: str = "", chosen: bool = False) -> None:
        self.text = text
        self.cursor = len(text)
        self.chosen = chosen and bool(text)
        self._past: list[_Moment] = []
        self._future: list[_Moment] = []
        self._typing = False

    def _remember(self) -> None:
        self._past.append(_Moment(self.text, self.cursor))
        self._future.clear()

    def insert(self, text: str) -> None:
        """Write `text` at the cursor. Single characters of one word are taken back together."""
        if not text:
            return
        if self.chosen:
            self.clear()
        continues = self._typing and len(text) == 1 and not text.isspace()
        if not continues:
            self._remember()
        self._typing = len(text) == 1
        self._future.clear()
        self.text = self.text[: self.cursor] + text + self.text[self.cursor :]
        self.cursor += len(text)

    def backspace(self) -> None:
        """Delete the character before the cursor."""
        if self.cursor:
            self._cut(self.cursor - 1, self.cursor)

    def delete(self) -> None:
        """Delete the character after the cursor."""
        if self.cursor < len(self.text):
            self._cut(self.cursor, self.cursor + 1)

    def clear(self) -> None:
        """Delete everything."""
        if self.text:
            self._cut(0, len(self.text))

    def _cut(self, start: int, end: int) -> None:
        self._remember()
        self.chosen = False
        self._typing = False
        self.text = self.text[:start] + self.text[end:]
        self.cursor = start

    def move(self, cursor: int) -> None:
        """Put the cursor before character `cursor`, kept within the text."""
        self.cursor = min(max(cursor, 0), len(self.text))
        self.chosen = False
        self._typing = False

    def undo(self) -> bool:
        """Take the last change back; False when there is none."""
        return self._swap(self._past, self._future)

    def redo(self) -> bool:
        """Bring the last change taken back; False when there is none."""
        return self._swap(self._future, self._past)

    def _swap(self, source: list[_Moment], target: list[_Moment]) -> bool:
        if not source:
            return False
        target.append(_Moment(self.text, self.cursor))
        moment = source.pop()
        self.chosen = False
        self.text, self.cursor = moment.text, moment.cursor
        self._typing = False
        return True
