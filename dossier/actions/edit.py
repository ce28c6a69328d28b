"""Change one field of a record, add a record, withdraw one. Nothing is written: a Change is returned."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

from pydantic import BaseModel, ValidationError

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.actions.told import changed_in_words, in_words
from dossier.actions.typed import value_of
from dossier.methods.geometry import conflict_of
from dossier.methods.links import as_field
from dossier.methods.registry import all_methods
from dossier.methods.shape import with_shape
from dossier.records.base import Record
from dossier.records.calculation import Calculation
from dossier.records.collections import Collection, collection_of_kind, collection_of_path
from dossier.records.design import Design
from dossier.records.fields import NoField, Spot, spot_at, words_in
from dossier.records.problems import problems_in_words
from dossier.records.put import holder_of, put, value_at
from dossier.store.change import Change
from dossier.store.edges import is_link
from dossier.store.paths import file_stem
from dossier.store.project import RESERVED, Project
from dossier.store.tomlfile import dump_document


def set_field(project: Project, record_id: str, field: str, typed: str, author: str) -> Change:
    """Set a dotted field ("layer.outer_radius", "limit.max", "pin.bores.0.diameter") from typed text.

    A quantity may carry its unit. Raises Refusal when the field, the text or the record that results is not
    acceptable, or nothing would change; NoRecord when the id is unknown.
    """
    project.get(record_id)
    raw = copy.deepcopy(project.raw[record_id])
    spot = _spot(project, record_id, field)
    new = value_for(project, type(project.records[record_id]), raw, spot, typed)
    old = value_at(holder_of(raw, spot.steps), spot.steps[-1])
    if old == new and type(old) is type(new):
        raise Refusal(f"{record_id}.{field} is {in_words(old)} already; nothing to change")
    put(raw, spot.steps, new)
    return replace_record(project, record_id, raw, changed_in_words(record_id, field, old, new, spot.unit), author)


def clear_field(project: Project, record_id: str, field: str, author: str) -> Change:
    """Remove an optional field, so that it takes its default, or one entry of a list."""
    project.get(record_id)
    raw = copy.deepcopy(project.raw[record_id])
    spot = _spot(project, record_id, field)
    holder = holder_of(raw, spot.steps)
    old = value_at(holder, spot.steps[-1])
    if old is None:
        raise Refusal(f"{record_id}.{field} is empty already")
    del holder[spot.steps[-1]]
    collection = _collection(project.places[record_id].path)
    try:
        collection.model.model_validate(raw)
    except ValidationError as error:
        reason = "; ".join(problems_in_words(error, collection.model))
        told = f"{record_id}.{field} is required and cannot be emptied ({reason}); set another value instead"
        raise Refusal(told) from error
    return replace_record(project, record_id, raw, changed_in_words(record_id, field, old, None, spot.unit), author)


def replace_record(project: Project, record_id: str, raw: dict[str, Any], message: str, author: str) -> Change:
    """Put `raw` in the place of a record, after validating it. Raises Refusal."""
    project.get(record_id)
    place = project.places[record_id]
    collection = _collection(place.path)
    record = validated(collection.model, raw)
    if isinstance(record, Design):
        _refuse_conflict(record, project.find(record_id))
    if raw.get("id", record_id) != record_id:
        raise Refusal(f"id {record_id} cannot become {raw.get('id')}; add a new record and withdraw this one")
    document = copy.deepcopy(project.documents[place.path])
    if place.index is None:
        document = raw
    else:
        document[collection.key][place.index] = raw
    return Change(message, author, {place.path: dump_document(document)})


def add_record(
    project: Project, kind: str, raw: dict[str, Any], author: str, *, path: str = "", message: str = ""
) -> Change:
    """Add a record; `path` chooses among several files of a kind. Raises Refusal when the id is taken.

    A specimen keeps the shape its design has now.
    """
    collection = collection_of_kind(kind)
    raw = with_shape(project, raw) if kind == "specimen" else raw
    record = validated(collection.model, raw)
    if isinstance(record, Design):
        _refuse_conflict(record, None)
    record_id = str(getattr(record, "id"))  # noqa: B009
    if record_id in ids_in_files(project):
        free = f"; the next free one is {next_id(project, kind)}" if collection.prefix else ""
        raise Refusal(f"id {record_id} is used already{free}")
    if RESERVED.get(record_id, kind) != kind:
        raise Refusal(f"id {record_id} is kept for the {RESERVED[record_id]} record; give this {kind} another id")
    target = path or default_path(collection, record_id)
    if not collection.holds(target):
        raise Refusal(f"{target} cannot hold a {kind}; its files are {collection.pattern}")
    refuse_unreadable(project, target)
    document = copy.deepcopy(project.documents.get(target, {}))
    if collection.key:
        document.setdefault(collection.key, []).append(raw)
    else:
        document = raw
    title = str(raw.get("title", ""))
    told = message or f"{record_id} added{': ' + in_words(title) if title else ''}"
    return Change(told, author, {target: dump_document(document)})


def withdraw_record(project: Project, record_id: str, author: str) -> Change:
    """Take a record out; it stays in the history. Raises Refusal while others name it."""
    project.get(record_id)
    if record_id == "project":
        raise Refusal("project.toml is the project itself; it cannot be withdrawn")
    users = list(dict.fromkeys(_named_by(project, record_id)))
    if users:
        raise Refusal(f"{record_id} is used by {', '.join(users)}; withdraw or re-link these first")
    place = project.places[record_id]
    if place.index is None:
        return Change(f"{record_id} withdrawn", author, {place.path: None})
    document = copy.deepcopy(project.documents[place.path])
    del document[_collection(place.path).key][place.index]
    return Change(f"{record_id} withdrawn", author, {place.path: dump_document(document)})


def next_id(project: Project, kind: str) -> str:
    """The next free id of a kind, after the highest number in use, in unreadable records too."""
    prefix = collection_of_kind(kind).prefix
    tails = [name[len(prefix) :] for name in ids_in_files(project) if name.startswith(prefix)]
    numbers = [tail for tail in tails if tail.isascii() and tail.isdigit()]
    width = max(map(len, numbers), default=1 if prefix == "V" else 3)
    return f"{prefix}{max(map(int, numbers), default=0) + 1:0{width}d}"


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


def _refuse_conflict(design: Design, before: Record | None) -> None:
    """Refuse dimensions that cannot stand together, unless they stood so before: then it is mended step by step."""
    conflict = conflict_of(design)
    if conflict and not (isinstance(before, Design) and conflict_of(before)):
        raise Refusal(f"{design.id}: {conflict}")


def refuse_unreadable(project: Project, path: str) -> None:
    """Raise Refusal when the file at `path` could not be taken as it is: a save would write over what is in it."""
    problems = project.unreadable(path)
    if problems:
        raise Refusal(f"nothing is written over a file that cannot be read: {problems[0]}; mend it first")


def unit_of(project: Project, record_id: str, field: str) -> str:
    """Unit a dotted field is stored in, empty where it has none. Raises Refusal for an unknown field."""
    return _spot(project, record_id, field).unit


def _spot(project: Project, record_id: str, field: str) -> Spot:
    try:
        return spot_at(_collection(project.places[record_id].path).model, project.raw[record_id], field)
    except NoField as error:
        raise Refusal(f"{record_id}: {error}") from error


def _collection(path: str) -> Collection:
    collection = collection_of_path(path)
    if collection is None:
        raise Refusal(f"{path} is not a file of a project")
    return collection


def value_for(project: Project, model: type[BaseModel], raw: dict[str, Any], spot: Spot, typed: str) -> Any:
    """What a typed text means at a place of a record of `model`: an input of a calculation as its method reads it."""
    new = value_of(spot, typed)
    return _method_input(project, raw, spot, new) if model is Calculation else new


def _link(project: Project, typed: str) -> dict[str, str] | None:
    """ "L-01.radial" as the link it is short for, where a record of that id is there."""
    name, _, field = typed.strip().partition(".")
    if name not in project.records or len(typed.split()) != 1:
        return None
    return {"record": name, "field": field} if field else {"record": name}


def _method_input(project: Project, raw: dict[str, Any], spot: Spot, new: Any) -> Any:
    """An input of a calculation in the form its method reads; a quantity stays as typed, with its unit."""
    method = all_methods().get(raw.get("method", ""))
    if method is None or spot.steps[0] != "inputs" or len(spot.steps) != 2 or is_link(new):
        return new
    if isinstance(new, str) and (link := _link(project, new)):
        return link
    name = str(spot.steps[1])
    info = method.input_model.model_fields.get(name)
    if info is None:
        known = ", ".join(method.input_model.model_fields)
        raise Refusal(f"inputs.{name} is not an input of {method.id}; its inputs are {known}")
    words = words_in(info.annotation)
    if words and isinstance(new, str) and new not in words:
        raise Refusal(f'inputs.{name} = "{new}" is none of {", ".join(words)}; choose one of them, or link a record')
    try:
        read = as_field(info, new)
    except units.UnitError as error:
        raise Refusal(f"inputs.{name}: {error}") from error
    return read if isinstance(read, bool | int) else new


def ids_in_files(project: Project) -> set[str]:
    """Every id of the project's files, also of records that could not be taken."""
    ids = set(project.records)
    for path, document in project.documents.items():
        collection = collection_of_path(path)
        entries = document.get(collection.key, []) if collection and collection.key else [document]
        if isinstance(entries, list):
            ids |= {entry["id"] for entry in entries if isinstance(entry, dict) and isinstance(entry.get("id"), str)}
    return ids


def _named_by(project: Project, record_id: str) -> Iterator[str]:
    """Records in which the id, or the id and a field of it, stands as a whole value."""
    for name, raw in project.raw.items():
        if name != record_id and any(_names(text, record_id) for text in _texts(raw)):
            yield name


def _names(text: str, record_id: str) -> bool:
    return text == record_id or (text.startswith(f"{record_id}.") and len(text.split()) == 1 and text[-1] != ".")


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for below in value.values() if isinstance(value, dict) else value:
            yield from _texts(below)
