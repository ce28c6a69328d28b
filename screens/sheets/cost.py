"""5 Cost: what does the variant cost, and what is the saved kilogram worth?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier import units
from dossier.checks.told import margin_words, requirement_row, sheet_answer
from dossier.checks.told_cost import worth_sentences
from dossier.methods.cost import WORTHS
from dossier.records.calculation import Calculation, Result
from dossier.records.cost import Cost
from screens import keys
from screens.cells import cut, wrap_most
from screens.paint import LineLike, Piece, line, state
from screens.sheets.asking import Asks
from screens.sheets.cost_rows import CostLine, cost_lines, from_words, source_words
from screens.widgets.columns import Column, cells_line
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList

ROOMY = 32
COLUMNS = (
    Column("per piece, EUR", 0), Column("ref", 7, "point", after=3, gap=1), Column("variant", 7, "point", after=3, gap=1),
    Column("differs", 7, "point", after=3), Column("from", 26),
)  # fmt: skip
OF_FRESHNESS = {"current": "met", "outdated": "outdated", "failed": "not met"}


class CostSheet(Asks):
    """The cost sheet line by line, reference part left, variant right, where each line comes from, the decision."""

    NUMBER = "5"
    TITLE_WORD = "Cost"
    QUESTION = "What does it cost, and what is the saved kg worth?"
    KEYS = ("edit", "new", "calculate", "detail", "rests-on")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("detail", "edit", "new")]

    def body(self) -> Sequence[Widget]:
        self.lines = SheetList(COLUMNS, id="lines")
        self.worth = Lines(id="worth", classes="below")
        self._lines: list[CostLine] = []
        return (self.lines, self.worth)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "5")

    def fill(self) -> None:
        run = self._run_of("cost.piece")
        result = run.result if run else None
        self._lines = cost_lines(result) if result else []
        self.lines.set_rows([entry.name for entry in self._lines], lambda index: self._row(self._lines[index]))
        self.lines.set_empty([line(f"   {text}") for text in _how_to_begin(run)])
        self._show_total()
        self._show_worth()
        self.lines.focus()

    def on_resize(self) -> None:
        """The total's row keeps to the columns."""
        super().on_resize()
        if self.is_mounted:
            self.call_after_refresh(self._show_total)

    def _show_total(self) -> None:
        """The self cost stands above its lines and never scrolls."""
        run = self._run_of("cost.piece")
        if run is None or run.result is None or not self.lines.size.width:
            self.lines.set_head([])
            return
        total = CostLine("self cost", "self cost", _number(run.result, "reference"), _number(run.result, "variant"))
        columns = self.lines._columns_at(self.lines.size.width)
        self.lines.set_head([line("   ", cells_line([Piece(text, "heading") for text in _cells(total, "")], columns))])

    def _row(self, entry: CostLine) -> Row:
        return Row([Piece(text) if number < 4 else Piece(text, "quiet") for number, text in enumerate(
            _cells(entry, from_words(self._cost, entry.name)))])  # fmt: skip

    @property
    def _cost(self) -> Cost | None:
        found = self.session.opened.project.find("cost")
        return found if isinstance(found, Cost) else None

    def record_at_cursor(self) -> str:
        run = self._run_of("cost.piece")
        return run.id if run else ""

    def go_to(self, record_id: str) -> None:
        """The whole sheet is one record."""

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_worth()

    def _run_of(self, method: str) -> Calculation | None:
        found = [run for run in self.session.opened.project.calculations if run.method == method]
        return found[0] if found else None

    def _show_worth(self) -> None:
        roomy = self.app.size.height >= ROOMY
        self.worth.show(lambda columns: self._block(columns, roomy))

    def _block(self, columns: int, roomy: bool) -> list[LineLike]:
        """The line at the cursor with its sources, the decision, what pays for it, the CO2 balance, the states."""
        run, balance = self._run_of("cost.piece"), self._run_of("co2.saving")
        lines: list[LineLike] = [""]
        if run is not None and run.result is not None:
            entry = next((entry for entry in self._lines if entry.name == self.lines.row_id), None)
            told = f"{entry.words}: {source_words(self._cost, entry.name) or 'nothing'}" if entry else ""
            lines += [line(Piece(f" {text}", "quiet")) for text in wrap_most(told, columns - 2, 4 if roomy else 2)]
            lines += self._verdicts(run, columns)
            lines += _change(run.result, columns)
            lines += [line(f" {text}") for text in wrap_most(" ".join(worth_sentences(run.result)), columns - 2, 3)]
            levers = [text for text in run.result.warnings if text.startswith("lever")]
            lines += [line(Piece(f" {cut(text, columns - 2)}", "quiet")) for text in levers] if roomy else []
        if balance is not None and balance.result is not None:
            lines += _footprint(balance.result, columns, 6 if roomy else 0)
        return [*lines, *self._states((run, balance), roomy)]

    def _verdicts(self, run: Calculation, columns: int) -> list[LineLike]:
        """Value, limit, margin and decision of each requirement the cost serves."""
        view = self.session.opened.view
        lines: list[LineLike] = []
        for name in dict.fromkeys(served.requirement for served in run.serves):
            if name not in view.verdicts:
                continue
            told = requirement_row(view.verdicts[name])
            margin = margin_words(told.margin, told.unit)
            words = "   ".join(filter(None, (told.told, f"limit {told.limit}", f"margin {margin}" if margin else "")))
            title = cut(told.title, max(columns - len(words) - 26, 8))
            lines.append(line(" ", Piece(f"{name} ", "key"), f"{title}   {words}  ", state(told.state)))
        return lines

    def _states(self, runs: Sequence[Calculation | None], every: bool) -> list[LineLike]:
        """Calculations of the sheet with their state: all, or only those that are not current."""
        parts: list[str | Piece] = []
        for found in runs:
            fresh = self.session.opened.view.freshness[found.id].state if found is not None else "current"
            if found is not None and (every or fresh != "current"):
                parts += [f" {found.id} {found.method}: ", Piece(fresh, state(OF_FRESHNESS.get(fresh, "open")).role), "  "]
        return [line(*parts)] if parts else []

    def to_calculate(self) -> list[str]:
        """The calculations of this step."""
        return [run.id for method in ("cost.piece", "co2.saving") if (run := self._run_of(method))]

    def why_not(self, key_id: str) -> str:
        """A working needs a planned calculation."""
        planned = self._run_of("cost.piece") is not None
        return "No cost is planned yet." if key_id == "detail" and not planned else super().why_not(key_id)

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
            self.say(self.why_not("detail"))
        else:
            self.app.show_working(run.id)  # type: ignore[attr-defined]


