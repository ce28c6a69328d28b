"""The press fit as a method: worst cases around the band, temperatures, design links, refusals."""

from pathlib import Path

import pytest

from dossier.methods.base import InputError, Value
from dossier.methods.links import resolve
from dossier.methods.registry import method_of
from dossier.store.project import project_from_documents

# Ring 68/76 in an eye 76/106 of steel, 45 mm long, 130 to 200 µm oversize, friction 0.08 to 0.16.
SANITY = {
    "carrier": {"kind": "rings", "outer_radius": 38.08, "half_width": 22.5, "gap": 0.0},
    "ring_inner_radius": 34.0, "ring_inside": "cylindrical",
    "eye_bore_radius": 38.0, "eye_outer_radius": 53.0, "eye_width": 45.0,
    "ring_tolerance": {"lower": 0.0, "upper": 0.02}, "eye_tolerance": {"lower": 0.0, "upper": 0.015},
    "flattening": 0.0, "friction": {"value": 0.12, "low": 0.08, "high": 0.16},
    "eye_modulus": 210e3, "eye_poisson": 0.3, "eye_expansion": 12e-6, "eye_yield": 355.0,
    "temperature_hot": 80.0, "temperature_cold": -35.0, "temperature_hottest": 95.0,
}  # fmt: skip
STEEL = {"ring_modulus": 210e3, "ring_poisson": 0.3, "ring_expansion": 12e-6, "ring_yield": 355.0}
ALUMINIUM = {"ring_modulus": 70e3, "ring_poisson": 0.33, "ring_expansion": 23e-6, "ring_yield": 260.0}


@pytest.fixture
def fit(run):
    return lambda **changes: run("fit.ring", SANITY | ALUMINIUM | changes)


def at(outcome, name):
    value = outcome.values[name]
    return value.value if isinstance(value, Value) else value


@pytest.mark.parametrize(("metal", "least", "greatest"), [(STEEL, 25e3, 77e3), (ALUMINIUM, 10e3, 32e3)])
def test_range_of_the_press_in_force(fit, metal, least, greatest):
    """Figures of our own hand calculation, from pressures cut to whole MPa and forces to whole kN: 5 %."""
    outcome = fit(**metal)
    assert at(outcome, "press_in_least") == pytest.approx(least, rel=0.05)
    assert at(outcome, "press_in_greatest") == pytest.approx(greatest, rel=0.05)


def test_worst_cases_enclose_the_band(run, values_of):
    for seed in range(8):
        outcome = run("fit.ring", values_of("fit.ring", seed))
        for name in ("push_out_new", "push_out_hot", "push_out_cold", "press_in"):
            band = outcome.values[name]
            assert at(outcome, f"{name}_least") <= band.low + 1e-9 <= band.value
        assert at(outcome, "press_in_greatest") >= outcome.values["press_in"].high - 1e-9


def test_aluminium_in_steel_is_tight_hot_and_loose_cold(fit):
    outcome = fit()
    assert at(outcome, "push_out_hot") > at(outcome, "push_out_new") > at(outcome, "push_out_cold") > 0
    hand = (23e-6 - 12e-6) * 38.0 * 115.0 * 2
    share = at(outcome, "push_out_cold") / at(outcome, "push_out_hot")
    new = at(outcome, "interference")
    assert share == pytest.approx((new - hand * 55 / 115) / (new + hand * 60 / 115), rel=1e-9)


def test_one_metal_keeps_its_force(fit):
    outcome = fit(**(STEEL | {"ring_yield": 900.0}))
    assert at(outcome, "push_out_cold") == pytest.approx(at(outcome, "push_out_hot"), rel=1e-12)


def test_a_hotter_state_takes_from_the_cold_push_out(fit):
    """Soft rings: the hotter the state before, the less is left cold; said in words."""
    soft = {"ring_yield": 190.0}
    mild, hot = fit(**soft, temperature_hottest=80.0), fit(**soft, temperature_hottest=140.0)
    assert at(hot, "push_out_cold") < at(mild, "push_out_cold") < at(fit(), "push_out_cold")
    assert at(hot, "lost") > at(mild, "lost") > 0
    assert "the rings yield" in hot.warnings[0] and not fit().warnings


