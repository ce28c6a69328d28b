"""One bolt clamping flat parts: preload, torque, resilience, settling, temperature, slip, pressure under the head.

Following VDI 2230-1, from memory, not checked against its text. Lengths in mm, forces in N, torques in N·mm,
stresses in MPa, resiliences in mm/N, temperatures in °C, friction coefficients and factors without unit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import acos, log, pi, sqrt

_LEAD = 1.155
"""1/cos 30°: friction on the flank of a metric thread."""


@dataclass(frozen=True)
class Bolt:
    """A bolt with ISO metric thread."""

    diameter: float
    pitch: float
    yield_strength: float
    youngs_modulus: float = 205_000.0

    def __post_init__(self) -> None:
        if not 0 < self.pitch < self.diameter / 2:
            raise ValueError(
                f"bolt.pitch = {self.pitch:g} mm must lie between 0 and half of bolt.diameter = {self.diameter:g} mm; "
                "correct one of them"
            )

    @property
    def flank_diameter(self) -> float:
        """Pitch diameter d2."""
        return self.diameter - 0.649519 * self.pitch

    @property
    def core_diameter(self) -> float:
        """Minor diameter d3."""
        return self.diameter - 1.226869 * self.pitch

    @property
    def stress_diameter(self) -> float:
        """Diameter of the stress area."""
        return (self.flank_diameter + self.core_diameter) / 2

    @property
    def stress_area(self) -> float:
        """Stress area in mm² (ISO 898-1)."""
        return pi / 4 * self.stress_diameter**2

    @property
    def core_area(self) -> float:
        """Area of the minor diameter in mm²."""
        return pi / 4 * self.core_diameter**2

    @property
    def shank_area(self) -> float:
        """Area of the nominal diameter in mm²."""
        return pi / 4 * self.diameter**2


def thread_term(bolt: Bolt, thread_friction: float) -> float:
    """tan of lead angle plus friction angle: torque in the thread is F·d2/2 times this."""
    return bolt.pitch / (pi * bolt.flank_diameter) + _LEAD * thread_friction


def assembly_preload(bolt: Bolt, thread_friction: float, utilisation: float = 0.9) -> float:
    """Preload in N at which tension and torsion of tightening use `utilisation` of the yield strength."""
    ratio = 1.5 * bolt.flank_diameter / bolt.stress_diameter * thread_term(bolt, thread_friction)
    return utilisation * bolt.yield_strength * bolt.stress_area / sqrt(1 + 3 * ratio**2)


def torque_lever(
    bolt: Bolt, thread_friction: float, head_friction: float, bearing_diameter: float, hole_diameter: float
) -> float:
    """Tightening torque per preload in mm."""
    thread = 0.16 * bolt.pitch + 0.58 * bolt.flank_diameter * thread_friction
    return thread + head_friction * (bearing_diameter + hole_diameter) / 4


def working_stress(bolt: Bolt, force: float, preload: float, thread_friction: float) -> float:
    """Equivalent stress in MPa of a bolt in service: tension of `force`, half of the torsion of tightening."""
    tension = force / bolt.stress_area
    torque = preload * bolt.flank_diameter / 2 * thread_term(bolt, thread_friction)
    torsion = 16 * torque / (pi * bolt.stress_diameter**3)
    return sqrt(tension**2 + 3 * (0.5 * torsion) ** 2)


def bolt_resilience(
    bolt: Bolt, grip: float, shank: float, *, socket_head: bool = False, tapped: bool = False
) -> float:
    """Elastic resilience in mm/N: head, shank, free thread in the grip, engaged thread, nut or tapped hole."""
    if not 0 <= shank <= grip:
        raise ValueError(
            f"shank_length = {shank:g} mm must lie between 0 and the grip {grip:g} mm; correct the bolt's length"
        )
    head = (0.4 if socket_head else 0.5) * bolt.diameter
    other = (0.33 if tapped else 0.4) * bolt.diameter
    full = (head + shank + other) / bolt.shank_area
    core = (grip - shank + 0.5 * bolt.diameter) / bolt.core_area
    return (full + core) / bolt.youngs_modulus


@dataclass(frozen=True)
class Layer:
    """One clamped part between head and nut."""

    thickness: float
    youngs_modulus: float


@dataclass(frozen=True)
class Segment:
    """A piece of the pressure cone within one layer.

    `start` and `end` are distances from the nearest bearing face, `cone` is False where the parts' outer
    diameter bounds it; resilience in mm/N.
    """

    layer: int
    start: float
    end: float
    cone: bool
    resilience: float


def cone_slope(grip: float, bearing_diameter: float, outer_diameter: float, *, tapped: bool = False) -> float:
    """tan of the cone's half angle for a bolt with nut, or in a tapped hole."""
    length, width = grip / bearing_diameter, outer_diameter / bearing_diameter
    if width <= 1:
        return 0.0
    if tapped:
        return 0.348 + 0.013 * log(length) + 0.193 * log(width)
    return 0.362 + 0.032 * log(length / 2) + 0.153 * log(width)


