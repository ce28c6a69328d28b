"""Drawing a text buffer in a field with a caret, and the keys that edit it."""

from __future__ import annotations

import re

from textual import events

from screens.cells import cell_len, crop, crop_left, fits
from screens.glyphs import clean
from screens.paint import Line, Piece, line
from screens.widgets.text_buffer import TextBuffer

SECRET = "*"


def edit(buffer: TextBuffer, event: events.Key) -> bool:
    """Let a key change the buffer; False when the key means nothing in a text."""
    if event.is_printable and event.character:
        buffer.insert(event.character)
        return True
    moves = {"left": buffer.cursor - 1, "right": buffer.cursor + 1, "home": 0, "end": len(buffer.text)}
    if event.key in moves:
        buffer.move(moves[event.key])
    elif event.key == "backspace":
        buffer.backspace()
    elif event.key == "delete":
        buffer.delete()
    else:
        return False
    return True


def consumes(key: str, character: str | None) -> bool:
    """Whether a key is text in a field, so that no binding of a sheet may take it."""
    editing = ("left", "right", "home", "end", "backspace", "delete")
    return key in editing or (character is not None and character.isprintable())


def paste(buffer: TextBuffer, text: str) -> None:
    """Put pasted text into the buffer on one line, control characters written out."""
    buffer.insert(clean(text.strip("\r\n")))


def one_row(buffer: TextBuffer, columns: int, focused: bool = True, secret: bool = False) -> Line:
    """The field in one row of `columns` cells: the part of the text around the caret."""
    text = SECRET * len(buffer.text) if secret else clean(buffer.text)
    cursor = buffer.cursor if len(text) == len(buffer.text) else len(clean(buffer.text[: buffer.cursor]))
    before = text[:cursor]
    if not fits(before, columns - 1):
        before = crop_left(before, max(2 * columns // 3, 1)).lstrip(" ")
    if buffer.chosen and focused and fits(before, columns - 1):
        return _filled(line(Piece(before, "caret")), columns)
    return _with_caret(before + text[cursor : cursor + columns + 1], len(before), columns, focused)


def many_rows(buffer: TextBuffer, columns: int, most: int, focused: bool = True) -> list[Line]:
    """The field in up to `most` rows, wrapped between words; the rows around the caret are shown."""
    text = clean(buffer.text, keep_lines=True)
    cursor = len(clean(buffer.text[: buffer.cursor], keep_lines=True))
    rows = spans(text, max(columns - 1, 1))
    row = next((index for index, (start, _) in reversed(list(enumerate(rows))) if start <= cursor), 0)
    first = min(max(row - most + 1, 0), max(len(rows) - most, 0))
    return [
        _with_caret(text[start:end].rstrip("\n"), cursor - start if index == row else -1, columns, focused)
        for index, (start, end) in enumerate(rows[first : first + most], first)
    ]


def spans(text: str, columns: int) -> list[tuple[int, int]]:
    """Where each row of the wrapped text begins and ends; blanks after a row's last word belong to it."""
    rows, start, used = [], 0, 0
    for found in re.finditer(r"[^ \n]+ *| +|\n", text):
        word = found.group()
        if word == "\n":
            rows.append((start, found.end()))
            start, used = found.end(), 0
            continue
        size = cell_len(word.rstrip(" "))
        if used and used + size > columns:
            rows.append((start, found.start()))
            start, used = found.start(), 0
        position = found.start()
        while size > columns:
            part = len(crop(text[position : found.end()], columns).rstrip(" ")) or 1
            rows.append((start, position + part))
            start = position = position + part
            size = cell_len(text[position : found.end()].rstrip(" "))
        used += cell_len(text[position : found.end()])
    return [*rows, (start, len(text))]


def _with_caret(text: str, cursor: int, columns: int, focused: bool) -> Line:
    if not focused or cursor < 0:
        return _filled(line(text), columns)
    at = text[cursor : cursor + 1] or " "
    return _filled(line(text[:cursor], Piece(at, "caret"), text[cursor + 1 :]), columns)


def _filled(pieces: Line, columns: int) -> Line:
    return [*pieces, Piece(" " * max(columns - sum(cell_len(piece.text) for piece in pieces), 0))]
