"""From a calculation record to a method's typed input: links resolved, sources kept, problems in words.

A method's field names its usual source as a link path, for example
`design.layer.inner_radius` or `design.layer.compound->shear_modulus` (`->` goes to the record whose id stands
in the field before). The roots are `design` and `reference`, the two designs of the calculation, `project`,
`idea` and `cost`. A calculation overrides it with a value, a quantity with unit ("118 kN"), or a link of its own:
{ record = "L-03", field = "radial" }.
"""

from __future__ import annotations

import types
from dataclasses import dataclass, field
from typing import Any, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from dossier import units
from dossier.methods.base import Method
from dossier.records.assumption import Assumption
from dossier.records.base import Banded, Part, field_facts
from dossier.records.calculation import Calculation
from dossier.records.problems import problems_in_words
from dossier.store.edges import is_link
from dossier.store.project import Project


class Unresolved(LookupError):
    """A link that leads nowhere; the message says where it broke."""


@dataclass
class Resolved:
    """A method's input as it is now: typed, plain, where each value came from, and what is missing."""

    given: BaseModel | None = None
    plain: dict[str, Any] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)


def resolve(project: Project, calculation: Calculation, method: Method) -> Resolved:
    """The input of `method` for this calculation with today's records."""
    resolved = Resolved()
    values: dict[str, Any] = {}
    model = method.input_model
    for name in calculation.inputs:
        if name not in model.model_fields:
            known = ", ".join(model.model_fields)
            resolved.problems.append(f"inputs.{name} is not an input of {method.id}; its inputs are {known}")
    for name, info in model.model_fields.items():
        try:
            values[name], resolved.sources[name] = _value(project, calculation, name, info)
        except Unresolved as error:
            if info.is_required():
                resolved.problems.append(f"{name}: {error}")
        except units.UnitError as error:
            resolved.problems.append(f"inputs.{name}: {error}")
    if not resolved.problems:
        _validate(model, values, resolved)
    return resolved


def input_from_values(method: Method, values: dict[str, Any]) -> Resolved:
    """The typed input from plain values or quantities with units, without a project."""
    resolved = Resolved()
    model = method.input_model
    typed: dict[str, Any] = {}
    for name, given in values.items():
        if name not in model.model_fields:
            known = ", ".join(model.model_fields)
            resolved.problems.append(f"{name} is not an input of {method.id}; its inputs are {known}")
            continue
        try:
            typed[name] = as_field(model.model_fields[name], given)
        except units.UnitError as error:
            resolved.problems.append(f"{name}: {error}")
    if not resolved.problems:
        _validate(model, typed, resolved)
    return resolved


def _validate(model: type[BaseModel], values: dict[str, Any], resolved: Resolved) -> None:
    try:
        resolved.given = model.model_validate(values)
    except ValidationError as error:
        resolved.problems += problems_in_words(error, model)
        return
    resolved.plain = resolved.given.model_dump(mode="json", exclude_none=True)


def _value(project: Project, calculation: Calculation, name: str, info: FieldInfo) -> tuple[Any, str]:
    if name in calculation.inputs:
        given = calculation.inputs[name]
        if is_link(given):
            record = project.find(given["record"])
            if record is None:
                raise Unresolved(f"{given['record']} names no record; correct inputs.{name}.record")
            path = given.get("field", "")
            found = _walk(project, record, path, given["record"]) if path else _content(record)
            return as_field(info, found), f"{given['record']}{'.' + path if path else ''}"
        return as_field(info, given), "given here"
    link = field_facts(info).get("link")
    if not link:
        raise Unresolved(f"has no value; give inputs.{name} in {calculation.id}")
    root, _, path = link.partition(".")
    start, shown = _root(project, calculation, root)
    return as_field(info, _walk(project, start, path, shown)), f"{shown}.{path}" if path else shown


