"""0 Standing: what stops the next step from closing?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.checks.base import check_texts
from dossier.checks.standing import COUNTED, Cause, Standing, StepStanding
from dossier.checks.told import margin_words, sheet_answer, tightest
from screens import bars, keys
from screens.glyphs import STEP_STATES
from screens.paint import LineLike, Piece, line, state
from screens.sheets.conceding import Concedes
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

WAY_OUT = {"outdated": "c", "not met": "r"}


class StandingSheet(Concedes):
    """Steps with their counts, and the causes that keep the next one open."""

    NUMBER = "0"
    TITLE_WORD = "Standing"
    QUESTION = "What stops the next step from closing?"
    KEYS = (("enter", "way out"), "next-open", "calculate", "rests-on", "concede")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("next-open", "previous-open", "concede")]

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
        self._causes = causes
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

    @on(SheetList.Opened)
    def _opened(self, message: SheetList.Opened) -> None:
        """Enter: along the way out of the cause under the cursor."""
        step, cause = self._causes[int(message.row_id)]
        way = way_out(step, cause)
        if way == "9":
            self.app.go_review(step.number, cause.where)  # type: ignore[attr-defined]
        elif way.isdigit():
            self.app.action_sheet(int(way))  # type: ignore[attr-defined]
        elif way == "c":
            self.action_calculate()
        else:
            self.action_rests_on()

    def action_concede(self) -> None:
        """Permit what the cause under the cursor is about."""
        row = self.causes.row_id
        cause = self._causes[int(row)][1] if row else None
        check = check_texts().get(cause.where) if cause else None
        project = self.session.opened.project
        if cause and cause.state not in ("not met", "undecided"):
            self.say(f"{cause.where} is {cause.state}; only what is not met is conceded.")
        elif cause and check:
            self.ask_concession(check.id, check.text, cause.state)
        elif cause and project.kinds.get(cause.where) == "requirement":
            self.ask_concession(cause.where, getattr(project.get(cause.where), "title", ""), cause.state)
        else:
            self.say("Only a requirement or a check is conceded.")

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


def _causes(found: Standing) -> list[tuple[StepStanding, Cause]]:
    return [(step, cause) for step in found.steps if step.state != "closed" for cause in step.causes]


def _row(step: StepStanding, cause: Cause) -> Row:
    word = cause.state if cause.state in WAY_OUT else "open"
    return Row((line(state(word)), f"{cause.where} {cause.text}", cause.whose, way_out(step, cause)))


def way_out(step: StepStanding, cause: Cause) -> str:
    """The key that leads to where a cause is mended: a sheet's digit, c or r."""
    if cause.state == "open" and not cause.to_sign and not cause.record:
        check = next((found for found in step.checks if found.check.id == cause.where), None)
        lacks_records = check is not None and check.computed is not None and check.computed.state != "met"
        return step.number if lacks_records else "9"
    return "9" if cause.to_sign else WAY_OUT.get(cause.state, "r")
