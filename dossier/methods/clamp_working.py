"""The working of a bolted pin end, in the order of a hand calculation."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dossier.mechanics.clamp import cone_slope
from dossier.methods.clamp_case import ClampCase
from dossier.methods.working import Working

if TYPE_CHECKING:
    from dossier.methods.clamp import ClampInput

_AS = "following VDI 2230-1, from memory"


def write_working(working: Working, given: ClampInput, case: ClampCase) -> None:
    """Fill the working with the nominal case."""
    _tightening(working, given, case)
    _resiliences(working, given, case)
    _settled(working, given)
    _in_service(working, given)
    _under_head(working, given, case)


def _tightening(working: Working, given: ClampInput, case: ClampCase) -> None:
    working.given("d", "nominal diameter", given.bolt_diameter, "mm")
    working.given("P", "pitch", given.bolt_pitch, "mm")
    working.given("R_p", "yield strength of the bolt", given.bolt_yield, "MPa")
    working.given("ν", "utilisation in tightening", given.utilisation, "-")
    working.given("μ_G", "friction in the thread, lower end", case.friction_low[0], "-")
    working.given("μ_K", "friction under the head, lower end", case.friction_low[1], "-")
    working.given("d_w", "bearing diameter of the head", given.head_bearing_diameter, "mm")
    working.given("d_h", "hole diameter", case.hole, "mm")
    working.given("α_A", "tightening factor", given.tightening_factor, "-")
    working.line("d_2", "pitch diameter", "d − 0.649519·P", "mm", "ISO metric thread")
    working.line("d_3", "minor diameter", "d − 1.226869·P", "mm", "ISO metric thread")
    working.line("A_S", "stress area", "π/4·((d_2 + d_3)/2)²", "mm²", "ISO 898-1")
    working.line("t_G", "tan of lead and friction angle", "P/(π·d_2) + 1.155·μ_G", "-")
    working.line("F_M", "greatest assembly preload",
                 "ν·R_p·A_S/√(1 + 3·(3·d_2/(d_2 + d_3)·t_G)²)", "N", _AS)  # fmt: skip
    working.line("M_A", "tightening torque",
                 "F_M·(0.16·P + 0.58·d_2·μ_G + μ_K·(d_w + d_h)/4)", "N·mm", _AS)  # fmt: skip
    working.line("F_m", "least assembly preload", "F_M/α_A", "N", _AS)


def _resiliences(working: Working, given: ClampInput, case: ClampCase) -> None:
    working.given("E_S", "Young's modulus of the bolt", given.bolt_modulus, "MPa")
    working.given("l_P", "thickness of the pin flat", case.thicknesses[0], "mm")
    working.given("l_B", "thickness of the bracket", given.bracket_thickness, "mm")
    working.given("l_1", "shank within the grip", given.shank_length, "mm")
    working.given("l_K", "grip", case.grip, "mm")
    head, other = ("0.4" if given.socket_head else "0.5"), ("0.33" if given.tapped else "0.4")
    working.line("A_N", "area of the shank", "π/4·d²", "mm²")
    working.line("A_3", "area of the core", "π/4·d_3²", "mm²")
    working.line(
        "δ_S", "resilience of the bolt",
        f"(({head}·d + l_1 + {other}·d)/A_N + (l_K − l_1 + 0.5·d)/A_3)/E_S", "mm/N", _AS,
    )  # fmt: skip
    working.given("E_P", "Young's modulus of the pin", given.pin_modulus.value, "MPa")
    working.given("E_B", "Young's modulus of the bracket", given.bracket_modulus.value, "MPa")
    working.given("D_A", "width of the flat, outer diameter of the cone", case.flat_width, "mm")
    if cone_slope(case.grip, given.head_bearing_diameter, case.flat_width, tapped=given.tapped):
        words = "0.348 + 0.013·ln(l_K/d_w) + 0.193·ln(D_A/d_w)" if given.tapped else (
            "0.362 + 0.032·ln(l_K/d_w/2) + 0.153·ln(D_A/d_w)")  # fmt: skip
        working.line("t", "tan of the cone's half angle", words, "-", _AS)
    symbols = [_segment(working, number, segment) for number, segment in enumerate(case.segments(), start=1)]
    working.line("δ_P", "resilience of the clamped parts", " + ".join(symbols), "mm/N")
    working.fact("cone", "one outer diameter for pin flat and bracket; the cones begin at head and nut")


def _segment(working: Working, number: int, segment) -> str:
    modulus = ("E_P", "E_B")[segment.layer]
    part = ("pin flat", "bracket")[segment.layer]
    near, far = sorted((segment.start, segment.end))
    symbol = f"δ_{number}"
    if not segment.cone:
        working.given(f"s_{number}", f"length of sleeve {number}, {part}", far - near, "mm")
        outer = "max(D_A, d_w)" if "t" in working.values else "min(D_A, d_w)"
        formula = f"4·s_{number}/(π·{modulus}·({outer}² − d_h²))"
        working.line(symbol, f"resilience of sleeve {number}, {part}", formula, "mm/N", _AS)
        return symbol
    ends = []
    for mark, depth in (("a", near), ("b", far)):
        name = f"z_{number}{mark}"
        working.given(name, f"distance of cone {number} from its bearing face", depth, "mm")
        working.line(f"D_{number}{mark}", "diameter there", f"d_w + 2·t·{name}", "mm")
        ends.append(f"D_{number}{mark}")
    low, high = ends
    formula = f"ln(({high} − d_h)·({low} + d_h)/(({high} + d_h)·({low} − d_h)))/(π·{modulus}·d_h·t)"
    working.line(symbol, f"resilience of cone {number}, {part}", formula, "mm/N", _AS)
    return symbol


def _settled(working: Working, given: ClampInput) -> None:
    working.given("f_Z", "embedding of all faces together", given.settling.value, "mm")
    working.given("r", "further relaxation", given.relaxation, "-")
    working.line("F_Z", "preload lost by embedding", "f_Z/(δ_S + δ_P)", "N", _AS)
    working.line("q_R", "preload left after settling, share of the least preload",
                 "(F_m·(1 − r) − F_Z)/F_m", "-", result=True)  # fmt: skip


def _in_service(working: Working, given: ClampInput) -> None:
    for symbol, meaning, value, unit in (
        ("α_P", "thermal expansion of the pin", given.pin_expansion.value, "1/K"),
        ("α_B", "thermal expansion of the bracket", given.bracket_expansion.value, "1/K"),
        ("α_S", "thermal expansion of the bolt", given.bolt_expansion.value, "1/K"),
        ("T_0", "temperature of tightening", given.temperature_assembly, "°C"),
        ("T_h", "hottest temperature", given.temperature_hot, "°C"),
        ("T_c", "coldest temperature", given.temperature_cold, "°C"),
        ("i", "bolts that carry together", float(given.bolts), "-"),
        ("F_A", "force on the joint along the bolts", given.axial_force, "N"),
        ("n", "load introduction factor", given.load_factor.value, "-"),
        ("F_Q", "force on the joint across the bolts", given.transverse_force, "N"),
        ("μ_T", "friction of flat and bracket", given.interface_friction.value, "-"),
        ("q_F", "faces in friction", float(given.friction_faces), "-"),
    ):
        working.given(symbol, meaning, value, unit)
    gap = "(l_P·(α_P − α_S) + l_B·(α_B − α_S))/(δ_S + δ_P)"
    working.line("c_T", "change of preload per kelvin", gap, "N/K")
    working.line("F_h", "change of preload, hot", "c_T·(T_h − T_0)", "N")
    working.line("F_c", "change of preload, cold", "c_T·(T_c − T_0)", "N")
    working.line("Φ", "share of an axial force that the bolt carries", "n·δ_P/(δ_S + δ_P)", "-", _AS)
    working.line("F_R", "least clamp force in service",
                 "F_m·(1 − r) − F_Z + min(0, F_h, F_c) − (1 − Φ)·F_A/i", "N", _AS)  # fmt: skip
    working.line("S_G", "safety against slip", "F_R·μ_T·q_F·i/F_Q", "-", result=True)


def _under_head(working: Working, given: ClampInput, case: ClampCase) -> None:
    working.given("A_p", "contact area under the head on the flat", case.area, "mm²",
                  "circle less hole, chamfer and overhang")  # fmt: skip
    working.given("p_G", "limiting surface pressure", given.limit_pressure.value, "MPa")
    working.line("F_S", "greatest bolt force in service", "F_M + max(0, F_h, F_c) + Φ·F_A/i", "N", _AS)
    working.line("q_p", "pressure under the head over the limit", "F_S/(A_p·p_G)", "-", result=True)
    working.line("σ_z", "tension in the bolt", "F_S/A_S", "MPa")
    working.line("τ_t", "torsion of tightening", "8·F_M·d_2·t_G/(π·((d_2 + d_3)/2)³)", "MPa")
    working.line("S_F", "yield strength of the bolt over its stress in service",
                 "R_p/√(σ_z² + 3·(0.5·τ_t)²)", "-", _AS, result=True)  # fmt: skip
