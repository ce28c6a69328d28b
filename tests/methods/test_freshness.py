"""When a stored result is outdated: each field that is read, and nothing else."""

from __future__ import annotations

import copy
import random
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

sys.path[:0] = [str(Path(__file__).parents[1])]

import small_project as small  # noqa: E402

from dossier import units  # noqa: E402
from dossier.actions.run import run_calculations, with_changes  # noqa: E402
from dossier.methods.freshness import Freshness, differences, freshness  # noqa: E402
from dossier.methods.registry import method_of  # noqa: E402
from dossier.records.calculation import Calculation  # noqa: E402
from dossier.store.project import Project, project_from_documents  # noqa: E402
from dossier.store.tomlfile import parse_document  # noqa: E402

Edit = Callable[[small.Documents], None]


def project(files: small.Documents) -> Project:
    return project_from_documents(Path("none"), files)


@pytest.fixture(scope="module")
def calculated() -> small.Documents:
    """The small project with current results."""
    begun = project(small.documents())
    change = run_calculations(begun, ["C-001", "C-002"], small.ENGINEER, small.NOW)
    return with_changes(begun, change).documents


def fresh(files: small.Documents, record_id: str = "C-002") -> Freshness:
    found = project(files)
    assert found.problems == []
    calculation = found.get(record_id)
    assert isinstance(calculation, Calculation)
    return freshness(found, calculation)


def at(record_id: str, value: Any, *path: str | int) -> Edit:
    def edit(files: small.Documents) -> None:
        holder: Any = small.entry_of(files, record_id)
        for step in path[:-1]:
            holder = holder[step]
        holder[path[-1]] = value

    return edit


def edited(files: small.Documents, *edits: Edit) -> small.Documents:
    changed = copy.deepcopy(files)
    for edit in edits:
        edit(changed)
    return changed


READ: list[tuple[Edit, str, Any, Any]] = [
    (at("L-001", 110000.0, "radial"), "force", 100000.0, 110000.0),
    (at("V1", 28.5, "pin", "ball_radius"), "pin.ball_radius", 29.0, 28.5),
    (at("V1", 17.0, "pin", "bores", 0, "diameter"), "pin.bores[1].diameter", 18.0, 17.0),
    (at("V1", True, "pin", "bores", 0, "filled"), "pin.bores[1].filled", False, True),
    (at("V1", 25.0, "pin", "ends", "flat_thickness"), "pin.ends.flat_thickness", 26.0, 25.0),
    (at("M-001", 790.0, "yield_strength", "value"), "yield_strength.value", 800.0, 790.0),
    (at("M-001", 770.0, "yield_strength", "low"), "yield_strength.low", 780.0, 770.0),
    (at("M-001", 820.0, "yield_strength", "high"), "yield_strength.high", None, 820.0),
    (at("A-001", "simple_at_bolt_axis", "choice"), "support", "held_at_bolt_axis", "simple_at_bolt_axis"),
    (at("C-002", "118 kN", "inputs", "force"), "force", 100000.0, 118000.0),
    (at("C-002", "REF", "design"), "pin.bores", None, None),
]


@pytest.mark.parametrize(("edit", "field", "stored", "now"), READ, ids=[row[1] for row in READ])
def test_a_field_that_is_read_outdates_it_and_is_named(
    calculated: small.Documents, edit: Edit, field: str, stored: Any, now: Any
) -> None:
    assert fresh(calculated).state == "current"
    found = fresh(edited(calculated, edit))
    assert found.state == "outdated" and found.problems == []
    named = {difference.field: (difference.stored, difference.now) for difference in found.differences}
    if stored is None and now is None:
        assert field in named
    else:
        assert named == {field: (stored, now)}


UNREAD: list[tuple[str, Edit]] = [
    ("title", at("V1", "Another title", "title")),
    ("remark", at("M-001", "measured again", "remark")),
    ("source of a value", at("M-001", "certificate 7", "yield_strength", "source")),
    ("another value of the material", at("M-001", {"value": 0.15}, "friction")),
    ("another load", at("L-002", 99.0, "radial")),
    ("another field of the load", at("L-001", 7.0, "torsion")),
    ("the layer, which bending does not read", at("V1", 35.0, "layer", "outer_radius")),
    ("a tolerance", at("V1", {"lower": -0.1, "upper": 0.1}, "tolerances", "pin.length")),
    ("what it serves", at("C-002", [], "serves")),
    ("the requirement's limit", at("R-002", 1.4, "limit", "min")),
    ("its own title", at("C-002", "Bending again", "title")),
    ("the same force in another unit", at("C-002", "0.1 MN", "inputs", "force")),
    ("the same force as a number", at("C-002", 100000, "inputs", "force")),
    ("the same force as a float of other digits", at("C-002", "1.0e5 N", "inputs", "force")),
    ("the same radius as whole number", at("V1", 29, "pin", "ball_radius")),
    ("a default written out", at("V1", 0.0, "pin", "straight_radius")),
]


