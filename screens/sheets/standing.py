"""0 Standing: what stops the next step from closing?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from dossier.checks.standing import COUNTED, Cause, Standing
from dossier.checks.told import margin_words, sheet_answer, tightest
from screens import bars, keys
from screens.glyphs import STEP_STATES
from screens.paint import LineLike, Piece, line, state
from screens.sheets.sheet import Sheet
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

WAY_OUT = {"outdated": "c", "open": "m", "not met": "r"}


class StandingSheet(Sheet):
    """Steps with their counts, and the causes that keep the next one open."""

    NUMBER = "0"
    TITLE_WORD = "Standing"
    QUESTION = "What stops the next step from closing?"
    KEYS = ("next-open", "calculate", "rests-on", "find")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("next-open", "previous-open")]

    def body(self) -> Sequence[Widget]:
        self.steps = Lines(id="steps")
        columns = (Column("", 14), Column("what stops it", 0), Column("whose", 12), Column("way out", 7))
        self.causes = SheetList(columns, id="causes")
        self.figures = Lines(id="figures")
        return (self.steps, self.causes, self.figures)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "0")

    def fill(self) -> None:
        found = self.session.standing
        self.steps.show([*_step_lines(found), ""])
        causes = _causes(found)
        self._records = [cause.record or cause.where for _, cause in causes]
        self.causes.set_rows([str(number) for number in range(len(causes))], lambda index: _row(*causes[index]))
        self.causes.set_empty([line("   Nothing stops any step.")])
        self.figures.show(self._figure_lines())
        self.causes.focus()

    def record_at_cursor(self) -> str:
        row = self.causes.row_id
        record = self._records[int(row)] if row else ""
        return record if record in self.session.opened.project.records else ""

    def _figure_lines(self) -> list[LineLike]:
        least = tightest(self.session.opened.view)
        if least is None:
            return [""]
        bar = bars.margin_bar(least.margin.value, least.state == "undecided")
        words = margin_words(least.margin, least.requirement.unit)
        title = f" tightest margin  {least.requirement.id} {least.requirement.title}  "
        return ["", line(title, Piece(bar, "quiet"), f" {words} ", state(least.state))]

    def action_next_open(self) -> None:
        self.causes.go_to_next(lambda index: True)

    def action_previous_open(self) -> None:
        self.causes.go_to_next(lambda index: True, -1)


def _step_lines(found: Standing) -> list[LineLike]:
    head = line(Piece(f" {'step':<16}" + "".join(f"{word:>9}" for word in COUNTED) + "  state", "quiet"))
    lines: list[LineLike] = [head, line(Piece(" " + "─" * 78, "rule"))]
    for step in found.steps:
        counts = "".join(f"{step.counts[word] or '-':>9}" for word in COUNTED)
        mark = state(STEP_STATES[step.state])
        told = Piece(f"{mark.text[0]} {step.state}", mark.role)
        lines.append(line(f" {step.number} {step.name:<14}{counts}  ", told))
    return lines


def _causes(found: Standing) -> list[tuple[str, Cause]]:
    return [(step.number, cause) for step in found.steps if step.state != "closed" for cause in step.causes]


def _row(step: str, cause: Cause) -> Row:
    word = cause.state if cause.state in WAY_OUT else "open"
    return Row((line(state(word)), f"{cause.where} {cause.text}", cause.whose, "9" if cause.to_sign else WAY_OUT[word]))
