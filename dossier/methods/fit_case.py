"""One press fit as the method fit.ring computes it: values for changed inputs, stresses, loss by yielding."""

from __future__ import annotations

from math import inf, sqrt
from typing import TYPE_CHECKING

from dossier.mechanics.fit import (
    FitState,
    RingFit,
    Tube,
    elastic_state,
    first_loading,
    spherical_slices,
    state_after,
    tresca,
)
from dossier.methods.shapes_in import RingsIn
from dossier.records.base import Banded
from dossier.records.design import Tolerance

if TYPE_CHECKING:
    from dossier.methods.fit import FitInput

SLICES = 4
MODEL_SHARE = 0.03
"""Slices and a shared eye against finite elements: at most 2 % apart on the shapes compared, 3 % are taken."""


class FitCase:
    """Rings in an eye with everything at its value unless `changes` say otherwise.

    Changes: ring_deviation, eye_deviation (radial, mm), flattening (diametral, mm), friction, ring_modulus,
    eye_modulus, ring_poisson, eye_poisson, ring_expansion, eye_expansion, ring_yield, eye_yield, model.
    """

    def __init__(self, given: FitInput, rings: RingsIn, flattening: Banded) -> None:
        self.given = given
        self.rings = rings
        self.flattening = flattening
        self.half = min(rings.half_width, given.eye_width / 2)
        self.length = 2 * self.half - rings.gap
        if self.length <= 0:
            raise ValueError(
                f"carrier.gap = {rings.gap:g} mm must be below the width of eye and rings {2 * self.half:g} mm; "
                "close the gap"
            )
        wall = given.eye_outer_radius - given.eye_bore_radius
        self.carrying_width = min(given.eye_width, 2 * self.half + wall)
        self.inner_radii = self._inner_radii()
        continuum = len(self.inner_radii) == 1 and self.carrying_width <= self.length
        self.model_share = 0.0 if continuum else MODEL_SHARE
        self._nominal = {
            "ring_deviation": middle(given.ring_tolerance),
            "eye_deviation": middle(given.eye_tolerance),
            "flattening": flattening.value,
            "model": 1.0,
        } | {
            name: getattr(given, name).value
            for name in (
                "friction", "ring_modulus", "eye_modulus", "ring_poisson", "eye_poisson", "ring_expansion",
                "eye_expansion", "ring_yield", "eye_yield",
            )
        }  # fmt: skip

    def _inner_radii(self) -> tuple[float, ...]:
        if self.given.ring_inside == "cylindrical":
            return (self.given.ring_inner_radius,)
        return spherical_slices(self.given.ring_inner_radius, self.rings.gap / 2, self.half, SLICES)

    @property
    def narrowest_radius(self) -> float:
        """Smallest inner radius in mm: an even squeeze strains the inside most where it lies furthest in."""
        if self.given.ring_inside == "cylindrical":
            return self.given.ring_inner_radius
        return sqrt(self.given.ring_inner_radius**2 - self.half**2)

    @property
    def nominal_interference(self) -> float:
        """Diametral interference in mm before flattening, in the middle of the tolerances."""
        return 2 * self.interference(self.given.temperature_new) + self.flattening.value

    @property
    def hottest(self) -> float:
        """Hottest temperature passed, °C."""
        hot, hottest = self.given.temperature_hot, self.given.temperature_hottest
        return hot if hottest is None else max(hot, hottest)

    def fit(self, **changes: float) -> RingFit:
        """The plain fit of mechanics."""
        value = self._nominal | changes
        radius = self.given.eye_bore_radius
        rings = tuple(Tube(inner, radius, value["ring_modulus"], value["ring_poisson"]) for inner in self.inner_radii)
        eye = Tube(radius, self.given.eye_outer_radius, value["eye_modulus"], value["eye_poisson"])
        share = self.length / self.carrying_width
        return RingFit(rings, eye, self.length, share, self.given.prestress_pressure)

    def interference(self, temperature: float, **changes: float) -> float:
        """Radial interference in mm after flattening at a temperature."""
        value = self._nominal | changes
        given = self.given
        ring = self.rings.outer_radius + value["ring_deviation"]
        bore = given.eye_bore_radius + value["eye_deviation"]
        expansion = value["ring_expansion"] - value["eye_expansion"]
        warm = expansion * given.eye_bore_radius * (temperature - given.temperature_new)
        return ring - bore - value["flattening"] / 2 + warm

    def _yield(self, temperature: float, strength: float) -> float:
        return strength * (self.given.yield_share_hot if temperature > self.given.temperature_new else 1.0)

    def history(self, **changes: float) -> list[tuple[float, float]]:
        """Interference and yield strength in every state of service, the new one first."""
        value = self._nominal | changes
        given = self.given
        states = (given.temperature_new, given.temperature_hot, self.hottest, given.temperature_cold)
        return [(self.interference(t, **changes), self._yield(t, value["ring_yield"])) for t in states]

    def states(self, **changes: float) -> dict[str, FitState]:
        """State as if elastic, new, hot and cold; hot and cold after every other state was passed."""
        fit, history = self.fit(**changes), self.history(**changes)
        new, hot, _, cold = (interference for interference, _ in history)
        return {
            "elastic": elastic_state(fit, new),
            "new": state_after(fit, new, history[:1]),
            "hot": state_after(fit, hot, history),
            "cold": state_after(fit, cold, history),
        }

    def values(self, **changes: float) -> dict[str, float]:
        """All banded results by name."""
        value = self._nominal | changes
        fit, states = self.fit(**changes), self.states(**changes)
        found = {"interference": 2 * self.interference(self.given.temperature_new, **changes)}
        for name in ("new", "hot", "cold"):
            pressure = value["model"] * states[name].mean
            found[f"pressure_{name}"] = pressure
            found[f"push_out_{name}"] = fit.force((pressure,), value["friction"])
        found["press_in"] = fit.force((value["model"] * states["elastic"].mean,), value["friction"])
        return found

    def stresses(self, changes: dict[str, float]) -> dict[str, float]:
        """Stresses and safeties in the worst state of service, and the greatest loss by yielding."""
        value = self._nominal | changes
        fit = self.fit(**changes)
        given = self.given
        temperatures = (given.temperature_new, given.temperature_hot, self.hottest, given.temperature_cold)
        rings: list[tuple[float, float]] = []
        eyes: list[tuple[float, float]] = []
        lost = []
        for (interference, strength), temperature in zip(self.history(**changes), temperatures, strict=True):
            elastic = elastic_state(fit, interference)
            rings.append(self._ring_stress(fit, interference - elastic.widening, strength))
            strongest = self._yield(temperature, self.given.ring_yield.ends[1])
            eye_strength = self._yield(temperature, value["eye_yield"])
            eyes.append(_eye_stress(fit, first_loading(fit, interference, strongest), eye_strength))
            lost.append(2 * max(first_loading(fit, interference, strength).lost))
        ring_safety, ring_stress = min(rings)
        eye_safety, eye_stress = min(eyes)
        return {
            "ring_stress": ring_stress,
            "ring_safety": ring_safety,
            "eye_stress": eye_stress,
            "eye_safety": eye_safety,
            "lost": max(lost),
        }

    def _ring_stress(self, fit: RingFit, squeeze: float, strength: float) -> tuple[float, float]:
        """Safety and hoop stress inside the ring where its inside is narrowest, elastic."""
        like = fit.slices[0]
        ring = Tube(self.narrowest_radius, fit.radius, like.youngs_modulus, like.poisson_ratio)
        inner = fit.inner_pressure
        pressure = max(0.0, (squeeze + ring.widening(inner)) / ring.inward_flexibility)
        radial, hoop = ring.stress(ring.inner_radius, inner, pressure)
        return _safety(strength, tresca(radial, hoop)), hoop


def _eye_stress(fit: RingFit, state: FitState, strength: float) -> tuple[float, float]:
    """Safety and hoop stress inside the evenly widened eye, at the slice with the greatest pressure."""
    eye, most = fit.eye, max(state.pressures)
    hoop = eye.youngs_modulus * state.widening / fit.radius - eye.poisson_ratio * most
    return _safety(strength, tresca(hoop, -most)), hoop


def _safety(strength: float, equivalent: float) -> float:
    return strength / equivalent if equivalent else inf


def middle(tolerance: Tolerance | None) -> float:
    """Middle of a tolerance, 0 without one."""
    return (tolerance.lower + tolerance.upper) / 2 if tolerance else 0.0
