"""Bending and shear of the pin between ball and bracket under a radial force at the ball centre.

Timoshenko beam of the neck's round cross-section, stepped where a bore begins or ends; the ball is rigid up
to the neck line (where the bare sphere meets the neck), its two arms are flexible from there to the supports.
Both arms and the rigid ball (deflection and rotation) are in equilibrium, so that bores on one side only are
covered. Section formulas are textbook ones; Cowper's shear coefficients are from memory of J. Appl. Mech. 33
(1966) 335, not checked against its text.
"""
from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.shape_check import EQUAL, check_pin
from dossier.mechanics.shapes import Pin, ball_contour

Array = NDArray[np.float64]

LEFT_OUT = (
    "notch effect at fillet, bore mouth and bore steps: nominal stresses only",
    "bolt holes and their crossing with bores",
    "flats: the full round cross-section is taken up to the support",
    "flexibility of the ball, of bracket and bolts",
    "strengthening by the fillet between neck line and fillet end",
    "yield strength at size, surface and temperature: the value given is used as it is",
)
"""What the beam does not know."""


class Support(StrEnum):
    """How the bracket supports the pin's ends."""

    SIMPLE_AT_BOLT_AXIS = "simple_at_bolt_axis"
    HELD_AT_BOLT_AXIS = "held_at_bolt_axis"
    HELD_AT_CLAMP_EDGE = "held_at_clamp_edge"


def second_moment(outer_diameter: float, inner_diameter: float = 0.0) -> float:
    """I = π(D⁴ − d⁴)/64 of a round section, mm⁴."""
    return math.pi * (outer_diameter**4 - inner_diameter**4) / 64


def section_modulus(outer_diameter: float, inner_diameter: float = 0.0) -> float:
    """W = π(D⁴ − d⁴)/(32 D) of a round section in bending, mm³."""
    return second_moment(outer_diameter, inner_diameter) / (outer_diameter / 2)


def section_area(outer_diameter: float, inner_diameter: float = 0.0) -> float:
    """A = π(D² − d²)/4, mm²."""
    return math.pi * (outer_diameter**2 - inner_diameter**2) / 4


def shear_peak_factor(outer_diameter: float, inner_diameter: float = 0.0) -> float:
    """Greatest over mean shear stress, Q S/(I b) at the neutral axis: 4/3 solid, 2 for a thin tube."""
    outer, inner = outer_diameter, inner_diameter
    return 4 / 3 * (outer**2 + outer * inner + inner**2) / (outer**2 + inner**2)


def shear_coefficient(poisson_ratio: float, outer_diameter: float, inner_diameter: float = 0.0) -> float:
    """Cowper's shear coefficient κ of a solid or hollow circle, from memory (see module)."""
    ratio = (inner_diameter / outer_diameter) ** 2
    square = (1 + ratio) ** 2
    nu = poisson_ratio
    return 6 * (1 + nu) * square / ((7 + 6 * nu) * square + (20 + 12 * nu) * ratio)


@dataclass(frozen=True)
class SectionStress:
    """Nominal stresses at one cross-section: z mm, diameters D and d mm, N, N·mm, mm², mm³, MPa.

    Q shear force, M_b bending moment, W_b section modulus (of steel, with a bonded core's share), sigma_b =
    M_b/W_b, tau_m = Q/A, tau_max at the neutral axis. sigma_v is the greater of √(sigma_b² + 3 tau_m²), which
    adds what does not act in one point and so is on the safe side, and √3 tau_max. safety = yield / sigma_v.
    """

    name: str
    z: float
    D: float
    d: float
    Q: float
    M_b: float
    A: float
    W_b: float
    sigma_b: float
    tau_m: float
    tau_max: float
    sigma_v: float
    safety: float


@dataclass(frozen=True)
class PinBending:
    """Result of `pin_bending`; mm, N, N·mm, MPa, N/mm, rad.

    `sections` hold the z > 0 side only where both arms are alike. `deflection` is that of the ball centre
    against the supports; its shares from bending and from shear add up to it. `rotation` of the ball is 0 for
    alike arms.
    """

    support: Support
    force: float
    young_modulus: float
    poisson_ratio: float
    shear_modulus: float
    yield_stress: float
    core_young_modulus: float
    arm_start: float
    support_z: float
    arm_length: float
    sections: tuple[SectionStress, ...]
    critical: SectionStress
    safety: float
    deflection: float
    deflection_bending: float
    deflection_shear: float
    rotation: float
    stiffness: float
    left_out: tuple[str, ...] = LEFT_OUT


