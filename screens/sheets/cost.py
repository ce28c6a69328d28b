"""5 Cost: what does the variant cost, and what is the saved kilogram worth?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from dossier import units
from dossier.checks.told import sheet_answer
from dossier.methods.cost import LINES, WORTHS
from dossier.records.calculation import Calculation, Result
from dossier.records.cost import Cost
from screens import bars, keys
from screens.paint import LineLike, Piece, line, state
from screens.sheets.asking import Asks
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

BAR_STEP = 0.20
ROOMY = 32


class CostSheet(Asks):
    """The cost sheet line by line, reference part left, variant right, and what the difference is worth."""

    NUMBER = "5"
    TITLE_WORD = "Cost"
    QUESTION = "What does it cost, and what is the saved kg worth?"
    KEYS = ("edit", "new", "calculate", "detail", "rests-on")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("detail", "edit", "new")]

    def body(self) -> Sequence[Widget]:
        columns = (
            Column("per piece, EUR", 0), Column("ref", 8, "point", after=3), Column("variant", 8, "point", after=3),
            Column("differs", 8, "point", after=3), Column(bars.margin_head(5, 4), 10),
        )  # fmt: skip
        self.lines = SheetList(columns, id="lines")
        self.worth = Lines(id="worth")
        return (self.lines, self.worth)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "5")

    def fill(self) -> None:
        run = self._run_of("cost.piece")
        rows = _rows(run.result) if run and run.result else []
        self.lines.set_rows([str(number) for number in range(len(rows))], lambda index: rows[index])
        self.lines.set_empty([line("   No cost is calculated. n begins the cost sheet of both parts and its calculation.")])
        self.worth.show(self._worth_lines())
        self.lines.focus()

    def record_at_cursor(self) -> str:
        run = self._run_of("cost.piece")
        return run.id if run else ""

    def go_to(self, record_id: str) -> None:
        """The whole sheet is one record."""

    def _run_of(self, method: str) -> Calculation | None:
        found = [run for run in self.session.opened.project.calculations if run.method == method]
        return found[0] if found else None

    def _worth_lines(self) -> list[LineLike]:
        lines: list[LineLike] = [""]
        run, balance = self._run_of("cost.piece"), self._run_of("co2.saving")
        if run and run.result:
            lines += _break_even(run.result)
            roomy = self.app.size.height >= ROOMY
            lines += [line(f" {text}") for text in run.result.warnings if roomy or not text.startswith("lever")]
        if balance and balance.result:
            total = [balance.result.value(f"total_{end}") for end in WORTHS]
            shown = " .. ".join(f"{value.value:+.2f}" for value in total if value and value.value is not None)
            lines.append(line(f" CO2e saved per joint  {shown} kg"))
            lines.append(line(" ", Piece(_first(balance.result), "quiet")))
        parts: list[str | Piece] = [" "]
        for found in (run, balance):
            if found:
                fresh = self.session.opened.view.freshness[found.id].state
                word = {"current": "met", "outdated": "outdated", "failed": "not met"}.get(fresh, "open")
                parts += [f"{found.id} {found.method}: ", Piece(fresh, state(word).role), "   "]
        return [*lines, line(*parts)]

    def to_calculate(self) -> list[str]:
        """The calculations of this step."""
        return [run.id for method in ("cost.piece", "co2.saving") if (run := self._run_of(method))]

    def action_edit(self) -> None:
        """The page of the cost sheet, line by line."""
        cost = next(iter(self.session.opened.project.of_kind(Cost)), None)
        if cost is None:
            self.say("No cost sheet yet; n begins one.")
        else:
            self.app.show_record(cost.id)  # type: ignore[attr-defined]

    def action_new(self) -> None:
        """The cost sheet, or a calculation on it."""
        self.choose_new(("cost", "calculation", "document"))

    def action_detail(self) -> None:
        """The working of the cost."""
        run = self._run_of("cost.piece")
        if run is None:
            self.say("No cost is calculated yet.")
        elif hasattr(self.app, "show_working"):
            self.app.show_working(run.id)
        else:
            self.app.go(run.id)  # type: ignore[attr-defined]


def _first(result: Result) -> str:
    return result.warnings[0] if result.warnings else ""


def _rows(result: Result) -> list[Row]:
    rows = []
    for name, words in LINES:
        reference, variant = _number(result, f"reference_{name}"), _number(result, f"variant_{name}")
        rows.append(_row(words, reference, variant))
    total = _row("self cost", _number(result, "reference"), _number(result, "variant"))
    return [*rows, total]


def _row(words: str, reference: float, variant: float) -> Row:
    difference = variant - reference
    bar = Piece(bars.difference_bar(difference, BAR_STEP), "quiet")
    return Row((words, f"{reference:.2f}", f"{variant:.2f}", f"{difference:+.2f}", bar))


def _number(result: Result, name: str) -> float:
    value = result.value(name)
    return value.value if value and value.value is not None else 0.0


def _break_even(result: Result) -> list[LineLike]:
    share = result.value("change")
    investment = units.show(_number(result, "investment") / 1000, 3)
    lines: list[LineLike] = []
    if share and share.value is not None:
        banded = share.low is not None and share.high is not None
        spread = f" ({100 * share.low:+.1f} to {100 * share.high:+.1f})" if banded else ""
        lines.append(line(f" change of self cost  {100 * share.value:+.1f} %{spread}   once {investment} kEUR"))
    needed = units.show(_number(result, "worth_needed"), 3)
    lines.append(line(f" costs as much as before if a kilogram is worth {needed} EUR"))
    return lines
