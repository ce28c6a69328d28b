"""What a reading scheme says of records of one kind: static, harmonic, endurance, load history, press-in and push-out."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from dossier.records.base import EMPTY, Part, q

# Of a static curve: kind of stiffness, and where travel and load are counted from.
Stiffness = Literal["secant", "least squares", "tangent"]
Zero = Literal["start", "loop", "none"]


class DynamicReading(Part):
    """How a harmonic record is evaluated; frequency and amplitude of the step that decides."""

    frequency: float = q("Hz", "frequency of the step that decides", above=0)
    amplitude: float | None = q("mm", "travel amplitude (half the range) of the step that decides", None, above=0)
    angle_amplitude: float | None = q("°", "instead of it, of torque over angle: its angle amplitude", None, above=0)
    moving_mass: float = q("kg", "mass between specimen and load cell that moves with the travel", 0.0, at_least=0)
    moving_inertia: float | None = q("kg·mm²", "of torque over angle: inertia between specimen and cell that turns along",
                                     None, at_least=0)  # fmt: skip
    channel_delay: float = q("s", "time by which the load is recorded later than the travel", 0.0)
    settling: float = q("cycles", "cycles left out at the start of a step", 1.0, at_least=0)
    source: str = Field(EMPTY, description="where mass and delay come from, such as a blank test")

    @property
    def rotational(self) -> bool:
        """Whether torque over angle is read."""
        return self.angle_amplitude is not None

    @model_validator(mode="after")
    def _one_way(self) -> DynamicReading:
        if (self.amplitude is None) == (self.angle_amplitude is None):
            told = f"amplitude = {self.amplitude}, angle_amplitude = {self.angle_amplitude}"
            raise ValueError(f"{told}: give one of the two, amplitude of a travel or angle_amplitude of a turn")
        if self.rotational and self.moving_mass:
            raise ValueError(f"moving_mass = {self.moving_mass}: a turn has an inertia; state moving_inertia instead")
        if not self.rotational and self.moving_inertia is not None:
            raise ValueError(f"moving_inertia = {self.moving_inertia}: a travel has a mass; state moving_mass instead")
        return self


class DurabilityReading(Part):
    """How a table of cycles against stiffness is evaluated."""

    loss: float = q("-", "lost share of the stiffness that ends the life", above=0, shown="%")
    reference_cycles: float | None = q("cycles", "cycles of the reference stiffness; the first settled rows if empty",
                                       None, at_least=0)  # fmt: skip
    planned_cycles: float | None = q("cycles", "cycles the test is planned for", None, above=0)
    temperature_factor: float | None = Field(None, description="relative change of stiffness per K, negative for rubber")
    reference_temperature: float = q("°C", "temperature the stiffness is brought to", 23.0, above=-273.15)
    source: str = Field(EMPTY, description="where the temperature factor comes from")

    @model_validator(mode="after")
    def _a_share(self) -> DurabilityReading:
        if self.loss >= 1:
            raise ValueError(f"loss = {self.loss} must be below 1, such as 0.2 for 20 %; correct it")
        return self


class LoadHistoryReading(Part):
    """How a measured load history is counted and held against the design programme of a load case."""

    channel: Literal["force", "torque", "displacement", "angle"] = "force"
    sn_range: float = Field(gt=0, description="range on the S-N line, in the stored unit of the channel (N, N·mm, mm, °)")
    sn_cycles: float = q("cycles", "cycles to failure at that range", above=0)
    exponents: list[float] = Field(min_length=1, description="slopes k of the S-N lines; the first one decides")
    hysteresis: float = Field(0.0, ge=0, description="reversals smaller than this do not count, unit of the range")
    repeats: float = Field(1.0, gt=0, description="how many times the measured history fills what the programme stands for")
    programme: str = Field(EMPTY, description="load case whose blocks it is held against")
    source: str = Field(EMPTY, description="where line and exponents come from")


class PressWindow(Part):
    """One monitoring window of a press curve: between both travels the force stays within its limits."""

    travel_low: float = q("mm", "travel at which the window begins")
    travel_high: float = q("mm", "travel at which it ends")
    force_low: float | None = q("N", "least force in the window", None)
    force_high: float | None = q("N", "largest force in the window", None)

    @model_validator(mode="after")
    def _ordered(self) -> PressWindow:
        if self.travel_high <= self.travel_low:
            raise ValueError(f"travel_high = {self.travel_high} must exceed travel_low = {self.travel_low}; swap the two")
        if self.force_low is None and self.force_high is None:
            raise ValueError("force_low and force_high are both empty; a window needs at least one of them")
        if self.force_low is not None and self.force_high is not None and self.force_high <= self.force_low:
            raise ValueError(f"force_high = {self.force_high} must exceed force_low = {self.force_low}; swap the two")
        return self

    @property
    def words(self) -> str:
        """ "85 .. 89 mm, at least 20 kN and at most 31 kN"."""
        ends = (("at least", self.force_low), ("at most", self.force_high))
        limits = [f"{word} {force / 1000:.4g} kN" for word, force in ends if force is not None]
        return f"{self.travel_low:g} .. {self.travel_high:g} mm, {' and '.join(limits)}"


class PressReading(Part):
    """How press-in and push-out curves are evaluated."""

    press_length: float | None = q("mm", "travel from first contact at which the joint is seated", None, above=0)
    windows: list[PressWindow] = Field(default_factory=list)
