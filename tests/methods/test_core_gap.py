"""Gap of a filler after cure: by hand, both sides of the face, bands, refusals."""

import pytest

from dossier.mechanics.filler_gap import filler_gap
from dossier.methods.base import InputError

STEEL_AND_RESIN = {
    "cure_shrinkage": 0.002, "filler_expansion": 60e-6, "steel_expansion": 12e-6, "cure_temperature": 123.0, "temperature": 23.0,
    "youngs_modulus": 3000.0, "radius": 9.0,
}  # fmt: skip


def test_a_filling_leaves_its_bore():
    """0.002 + 48e-6·100 = 0.0068, times 9 mm = 61.2 µm."""
    found = filler_gap(filler_outside=False, **STEEL_AND_RESIN)
    assert found.gap == pytest.approx(0.0612)
    assert (found.strain, found.stress) == (0.0, 0.0)


def test_a_ball_contour_grips_its_pin():
    found = filler_gap(filler_outside=True, **STEEL_AND_RESIN)
    assert found.gap == 0.0
    assert found.stress == pytest.approx(0.0068 * 3000.0)


def test_hotter_than_its_cure_it_changes_sides():
    hot = STEEL_AND_RESIN | {"cure_shrinkage": 0.0, "temperature": 150.0}
    assert filler_gap(filler_outside=False, **hot).gap == 0.0
    assert filler_gap(filler_outside=True, **hot).gap == pytest.approx(48e-6 * 27.0 * 9.0)


@pytest.mark.parametrize(
    ("changes", "message"),
    [({"radius": 0.0}, r"radius = 0\.0 mm must exceed 0 mm"),
     ({"cure_shrinkage": 0.5}, r"cure_shrinkage = 0\.5 must lie from 0")],
)
def test_values_out_of_range_are_told(changes, message):
    with pytest.raises(ValueError, match=message):
        filler_gap(filler_outside=False, **(STEEL_AND_RESIN | changes))


def test_band_and_warning(run, values_of):
    for seed in range(6):
        outcome = run("core.gap", values_of("core.gap", seed))
        gap = outcome.values["gap"]
        assert gap.low <= gap.value <= gap.high
        assert bool(outcome.warnings) == (gap.high > 0)


def test_a_design_without_filler_is_refused(run, values_of):
    given = values_of("core.gap", 1) | {"core": {"kind": "none"}}
    with pytest.raises(InputError, match=r"core\.kind = 'none' has no filler"):
        run("core.gap", given)
