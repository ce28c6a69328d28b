"""One curve of the assembled layer: its typed input, what stands in series, the levels it visits, its points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees, radians
from typing import TYPE_CHECKING, Literal

from dossier import units
from dossier.methods.base import InputError
from dossier.methods.layer_finite import (
    FrictionFaceInput,
    assembly_of,
    half_cells,
    law_of,
    material_at,
    press_in_of,
    spherical_layer,
)
from dossier.methods.working import Working
from dossier.records.base import q

if TYPE_CHECKING:
    from dossier.mechanics.curves import LayerCurve
    from dossier.mechanics.prestress import RingTravel, ShellClosing

TURNING = ("torsional", "conical")
TANGENT = 0.05
"""Part of the curve at its start and at its end over which the tangents are taken."""

MATCH = 1e-4


class CurveInput(FrictionFaceInput):
    """Assembled layer, direction, evaluated range as in a reading scheme, and what stands in series."""

    direction: Literal["radial", "axial", "torsional", "conical"] = q("-", "radial, axial, torsional or conical")
    between: Literal["load", "travel"] = q("-", "whether low, high and reach are loads or travels, as in a scheme", "load")
    low: float = q("-", "lower end of the evaluated range, a plain number in N, mm, N·mm or °; as of a reading scheme: "
                   '{ record = "RC-01", field = "low" }', 0.0)  # fmt: skip
    high: float = q("-", "upper end of the evaluated range, a plain number in N, mm, N·mm or °")
    reach: float | None = q("-", "end of the curve in the same unit; by default the farther end of the range", None, above=0)
    steps: int = q("1", "points of the curve between zero and its end", 6, at_least=2, at_most=60)
    mesh: Literal["usual", "coarse"] = q("-", "coarse: cells twice as long, which reach farther and err more", "usual")
    pin_stiffness: float | None = q("N/mm", "radial stiffness of the pin in series, of a pin.bending", None, above=0,
                                    symbol="c_p")  # fmt: skip
    section_stiffness: float | None = q("N/mm", "radial or axial stiffness of a section.stiffness, which tells pin and rings in "
                                        "series", None, above=0, symbol="c_s")  # fmt: skip
    turning_section_stiffness: float | None = q("N·mm/rad", "torsional or conical stiffness of a section.stiffness", None,
                                                above=0, symbol="c_s")  # fmt: skip
    clamp_stiffness: float | None = q("N/mm", "stiffness of bracket and clamp in series", None, above=0, symbol="c_e")
    turning_clamp_stiffness: float | None = q("N·mm/rad", "turning stiffness of bracket and clamp in series", None, above=0,
                                              symbol="c_e")  # fmt: skip


def curve_of(given: CurveInput, until: float | None = None) -> tuple[list[float], list[float]]:
    """The curve to draw, from the far end on one side to the other where the range has both: travels in mm or °, loads
    in N or N·mm. Points not reached are missing; a run known to stop need not be tried beyond `until`, a level."""
    from dossier.mechanics.curves import LayerCurveStopped

    ladder = [level for level in steps_of(given) if until is None or level <= until * (1 + MATCH)]
    if not ladder:
        raise ValueError("the curve stops before its first step; ask for less or give more steps")
    levels = [*(-level for level in reversed(ladder) if given.low < 0), *ladder]
    try:
        curve = run_curve(given, levels, series_of(given).compliance)
    except LayerCurveStopped as stopped:
        curve = stopped.curve
    found = Points(given, curve, levels)
    places = sorted([(0.0, 0.0), *(point for level in levels if (point := found.at(level)) is not None)])
    turn = degrees if given.direction in TURNING else float
    return [turn(travel) for travel, _ in places], [load for _, load in places]


@dataclass(frozen=True)
class Series:
    """What stands in series with the layer: name, symbol, stiffness in N/mm or N·mm/rad, and how it was found."""

    parts: tuple[tuple[str, str, float, str], ...]
    unit: str

    @property
    def compliance(self) -> float:
        """Sum of the compliances."""
        return sum(1.0 / stiffness for _, _, stiffness, _ in self.parts)

    def describe(self, working: Working) -> None:
        """The parts as given numbers, in the unit of requirements."""
        shown = "N·m/°" if self.unit == "N·mm/rad" else "kN/mm"
        for name, symbol, stiffness, source in self.parts:
            working.given(symbol, name, units.convert(stiffness, self.unit, shown), shown, source)


def series_of(given: CurveInput) -> Series:
    """The parts in series. Raises InputError for those of another direction or a section stiffer than its layer."""
    turning = given.direction in TURNING
    _refuse_other_direction(given, turning)
    section = given.turning_section_stiffness if turning else given.section_stiffness
    clamp = given.turning_clamp_stiffness if turning else given.clamp_stiffness
    parts = []
    if given.pin_stiffness is not None and section is not None:
        raise InputError("pin_stiffness and section_stiffness are both given, but the section holds the pin; leave one out")
    if given.pin_stiffness is not None:
        parts.append(("stiffness of the pin in series", "c_p", given.pin_stiffness, "given"))
    if section is not None:
        parts.append(_metal(given, section))
    if clamp is not None:
        parts.append(("stiffness of the clamp in series", "c_e", clamp, "given"))
    return Series(tuple(parts), "N·mm/rad" if turning else "N/mm")


def _refuse_other_direction(given: CurveInput, turning: bool) -> None:
    other = ("section_stiffness", "clamp_stiffness") if turning else ("turning_section_stiffness", "turning_clamp_stiffness")
    refused = other if given.direction == "radial" else ("pin_stiffness", *other)
    for name in refused:
        if getattr(given, name) is not None:
            raise InputError(f"{name} = {getattr(given, name):g} is given, but the direction is {given.direction}; leave it out "
                             "or give the stiffness of that direction")  # fmt: skip


def _metal(given: CurveInput, section: float) -> tuple[str, str, float, str]:
    """Pin and rings in series, from the stiffness of the whole section and that of its layer without pre-stress."""
    from dossier.mechanics.prestress import pre_stressed_layer

    before = pre_stressed_layer(spherical_layer(given), law=law_of(given), assembly=as_in_the_section(given))
    layer = getattr(before.stiffness, given.direction)
    if section >= layer:
        unit = "N·mm/rad" if given.direction in TURNING else "N/mm"
        raise InputError(f"section_stiffness = {section:g} {unit} must be below that of the layer alone, {layer:.6g} {unit}; "
                         "take it from a section.stiffness of the same design, or leave it out for rigid metal")  # fmt: skip
    metal = 1.0 / (1.0 / section - 1.0 / layer)
    return "stiffness of pin and rings in series", "c_p", metal, "section less its layer without pre-stress"


def as_in_the_section(given: CurveInput) -> RingTravel | ShellClosing:
    """No pre-stress, but the gap between the rings as the design has it: what a section.stiffness computes."""
    from dossier.mechanics.prestress import RingTravel, ShellClosing

    return RingTravel(0.0, given.gap) if given.carrier == "rings" and given.gap else ShellClosing(0.0)


def steps_of(given: CurveInput) -> list[float]:
    """Levels from the first step to the end of the curve."""
    _check_range(given)
    reach = reach_of(given)
    return [reach * step / given.steps for step in range(1, given.steps + 1)]


def reach_of(given: CurveInput) -> float:
    return given.reach if given.reach is not None else max(abs(given.low), abs(given.high))


def _check_range(given: CurveInput) -> None:
    if not given.low < given.high:
        raise InputError(f"low = {given.low:g} must be below high = {given.high:g}; exchange or spread them")
    farthest = max(abs(given.low), abs(given.high))
    if given.reach is not None and given.reach < farthest:
        raise InputError(f"reach = {given.reach:g} must be at least {farthest:g}, the farther end of the evaluated range; "
                         "enlarge it or narrow the range")  # fmt: skip


def levels_of(given: CurveInput) -> list[float]:
    """All levels a run visits: the steps, both ends of the range, the ends of the tangents."""
    ladder, reach = steps_of(given), reach_of(given)
    return [*ladder, *(end for end in (given.low, given.high) if end), TANGENT * reach, (1 - TANGENT) * reach]


def _odd(given: CurveInput) -> bool:
    """Whether the curve is its own mirror image in zero: always, but for axial motion of an asymmetric layer."""
    return given.direction != "axial" or abs(given.polar_start + given.polar_end - 180.0) < 1e-9


def run_curve(
    given: CurveInput, levels: Sequence[float], compliance: float, *, mesh: str = "", **changed: float
) -> LayerCurve:
    """Mechanics' curve at the levels; of a mirrored curve at their amounts. `mesh` instead of the input's."""
    from dossier.mechanics.curves import layer_curve, layer_curve_at_forces

    law, layer = material_at(given, **changed)[0], spherical_layer(given, **changed)
    wanted = sorted({abs(level) if _odd(given) else level for level in levels})
    if given.between == "travel" and given.direction in TURNING:
        wanted = [radians(level) for level in wanted]
    coarse = given.direction in ("radial", "conical")
    options = {
        "direction": given.direction, "assembly": assembly_of(given), "press_in": press_in_of(given), "law": law,
        "pin_stiffness": 1.0 / compliance if compliance else None,
        "cells": half_cells(layer, coarse=coarse) if (mesh or given.mesh) == "coarse" else None,
    }  # fmt: skip
    if given.between == "load":
        return layer_curve_at_forces(layer, forces=wanted, **options)  # type: ignore[arg-type]
    sizes = (layer.inner_radius, layer.outer_radius, layer.polar_start, layer.polar_end, layer.shear_modulus, layer.bulk_modulus)
    return layer_curve(*sizes, displacements=wanted, free=layer.free, **options)  # type: ignore[arg-type]


class Points:
    """Points (travel in mm or rad, load in N or N·mm) of a curve by the level they were asked for."""

    def __init__(self, given: CurveInput, curve: LayerCurve, levels: Sequence[float]) -> None:
        self.given, self.curve, self.levels = given, curve, levels
        turning_travel = given.between == "travel" and given.direction in TURNING
        self._scale = radians(1.0) if turning_travel else 1.0
        self._given = curve.forces if given.between == "load" else curve.displacements
        self._near = MATCH * self._scale * reach_of(given)

    def at(self, level: float) -> tuple[float, float] | None:
        """The point at a level, None where the run stopped before it."""
        if level == 0:
            return 0.0, 0.0
        wanted = level * self._scale
        mirrored = wanted < 0 and _odd(self.given)
        wanted = -wanted if mirrored else wanted
        place = min(range(len(self._given)), key=lambda place: abs(self._given[place] - wanted))
        if abs(self._given[place] - wanted) > self._near:
            return None
        point = self.curve.displacements[place], self.curve.forces[place]
        return (-point[0], -point[1]) if mirrored else point

    @property
    def end(self) -> tuple[float, float]:
        """The farthest point reached on the loading side."""
        return max(zip(self.curve.displacements, self.curve.forces, strict=True))

    def ends(self) -> tuple[tuple[float, float], tuple[float, float]] | None:
        """Both ends of the evaluated range."""
        low, high = self.at(self.given.low), self.at(self.given.high)
        return None if low is None or high is None else (low, high)

    def secant(self) -> float | None:
        """Stiffness between both ends of the evaluated range, as evidence.static takes it."""
        ends = self.ends()
        return None if ends is None else (ends[1][1] - ends[0][1]) / (ends[1][0] - ends[0][0])

    def tangents(self) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]] | None:
        """Points (end of the first tangent, start of the last, end of the curve)."""
        reach = reach_of(self.given)
        points = [self.at(level) for level in (TANGENT * reach, (1 - TANGENT) * reach, reach)]
        return None if None in points else tuple(points)  # type: ignore[return-value]

    def end_in_words(self) -> str:
        """The end as printed."""
        return f"{travel_in_words(self.given, self.end[0])} at {load_in_words(self.given, self.end[1])}"

    def in_words(self) -> str:
        """The points of the curve as printed."""
        points = [point for level in steps_of(self.given) if (point := self.at(level)) is not None]
        return "; ".join(f"{travel_in_words(self.given, s)}: {load_in_words(self.given, f)}" for s, f in points)


def travel_in_words(given: CurveInput, travel: float) -> str:
    return units.show_quantity(travel, "rad", "°") if given.direction in TURNING else units.show_quantity(travel, "mm")


def load_in_words(given: CurveInput, load: float) -> str:
    return units.show_quantity(load, "N·mm", "N·m") if given.direction in TURNING else units.show_quantity(load, "N", "kN")
