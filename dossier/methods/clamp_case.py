"""One bolted pin end as the method clamp.bolt computes it: all values for changed inputs."""

from __future__ import annotations

from math import sqrt
from typing import TYPE_CHECKING

from dossier.mechanics.clamp import (
    Bolt,
    Layer,
    Segment,
    assembly_preload,
    bearing_area,
    bolt_resilience,
    clamped_segments,
    thermal_gap,
    torque_lever,
    working_stress,
)

if TYPE_CHECKING:
    from dossier.methods.clamp import ClampInput

_BANDED = (
    "settling", "interface_friction", "pin_modulus", "bracket_modulus", "bolt_expansion", "pin_expansion",
    "bracket_expansion", "limit_pressure", "load_factor",
)  # fmt: skip


class ClampCase:
    """A bolted flat with everything at its value unless changes say otherwise (names of the banded inputs)."""

    def __init__(self, given: ClampInput) -> None:
        self.given = given
        self.bolt = Bolt(given.bolt_diameter, given.bolt_pitch, given.bolt_yield, given.bolt_modulus)
        ends = given.pin.ends
        self.hole = ends.hole_diameter
        self.thicknesses = (ends.flat_thickness, given.bracket_thickness)
        self.flat_width = 2 * sqrt(given.pin.neck_radius**2 - (ends.flat_thickness / 2) ** 2)
        self.grip = sum(self.thicknesses)
        self.area = bearing_area(given.head_bearing_diameter, self.hole + 2 * given.hole_chamfer, self.flat_width)
        head = given.head_friction or given.thread_friction
        self.friction_low = (given.thread_friction.ends[0], head.ends[0])
        self.friction_high = (given.thread_friction.ends[1], head.ends[1])
        self.preload = assembly_preload(self.bolt, self.friction_low[0], given.utilisation)
        self.preload_least = self.preload / given.tightening_factor
        self.torque = self.preload * self._lever(self.friction_low)
        self.bolt_resilience = bolt_resilience(
            self.bolt, self.grip, given.shank_length, socket_head=given.socket_head, tapped=given.tapped
        )
        self._nominal = {name: getattr(given, name).value for name in _BANDED}

    def _lever(self, friction: tuple[float, float]) -> float:
        return torque_lever(self.bolt, *friction, self.given.head_bearing_diameter, self.hole)

    @property
    def friction_scatter(self) -> float:
        """Ratio of the preloads that the torque gives at the lower and the upper end of the friction bands."""
        return self._lever(self.friction_high) / self._lever(self.friction_low)

    def segments(self, **changes: float) -> list[Segment]:
        """The pressure cone through pin flat and bracket."""
        value = self._nominal | changes
        moduli = (value["pin_modulus"], value["bracket_modulus"])
        layers = [Layer(*part) for part in zip(self.thicknesses, moduli, strict=True)]
        bearing = self.given.head_bearing_diameter
        return clamped_segments(layers, bearing, self.hole, self.flat_width, tapped=self.given.tapped)

    def values(self, **changes: float) -> dict[str, float]:
        """All results by name."""
        value, given = self._nominal | changes, self.given
        parts = sum(segment.resilience for segment in self.segments(**changes))
        both = self.bolt_resilience + parts
        expansions = (value["pin_expansion"], value["bracket_expansion"])
        per_kelvin = thermal_gap(self.thicknesses, expansions, value["bolt_expansion"]) / both
        hot, cold = (per_kelvin * (t - given.temperature_assembly) for t in (given.temperature_hot, given.temperature_cold))
        loss = value["settling"] / both
        carried = value["load_factor"] * parts / both
        axial = given.axial_force / given.bolts
        left = self.preload_least * (1 - given.relaxation) - loss
        residual = left + min(0.0, hot, cold) - (1 - carried) * axial
        greatest = self.preload + max(0.0, hot, cold) + carried * axial
        pressure = greatest / self.area
        share = residual * value["interface_friction"] * given.friction_faces
        stress = working_stress(self.bolt, greatest, self.preload, self.friction_low[0])
        return {
            "residual_share": left / self.preload_least,
            "pressure_share": pressure / value["limit_pressure"],
            "slip_safety": share * given.bolts / given.transverse_force,
            "bolt_safety": self.bolt.yield_strength / stress,
            "preload": self.preload,
            "preload_least": self.preload_least,
            "torque": self.torque,
            "settling_loss": loss,
            "thermal_hot": hot,
            "thermal_cold": cold,
            "residual_clamp": residual,
            "pressure": pressure,
            "bolt_stiffness": 1 / self.bolt_resilience,
            "parts_stiffness": 1 / parts,
        }
