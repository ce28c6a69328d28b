"""CO2 as a method: ranges, fuel or payload, the sign said in words, links to the cost sheet."""

from pathlib import Path

import pytest

from dossier.methods.links import input_from_values, resolve
from dossier.methods.registry import method_of
from dossier.store.project import project_from_documents

STEEL = {"name": "steel", "reference_mass": 2.0, "variant_mass": 1.4, "factor": {"value": 2.0, "low": 1.8, "high": 2.5}}
ALUMINIUM = {
    "name": "aluminium", "reference_mass": 0.0, "variant_mass": 0.1, "factor": {"value": 9.0, "low": 6.0, "high": 16.0}
}  # fmt: skip
FUEL = {
    "kind": "fuel", "distance": {"value": 60e3, "low": 4e4, "high": 8e4}, "emission": {"value": 3.2, "low": 3.1, "high": 3.3},
    "fuel_rate": {"value": 0.43, "low": 0.35, "high": 1.0},
    "rolling_resistance": 0.006, "drive_efficiency": 0.38, "fuel_energy": 35.8,
}  # fmt: skip
PAYLOAD = {"kind": "payload", "distance": {"value": 60e3}, "limited_share": {"value": 0.3}, "emission": {"value": 0.06}}


@pytest.fixture
def balance(run):
    def of(*lines, use, reference=1.94, variant=1.44):
        footprint = {"functional_unit": "one joint, 15 years", "boundary": "gate and road", "line": list(lines), "use": use}
        values = {"footprint": footprint, "reference_mass": reference, "variant_mass": variant}
        return run("co2.saving", values)

    return of


def test_ranges_by_hand(balance):
    """0.6 kg steel less, 0.1 kg aluminium more, 0.5 kg over the road; low is all that lowers it together."""
    values = balance(STEEL, ALUMINIUM, use=FUEL).values
    assert values["manufacture_low"] == pytest.approx(0.6 * 1.8 - 0.1 * 16)
    assert values["manufacture_mid"] == pytest.approx(0.6 * 2.0 - 0.1 * 9)
    assert values["manufacture_high"] == pytest.approx(0.6 * 2.5 - 0.1 * 6)
    assert values["use_low"] == pytest.approx(0.0005 * 400 * 0.35 * 3.1)
    assert values["use_high"] == pytest.approx(0.0005 * 800 * 1.0 * 3.3)
    for end in ("low", "mid", "high"):
        assert values[f"total_{end}"] == pytest.approx(values[f"manufacture_{end}"] + values[f"use_{end}"])


def test_an_open_sign_is_said_with_what_turns_it(balance):
    notes = balance(STEEL, ALUMINIUM, use={"kind": "none"}).warnings
    assert notes[0] == "The sign is open: the range from low to high crosses zero."
    assert "factor of aluminium at 16.0 alone turns the sign: −0.40 kg CO2e" in notes
    assert not any("factor of steel" in note for note in notes)


def test_a_distance_that_turns_the_sign_is_named(balance):
    burden = STEEL | {"reference_mass": 1.4, "variant_mass": 1.55, "factor": {"value": 2.0}}
    notes = balance(burden, use=FUEL).warnings
    assert any(note.startswith("distance at 40000 alone turns the sign: −") for note in notes)


def test_a_closed_sign_is_not_called_open(balance):
    notes = balance(STEEL, use=FUEL).warnings
    assert not any("sign" in note for note in notes)


def test_payload_adds_no_fuel(balance):
    outcome = balance(STEEL, use=PAYLOAD)
    assert outcome.values["use_mid"] == pytest.approx(0.0005 * 60e3 * 0.3 * 0.06)
    assert any("no fuel saving is added" in note for note in outcome.warnings)


def test_fuel_and_payload_together_are_no_input():
    use = FUEL | {"limited_share": {"value": 0.3}}
    footprint = {"functional_unit": "u", "boundary": "b", "line": [STEEL], "use": use}
    values = {"footprint": footprint, "reference_mass": 1.94, "variant_mass": 1.44}
    problems = input_from_values(method_of("co2.saving"), values).problems
    assert len(problems) == 1 and "limited_share" in problems[0]


def test_rolling_resistance_is_told_against_the_range(balance):
    assert any("0.43 l/(100 km·t), inside the range" in note for note in balance(STEEL, use=FUEL).warnings)
    low = FUEL | {"fuel_rate": {"value": 0.2, "low": 0.1, "high": 0.3}}
    assert any("outside the range 0.1 .. 0.3" in note for note in balance(STEEL, use=low).warnings)


def test_a_heavier_variant_burdens_the_use(balance):
    outcome = balance(STEEL, use=FUEL, variant=2.04)
    assert outcome.values["use_low"] < outcome.values["use_mid"] < outcome.values["use_high"] < 0
    assert any("not lighter" in note for note in outcome.warnings)


def test_the_balance_of_the_demo_comes_through_its_links(documents):
    project = project_from_documents(Path("."), documents)
    found = resolve(project, project.get("C-012"), method_of("co2.saving"))
    assert found.problems == []
    assert found.given.variant_mass == documents["cost.toml"]["variant"]["mass"]
    assert method_of("co2.saving").run(found.given).values["total_low"] < 0