def test_spherical_inside_holds_more_than_its_thinnest_wall(fit):
    carrier = {"kind": "rings", "outer_radius": 38.08, "half_width": 22.0, "gap": 2.4}
    plain, sphere = (fit(carrier=carrier, ring_inside=kind) for kind in ("cylindrical", "spherical"))
    assert at(sphere, "pressure_new") > 1.3 * at(plain, "pressure_new")
    causes = {line.cause for line in sphere.values["pressure_new"].contributions}
    assert "slices and shared eye instead of a continuum" in causes


def test_no_loss_while_the_most_stressed_place_is_below_yield(run, values_of):
    """The stated safety sees the place that yields first: with a safety above 1 nothing is lost."""
    yielded = 0
    for seed in range(30):
        outcome = run("fit.ring", values_of("fit.ring", seed))
        if at(outcome, "ring_safety") > 1:
            assert at(outcome, "lost") == 0
        yielded += at(outcome, "lost") > 0
    assert 0 < yielded < 30


def test_rubber_pressure_adds(fit):
    assert at(fit(prestress_pressure=4.0), "push_out_new") > at(fit(), "push_out_new")


def test_a_given_flattening_goes_before_the_roughness(fit):
    rough = fit(flattening=0.02, ring_roughness=0.0063, eye_roughness=0.0063)
    assert at(fit(), "interference") - at(rough, "interference") == pytest.approx(0.02)


def test_roughness_stands_in_for_a_flattening_not_given(run):
    """0.8·(6.3 + 6.3) µm = 10.08 µm."""
    values = {name: value for name, value in (SANITY | ALUMINIUM).items() if name != "flattening"}
    with pytest.raises(InputError, match="flattening is missing; give it, or the roughness depths"):
        run("fit.ring", values)
    outcome = run("fit.ring", values | {"ring_roughness": 0.0063, "eye_roughness": 0.0063})
    assert at(outcome, "interference") == pytest.approx(0.165 - 0.01008)


def test_a_weak_eye_is_outside_validity(fit):
    outcome = fit(**STEEL, eye_outer_radius=41.0, eye_yield=235.0)
    assert at(outcome, "eye_safety") < 1
    assert "the eye yields at the greatest oversize" in outcome.outside[0]


def test_an_open_fit_is_said(fit):
    outcome = fit(temperature_cold=-200.0)
    assert at(outcome, "push_out_cold_least") == 0
    assert any("the fit opens cold" in warning for warning in outcome.warnings)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"carrier": {"kind": "half_shells", "outer_radius": 38.08, "half_width": 22.0, "parting_gap": 1.0}},
         "carrier.kind = half_shells must be rings: an open half shell carries no hoop stress"),
        ({"eye_bore_radius": 38.2}, "carrier.outer_radius = 38.080 mm must exceed eye_bore_radius = 38.200 mm"),
        ({"flattening": 0.4}, "mean interference 165 µm must exceed the flattening 400 µm"),
        ({"eye_outer_radius": 37.0}, "eye_outer_radius = 37.000 mm must exceed eye_bore_radius = 38.000 mm"),
        ({"ring_inner_radius": 38.0}, "eye_bore_radius = 38.000 mm must exceed ring_inner_radius = 38.000 mm"),
        ({"friction": {"value": 0.12, "low": 0.14, "high": 0.16}}, "friction.value = 0.12 must lie between low = 0.14"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused(fit, changes, told):
    with pytest.raises(ValueError, match=told.replace(".", r"\.")):
        fit(**changes)


def resolved(documents):
    project = project_from_documents(Path("."), documents)
    return resolve(project, project.get("C-009"), method_of("fit.ring"))


def test_every_input_of_the_demo_comes_through_links(documents):
    found = resolved(documents)
    assert found.problems == []
    assert found.sources["ring_yield"].startswith("M-03.") and found.sources["friction"] == "A-005"
    assert found.given.ring_tolerance.upper == documents["designs/V2.toml"]["tolerances"]["carrier.outer_radius"]["upper"]


def test_half_shells_of_a_design_reach_the_sentence_not_a_broken_link(documents):
    carrier = documents["designs/V2.toml"]["carrier"]
    rings = {name: carrier[name] for name in ("material", "outer_radius", "half_width")}
    documents["designs/V2.toml"]["carrier"] = {"kind": "half_shells", **rings}
    found = resolved(documents)
    assert found.problems == []
    with pytest.raises(InputError, match="an open half shell carries no hoop stress"):
        method_of("fit.ring").run(found.given)
