"""What a modal question asks, as data, and the lines it is drawn with."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from screens.cells import cell_len, cut, wrap
from screens.glyphs import clean
from screens.paint import Line, LineLike, Piece, fit, line
from screens.widgets.field import one_row
from screens.widgets.text_buffer import TextBuffer


@dataclass
class Needed:
    """A text the question needs before it may be answered with yes: a passphrase, a reason, a name, a date.

    `check` gives the error of a text, empty when it will do.
    """

    key: str
    label: str
    secret: bool = False
    needed: bool = True
    check: Callable[[str], str] = lambda text: ""
    text: str = ""
    error: str = ""
    buffer: TextBuffer = field(default_factory=TextBuffer)

    def __post_init__(self) -> None:
        self.buffer = TextBuffer(self.text)

    def objection(self) -> str:
        """Why the text does not do yet, empty when it does."""
        if self.needed and not self.buffer.text.strip():
            return f"{clean(self.label)} is needed; Esc leaves without it"
        return self.check(self.buffer.text)


@dataclass
class Asked:
    """A question with its two ways out.

    `title` ends with a question mark. `yes` is taken by Enter once every needed text will do; `no` by Esc. When
    yes is irreversible and no text is needed, the cursor stands on `no` first, so that one Enter does no harm.
    `deed` is done at yes and returns why it could not be: then the question stays, with the reason and the texts.
    `drafts` keeps what was typed, secrets excepted, from one asking to the next until the deed is done.
    """

    title: str
    body: Sequence[LineLike] | str
    yes: str
    no: str
    fields: Sequence[Needed] = ()
    irreversible: bool = True
    deed: Callable[[dict[str, str]], str] = lambda texts: ""
    drafts: dict[str, str] = field(default_factory=dict)
    error: str = ""
    _wrapped: tuple[int, Sequence[LineLike]] | None = None

    def __post_init__(self) -> None:
        if not self.title.rstrip().endswith("?"):
            raise ValueError(f'title = "{self.title}" of a question must end with a question mark')
        for entry in self.fields:
            if not entry.secret and (draft := self.drafts.get(self._draft_key(entry))) is not None:
                entry.buffer = TextBuffer(draft)

    def _draft_key(self, entry: Needed) -> str:
        return f"{self.title} {entry.key}"

    def texts(self) -> dict[str, str]:
        """What is typed, by key."""
        return {entry.key: entry.buffer.text for entry in self.fields}

    def keep_drafts(self) -> None:
        """Keep what was typed for the next asking."""
        for entry in self.fields:
            if not entry.secret and entry.buffer.text != entry.text:
                self.drafts[self._draft_key(entry)] = entry.buffer.text

    def drop_drafts(self) -> None:
        """The deed is done: nothing is left to keep."""
        for entry in self.fields:
            self.drafts.pop(self._draft_key(entry), None)

    @property
    def safe_first(self) -> bool:
        """Whether the cursor stands on `no` at first."""
        return self.irreversible and not any(entry.needed for entry in self.fields)


def body_lines(asked: Asked, columns: int) -> Sequence[LineLike]:
    """The explanation wrapped to `columns`."""
    if not isinstance(asked.body, str):
        return asked.body
    if asked._wrapped is None or asked._wrapped[0] != columns:
        asked._wrapped = columns, wrap(clean(asked.body, keep_lines=True), columns)
    return asked._wrapped[1]


def panel_lines(asked: Asked, columns: int, rows: int, place: int, top: int) -> list[Line]:
    """The panel in `columns` x at most `rows`: title, explanation from line `top` on, fields, the two ways out.

    `place` is the cursor: a field's index, then yes, then no. The explanation gives way to the rest.
    """
    inner = max(columns - 4, 8)
    title = wrap(clean(asked.title), inner)[:3]
    foot = _foot(asked, inner, place)
    body = body_lines(asked, inner)
    room = _body_rows(asked, inner, rows, len(body))
    shown = body[top : top + room]
    below = len(body) - top - len(shown)
    lines: list[LineLike] = [Piece(text, "heading") for text in title]
    lines += [[Piece("─" * inner, "rule")], *shown]
    if below or top:
        lines.append(Piece(f"{below} lines below, page down" if below else "end of the text, page up", "quiet"))
    lines += foot
    above, below_it = ([Piece(f"{left}{'─' * (inner + 2)}{right}", "rule")] for left, right in ("┌┐", "└┘"))
    framed = [line(Piece("│ ", "rule"), _inside(content, inner), Piece(" │", "rule")) for content in lines]
    return [above, *framed, below_it][:max(rows, 1)]


def _body_rows(asked: Asked, inner: int, rows: int, count: int) -> int:
    """Rows for the explanation of `count` lines, one of them kept for how to read on when they do not fit."""
    foot = len(_foot(asked, inner, -1))
    room = rows - len(wrap(clean(asked.title), inner)[:3]) - foot - 3
    return max(room if count <= room else room - 1, 1)


def last_top(asked: Asked, columns: int, rows: int) -> int:
    """Greatest first line of the explanation."""
    inner = max(columns - 4, 8)
    count = len(body_lines(asked, inner))
    return max(0, count - _body_rows(asked, inner, rows, count))


def _inside(content: LineLike, columns: int) -> Line:
    parts = line(content) if isinstance(content, str | Piece) else line(*content)
    return fit([piece._replace(text=clean(piece.text[: 8 * columns])) for piece in parts], columns)


def _foot(asked: Asked, columns: int, place: int) -> list[Line]:
    lines: list[Line] = [line("")]
    width = max((cell_len(clean(entry.label)) for entry in asked.fields), default=0)
    width = min(width, columns // 2)
    for index, entry in enumerate(asked.fields):
        label = cut(clean(entry.label), width)
        label += " " * (width - cell_len(label))
        content = one_row(entry.buffer, max(columns - width - 5, 4), index == place, entry.secret)
        lines.append(line(Piece(label, "heading"), " [ ", content, " ]"))
        if entry.error:
            lines += [[Piece(text, "notmet")] for text in wrap(clean(entry.error), columns)]
    if asked.error:
        lines += [[Piece(text, "notmet")] for text in wrap(clean(asked.error), columns)]
    if asked.fields or asked.error:
        lines.append(line(""))
    yes_key = "Up, Enter" if place > len(asked.fields) else "Enter"
    for index, (key, word) in enumerate(((yes_key, asked.yes), ("Esc", asked.no)), len(asked.fields)):
        chosen = index == place
        lead = Piece("> " if chosen else "  ", "key")
        content = line(lead, cut(clean(word), columns - 13))
        blank = columns - sum(cell_len(piece.text) for piece in content) - len(key)
        content = line(content, " " * blank, Piece(key, "key"))
        lines.append([piece._replace(area="focus" if chosen else "") for piece in content])
    return lines
