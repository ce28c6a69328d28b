"""A load case on the assembled layer: metal in series, single loads, bands, refusals, cases that are not reached."""

from __future__ import annotations

import pytest

from dossier.methods.base import InputError
from dossier.methods.layer_load_case import LoadCaseInput
from dossier.methods.registry import method_of

THICK = {  # layer of the reference runs
    "inner_radius": 20, "outer_radius": 35, "polar_start": 50, "polar_end": 130, "shear_modulus": {"value": 1.0},
    "bulk_modulus": {"value": 2000}, "carrier": "half_shells", "closing": 0.5,
}  # fmt: skip
CASE = THICK | {"radial_force": 800.0, "axial_force": 200.0, "tilt": 1.0}
CLAMP = {"clamp_radial": 4000.0, "clamp_axial": 2000.0, "clamp_conical": 4e5}


@pytest.fixture(autouse=True)
def few_cells(monkeypatch):
    """What is tested here holds on any mesh."""
    monkeypatch.setattr("dossier.mechanics.finite_layer.COARSE_CELLS", {"long": (4, 6)})


def value(outcome, name):
    found = outcome.values[name]
    return getattr(found, "value", found)


def test_one_force_alone_is_the_curve(run):
    """Same equations as the radial curve (Newton's tolerance); metal in series adds force over stiffness."""
    curve = run("layer.curve", THICK | {"direction": "radial", "low": 0, "high": 800.0, "steps": 2, "clamp_stiffness": 4000.0})
    case = run("layer.load_case", THICK | {"radial_force": 800.0, "clamp_radial": 4000.0})
    assert value(case, "radial_travel") == pytest.approx(value(curve, "displacement"), rel=1e-5)
    assert value(case, "radial_change") == value(case, "axial_travel") == value(case, "tilt_moment") == 0.0
    assert "torque" not in case.values and value(case, "reached") == 1.0


def test_metal_in_series_takes_its_part_of_forces_and_of_the_tilt(run):
    """Under forces the layer moves as without metal; of the tilt it keeps what the moment leaves of it."""
    forces = CASE | {"tilt": 0.0}
    rigid = run("layer.load_case", forces)
    held = run("layer.load_case", forces | {"clamp_radial": 4000.0, "clamp_axial": 2000.0})
    assert value(held, "radial_travel") == pytest.approx(value(rigid, "radial_travel") + 0.2, abs=1e-6)
    assert value(held, "axial_travel") == pytest.approx(value(rigid, "axial_travel") + 0.1, abs=1e-6)
    given = CASE | CLAMP
    outcome = run("layer.load_case", given)
    working = method_of("layer.load_case").working(LoadCaseInput.model_validate(given), outcome)
    assert working.values["φ_x"] == pytest.approx(1.0, abs=1e-3) and 0.7 < working.values["φ_kL"] < 0.85
    stiff = run("layer.load_case", CASE | {name: 1e6 * number for name, number in CLAMP.items()})
    assert value(stiff, "tilt_moment") == pytest.approx(value(run("layer.load_case", CASE), "tilt_moment"), rel=1e-5)


def test_metal_of_a_section_is_that_of_the_clamp_it_holds(run):
    """Section = its layer without pre-stress and metal in series: the method finds the metal back."""
    before = run("layer.assembly", THICK | {"closing": 0})
    layer = {name: value(before, name) for name in ("radial", "axial", "torsional", "conical")}
    clamp = {"radial": 4000.0, "axial": 2000.0, "torsional": 4e6, "conical": 4e5}
    section = {f"section_{name}": 1 / (1 / layer[name] + 1 / clamp[name]) for name in layer}
    found, held = run("layer.load_case", CASE | section), run("layer.load_case", CASE | CLAMP)
    for name in ("radial_travel", "axial_travel", "tilt_moment"):
        assert value(found, name) == pytest.approx(value(held, name), rel=1e-6)


def test_torsion_is_told_and_bands_follow_the_modulus(run):
    """Moments at given angles follow G in proportion; travels under given forces fall with it."""
    given = CASE | {"torsion": 2.0, "shear_modulus": {"value": 1.0, "low": 0.9, "high": 1.1}}
    outcome = run("layer.load_case", given)
    (line,) = [each for each in outcome.values["torque"].contributions if each.cause == "shear modulus (hardness)"]
    assert line.plus == pytest.approx(0.1 * value(outcome, "torque"), rel=0.02)
    (line,) = [each for each in outcome.values["radial_travel"].contributions if each.cause == "shear modulus (hardness)"]
    assert line.plus > 0.1 * value(outcome, "radial_travel") > -line.minus > 0.0
    assert any(each.cause == "mesh" for each in outcome.values["tilt_moment"].contributions)


@pytest.mark.parametrize(("changes", "words"), [
    ({"radial_force": 0.0, "axial_force": 0.0, "tilt": 0.0}, "radial_force, axial_force, tilt and torsion are all 0"),
    ({"section_radial": 1000.0}, "section_axial, section_torsional, section_conical missing beside the other stiffnesses"),
    ({"section_coupling": 10.0}, "section_coupling = 10 N/rad is given without section_radial"),
    ({f"section_{name}": 1e9 for name in ("radial", "axial", "torsional", "conical")},
     "section_axial = 1e+09 N/mm must be below that of the layer alone"),
    ({"section_radial": 1600.0, "section_axial": 500.0, "section_torsional": 2e5, "section_conical": 1.2e5,
      "section_coupling": 9e3}, "the stiffnesses of the section do not fit its layer: metal.coupling"),
])  # fmt: skip
def test_what_cannot_be_is_refused(run, changes, words):
    with pytest.raises(InputError) as caught:
        run("layer.load_case", CASE | changes)
    assert words in str(caught.value)


def test_a_case_that_is_not_reached_says_how_far_it_came(run):
    given = CASE | {"axial_force": 3e4}
    outcome = run("layer.load_case", given)
    assert list(outcome.values) == ["reached"] and 0.02 < value(outcome, "reached") < 0.9
    assert "combined.demands[0] = PinDemand" in outcome.outside[0] and "reached " in outcome.outside[0]
    working = method_of("layer.load_case").working(LoadCaseInput.model_validate(given), outcome)
    assert working.values["F_x"] == pytest.approx(0.8 * value(outcome, "reached"), rel=1e-2)
