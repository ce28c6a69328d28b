"""Materials as this project uses them: values with band and source."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from dossier.records.base import EMPTY, Banded, Record

# Field name → unit and meaning. Every value is a Banded with its own source.
VALUES: dict[str, tuple[str, str]] = {
    "density": ("kg/m³", "density"),
    "youngs_modulus": ("MPa", "Young's modulus"),
    "poisson_ratio": ("-", "Poisson's ratio"),
    "yield_strength": ("MPa", "yield strength or 0.2 % proof strength"),
    "tensile_strength": ("MPa", "tensile strength"),
    "expansion": ("1/K", "coefficient of thermal expansion"),
    "conductivity": ("W/(m·K)", "thermal conductivity"),
    "hardness": ("IRHD", "hardness"),
    "shear_modulus": ("MPa", "shear modulus at small strain"),
    "bulk_modulus": ("MPa", "bulk modulus"),
    "friction": ("-", "friction coefficient against its partner"),
    "limit_pressure": ("MPa", "limiting surface pressure under a bolt head"),
}
_MAY_BE_NEGATIVE = {"expansion"}


class Material(Record):
    """A steel, aluminium, polymer or rubber with the values the calculations read."""

    title: str = Field(min_length=1)
    kind: Literal["steel", "aluminium", "polymer", "rubber"]
    designation: str = EMPTY
    condition: str = EMPTY
    source: str = EMPTY
    density: Banded | None = None
    youngs_modulus: Banded | None = None
    poisson_ratio: Banded | None = None
    yield_strength: Banded | None = None
    tensile_strength: Banded | None = None
    expansion: Banded | None = None
    conductivity: Banded | None = None
    hardness: Banded | None = None
    shear_modulus: Banded | None = None
    bulk_modulus: Banded | None = None
    friction: Banded | None = None
    limit_pressure: Banded | None = None

    @model_validator(mode="after")
    def _physical(self) -> Material:
        for name, (unit, _) in VALUES.items():
            banded: Banded | None = getattr(self, name)
            if banded is None:
                continue
            low, high = banded.ends
            if not low <= banded.value <= high:
                raise ValueError(
                    f"{name}.value = {banded.value} {unit} must lie between low = {low} and high = {high}; "
                    "correct one of them"
                )
            if low <= 0 and name not in _MAY_BE_NEGATIVE:
                raise ValueError(f"{name} = {low} {unit} must exceed 0; correct the value")
        if self.poisson_ratio and self.poisson_ratio.ends[1] >= 0.5:
            raise ValueError(
                f"poisson_ratio = {self.poisson_ratio.ends[1]} must be below 0.5; "
                "give shear_modulus and bulk_modulus for a nearly incompressible material"
            )
        return self
