"""Bending and shear of the pin between ball and bracket, with both bounds of its support."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from dossier import units
from dossier.methods.base import Basis, Contribution, Method, MethodInput, Outcome, ResultField, Value
from dossier.methods.shapes_in import CoreIn, PinIn, pin_shape
from dossier.methods.working import Working
from dossier.records.base import Banded, q

if TYPE_CHECKING:
    from dossier.mechanics.pin import PinBending

SupportName = Literal["simple_at_bolt_axis", "held_at_bolt_axis", "held_at_clamp_edge"]
_WORDS = {
    "simple_at_bolt_axis": "ends free to rotate at the bolt axes",
    "held_at_bolt_axis": "ends held without rotation at the bolt axes",
    "held_at_clamp_edge": "ends held without rotation at the clamp edges",
}


class PinBendingInput(MethodInput):
    """Pin, force, support and material."""

    pin: PinIn = q("-", "dimensions of the pin", link="design.pin")
    core: CoreIn = q("-", "filler", CoreIn(), link="design.core")
    force: float = q("N", "radial force at the ball centre", above=0, shown="kN", symbol="F")
    support: SupportName = q("-", "how the bracket supports the pin's ends")
    yield_strength: Banded = q(
        "MPa", "yield strength at the pin's size", symbol="R_e", link="design.pin.material->yield_strength"
    )
    youngs_modulus: Banded = q(
        "MPa", "Young's modulus of the pin", symbol="E", link="design.pin.material->youngs_modulus"
    )
    poisson_ratio: Banded = q("-", "Poisson's ratio of the pin", symbol="ν", link="design.pin.material->poisson_ratio")
    core_modulus: Banded | None = q(
        "MPa", "Young's modulus of a bonded filler", None, link="design.core.material->youngs_modulus"
    )


class PinBendingMethod(Method):
    """Nominal stresses at every section that may decide, static safety, deflection; core carrying nothing."""

    id = "pin.bending"
    version = 1
    title = "Static safety of the pin against yield in bending and shear"
    step = "3"
    input_model = PinBendingInput
    results = (
        ResultField("safety", "-", "static safety against yield", symbol="S"),
        ResultField("load_at_yield", "N", "radial force at which the deciding section yields", "kN", "F_e"),
        ResultField("safety_simple", "-", "safety if the ends rotate freely at the bolt axes", symbol="S_s"),
        ResultField("safety_held", "-", "safety if the ends are held at the clamp edges", symbol="S_h"),
        ResultField("bending_stress", "MPa", "nominal bending stress at the deciding section", symbol="σ_b"),
        ResultField("shear_stress", "MPa", "mean shear stress there", symbol="τ_m"),
        ResultField("equivalent_stress", "MPa", "equivalent stress there (von Mises)", symbol="σ_v"),
        ResultField("moment", "N·mm", "bending moment there", "N·m", "M_b"),
        ResultField("position", "mm", "axial position of the deciding section", symbol="z", tolerance=1e-9),
        ResultField("deflection", "mm", "deflection of the ball against the supports", symbol="w"),
        ResultField("stiffness", "N/mm", "radial stiffness of the pin, filler carrying nothing", "kN/mm", "c_p"),
        ResultField("stiffness_bonded", "N/mm", "radial stiffness of the pin, filler bonded", "kN/mm", "c_p′"),
    )
    basis = Basis(
        "memory",
        "beam theory with shear deflection (Timoshenko); shear coefficient of Cowper, J. Appl. Mech. 33 (1966) 335, "
        "from memory, not checked against its text; section formulas are textbook identities",
        left_out=(
            "notch effect at fillet, bore mouth and bore steps: nominal stresses only",
            "bolt holes and their crossing with a bore; flats",
            "flexibility of bracket and bolts; local pressure of the ball; residual stress of heat treatment",
        ),
        valid_for=("round section of the neck up to the support", "stresses below yield"),
    )

    def run(self, given: PinBendingInput) -> Outcome:
        main = _bending(given, given.support)
        low, high = given.yield_strength.ends
        strength = given.yield_strength.value
        share = main.safety / strength
        safety = Value(main.safety, _yield_line(share, low - strength, high - strength))
        core_carries = given.core_modulus.value if given.core_modulus and given.core.kind == "bore_fill" else 0.0
        outside = _outside(given, main)
        return Outcome(
            {
                "safety": safety,
                "load_at_yield": _scaled(safety, given.force),
                "safety_simple": _bending(given, "simple_at_bolt_axis").safety,
                "safety_held": _bending(given, "held_at_clamp_edge").safety,
                "bending_stress": main.critical.sigma_b,
                "shear_stress": main.critical.tau_m,
                "equivalent_stress": main.critical.sigma_v,
                "moment": main.critical.M_b,
                "position": main.critical.z,
                "deflection": main.deflection,
                "stiffness": main.stiffness,
                "stiffness_bonded": _bending(given, given.support, core_carries).stiffness,
            },
            warnings=_warnings(given),
            outside=outside,
            detail={"bending": main},
        )

    def working(self, given: PinBendingInput, outcome: Outcome) -> Working:
        main: PinBending = outcome.detail["bending"]
        critical = main.critical
        working = Working()
        working.fact("support", _WORDS[given.support])
        working.fact("deciding section", f"{critical.name} at z = {units.show(critical.z, 4)} mm")
        working.given("F", "radial force", given.force, "N")
        working.given("D", "outer diameter", critical.D, "mm")
        working.given("d", "bore diameter there, 0 if solid", critical.d, "mm")
        working.given("R_e", "yield strength", given.yield_strength.value, "MPa")
        _moment_lines(working, main)
        working.line("W_b", "section modulus", "π·(D⁴ − d⁴)/(32·D)", "mm³", "textbook identity")
        working.line("σ_b", "nominal bending stress", "M_b/W_b", "MPa")
        working.line("A", "cross-section", "π·(D² − d²)/4", "mm²")
        working.line("τ_m", "mean shear stress", "Q/A", "MPa")
        working.line("τ_x", "greatest shear stress, at the neutral axis",
                     "4/3·τ_m·(D² + D·d + d²)/(D² + d²)", "MPa", "textbook identity, Q·S/(I·b)")  # fmt: skip
        working.line("σ_v", "equivalent stress", "max(√(σ_b² + 3·τ_m²), √(3)·τ_x)", "MPa", "von Mises")
        working.line("F_e", "radial force at yield", "F·R_e/σ_v", "N")
        working.line("S", "static safety against yield", "R_e/σ_v", "-", result=True)
        return working


def _moment_lines(working: Working, main: PinBending) -> None:
    critical = main.critical
    if len({section.z > 0 for section in main.sections}) > 1 or any(s.name == "bore step" for s in main.sections):
        working.given("Q", "shear force there", critical.Q, "N", "equilibrium of both stepped arms")
        working.given("M_b", "bending moment there", critical.M_b, "N·mm", "equilibrium of both stepped arms")
        return
    working.given("z_s", "position of the support", main.support_z, "mm")
    working.given("z", "position of the deciding section", abs(critical.z), "mm")
    working.line("Q", "shear force, half of the load at each end", "F/2", "N")
    if main.support == "simple_at_bolt_axis":
        working.line("M_b", "bending moment", "Q·(z_s − z)", "N·mm", "beam, ends free to rotate")
        return
    working.given("z_n", "neck line, where the arm begins", main.arm_start, "mm")
    working.line("M_b", "bending moment", "Q·abs((z_s + z_n)/2 − z)", "N·mm", "beam held at both ends of the arm")


def _bending(given: PinBendingInput, support: str, core_modulus: float = 0.0) -> PinBending:
    from dossier.mechanics.pin import pin_bending

    slim = given.pin.straight_radius > 0
    return pin_bending(
        pin_shape(given.pin),
        given.force,
        support,
        given.youngs_modulus.value,
        given.poisson_ratio.value,
        given.yield_strength.value,
        core_modulus,
        rigid_ball=not slim,
    )


def _scaled(value: Value, factor: float) -> Value:
    lines = tuple(Contribution(c.cause, c.minus * factor, c.plus * factor) for c in value.contributions)
    return Value(value.value * factor, lines)


def _yield_line(share: float, minus: float, plus: float) -> tuple[Contribution, ...]:
    return (Contribution("yield strength", share * minus, share * plus),) if minus or plus else ()


def _outside(given: PinBendingInput, main: PinBending) -> list[str]:
    if main.critical.sigma_v <= given.yield_strength.ends[0]:
        return []
    stress, limit = units.show(main.critical.sigma_v, 4), units.show(given.yield_strength.ends[0], 4)
    return [f"equivalent stress {stress} MPa exceeds the yield strength {limit} MPa: elastic theory ends there"]


def _warnings(given: PinBendingInput) -> list[str]:
    edge = given.pin.ends.clamp_edge
    entering = [bore for bore in given.pin.bores if max(abs(bore.start), abs(bore.end)) > edge]
    if not entering:
        return []
    return [
        f"a bore reaches past the clamp edge at {units.show(edge, 4)} mm: the pin end (net section at the crossing, "
        "crushing of a hollow flat) needs a verification of its own, by external analysis or test"
    ]


METHODS: tuple[Method, ...] = (PinBendingMethod(),)
