"""One record, field by field: what stands in it, what may stand there, and changing it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, ClassVar, get_args, get_origin

from pydantic import BaseModel
from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.actions.attach import attach_file
from dossier.actions.edit import clear_field, withdraw_record
from dossier.actions.shape import as_made
from dossier.methods.base import Method
from dossier.methods.registry import all_methods
from dossier.records.base import field_facts, models_in
from dossier.records.calculation import Calculation
from dossier.records.fields import options
from screens import keys
from screens.cells import wrap
from screens.ladder import state_of
from screens.paint import LineLike, Piece, line
from screens.session import Session
from screens.sheets.asking import Asks
from screens.sheets.editing import FieldHere, fields_of
from screens.sheets.margins import fill_margin
from screens.widgets.columns import Column
from screens.widgets.entry import Entry
from screens.widgets.house import Lines
from screens.widgets.sheet_list import Row, SheetList
from screens.widgets.trace_margin import TraceMargin

LONGEST_DETAIL = 5
LIST, TABLE, WORDS, PART = "list", "table", "words", "part"


class RecordSheet(Asks):
    """Every field of one record; e changes, n adds an entry, x empties or takes an entry out."""

    NUMBER = "7"
    QUESTION = "What stands in this record?"
    KEYS = ("edit", "new", "cross-out", "rests-on", "serves")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("edit", "new", "cross-out", "calculate", "detail")]

    def __init__(self, session: Session, record_id: str) -> None:
        self.subject = record_id
        self.TITLE_WORD = f"Trace, record {record_id}"  # type: ignore[misc]
        super().__init__(session)
        self._fields: list[FieldHere] = []

    def body(self) -> Sequence[Widget]:
        self.fields = SheetList((Column("field", 30, gap=1), Column("value", 0, gap=1), Column("unit", 8)), id="fields")
        self.detail = Lines(id="detail")
        return (self.fields, self.detail)

    def margin(self) -> Sequence[Widget]:
        self.left = TraceMargin()
        return (self.left,)

    def answer(self) -> str:
        project = self.session.opened.project
        if self.subject not in project.records:
            return f"{self.subject} is not there any more; 8 shows what became of it."
        record, state = project.records[self.subject], state_of(self.session, self.subject)
        filled = sum(bool(field.text) for field in self._fields)
        title = getattr(record, "title", "") or getattr(record, "number", "")
        kind = project.kinds[self.subject]
        told = " ".join(dict.fromkeys(filter(None, (kind, self.subject, title))))
        return f"{told[0].upper()}{told[1:]}: {filled} of {len(self._fields)} fields are filled{', ' + state if state else ''}."

    def fill(self) -> None:
        project = self.session.opened.project
        self._fields = fields_of(project, self.subject) if self.subject in project.records else []
        self.fields.set_rows([field.path for field in self._fields], lambda index: _row(self._fields[index]))
        self.fields.set_empty([line("   This record is not there any more; Esc leads back.")])
        self._show_detail()
        fill_margin(self.left, self.session, self.record_at_cursor())
        self.fields.focus()

    def record_at_cursor(self) -> str:
        return self.subject if self.subject in self.session.opened.project.records else ""

    def go_to(self, record_id: str) -> None:
        """The whole page is one record."""

    @property
    def _field(self) -> FieldHere | None:
        return next((field for field in self._fields if field.path == self.fields.row_id), None)

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()

    def _show_detail(self) -> None:
        field = self._field
        self.detail.show((lambda columns: _detail(field, columns)) if field else [""])

    # Keys ---------------------------------------------------------------------------------------------------------

    @on(SheetList.Opened)
    def action_edit(self) -> None:
        """Change the field under the cursor; a part that is not there yet is asked for."""
        field = self._field
        if field is None:
            self.say("No field under the cursor.")
        elif not field.text and dict(addable(self._model, self._raw)).get(field.path) == PART:
            self.begin_entry(self.subject, field.path)
        elif self.session.opened.project.kinds[self.subject] == "document" and field.path in ("file", "file_name"):
            self._ask_file()
        elif field.path == "shape_sha256":
            self.record(lambda: as_made(self.session.opened.project, [self.subject], self.session.person))
        else:
            self.edit_field(self.subject, field.path)

    def _ask_file(self) -> None:
        project, person, subject = self.session.opened.project, self.session.person, self.subject

        def objection(text: str) -> str:
            return "" if Path(text.strip()).expanduser().is_file() else f"{text or 'nothing'} names no file; correct the path"

        entry = Entry("edit", f"file of {subject}", f"{subject} file", hint="path; it is kept under its SHA-256", check=objection,
                      width=40)  # fmt: skip
        self.ask(entry, lambda text: self.record(lambda: attach_file(project, subject, Path(text.strip()).expanduser(), person)))

    @property
    def _model(self) -> type[BaseModel]:
        return type(self.session.opened.project.get(self.subject))

    @property
    def _raw(self) -> dict[str, Any]:
        return self.session.opened.project.raw[self.subject]

    def action_new(self) -> None:
        """A new entry of one of the record's lists or tables, or a part that is not there yet."""
        if not self.record_at_cursor():
            return
        found = dict(addable(self._model, self._raw))
        if not found:
            self.say(f"{self.subject} has no list of entries; e changes a field.", self.subject)
            return
        choices = [(path, line(Piece(f"{path:<30} ", "key"), Piece(_how_many(self._raw, path), "quiet"))) for path in found]
        here = self.fields.row_id or ""
        choices.sort(key=lambda choice: not here.startswith(choice[0]))
        self.choose("new entry of", choices, lambda path: self._add(path, found[path]))

    def _add(self, path: str, form: str) -> None:
        if form in (LIST, PART):
            self.begin_entry(self.subject, f"{path}.{_count(self._raw, path)}" if form == LIST else path)
            return
        calculation = self.session.opened.project.get(self.subject)
        if path == "inputs" and isinstance(calculation, Calculation):
            method = all_methods().get(calculation.method)
            names = [name for name in (method.input_model.model_fields if method else ()) if name not in calculation.inputs]
            options = [(name, line(Piece(f"{name:<24} ", "key"), Piece(_meaning(method, name), "quiet"))) for name in names]
            self.choose("input", options, lambda name: self._named(path, form, name))
            return
        hint = "the dimension it is on, such as layer.outer_radius" if path == "tolerances" else "name of the new entry"
        check = (lambda text: "" if text.strip() else f"name is empty; type the {hint}")  # noqa: E731
        entry = Entry("edit", f"name in {self.subject} {path}", f"{self.subject} {path}: name", hint=hint, check=check, width=30)
        self.ask(entry, lambda text: self._named(path, form, text.strip()))

    def _named(self, path: str, form: str, name: str) -> None:
        if form == TABLE:
            self.begin_entry(self.subject, f"{path}.{name}")
        else:
            self.edit_field(self.subject, f"{path}.{name}")

    def recorded_new(self, record_id: str, place: str = "") -> None:
        """The entry stands on this page; the cursor goes to its first field."""
        self.fields.go_to(next((field.path for field in self._fields if field.path.startswith(place)), ""))

    def action_cross_out(self) -> None:
        """Empty the field under the cursor, take out the entry it belongs to, or withdraw the record."""
        if not self.record_at_cursor():
            return
        field, choices = self._field, []
        if field is not None:
            if field.optional and field.text:
                choices.append((field.path, f"empty {field.path}"))
            entry = _entry_of(field.path)
            if entry:
                choices.append((entry, f"take the whole entry {entry} out"))
        choices.append(("", f"withdraw the record {self.subject}; it stays in the history"))
        self.choose("cross out", choices, self._take_out)

    def _take_out(self, path: str) -> None:
        project, person, subject = self.session.opened.project, self.session.person, self.subject
        if path:
            self.record(lambda: clear_field(project, subject, path, person))
        elif self.record(lambda: withdraw_record(project, subject, person)):
            self.action_back()

    def action_detail(self) -> None:
        """The working of a calculation."""
        if self.session.opened.project.kinds.get(self.subject) == "calculation":
            self.app.show_working(self.subject)  # type: ignore[attr-defined]
        else:
            self.say(f"{self.subject} is no calculation; i shows the working of one.", self.subject)

    def action_back(self) -> None:
        """Back to where one came from."""
        self.app.pop_screen()


