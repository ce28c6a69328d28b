"""Economics and environment against tables and worked examples (ids of the check values in brackets)."""

import pytest

from dossier.economics.breakeven import capital_recovery, internal_rate, present_value
from dossier.economics.footprint import emission_per_kg, emission_per_litre, fuel_rate_of_share, rolling_fuel_rate
from dossier.economics.learning import average_time, unit_time, unit_total


@pytest.mark.parametrize(("rate", "years", "factor"), [(0.08, 5, 0.25046), (0.10, 10, 0.16275)])
def test_e1_capital_recovery(rate, years, factor):
    """[E1] Capital recovery A/P, any table of engineering economy (from memory); printed digits."""
    assert capital_recovery(rate, years) == pytest.approx(factor, abs=5e-6)


def test_e2_present_value_and_internal_rate():
    """[E2] numpy-financial, docstrings of irr and npv: −100, 39, 59, 55, 20 gives 0.28095; at 28.1 % −0.0085."""
    flows = [-100, 39, 59, 55, 20]
    assert internal_rate(flows) == pytest.approx(0.28095, abs=5e-6)
    assert present_value(0.281, flows) == pytest.approx(-0.0085, abs=5e-5)


def test_e10_spreadsheet_example():
    """[E10] A known spreadsheet textbook example (from memory, computed): IRR 14.3 %, present value at 10 % 382.08."""
    flows = [-4000, 1200, 1410, 1875, 1050]
    assert internal_rate(flows) == pytest.approx(0.142993, abs=1e-6)
    assert present_value(0.10, flows) == pytest.approx(382.08, abs=0.01)


@pytest.mark.parametrize(("count", "average"), [(2, 80.0), (4, 64.0), (8, 51.2), (16, 40.96)])
def test_e3_cumulative_average(count, average):
    """[E3] Wright's learning curve, 80 %, first unit 100 h: a published textbook page, exact."""
    assert average_time(100.0, count, 0.8, "cumulative_average") == pytest.approx(average, rel=1e-12)


@pytest.mark.parametrize(("number", "unit", "total"), [(10, 0.477, 6.315), (20, 0.381, 10.485)])
def test_e4_unit_time(number, unit, total):
    """[E4] Crawford's learning curve, 80 %: operations-management tables (Stevenson, Heizer; from memory), printed digits."""
    assert unit_time(1.0, number, 0.8) == pytest.approx(unit, abs=5e-4)
    assert unit_total(1.0, number, 0.8) == pytest.approx(total, abs=5e-4)


def test_e5_diesel():
    """[E5] EN 16258:2012 table A.1 (from memory): 43.1 MJ/kg, 74.5 g/MJ, 0.832 kg/l give 3.21 kg/kg and 2.67 kg/l."""
    assert emission_per_kg(43.1, 74.5) == pytest.approx(3.21, abs=0.005)
    assert emission_per_litre(43.1, 74.5, 0.832) == pytest.approx(2.67, abs=0.005)
    assert emission_per_kg(43.1, 90.4) == pytest.approx(3.90, abs=0.005)
    assert emission_per_litre(43.1, 90.4, 0.832) == pytest.approx(3.24, abs=0.005)


def test_e7_fuel_from_mass():
    """[E7] US EPA Green Transport Partnership sheet: 10 % less mass, 5 % less fuel; a 40 t truck at 30 l/100 km saves
    0.375 l per 100 km and t. Rolling resistance alone (0.006, drive 0.38, 35.8 MJ/l) must come within a factor of 2."""
    published = fuel_rate_of_share(30.0, 40.0, 0.5)
    assert published == pytest.approx(0.375, rel=1e-12)
    assert 0.5 < rolling_fuel_rate(0.006, 0.38, 35.8) / published < 2
