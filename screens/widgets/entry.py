"""What the entry strip asks, as data, and the lines it is drawn with."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from screens.cells import cell_len, wrap
from screens.glyphs import clean
from screens.paint import Line, LineLike, Piece, cut_line, line
from screens.widgets.field import many_rows, one_row
from screens.widgets.text_buffer import TextBuffer

KINDS = ("edit", "find", "remark", "choice")
MOST_ROWS = 5


@dataclass
class Option:
    """A line to choose, by its id: a hit of a search, a target of the trace, a way to sort."""

    id: str
    content: LineLike


@dataclass
class Entry:
    """One question of the strip.

    `key` names what is edited and finds its draft again. `check` gives the error of a text, empty when it may be
    recorded. `below` are lines under the field: consequences of an edit. `options` can be chosen.
    """

    kind: str
    key: str
    label: str
    text: str = ""
    unit: str = ""
    hint: str = ""
    check: Callable[[str], str] = lambda text: ""
    below: Sequence[LineLike] = ()
    options: Sequence[Option] = ()
    width: int = 0
    error: str = ""
    selected: int = -1
    buffer: TextBuffer = field(default_factory=TextBuffer)

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ValueError(f'kind = "{self.kind}" of an entry must be one of {", ".join(KINDS)}')
        self.buffer = TextBuffer(self.text, chosen=self.kind == "edit")
        if self.kind == "choice" and self.options:
            self.selected = 0


def entry_lines(entry: Entry, columns: int, rows: int, focused: bool = True) -> list[Line]:
    """The strip's lines for `columns` x at most `rows`; the field and its error are never left out."""
    field_lines = _field_lines(entry, columns, rows, focused)
    errors = [[Piece(f" {text}", "notmet")] for text in wrap(clean(entry.error), columns - 2)] if entry.error else []
    below = [cut_line(line(" ", _as_list(content)), columns) for content in entry.below]
    lines = [*field_lines, *errors, *below]
    return [*lines, *_option_lines(entry, columns, max(rows - len(lines), 0))][:max(rows, 1)]


def _as_list(content: LineLike) -> Line:
    return line(content) if isinstance(content, str | Piece) else line(*content)


def _field_lines(entry: Entry, columns: int, rows: int, focused: bool) -> list[Line]:
    label = clean(entry.label)
    if entry.kind == "choice":
        return [_ruled(label, columns)]
    if entry.kind == "find":
        return [_ruled("find", columns), *_with_hint(entry, "", columns, focused)]
    if entry.kind == "edit":
        return _with_hint(entry, label, columns, focused)
    inner = max(columns - cell_len(label) - 6, 8)
    field_rows = many_rows(entry.buffer, inner, max(1, min(MOST_ROWS, rows - 2)), focused)
    blank = " " * (cell_len(label) + 2)
    lines = [
        line(" ", Piece(label, "heading"), " [", content, "]") if index == 0 else line(blank, " [", content, "]")
        for index, content in enumerate(field_rows)
    ]
    hint = [[Piece(f" {text}", "quiet")] for text in wrap(clean(entry.hint), columns - 2)] if entry.hint else []
    return [*lines, *hint]


def _with_hint(entry: Entry, label: str, columns: int, focused: bool) -> list[Line]:
    """Label, field and unit in one row with the hint behind them, or below where it does not fit beside."""
    brackets = ("", "") if entry.kind == "find" else ("[ ", " ]")
    lead = f" {label} " if label else " "
    unit = f" {clean(entry.unit)}" if entry.unit else ""
    hint = clean(entry.hint)
    room = columns - cell_len(lead) - cell_len(unit) - len("".join(brackets)) - 1
    least = min(max(cell_len(clean(entry.buffer.text)) + 1, 5), max(room, 4))
    beside_it = least + 3 + cell_len(hint) <= room + 1
    most = room - 3 - cell_len(hint) if beside_it else room
    size = max(most if entry.kind == "find" else min(entry.width or 12, most), least)
    parts = line(Piece(lead, "heading"), brackets[0], one_row(entry.buffer, size, focused), brackets[1], unit)
    if beside_it:
        return [line(parts, Piece(f"   {hint}", "quiet"))]
    return [parts, *([Piece(f" {text}", "quiet")] for text in wrap(hint, columns - 2))]


def _ruled(title: str, columns: int) -> Line:
    rest = max(columns - cell_len(title) - 6, 0)
    return line(" ", Piece("── ", "rule"), Piece(title, "heading"), Piece(f" {'─' * rest} ", "rule"))


def _option_lines(entry: Entry, columns: int, rows: int) -> list[Line]:
    first = min(max(entry.selected - rows + 1, 0), max(len(entry.options) - rows, 0))
    lines = []
    for index, option in enumerate(entry.options[first : first + rows], first):
        chosen = index == entry.selected
        lead = Piece(" > " if chosen else "   ", "key")
        content = cut_line(line(lead, _as_list(option.content)), columns)
        area = "focus" if chosen else ""
        filler = Piece(" " * max(columns - sum(cell_len(piece.text) for piece in content), 0))
        lines.append([piece._replace(area=piece.area or area) for piece in [*content, filler]])
    return lines
