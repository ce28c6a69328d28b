"""The bolted pin end as a method: monotone effects, warnings, limits of validity, refusals."""

import pytest

from dossier.methods.base import InputError

CHANGED = {
    "settling": {"value": 0.02},
    "relaxation": 0.1,
    "tightening_factor": 2.5,
}


@pytest.fixture
def values(values_of):
    found = values_of("clamp.bolt")
    found["pin"]["bores"] = []
    found["pin"]["neck_radius"] = 20.0
    found["pin"]["ends"]["flat_thickness"] = 26.0
    return found | {"axial_force": 0.0}


@pytest.fixture
def clamp(run, values):
    return lambda **changes: run("clamp.bolt", values | changes)


def at(outcome, name):
    return outcome.values[name].value


@pytest.mark.parametrize("name", CHANGED)
def test_what_takes_preload_lowers_what_is_left(clamp, name):
    before, after = clamp(), clamp(**{name: CHANGED[name]})
    assert at(after, "residual_share") < at(before, "residual_share")
    assert at(after, "slip_safety") < at(before, "slip_safety")


def test_slip_safety_by_hand(clamp, values):
    """Residual clamp force times friction times faces and bolts over the force across."""
    outcome = clamp(friction_faces=2)
    hand = at(outcome, "residual_clamp") * values["interface_friction"]["value"] * 2 * 2 / values["transverse_force"]
    assert at(outcome, "slip_safety") == pytest.approx(hand, rel=1e-12)


def test_settling_loss_by_hand(clamp, values):
    """Embedding over both resiliences."""
    outcome = clamp()
    both = 1 / at(outcome, "bolt_stiffness") + 1 / at(outcome, "parts_stiffness")
    assert at(outcome, "settling_loss") == pytest.approx(values["settling"]["value"] / both, rel=1e-12)


def test_parts_of_aluminium_tighten_hot_and_loosen_cold(clamp):
    outcome = clamp(pin_expansion={"value": 23e-6}, bracket_expansion={"value": 23e-6})
    assert at(outcome, "thermal_hot") > 0 > at(outcome, "thermal_cold")
    assert at(outcome, "pressure") > at(clamp(), "pressure")
    assert at(outcome, "residual_clamp") < at(clamp(), "residual_clamp")


def test_axial_force_is_shared_by_the_resiliences(clamp):
    """n = 1: the bolt takes δ_P/(δ_S + δ_P), the joint gives up the rest; n = 0: the joint gives up all."""
    plain = clamp()
    parts, bolt = 1 / at(plain, "parts_stiffness"), 1 / at(plain, "bolt_stiffness")
    for factor, given_up in ((0.0, 1.0), (1.0, bolt / (bolt + parts))):
        loaded = clamp(axial_force=10e3, load_factor={"value": factor})
        lost = at(plain, "residual_clamp") - at(loaded, "residual_clamp")
        assert lost == pytest.approx(5e3 * given_up, rel=1e-9)


def test_friction_at_its_lowest_gives_the_greatest_preload(clamp):
    low = clamp(thread_friction={"value": 0.12, "low": 0.08, "high": 0.14})
    assert at(low, "preload") > at(clamp(), "preload")


def test_a_bore_in_the_clamp_zone_is_warned_of(clamp, values):
    assert not any("clamp zone" in warning for warning in clamp().warnings)
    pin = values["pin"] | {"bores": [{"diameter": 18.0, "start": -70.0, "end": 70.0}]}
    assert any("crushing of the hollow flat is not covered" in warning for warning in clamp(pin=pin).warnings)
    short = values["pin"] | {"bores": [{"diameter": 18.0, "start": -20.0, "end": 20.0}]}
    assert not any("clamp zone" in warning for warning in clamp(pin=short).warnings)


def test_a_tightening_factor_below_the_friction_scatter_is_warned_of(clamp):
    outcome = clamp(tightening_factor=1.05)
    assert any("tightening_factor = 1.05 is below" in warning for warning in outcome.warnings)


def test_an_overhanging_head_carries_less(clamp, values):
    ends = values["pin"]["ends"] | {"flat_thickness": 35.0}
    narrow = clamp(pin=values["pin"] | {"ends": ends})
    assert any("overhangs the flat" in warning for warning in narrow.warnings)
    assert at(narrow, "pressure_share") > at(clamp(), "pressure_share")


def test_a_flat_that_lifts_off_is_outside_validity(clamp):
    outcome = clamp(axial_force=400e3, load_factor={"value": 0.0})
    assert any("the flat lifts off its bracket" in note for note in outcome.outside)


def test_a_bolt_that_yields_in_service_is_outside_validity(clamp):
    outcome = clamp(axial_force=300e3, load_factor={"value": 1.0}, utilisation=1.0)
    assert any("the bolt yields in service" in note for note in outcome.outside)


@pytest.mark.parametrize(
    ("ends", "changes", "told"),
    [
        ({"flat_thickness": 0.0}, {}, "pin.ends.flat_thickness = 0 mm must exceed 0 mm"),
        ({"flat_thickness": 40.0}, {}, "pin.ends.flat_thickness = 40 mm must be below the neck's diameter 40 mm"),
        ({"hole_diameter": 12.0}, {}, "pin.ends.hole_diameter = 12 mm must exceed bolt_diameter"),
        ({}, {"temperature_hot": -50.0}, "temperature_hot = -50 °C must be at least temperature_cold = -35 °C"),
        ({}, {"shank_length": 500.0}, "shank_length = 500 mm must lie between 0 and the grip"),
    ],
)
def test_what_does_not_fit_is_refused(clamp, values, ends, changes, told):
    pin = values["pin"] | {"ends": values["pin"]["ends"] | ends}
    with pytest.raises((InputError, ValueError), match=told.replace(".", r"\.")):
        clamp(pin=pin, **changes)
