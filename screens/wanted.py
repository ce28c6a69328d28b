"""What a new record, or a new entry of a record, still needs: one question after the other, as data."""

from __future__ import annotations

import copy
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, get_args, get_origin

from pydantic import BaseModel, ValidationError

from dossier.actions.edit import value_for
from dossier.actions.refusal import Refusal
from dossier.actions.told import first_of
from dossier.methods.listing import limits_of
from dossier.methods.registry import all_methods
from dossier.records.base import field_at, field_facts, models_in
from dossier.records.calculation import Calculation
from dossier.records.fields import options, spot_at, words_in
from dossier.records.problems import problems_in_words
from dossier.records.put import holder_of, put, value_at
from dossier.store.project import Project
from screens.usual import spared, usual

# Kinds of records that a field of this name holds the id of.
REFERS: dict[str, str] = {
    "design": "design", "variant": "design", "reference": "design", "specimen": "specimen", "scheme": "reading scheme",
    "requirement": "requirement", "parent": "requirement", "material": "material", "compound": "material",
    "equipment": "equipment", "standards": "standard", "documents": "document", "document": "document",
    "beside": "calculation",
}  # fmt: skip
MOST_IDS = 8
SHARE = "with %, such as 0.5 %; a number alone is a share of 1"
LONG = ("statement", "text", "reason", "problem", "procedure")


@dataclass(frozen=True)
class Wanted:
    """One question: the field's path, what may be chosen (value and words; empty: it is typed), unit and hint.

    `given_up` is the place that stays empty when this one is left empty: the field, or the whole entry of a list.
    """

    path: str
    choices: tuple[tuple[str, str], ...]
    unit: str
    hint: str
    needed: bool
    long: bool
    given_up: str = ""

    @property
    def name(self) -> str:
        """Last step of the path."""
        return self.path.rpartition(".")[2]


def next_wanted(
    project: Project, model: type[BaseModel], raw: dict[str, Any], passed: Sequence[str], under: str = ""
) -> Wanted | None:
    """The next question for a record of `model` with stored fields `raw`, or None when enough is known.

    `passed` are the paths that were left empty; only places below `under` are asked for.
    """
    for path in _missing(project, model, raw):
        if not any(_within(path, place) for place in passed) and (not under or _within(path, under)):
            return _wanted(project, model, raw, path)
    return None


def with_answer(project: Project, model: type[BaseModel], raw: dict[str, Any], path: str, typed: str) -> dict[str, Any]:
    """The fields with one answer more. Raises Refusal naming field, value, limit and remedy."""
    changed = copy.deepcopy(raw)
    kinds = _kinds_at(model, path)
    if path.endswith("kind") and typed in kinds:
        put(changed, tuple(int(step) if step.isdigit() else step for step in path.split(".")), typed)
        return changed
    spot = spot_at(model, changed, path)
    put(changed, spot.steps, value_for(project, model, changed, spot, typed))
    faults = _faults_at(model, changed, spot.steps)
    if faults:
        raise Refusal("; ".join(faults))
    return changed


def _within(path: str, place: str) -> bool:
    return path == place or path.startswith(f"{place}.")


def _faults_at(model: type[BaseModel], raw: dict[str, Any], steps: tuple[str | int, ...]) -> list[str]:
    try:
        model.model_validate(raw)
    except ValidationError as error:
        here = [p["loc"] for p in error.errors(include_url=False) if _leads_to(p["loc"], steps) and p["type"] != "missing"]
        words = problems_in_words(error, model)
        return [text for problem, text in zip(error.errors(include_url=False), words, strict=True) if problem["loc"] in here]
    return []


def _leads_to(place: tuple[Any, ...], steps: tuple[str | int, ...]) -> bool:
    """Whether an error's place, which may hold tags of kinds besides, is at or below the steps."""
    remaining = iter(place)
    return all(any(step == found for found in remaining) for step in steps)


# What is missing ------------------------------------------------------------------------------------------------------


