"""Numbers with their bands as terminal, commands and document print them."""

from __future__ import annotations

import math

from dossier import units

UNEVEN = 0.05  # share of the greater half of a band by which the halves may differ and still stand as one ±


def digits_of(unit: str) -> int:
    """Sensible digits of a result: masses are weighed to the gram, the rest carries a band of percents."""
    return 4 if units.same_dimension(unit, "kg") else 3


def digits_beside(value: float, half: float, least: int = 3) -> int:
    """Significant digits of a value printed beside its ± with two digits: as fine as the ±, six at most."""
    if not value or half <= 0 or not math.isfinite(half):
        return least
    finest = math.floor(math.log10(half)) - 1
    return max(least, min(6, math.floor(math.log10(abs(value))) - finest + 1))


def even(value: float, low: float, high: float) -> bool:
    """Whether both halves of the band are alike, so that one ± tells them."""
    below, above = value - low, high - value
    return abs(above - below) <= UNEVEN * max(below, above)


def band_alone(value: float, low: float | None, high: float | None, least: int = 3) -> str:
    """The band without its value: "0.69" to be printed behind ±, "2.45 to 2.83" where its halves differ, or nothing."""
    if low is None or high is None or not high > low:
        return ""
    if even(value, low, high):
        return units.show((high - low) / 2, 2)
    digits = digits_beside(value, (high - low) / 2, least)
    return " to ".join(_as_fine(end, value, digits) for end in (low, high))


def with_band(value: float, low: float | None, high: float | None, unit: str, least: int = 3) -> str:
    """ "56.65 ± 0.69 kN/mm", or "2.83 kN (2.45 to 2.83)" where the halves of the band differ; alone without one."""
    tail = "" if unit in ("-", "1") else f" {unit}"
    number = value_beside(value, low, high, least)
    band = band_alone(value, low, high, least)
    if not band:
        return f"{number}{tail}"
    return f"{number}{tail} ({band})" if " to " in band else f"{number} ± {band}{tail}"


def value_beside(value: float, low: float | None, high: float | None, least: int = 3) -> str:
    """The value as fine as its band; one that is small against its band no finer than the band."""
    half = (high - low) / 2 if low is not None and high is not None else 0.0
    if 0 < abs(value) < half and math.isfinite(half):
        decimals = 1 - math.floor(math.log10(half))
        rounded = round(value, decimals)
        return units.show(rounded, max(1, math.floor(math.log10(abs(rounded))) + decimals + 1)) if rounded else "0"
    return units.show(value, digits_beside(value, half, least))


def _as_fine(number: float, value: float, digits: int) -> str:
    """A number with as many decimals as `value` has with so many digits."""
    if not number or not value:
        return units.show(number, digits)
    finest = math.floor(math.log10(abs(value))) - digits + 1
    return units.show(number, max(1, math.floor(math.log10(abs(number))) - finest + 1))