def _root(project: Project, calculation: Calculation, root: str) -> tuple[Any, str]:
    if root == "project":
        return project.header, "project"
    if root == "idea":
        if project.idea is None:
            raise Unresolved("concepts.toml does not exist yet; record the reference part's baseline")
        return project.idea, "idea"
    if root == "cost":
        cost = project.find("cost")
        if cost is None:
            raise Unresolved("cost.toml does not exist yet; record the cost of reference part and variant")
        return cost, "cost"
    record_id = calculation.design if root == "design" else calculation.reference
    if not record_id:
        raise Unresolved(f"{calculation.id} names no {root}; fill its field {root}")
    record = project.find(record_id)
    if record is None:
        raise Unresolved(f"{record_id} names no record; correct the field {root} of {calculation.id}")
    return record, record_id


def _content(record: Any) -> Any:
    if isinstance(record, Assumption):
        if record.value is None:
            return record.choice
        return Banded(value=record.value, low=record.low, high=record.high, source=record.id)
    return record


def _walk(project: Project, start: Any, path: str, shown: str) -> Any:
    current, walked = start, shown
    remaining = path
    while remaining:
        if isinstance(current, dict):
            if remaining not in current:
                raise Unresolved(f"{walked} has no entry {remaining}; add it")
            return current[remaining]
        step, separator, remaining = _next_step(remaining)
        current = getattr(current, step, None)
        walked = f"{walked}.{step}"
        if current is None:
            raise Unresolved(f"{walked} has no value; fill it in")
        if separator == "->":
            record = project.find(current) if isinstance(current, str) else None
            if record is None:
                raise Unresolved(f'{walked} = "{current}" names no record; correct it')
            current, walked = record, str(current)
    return current


def _next_step(path: str) -> tuple[str, str, str]:
    for position in range(len(path)):
        if path[position] == ".":
            return path[:position], ".", path[position + 1 :]
        if path.startswith("->", position):
            return path[:position], "->", path[position + 2 :]
    return path, "", ""


def as_field(info: FieldInfo, found: Any) -> Any:
    """`found` in the form a method's field wants: number in the field's unit, Banded, or the fields of a part.

    Raises UnitError when a typed quantity cannot be read.
    """
    facts = field_facts(info)
    wanted = _plain_types(info.annotation)
    if Banded in wanted:
        if isinstance(found, Banded):
            return {"value": found.value, "low": found.low, "high": found.high}
        if isinstance(found, (int, float, str)) and not isinstance(found, bool):
            return {"value": units.parse(found, facts.get("unit", "-"))}
        return found
    if float in wanted:
        if isinstance(found, Banded):
            return found.value
        if isinstance(found, str):
            return units.parse(found, facts.get("unit", "-"))
        return float(found) if isinstance(found, int) and not isinstance(found, bool) else found
    return _as_parts(info.annotation, found)


def _plain_types(annotation: Any) -> tuple[Any, ...]:
    if get_origin(annotation) in (Union, types.UnionType):
        return get_args(annotation)
    return (annotation,)


def _as_parts(annotation: Any, found: Any) -> Any:
    """Reduce records' parts to the fields that the wanted model reads."""
    if isinstance(found, list):
        inner = next((a for a in _plain_types(annotation) if get_origin(a) is list), None)
        return [_as_parts(get_args(inner)[0], item) for item in found] if inner else found
    if isinstance(found, Part):
        wanted = [t for t in _flat(annotation) if isinstance(t, type) and issubclass(t, BaseModel) and _suits(t, found)]
        if len(wanted) == 1:
            return {
                name: as_field(info, getattr(found, name))
                for name, info in wanted[0].model_fields.items()
                if getattr(found, name, None) is not None
            }
        return found.model_dump()
    return found


def _suits(model: type[BaseModel], found: Part) -> bool:
    """Among models told apart by `kind`, the one that has the kind of `found`."""
    kind = model.model_fields.get("kind")
    return kind is None or not hasattr(found, "kind") or found.kind in get_args(kind.annotation)


def _flat(annotation: Any) -> tuple[Any, ...]:
    return tuple(
        part
        for plain in _plain_types(annotation)
        for part in (get_args(plain) if get_origin(plain) is list else (plain,))
    )
