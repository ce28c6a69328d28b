"""Methods of the whole section: pairs of a filler, bands, limits of validity, load cases, refusals."""

from math import radians
from pathlib import Path

import pytest

from dossier.methods.base import InputError, Value
from dossier.methods.links import resolve
from dossier.methods.registry import method_of
from dossier.records.calculation import Calculation
from dossier.store.project import project_from_documents

PIN = {
    "length": 150.0, "ball_radius": 29.0, "neck_radius": 18.0, "neck_fillet": 2.5,
    "ends": {"flat_thickness": 26.0, "flat_start": 43.0, "hole_diameter": 17.5, "hole_distance": 112.0, "clamp_edge": 42.0},
}  # fmt: skip
DESIGN = {
    "pin": PIN, "layer": {"inner_radius": 29.0, "outer_radius": 34.0, "polar_start": 50.0, "polar_end": 130.0},
    "carrier": {"kind": "rings", "outer_radius": 38.0, "half_width": 22.0, "gap": 0.6},
}  # fmt: skip
ELASTIC = {
    "pin_modulus": 210e3, "pin_poisson": 0.3, "carrier_modulus": 70e3, "carrier_poisson": 0.33,
    "shear_modulus": {"value": 1.06, "low": 0.9, "high": 1.3}, "bulk_modulus": {"value": 1150.0, "low": 1050.0, "high": 1300.0},
}  # fmt: skip
RADIAL = {"id": "L-01", "kind": "static", "radial": 11000.0}
STRONG = {"pin_yield": 650.0, "pin_density": 7850.0, "carrier_yield": 260.0, "idle_below": 0.1}


def at(outcome, name):
    value = outcome.values[name]
    return value.value if isinstance(value, Value) else value


@pytest.fixture
def stiffness(run):
    return lambda **changes: run("section.stiffness", {"design": DESIGN} | ELASTIC | changes)


@pytest.fixture
def limits(run):
    given = {"design": DESIGN, "loads": [RADIAL], "travel": 1.2} | ELASTIC
    return lambda **changes: run("layer.limits", given | changes)


@pytest.fixture
def strength(run):
    given = {"design": DESIGN, "loads": [RADIAL]} | ELASTIC | STRONG
    return lambda **changes: run("section.strength", given | changes)


def test_metal_and_gap_take_stiffness_from_the_layer(run, stiffness):
    layer = run("layer.stiffness", DESIGN["layer"] | {"shear_modulus": 1.06, "bulk_modulus": 1150.0})
    whole = stiffness()
    for direction in ("radial", "axial", "torsional", "conical"):
        assert 0.9 * at(layer, direction) < at(whole, direction) < at(layer, direction)
    assert at(whole, "coupling") == 0.0


def test_band_holds_its_causes(stiffness):
    value = stiffness(inner_tolerance={"lower": -0.05, "upper": 0.05}).values["radial"]
    causes = {line.cause for line in value.contributions}
    assert causes == {"shear modulus (hardness)", "bulk modulus", "tolerance of the inner radius", "mesh"}
    assert value.low < 0.92 * value.value and value.high > 1.1 * value.value


def test_a_filler_is_shown_bonded_and_idle(stiffness, strength):
    filled = DESIGN | {"pin": PIN | {"straight_radius": 18.0}, "core": {"kind": "ball_contour"}}
    soft = {"design": filled, "core_modulus": 3000.0, "core_poisson": 0.38}
    found = stiffness(**soft)
    assert at(found, "radial_idle") < 0.6 * at(found, "radial")
    used = strength(**soft, core_yield=60.0)
    # What proves the pin is the worse case; a core carrying nothing leaves the layer's load no way to the pin.
    assert at(used, "core_utilisation") == pytest.approx(at(used, "core_stress") / 60.0)
    without = strength(**soft)
    assert "core_utilisation" not in without.values and "the core has no strength" in without.warnings[-1]


def test_a_core_without_material_is_refused(stiffness):
    filled = DESIGN | {"pin": PIN | {"straight_radius": 18.0}, "core": {"kind": "ball_contour"}}
    with pytest.raises(InputError, match=r"core\.kind = 'ball_contour' needs core_modulus and core_poisson"):
        stiffness(design=filled)


def test_friction_is_outside_validity(stiffness):
    assert "the outer face is held by friction" in stiffness(outer_face="friction").outside[0]


def test_limits_end_at_the_load_they_state(limits):
    found = limits()
    assert found.outside == []
    factor = at(found, "load_factor")
    beyond = limits(loads=[RADIAL | {"radial": 11000.0 * factor * 1.01}])
    assert beyond.outside[0].startswith("L-01: a cavity at 0.990 times the load")
    # Pre-stress and load pull against each other: 1 % more load is some 5 % more tension.
    almost = limits(loads=[RADIAL | {"radial": 11000.0 * factor * 0.99}])
    assert 0.9 * at(almost, "tension_limit") < at(almost, "tension") < at(almost, "tension_limit")
    # Beyond there is no number to use, only where validity ends and why.
    assert not {"tension", "pin_pressure", "carrier_pressure", "shear", "tension_share", "strain"} & set(beyond.values)


