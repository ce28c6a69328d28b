"""What all records share: strictness, and quantities with unit and limits."""

from __future__ import annotations

import types
from datetime import datetime
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, create_model, model_validator
from pydantic.fields import FieldInfo

from dossier import units
from dossier.records.plain import storable, unstorable

EMPTY = ""
ID_PATTERN = r"^[A-Za-z][A-Za-z0-9._-]{0,39}$"
DAY_PATTERN = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"
MOMENT_PATTERN = "^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}Z$"


class Part(BaseModel):
    """A piece of a record. Unknown fields are refused; values keep the type they have in the file."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


class Record(Part):
    """A record with an id of its own; other records point at it by that id."""

    id: str = Field(pattern=ID_PATTERN)
    remark: str = EMPTY

    @model_validator(mode="before")
    @classmethod
    def _storable(cls, raw: Any) -> Any:
        if isinstance(raw, dict) and not storable(raw):
            raise ValueError("; ".join(unstorable(raw)))
        return raw


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


def _in_calendar(moment: str) -> str:
    try:
        datetime.fromisoformat(moment)
    except ValueError as error:
        raise ValueError(f"{moment} is not in the calendar ({error}); correct it") from error
    return moment


Day = Annotated[str, Field(pattern=DAY_PATTERN), AfterValidator(_in_calendar)]
Moment = Annotated[str, Field(pattern=MOMENT_PATTERN), AfterValidator(_in_calendar)]


def reduced(model: type[BaseModel], *left_out: str, **instead: Any) -> Any:
    """The fields of a record's model that a method reads: all but `left_out`, each with its unit, meaning and limits.

    `instead` gives other types to fields whose own parts are reduced too. What a method does not read cannot outdate it.
    """
    fields: dict[str, Any] = {
        name: (instead.get(name, info.annotation), info) for name, info in model.model_fields.items() if name not in left_out
    }
    return create_model(f"{model.__name__}In", __base__=Part, __doc__=model.__doc__, __module__=__name__, **fields)


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
        candidates = models_in(found.annotation) or candidates
    return found


def models_in(annotation: Any) -> list[type[BaseModel]]:
    """The models a field of this annotation may hold, also in lists and tables."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    if get_origin(annotation) in (Union, types.UnionType, list, dict, tuple, Annotated):
        return [model for part in get_args(annotation) for model in models_in(part)]
    return []
