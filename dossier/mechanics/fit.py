"""Interference fit of closed rings in an eye: thick-walled tubes in plane stress (Lamé), yielding, temperature.

Lengths in mm, pressures and moduli in MPa, temperatures in °C. Interferences are diametral where the name says
so, otherwise radial. A ring whose wall varies along its axis is cut into slices of equal width that share the
widening of the eye: each slice is a tube of its own, the eye widens evenly under the mean pressure over the width
that carries along. Compared with axisymmetric finite elements (see the tests) this is within a few per cent.

Yielding of the ring under outer pressure: elastic–perfectly plastic, Tresca, plane stress (textbook derivation,
repeated in the docstring of `yielded_pressure`); unloading is elastic, so that the interference lost stays lost.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import pi, sqrt


@dataclass(frozen=True)
class Tube:
    """A tube or ring slice with its elastic constants; `inner_radius` 0 is a solid shaft."""

    inner_radius: float
    outer_radius: float
    youngs_modulus: float
    poisson_ratio: float

    def __post_init__(self) -> None:
        if not 0 <= self.inner_radius < self.outer_radius:
            raise ValueError(
                f"outer_radius = {self.outer_radius:g} mm must exceed inner_radius = {self.inner_radius:g} mm; "
                "give a wall"
            )

    @property
    def inward_flexibility(self) -> float:
        """Radial shrinkage of the outer face per outer pressure, mm/MPa."""
        a, b = self.inner_radius, self.outer_radius
        return b * ((b * b + a * a) / (b * b - a * a) - self.poisson_ratio) / self.youngs_modulus

    @property
    def outward_flexibility(self) -> float:
        """Radial widening of the inner face per inner pressure, mm/MPa."""
        b, c = self.inner_radius, self.outer_radius
        return b * ((c * c + b * b) / (c * c - b * b) + self.poisson_ratio) / self.youngs_modulus

    def widening(self, inner_pressure: float) -> float:
        """Radial widening in mm of the outer face under a pressure on the inner face."""
        a, b = self.inner_radius, self.outer_radius
        return 2 * a * a * b * inner_pressure / (self.youngs_modulus * (b * b - a * a))

    def stress(self, radius: float, inner_pressure: float, outer_pressure: float) -> tuple[float, float]:
        """Radial and hoop stress in MPa at `radius` (Lamé)."""
        a, b = self.inner_radius, self.outer_radius
        scale = 1 / (b * b - a * a)
        even = (inner_pressure * a * a - outer_pressure * b * b) * scale
        if a == 0:
            return even, even
        varying = (inner_pressure - outer_pressure) * a * a * b * b * scale / radius**2
        return even - varying, even + varying


def tresca(*principal: float) -> float:
    """Equivalent stress after Tresca of principal stresses in plane stress (the third one is 0)."""
    return max(*principal, 0.0) - min(*principal, 0.0)


def joint_pressure(shaft: Tube, hub: Tube, interference: float) -> float:
    """Joint pressure in MPa of two tubes of equal length for a radial interference in mm; 0 for clearance."""
    return max(0.0, interference / (shaft.inward_flexibility + hub.outward_flexibility))


def sliding_force(pressure: float, friction: float, radius: float, length: float) -> float:
    """Axial force in N that a joint pressure in MPa carries by friction."""
    return 2 * pi * radius * length * friction * pressure


def flattening(depth_of_one: float, depth_of_other: float) -> float:
    """Diametral interference in mm lost by flattening, from both roughness depths Rz in mm: 0.8·(Rz1 + Rz2).

    Following DIN 7190-1, from memory, not checked against its text.
    """
    return 0.8 * (depth_of_one + depth_of_other)


def spherical_slices(sphere_radius: float, low: float, high: float, count: int) -> tuple[float, ...]:
    """Inner radii in the middle of `count` equal slices of a ring with a spherical inside, low ≤ z ≤ high."""
    if high >= sphere_radius:
        raise ValueError(
            f"half_width = {high:g} mm must be below the spherical inside's radius {sphere_radius:g} mm; "
            "narrow the ring"
        )
    width = (high - low) / count
    return tuple(sqrt(sphere_radius**2 - (low + (number + 0.5) * width) ** 2) for number in range(count))


def first_yield_pressure(ring: Tube, yield_strength: float, inner_pressure: float = 0.0) -> float:
    """Outer pressure in MPa at which the inner face yields in hoop compression."""
    a, b = ring.inner_radius, ring.outer_radius
    return (yield_strength * (b * b - a * a) + inner_pressure * (b * b + a * a)) / (2 * b * b)


def yielded_pressure(
    ring: Tube, plastic_radius: float, yield_strength: float, inner_pressure: float = 0.0
) -> tuple[float, float]:
    """Outer pressure in MPa and shrinkage of the outer face in mm when the ring has yielded up to a radius ρ.

    In the yielded zone hoop = −R_e, and equilibrium d(r·σ_r)/dr = σ_θ gives the pressure on the elastic rest,
    q = R_e·(1 − a/ρ) + p_i·a/ρ. The elastic rest yields at its inner face: p = (R_e·(b² − ρ²) + q·(b² + ρ²))/(2b²),
    and shrinks by b/E·((R_e·(b² + ρ²) + q·(b² − ρ²))/(2b²) − ν·p).
    """
    a, b, rho = ring.inner_radius, ring.outer_radius, plastic_radius
    inside = yield_strength * (1 - a / rho) + inner_pressure * a / rho
    pressure = (yield_strength * (b * b - rho * rho) + inside * (b * b + rho * rho)) / (2 * b * b)
    hoop = (yield_strength * (b * b + rho * rho) + inside * (b * b - rho * rho)) / (2 * b * b)
    return pressure, b * (hoop - ring.poisson_ratio * pressure) / ring.youngs_modulus


@dataclass(frozen=True)
class RingFit:
    """Rings in an eye. `slices` are equal in width and together `length` long; `eye_share` is that length over
    the width of the eye that carries along; `inner_pressure` is the rubber's pre-stress on the ring's inside."""

    slices: tuple[Tube, ...]
    eye: Tube
    length: float
    eye_share: float = 1.0
    inner_pressure: float = 0.0

    @property
    def radius(self) -> float:
        """Radius of the joint in mm."""
        return self.eye.inner_radius

    @property
    def eye_flexibility(self) -> float:
        """Radial widening of the eye per mean joint pressure, mm/MPa."""
        return self.eye.outward_flexibility * self.eye_share

    def force(self, pressures: Sequence[float], friction: float) -> float:
        """Axial force in N carried by friction."""
        return sliding_force(sum(pressures) / len(pressures), friction, self.radius, self.length)


@dataclass(frozen=True)
class FitState:
    """Pressure of each slice in MPa, radial interference lost by yielding of each slice and widening of the eye."""

    pressures: tuple[float, ...]
    lost: tuple[float, ...]
    widening: float

    @property
    def mean(self) -> float:
        """Mean joint pressure in MPa."""
        return sum(self.pressures) / len(self.pressures)


def elastic_state(fit: RingFit, interference: float, lost: Sequence[float] = ()) -> FitState:
    """State for a radial interference in mm, of which each slice has `lost` its share before."""
    lost = tuple(lost) or (0.0,) * len(fit.slices)

    def pressures(squeeze: float) -> tuple[float, ...]:
        return tuple(
            max(0.0, (squeeze + ring.widening(fit.inner_pressure) - gone) / ring.inward_flexibility)
            for ring, gone in zip(fit.slices, lost, strict=True)
        )

    found, widening = _share_with_eye(fit, interference, pressures)
    return FitState(found, lost, widening)


def first_loading(fit: RingFit, interference: float, yield_strength: float) -> FitState:
    """State when a radial interference in mm is reached for the first time; slices may yield."""

    def pressures(squeeze: float) -> tuple[float, ...]:
        return tuple(_loaded(ring, squeeze, yield_strength, fit.inner_pressure) for ring in fit.slices)

    found, widening = _share_with_eye(fit, interference, pressures)
    lost = tuple(
        max(0.0, interference - widening + ring.widening(fit.inner_pressure) - pressure * ring.inward_flexibility)
        if pressure >= first_yield_pressure(ring, yield_strength, fit.inner_pressure)
        else 0.0
        for ring, pressure in zip(fit.slices, found, strict=True)
    )
    return FitState(found, lost, widening)


def state_after(fit: RingFit, interference: float, history: Sequence[tuple[float, float]]) -> FitState:
    """State at a radial interference after others were passed: (interference, yield strength there) each.

    Every slice keeps the greatest loss it met; a state that yields again is reached elastically from there.
    """
    losses = [first_loading(fit, *passed).lost for passed in history]
    return elastic_state(fit, interference, tuple(max(slice_losses) for slice_losses in zip(*losses, strict=True)))


def _share_with_eye(
    fit: RingFit, interference: float, pressures: Callable[[float], tuple[float, ...]]
) -> tuple[tuple[float, ...], float]:
    """Pressures and widening of the eye such that the widening belongs to the mean pressure."""
    from scipy.optimize import brentq

    def excess(widening: float) -> float:
        found = pressures(interference - widening)
        return widening - fit.eye_flexibility * sum(found) / len(found)

    unwidened = pressures(interference)
    highest = fit.eye_flexibility * sum(unwidened) / len(unwidened)
    widening = brentq(excess, 0.0, highest, xtol=1e-15) if highest > 0 else 0.0
    return pressures(interference - widening), widening


def _loaded(ring: Tube, squeeze: float, yield_strength: float, inner_pressure: float) -> float:
    from scipy.optimize import brentq

    elastic = max(0.0, (squeeze + ring.widening(inner_pressure)) / ring.inward_flexibility)
    if elastic <= first_yield_pressure(ring, yield_strength, inner_pressure):
        return elastic
    limit, shrinkage = yielded_pressure(ring, ring.outer_radius, yield_strength, inner_pressure)
    if squeeze >= shrinkage:
        return limit

    def excess(rho: float) -> float:
        return yielded_pressure(ring, rho, yield_strength, inner_pressure)[1] - squeeze

    rho = brentq(excess, ring.inner_radius, ring.outer_radius, xtol=1e-13)
    return yielded_pressure(ring, rho, yield_strength, inner_pressure)[0]
