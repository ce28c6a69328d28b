"""Utilisation of pin, core and rings under all load cases, with the notch, and the steel that only fills contour."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from dossier import units
from dossier.methods.base import Basis, Contribution, InputError, Method, Outcome, ResultField, Value
from dossier.methods.section_in import Load, LoadedInput, loads_of, motion_of, section_materials, section_shape
from dossier.methods.section_stiffness import SECTION_BASIS, halved
from dossier.methods.working import Working
from dossier.records.base import Banded, q

if TYPE_CHECKING:
    from dossier.mechanics.idle_steel import Cavity, Peak
    from dossier.mechanics.section_mesh import MeshSize
    from dossier.mechanics.shapes import JointShape
    from dossier.mechanics.whole_section import SectionSolution

LEAST_NOTCH_ERROR = 0.005
"""Two meshes can agree by chance: the stated error of a peak is never below this share, the scatter seen on many meshes."""

MESH = 0.02
"""Difference `verify` accepts: another version of the triangulation may lay the triangles differently."""

CARRIERS = ("ring", "half_shell")


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


class SectionStrengthMethod(Method):
    """Peak von Mises stress over yield strength of every part, and mass and place of idle steel in the pin."""

    id = "section.strength"
    version = 1
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
        ResultField("cavity_diameter", "mm", "diameter of the largest cavity in the idle zone", symbol="d_h", tolerance=MESH),
        ResultField("cavity_length", "mm", "its length", symbol="l_h", tolerance=MESH),
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
        strength = given.pin_yield
        stress = Value(case.pin.peak.stress, _notch_line(given, case))
        values: dict[str, Value | float] = {
            "pin_utilisation": _utilisation(stress, strength), "pin_stress": stress,
            "pin_stress_z": abs(case.pin.peak.place[1]), "pin_stress_r": case.pin.peak.place[0],
            "carrier_utilisation": case.carrier.peak.stress / given.carrier_yield.ends[0],
            "carrier_stress": case.carrier.peak.stress, **case.idle(given),
        }  # fmt: skip
        if joint.core.kind != "none":
            values |= _core_values(given, cases[0])
        return Outcome(values, _warnings(given, joint), _outside(given, values), {"case": case})

    def working(self, given: SectionStrengthInput, outcome: Outcome) -> Working:
        working, case = Working(), outcome.detail["case"]
        peak, load = case.pin.peak, case.pin.load
        working.fact("model", "meridional section between the clamp edges; forces of each load case in their worst senses")
        working.fact("core", case.core_words)
        nodes = len(case.solution.mesh.nodes)
        working.fact("mesh", f"{nodes} nodes; {case.size.fillet_sides} sides on a quarter circle of a fillet")
        place = f"r = {peak.place[0]:.1f} mm, z = {peak.place[1]:.1f} mm"
        working.fact("most stressed place of the pin", f"{place}, under {load.name}")
        for name, one in case.pin_by_load:
            working.fact(name, f"{units.show(one.stress, 4)} MPa at r = {one.place[0]:.1f} mm, z = {one.place[1]:.1f} mm")
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
    return [StrengthCase(given, joint, core) for core in ((True, False) if joint.core.kind != "none" else (True,))]


def _pin_stress(case: StrengthCase) -> float:
    return case.pin.peak.stress


@dataclass(frozen=True)
class _Worst:
    """The worst load case of a part and its peak."""

    load: Load
    peak: Peak


class StrengthCase:
    """The section solved with the core bonded or carrying nothing."""

    def __init__(self, given: SectionStrengthInput, joint: JointShape, core: bool, size: MeshSize | None = None) -> None:
        from dossier.mechanics.section_mesh import MeshSize
        from dossier.mechanics.section_stress import NodalStress
        from dossier.mechanics.whole_section import section_stiffness

        self.size, self.joint, self.core = size or MeshSize(), joint, core
        self.solution: SectionSolution = section_stiffness(joint, section_materials(given, core=core), size=self.size)
        self.loads = loads_of(given)
        self.motions = [motion_of(self.solution.stiffness, load) for load in self.loads]
        groups, nodes, fields = self.solution.groups, self.solution.mesh.nodes, self.solution.fields
        self.stress = {name: NodalStress(nodes, group, fields) for name, group in groups.items() if name != "layer"}
        self.pin_by_load = [(load.name, self._peak("pin", number)) for number, load in enumerate(self.loads)]
        self.pin = self._worst("pin")
        self.carrier = self._worst(next(name for name in CARRIERS if name in self.stress))

    @property
    def core_words(self) -> str:
        if self.joint.core.kind == "none":
            return "none"
        return "bonded" if self.core else "carrying nothing: the worse case for the pin"

    def _peak(self, part: str, number: int) -> Peak:
        from dossier.mechanics.idle_steel import peak

        return peak(self.solution.mesh, self.stress[part], self.motions[number], self.joint.pin)

    def _worst(self, part: str) -> _Worst:
        peaks = [self._peak(part, number) for number in range(len(self.loads))]
        worst = max(range(len(peaks)), key=lambda number: peaks[number].stress)
        return _Worst(self.loads[worst], peaks[worst])

    def idle(self, given: SectionStrengthInput) -> dict[str, float]:
        """Mass, share, bore and cavity of the idle zone at the lower end of the yield strength."""
        from math import pi

        from dossier.mechanics.idle_steel import envelope, idle_bore, idle_cavity, idle_volume

        mesh, stress, group = self.solution.mesh, self.stress["pin"], self.solution.groups["pin"]
        used = envelope(stress, self.motions, given.pin_yield.ends[0])
        below, pin = given.idle_below, self.joint.pin
        volume = idle_volume(mesh, group, stress, used, below)
        whole = 2 * pi * float(group.geometry.volume.sum())
        cavity: Cavity = idle_cavity(mesh, stress, used, below, pin, given.minimum_wall)
        return {"idle_mass": volume * 1e-9 * given.pin_density.value, "idle_share": volume / whole,
                "idle_bore": idle_bore(mesh, stress, used, below, pin),
                "cavity_diameter": cavity.diameter, "cavity_length": 2 * cavity.half_length}  # fmt: skip


def _notch_line(given: SectionStrengthInput, case: StrengthCase) -> tuple[Contribution, ...]:
    """Error of the peak from a mesh with all lengths doubled."""
    coarse = StrengthCase(given, case.joint, case.core, halved(case.size))
    error = max(abs(coarse.pin.peak.stress - case.pin.peak.stress), LEAST_NOTCH_ERROR * case.pin.peak.stress)
    return (Contribution("mesh at the notch", -error, error),)


def _utilisation(stress: Value, strength: Banded) -> Value:
    low, high = strength.ends
    share = stress.value / strength.value
    lines = [replace(line, minus=line.minus / strength.value, plus=line.plus / strength.value) for line in stress.contributions]
    if high > low:
        lines.append(Contribution("yield strength", stress.value / high - share, stress.value / low - share))
    return Value(share, tuple(lines))


def _core_values(given: SectionStrengthInput, bonded: StrengthCase) -> dict[str, float]:
    worst = bonded._worst("core").peak.stress
    values = {"core_stress": worst}
    if given.core_yield is not None:
        values["core_utilisation"] = worst / given.core_yield.ends[0]
    return values


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
