"""The constant rows of a sheet as lines of pieces: head, answer, rule, title block."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from screens.cells import at_word, balance, cell_len, cut, shortened, wrap
from screens.glyphs import STATES, STEP_STATES, clean
from screens.paint import Line, Piece, line

WIDE = 120
LEAST_COLUMNS, LEAST_ROWS = 80, 24
LEAST_FIELD = 7
ANSWER_ROWS = 2
WHOLE = "shows all"


@dataclass(frozen=True)
class TitleBlock:
    """What the title block says. Pairs are (short, long); the long form is printed from 120 columns on.

    `steps` are the states of the steps (closed, reopened, not met, in work, ready, waiting).
    """

    project: str
    parts: tuple[str, str]
    work: tuple[str, str]
    person: str
    steps: Sequence[str] = ()
    saved: str = "saved"


def head_row(title: str, question: str, columns: int) -> Line:
    """Sheet and title at the left, its question at the right end; the question is shortened last."""
    title, question = clean(title), clean(question)
    room = columns - 4
    if cell_len(title) + cell_len(question) > room:
        title = cut(title, max(room - cell_len(question), min(cell_len(title), room // 3)))
        question = balance(question, room - cell_len(title))
    blank = columns - 2 - cell_len(title) - cell_len(question)
    return line(" ", Piece(title, "heading"), " " * blank, Piece(question, "quiet"), " ")


def answer_rows(answer: str, progress: str, columns: int, rows: int = LEAST_ROWS) -> list[Line]:
    """The computed answer in one row, or two where it needs them and `rows` of the terminal allow it, with the key that
    shows the rest; progress of work at the right of the first."""
    answer, progress = clean(answer), cut(clean(progress), columns - 2)
    room = columns - 2 - (cell_len(progress) + 2 if progress else 0)
    texts = wrap(answer, max(room, 1))
    most = ANSWER_ROWS if rows >= LEAST_ROWS else 1
    lines = [line(" ", text) for text in texts[:most]]
    if len(texts) > most:
        shown = at_word(" ".join(texts[most - 1 :]), max(room - len(WHOLE) - 4, 4))
        blank = max(room - cell_len(shown) - len(WHOLE) - 3, 1)
        lines[-1] = line(" ", shown, " " * blank, Piece("F1", "key"), Piece(f" {WHOLE}", "quiet"))
    if progress:
        blank = columns - 2 - cell_len(texts[0]) - cell_len(progress)
        lines[0] = line(" ", texts[0], " " * blank, Piece(progress, "outdated"), " ")
    return lines


def message_row(text: str, columns: int, hint: str = "") -> Line:
    """The newest message; where it is longer than the row it ends after a word and names the key that shows all.

    While nothing was said a hint stands there.
    """
    text = clean(text)
    if not text:
        return line(" ", Piece(at_word(clean(hint), max(columns - 2, 1)), "quiet"))
    if cell_len(text) <= columns - 1:
        return line(" ", text)
    more = line(Piece("F3", "key"), Piece(f" {WHOLE}", "quiet"))
    size = sum(cell_len(piece.text) for piece in more)
    shown = at_word(text, max(columns - size - 3, 4))
    return line(" ", shown, " " * max(columns - 2 - cell_len(shown) - size, 1), more)


def rule_row(columns: int, rows: int) -> Line:
    """The rule under the answer; in a small terminal it says that only one column is shown."""
    if columns >= LEAST_COLUMNS and rows >= LEAST_ROWS:
        return [Piece("─" * columns, "rule")]
    least = f"{LEAST_COLUMNS}x{LEAST_ROWS}"
    notes = (f" {columns}x{rows} is below {least}: one column ", f" below {least}: one column ", " one column ")
    note = next((text for text in notes if len(text) + 2 <= columns), "")
    rest = max(columns - 2 - len(note), 0)
    return [Piece("──"[:columns], "rule"), Piece(note, "quiet"), Piece("─" * rest, "rule")]


def title_row(block: TitleBlock, columns: int) -> Line:
    """Project, parts, revision in work, person, steps, saved; long texts are shortened, steps never.

    Where even short texts do not fit, the revision, the parts and then the person are left out.
    """
    wide = columns >= WIDE
    fields = [clean(block.project), clean(block.parts[wide]), clean(block.work[wide]), clean(block.person)]
    marks = _step_pieces(block.steps, " " if wide else "")
    last = clean(block.saved)
    used = sum(cell_len(piece.text) for piece in marks) + cell_len(last) + 1 + 3 * (len(fields) + bool(marks))
    for dropped in (2, 1, 1):
        if len(fields) > 1 and used + LEAST_FIELD * len(fields) > columns:
            del fields[min(dropped, len(fields) - 1)]
            used -= 3
    fields = shortened(fields, columns - used)
    between = Piece(" │ ", "rule")
    pieces: Line = line(" ", Piece(fields[0], "heading"))
    for text in fields[1:]:
        pieces += [between, Piece(text, "ink")]
    if marks:
        pieces += [between, *marks]
    return [*pieces, between, Piece(last, "quiet")]


def _step_pieces(steps: Sequence[str], gap: str) -> Line:
    pieces: Line = []
    for number, step in enumerate(steps, 1):
        glyph = STATES[STEP_STATES[step]]
        lead = gap if number > 1 else ""
        pieces += [Piece(f"{lead}{number}", "ink"), Piece(glyph.glyph, glyph.role)]
    return pieces


def progress_text(share: float | None, seconds_left: float | None = None, words: str = "") -> str:
    """Progress of long work as the answer row says it: `... 60 %  8 s left  Esc stops`, `... page 12  Esc stops`."""
    done = [f"{100 * min(max(share, 0.0), 1.0):.0f} %"] if share is not None else []
    left = [f"{seconds_left:.0f} s left"] if seconds_left is not None else []
    return f"... {'  '.join([*done, *([words] if words else []), *left, 'Esc stops'])}"