def _missing(project: Project, model: type[BaseModel], raw: dict[str, Any]) -> Iterator[str]:
    yield from _of_model(model, raw, "")
    if model is Calculation:
        method = all_methods().get(str(raw.get("method", "")))
        given = raw.get("inputs", {})
        for name, info in method.input_model.model_fields.items() if method else ():
            if info.is_required() and not field_facts(info).get("link") and name not in given:
                yield f"inputs.{name}"


def _of_model(model: type[BaseModel], raw: dict[str, Any], under: str) -> Iterator[str]:
    for name, info in model.model_fields.items():
        if (name == "id" and not under) or name == "result":
            continue
        yield from _of_field(info.annotation, raw.get(name), info.is_required(), f"{under}.{name}" if under else name)
    for name in usual(model):
        if name not in raw and not spared(model, name, raw):
            info, path = model.model_fields[name], f"{under}.{name}" if under else name
            inner = _listed(info.annotation)
            yield from _of_model(inner, {}, f"{path}.0") if inner else iter((path,))


def _of_field(annotation: Any, value: Any, needed: bool, path: str) -> Iterator[str]:
    models = [choice for choice in options(annotation) if isinstance(choice, type) and issubclass(choice, BaseModel)]
    inner = _listed(annotation)
    if models and (needed or value is not None):
        known = value if isinstance(value, dict) else {}
        chosen = _chosen(models, known)
        if chosen is None:
            yield f"{path}.kind"
        else:
            yield from _of_model(chosen, known, path)
    elif inner is not None and (needed or value):
        for number, entry in enumerate(value or [{}]):
            yield from _of_model(inner, entry if isinstance(entry, dict) else {}, f"{path}.{number}")
    elif isinstance(value, dict) and (held := _tabled(annotation)) is not None:
        for name, entry in value.items():
            yield from _of_model(held, entry if isinstance(entry, dict) else {}, f"{path}.{name}")
    elif value is None and needed:
        yield path


def _tabled(annotation: Any) -> type[BaseModel] | None:
    """The model that stands under each name of a table, or None."""
    for choice in options(annotation):
        if get_origin(choice) is dict:
            return next(iter(models_in(get_args(choice)[1])), None)
    return None


def _listed(annotation: Any) -> type[BaseModel] | None:
    """The model of a list's entries, or None."""
    for choice in options(annotation):
        if get_origin(choice) is list:
            entries = options(get_args(choice)[0])
            return next((e for e in entries if isinstance(e, type) and issubclass(e, BaseModel)), None)
    return None


def _chosen(models: Sequence[type[BaseModel]], known: dict[str, Any]) -> type[BaseModel] | None:
    if len(models) == 1:
        return models[0]
    return next((m for m in models if known.get("kind") in get_args(m.model_fields["kind"].annotation)), None)


def _kinds_at(model: type[BaseModel], path: str) -> tuple[str, ...]:
    """The kinds among which a part of several models is told apart, for the path of its `kind`."""
    holder = path.removesuffix(".kind")
    info = field_at(model, tuple(int(step) if step.isdigit() else step for step in holder.split(".")))
    found = [choice for choice in options(info.annotation)] if info else []
    models = [choice for choice in found if isinstance(choice, type) and issubclass(choice, BaseModel)]
    return tuple(str(word) for m in models if len(models) > 1 for word in get_args(m.model_fields["kind"].annotation))


# The question ---------------------------------------------------------------------------------------------------------


