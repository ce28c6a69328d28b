"""Differences of two documents, field by field and in words."""

from __future__ import annotations

import copy

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dossier.store.words import FieldChange, differences, in_words

OLD = {
    "requirement": [
        {"id": "R-012", "limit": {"max": 45.0, "kind": "max"}, "title": "radial stiffness", "special": False},
        {"id": "R-013", "title": "mass"},
    ]
}


def changed(edit) -> list[FieldChange]:
    new = copy.deepcopy(OLD)
    edit(new["requirement"])
    return differences(OLD, new)


def unit_of(path: tuple[str, ...]) -> str | None:
    return {"max": "kN"}.get(path[-1])


def test_a_limit() -> None:
    [change] = changed(lambda r: r[0]["limit"].update(max=50.0))
    assert change == FieldChange(("requirement", "R-012", "limit", "max"), 45.0, 50.0, 2)
    assert in_words(change, unit_of) == "R-012 limit.max 45 → 50 kN"
    assert in_words(change, unit_of, lambda path: "limit") == "R-012 limit 45 → 50 kN"


def test_moving_records_is_no_difference() -> None:
    assert changed(lambda r: r.reverse()) == []
    assert [c.path[-2:] for c in changed(lambda r: (r.reverse(), r[0].update(title="m")))] == [("R-013", "title")]


@pytest.mark.parametrize(
    ("edit", "words"),
    [
        (lambda r: r.append({"id": "R-014", "title": "life"}), "R-014 added"),
        (lambda r: r.pop(1), "R-013 removed"),
        (lambda r: r[1].update(remark="checked"), "R-013 remark added: “checked”"),
        (lambda r: r[0].pop("title"), "R-012 title removed: “radial stiffness”"),
        (lambda r: r[0].update(special=True), "R-012 special no → yes"),
        (lambda r: r[0]["limit"].update(max="45"), "R-012 limit.max 45 → “45” kN"),
        (lambda r: r[1].update(text="a" * 100), "R-013 text added: “" + "a" * 59 + "…”"),
        (lambda r: r[1].update(text="a\n b"), "R-013 text added: “a b”"),
        (lambda r: r[1].update(range=[1.0, 2.5]), "R-013 range added: [1, 2.5]"),
        (lambda r: r[1].update(curve=[float(i) for i in range(99)]), "R-013 curve added: [99 values]"),
        (lambda r: r[1].update(limit={"max": 1.0}), "R-013 limit added"),
    ],
)
def test_words(edit, words: str) -> None:
    [change] = changed(edit)
    assert in_words(change, unit_of) == words


def test_first_and_last_record_are_told_one_by_one() -> None:
    both = ["R-012 added", "R-013 added"]
    assert [in_words(change) for change in differences({}, OLD)] == both
    assert [in_words(change) for change in differences(OLD, {"requirement": []})] == [
        word.replace("added", "removed") for word in both
    ]


def test_a_document_that_is_one_record_and_lists_inside() -> None:
    old = {"id": "D-001", "layers": [{"id": "L1", "t": 3.0}, {"id": "L2", "t": 4.0}], "points": [{"x": 1.0}]}
    new = {"id": "D-001", "layers": [{"id": "L2", "t": 4.5}, {"id": "L1", "t": 3.0}]}
    new["points"] = [{"x": 1.0}, {"x": 2.0}]
    lines = [in_words(change, record="D-001") for change in differences(old, new)]
    assert lines == ["D-001 layers.L2.t 4 → 4.5", "D-001 points[2] added"]


def test_lists_inside_a_record_of_a_list_keep_the_record() -> None:
    old = {"material": [{"id": "M-1", "curves": [{"id": "c1", "k": 1.0}]}]}
    new = {"material": [{"id": "M-1", "curves": [{"id": "c1", "k": 2.0}]}]}
    assert [in_words(change) for change in differences(old, new)] == ["M-1 curves.c1.k 1 → 2"]


def test_doubled_ids_are_compared_by_position() -> None:
    old = {"x": [{"id": "A", "v": 1}, {"id": "A", "v": 2}]}
    new = {"x": [{"id": "A", "v": 1}, {"id": "A", "v": 3}]}
    assert [in_words(change) for change in differences(old, new)] == ["x[2].v 2 → 3"]


def test_types() -> None:
    assert differences({"a": 1, "b": float("nan")}, {"a": 1.0, "b": float("nan")}) == []
    assert differences({"a": 1}, {"a": True}) == [FieldChange(("a",), 1, True)]
    assert differences({"a": [1, 2]}, {"a": [1, True]}) == [FieldChange(("a",), [1, 2], [1, True])]


LEAVES = st.integers(0, 3) | st.text("ab", max_size=2) | st.booleans() | st.lists(st.integers(0, 2), max_size=2)
TABLES = st.dictionaries(st.sampled_from("xyz"), LEAVES, max_size=3)
RECORDS = st.dictionaries(st.sampled_from(["A", "B", "C"]), TABLES, max_size=3).map(
    lambda named: [{"id": name, **fields} for name, fields in named.items()]
)
DOCUMENTS = st.fixed_dictionaries({"list": RECORDS, "table": TABLES}, optional={"v": LEAVES})


def put_in(document: dict, changes: list[FieldChange]) -> dict:
    """Apply differences to a document: an independent reading of what they mean."""
    result = copy.deepcopy(document)
    for change in changes:
        place = result
        for part in change.path[:-1]:
            place = next(item for item in place if item["id"] == part) if isinstance(place, list) else place[part]
        last = change.path[-1]
        if isinstance(place, list):
            place[:] = [item for item in place if item["id"] != last]
            place += [] if change.new is None else [change.new]
        elif change.new is None:
            del place[last]
        else:
            place[last] = change.new
    return result


def by_id(document: dict) -> dict:
    return {**document, "list": {item["id"]: item for item in document["list"]}}


@given(DOCUMENTS, DOCUMENTS)
def test_the_differences_lead_from_old_to_new(old: dict, new: dict) -> None:
    changes = differences(old, new)
    assert repr_sorted(by_id(put_in(old, changes))) == repr_sorted(by_id(new))
    assert (changes == []) == (repr_sorted(by_id(old)) == repr_sorted(by_id(new)))
    assert all(in_words(change) for change in changes)


def repr_sorted(value: object) -> str:
    """A text that keeps True and 1 apart and forgets the order of keys."""
    if isinstance(value, dict):
        return "{" + ",".join(f"{key}:{repr_sorted(value[key])}" for key in sorted(value)) + "}"
    return repr(value)
