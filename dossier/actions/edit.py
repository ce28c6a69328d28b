"""Change one field of a record, add a record, withdraw one. Nothing is written: a Change is returned."""

from __future__ import annotations

import copy
import types
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.records.base import field_at, field_facts, problems_in_words
from dossier.records.collections import Collection, collection_of_kind, collection_of_path
from dossier.store.change import Change
from dossier.store.paths import file_stem
from dossier.store.project import Place, Project
from dossier.store.tomlfile import dump_document


def set_field(project: Project, record_id: str, field: str, typed: str, author: str) -> Change:
    """Set a dotted field ("layer.outer_radius", "limit.max", "pin.bores.0.diameter") from typed text.

    A quantity may carry its unit. Raises Refusal when the field, the text or the record that results is not
    acceptable; NoRecord when the id is unknown.
    """
    project.get(record_id)
    raw = copy.deepcopy(project.raw[record_id])
    path = tuple(int(step) if step.isdigit() else step for step in field.split("."))
    model = _model(project, record_id)
    holder = _descend(raw, path[:-1], record_id, field)
    old = _current(holder, path[-1])
    new = coerce(model, path, typed, unit_of(project, record_id, path))
    _place(holder, path[-1], new)
    unit = unit_of(project, record_id, path)
    told = f"{record_id} {field} {in_words(old)} → {in_words(new)}"
    spaced = f" {unit}" if unit and unit != "-" and isinstance(new, (int, float)) else ""
    return replace_record(project, record_id, raw, f"{told}{spaced}", author)


def clear_field(project: Project, record_id: str, field: str, author: str) -> Change:
    """Remove an optional field, so that it takes its default."""
    project.get(record_id)
    raw = copy.deepcopy(project.raw[record_id])
    path = tuple(int(step) if step.isdigit() else step for step in field.split("."))
    holder = _descend(raw, path[:-1], record_id, field)
    old = _current(holder, path[-1])
    if old is None:
        raise Refusal(f"{record_id}.{field} is empty already")
    del holder[path[-1]]
    return replace_record(project, record_id, raw, f"{record_id} {field} {in_words(old)} → empty", author)


def replace_record(project: Project, record_id: str, raw: dict[str, Any], message: str, author: str) -> Change:
    """Put `raw` in the place of a record, after validating it. Raises Refusal."""
    model = _model(project, record_id)
    validated(model, raw)
    if raw.get("id") != record_id:
        raise Refusal(f"id {record_id} cannot become {raw.get('id')}; add a new record and withdraw this one")
    place = project.places[record_id]
    document = copy.deepcopy(project.documents[place.path])
    if place.index is None:
        document = raw
    else:
        _list_of(place, document)[place.index] = raw
    return Change(message, author, {place.path: dump_document(document)})


def add_record(
    project: Project, kind: str, raw: dict[str, Any], author: str, *, path: str = "", message: str = ""
) -> Change:
    """Add a record; `path` chooses among several files of a kind. Raises Refusal when the id is taken."""
    collection = collection_of_kind(kind)
    record = validated(collection.model, raw)
    record_id = str(getattr(record, "id"))  # noqa: B009
    if record_id in project.records:
        raise Refusal(f"id {record_id} is used already; the next free one is {next_id(project, kind)}")
    target = path or default_path(collection, record_id)
    if not collection.holds(target):
        raise Refusal(f"{target} cannot hold a {kind}; its files are {collection.pattern}")
    document = copy.deepcopy(project.documents.get(target, {}))
    if collection.key:
        document.setdefault(collection.key, []).append(raw)
    else:
        document = raw
    title = str(raw.get("title", ""))
    told = message or f"{record_id} added{': ' + title if title else ''}"
    return Change(told, author, {target: dump_document(document)})


def withdraw_record(project: Project, record_id: str, author: str) -> Change:
    """Take a record out; it stays in the history. Raises Refusal while others rest on it."""
    project.get(record_id)
    users = project.serves(record_id)
    if users:
        raise Refusal(f"{record_id} is used by {', '.join(users)}; withdraw or re-link these first")
    place = project.places[record_id]
    if place.index is None:
        return Change(f"{record_id} withdrawn", author, {place.path: None})
    document = copy.deepcopy(project.documents[place.path])
    del _list_of(place, document)[place.index]
    return Change(f"{record_id} withdrawn", author, {place.path: dump_document(document)})


