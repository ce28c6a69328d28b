"""0 Standing: what stops the next step from closing?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.checks.base import check_states, check_texts
from dossier.checks.standing import COUNTED, Standing
from dossier.checks.told import margin_words, sheet_answer, tightest
from screens import bars, keys
from screens.causes import Stop, stops
from screens.cells import cell_len, cut, wrap_most
from screens.glyphs import STEP_STATES
from screens.paint import LineLike, Piece, line, state, text_of
from screens.sheets.conceding import Concedes
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

HEADING = "#"
TEXT_ROWS = 3


class StandingSheet(Concedes):
    """Steps with their counts, and the causes that keep the next one open."""

    NUMBER = "0"
    STATION = 1
    TITLE_WORD = "Standing"
    QUESTION = "What stops the next step from closing?"
    KEYS = (("enter", "go there"), "calculate", "rests-on", "next-open", "concede")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("next-open", "previous-open", "concede")]

    def body(self) -> Sequence[Widget]:
        self.steps = Lines(id="steps", classes="below")
        columns = (Column("", 11), Column("what stops it", 0), Column("whose", 12), Column("way out", 7))
        self.causes = SheetList(columns, id="causes")
        self.detail = Lines(id="detail", classes="below")
        self._stops: list[Stop] = []
        return (self.steps, self.causes, self.detail)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "0")

    def fill(self) -> None:
        self.steps.show(_step_lines(self.session.standing))
        self._stops = stops(self.session)
        self._rows = _rows(self._stops)
        names = list(self._rows)
        self.causes.set_rows(names, lambda index: self._rows[names[index]])
        self.causes.set_empty([line("   Nothing stops any step; on 6, n freezes a revision.")])
        self._show_detail()
        self.causes.focus()

    @property
    def _stop(self) -> Stop | None:
        name = self.causes.row_id or HEADING
        return None if name.startswith(HEADING) else self._stops[int(name)]

    def record_at_cursor(self) -> str:
        return self._stop.record if self._stop else ""

    def go_to(self, record_id: str) -> None:
        """The cause that is about a record."""
        for number, stop in enumerate(self._stops):
            if record_id in (stop.record, stop.goal):
                self.causes.go_to(str(number))
                return

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()

    @on(SheetList.Opened)
    def _opened(self) -> None:
        """Enter: to the record, the question or the signature the cause is about."""
        stop = self._stop
        if stop is not None and stop.goal.isdigit():
            self.app.action_sheet(int(stop.goal))  # type: ignore[attr-defined]
        elif stop is not None:
            self.app.go(stop.goal)  # type: ignore[attr-defined]

    def _show_detail(self) -> None:
        stop = self._stop
        self.detail.show(lambda columns: [*_stop_lines(stop, columns), *self._figure_lines(columns)])

    def _figure_lines(self, columns: int) -> list[LineLike]:
        """The tightest margin nobody has conceded."""
        least = tightest(self.session.opened.view, conceded=False)
        if least is None:
            return []
        bar = bars.margin_bar(least.margin.value, least.state == "undecided")
        told = line(Piece(f"  {bar} ", "quiet"), f"{margin_words(least.margin, least.requirement.unit)} ", state(least.state))
        lead = " tightest of what is not conceded  "
        title = cut(f"{least.requirement.id} {least.requirement.title}", max(columns - cell_len(lead + text_of(told)) - 1, 7))
        return [line(Piece(lead, "quiet"), title, told)]

    def action_concede(self) -> None:
        """Permit what the cause under the cursor is about."""
        stop, project = self._stop, self.session.opened.project
        if stop is None:
            self.say("No cause under the cursor.")
        elif stop.state not in ("not met", "undecided") and not self._concedable(stop):
            self.say(f"This is {stop.state}; only what is not met is conceded.")
        elif project.kinds.get(stop.record) == "requirement":
            self.ask_concession(stop.record, getattr(project.get(stop.record), "title", ""), stop.state)
        elif stop.checks:
            self.ask_concession(stop.checks[0], check_texts()[stop.checks[0]].text, stop.state)
        else:
            self.say("Only a requirement or a check is conceded.")

    def _concedable(self, stop: Stop) -> bool:
        checks = check_states(self.session.opened.view)
        return bool(stop.checks) and checks[stop.checks[0]].concedable

    def action_next_open(self) -> None:
        """To the next cause."""
        self.causes.go_to_next(lambda index: not list(self._rows)[index].startswith(HEADING))

    def action_previous_open(self) -> None:
        """To the cause before."""
        self.causes.go_to_next(lambda index: not list(self._rows)[index].startswith(HEADING), -1)


def _step_lines(found: Standing) -> list[LineLike]:
    head = line(Piece(f" {'step':<16}" + "".join(f"{word:>9}" for word in COUNTED) + "  state", "quiet"))
    lines: list[LineLike] = [head]
    for step in found.steps:
        counts = "".join(f"{step.counts[word] or '-':>9}" for word in COUNTED)
        mark = state(STEP_STATES[step.state])
        told = Piece(f"{mark.text[0]} {step.state}", mark.role)
        lines.append(line(f" {step.number} {step.name:<14}{counts}  ", told))
    return [*lines, ""]


def _rows(found: Sequence[Stop]) -> dict[str, Row]:
    """The causes by their number, those of a step under its heading."""
    rows: dict[str, Row] = {}
    for number, stop in enumerate(found):
        heading = f"{HEADING}{stop.step}"
        if heading not in rows:
            rows[heading] = Row(line=line(Piece(f" ── stops step {stop.step} ", "heading")), selectable=False)
        rows[str(number)] = Row((line(state(stop.state)), stop.short, " ".join(stop.whose), Piece(stop.key, "key")))
    return rows


def _stop_lines(stop: Stop | None, columns: int) -> list[LineLike]:
    """A cause in full, what it stops and whose it is, and the way out."""
    if stop is None:
        return [""]
    texts = wrap_most(stop.text, columns - 2, TEXT_ROWS)
    held = f"check{'s' if len(stop.checks) > 1 else ''} {', '.join(stop.checks)}" if stop.checks else f"step {stop.step}"
    told = wrap_most(f"stops {held}; whose: {', '.join(stop.whose) or 'nobody named'}; {stop.deed}", columns - 4, TEXT_ROWS)
    return ["", *(line(" ", text) for text in texts), *(line(Piece(f"   {text}", "quiet")) for text in told)]
