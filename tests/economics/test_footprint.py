"""Fuel, payload and manufacture in kg CO2e: the chain of units by hand, signs, balance."""

import pytest

from dossier.economics.footprint import (
    balance_distance,
    fuel_saved,
    fuel_saving,
    manufacture_saving,
    payload_saving,
    rolling_fuel_rate,
)


def test_half_a_kilogram_over_the_life_of_a_trailer():
    """0.52 kg over 60 000 km at 0.35 and 1.0 l/(100 km·t), 3.2 kg/l: 0.35 to 1.0 kg, as worked out in our own notes."""
    assert fuel_saved(1000.0, 100.0, 0.43) == pytest.approx(0.43)
    assert fuel_saving(0.52, 60_000, 0.35, 3.2) == pytest.approx(0.35, abs=0.005)
    assert fuel_saving(0.52, 60_000, 1.0, 3.2) == pytest.approx(1.0, abs=0.005)


def test_rolling_resistance_by_hand():
    """1 t at 0.006: 58.8 N, 5.88 MJ per 100 km at the wheel, 15.5 MJ of fuel, 0.43 l of diesel."""
    assert rolling_fuel_rate(0.006, 0.38, 35.8) == pytest.approx(0.4325, abs=5e-4)
    assert rolling_fuel_rate(0.06, 0.38, 35.8) == pytest.approx(10 * rolling_fuel_rate(0.006, 0.38, 35.8))


def test_payload_needs_a_limited_share():
    assert payload_saving(500.0, 1000.0, 1.0, 0.06) == pytest.approx(30.0)
    assert payload_saving(500.0, 1000.0, 0.0, 0.06) == 0.0


def test_aluminium_for_steel_can_cancel_the_saving():
    """300 g of steel at 2.2 kg/kg against 100 g of primary aluminium at 6 to 16 kg/kg."""
    steel = manufacture_saving(0.3, 0.0, 2.2)
    assert steel + manufacture_saving(0.0, 0.1, 6.0) > 0 > steel + manufacture_saving(0.0, 0.1, 16.0)


def test_distance_that_makes_up_for_manufacture():
    assert balance_distance(0.5, 1e-5) == pytest.approx(50_000)
    assert balance_distance(-0.5, 1e-5) == 0.0
    assert balance_distance(0.5, 0.0) is None


@pytest.mark.parametrize("efficiency", [0.0, 1.1])
def test_an_impossible_drive_is_refused(efficiency):
    with pytest.raises(ValueError, match="drive_efficiency = .* must lie above 0 and at most at 1"):
        rolling_fuel_rate(0.006, efficiency, 35.8)
