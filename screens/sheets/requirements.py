"""2 Requirements: which requirement is not covered, or not held?"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.actions.edit import withdraw_record
from dossier.checks.told import sheet_answer
from dossier.checks.verdict import Verdict
from dossier.records.requirement import Requirement
from screens import keys
from screens.paint import line
from screens.section_of import OF_REQUIREMENT
from screens.sheets.conceding import Concedes
from screens.sheets.editing import refused
from screens.sheets.margins import fill_margin
from screens.sheets.requirement_new import MakesRequirements
from screens.sheets.requirement_rows import ORDERS, Shown, arranged, columns_at, detail_lines, heading_row, row_of
from screens.widgets.house import Lines
from screens.widgets.modal import Question
from screens.widgets.question import Asked
from screens.widgets.sheet_list import Row, SheetList
from screens.widgets.strip import EntryStrip
from screens.widgets.trace_margin import TraceMargin

OPEN = ("not met", "undecided", "outdated", "open")
FIRST = (
    "limit.m", "limit.nominal", "limit.", "limit", "title", "statement", "unit", "verification", "criterion", "source",
    "owner", "quantity",
)  # fmt: skip
DETAIL_ROWS, TALL_DETAIL_ROWS, TALL = 8, 13, 36


class RequirementsSheet(MakesRequirements, Concedes):
    """The list with value, bar, margin and state; below it the requirement under the cursor."""

    NUMBER = "2"
    TITLE_WORD = "Requirements"
    QUESTION = "Which requirement is not covered, or not held?"
    KEYS = ("rests-on", "edit", "next-open", "group", "concede")
    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("edit", "new", "cross-out", "group", "next-open", "previous-open", "concede", "detail")
    ]
    CSS = """
    #requirements { height: 1fr; }
    #requirement { height: auto; }
    """

    order = "id"

    def body(self) -> Sequence[Widget]:
        self.rows = SheetList(columns_at("value"), id="requirements")
        self.detail = Lines(id="requirement")
        self._shown: list[Shown] = []
        return (self.rows, self.detail)

    def margin(self) -> Sequence[Widget]:
        self.left = TraceMargin()
        return (self.left,)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "2")

    def fill(self) -> None:
        variant = self.session.opened.project.variant
        self.rows.set_columns(columns_at(variant.id if variant else "value"))
        self.rows.set_empty([line("   No requirement. n begins one; `dossier import-requirements` reads a table.")])
        self._arrange()
        self.rows.focus()

    def _arrange(self) -> None:
        view = self.session.opened.view
        self._shown = arranged([view.verdicts[r.id] for r in view.project.requirements], self.order)
        self.rows.set_rows([shown.id for shown in self._shown], self._row)
        self._show_detail()

    def _row(self, index: int) -> Row:
        shown = self._shown[index]
        return heading_row(shown.heading) if shown.verdict is None else row_of(shown.verdict, self.rows.size.width or 80)

    def record_at_cursor(self) -> str:
        found = self.rows.row_id or ""
        return "" if found.startswith("#") else found

    def go_to(self, record_id: str) -> None:
        self.rows.go_to(record_id)
        self._show_detail()

    @property
    def _verdict(self) -> Verdict | None:
        return self.session.opened.view.verdicts.get(self.record_at_cursor())

    @on(EntryStrip.Opened)
    @on(EntryStrip.Recorded)
    @on(EntryStrip.Chosen)
    @on(EntryStrip.Left)
    def _make_room(self) -> None:
        """In a low terminal the block below gives way to choices and hits, so that the list stays readable."""
        entry = self.frame.strip.entry
        self.detail.display = entry is None or entry.kind in ("edit", "remark") or self.app.size.height >= TALL

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()

    def _show_detail(self) -> None:
        verdict = self._verdict
        rows = TALL_DETAIL_ROWS if self.app.size.height >= TALL else DETAIL_ROWS
        if verdict is None:
            self.detail.show([])
            fill_margin(self.left, self.session, "")
            return
        self.detail.show(lambda columns: ["", *detail_lines(self.session, verdict, columns, rows)])
        fill_margin(self.left, self.session, verdict.requirement.id, OF_REQUIREMENT.get(verdict.requirement.region, ""))

    # Finding, with headings of groups ---------------------------------------------------------------------------

    def _rows_shown(self) -> tuple[int, int]:
        shown = [self._shown[index] for index in self.rows.model.shown]
        return sum(row.verdict is not None for row in shown), sum(row.verdict is not None for row in self._shown)

    def _keeps(self, rows: SheetList, query) -> Callable[[int], bool]:
        keep = super()._keeps(rows, query)
        kept: set[str] = set()
        for index, shown in enumerate(self._shown):
            if shown.verdict is not None and keep(index):
                kept |= {shown.id, f"#{shown.group}"}
        return lambda index: self._shown[index].id in kept

    # Keys -------------------------------------------------------------------------------------------------------

    def action_serves(self) -> None:
        """Up the trace: the requirement it was derived from, else the clause it comes from."""
        record = self.session.opened.project.find(self.record_at_cursor())
        if isinstance(record, Requirement) and not self.session.opened.project.serves(record.id):
            told = f"serves {record.source}" if record.source else "names no source; e fills it in"
            self.say(f"{record.id} {told}.", record.id)
        else:
            super().action_serves()

    def action_edit(self) -> None:
        """Choose a field of the requirement and change it."""
        if record := self._needed("to change"):
            self.edit_record(record, FIRST)

    def action_new(self) -> None:
        """A new requirement."""
        self.new_requirement(self.record_at_cursor())

    def action_group(self) -> None:
        """Sort and group."""
        self.choose("sort", list(ORDERS.items()), self._sort)

    def _sort(self, order: str) -> None:
        self.order = order
        self._arrange()
        self.rows.action_first()
        self.rows.scroll_rows(0)
        self.say(f"Sorted {ORDERS[order]}.")

    def action_next_open(self) -> None:
        """To the next that is not met, undecided, outdated or open."""
        self._next(1)

    def action_previous_open(self) -> None:
        """To the previous one."""
        self._next(-1)

    def _next(self, direction: int) -> None:
        def wanted(index: int) -> bool:
            verdict = self._shown[index].verdict
            return verdict is not None and verdict.state in OPEN

        if not self.rows.go_to_next(wanted, direction):
            self.say("No requirement here is not met, undecided, outdated or open.")

    def action_cross_out(self) -> None:
        """Withdraw the requirement, after a question."""
        record = self._needed("to withdraw")
        if not record:
            return
        project, person = self.session.opened.project, self.session.person
        if reason := refused(lambda: withdraw_record(project, record, person)):
            self.say(reason, record)
            return
        title = getattr(project.get(record), "title", "")
        body = f"{record} {title} is taken out of the list. It stays in the history, and u brings it back."
        asked = Asked(f"Withdraw {record}?", body, "withdraw", "keep")
        self.app.push_screen(Question(asked), lambda answer: self._withdraw(record) if answer is not None else None)

    def _withdraw(self, record: str) -> None:
        self.record(lambda: withdraw_record(self.session.opened.project, record, self.session.person))

    def why_not(self, key_id: str) -> str:
        """What cannot be done with the requirement under the cursor."""
        verdict = self._verdict
        if key_id == "concede" and verdict is not None and verdict.state not in ("not met", "undecided", "conceded"):
            return f"{verdict.requirement.id} is {verdict.state}; only what is not met or undecided is conceded."
        return "No requirement under the cursor." if verdict is None and key_id in ("edit", "cross-out", "concede") else ""

    def action_concede(self) -> None:
        """Permit the deviation of the requirement under the cursor: reason, limit, until when."""
        verdict = self._verdict
        if verdict is None:
            self.say("No requirement under the cursor to concede.")
            return
        if reason := self.why_not("concede"):
            self.say(reason, verdict.requirement.id)
            return
        requirement = verdict.requirement
        self.ask_concession(requirement.id, requirement.title, verdict.before_concession or verdict.state)

    def action_detail(self) -> None:
        """The working of the value."""
        verdict = self._verdict
        runs = [s.record for s in (*verdict.supports, *verdict.beside)] if verdict else []
        kinds = self.session.opened.project.kinds
        found = next((name for name in runs if kinds.get(name) == "calculation"), "")
        if found:
            self.app.show_working(found)  # type: ignore[attr-defined]
        elif runs:
            self.say(f"{self.record_at_cursor()} rests on measurements only ({', '.join(runs)}); r goes there.")
        else:
            self.say(f"{self.record_at_cursor() or 'Nothing'} has no value yet.")

    def to_calculate(self) -> list[str]:
        """What this requirement rests on."""
        verdict = self._verdict
        return [s.record for s in (*verdict.supports, *verdict.beside)] if verdict else []

    def _needed(self, what: str) -> str:
        record = self.record_at_cursor()
        if not record or not isinstance(self.session.opened.project.find(record), Requirement):
            self.say(f"No requirement under the cursor {what}; n begins one.")
            return ""
        return record
