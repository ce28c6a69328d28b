"""What all records share: strictness, quantities with unit and limits, and errors told in words."""

from __future__ import annotations

import types
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from pydantic.fields import FieldInfo

from dossier import units

EMPTY = ""


class Part(BaseModel):
    """A piece of a record. Unknown fields are refused; values keep the type they have in the file."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class Record(Part):
    """A record with an id of its own; other records point at it by that id."""

    id: str = Field(pattern=r"^[A-Za-z][A-Za-z0-9._-]{0,39}$")
    remark: str = EMPTY


def q(
    unit: str,
    meaning: str,
    default: Any = ...,
    *,
    above: float | None = None,
    at_least: float | None = None,
    below: float | None = None,
    at_most: float | None = None,
    shown: str | None = None,
    symbol: str = EMPTY,
    link: str | None = None,
    remedy: str = EMPTY,
) -> Any:
    """A number field in the stored `unit`, with its meaning, limits and the unit it is shown in.

    `link` is where a method's input comes from unless the calculation says otherwise (see
    dossier.methods.links); `remedy` ends the error message of a value beyond the limits.
    """
    extra = {"unit": unit, "shown": shown or unit, "symbol": symbol, "link": link, "remedy": remedy}
    limits = {"gt": above, "ge": at_least, "lt": below, "le": at_most}
    return Field(
        default,
        description=meaning,
        json_schema_extra={key: value for key, value in extra.items() if value is not None},
        **{key: value for key, value in limits.items() if value is not None},
    )


def _accepted_unit(unit: str) -> str:
    return units.canonical(unit)


Unit = Annotated[str, AfterValidator(_accepted_unit)]
Day = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$")]
Moment = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$")]


class Banded(Part):
    """A measured or chosen value with the band it may lie in and where it comes from."""

    value: float
    low: float | None = None
    high: float | None = None
    source: str = EMPTY

    @property
    def ends(self) -> tuple[float, float]:
        """Lower and upper end of the band; the value itself where no band is given."""
        low = self.value if self.low is None else self.low
        high = self.value if self.high is None else self.high
        return low, high


def field_facts(field: FieldInfo) -> dict[str, Any]:
    """Unit, shown unit, symbol, link and remedy of a field made by `q`; empty for other fields."""
    return dict(field.json_schema_extra) if isinstance(field.json_schema_extra, dict) else {}


def field_at(model: type[BaseModel], path: tuple[str | int, ...]) -> FieldInfo | None:
    """The FieldInfo a location of a validation error points at, or None."""
    found: FieldInfo | None = None
    candidates: list[type[BaseModel]] = [model]
    for step in path:
        if isinstance(step, int):
            continue
        found = next((c.model_fields[step] for c in candidates if step in c.model_fields), found)
        if found is None:
            return None
        candidates = _models_in(found.annotation) or candidates
    return found


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    if get_origin(annotation) in (Union, types.UnionType, list, dict, tuple, Annotated):
        return [model for part in get_args(annotation) for model in _models_in(part)]
    return []


_LIMIT_WORDS = {
    "greater_than": "must exceed {gt}",
    "greater_than_equal": "must be at least {ge}",
    "less_than": "must be below {lt}",
    "less_than_equal": "must be at most {le}",
}


def problems_in_words(error: ValidationError, model: type[BaseModel]) -> list[str]:
    """Each problem of a record as one sentence: field, given value, limit and remedy."""
    return [_problem_in_words(dict(problem), model) for problem in error.errors(include_url=False)]


def _problem_in_words(problem: dict[str, Any], model: type[BaseModel]) -> str:
    path = problem["loc"]
    name = ".".join(str(step) for step in path) or model.__name__.lower()
    field = field_at(model, path)
    facts = field_facts(field) if field else {}
    unit = facts.get("unit", EMPTY)
    given = problem.get("input")
    kind = problem["type"]
    if kind == "missing":
        hint = f" ({field.description})" if field and field.description else EMPTY
        return f"{name} is missing{hint}; add it"
    if kind == "extra_forbidden":
        return f"{name} is not a field of {model.__name__}; remove it or correct its spelling"
    if kind in _LIMIT_WORDS:
        limit = _LIMIT_WORDS[kind].format(**problem["ctx"])
        remedy = facts.get("remedy") or "correct the value"
        spaced = f" {unit}" if unit and unit != "-" else EMPTY
        return f"{name} = {given}{spaced} {limit}{spaced}; {remedy}"
    shown = repr(given) if not isinstance(given, (dict, list)) else f"a {type(given).__name__}"
    reason = problem["msg"].removeprefix("Value error, ")
    if kind == "value_error":
        return reason if not path else f"{name}: {reason}"
    return f"{name} = {shown[:80]}: {reason[0].lower()}{reason[1:]}"
