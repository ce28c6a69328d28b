"""A found value in the form that a method's field wants: a number in its unit, a banded value, or the parts it reads."""

from __future__ import annotations

from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from dossier import units
from dossier.records.base import Banded, Part, field_facts
from dossier.records.calculation import ResultValue
from dossier.records.fields import options

_YES = {"yes": True, "true": True, "no": False, "false": False}


def as_field(info: FieldInfo, found: Any, unit: str = "") -> Any:
    """`found` in the form a method's field wants: number in the field's unit, Banded, or the fields of a part.

    `unit` is what the found number is stored in, when that is known; text carries its unit itself. Raises UnitError
    when a quantity cannot be read or is of another dimension; the field's remedy ends the message.
    """
    try:
        return _in_form(info, found, unit)
    except units.UnitError as error:
        remedy = field_facts(info).get("remedy")
        raise units.UnitError(f"{error}; {remedy}" if remedy else str(error)) from error


def _in_form(info: FieldInfo, found: Any, unit: str) -> Any:
    wanted = options(info.annotation)
    target = field_facts(info).get("unit", "-")
    if isinstance(found, ResultValue):
        found, unit = _banded(found), found.unit
    if Banded in wanted:
        return _as_banded(found, unit or target, target)
    if float in wanted:
        return _as_number(found.value if isinstance(found, Banded) else found, unit or target, target)
    if isinstance(found, str) and (int in wanted or bool in wanted):
        return _as_whole(found) if int in wanted else _as_yes(found)
    return _as_parts(info.annotation, found)


def _banded(value: ResultValue) -> Banded:
    if value.value is None:
        raise units.UnitError(f"{value.name} has no value")
    return Banded(value=value.value, low=value.low, high=value.high)


def _as_banded(found: Any, unit: str, target: str) -> Any:
    if isinstance(found, Banded):
        ends = {"value": found.value, "low": found.low, "high": found.high}
        return {name: units.convert(end, unit, target) for name, end in ends.items() if end is not None}
    if isinstance(found, dict):
        return {name: end if name == "source" else _as_number(end, unit, target) for name, end in found.items()}
    number = _as_number(found, unit, target)
    return {"value": number} if isinstance(number, float) else number


def _as_number(found: Any, unit: str, target: str) -> Any:
    if isinstance(found, str):
        return units.parse(found, target)
    if isinstance(found, bool) or not isinstance(found, int | float):
        return found
    return units.convert(float(found), unit, target)


def _as_whole(text: str) -> int:
    bare = "".join(text.split()).replace(units.MINUS, "-")
    if not bare.lstrip("+-").isascii() or not bare.lstrip("+-").isdigit() or len(bare) > 17:
        raise units.UnitError(f'"{text}" is not a whole number; give one, such as 12')
    return int(bare)


def _as_yes(text: str) -> bool:
    if text.strip().lower() not in _YES:
        raise units.UnitError(f'"{text}" is neither yes nor no; give one of the two')
    return _YES[text.strip().lower()]


def _as_parts(annotation: Any, found: Any) -> Any:
    """Reduce records' parts to the fields that the wanted model reads."""
    choices = options(annotation)
    if isinstance(found, list):
        inner = next((choice for choice in choices if get_origin(choice) is list), None)
        return [_as_parts(get_args(inner)[0], item) for item in found] if inner else found
    if isinstance(found, Part) and choices and get_origin(choices[0]) is list:
        return [_as_parts(get_args(choices[0])[0], found)]
    if isinstance(found, Part):
        wanted = [model for model in choices if _is_model(model) and _suits(model, found)]
        if len(wanted) == 1:
            return {
                name: as_field(info, getattr(found, name))
                for name, info in wanted[0].model_fields.items()
                if getattr(found, name, None) is not None
            }
        return found.model_dump()
    return found


def _is_model(choice: Any) -> bool:
    return isinstance(choice, type) and issubclass(choice, BaseModel)


def _suits(model: type[BaseModel], found: Part) -> bool:
    """Among models told apart by `kind`, the one that has the kind of `found`."""
    kind = model.model_fields.get("kind")
    return kind is None or not hasattr(found, "kind") or found.kind in get_args(kind.annotation)