def _wanted(project: Project, model: type[BaseModel], raw: dict[str, Any], path: str) -> Wanted:
    kinds = _kinds_at(model, path) if path.endswith(".kind") else ()
    if kinds:
        return Wanted(path, tuple((kind, kind.replace("_", " ")) for kind in kinds), "", "", True, False)
    if path.startswith("inputs.") and model is Calculation:
        return _input_wanted(raw, path)
    spot = spot_at(model, raw, path)
    info = field_at(model, spot.steps)
    given_up = _given_up(model, raw, path)
    needed = info is not None and info.is_required() and not given_up
    choices = _choices(project, raw, path, options(spot.annotation))
    if choices and not needed:
        choices = (*choices, ("", "leave it empty"))
    unit = "" if spot.unit in ("", "-", "1") else spot.unit
    told = [info.description or "", limits_of(info)] if info else []
    share = info is not None and field_facts(info).get("shown") == "%"
    told += [known_ids(project, path), _index_of(project, raw, path), _form(spot.annotation), SHARE if share else "",
             "" if needed else "Enter on nothing leaves it empty"]  # fmt: skip
    hint = "; ".join(text for text in told if text)
    return Wanted(path, choices, unit, hint, needed, path.rpartition(".")[2] in LONG, given_up or path)


def _given_up(model: type[BaseModel], raw: dict[str, Any], path: str) -> str:
    """The list that stays empty when the first field of an entry nobody needs is left empty, else nothing."""
    found = re.fullmatch(r"(.+)\.(\d+)\.[^.]+", path)
    if found is None:
        return ""
    spot = spot_at(model, raw, found[1])
    entries = value_at(holder_of(copy.deepcopy(raw), spot.steps), spot.steps[-1]) or []
    info = field_at(model, spot.steps)
    return found[1] if len(entries) <= int(found[2]) and info is not None and not info.is_required() else ""


def _input_wanted(raw: dict[str, Any], path: str) -> Wanted:
    info = all_methods()[raw["method"]].input_model.model_fields[path.removeprefix("inputs.")]
    unit = field_facts(info).get("unit", "")
    told = [info.description or "", limits_of(info), "a value, or a field of a record such as L-01.radial"]
    return Wanted(path, (), "" if unit in ("-", "1") else unit, "; ".join(text for text in told if text), True, False)


def _choices(project: Project, raw: dict[str, Any], path: str, types: Sequence[Any]) -> tuple[tuple[str, str], ...]:
    name = path.rpartition(".")[2]
    if name == "method":
        return tuple((method.id, f"{method.id}  {method.title}") for method in all_methods().values())
    if path.startswith("serves.") and name == "value":
        return _served_values(raw)
    if str in types and name in REFERS:
        return tuple((record.id, f"{record.id}  {_title(record)}") for record in _records(project, REFERS[name]))
    words = [word for choice in types for word in words_in(choice)]
    if words:
        return tuple((word, word.replace("_", " ")) for word in words)
    return (("yes", "yes"), ("no", "no")) if bool in types else ()


def _served_values(raw: dict[str, Any]) -> tuple[tuple[str, str], ...]:
    method = all_methods().get(str(raw.get("method", "")))
    if method is not None:
        return tuple((field.name, f"{field.name}  {field.meaning}") for field in method.results)
    return (("variant", "variant  the variant's own value"), ("ratio", "ratio  variant / reference"))


def _records(project: Project, kind: str) -> list[Any]:
    return [project.records[name] for name, found in project.kinds.items() if found == kind]


def _title(record: Any) -> str:
    return str(getattr(record, "title", "") or getattr(record, "number", ""))


def known_ids(project: Project, path: str) -> str:
    """The ids that may stand in a list of ids."""
    kind = REFERS.get(path.rpartition(".")[2], "")
    known = [record.id for record in _records(project, kind)] if kind else []
    return f"of {first_of(known, MOST_IDS)}" if known else ""


def _index_of(project: Project, raw: dict[str, Any], path: str) -> str:
    """The drawing index of the design a specimen is made to, since a part of another index is one of another shape."""
    design = project.find(str(raw.get("design", ""))) if path == "drawing_index" else None
    index = getattr(design, "drawing_index", "")
    return f"{raw['design']} is at index {index} today; a part of another index is one of another shape" if index else ""


def _form(annotation: Any) -> str:
    if any(get_origin(choice) is list for choice in options(annotation)):
        return "several, with ; between"
    return ""

