"""Every model refuses unknown fields, wrong types and values beyond limits, and says field, value, limit and remedy."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any, Literal, get_origin

import pytest
from annotated_types import Ge, Gt, Le, Lt
from pydantic import BaseModel, ValidationError
from record_samples import samples

from dossier.records.collections import COLLECTIONS
from dossier.records.fields import options, spot_at
from dossier.records.problems import problems_in_words
from dossier.records.signoff import SignOff

MODELS = {collection.kind: collection.model for collection in COLLECTIONS} | {"sign-off": SignOff}
KINDS = list(MODELS)
BEYOND = {Gt: ("gt", 0.0, "must exceed"), Ge: ("ge", -1.0, "must be at least"), Lt: ("lt", 0.0, "must be below"),
          Le: ("le", 1.0, "must be at most")}  # fmt: skip


def problems(model: type[BaseModel], raw: dict[str, Any]) -> list[str]:
    with pytest.raises(ValidationError) as caught:
        model.model_validate(raw)
    return problems_in_words(caught.value, model)


def places(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], Any]]:
    """Every place in a record below its root."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for step, below in pairs:
        yield (*path, step), below
        yield from places(below, (*path, step))


def with_at(raw: dict[str, Any], path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    changed = copy.deepcopy(raw)
    holder: Any = changed
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    return changed


def without(raw: dict[str, Any], path: tuple[str | int, ...]) -> dict[str, Any]:
    changed = copy.deepcopy(raw)
    holder: Any = changed
    for step in path[:-1]:
        holder = holder[step]
    del holder[path[-1]]
    return changed


def dotted(path: tuple[str | int, ...]) -> str:
    return ".".join(map(str, path))


def test_there_is_a_sample_of_every_kind() -> None:
    assert set(samples()) == set(KINDS)


@pytest.mark.parametrize("kind", KINDS)
def test_the_sample_is_taken(kind: str) -> None:
    record = MODELS[kind].model_validate(samples()[kind])
    assert MODELS[kind].model_validate(record.model_dump(exclude_unset=True)) == record


@pytest.mark.parametrize("kind", KINDS)
def test_unknown_fields_are_refused_at_every_depth(kind: str) -> None:
    model, raw = MODELS[kind], samples()[kind]
    tables = [(), *(path for path, value in places(raw) if isinstance(value, dict))]
    refused = 0
    for table in tables:
        if table and not _is_model(model, raw, table):
            continue
        found = problems(model, with_at(raw, (*table, "colour"), "red"))
        name = dotted((*table, "colour"))
        assert [text for text in found if text.startswith(f"{name} is not a field of ")], (table, found)
        assert all(text.endswith("remove it or correct its spelling") for text in found if name in text)
        refused += 1
    assert refused


def _is_model(model: type[BaseModel], raw: dict[str, Any], path: tuple[str | int, ...]) -> bool:
    choices = options(spot_at(model, raw, dotted(path)).annotation)
    return any(isinstance(choice, type) and issubclass(choice, BaseModel) for choice in choices)


def wrong_values(annotation: Any) -> list[Any]:
    """Values of another type than the annotation takes."""
    choices = options(annotation)
    if Any in choices:
        return []
    if any(get_origin(choice) is Literal for choice in choices):
        return ["no such word", 7]
    if bool in choices:
        return ["yes", 1]
    if float in choices or int in choices:
        return ["abc", True, {"a": 1}]
    if str in choices:
        return [7, True, ["a"]]
    return ["text", 7]


@pytest.mark.parametrize("kind", KINDS)
def test_wrong_types_are_refused_in_every_field(kind: str) -> None:
    model, raw = MODELS[kind], samples()[kind]
    refused = 0
    for path, _ in places(raw):
        name = dotted(path)
        for wrong in wrong_values(spot_at(model, raw, name).annotation):
            found = problems(model, with_at(raw, path, wrong))
            told = [text for text in found if text.startswith(f"{name} ")]
            assert told, (name, wrong, found)
            shown = {True: "true", False: "false"}.get(wrong) if isinstance(wrong, bool) else str(wrong)
            shown = "a table" if isinstance(wrong, dict) else "a list" if isinstance(wrong, list) else shown
            assert any(shown in text for text in told), (name, wrong, told)
            assert all("; " in text for text in told), told
            refused += 1
    assert refused


@pytest.mark.parametrize("kind", KINDS)
def test_values_beyond_their_limits_are_refused(kind: str) -> None:
    model, raw = MODELS[kind], samples()[kind]
    for path, value in places(raw):
        for attribute, limit, off, words in limits_at(model, raw, path, value):
            beyond = type(value)(limit + off)
            found = problems(model, with_at(raw, path, beyond))
            told = [text for text in found if text.startswith(f"{dotted(path)} = {beyond}")]
            assert told and words in told[0] and "; " in told[0], (path, attribute, found)
            unit = spot_at(model, raw, dotted(path)).unit
            assert unit in ("", "-") or f" {unit}" in told[0]


def limits_at(model: type[BaseModel], raw: dict, path: tuple, value: Any) -> Iterator[tuple[str, float, float, str]]:
    spot = spot_at(model, raw, dotted(path))
    info = spot.holder.model_fields.get(str(path[-1])) if spot.holder else None
    for limit in info.metadata if info and isinstance(value, int | float) else ():
        for sort, (attribute, off, words) in BEYOND.items():
            if isinstance(limit, sort):
                yield attribute, getattr(limit, attribute), off, words


def test_the_limits_of_the_samples_are_many() -> None:
    """The table above cannot pass for want of limits."""
    count = sum(
        len(list(limits_at(MODELS[kind], raw, path, value)))
        for kind, raw in samples().items()
        for path, value in places(raw)
    )
    assert count > 90


@pytest.mark.parametrize("kind", KINDS)
def test_a_missing_field_is_named(kind: str) -> None:
    model, raw = MODELS[kind], samples()[kind]
    for name, info in model.model_fields.items():
        if info.is_required():
            assert [text for text in problems(model, without(raw, (name,))) if text.startswith(f"{name} is missing")]


@pytest.mark.parametrize("kind", KINDS)
def test_bytes_that_are_no_text_are_refused_in_every_text(kind: str) -> None:
    model, raw = MODELS[kind], samples()[kind]
    for path, value in places(raw):
        if not isinstance(value, str):
            continue
        for bad, code in (("\x00", "control character U+0000"), ("\x1b[2J", "control character U+001B"),
                          ("\udc80", "lone surrogate U+DC80"), ("\x9b", "control character U+009B")):  # fmt: skip
            assert problems(model, with_at(raw, path, f"a{bad}b")) == [f"{dotted(path)} holds the {code}; remove it"]


@pytest.mark.parametrize("kind", KINDS)
def test_numbers_that_json_cannot_keep_are_refused(kind: str) -> None:
    model, raw = MODELS[kind], samples()[kind]
    numbers = [path for path, v in places(raw) if isinstance(v, int | float) and not isinstance(v, bool)]
    for path in numbers:
        name = dotted(path)
        assert problems(model, with_at(raw, path, float("nan")))[0].startswith(f"{name} = nan is not a finite number")
        assert problems(model, with_at(raw, path, float("-inf")))[0].startswith(f"{name} = -inf is not a finite number")
        assert problems(model, with_at(raw, path, 2**53))[0].startswith(f"{name} = 9007199254740992 must lie within")
        assert problems(model, with_at(raw, path, 10**5000))[0].startswith(f"{name} = ")
