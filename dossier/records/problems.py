"""What is wrong with a record, in sentences that name field, given value, limit and remedy."""

from __future__ import annotations

import json
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from dossier.records.base import DAY_PATTERN, EMPTY, ID_PATTERN, MOMENT_PATTERN, field_at, field_facts, models_in
from dossier.records.header import NAME_PATTERN
from dossier.records.plain import unstorable

_LIMITS = {
    "greater_than": "must exceed {gt}",
    "greater_than_equal": "must be at least {ge}",
    "less_than": "must be below {lt}",
    "less_than_equal": "must be at most {le}",
}
_FORMS = {
    "float_type": "must be a number; write it without quotes",
    "int_type": "must be a whole number; write it without quotes",
    "int_from_float": "must be a whole number; round it",
    "finite_number": "is not a finite number; correct it or leave the field out",
    "bool_type": "must be true or false; write it without quotes",
    "string_type": "must be text; put it in quotes",
    "string_too_long": "has more than {max_length} characters; shorten it",
    "literal_error": "is none of {expected}; choose one of them",
    "list_type": "must be a list; write it as [ … ] or as [[tables]]",
    "dict_type": "must be a table of fields; write it as [table]",
    "model_type": "must be a table of fields; write it as [table]",
    "model_attributes_type": "must be a table of fields; write it as [table]",
    "union_tag_invalid": "is none of {expected_tags}; choose one of them",
}
_PATTERNS = {
    NAME_PATTERN: "must be a name of 1 to 80 characters without < and > and without spaces around it; correct it",
    ID_PATTERN: "must begin with a letter and go on with letters, digits, '.', '_' or '-', 40 characters at most; "
    "rename it",
    DAY_PATTERN: "is no date; write it as 2027-03-31",
    MOMENT_PATTERN: "is no time in UTC; write it as 2027-03-31T14:05:00Z",
    r"^[0-9a-f]{64}$": "must be 64 hexadecimal digits in lower case; copy it again",
    r"^([0-9a-f]{64})?$": "must be empty or 64 hexadecimal digits in lower case; copy it again",
    r"^[0-9a-f]{32}$": "must be 32 hexadecimal digits in lower case; copy it again",
    r"^[A-Z]{3}$": "must be a currency of three capital letters, such as EUR; correct it",
}


def problems_in_words(error: ValidationError, model: type[BaseModel]) -> list[str]:
    """Each problem of a record as one sentence: field, given value, limit and remedy."""
    return [_in_words(dict(problem), model) for problem in error.errors(include_url=False)]


def _in_words(problem: dict[str, Any], model: type[BaseModel]) -> str:
    kind, path, context = problem["type"], problem["loc"], problem.get("ctx", {})
    if kind == "union_tag_invalid":
        path = (*path, str(context["discriminator"]).strip("'"))
    name = _name(model, path) or model.__name__.lower()
    field = field_at(model, path)
    if kind == "missing":
        meaning = f" ({field.description})" if field and field.description else EMPTY
        return f"{name} is missing{meaning}; add it"
    if kind == "extra_forbidden":
        holder = _holder(model, path)
        known = f" {holder.__name__}, which has {', '.join(holder.model_fields)}" if holder else " this table"
        return f"{name} is not a field of{known}; remove it or correct its spelling"
    if kind == "union_tag_not_found":
        return f"{name}.{str(context['discriminator']).strip(chr(39))} is missing; add it, it says which fields follow"
    if kind == "value_error":
        return _said_by_record(problem["msg"].removeprefix("Value error, "), name if path else EMPTY)
    given = context.get("tag") if kind == "union_tag_invalid" else problem.get("input")
    return _with_value(name, given, kind, context, field, problem["msg"])


def _with_value(name: str, given: Any, kind: str, context: dict[str, Any], field: FieldInfo | None, said: str) -> str:
    facts = field_facts(field) if field else {}
    spaced = f" {facts['unit']}" if facts.get("unit", "-") != "-" else EMPTY
    if kind in _LIMITS:
        limit = _LIMITS[kind].format(**context)
        return f"{name} = {given}{spaced} {limit}{spaced}; {facts.get('remedy') or 'correct the value'}"
    if kind == "string_too_short":
        return f"{name} is empty; fill it in"
    if kind == "too_short":
        return f"{name} has {context['actual_length']} entries, at least {context['min_length']} needed; add them"
    if kind == "too_long":
        return f"{name} has {context['actual_length']} entries, at most {context['max_length']} taken; take the others out"
    if kind == "string_pattern_mismatch":
        form = _PATTERNS.get(context["pattern"], f"does not have the form {context['pattern']}; correct it")
        return f"{name} = {_shown(given)} {form}"
    if kind in _FORMS:
        return f"{name} = {_shown(given)} {_FORMS[kind].format(**context)}"
    return f"{name} = {_shown(given)}: {said[0].lower()}{said[1:]}; correct it"


def _said_by_record(reason: str, name: str) -> str:
    """A sentence of the record itself: it names its field already, or is put behind the name."""
    return reason if not name or reason.startswith((f"{name}.", f"{name} ", f"{name}:")) else f"{name}: {reason}"


def _shown(given: Any) -> str:
    if isinstance(given, dict | list):
        return "a table" if isinstance(given, dict) else "a list"
    if isinstance(given, str):
        text = given if len(given) <= 60 else f"{given[:59]}…"
        return f'"{text}"' if not any(unstorable(text)) else json.dumps(text)
    if isinstance(given, bool):
        return "true" if given else "false"
    return str(given)


def _name(model: type[BaseModel], path: tuple[str | int, ...]) -> str:
    """The dotted name as it stands in the file: without the tags by which models of different kinds are told apart."""
    return ".".join(str(step) for at, step in enumerate(path) if not _is_tag(model, path, at))


def _is_tag(model: type[BaseModel], path: tuple[str | int, ...], at: int) -> bool:
    before = field_at(model, path[:at]) if at else None
    if before is None or before.discriminator is None or at == len(path) - 1:
        return False
    kinds = [choice.model_fields[str(before.discriminator)].annotation for choice in models_in(before.annotation)]
    return any(path[at] in get_args(kind) for kind in kinds) and isinstance(path[at - 1], str)


def _holder(model: type[BaseModel], path: tuple[str | int, ...]) -> type[BaseModel] | None:
    """The model that an unknown field stands in, where that is plain."""
    if len(path) == 1:
        return model
    field = field_at(model, path[:-1])
    choices = models_in(field.annotation) if field else []
    if field and field.discriminator:
        choices = [c for c in choices if path[-2] in get_args(c.model_fields[str(field.discriminator)].annotation)]
    return choices[0] if len(choices) == 1 else None
