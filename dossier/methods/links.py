"""From a calculation record to a method's typed input: links resolved, sources kept, problems in words.

A method's field names its usual source as a link path, for example `design.layer.inner_radius` or
`design.layer.compound->shear_modulus` (`->` goes to the record whose id stands in the field before). The roots are
`design` and `reference`, the two designs of the calculation, `project`, `idea`, `cost` and `loads`, all load cases of
the project. A calculation overrides it with a value, a quantity with unit ("118 kN"), or a link of its own:
{ record = "L-03", field = "radial" }. A link to a calculation reads a value of its result:
{ record = "C-001", field = "total" }.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo

from dossier import units
from dossier.methods.base import Method
from dossier.methods.chains import circle_in_words, circle_through
from dossier.methods.forms import as_field
from dossier.records.assumption import Assumption
from dossier.records.base import Banded, Record, field_facts, models_in
from dossier.records.calculation import Calculation
from dossier.records.fields import NoField, spot_at
from dossier.records.problems import problems_in_words
from dossier.store.edges import is_link
from dossier.store.project import Project

GIVEN = "given here"


class Unresolved(LookupError):
    """A link that leads nowhere; the message says where it broke."""


class Broken(Unresolved):
    """A link that names a record that is not there: never passed over, not even for an optional input."""


class Awaited(Broken):
    """A link to the result of a calculation that has none, or whose run failed; the second argument is its id."""


@dataclass(frozen=True)
class Found:
    """What a link leads to: the value, the unit it is stored in (empty when none is known), and the link as shown."""

    value: Any
    unit: str
    shown: str


@dataclass
class Resolved:
    """A method's input as it is now: typed, plain, where each value came from, and what is missing.

    `awaits` are the calculations without a good result that inputs are read from, one for each of these problems.
    """

    given: BaseModel | None = None
    plain: dict[str, Any] = field(default_factory=dict)
    sources: dict[str, str] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)
    awaits: list[str] = field(default_factory=list)


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
            if info.is_required() or name in calculation.inputs or isinstance(error, Broken):
                resolved.problems.append(f"{name}: {error.args[0]}")
            if isinstance(error, Awaited):
                resolved.awaits.append(error.args[1])
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
    found = _found(project, calculation, name, info)
    try:
        return as_field(info, found.value, found.unit), found.shown
    except units.UnitError as error:
        raise units.UnitError(f"{found.shown}: {error}" if found.shown != GIVEN else str(error)) from error


def _found(project: Project, calculation: Calculation, name: str, info: FieldInfo) -> Found:
    if name in calculation.inputs:
        given = calculation.inputs[name]
        return _linked(project, calculation, name, given, info) if is_link(given) else Found(given, "", GIVEN)
    link = field_facts(info).get("link")
    if not link:
        raise Unresolved(f"has no value; give inputs.{name} in {calculation.id}")
    root, _, path = link.partition(".")
    if root == "loads":
        return _load_cases(project)
    start = _root(project, calculation, root)
    return _followed(project, start, path) if path else _content(start)


def _load_cases(project: Project) -> Found:
    cases = project.loads
    if not cases:
        raise Unresolved("the project has no load case; record one")
    return Found(cases, "", ", ".join(case.id for case in cases))


def _linked(
    project: Project, calculation: Calculation, name: str, given: dict[str, Any], info: FieldInfo
) -> Found:
    record = project.find(given["record"])
    if record is None:
        raise Broken(f"{given['record']} names no record; correct inputs.{name}.record")
    path = given.get("field", "")
    if isinstance(record, Calculation):
        return _result_value(project, calculation, name, record, path)
    if path:
        return _followed(project, record, path)
    if not isinstance(record, Assumption) and not _reads_parts(info):
        raise Broken(f"{record.id} is a whole record; name the field of it in inputs.{name}.field")
    return _content(record)


def _reads_parts(info: FieldInfo) -> bool:
    return any(model is not Banded for model in models_in(info.annotation))


def _result_value(project: Project, reader: Calculation, name: str, record: Calculation, path: str) -> Found:
    circle = circle_through(project, reader.id)
    if circle:
        raise Broken(f"{circle_in_words(circle)}; give one of these inputs as a value")
    result = record.result
    if result is None:
        raise Awaited(f"{record.id} has no result yet; calculate it first", record.id)
    if result.validity == "failed":
        raise Awaited(f"the run of {record.id} failed: {'; '.join(result.validity_notes)}; mend that first", record.id)
    value = result.value(path)
    if value is None:
        known = ", ".join(given.name for given in result.values)
        raise Unresolved(f'{record.id} gives no value "{path}"; correct inputs.{name}.field, it gives {known}')
    return Found(value, value.unit, f"{record.id}.{path}")


def _root(project: Project, calculation: Calculation, root: str) -> Record:
    if root == "project":
        return project.header
    if root == "idea":
        if project.idea is None:
            raise Unresolved("concepts.toml does not exist yet; record the reference part's baseline")
        return project.idea
    if root == "cost":
        cost = project.find("cost")
        if cost is None:
            raise Unresolved("cost.toml does not exist yet; record the cost of reference part and variant")
        return cost
    record_id = calculation.design if root == "design" else calculation.reference
    if not record_id:
        raise Unresolved(f"{calculation.id} names no {root}; fill its field {root}")
    record = project.find(record_id)
    if record is None:
        raise Broken(f"{record_id} names no record; correct the field {root} of {calculation.id}")
    return record


def _content(record: Record) -> Found:
    """What a link to a whole record reads: the value or choice of an assumption, else the record itself."""
    if not isinstance(record, Assumption):
        return Found(record, "", record.id)
    if record.value is None:
        return Found(record.choice, "", record.id)
    return Found(Banded(value=record.value, low=record.low, high=record.high), record.unit, record.id)


def _followed(project: Project, start: Record, path: str) -> Found:
    """Walk a dotted path; `->` goes on from the record whose id stands in the field before it."""
    record, shown = start, start.id
    *references, last = path.split("->")
    for reference in references:
        found = _field_of(project, record, reference, shown)
        target = project.find(found.value) if isinstance(found.value, str) else None
        if found.value == "":
            raise Unresolved(f"{found.shown} has no value; fill it in")
        if target is None:
            raise Broken(f'{found.shown} = "{found.value}" names no record; correct it')
        record, shown = target, target.id
    return _field_of(project, record, last, shown)


def has_value(project: Project, record: Record, dotted: str) -> bool:
    """Whether `record` has a value at a dotted path."""
    try:
        _field_of(project, record, dotted, record.id)
    except (Unresolved, Broken):
        return False
    return True


def _field_of(project: Project, record: Record, dotted: str, shown: str) -> Found:
    try:
        spot = spot_at(type(record), project.raw.get(record.id, {}), dotted)
    except NoField as error:
        raise Unresolved(f"{shown}: {error}") from error
    current: Any = record
    for position, step in enumerate(spot.steps, start=1):
        try:
            current = current[step] if isinstance(current, dict | list) else getattr(current, str(step))
        except LookupError as error:
            walked = ".".join(map(str, spot.steps[: position - 1]))
            raise Unresolved(f"{shown}.{walked} has no entry {step}; add it") from error
        if current is None:
            walked = ".".join(map(str, spot.steps[:position]))
            raise Unresolved(f"{shown}.{walked} has no value; fill it in")
    return Found(current, spot.unit, f"{shown}.{dotted}")
