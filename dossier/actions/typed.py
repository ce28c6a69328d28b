"""Typed text as the value a field takes: quantities, choices, lists, tables."""

from __future__ import annotations

import tomllib
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel

from dossier import units
from dossier.actions.refusal import Refusal
from dossier.records.fields import Spot, options

_YES = {"yes": True, "true": True, "no": False, "false": False}


def value_of(spot: Spot, typed: str) -> Any:
    """The value that `typed` means at a place of a record. Raises Refusal naming field, text and what is expected.

    A quantity may carry its unit; a list of words is split at ";"; tables and lists of tables are written as in TOML.
    """
    choices = options(spot.annotation)
    if typed.lstrip()[:1] in ("{", "[") and _takes_tables(choices):
        return _as_toml(spot.name, typed)
    lists = [choice for choice in choices if get_origin(choice) is list]
    if lists:
        return _list_of(spot, get_args(lists[0])[0], typed)
    return _single(spot, choices, typed)


def _takes_tables(choices: tuple[Any, ...]) -> bool:
    return any(choice is Any or get_origin(choice) in (list, dict) or _is_model(choice) for choice in choices)


def _is_model(choice: Any) -> bool:
    return isinstance(choice, type) and issubclass(choice, BaseModel)


def _as_toml(name: str, typed: str) -> Any:
    try:
        found = tomllib.loads(f"value = {typed}")
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise Refusal(f"{name}: the typed table or list is not readable as TOML: {error}") from error
    if set(found) != {"value"}:
        raise Refusal(f"{name}: more than one value was typed; give one table or list")
    return found["value"]


def _list_of(spot: Spot, inner: Any, typed: str) -> list[Any]:
    choices = options(inner)
    if any(_is_model(choice) for choice in choices):
        fields = next(list(choice.model_fields)[:2] for choice in choices if _is_model(choice))
        example = ", ".join(f'{field} = "…"' for field in fields)
        raise Refusal(f"{spot.name} is a list of tables; write [{{ {example} }}], or name one entry by its number")
    return [_single(spot, choices, item.strip()) for item in typed.split(";") if item.strip()]


def _single(spot: Spot, choices: tuple[Any, ...], typed: str) -> Any:
    if bool in choices:
        return _yes(spot.name, typed)
    if int in choices:
        return _whole(spot.name, typed)
    if float in choices:
        return _number(spot, typed)
    words = [str(word) for choice in choices if get_origin(choice) is Literal for word in get_args(choice)]
    if words and typed not in words:
        raise Refusal(f'{spot.name} = "{typed}" is none of {", ".join(filter(None, words))}; choose one of them')
    if Any in choices:
        return _plain(typed)
    if any(_is_model(choice) or get_origin(choice) is dict for choice in choices):
        raise Refusal(f"{spot.name} is a table; write {{ field = … }}, or name one of its fields")
    return typed


def _yes(name: str, typed: str) -> bool:
    if typed.strip().lower() not in _YES:
        raise Refusal(f'{name} = "{typed}" must be yes or no')
    return _YES[typed.strip().lower()]


def _whole(name: str, typed: str) -> int:
    bare = "".join(typed.split()).replace(units.MINUS, "-")
    if not bare.lstrip("+-").isascii() or not bare.lstrip("+-").isdigit() or len(bare) > 17:
        raise Refusal(f'{name} = "{typed}" must be a whole number, such as 12')
    return int(bare)


def _number(spot: Spot, typed: str) -> float:
    try:
        return units.parse(typed, spot.unit or "-")
    except units.UnitError as error:
        hint = "" if spot.unit else "; the field states no unit, give the number alone"
        raise Refusal(f"{spot.name}: {error}{hint}") from error


def _plain(typed: str) -> Any:
    """A field of any form: a bare number or true or false is taken as such, everything else is text."""
    try:
        found = tomllib.loads(f"value = {typed.strip()}")
    except (tomllib.TOMLDecodeError, RecursionError):
        return typed
    plain = len(found) == 1 and isinstance(found.get("value"), bool | int | float)
    return found["value"] if plain else typed