def next_id(project: Project, kind: str) -> str:
    """The next free id of a kind, after the highest number in use."""
    prefix = collection_of_kind(kind).prefix
    numbers = [int(tail) for i in project.records if i.startswith(prefix) and (tail := i[len(prefix) :]).isdigit()]
    width = 1 if prefix == "V" else 3
    return f"{prefix}{max(numbers, default=0) + 1:0{width}d}"


def default_path(collection: Collection, record_id: str) -> str:
    """File a new record goes to."""
    if "*" not in collection.pattern:
        return collection.pattern
    stem = "requirements" if collection.key else file_stem(record_id)
    return collection.pattern.replace("*", stem)


def validated(model: type[BaseModel], raw: dict[str, Any]) -> BaseModel:
    """The record of `raw`. Raises Refusal with every problem in words."""
    try:
        return model.model_validate(raw)
    except ValidationError as error:
        raise Refusal("; ".join(problems_in_words(error, model))) from error


def unit_of(project: Project, record_id: str, path: tuple[str | int, ...]) -> str:
    """Unit a field is stored in: its own, or the record's unit for limits and values of that record."""
    info = field_at(_model(project, record_id), path)
    facts = field_facts(info) if info else {}
    if "unit" in facts:
        return str(facts["unit"])
    own = project.raw[record_id].get("unit")
    numeric = {"min", "max", "nominal", "value", "low", "high"}
    return str(own) if own and path[-1] in numeric else ""


def coerce(model: type[BaseModel], path: tuple[str | int, ...], typed: str, unit: str) -> Any:
    """Typed text as the value a field takes. Raises Refusal naming field, text and what is expected."""
    info = field_at(model, path)
    name = ".".join(map(str, path))
    if info is None:
        raise Refusal(f"{name} is not a field of this record")
    options = _options(info.annotation)
    try:
        if float in options:
            return units.parse(typed, unit or "-")
        if int in options:
            return int(typed)
        if bool in options:
            return _yes(typed)
    except (units.UnitError, ValueError) as error:
        raise Refusal(f"{name} = {typed!r}: {error}") from error
    if any(get_origin(option) is list for option in options):
        return [item.strip() for item in typed.split(";") if item.strip()]
    choices = [choice for option in options if get_origin(option) is Literal for choice in get_args(option)]
    if choices and typed not in choices:
        raise Refusal(f"{name} = {typed!r} is none of {', '.join(str(choice) for choice in choices)}")
    return typed


def _options(annotation: Any) -> tuple[Any, ...]:
    if get_origin(annotation) in (Union, types.UnionType):
        return tuple(option for part in get_args(annotation) for option in _options(part))
    return (annotation,)


def _yes(typed: str) -> bool:
    words = {"yes": True, "true": True, "no": False, "false": False}
    if typed.strip().lower() not in words:
        raise ValueError("expected yes or no")
    return words[typed.strip().lower()]


def _model(project: Project, record_id: str) -> type[BaseModel]:
    collection = collection_of_path(project.places[record_id].path)
    if collection is None:
        raise Refusal(f"{project.places[record_id].path} is not a file of a project")
    return collection.model


def _list_of(place: Place, document: dict[str, Any]) -> list[Any]:
    collection = collection_of_path(place.path)
    return document[collection.key] if collection else []


def _descend(raw: dict[str, Any], path: tuple[str | int, ...], record_id: str, field: str) -> Any:
    current: Any = raw
    for step in path:
        if isinstance(current, list):
            if not isinstance(step, int) or step >= len(current):
                raise Refusal(f"{record_id}.{field}: there are {len(current)} entries, counted from 0")
            current = current[step]
        else:
            current = current.setdefault(str(step), {})
    return current


def _current(holder: Any, step: str | int) -> Any:
    if isinstance(holder, list):
        return holder[step] if isinstance(step, int) and step < len(holder) else None
    return holder.get(step)


def _place(holder: Any, step: str | int, value: Any) -> None:
    if isinstance(holder, list) and step == len(holder):
        holder.append(value)
    else:
        holder[step] = value


def in_words(value: Any) -> str:
    """A stored value as it is told in a message."""
    if value is None or value == "" or value == []:
        return "empty"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return f"{value:.10g}".replace("-", "−")
    if isinstance(value, list):
        return "; ".join(in_words(item) for item in value)
    text = str(value)
    return f'"{text}"' if len(text) <= 60 else f'"{text[:57]}…"'
