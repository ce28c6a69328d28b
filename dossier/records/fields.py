"""Where a dotted path leads in a record: the steps to it, the form of the value there, and the unit it is stored in."""

from __future__ import annotations

import difflib
import types
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from dossier.records.base import Banded, field_facts, models_in
from dossier.records.design import Design, Tolerance
from dossier.records.material import VALUES, Material

Steps = tuple["str | int", ...]
# Fields that hold a number in the unit their record (or the part around them) states in a field `unit`.
_IN_STATED_UNIT = frozenset({"min", "max", "nominal", "value", "low", "high", "minus", "plus"})


class NoField(LookupError):
    """A dotted path that leads to no field; the message says where it ends and what is there."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass(frozen=True)
class Spot:
    """The place a path leads to: `steps` to it in the stored fields, the type that may stand there, and its unit.

    `unit` is empty where no unit is known; `stated` is the unit that the tables around the place state.
    """

    steps: Steps
    annotation: Any
    unit: str = ""
    stated: str = ""
    holder: type[BaseModel] | None = None

    @property
    def name(self) -> str:
        """The dotted path."""
        return ".".join(map(str, self.steps))


def spot_at(model: type[BaseModel], raw: Any, dotted: str) -> Spot:
    """The place of `dotted` ("limit.max", "pin.bores.0.diameter") in a record of `model` with stored fields `raw`.

    A key that holds dots itself, as of tolerances ("tolerances.layer.outer_radius.upper"), is found by trying.
    Raises NoField.
    """
    spot = _into(Spot((), model), raw, tuple(dotted.split(".")))
    if spot.holder is Tolerance and model is Design:
        return replace(spot, unit=_unit_of_dimension(raw, str(spot.steps[1])))
    return spot


def options(annotation: Any) -> tuple[Any, ...]:
    """The types a value may have, without None and without the wrapping of Annotated."""
    if get_origin(annotation) is Annotated:
        return options(get_args(annotation)[0])
    if get_origin(annotation) in (Union, types.UnionType):
        return tuple(option for part in get_args(annotation) for option in options(part))
    return () if annotation is type(None) else (annotation,)


def words_in(annotation: Any) -> list[str]:
    """The words among which a field chooses; none for a field that takes anything else."""
    return [str(word) for choice in options(annotation) if get_origin(choice) is Literal for word in get_args(choice) if word]


def _unit_of_dimension(raw: Any, dimension: str) -> str:
    """Unit of the dimension that a tolerance is on; an entry of a list is written "pin.bores[0].diameter" there."""
    try:
        return spot_at(Design, raw, dimension.replace("[", ".").replace("]", "")).unit
    except NoField:
        return ""


def _into(spot: Spot, value: Any, rest: tuple[str, ...]) -> Spot:
    if not rest:
        return spot
    choices = options(spot.annotation)
    models = [choice for choice in choices if isinstance(choice, type) and issubclass(choice, BaseModel)]
    if models:
        return _into_model(spot, _chosen(models, value), value, rest)
    for choice in choices:
        if get_origin(choice) is list:
            return _into_list(spot, get_args(choice)[0], value, rest)
        if get_origin(choice) is dict:
            return _into_table(spot, get_args(choice)[1], value, rest)
    if Any in choices:
        return _into_list(spot, Any, value, rest) if isinstance(value, list) else _into_table(spot, Any, value, rest)
    raise NoField(f"{spot.name} holds a single value; {'.'.join(rest)} leads no further")


def _into_model(spot: Spot, model: type[BaseModel], value: Any, rest: tuple[str, ...]) -> Spot:
    name = rest[0]
    if name not in model.model_fields:
        path = ".".join((*map(str, spot.steps), name))
        raise NoField(f"{path} is not a field of {model.__name__}; {_known(name, model.model_fields)}")
    info = model.model_fields[name]
    known = value if isinstance(value, dict) else {}
    stated = _stated_unit(model, known) if "unit" in model.model_fields else spot.stated
    unit = field_facts(info).get("unit", "") or _unit_around(spot, model, name, stated)
    return _into(Spot((*spot.steps, name), info.annotation, unit, stated, model), known.get(name), rest[1:])


def _stated_unit(model: type[BaseModel], known: dict[str, Any]) -> str:
    default = model.model_fields["unit"].default
    return str(known.get("unit") or (default if isinstance(default, str) else ""))


def _unit_around(spot: Spot, model: type[BaseModel], name: str, stated: str) -> str:
    """The unit of a field that has none of its own: the material's list, the banded value around it, or as stated."""
    if model is Material and name in VALUES:
        return VALUES[name][0]
    if model is Banded and spot.unit and name != "source":
        return spot.unit
    return stated if name in _IN_STATED_UNIT else ""


def _into_list(spot: Spot, inner: Any, value: Any, rest: tuple[str, ...]) -> Spot:
    entries = value if isinstance(value, list) else []
    if not (rest[0].isascii() and rest[0].isdigit()) or int(rest[0]) > len(entries):
        raise NoField(f"{spot.name} has {len(entries)} entries, counted from 0; {rest[0]} names none of them")
    at = int(rest[0])
    below = replace(spot, steps=(*spot.steps, at), annotation=inner)
    return _into(below, entries[at] if at < len(entries) else None, rest[1:])


def _into_table(spot: Spot, inner: Any, value: Any, rest: tuple[str, ...]) -> Spot:
    known = value if isinstance(value, dict) else {}
    keys = [".".join(rest[:count]) for count in range(1, len(rest) + 1)]
    there = [key for key in reversed(keys) if key in known]
    if inner is not Any and not models_in(inner):
        there = keys[-1:]
    refused: NoField | None = None
    for key in there or (keys[:1] if inner is Any else keys):
        below = replace(spot, steps=(*spot.steps, key), annotation=inner)
        try:
            return _into(below, known.get(key), rest[key.count(".") + 1 :])
        except NoField as error:
            refused = error
    raise refused or NoField(f"{spot.name}: a name is missing")


def _chosen(models: list[type[BaseModel]], value: Any) -> type[BaseModel]:
    """Among models told apart by `kind`, the one whose kind the stored value has."""
    kind = value.get("kind") if isinstance(value, dict) else None
    for model in models:
        field = model.model_fields.get("kind")
        if field is not None and kind in get_args(field.annotation):
            return model
    return models[0]


def _known(name: str, fields: Iterable[str]) -> str:
    near = difflib.get_close_matches(name, list(fields), n=1)
    return f"did you mean {near[0]}?" if near else f"its fields are {', '.join(fields)}"
