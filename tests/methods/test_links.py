"""Where a calculation's inputs come from: links followed, units converted, and every way a link can break."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import pytest

sys.path[:0] = [str(Path(__file__).parents[1])]

import small_project as small  # noqa: E402

from dossier.methods.links import Resolved, input_from_values, resolve  # noqa: E402
from dossier.methods.registry import method_of  # noqa: E402
from dossier.records.calculation import Calculation  # noqa: E402
from dossier.store.project import project_from_documents  # noqa: E402


def resolved(edit: Any = None, record_id: str = "C-002") -> Resolved:
    files = small.documents()
    if edit is not None:
        edit(files)
    project = project_from_documents(Path("none"), files)
    assert project.problems == []
    calculation = project.get(record_id)
    assert isinstance(calculation, Calculation)
    return resolve(project, calculation, method_of(calculation.method))


def force(given: Any) -> Any:
    def edit(files: small.Documents) -> None:
        small.entry_of(files, "C-002")["inputs"]["force"] = given

    return edit


READ: list[tuple[str, Any, float, str]] = [
    ("a field", {"record": "L-001", "field": "radial"}, 100000.0, "L-001.radial"),
    ("an assumption in another unit", {"record": "A-002"}, 90000.0, "A-002"),
    ("a field of it", {"record": "A-002", "field": "high"}, 95000.0, "A-002.high"),
    ("a limit in the requirement's unit", {"record": "R-012", "field": "limit.max"}, 45000.0, "R-012.limit.max"),
    ("a quantity", "118 kN", 118000.0, "given here"),
    ("a number", 118, 118.0, "given here"),
    ("a number as text", "118", 118.0, "given here"),
]


@pytest.mark.parametrize(("given", "value", "source"), [row[1:] for row in READ], ids=[row[0] for row in READ])
def test_what_is_read(given: Any, value: float, source: str) -> None:
    found = resolved(force(given))
    assert found.problems == []
    assert (found.plain["force"], found.sources["force"]) == (value, source)


def test_the_usual_sources_and_a_banded_value() -> None:
    found = resolved()
    assert found.plain["yield_strength"] == {"value": 800.0, "low": 780.0, "source": ""}
    assert found.sources["yield_strength"] == "M-001.yield_strength"
    assert found.plain["support"] == "held_at_bolt_axis"
    assert found.plain["pin"]["ball_radius"] == 29.0 and found.sources["pin"] == "V1.pin"
    assert "core_modulus" not in found.plain, "no filler, so nothing is read of it"


def test_an_input_given_as_banded_value_may_carry_units() -> None:
    def edit(files: small.Documents) -> None:
        inputs = small.entry_of(files, "C-002")["inputs"]
        inputs["yield_strength"] = {"value": "0.8 GPa", "low": 780.0, "source": "certificate"}

    assert resolved(edit).plain["yield_strength"] == {"value": 800.0, "low": 780.0, "source": "certificate"}


def test_a_list_entry_and_a_key_with_dots_are_reached() -> None:
    def edit(files: small.Documents) -> None:
        files["calculations/C-002.toml"] = {
            "id": "C-002", "title": "Layer", "method": "layer.stiffness", "design": "V1",
            "inputs": {
                "inner_radius": {"record": "V1", "field": "pin.bores.0.diameter"},
                "outer_radius": {"record": "V1", "field": "layer.outer_radius"},
                "inner_tolerance": {"record": "V1", "field": "tolerances.layer.outer_radius"},
            },
        }  # fmt: skip

    found = resolved(edit)
    assert found.problems == []
    assert found.plain["inner_radius"] == 18.0
    assert found.plain["inner_tolerance"] == {"lower": -0.05, "upper": 0.05}


def without(record_id: str, *path: str) -> Any:
    def edit(files: small.Documents) -> None:
        holder = small.entry_of(files, record_id)
        for step in path[:-1]:
            holder = holder[step]
        del holder[path[-1]]

    return edit


def setting(record_id: str, value: Any, *path: str) -> Any:
    def edit(files: small.Documents) -> None:
        holder = small.entry_of(files, record_id)
        for step in path[:-1]:
            holder = holder[step]
        holder[path[-1]] = value

    return edit


def linked(record: str, field: str) -> Any:
    return force({"record": record, "field": field})


def modulus(record: str, field: str) -> Any:
    """The link of an input that may be left out."""
    return setting("C-002", {"record": record, "field": field}, "inputs", "core_modulus")


BROKEN: list[tuple[str, Any, str]] = [
    ("no record", linked("L-009", "radial"), "force: L-009 names no record; correct inputs.force.record"),
    ("no field", linked("L-001", "radal"), "force: L-001: radal is not a field of LoadCase; did you mean radial?"),
    ("no value", linked("R-012", "limit.min"), "force: R-012.limit.min has no value; fill it in"),
    ("no data", linked("L-001", "__class__"), "force: L-001: __class__ is not a field of LoadCase"),
    ("no entry", linked("V1", "tolerances.pin.length"), "force: V1.tolerances has no entry pin.length; add it"),
    ("no list entry", linked("V1", "pin.bores.4.diameter"), "force: V1: pin.bores has 1 entries, counted from 0"),
    ("another dimension", linked("L-001", "torsion"),
     'inputs.force: L-001.torsion: "°" is angle, but "N" is force; give a value in N'),
    ("a text", linked("L-001", "title"), 'inputs.force: L-001.title: "Overload" is not a number with a unit'),
    ("a whole record", force({"record": "L-001"}),
     "force: L-001 is a whole record; name the field of it in inputs.force.field"),
    ("a quantity of another dimension", force("118 mm"), 'inputs.force: "mm" is length, but "N" is force; give a value in N'),
    ("beyond a limit", force("-1 N"), "force = -1.0 N must exceed 0.0 N; correct the value"),
    ("an unknown input", setting("C-002", 1, "inputs", "forse"),
     "inputs.forse is not an input of pin.bending; its inputs are pin, core"),
    ("a broken link of an optional input", modulus("M-009", "youngs_modulus"),
     "core_modulus: M-009 names no record; correct inputs.core_modulus.record"),
    ("an empty value behind an optional input", modulus("M-001", "tensile_strength"),
     "core_modulus: M-001.tensile_strength has no value; fill it in"),
    ("a material that is not there", setting("V1", "M-009", "pin", "material"),
     'yield_strength: V1.pin.material = "M-009" names no record'),
    ("a filler that is not there", setting("V1", "M-009", "core", "material"),
     'core_modulus: V1.core.material = "M-009" names no record'),
    ("a value missing in a material", without("M-001", "yield_strength"),
     "yield_strength: M-001.yield_strength has no value; fill it in"),
    ("no design", without("C-002", "design"), "pin: C-002 names no design; fill its field design"),
    ("a design that is not there", setting("C-002", "V9", "design"),
     "pin: V9 names no record; correct the field design of C-002"),
    ("nothing to read it from", without("C-002", "inputs", "force"),
     "force: has no value; give inputs.force in C-002"),
]  # fmt: skip


@pytest.mark.parametrize(("edit", "words"), [row[1:] for row in BROKEN], ids=[row[0] for row in BROKEN])
def test_a_link_that_breaks_says_where(edit: Any, words: str) -> None:
    found = resolved(edit)
    assert any(words in problem for problem in found.problems), found.problems
    assert found.given is None and found.plain == {}


def test_values_without_a_project() -> None:
    method = method_of("pin.bending")
    found = input_from_values(method, {"force": "1 kN", "support": "held_at_bolt_axis", "colour": "red"})
    assert found.problems[0].startswith("colour is not an input of pin.bending; its inputs are pin, core")
