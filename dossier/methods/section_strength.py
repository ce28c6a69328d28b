"""Utilisation of pin, core and rings under all load cases, with the notch, and the steel that only fills contour."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dossier import units
from dossier.methods.bands import tolerance_causes
from dossier.methods.base import Basis, Contribution, InputError, Method, Outcome, ResultField, Value
from dossier.methods.section_bands import CoarseSection, banded_values, section_causes
from dossier.methods.section_in import Load, LoadedInput, section_materials, section_shape
from dossier.methods.section_stiffness import SECTION_BASIS, halved
from dossier.methods.strength_case import StrengthCase
from dossier.methods.working import Working
from dossier.records.base import Banded, q
from dossier.records.design import Tolerance

if TYPE_CHECKING:
    from dossier.mechanics.shapes import JointShape
    from dossier.mechanics.whole_section import SectionSolution

LEAST_NOTCH_ERROR = 0.005
"""Two meshes can agree by chance: the stated error of a peak is never below this share, the scatter seen on many meshes."""

MESH = 0.02
"""Difference `verify` accepts: another version of the triangulation may lay the triangles differently."""

PEAKS = ("pin_stress", "carrier_stress", "core_stress")


class SectionStrengthInput(LoadedInput):
    """Section, load cases and the strengths of its parts."""

    pin_yield: Banded = q(
        "MPa", "yield strength of the pin at its size", symbol="R_p", link="design.pin.material->yield_strength")
    pin_density: Banded = q("kg/m³", "density of the pin", symbol="ρ", link="design.pin.material->density")
    carrier_yield: Banded = q(
        "MPa", "yield strength of rings or half shells", symbol="R_s", link="design.carrier.material->yield_strength")
    core_yield: Banded | None = q(
        "MPa", "strength of the core at the temperature of use", None, symbol="R_c",
        link="design.core.material->yield_strength")
    idle_below: float = q("-", "utilisation below which steel counts as idle", 0.1, above=0, below=1, shown="%")
    minimum_wall: float = q("mm", "wall left around a cavity", 3.0, above=0, link="design.pin.minimum_wall")
    least_curvature: float = q("mm", "least radius of curvature of a free contour", 3.0, above=0)
    neck_tolerance: Tolerance | None = q(
        "mm", "deviations of the neck's radius", None, link="design.tolerances.pin.neck_radius")
    bore_tolerance: Tolerance | None = q(
        "mm", "deviations of the first bore's diameter", None, link="design.tolerances.pin.bores[0].diameter")


class SectionStrengthMethod(Method):
    """Peak von Mises stress over yield strength of every part, and mass and place of idle steel in the pin."""

    id = "section.strength"
    version = 2
    title = "Utilisation of the section and idle steel"
    step = "3"
    input_model = SectionStrengthInput
    results = (
        ResultField("pin_utilisation", "-", "utilisation of the pin at its most stressed place, all load cases", symbol="u_p",
                    tolerance=MESH),
        ResultField("pin_stress", "MPa", "von Mises stress there, notch included", symbol="σ_p", tolerance=MESH),
        ResultField("pin_stress_z", "mm", "axial distance of that place from the ball centre", symbol="z_p", tolerance=MESH),
        ResultField("pin_stress_r", "mm", "radius of that place", symbol="r_p", tolerance=MESH),
        ResultField("carrier_utilisation", "-", "utilisation of rings or half shells", symbol="u_s", tolerance=MESH),
        ResultField("carrier_stress", "MPa", "von Mises stress there", symbol="σ_s", tolerance=MESH),
        ResultField("core_utilisation", "-", "utilisation of the core", symbol="u_c", tolerance=MESH),
        ResultField("core_stress", "MPa", "von Mises stress in the core", symbol="σ_c", tolerance=MESH),
        ResultField("idle_mass", "kg", "steel of the pin between the clamp edges that is idle under all load cases", "g", "m_i",
                    tolerance=MESH),
        ResultField("idle_share", "-", "its share of that steel", "%", "m_i/m", tolerance=MESH),
        ResultField("idle_bore", "mm", "diameter of the largest through bore in the idle zone", symbol="d_i", tolerance=MESH),
        ResultField("cavity_diameter", "mm", "diameter of the largest cylinder in the idle zone", symbol="d_h", tolerance=MESH),
        ResultField("cavity_length", "mm", "its length", symbol="l_h", tolerance=MESH),
        ResultField("contour_mass", "kg", "steel within the largest free contour in the idle zone", "g", "m_f", MESH),
        ResultField("contour_volume", "mm³", "its volume", "cm³", "V_f", MESH),
        ResultField("contour_diameter", "mm", "greatest diameter of the free contour", symbol="d_f", tolerance=MESH),
        ResultField("contour_length", "mm", "its length", symbol="l_f", tolerance=MESH),
    )  # fmt: skip
    basis = Basis(
        "library",
        SECTION_BASIS + "; the peak of notches is within 1 % of a mesh four times as fine in the tests of the method",
        left_out=(
            "flats, bolt holes and crossing bores: the pin ends at the clamp edge, and the stress just before it is not read",
            "flexibility of bracket and bolts; preload of the bolts",
            "fatigue: a static utilisation against yield",
            "what taking steel away changes: the idle zone is that of the shape as it is; compute the lighter shape again",
            "residual stress of hardening, forging and press fit; creep of a polymer core",
        ),
        valid_for=("stresses below yield", "corners with a radius; a sharp one is refused"),
    )  # fmt: skip

    def run(self, given: SectionStrengthInput) -> Outcome:
        joint = strength_shape(given)
        cases = _cases(given, joint)
        case = max(cases, key=_pin_stress)
        numbers = case.numbers(given)
        values = _banded(given, case, {name: value for name, value in numbers.items() if name != "core_stress"})
        if joint.core.kind != "none":
            values |= _banded(given, cases[0], {"core_stress": cases[0].numbers(given)["core_stress"]})
        values |= {"pin_stress_z": abs(case.pin.peak.place[1]), "pin_stress_r": case.pin.peak.place[0]}
        strengths = {"pin": given.pin_yield, "carrier": given.carrier_yield, "core": given.core_yield}
        for part, strength in strengths.items():
            stress = values.get(f"{part}_stress")
            if isinstance(stress, Value) and strength is not None:
                values[f"{part}_utilisation"] = _utilisation(stress, strength)
        return Outcome(values, _warnings(given, joint), _outside(given, values), {"case": case})

    def working(self, given: SectionStrengthInput, outcome: Outcome) -> Working:
        working, case = Working(), outcome.detail["case"]
        peak, load = case.pin.peak, case.pin.load
        working.fact("model", "meridional section between the clamp edges; forces of each load case in their worst senses")
        working.fact("core", case.core_words)
        nodes = len(case.solution.mesh.nodes)
        working.fact("mesh", f"{nodes} nodes; {case.size.fillet_sides} sides on a quarter circle of a fillet")
        working.fact("bands", "each cause alone, on a mesh with lengths doubled but at the fillets; the error of the mesh is the "
                     "difference to one with all lengths doubled")  # fmt: skip
        place = f"r = {peak.place[0]:.1f} mm, z = {peak.place[1]:.1f} mm"
        working.fact("most stressed place of the pin", f"{place}, under {load.name}")
        for one in case.peaks("pin"):
            place = f"r = {one.peak.place[0]:.1f} mm, z = {one.peak.place[1]:.1f} mm"
            working.fact(one.load.name, f"{units.show(one.peak.stress, 4)} MPa at {place}")
        working.given("σ_p", "von Mises stress there", peak.stress, "MPa", "finite elements")
        working.given("R_p", "yield strength, lower end of its band", given.pin_yield.ends[0], "MPa")
        working.line("u", "utilisation of the pin at the lower end of its strength", "σ_p/R_p", "-", result=True)
        _nominal_lines(working, given, load)
        return working


def strength_shape(given: SectionStrengthInput) -> JointShape:
    """The checked shape; raises GeometryError, or InputError where a corner of the pin is sharp or an input is missing."""
    from dossier.mechanics.idle_steel import sharp_corners

    joint = section_shape(given)
    if sharp := sharp_corners(joint.pin):
        raise InputError("; ".join(sharp))
    return joint


def worst_case(given: SectionStrengthInput, joint: JointShape) -> StrengthCase:
    """The section solved with the core bonded or carrying nothing, whichever stresses the pin more."""
    return max(_cases(given, joint), key=_pin_stress)


def _cases(given: SectionStrengthInput, joint: JointShape) -> list[StrengthCase]:
    """The section solved with the core bonded and, where there is one, with it carrying nothing."""
    from dossier.mechanics.section_mesh import MeshSize
    from dossier.mechanics.whole_section import section_stiffness

    size, cases = MeshSize(), []
    for core in (True, False) if joint.core.kind != "none" else (True,):
        solution = section_stiffness(joint, section_materials(given, core=core), size=size)
        cases.append(StrengthCase(given, joint, core, size, solution))
    return cases


def _pin_stress(case: StrengthCase) -> float:
    return case.pin.peak.stress


def _banded(given: SectionStrengthInput, case: StrengthCase, numbers: Mapping[str, float]) -> dict[str, Value | float]:
    """Numbers of a case with their bands."""
    joint, size = case.joint, halved(case.size)

    def numbers_of(shape: JointShape, solution: SectionSolution) -> dict[str, float]:
        found = StrengthCase(given, shape, case.core, size, solution)
        if set(numbers) <= set(PEAKS):
            return {name: found.highest(name.removesuffix("_stress")).peak.stress for name in numbers}
        return found.numbers(given)

    doubled = numbers_of(*CoarseSection(given, joint, size, core=case.core).solve())
    # With as many sides on its fillets as the mesh used: their number decides how well a change of the peak is seen.
    coarse = CoarseSection(given, joint, replace(size, fillet_sides=case.size.fillet_sides), core=case.core)

    def mesh_error(name: str, value: float, _coarse: float) -> float:
        return max(abs(doubled[name] - value), LEAST_NOTCH_ERROR * value if name in PEAKS else 0.0)

    causes = section_causes(given, joint) | tolerance_causes({
        "tolerance of the neck": ("neck_radius", joint.pin.neck_radius, given.neck_tolerance),
        "tolerance of the bore": ("bore_diameter", joint.pin.bores[0].diameter if joint.pin.bores else 0.0,
                                  given.bore_tolerance if joint.pin.bores else None)})  # fmt: skip
    return banded_values(numbers, lambda **changes: numbers_of(*coarse.solve(**changes)), causes, mesh_error)


def _utilisation(stress: Value, strength: Banded) -> Value:
    low, high = strength.ends
    share = stress.value / strength.value
    lines = [replace(line, minus=line.minus / strength.value, plus=line.plus / strength.value) for line in stress.contributions]
    if high > low:
        lines.append(Contribution("yield strength", stress.value / high - share, stress.value / low - share))
    return Value(share, tuple(lines))


def _warnings(given: SectionStrengthInput, joint: JointShape) -> list[str]:
    found = []
    edge = joint.pin.ends.clamp_edge
    if any(max(abs(bore.start), abs(bore.end)) > edge for bore in joint.pin.bores):
        found.append(f"a bore reaches past the clamp edge at {units.show(edge, 4)} mm: the pin end (net section at the crossing, "
                     "crushing of a hollow flat) needs a verification of its own, by external analysis or test")  # fmt: skip
    if joint.core.kind != "none" and given.core_yield is None:
        found.append("the core has no strength: its utilisation is not stated; give its material a yield strength at the "
                     "temperature of use")  # fmt: skip
    return found


def _outside(given: SectionStrengthInput, values: dict[str, Any]) -> list[str]:
    limit, stress = given.pin_yield.ends[0], values["pin_stress"].high
    if stress <= limit:
        return []
    return [f"the peak of {units.show(stress, 4)} MPa exceeds the yield strength {units.show(limit, 4)} MPa: linear theory ends "
            "there; enlarge fillet or neck, or prove the load by test"]  # fmt: skip


def _nominal_lines(working: Working, given: SectionStrengthInput, load: Load) -> None:
    """Cross-check under a radial force: nominal bending stress where the neck meets the ball, ends held at the clamp edge."""
    from dossier.mechanics.pin import Support, pin_bending
    from dossier.methods.shapes_in import pin_shape

    slim = given.design.pin.straight_radius > 0
    if not load.radial or load.axial or load.tilt or load.torsion or slim:
        return
    beam = pin_bending(pin_shape(given.design.pin), load.radial, Support.HELD_AT_CLAMP_EDGE, given.pin_modulus.value,
                       given.pin_poisson.value, given.pin_yield.value)  # fmt: skip
    neck = max((one for one in beam.sections if one.name in ("neck line", "fillet end")), key=lambda one: one.sigma_v)
    meaning = f"bending moment of the beam at the {neck.name}, ends held at the clamp edges"
    working.given("M", meaning, neck.M_b, "N·mm", "pin.bending")
    working.given("D", "diameter of the neck", neck.D, "mm")
    working.given("d", "bore there, 0 if solid", neck.d, "mm")
    working.line("σ_n", "nominal bending stress there", "M/(π·(D⁴ − d⁴)/(32·D))", "MPa", "textbook identity")
    working.line("k", "peak over nominal stress: the notch factor the section shows", "σ_p/σ_n", "-")


METHODS: tuple[Method, ...] = (SectionStrengthMethod(),)
