"""Hostile text through every text field of every kind: stored and read back as it is, or refused with a message."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
import small_project as small
from record_samples import samples as all_kinds

from dossier.actions.edit import add_record, set_field
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.standing import standing
from dossier.records.collections import COLLECTIONS, collection_of_kind
from dossier.records.fields import options, spot_at

HOSTILE = [
    "[/b]", "[mm]", "[@click=app.bell]x[/]", "[[requirement]]", "<F_max>", "</para>", "R&D", "&lt;b&gt;", "=1+1", "+1",
    "@SUM(A1)", "../x", "/etc/passwd", "C:\\x", "'''", '"""', "\\u0000", "\\", "#", "${HOME}", "%s{0}", "a\tb", "two\nlines\n",
    "\n", " led by a space", "\u202eevil\u202c", "\u200f\u2066x\u2069", "e\u0301", "Ω≈ç√", "名", "\U0001f600", "\u2028", "\ufeff",
    "word " * 6000,
]  # fmt: skip
REFUSED = ["a\x00b", "\x1b[31mred", "bell\x07", "\udc80", "\ud800x", "x\x7f", "\x9b2J", "carriage\rreturn"]


def texts(kind: str, raw: dict[str, Any]) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    """Dotted path and steps of every free text of a record."""
    model = collection_of_kind(kind).model

    def walk(value: Any, steps: tuple[str | int, ...]) -> Iterator[tuple[str, tuple[str | int, ...]]]:
        pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
        for step, below in pairs:
            path = (*steps, step)
            dotted = ".".join(map(str, path))
            if isinstance(below, str) and str in options(spot_at(model, raw, dotted).annotation):
                yield dotted, path
            yield from walk(below, path)

    yield from walk(raw, ())


def with_at(raw: dict[str, Any], steps: tuple[str | int, ...], value: str) -> dict[str, Any]:
    changed = copy.deepcopy(raw)
    holder: Any = changed
    for step in steps[:-1]:
        holder = holder[step]
    holder[steps[-1]] = value
    return changed


def value_at(raw: dict[str, Any], steps: tuple[str | int, ...]) -> Any:
    holder: Any = raw
    for step in steps:
        holder = holder[step]
    return holder


def samples() -> dict[str, dict[str, Any]]:
    """A record of each kind that has many texts, under an id that is free in the small project."""
    found = {kind: raw for kind, raw in all_kinds().items() if kind not in ("sign-off", "project", "idea", "cost", "step")}
    for raw in found.values():
        raw["id"] = f"X-{raw['id']}"
    return found


KINDS = [c.kind for c in COLLECTIONS if c.kind not in ("project", "idea", "cost", "step")]


@pytest.mark.parametrize("kind", KINDS)
def test_a_text_added_is_read_back_or_refused(opened: Opened, kind: str) -> None:
    raw = samples()[kind]
    paths = list(texts(kind, raw))
    assert paths
    taken = refused = 0
    for number, text in enumerate([*HOSTILE, *REFUSED]):
        changed = raw
        for _, steps in paths:
            trial = with_at(changed, steps, text)
            try:
                add_record(opened.project, kind, trial, small.ENGINEER)
                changed = trial
            except Refusal as refusal:
                assert text not in REFUSED or "remove it" in str(refusal)
                assert len(str(refusal)) > 10 and "\x1b" not in str(refusal)
                refused += 1
                continue
            assert text not in REFUSED, (steps, text)
            taken += 1
        if text in REFUSED:
            continue
        record_id = f"X-{number:03d}"
        opened.record(add_record(opened.project, kind, {**changed, "id": record_id}, small.ENGINEER))
        assert opened.project.problems == [], opened.project.problems
        for _, steps in paths:
            if steps != ("id",):
                assert value_at(opened.project.raw[record_id], steps) == value_at(changed, steps)
    assert taken >= len(HOSTILE) and refused >= len(REFUSED) * len(paths)
    assert standing(opened.view).answer
    assert small.reopen(opened.folder.root).project.raw == opened.project.raw


FIELDS = [
    ("R-001", "title"), ("R-001", "statement"), ("R-001", "conditions.text"), ("R-001", "remark"), ("R-001", "owner"),
    ("L-001", "origin"), ("M-001", "designation"), ("M-001", "density.source"), ("A-001", "choice"), ("V1", "part_number"),
    ("V1", "rest.0.name"), ("C-001", "title"), ("C-001", "sources.design"), ("project", "title"), ("project", "customer"),
    ("project", "people.0.organisation"), ("idea", "problem"), ("idea", "concept.0.reason"),
]  # fmt: skip


@pytest.mark.parametrize(("record", "field"), FIELDS, ids=[".".join(pair) for pair in FIELDS])
def test_a_text_set_is_read_back_or_refused(opened: Opened, record: str, field: str) -> None:
    for text in HOSTILE[FIELDS.index((record, field)) % 3 :: 3]:
        change = set_field(opened.project, record, field, text, small.ENGINEER)
        assert "\n" not in change.message and len(change.message) < 200, "one line of the history"
        opened.record(change)
        assert opened.project.problems == []
        spot = spot_at(collection_of_kind(opened.project.kinds[record]).model, opened.project.raw[record], field)
        assert value_at(opened.project.raw[record], spot.steps) == text
    before = opened.project.raw[record]
    for text in REFUSED:
        with pytest.raises(Refusal, match="remove it"):
            set_field(opened.project, record, field, text, small.ENGINEER)
    assert opened.project.raw[record] == before
    assert standing(opened.view).answer


BAD_IDS = ["../x", "a/b", "..", "a\\b", "", "R 1", "[b]", "-1", "x" * 41, "R-1\n", "\u202eR", "Ä", "nul\x00"]


@pytest.mark.parametrize("bad", BAD_IDS)
def test_an_id_cannot_lead_anywhere(opened: Opened, bad: str) -> None:
    before = small.bytes_of(opened.folder.root)
    for kind, raw in samples().items():
        with pytest.raises(Refusal, match="id"):
            add_record(opened.project, kind, {**raw, "id": bad}, small.ENGINEER)
    assert small.bytes_of(opened.folder.root) == before


@pytest.mark.parametrize("name", ["CON", "aux", "nul.x", "COM1", "a.", "A..b"])
def test_ids_that_some_systems_cannot_keep_as_names_get_another_file(opened: Opened, name: str) -> None:
    raw = {**small.design("V9", "variant", None), "id": name}
    change = add_record(opened.project, "design", raw, small.ENGINEER)
    (path,) = change.paths
    assert path.startswith("designs/") and path.count("/") == 1
    opened.record(change)
    assert opened.project.get(name).id == name and opened.project.problems == []