def test_a_load_case_beyond_validity_takes_no_part_in_the_values(limits):
    one, overload = limits(), RADIAL | {"id": "L-03", "radial": 118e3}
    both = limits(loads=[RADIAL, overload])
    assert [note.partition(":")[0] for note in both.outside] == ["L-03"]
    assert at(both, "tension") == at(one, "tension") and at(both, "pin_pressure") == at(one, "pin_pressure")
    assert at(both, "load_factor") < 1 < at(one, "load_factor")


def test_no_strain_is_stated_beyond_small_strain(limits):
    factor = at(limits(), "strain_factor")
    assert at(limits(loads=[RADIAL | {"radial": 11000.0 * factor * 0.999}]), "strain") == pytest.approx(0.4995, rel=1e-6)
    beyond = limits(loads=[RADIAL | {"radial": 11000.0 * factor * 1.001}])
    assert "strain" not in beyond.values and beyond.outside == []
    assert any("small strain, 50 %, ends below the load case" in text and "L-01 at 0.999" in text for text in beyond.warnings)


def test_limits_carry_hardness_bulk_modulus_tolerance_and_mesh(limits):
    given = {"inner_tolerance": {"lower": -0.05, "upper": 0.05}, "outer_tolerance": {"lower": -0.05, "upper": 0.05}}
    values = limits(**given).values
    radii = {"tolerance of the inner radius", "tolerance of the outer radius"}
    wanted = {"shear modulus (hardness)", "bulk modulus", "mesh"} | radii
    for name in ("load_factor", "tension", "pin_pressure", "shear", "strain_factor", "needed_travel"):
        assert {line.cause for line in values[name].contributions} == wanted, name
    # 2.5 G and nothing else: the ends of G's band.
    assert (values["tension_limit"].low, values["tension_limit"].high) == pytest.approx((2.5 * 0.9, 2.5 * 1.3))
    # Softer rubber opens earlier; the same with the input itself at its end, on the mesh of the value.
    soft = limits(shear_modulus={"value": 0.9, "low": 0.9, "high": 0.9})
    line = next(one for one in values["load_factor"].contributions if one.cause == "shear modulus (hardness)")
    assert at(soft, "load_factor") - values["load_factor"].value == pytest.approx(line.minus, rel=0.05)


def test_a_load_case_whose_band_passes_the_end_of_validity_is_told(limits):
    factor = at(limits(), "load_factor")
    near = limits(loads=[RADIAL | {"radial": 11000.0 * factor * 0.97}])
    assert near.outside == [] and near.values["load_factor"].low < 1 < near.values["load_factor"].value
    assert any("the model may end below the load case itself: L-01 at 1.03 (0." in text for text in near.warnings)


def test_more_travel_keeps_the_faces_closed(limits):
    small = [RADIAL | {"radial": 2000.0}]
    needed = at(limits(loads=small), "needed_travel")
    least = [min(at(limits(travel=travel, loads=small), f"{face}_pressure") for face in ("pin", "carrier"))
             for travel in (0.0, needed, 1.2)]  # fmt: skip
    assert least[1] == pytest.approx(0.0, abs=1e-9)
    assert least[0] < least[1] < least[2]
    assert "would keep both faces closed" in limits(travel=0.2).warnings[0]


def test_limits_of_a_friction_face(limits):
    found = limits(outer_face="friction", friction={"value": 0.5, "low": 0.4, "high": 0.6})
    assert at(found, "slip_torque") > 0
    assert at(found, "load_factor") < at(limits(), "load_factor")
    with pytest.raises(InputError, match="friction has no value though a face is held by friction"):
        limits(outer_face="friction")


def test_pre_stress_must_be_given(limits):
    with pytest.raises(InputError, match="travel has no value; give the pre-stress"):
        limits(travel=None)


def test_loads_without_force_are_refused(limits):
    with pytest.raises(InputError, match="loads hold no force and no angle"):
        limits(loads=[{"id": "L-09"}])


def test_each_level_of_a_programme_is_a_load(strength):
    block = {"radial": 5000.0, "torsion": 3.0}
    found = strength(loads=[{"id": "L-07", "kind": "programme", "blocks": [block, block | {"radial": 30000.0}]}])
    assert found.detail["case"].pin.load.name == "L-07 block 2"
    assert found.detail["case"].pin.load.torsion == pytest.approx(radians(3.0))


def test_strength_scales_with_the_load(strength):
    one, ten = strength(), strength(loads=[RADIAL | {"radial": 110e3}])
    assert at(ten, "pin_stress") == pytest.approx(10 * at(one, "pin_stress"), rel=1e-9)
    assert at(ten, "idle_mass") < at(one, "idle_mass")
    assert at(one, "idle_share") == 1.0


