"""Greenhouse effect of a lighter part: manufacture, and use as fuel or as payload.

Masses in kg, distances in km, fuel in l, effects in kg CO2e. A saving is positive.
"""

from __future__ import annotations

GRAVITY = 9.80665
_MJ = 1e6


def manufacture_saving(reference_mass: float, variant_mass: float, factor: float) -> float:
    """kg CO2e saved by using less of a material with `factor` kg CO2e per kg; negative when more is used."""
    return (reference_mass - variant_mass) * factor


def fuel_saving(saved_mass: float, distance: float, fuel_rate: float, emission: float) -> float:
    """kg CO2e saved by carrying less: `fuel_rate` in l per 100 km and t, `emission` in kg CO2e per l."""
    return fuel_saved(saved_mass, distance, fuel_rate) * emission


def fuel_saved(saved_mass: float, distance: float, fuel_rate: float) -> float:
    """Litres saved over a distance."""
    return saved_mass / 1000 * distance / 100 * fuel_rate


def payload_saving(saved_mass: float, distance: float, limited_share: float, emission: float) -> float:
    """kg CO2e saved by fewer trips: the mass becomes payload on the share of the distance that weight limits.

    `emission` in kg CO2e per t·km of payload. Then the fuel per km does not fall: never add `fuel_saving`.
    """
    return saved_mass / 1000 * distance * limited_share * emission


def rolling_fuel_rate(rolling_resistance: float, drive_efficiency: float, fuel_energy: float) -> float:
    """l per 100 km and t that rolling resistance alone takes; `fuel_energy` in MJ per l.

    1 t needs 1000·g·f_r newtons, times 100 km in MJ, over the drive's efficiency and the energy of a litre.
    """
    if not 0 < drive_efficiency <= 1:
        raise ValueError(f"drive_efficiency = {drive_efficiency:g} must lie above 0 and at most at 1; correct it")
    force = 1000 * GRAVITY * rolling_resistance
    return force * 100_000 / _MJ / drive_efficiency / fuel_energy


def fuel_rate_of_share(consumption: float, total_mass: float, share: float) -> float:
    """l per 100 km and t from "a share of mass saves `share` times that share of fuel".

    `consumption` in l per 100 km of a vehicle of `total_mass` in t.
    """
    return share * consumption / total_mass


def emission_per_kg(lower_heating_value: float, emission: float) -> float:
    """kg CO2e per kg of fuel from MJ/kg and g CO2e/MJ."""
    return lower_heating_value * emission / 1000


def emission_per_litre(lower_heating_value: float, emission: float, density: float) -> float:
    """kg CO2e per l of fuel from MJ/kg, g CO2e/MJ and kg/l."""
    return emission_per_kg(lower_heating_value, emission) * density


def balance_distance(burden: float, saving_per_km: float) -> float | None:
    """km after which the use has made up for a burden of manufacture; 0 without burden, None if it never does."""
    if burden <= 0:
        return 0.0
    return burden / saving_per_km if saving_per_km > 0 else None
