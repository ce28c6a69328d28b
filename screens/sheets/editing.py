"""Changing one field of a record in the entry strip: which fields there are, what may stand there, and recording it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from dossier.actions.edit import clear_field, set_field
from dossier.actions.refusal import Refusal, words_of
from dossier.methods.listing import limits_of
from dossier.methods.registry import all_methods
from dossier.records.base import field_at, field_facts
from dossier.records.calculation import Calculation
from dossier.records.fields import NoField, Spot, options, spot_at
from dossier.store.change import Change
from dossier.store.edges import is_link
from dossier.store.project import Project
from screens.paint import LineLike, Piece, line
from screens.sheets.sheet import Sheet
from screens.wanted import SHARE, known_ids
from screens.widgets.entry import Entry

LONG_TEXT = 40


@dataclass(frozen=True)
class FieldHere:
    """A field of a record that can be typed: dotted path, text as it would be typed, unit, what may stand there.

    `default` is what holds while the field is empty.
    """

    path: str
    text: str
    unit: str
    hint: str
    optional: bool
    is_text: bool
    default: str = ""


def fields_of(project: Project, record_id: str, under: str = "") -> list[FieldHere]:
    """Every field below `under` that is typed on its own, in the order of the record's form; ids are left out."""
    model, raw = type(project.get(record_id)), project.raw[record_id]
    return [field for path in _paths(model, raw, under) if (field := field_here(project, record_id, path)) is not None]


def field_here(project: Project, record_id: str, path: str) -> FieldHere | None:
    """One field of a record; None where the path leads nowhere."""
    model, raw = type(project.get(record_id)), project.raw[record_id]
    try:
        spot = spot_at(model, raw, path)
    except NoField:
        return None
    info = field_at(model, spot.steps) or _input_of(project, record_id, path)
    value = _value_at(raw, spot)
    unit = spot.unit or (field_facts(info).get("unit", "") if info else "")
    unit = "" if unit in ("-", "1") else unit
    share = SHARE if info is not None and field_facts(info).get("shown") == "%" else ""
    words = (limits_of(info) if info else "", share, _choices(spot), known_ids(project, path), _form(spot))
    told = [text for text in words if text]
    is_text = str in options(spot.annotation)
    optional = info is not None and not info.is_required()
    usual = info.default if info is not None and isinstance(info.default, str | bool | int | float) else None
    return FieldHere(path, _typed(value), unit, "; ".join(told), optional, is_text, _typed(usual))


def _input_of(project: Project, record_id: str, path: str) -> FieldInfo | None:
    """What a calculation's method says of one of its inputs."""
    record, (first, _, name) = project.get(record_id), path.partition(".")
    method = all_methods().get(record.method) if isinstance(record, Calculation) and first == "inputs" else None
    return method.input_model.model_fields.get(name) if method else None


def _paths(model: type[BaseModel], raw: dict[str, Any], under: str) -> Iterator[str]:
    for name, info in model.model_fields.items():
        if name in ("id", "result"):
            continue
        yield from _below(info.annotation, raw.get(name), f"{under}.{name}" if under else name)


def _below(annotation: Any, value: Any, path: str) -> Iterator[str]:
    choices = options(annotation)
    models = [choice for choice in choices if isinstance(choice, type) and issubclass(choice, BaseModel)]
    chosen = _of_kind(models, value)
    if chosen is not None and isinstance(value, dict):
        for name, info in chosen.model_fields.items():
            yield from _below(info.annotation, value.get(name), f"{path}.{name}")
        return
    lists = [choice for choice in choices if get_origin(choice) in (list, dict)]
    inner = get_args(lists[0])[-1] if lists else None
    if inner is not None and any(isinstance(c, type) and issubclass(c, BaseModel) for c in options(inner)):
        entries = enumerate(value) if isinstance(value, list) else (value or {}).items()
        for name, entry in entries:
            yield from _below(inner, entry, f"{path}.{name}")
        return
    if isinstance(value, dict) and value and any(get_origin(choice) is dict for choice in lists):
        yield from (f"{path}.{name}" for name in value)
        return
    yield path


def _of_kind(models: Sequence[type[BaseModel]], value: Any) -> type[BaseModel] | None:
    kind = value.get("kind") if isinstance(value, dict) else None
    for model in models:
        field = model.model_fields.get("kind")
        if field is not None and kind in get_args(field.annotation):
            return model
    return models[0] if models else None