def test_stress_above_yield_is_outside(strength):
    found = strength(loads=[RADIAL | {"radial": 400e3}])
    assert "exceeds the yield strength 650" in found.outside[0]


def test_peaks_carry_hardness_bulk_modulus_tolerances_and_mesh(strength):
    deviations = {"lower": -0.05, "upper": 0.05}
    values = strength(inner_tolerance=deviations, neck_tolerance={"lower": -0.1, "upper": 0.0}).values
    causes = {line.cause: line for line in values["pin_stress"].contributions}
    tolerances = {"tolerance of the inner radius", "tolerance of the neck"}
    assert set(causes) == {"mesh", "bulk modulus", "shear modulus (hardness)"} | tolerances
    assert 0.005 * values["pin_stress"].value <= causes["mesh"].plus < 0.03 * values["pin_stress"].value
    # The same with the neck itself at its least size: a thinner neck bears more, a thicker one it cannot have.
    thin = strength(design=DESIGN | {"pin": PIN | {"neck_radius": 17.9}})
    assert causes["tolerance of the neck"].minus == 0.0
    assert causes["tolerance of the neck"].plus == pytest.approx(at(thin, "pin_stress") - values["pin_stress"].value, rel=0.25)
    assert values["carrier_stress"].low < values["carrier_stress"].value < values["carrier_stress"].high


def test_idle_steel_carries_a_band(strength):
    loaded = strength(loads=[RADIAL | {"radial": 60e3}], inner_tolerance={"lower": -0.05, "upper": 0.05})
    for name in ("idle_mass", "cavity_diameter", "contour_mass", "contour_diameter"):
        value = loaded.values[name]
        assert {"mesh", "tolerance of the inner radius"} & {line.cause for line in value.contributions}, name
        assert 0.8 * value.value < value.low <= value.value <= value.high < 1.2 * value.value, name


def test_a_utilisation_counts_the_band_of_its_strength(strength):
    found = strength(carrier_yield={"value": 260.0, "low": 200.0, "high": 300.0})
    value, stress = found.values["carrier_utilisation"], found.values["carrier_stress"]
    assert value.value == pytest.approx(stress.value / 260.0)
    line = next(one for one in value.contributions if one.cause == "yield strength")
    assert (value.value + line.plus, value.value + line.minus) == pytest.approx((stress.value / 200.0, stress.value / 300.0))


def test_the_free_contour_takes_more_than_the_cylinder_and_less_than_all_that_is_idle(strength):
    found = strength(loads=[RADIAL | {"radial": 60e3}])
    cylinder = 3.141592653589793 / 4 * at(found, "cavity_diameter") ** 2 * at(found, "cavity_length")
    assert cylinder < at(found, "contour_volume") < at(found, "idle_mass") / 7850e-9
    assert at(found, "contour_mass") == pytest.approx(at(found, "contour_volume") * 7850e-9)
    assert at(found, "contour_diameter") <= 2 * (29.0 - 3.0) + 1e-9


def test_sharp_corners_are_refused(strength):
    with pytest.raises(InputError, match="leaves a sharp corner"):
        strength(design=DESIGN | {"pin": PIN | {"neck_fillet": 0.0}})


def test_all_load_cases_are_read_unless_one_is_linked(documents):
    documents["calculations/C-901.toml"] = {"id": "C-901", "title": "x", "method": "section.strength", "design": "V2"}
    project = project_from_documents(Path("."), documents)
    method = method_of("section.strength")
    found = resolve(project, project.get("C-901"), method)
    assert [load.id for load in found.given.loads] == [load.id for load in project.loads]
    assert found.sources["loads"] == ", ".join(load.id for load in project.loads)
    one = Calculation(id="C-902", title="x", method=method.id, design="V2", inputs={"loads": {"record": "L-03"}})
    assert [load.id for load in resolve(project, one, method).given.loads] == ["L-03"]


def test_titles_and_origins_of_loads_outdate_nothing(documents):
    documents["calculations/C-901.toml"] = {"id": "C-901", "title": "x", "method": "section.strength", "design": "V2"}
    method = method_of("section.strength")
    project = project_from_documents(Path("."), documents)
    before = resolve(project, project.get("C-901"), method).plain
    documents["loads.toml"]["load"][0] |= {"title": "another", "origin": "elsewhere"}
    project = project_from_documents(Path("."), documents)
    assert resolve(project, project.get("C-901"), method).plain == before


def test_half_shells_close_by_their_mean(limits):
    """Closing along one axis is 2/π of it on average; the travel asked for is a closing again."""
    shells = DESIGN | {"carrier": {"kind": "half_shells", "outer_radius": 38.0, "half_width": 22.0, "parting_gap": 0.5}}
    one = limits(design=shells, travel=None, closing=0.1)
    needed = at(one, "needed_travel")
    closed = limits(design=shells, travel=None, closing=needed)
    assert min(at(closed, "pin_pressure"), at(closed, "carrier_pressure")) == pytest.approx(0.0, abs=1e-9)
