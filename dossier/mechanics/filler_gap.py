"""What cure and cooling make of the joint face between a filler and steel: a gap, or a grip with tension in the filler."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite


@dataclass(frozen=True)
class FillerGap:
    """`shrinkage` of the filler against steel (-); `gap` mm in radius, 0 where it grips; `strain` (-) and `stress` MPa
    around the filler where it grips, an upper bound as steel is taken as rigid and creep left out, 0 where it gaps."""

    shrinkage: float
    gap: float
    strain: float
    stress: float


def filler_gap(
    *, radius: float, filler_outside: bool, cure_shrinkage: float, filler_expansion: float, steel_expansion: float,
    cure_temperature: float, temperature: float, youngs_modulus: float,
) -> FillerGap:
    """Free shrinkage of a filler that sets at `cure_temperature` (°C) and is used at `temperature`, at a steel face.

    `cure_shrinkage` is linear (-), expansions in 1/K, modulus in MPa. A filling inside a bore shrinks away from its wall; a
    ball contour outside a straight pin shrinks onto it. Raises ValueError naming field, limit, value and remedy.
    """  # fmt: skip
    _check(radius=radius, youngs_modulus=youngs_modulus)
    if not 0 <= cure_shrinkage < 0.1:
        raise ValueError(f"cure_shrinkage = {cure_shrinkage:g} must lie from 0 to below 0.1 (linear); check the unit")
    shrinkage = cure_shrinkage + (filler_expansion - steel_expansion) * (cure_temperature - temperature)
    loosens = shrinkage > 0 and not filler_outside or shrinkage < 0 and filler_outside
    amount = abs(shrinkage)
    if loosens:
        return FillerGap(shrinkage, amount * radius, 0.0, 0.0)
    return FillerGap(shrinkage, 0.0, amount, amount * youngs_modulus)


def _check(**values: float) -> None:
    for name, value in values.items():
        unit = "mm" if name == "radius" else "MPa"
        if not (isfinite(value) and value > 0):
            raise ValueError(f"{name} = {value} {unit} must exceed 0 {unit}; enter a positive value")