def _value_at(raw: Any, spot: Spot) -> Any:
    for step in spot.steps:
        try:
            raw = raw[step]
        except (KeyError, IndexError, TypeError):
            return None
    return raw


def _typed(value: Any) -> str:
    """A stored value as it is typed."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.10g}"
    if isinstance(value, list):
        return "; ".join(map(_typed, value)) if not any(isinstance(v, dict | list) for v in value) else _toml(value)
    if is_link(value):
        return ".".join(filter(None, (value["record"], value.get("field", ""))))
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {_toml(below)}" for name, below in value.items()) + " }"
    return str(value)


def _toml(value: Any) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_toml, value))}]"
    if isinstance(value, bool):
        return "true" if value else "false"
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"' if isinstance(value, str) else _typed(value)


def _choices(spot: Spot) -> str:
    words = [str(word) for choice in _inner(spot) if get_origin(choice) is Literal for word in get_args(choice)]
    return f"of {', '.join(filter(None, words))}" if any(words) else ""


def _inner(spot: Spot) -> tuple[Any, ...]:
    found: list[Any] = []
    for choice in options(spot.annotation):
        found += options(get_args(choice)[0]) if get_origin(choice) is list else (choice,)
    return tuple(found)


def _form(spot: Spot) -> str:
    choices = options(spot.annotation)
    if any(get_origin(choice) is list for choice in choices):
        return "several, with ; between"
    if bool in choices:
        return "yes or no"
    models = [choice for choice in choices if isinstance(choice, type) and issubclass(choice, BaseModel)]
    return "{ " + ", ".join(f"{name} = …" for name in list(models[0].model_fields)[:3]) + " }" if models else ""


class Edits(Sheet):
    """A sheet on which fields of records are changed."""

    def edit_record(self, record_id: str, first: Sequence[str] = (), under: str = "") -> None:
        """Choose a field of a record, those filled that begin as in `first` foremost, then change it."""
        project = self.session.opened.project
        found = [field for field in fields_of(project, record_id) if field.path.startswith(under)]

        def place(field: FieldHere) -> int:
            number = next((n for n, path in enumerate(first) if field.path.startswith(path)), len(first))
            return number if field.text else len(first)

        found.sort(key=place)
        choices = [(field.path, _field_line(field, under)) for field in found]
        self.choose(f"which field of {record_id}", choices, lambda path: self.edit_field(record_id, path))

    def edit_field(self, record_id: str, path: str) -> None:
        """Ask for the new value of one field; Enter records it as one change."""
        field = field_here(self.session.opened.project, record_id, path)
        if field is None:
            self.say(f"{record_id} has no field {path} any more; e shows its fields.", record_id)
            return
        was = f"was {field.text or 'empty'}" if len(field.text) <= LONG_TEXT else ""
        hint = "   ".join(part for part in (self.limits(record_id, field), was) if part)
        long_text = field.is_text and len(field.text) > LONG_TEXT
        entry = Entry(
            "remark" if long_text else "edit", f"edit {record_id} {path}", f"{record_id} {path}", field.text, field.unit, hint,
            check=lambda text: self.objection(record_id, path, text), width=max(12, min(len(field.text) + 4, 40)),
        )  # fmt: skip
        self.ask(entry, lambda text: self.record(lambda: self.field_change(record_id, path, text)))

    def limits(self, record_id: str, field: FieldHere) -> str:
        """What may stand in a field, for its hint."""
        return field.hint

    def field_change(self, record_id: str, path: str, text: str) -> Change:
        """The change that a typed text makes; an empty text empties an optional field. Raises Refusal."""
        project, person = self.session.opened.project, self.session.person
        field = field_here(project, record_id, path)
        if not text.strip() and field is not None and (field.optional or not field.is_text):
            return clear_field(project, record_id, path, person)
        return set_field(project, record_id, path, text, person)

    def objection(self, record_id: str, path: str, text: str) -> str:
        """Why a typed text cannot be recorded, empty when it can."""
        return refused(lambda: self.field_change(record_id, path, text))


def refused(make: Callable[[], object]) -> str:
    """The refusal of an action that is only tried, or nothing."""
    try:
        make()
    except (Refusal, KeyError) as error:
        return words_of(error)
    return ""


def _field_line(field: FieldHere, under: str) -> LineLike:
    name = field.path.removeprefix(under)
    value = field.text or "empty"
    return line(Piece(f"{name:<24} ", "key"), Piece(value, "ink" if field.text else "quiet"), Piece(f" {field.unit}", "quiet"))
