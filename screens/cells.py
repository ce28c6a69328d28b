"""Text measured in terminal cells: padding, cutting, wrapping, and columns aligned on the decimal point."""

from __future__ import annotations

import re
from collections.abc import Sequence

from rich.cells import cell_len as _measured
from rich.cells import chop_cells, set_cell_size

CUT = "..."
_NUMBER = re.compile(r"^[<>=~\s]*[+\-−]?\d[\d ]*(?:[.]\d+)?")


def cell_len(text: str) -> int:
    """Number of terminal columns of `text`."""
    return len(text) if text.isascii() and text.isprintable() else _measured(text)


def crop(text: str, columns: int) -> str:
    """The first `columns` columns of `text`; a wide character cut in half becomes a space."""
    if columns <= 0:
        return ""
    end = columns + 1
    while end < len(text) and cell_len(text[:end]) <= columns:
        end += columns + 1
    part = text[:end]
    return part if cell_len(part) <= columns else set_cell_size(part, columns)


def crop_left(text: str, columns: int) -> str:
    """The last `columns` columns of `text`; a wide character cut in half becomes a space."""
    if columns <= 0:
        return ""
    length = columns + 1
    while length < len(text) and cell_len(text[-length:]) <= columns:
        length += columns + 1
    part = text[-length:]
    while cell_len(part) > columns:
        part = part[1:]
    whole = part == text or cell_len(part) == columns
    return part if whole else " " * (columns - cell_len(part)) + part


def fits(text: str, columns: int) -> bool:
    """Whether `text` has at most `columns` columns; quick for very long text."""
    return cell_len(crop(text, columns + 1)) <= columns


def pad(text: str, columns: int, align: str = "left") -> str:
    """`text` in exactly `columns` columns, aligned left, right or in the middle; too long is cut with "..."."""
    text = cut(text, columns)
    missing = columns - cell_len(text)
    if align == "right":
        return " " * missing + text
    if align == "middle":
        return " " * (missing // 2) + text + " " * (missing - missing // 2)
    return text + " " * missing


def cut(text: str, columns: int) -> str:
    """`text` in at most `columns` columns, its end replaced by "..." when it is longer."""
    if fits(text, columns):
        return text
    if columns <= len(CUT):
        return crop(text, columns)
    return crop(text, columns - len(CUT)).rstrip() + CUT


def shortened(texts: Sequence[str], room: int, least: int = 4) -> list[str]:
    """The texts, the longest cut first until together they fit, none below `least` columns."""
    sizes = [cell_len(text) for text in texts]
    while sum(sizes) > max(room, 0) and max(sizes) > least:
        longest = sizes.index(max(sizes))
        second = max((size for index, size in enumerate(sizes) if index != longest), default=0)
        sizes[longest] -= min(sum(sizes) - room, max(1, sizes[longest] - second), sizes[longest] - least)
    return [cut(text, size) for text, size in zip(texts, sizes, strict=True)]


def balance(text: str, columns: int) -> str:
    """`text` in at most `columns` columns, keeping its beginning and its end: "3 Design reopened: ... are yours."

    The cut falls between words where one is near.
    """
    if fits(text, columns):
        return text
    room = columns - len(CUT) - 2
    if room < 12:
        return cut(text, columns)
    head = crop(text, room - room // 3)
    tail = crop_left(text, room // 3)
    head_word, tail_word = head.rsplit(" ", 1)[0], tail.split(" ", 1)[-1]
    head = head_word if cell_len(head_word) > cell_len(head) - 12 else head
    tail = tail_word if cell_len(tail_word) > cell_len(tail) - 12 else tail
    return f"{head.rstrip()} {CUT} {tail.lstrip()}"


def at_word(text: str, columns: int) -> str:
    """`text` in at most `columns` columns, cut after a word and marked with "..." when it is longer."""
    if fits(text, columns):
        return text
    kept = wrap(crop(text, columns - len(CUT)), columns - len(CUT) - 1)[0].rstrip()
    return f"{kept} {CUT}" if cell_len(kept) + len(CUT) < columns else cut(text, columns)


def wrap_most(text: str, columns: int, most: int) -> list[str]:
    """`text` wrapped to `columns` in at most `most` lines, the last one marked with "..." when more follows."""
    lines = wrap(text, columns)
    return lines if len(lines) <= most else [*lines[: most - 1], at_word(" ".join(lines[most - 1 :]), columns)]


def wrap(text: str, columns: int) -> list[str]:
    """Lines of at most `columns` columns, broken between words, inside words only when one is longer than a line."""
    columns = max(1, columns)
    lines: list[str] = []
    for paragraph in text.split("\n"):
        lines.extend(_wrap_paragraph(paragraph, columns))
    return lines


def _wrap_paragraph(paragraph: str, columns: int) -> list[str]:
    lines, line, used = [], "", 0
    for word in paragraph.split(" "):
        size = cell_len(word)
        if line and used + 1 + size <= columns:
            line, used = f"{line} {word}", used + 1 + size
            continue
        if line:
            lines.append(line)
        if size > columns:
            *full, word = _chopped(word, columns)
            lines.extend(full)
            size = cell_len(word)
        line, used = word, size
    return [*lines, line]


def _chopped(word: str, columns: int) -> list[str]:
    if word.isascii():
        return [word[start : start + columns] for start in range(0, len(word), columns)]
    return chop_cells(word, columns)


def beside(left: str, right: str, columns: int, gap: int = 2) -> str:
    """`left` at the left and `right` at the right end of `columns` columns; both shortened when they collide."""
    free = columns - gap
    if cell_len(left) + cell_len(right) > free:
        right = balance(right, max(free - min(cell_len(left), free // 2), 0))
        left = cut(left, max(free - cell_len(right), 0))
    return left + " " * max(columns - cell_len(left) - cell_len(right), 0) + right


def point_split(text: str) -> tuple[int, int] | None:
    """Columns before the decimal point and from it on, of the number `text` begins with; None without a number."""
    found = _NUMBER.match(text)
    if not found:
        return None
    number = found.group().rstrip()
    before = number.split(".", 1)[0]
    return cell_len(before), cell_len(text) - cell_len(before)


def at_point(text: str, before: int, after: int) -> str:
    """`text` with its decimal point at column `before`, in `before + after` columns; other words end at the right."""
    split = point_split(text)
    if split is None:
        return pad(text, before + after, "right")
    if split[0] > before or split[1] > after:
        return pad(text, before + after, "right")
    return " " * (before - split[0]) + text + " " * (after - split[1])


def align_point(texts: Sequence[str]) -> list[str]:
    """`texts` in one common width with their decimal points in one column; words without a number end at the right."""
    splits = [split for text in texts if (split := point_split(text)) is not None]
    before = max((split[0] for split in splits), default=0)
    after = max((split[1] for split in splits), default=0)
    before = max(before, max((cell_len(text) for text in texts), default=0) - after)
    return [at_point(text, before, after) for text in texts]
