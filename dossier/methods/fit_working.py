"""The working of a press fit: flexibilities of the slices, pressures and forces new, hot and cold."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dossier import units
from dossier.mechanics.fit import FitState, RingFit
from dossier.methods.fit_case import FitCase, middle
from dossier.methods.working import Working

if TYPE_CHECKING:
    from dossier.methods.fit import FitInput


def write_working(working: Working, given: FitInput, case: FitCase) -> None:
    """Fill the working with the nominal case, in the middle of the tolerances."""
    _givens(working, given, case)
    fit, states = case.fit(), case.states()
    _flexibilities(working, fit)
    working.line("U_w", "diametral interference after flattening", "U_n − U_f", "mm")
    working.line("A", "area of the joint", "2·π·b·l", "mm²")
    _state(working, fit, states["new"], "0", "new", "U_w/2")
    working.line("F_0", "push-out force, new", "μ·A·p_0", "N", result=True)
    for mark, name, symbol in (("h", "hot", "T_h"), ("c", "cold", "T_c")):
        warm = f"U_w/2 + (α_R − α_E)·b·({symbol} − T_0)"
        _state(working, fit, states[name], mark, name, warm)
        working.line(f"F_{mark}", f"push-out force, {name}", f"μ·A·p_{mark}", "N", result=True)


def _givens(working: Working, given: FitInput, case: FitCase) -> None:
    ring, bore = 2 * case.rings.outer_radius, 2 * given.eye_bore_radius
    oversize = 2 * (middle(given.ring_tolerance) - middle(given.eye_tolerance))
    words = f"{ring:.4f} − {bore:.4f} mm and {oversize:+.4f} mm for the middle of the tolerances".replace("-", "−")
    working.given("U_n", "diametral interference before flattening", case.nominal_interference, "mm", words)
    working.given("b", "bore radius of the eye", given.eye_bore_radius, "mm")
    working.given("U_f", "interference lost by flattening", case.flattening.value, "mm")
    working.given("c", "outer radius of the eye", given.eye_outer_radius, "mm")
    working.given("l", "length of the joint, both rings", case.length, "mm")
    words = "width of the eye that carries along, at most half its wall beyond the rings on each side"
    working.given("w", words, case.carrying_width, "mm")
    for symbol, meaning, banded, unit in (
        ("E_R", "Young's modulus of the rings", given.ring_modulus, "MPa"),
        ("ν_R", "Poisson's ratio of the rings", given.ring_poisson, "-"),
        ("E_E", "Young's modulus of the eye", given.eye_modulus, "MPa"),
        ("ν_E", "Poisson's ratio of the eye", given.eye_poisson, "-"),
        ("α_R", "thermal expansion of the rings", given.ring_expansion, "1/K"),
        ("α_E", "thermal expansion of the eye", given.eye_expansion, "1/K"),
        ("μ", "friction", given.friction, "-"),
    ):
        working.given(symbol, meaning, banded.value, unit)
    working.given("T_0", "temperature of assembly", given.temperature_new, "°C")
    working.given("T_h", "temperature of the hot push-out", given.temperature_hot, "°C")
    working.given("T_c", "temperature of the cold push-out", given.temperature_cold, "°C")
    if given.prestress_pressure:
        working.given("p_i", "pressure of the rubber on the rings' inside", given.prestress_pressure, "MPa")
    working.fact("model", "closed rings, thick-walled tubes in plane stress; eye without the link's shank")
    hottest = units.show(case.hottest, 3)
    working.fact("order", f"cold after the hottest state of {hottest} °C, hot after the coldest: losses are kept")


def _flexibilities(working: Working, fit: RingFit) -> None:
    for number, ring in enumerate(fit.slices, start=1):
        working.given(f"a_{number}", f"inner radius of slice {number}", ring.inner_radius, "mm", "middle of the slice")
        working.line(
            f"k_{number}", f"flexibility of slice {number}",
            f"b/E_R·((b² + a_{number}²)/(b² − a_{number}²) − ν_R)", "mm/MPa", "Lamé, plane stress",
        )  # fmt: skip
        if fit.inner_pressure:
            working.line(
                f"l_{number}", f"widening of slice {number} by the rubber's pressure",
                f"2·a_{number}²·b·p_i/(E_R·(b² − a_{number}²))", "mm", "Lamé, plane stress",
            )  # fmt: skip
    count = len(fit.slices)
    total = " + ".join(f"1/k_{number}" for number in range(1, count + 1))
    working.line("m", "mean stiffness of the slices", f"({total})/{count}", "MPa/mm")
    working.line("k_E", "flexibility of the eye under the mean pressure",
                 "b/E_E·((c² + b²)/(c² − b²) + ν_E)·l/w", "mm/MPa", "Lamé, plane stress")  # fmt: skip


def _state(working: Working, fit: RingFit, state: FitState, mark: str, name: str, interference: str) -> None:
    working.line(f"δ_{mark}", f"radial interference, {name}", interference, "mm")
    numbers = range(1, len(fit.slices) + 1)
    count = len(fit.slices)
    yielded = any(state.lost)
    if yielded:
        for number, lost in zip(numbers, state.lost, strict=True):
            words = f"radial interference slice {number} has lost by yielding, {name}"
            working.given(f"λ_{mark}{number}", words, lost, "mm", "elastic–perfectly plastic ring, Tresca, solved")
    if not yielded and not fit.inner_pressure:
        formula = f"max(0, δ_{mark}·m/(1 + k_E·m))"
        working.line(f"p_{mark}", f"mean joint pressure, {name}", formula, "MPa")
        return
    plus = {number: f" + l_{number}" if fit.inner_pressure else "" for number in numbers}
    minus = {number: f" − λ_{mark}{number}" if yielded else "" for number in numbers}
    if all(pressure > 0 for pressure in state.pressures):
        total = " + ".join(f"(δ_{mark}{plus[n]}{minus[n]})/k_{n}" for n in numbers)
        working.line(f"p_{mark}", f"mean joint pressure, {name}", f"({total})/{count}/(1 + k_E·m)", "MPa")
        return
    working.given(f"u_{mark}", f"widening of the eye, {name}", state.widening, "mm", "solved: some slices are loose")
    total = " + ".join(f"max(0, (δ_{mark} − u_{mark}{plus[n]}{minus[n]})/k_{n})" for n in numbers)
    working.line(f"p_{mark}", f"mean joint pressure, {name}", f"({total})/{count}", "MPa")

