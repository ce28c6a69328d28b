"""Compliance of the metal in series with the layer: pin, rings or shells, clamp and bracket, all taken as linear."""

from __future__ import annotations

from dataclasses import astuple, dataclass

import numpy as np

from dossier.mechanics.layer import LayerStiffness
from dossier.mechanics.numbers import checked_number


@dataclass(frozen=True)
class MetalCompliance:
    """axial, radial in mm/N; torsional, conical in rad/(N·mm); coupling in rad/N (tilt per radial force, equal to radial
    travel per moment). 0 is rigid. Compliances in series add up. Raises ValueError unless no load gains work from it."""

    axial: float = 0.0
    radial: float = 0.0
    torsional: float = 0.0
    conical: float = 0.0
    coupling: float = 0.0

    def __post_init__(self):
        for name, unit in (("axial", "mm/N"), ("radial", "mm/N"), ("torsional", "rad/(N·mm)"), ("conical", "rad/(N·mm)")):
            value = checked_number(f"metal.{name}", getattr(self, name), unit)
            if value < 0.0:
                raise ValueError(
                    f"metal.{name} = {value:g} {unit} must be at least 0 {unit}; 0 is rigid metal"
                )
        checked_number("metal.coupling", self.coupling, "rad/N")
        if self.coupling**2 > (1.0 + 1e-9) * self.radial * self.conical:
            raise ValueError(
                f"metal.coupling = {self.coupling!r} rad/N must have a square of at most metal.radial · "
                f"metal.conical = {self.radial * self.conical:g} rad²/N²; leave it out for a symmetric pin"
            )

    @classmethod
    def of(cls, stiffness: LayerStiffness) -> MetalCompliance:
        """Compliance of a stiffness."""
        lateral = np.linalg.inv([[stiffness.radial, stiffness.coupling], [stiffness.coupling, stiffness.conical]])
        return cls(1.0 / stiffness.axial, float(lateral[0, 0]), 1.0 / stiffness.torsional, float(lateral[1, 1]),
                   float(lateral[0, 1]))  # fmt: skip

    def __add__(self, other: MetalCompliance) -> MetalCompliance:
        return MetalCompliance(*(mine + its for mine, its in zip(astuple(self), astuple(other), strict=True)))

    @property
    def matrix(self) -> np.ndarray:
        """Compliance (4, 4) in the order of `placement.MOTIONS`."""
        return np.array([
            [self.axial, 0.0, 0.0, 0.0],
            [0.0, self.radial, self.coupling, 0.0],
            [0.0, self.coupling, self.conical, 0.0],
            [0.0, 0.0, 0.0, self.torsional],
        ])  # fmt: skip
