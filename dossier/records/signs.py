"""Signs of trouble in measured curves: where they begin for this project, and what a person found of one."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from dossier.records.base import Day, Part, q

SignKind = Literal["slip", "crack", "preload_loss", "bottoming", "metal_break", "fixture_slip"]


class SignLimits(Part):
    """Limits of the search for signs, relative to each curve's own range and noise."""

    slip_travel: float = q("-", "load missing at a plateau or step, of the load range", 0.015, above=0, below=1)
    plateau_slope: float = q("-", "slope in a plateau over the slope beside it", 0.35, above=0, below=1)
    load_drop: float = q("-", "sudden loss of load, of the load before it", 0.04, above=0, below=1)
    side_loss: float = q("-", "slope lost on one side against the other", 0.09, above=0, below=1)
    cycle_loss: float = q("-", "slope lost over the cycles, not slowing down", 0.05, above=0, below=1)
    loop_growth: float = q("-", "growth of the energy per cycle", 0.15, above=0, below=10)
    knee_ratio: float = q("-", "slope beyond a knee over the slope before it", 0.88, above=0, below=1)
    stop_ratio: float = q("-", "slope at the end over the slope before it", 1.7, above=1, below=20)
    clearance: float = q("-", "travel without load around zero, of the travel range", 0.01, above=0, below=1)
    noises: float = q("-", "standard deviations of the curve's noise a figure must exceed", 6.0, above=2, below=50)


class SignAnswer(Part):
    """What a person found of a sign; it holds for this sign at this row only, and the sign stays visible."""

    specimen: str = Field(min_length=1)
    sign: SignKind
    row: int = Field(ge=0, description="row of the curve at which the sign begins")
    reason: str = Field(min_length=1, description="what was looked at and why the result stands")
    by: str = Field(min_length=1)
    on: Day


class SimulatedRate(Part):
    """At limits of `factor` times the stated ones: simulated curves with the fault that raise its sign, and sound ones that
    raise it."""

    sign: SignKind
    factor: float = Field(gt=0)
    found: int = Field(ge=0)
    false: int = Field(ge=0)


class SimulatedRates(Part):
    """SIMULATED trade-off of the search on the sampling and noise of one measured curve; `fault` is what each sign's curves
    had, `any_false` the sound curves with any sign at the stated limits."""

    item: str = Field(min_length=1)
    specimen: str = Field(min_length=1)
    sampling: str = Field(min_length=1)
    count: int = Field(ge=10)
    seed: int
    limits: SignLimits
    any_false: int = Field(ge=0)
    faults: dict[SignKind, str]
    rates: list[SimulatedRate]
    by: str = Field(min_length=1)
    on: Day