@dataclass(frozen=True)
class _Segment:
    """Stretch of an arm with one cross-section; `near` and `far` are |z|."""

    near: float
    far: float
    outer: float
    inner: float
    filled: bool


@dataclass(frozen=True)
class _Material:
    young: float
    poisson: float
    core_young: float

    @property
    def shear(self) -> float:
        return self.young / (2 * (1 + self.poisson))

    def bending_stiffness(self, segment: _Segment) -> float:
        core = self.core_young if segment.filled else 0.0
        return self.young * second_moment(segment.outer, segment.inner) + core * second_moment(segment.inner)

    def shear_stiffness(self, segment: _Segment) -> float:
        coefficient = shear_coefficient(self.poisson, segment.outer, segment.inner)
        return coefficient * self.shear * section_area(segment.outer, segment.inner)


def pin_bending(pin: Pin, force: float, support: Support | str, young_modulus: float, poisson_ratio: float,
                yield_stress: float, core_young_modulus: float = 0.0, rigid_ball: bool = True) -> PinBending:
    """Bending and shear of `pin` under the radial `force` (N) at the ball centre.

    `core_young_modulus` MPa: of a bonded filling of filled bores, 0 = it carries nothing; it shares in
    bending, the shear stays with the steel. `rigid_ball` False lets a straight pin bend through the ball as
    if its ball contour carried nothing. Raises GeometryError or ValueError naming field, limit, value and
    remedy.
    """
    check_pin(pin)
    support = Support(support)
    _check_inputs(force, young_modulus, poisson_ratio, yield_stress, core_young_modulus)
    start, end = _arm_range(pin, support, rigid_ball)
    material = _Material(young_modulus, poisson_ratio, core_young_modulus)
    arms = {side: _segments(pin, side, start, end) for side in (1, -1)}
    held = support is not Support.SIMPLE_AT_BOLT_AXIS
    motion, reactions = _equilibrium(arms, material, force, end, held, with_shear=True)
    bending_only, _ = _equilibrium(arms, material, force, end, held, with_shear=False)
    sides = (1,) if arms[1] == arms[-1] else (1, -1)
    sections = tuple(
        _section_stress(name, side * place, arms[side], reactions[side], end, material, yield_stress)
        for side in sides for name, place in _places(pin, arms[side], support, start, end))
    critical = max(sections, key=lambda section: section.sigma_v)
    return PinBending(
        support=support, force=force, young_modulus=young_modulus, poisson_ratio=poisson_ratio,
        shear_modulus=material.shear, yield_stress=yield_stress, core_young_modulus=core_young_modulus,
        arm_start=start, support_z=end, arm_length=end - start, sections=sections, critical=critical,
        safety=critical.safety, deflection=float(motion[0]), deflection_bending=float(bending_only[0]),
        deflection_shear=float(motion[0] - bending_only[0]), rotation=float(motion[1]),
        stiffness=force / float(motion[0]))


def _check_inputs(force: float, young: float, poisson: float, yield_stress: float, core_young: float) -> None:
    for name, value, unit in (("force", force, "N"), ("young_modulus", young, "MPa"),
                              ("yield_stress", yield_stress, "MPa")):
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} = {value} {unit} must exceed 0 {unit}; enter a positive value")
    if not 0 <= poisson < 0.5:
        raise ValueError(f"poisson_ratio = {poisson} must lie from 0 to below 0.5; 0.3 suits steel")
    if not (math.isfinite(core_young) and core_young >= 0):
        raise ValueError(f"core_young_modulus = {core_young} MPa must be at least 0 MPa; 0 = carries nothing")


def _arm_range(pin: Pin, support: Support, rigid_ball: bool) -> tuple[float, float]:
    """|z| where the flexible arm begins and where it is supported."""
    if not rigid_ball and not pin.straight_radius:
        raise ValueError("rigid_ball = False needs pin.straight_radius above 0 mm; a forged ball is rigid")
    start = ball_contour(pin).neck_line if rigid_ball else 0.0
    if support is Support.HELD_AT_CLAMP_EDGE:
        name, end = "pin.ends.clamp_edge", pin.ends.clamp_edge
    else:
        name, end = "half of pin.ends.hole_distance", pin.ends.hole_distance / 2
    if end - start <= EQUAL:
        raise ValueError(f"{name} = {end:.6g} mm must exceed the neck line at {start:.6g} mm; "
                         "move the support outward or reduce the ball")
    return start, end