def addable(model: type[BaseModel], raw: dict[str, Any], under: str = "") -> Iterator[tuple[str, str]]:
    """Places of a record where an entry or a part can be added: path, and whether it is a list, table, words or part."""
    for name, info in model.model_fields.items():
        path, value = f"{under}.{name}" if under else name, raw.get(name)
        for choice in () if name == "result" else options(info.annotation):
            inner = models_in(choice)
            if get_origin(choice) is list and inner:
                yield path, LIST
                for number, entry in enumerate(value or []):
                    yield from addable(inner[0], entry, f"{path}.{number}")
            elif get_origin(choice) is dict:
                yield path, TABLE if inner else WORDS
            elif inner and value is None and not info.is_required():
                yield path, PART
            elif inner and isinstance(value, dict) and value.get("kind") in (None, *get_args(_kind_of(inner[0]))):
                yield from addable(inner[0], value, path)


def _kind_of(model: type[BaseModel]) -> Any:
    return model.model_fields["kind"].annotation if "kind" in model.model_fields else None


def _meaning(method: Method | None, name: str) -> str:
    info = method.input_model.model_fields.get(name) if method else None
    return f"{info.description or ''} {field_facts(info).get('unit', '')}".strip() if info else ""


def _count(raw: Any, path: str) -> int:
    for step in path.split("."):
        raw = (raw[int(step)] if isinstance(raw, list) else raw.get(step)) or []
    return len(raw)


def _how_many(raw: Any, path: str) -> str:
    count = _count(raw, path)
    return f"{count} entr{'y' if count == 1 else 'ies'} so far" if count else "nothing there yet"


def _entry_of(path: str) -> str:
    """The innermost entry of a list that a field belongs to, or nothing."""
    steps = path.split(".")
    places = [index for index, step in enumerate(steps) if step.isdigit()]
    return ".".join(steps[: places[-1] + 1]) if places else ""


def _row(field: FieldHere) -> Row:
    value = Piece(field.text, "ink") if field.text else Piece(f"{field.default}, if empty" if field.default else "empty", "quiet")
    return Row((Piece(field.path, "key"), value, Piece(field.unit, "quiet")))


def _detail(field: FieldHere, columns: int) -> list[LineLike]:
    lines: list[LineLike] = ["", line(Piece(f" {field.path}", "key"), Piece(f"  {field.hint}", "quiet"))]
    parts = wrap(field.text, columns - 4)
    lines += [line(f"   {part}") for part in parts[:LONGEST_DETAIL]]
    if len(parts) > LONGEST_DETAIL:
        lines.append(line(Piece(f"   and {len(parts) - LONGEST_DETAIL} more lines; e shows all", "quiet")))
    return lines