def clamped_segments(
    layers: Sequence[Layer],
    bearing_diameter: float,
    hole_diameter: float,
    outer_diameter: float,
    *,
    tapped: bool = False,
) -> list[Segment]:
    """The pressure cone through the layers, head first; with a nut a second cone starts from the nut.

    Where the cone reaches `outer_diameter` a sleeve follows. One outer diameter for all layers: a simplification.
    """
    if bearing_diameter <= hole_diameter:
        raise ValueError(
            f"head_bearing_diameter = {bearing_diameter:g} mm must exceed hole_diameter = {hole_diameter:g} mm; "
            "take a bolt with a larger head or a washer"
        )
    grip = sum(layer.thickness for layer in layers)
    slope = cone_slope(grip, bearing_diameter, outer_diameter, tapped=tapped)
    widest = max(outer_diameter, bearing_diameter) if slope else min(outer_diameter, bearing_diameter)
    if widest <= hole_diameter:
        raise ValueError(
            f"clamped_diameter = {outer_diameter:g} mm must exceed hole_diameter = {hole_diameter:g} mm; widen the parts"
        )
    reach = (widest - bearing_diameter) / (2 * slope) if slope else 0.0
    cuts = {0.0, grip, min(reach, grip)}
    if not tapped:
        cuts |= {grip / 2, max(grip - reach, 0.0)}
    place, edges = 0.0, []
    for layer in layers:
        edges.append((place, place + layer.thickness))
        cuts.add(place + layer.thickness)
        place += layer.thickness
    marks = sorted(cuts)
    segments = []
    for low, high in zip(marks, marks[1:], strict=False):
        if high - low < 1e-9:
            continue
        middle = (low + high) / 2
        number = next(n for n, (start, end) in enumerate(edges) if start <= middle <= end)
        depths = (low, high) if tapped or middle < grip / 2 else (grip - high, grip - low)
        cone = bool(slope) and middle_depth(depths) < reach
        diameters = [bearing_diameter + 2 * slope * depth for depth in depths] if cone else [widest, widest]
        modulus = layers[number].youngs_modulus
        value = _resilience(*diameters, hole_diameter, high - low, slope if cone else 0.0, modulus)
        segments.append(Segment(number, *depths, cone, value))
    return segments


def middle_depth(depths: tuple[float, float]) -> float:
    """Middle of a segment."""
    return (depths[0] + depths[1]) / 2


def _resilience(near: float, far: float, hole: float, length: float, slope: float, modulus: float) -> float:
    if slope:
        inside = (far - hole) * (near + hole) / ((far + hole) * (near - hole))
        return log(inside) / (pi * modulus * hole * slope)
    return 4 * length / (pi * modulus * (near**2 - hole**2))


def bearing_area(bearing_diameter: float, edge_diameter: float, width: float) -> float:
    """Contact area in mm² of a round head on a flat of `width`, less the hole with its chamfer."""
    if bearing_diameter <= edge_diameter:
        raise ValueError(
            f"head_bearing_diameter = {bearing_diameter:g} mm must exceed the hole's edge {edge_diameter:g} mm; "
            "reduce the chamfer or enlarge the head"
        )
    if width <= edge_diameter:
        raise ValueError(
            f"the flat's width {width:g} mm must exceed the hole's edge {edge_diameter:g} mm; widen the flat"
        )
    radius, half = bearing_diameter / 2, width / 2
    overhang = 0.0
    if half < radius:
        overhang = 2 * (radius**2 * acos(half / radius) - half * sqrt(radius**2 - half**2))
    return pi / 4 * (bearing_diameter**2 - edge_diameter**2) - overhang


def thermal_gap(thicknesses: Sequence[float], expansions: Sequence[float], bolt_expansion: float) -> float:
    """Growth in mm/K of the clamped parts against the bolt; times the warming over the resiliences: preload gained."""
    return sum(
        length * (expansion - bolt_expansion) for length, expansion in zip(thicknesses, expansions, strict=True)
    )