def _segments(pin: Pin, side: int, start: float, end: float) -> tuple[_Segment, ...]:
    """Arm on the `side` of z from |z| = start to end, cut at bore steps."""
    bores = [(*sorted((side * bore.start, side * bore.end)), bore.diameter, bore.filled)
             for bore in pin.bores]
    steps = {z for low, high, *_ in bores for z in (low, high) if start + EQUAL < z < end - EQUAL}
    cuts = [start, *sorted(steps), end]
    segments = []
    for near, far in zip(cuts, cuts[1:], strict=False):
        middle = (near + far) / 2
        inside = [(diameter, filled) for low, high, diameter, filled in bores if low < middle < high]
        diameter, filled = inside[0] if inside else (0.0, False)
        segments.append(_Segment(near, far, 2 * pin.neck_radius, diameter, filled))
    return tuple(segments)


def _flexibility(arm: tuple[_Segment, ...], material: _Material, end: float, with_shear: bool) -> Array:
    """(2, 2) deflection and rotation of an arm's far end per unit force and moment there, ball held."""
    matrix = np.zeros((2, 2))
    for segment in arm:
        rigidity = material.bending_stiffness(segment)
        near, far = end - segment.near, end - segment.far
        cubic, square = (near**3 - far**3) / (3 * rigidity), (near**2 - far**2) / (2 * rigidity)
        matrix += [[cubic, square], [square, (near - far) / rigidity]]
        if with_shear:
            matrix[0, 0] += (near - far) / material.shear_stiffness(segment)
    return matrix


def _equilibrium(arms: dict[int, tuple[_Segment, ...]], material: _Material, force: float, end: float,
                 held: bool, with_shear: bool) -> tuple[Array, dict[int, Array]]:
    """Deflection and rotation of the ball, and force and moment (0 if simple) of each support on its arm."""
    stiffness = np.zeros((2, 2))
    relations = {}
    for side, arm in arms.items():
        flexibility = _flexibility(arm, material, end, with_shear)
        kinematics = np.array([[1.0, side * end], [0.0, side]])
        if not held:
            flexibility, kinematics = flexibility[:1, :1], kinematics[:1]
        relations[side] = np.linalg.solve(flexibility, kinematics)
        stiffness += kinematics.T @ relations[side]
    motion = np.linalg.solve(stiffness, np.array([force, 0.0]))
    reactions = {}
    for side, relation in relations.items():
        reactions[side] = np.zeros(2)
        reactions[side][:len(relation)] = -relation @ motion
    return motion, reactions


def _places(pin: Pin, arm: tuple[_Segment, ...], support: Support, start: float,
            end: float) -> list[tuple[str, float]]:
    """Name and |z| of the cross-sections to be checked."""
    contour = ball_contour(pin)
    places = [("neck line" if start > 0 else "ball centre", start)]
    if pin.neck_fillet and start < contour.fillet_end < end:
        places.append(("fillet end", contour.fillet_end))
    places += [("bore step", segment.far) for segment in arm[:-1]]
    if pin.ends.clamp_edge <= end:
        places.append(("clamp edge", pin.ends.clamp_edge))
    if support is not Support.HELD_AT_CLAMP_EDGE:
        places.append(("bolt axis", end))
    return sorted(places, key=lambda place: place[1])


def _section_stress(name: str, z: float, arm: tuple[_Segment, ...], reaction: Array, end: float,
                    material: _Material, yield_stress: float) -> SectionStress:
    place = abs(z)
    segment = min((part for part in arm if part.near - EQUAL <= place <= part.far + EQUAL),
                  key=material.bending_stiffness)
    force, moment = abs(float(reaction[0])), abs(float(reaction[0] * (end - place) + reaction[1]))
    area = section_area(segment.outer, segment.inner)
    modulus = material.bending_stiffness(segment) / (material.young * segment.outer / 2)
    bending, mean_shear = moment / modulus, force / area
    peak_shear = mean_shear * shear_peak_factor(segment.outer, segment.inner)
    equivalent = max(math.hypot(bending, math.sqrt(3) * mean_shear), math.sqrt(3) * peak_shear)
    return SectionStress(name, z, segment.outer, segment.inner, force, moment, area, modulus, bending,
                         mean_shear, peak_shear, equivalent, yield_stress / equivalent)