def _how_to_begin(run: Calculation | None) -> list[str]:
    if run is not None:
        return [f"{run.id} has no result yet; c calculates it."]
    return ["No cost yet. n begins the cost sheet, n again its calculation; c runs it."]


def _cells(entry: CostLine, come: str) -> list[str]:
    return [entry.words, f"{entry.reference:.2f}", f"{entry.variant:.2f}", f"{entry.difference:+.2f}", come]


def _number(result: Result, name: str) -> float:
    value = result.value(name)
    return value.value if value and value.value is not None else 0.0


def _change(result: Result, columns: int) -> list[LineLike]:
    """By how much the self cost changes, within which bounds, and what is paid once."""
    share = result.value("change")
    if share is None or share.value is None:
        return []
    banded = share.low is not None and share.high is not None
    spread = f" ({100 * share.low:+.1f} to {100 * share.high:+.1f})" if banded else ""
    investment, needed = (units.show(number, 3) for number in
                          (_number(result, "investment") / 1000, _number(result, "worth_needed")))  # fmt: skip
    told = f"change of self cost {100 * share.value:+.1f} %{spread}; once {investment} kEUR; pays at {needed} EUR/kg"
    return [line(f" {cut(told, columns - 2)}")]


def _footprint(result: Result, columns: int, most: int) -> list[LineLike]:
    """The CO2 balance from low to high, and up to `most` rows of what it holds for."""
    total = [result.value(f"total_{end}") for end in WORTHS]
    shown = " .. ".join(f"{value.value:+.2f}" for value in total if value and value.value is not None)
    first = f". {result.warnings[0]}" if result.warnings else ""
    lines: list[LineLike] = [line(f" {text}") for text in wrap_most(f"CO2e saved per joint {shown} kg{first}", columns - 2, 2)]
    told = "; ".join(result.warnings[1:])
    return lines + ([line(Piece(f" {text}", "quiet")) for text in wrap_most(told, columns - 2, most)] if most and told else [])