@pytest.mark.parametrize("edit", [row[1] for row in UNREAD], ids=[row[0] for row in UNREAD])
def test_what_is_not_read_or_says_the_same_changes_nothing(calculated: small.Documents, edit: Edit) -> None:
    changed = edited(calculated, edit)
    assert fresh(changed).state == "current"


def test_order_of_keys_and_comments_change_nothing(calculated: small.Documents) -> None:
    def shuffled(value: Any) -> Any:
        if isinstance(value, dict):
            items = list(value.items())
            random.Random(7).shuffle(items)
            return {key: shuffled(below) for key, below in items}
        return [shuffled(item) for item in value] if isinstance(value, list) else value

    assert fresh({path: shuffled(document) for path, document in calculated.items()}).state == "current"
    text = b"# by hand\nid = 'A-001' # id\ntitle = 'Support'\nstatement = 'Held.'\nchoice = 'held_at_bolt_axis'\n"
    changed = copy.deepcopy(calculated)
    changed["assumptions.toml"]["assumption"][0] = parse_document(text, "a.toml")
    assert fresh(changed).state == "current"


@given(value=st.floats(1e-3, 1e9), unit=st.sampled_from(["N", "kN", "MN"]))
def test_a_force_in_any_unit_is_one_value(value: float, unit: str) -> None:
    """Conversion rounds in the last digits; that must outdate nothing."""
    typed = f"{units.convert(value, 'N', unit)!r} {unit}"
    assert differences({"force": value}, {"force": units.parse(typed, "N")}) == []


@given(value=st.floats(1e-3, 1e9), share=st.sampled_from([1e-9, -1e-9, 1e-6, 0.1]))
def test_a_real_change_is_seen_however_small(value: float, share: float) -> None:
    assert differences({"force": value}, {"force": value * (1 + share)})


def test_what_counts_as_different() -> None:
    found = differences({"a": [1, 2], "b": True, "c": "x", "d": 0.0}, {"a": [1], "b": 1, "c": "x", "d": 1e-300, "e": 1})
    assert [d.field for d in found] == ["a", "b", "d", "e"]
    assert differences({"a": 1, "b": [1.0]}, {"b": [1], "a": 1.0}) == []


def test_a_newer_method_is_only_marked(calculated: small.Documents, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(type(method_of("pin.bending")), "version", method_of("pin.bending").version + 1)
    found = fresh(calculated)
    assert (found.state, found.differences, found.problems) == ("newer method available", [], [])
    assert fresh(edited(calculated, at("L-001", 110000.0, "radial"))).state == "outdated"


def test_an_older_method_than_the_results_leaves_it_current(calculated: small.Documents) -> None:
    assert fresh(edited(calculated, at("C-002", 99, "result", "method_version"))).state == "current"


def test_another_method_is_asked_for(calculated: small.Documents) -> None:
    found = fresh(edited(calculated, at("C-001", "mass.saving", "method"), at("C-001", "REF", "reference")), "C-001")
    assert found.state == "outdated"
    assert "was computed by mass.joint, mass.saving is asked for; run it again" in found.problems


def test_an_unknown_method_fails(calculated: small.Documents) -> None:
    found = fresh(edited(calculated, at("C-002", "pin.magic", "method")))
    assert found.state == "failed"
    assert found.problems == ['method = "pin.magic" is unknown; `dossier methods` lists them']


def test_a_stored_input_that_was_altered_with_its_source(calculated: small.Documents) -> None:
    """Record and stored input edited alike would pass as current but for the digest."""
    found = fresh(edited(calculated, at("L-001", 50000.0, "radial"), at("C-002", 50000.0, "result", "inputs", "force")))
    assert found.state == "failed"
    assert found.problems == ["the stored input does not match its digest; run it again"]


def test_a_link_that_broke_since(calculated: small.Documents) -> None:
    found = fresh(edited(calculated, at("C-002", "L-009", "inputs", "force", "record")))
    assert found.state == "outdated"
    assert found.problems == ["force: L-009 names no record; correct inputs.force.record"]


def test_never_run() -> None:
    found = fresh(small.documents())
    assert (found.state, found.problems) == ("open", [])
