"""Does pre-stress keep the rubber closed, at rest and free of cavities under every load case?"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from math import pi
from typing import TYPE_CHECKING

from dossier import units
from dossier.methods.base import Basis, InputError, Method, Outcome, ResultField, Value
from dossier.methods.section_bands import CoarseSection, banded_values, section_causes
from dossier.methods.section_in import Load, LoadedInput, loads_of, motion_of, section_materials, section_shape
from dossier.methods.working import Working
from dossier.records.base import Banded, q

if TYPE_CHECKING:
    from dossier.mechanics.layer_limits import FaceLimits, LayerLimits
    from dossier.mechanics.whole_section import SectionSolution

FACES = {"pin": "on the pin", "carrier": "in rings or half shells"}
MESH = 2e-2
"""Difference `verify` accepts: another version of the triangulation may lay the triangles of the metal differently."""

NEVER = 100.0
"""Load factor stated where nothing begins within a hundred times the load."""

SMALL_STRAIN = 0.5
"""Principal strain above which a linear solution states none. In simple shear small strain says γ/2 where the true nominal
strain is γ/2 + √(1 + γ²/4) − 1, at this value a quarter more. Own convention."""

COARSE = ((4, 14), 0.7, 8)
"""Mesh on which bands are found: cells of the rubber, and size of the triangles, which the rubber hardly feels."""

BEGINS, SMALL = "begins ", "small strain "
"""Load factors of one load case under its name: where the model ends, and where small strain does."""


class LayerLimitsInput(LoadedInput):
    """Section, load cases, pre-stress of the assembly and friction of faces that are not bonded."""

    travel: float | None = q("mm", "axial travel of each ring at assembly", None, at_least=0, link="design.carrier.travel")
    closing: float | None = q("mm", "radial closing of half shells when pressed in", None, at_least=0,
                              link="design.carrier.closing")  # fmt: skip
    friction: Banded | None = q("-", "friction of faces that are not bonded", None, symbol="μ",
                                link="design.layer.compound->friction")  # fmt: skip
    averaging: float = q("mm", "length over which local values are averaged; the same for all parts compared", 0.5, above=0)


class LayerLimitsMethod(Method):
    """Greatest tension and strain of the rubber, least pressure on its faces, the load at which the model ends."""

    id = "layer.limits"
    version = 2
    title = "The layer's own limits: lift-off, slip, cavity, strain"
    step = "3"
    input_model = LayerLimitsInput
    results = (
        ResultField("load_factor", "-", "multiple of the worst load case at which a cavity, lift-off or slip begins", symbol="λ",
                    tolerance=MESH, holds="always"),
        ResultField("tension", "MPa", "greatest mean tension in the rubber, averaged, load cases within validity", symbol="σ_m",
                    tolerance=MESH, holds="within"),
        ResultField("tension_limit", "MPa", "mean tension at which a cavity opens, 2.5 G", symbol="σ_c", holds="always"),
        ResultField("pin_pressure", "MPa", "least pressure on the pin, negative if in tension, load cases within validity",
                    symbol="p_i", tolerance=MESH, holds="within"),
        ResultField("carrier_pressure", "MPa", "the same on the face of rings or half shells", "", "p_o", MESH, holds="within"),
        ResultField("shear", "MPa", "greatest shear on either face, load cases within validity", symbol="τ",
                    tolerance=MESH, holds="within"),
        ResultField("tension_share", "-", "share of the worse face's area in tension, load cases within validity", "%",
                    tolerance=MESH, holds="within"),
        ResultField("strain", "-", "greatest principal strain of the load, averaged, load cases within small strain", "%", "ε_1",
                    MESH, holds="within"),
        ResultField("strain_factor", "-", "multiple of the worst load case at which small strain ends", symbol="λ_ε",
                    tolerance=MESH, holds="always"),
        ResultField("needed_travel", "mm", "pre-stress travel that keeps both faces under pressure at all load cases",
                    symbol="s_n", tolerance=MESH, holds="always"),
        ResultField("slip_torque", "N·mm", "torque that friction carries under pre-stress alone", "N·m", "M_s", MESH,
                    holds="always"),
    )  # fmt: skip
    basis = Basis(
        "library",
        "own finite elements as in section.stiffness; tractions of pre-stress and load superposed linearly; cavity at a mean "
        "tension of 5 G/2 after Gent and Lindley, Proc. R. Soc. A 249 (1959) 195, from memory, not checked against its text",
        left_out=(
            "large strain: the pre-stress is that of a linear layer, of which the pressure grows in proportion to the travel",
            "uneven closing of half shells: their mean, 2/π of the closing, is taken all around",
            "contact: where a face lifts off or slides the load is not carried elsewhere",
            "relaxation of the pre-stress with time and temperature, viscosity",
            "strength of the bond itself: that is a test",
        ),
        valid_for=("up to the load factor it states", "principal strain of the load up to 50 %: no strain is stated beyond"),
    )  # fmt: skip

    def run(self, given: LayerLimitsInput) -> Outcome:
        from dossier.mechanics.section_mesh import MeshSize
        from dossier.mechanics.whole_section import section_stiffness

        joint, friction = section_shape(given), _friction(given)
        travel = _travel(given)
        solution = section_stiffness(joint, section_materials(given))
        found = _limits(given, solution, travel * _share(given), friction, given.shear_modulus.value)
        within, small = _within(found), _small(found)
        coarse = CoarseSection(given, joint, MeshSize(*COARSE))

        def again(**changes: float) -> dict[str, float]:
            _, solved = coarse.solve(**changes)
            shear = changes.get("shear_modulus", given.shear_modulus.value)
            return _values(given, _limits(given, solved, travel * _share(given), friction, shear), within, small)

        values = banded_values(_values(given, found, within, small), again, section_causes(given, joint),
                               lambda name, value, other: abs(other - value) if name != "tension_limit" else 0.0)  # fmt: skip
        ends = {load.name: Ends(values.pop(BEGINS + load.name, None), values.pop(SMALL + load.name, None)) for load, _ in found}
        return Outcome(values, _warnings(found, travel, given, ends), _outside(found), {"found": found, "ends": ends})

    def working(self, given: LayerLimitsInput, outcome: Outcome) -> Working:
        working, found, ends = Working(), outcome.detail["found"], outcome.detail["ends"]
        working.fact("model", "whole section as in section.stiffness; pre-stress first, then each load case in its worst senses")
        working.fact("averaging", f"over {units.show(given.averaging, 3)} mm, the same for every part compared")
        across, along = COARSE[0]
        working.fact("bands", f"each cause alone, on a mesh of {across} by {along} cells in the rubber; the error of the mesh is "
                     "the difference of that mesh to the one used")  # fmt: skip
        working.given("G", "shear modulus of the rubber", given.shear_modulus.value, "MPa")
        working.line("σ_c", "mean tension at which a cavity opens", "5·G/2", "MPa", "Gent and Lindley 1959, from memory")
        for load, limits in found:
            working.fact(load.name, _in_words(limits, ends[load.name]))
        inside = [limits for _, limits in found if not _ended(limits)]
        if not inside:
            working.fact("use of that limit", "not stated: no load case lies within validity")
            return working
        worst = max(inside, key=lambda limits: limits.tension)
        working.given("σ_m", "greatest mean tension under pre-stress and load, load cases within validity", worst.tension, "MPa",
                      "finite elements")  # fmt: skip
        working.line("u", "use of that limit, pre-stress counted", "σ_m/σ_c", "-", result=True)
        return working


@dataclass(frozen=True)
class Ends:
    """Load factors of one load case with their bands: where the model ends, and where small strain does; None: never."""

    model: Value | None
    strain: Value | None


def _limits(
    given: LayerLimitsInput, solution: SectionSolution, travel: float, friction: float, shear_modulus: float
) -> list[tuple[Load, LayerLimits]]:
    from dossier.mechanics.layer_limits import layer_limits
    from dossier.mechanics.layer_state import LayerState

    state = LayerState(solution.mesh.layer, solution.groups["layer"], solution.fields, given.averaging)
    faces = {"pin": state.face(True), "carrier": state.face(False, solution.mesh.carried)}
    held = {"pin": given.inner_face, "carrier": given.outer_face}
    coefficients = dict.fromkeys(faces, friction)
    loads = [(load, motion_of(solution.stiffness, load, travel)) for load in loads_of(given)]
    each = {motion: layer_limits(state, faces, held, coefficients, shear_modulus, motion) for motion in {m for _, m in loads}}
    return [(load, each[motion]) for load, motion in loads]


def _ended(limits: LayerLimits) -> bool:
    """Whether a cavity, lift-off or slip has begun below the load case."""
    return limits.begins_at is not None and limits.begins_at < 1


def _within(found: list[tuple[Load, LayerLimits]]) -> list[str]:
    return [load.name for load, limits in found if not _ended(limits)]


def _small(found: list[tuple[Load, LayerLimits]]) -> list[str]:
    return [load.name for load, limits in found if not _ended(limits) and limits.strain <= SMALL_STRAIN]


def _values(
    given: LayerLimitsInput, found: list[tuple[Load, LayerLimits]], within: Collection[str], small: Collection[str]
) -> dict[str, float]:
    """Results by name, local ones over the load cases `within`, the strain over `small` ones; two load factors of each case."""
    all_limits = [limits for _, limits in found]
    values = {
        "load_factor": min([NEVER, *(limits.begins_at for limits in all_limits if limits.begins_at is not None)]),
        "tension_limit": all_limits[0].cavitation,
        "strain_factor": min([NEVER, *(SMALL_STRAIN / limits.strain for limits in all_limits if limits.strain > 0)]),
    }
    if inside := [limits for load, limits in found if load.name in within]:
        values |= {"tension": max(limits.tension for limits in inside),
                   **{f"{face}_pressure": min(limits.faces[face].least_pressure for limits in inside) for face in FACES},
                   "shear": max(face.greatest_shear for limits in inside for face in limits.faces.values()),
                   "tension_share": max(face.tension_share for limits in inside for face in limits.faces.values())}  # fmt: skip
    if strains := [limits.strain for load, limits in found if load.name in small]:
        values["strain"] = max(strains)
    needed = [None if limits.needed_travel is None else limits.needed_travel / _share(given) for limits in all_limits]
    if None not in needed:
        values["needed_travel"] = max(needed)  # type: ignore[type-var, assignment]
    torques = [face.slip_torque for face in all_limits[0].faces.values() if face.slip_torque is not None]
    if torques:
        values["slip_torque"] = min(torques)
    for load, limits in found:
        if limits.begins_at is not None:
            values[BEGINS + load.name] = limits.begins_at
        if limits.strain > 0:
            values[SMALL + load.name] = SMALL_STRAIN / limits.strain
    return values


def _share(given: LayerLimitsInput) -> float:
    """Mean radial travel of the cylinder for a closing of half shells, which move along one axis: the mean of cos."""
    return 2 / pi if given.design.carrier.kind == "half_shells" else 1.0


def _travel(given: LayerLimitsInput) -> float:
    name = "travel" if given.design.carrier.kind == "rings" else "closing"
    value = getattr(given, name)
    if value is None:
        raise InputError(f"{name} has no value; give the pre-stress of the assembly in the design, 0 for none")
    return value


def _friction(given: LayerLimitsInput) -> float:
    """The least friction; 0 where both faces are bonded and none is needed."""
    if "friction" not in (given.inner_face, given.outer_face):
        return 0.0
    if given.friction is None:
        raise InputError("friction has no value though a face is held by friction; give it to the compound, with its source")
    return given.friction.ends[0]


def _outside(found: list[tuple[Load, LayerLimits]]) -> list[str]:
    return [f"{load.name}: {_what_begins(limits)} at {units.show(limits.begins_at, 3)} times the load; beyond that "
            "stiffness, curve and strain of the rubber are not valid"
            for load, limits in found if limits.begins_at is not None and _ended(limits)]  # fmt: skip


def _warnings(
    found: list[tuple[Load, LayerLimits]], travel: float, given: LayerLimitsInput, ends: dict[str, Ends]
) -> list[str]:
    told = [_travel_told([limits.needed_travel for _, limits in found], travel, _share(given))]
    near = [f"{load.name} at {_banded(model)} times the load" for load, limits in found
            if (model := ends[load.name].model) is not None and not _ended(limits) and model.low < 1]  # fmt: skip
    if near:
        told.append(f"within the bands of the inputs the model may end below the load case itself: {', '.join(near)}")
    large = [f"{load.name} at {units.show(SMALL_STRAIN / limits.strain, 3)} times the load" for load, limits in found
             if not _ended(limits) and limits.strain > SMALL_STRAIN]  # fmt: skip
    if large:
        told.append(f"small strain, {100 * SMALL_STRAIN:g} %, ends below the load case, so that its strain is not stated: "
                    f"{', '.join(large)}; layer.curve computes the load at finite strain")  # fmt: skip
    return [text for text in told if text]


def _travel_told(needed: list[float | None], travel: float, share: float) -> str:
    if None in needed:
        return "no pre-stress travel keeps both faces closed at every load case: at the edge of a face it gives no pressure"
    most = max(needed) / share  # type: ignore[type-var]
    if most > travel:
        return (f"a pre-stress travel of {units.show(most, 3)} mm would keep both faces closed at every load case; "
                f"the design has {units.show(travel, 3)} mm")  # fmt: skip
    return ""


def _banded(value: Value) -> str:
    """A load factor with its band."""
    return f"{units.show(value.value, 3)} ({units.show(value.low, 3)} .. {units.show(value.high, 3)})"


def _what_begins(limits: LayerLimits) -> str:
    events = [(limits.cavity_at, "a cavity")]
    for name, face in limits.faces.items():
        events += [(face.opens_at, f"lift-off {FACES[name]}"), (face.slides_at, f"slip {FACES[name]}")]
    reached = [(factor, words) for factor, words in events if factor is not None]
    return min(reached)[1]


def _in_words(limits: LayerLimits, ends: Ends) -> str:
    """One load case; beyond validity only the reason and the load factor at which it ends."""
    begins = "nothing begins within a hundred times the load"
    if ends.model is not None:
        begins = f"{_what_begins(limits)} begins at {_banded(ends.model)} times the load"
    if _ended(limits):
        return f"outside validity: {begins}; no tension, pressure, shear or strain is stated beyond"
    r, z = limits.tension_place
    told = [f"mean tension {units.show(limits.tension, 3)} MPa at r = {r:.1f} mm, z = {z:.1f} mm"]
    told += [f"least pressure {FACES[name]} {units.show(face.least_pressure, 3)} MPa{_sliding(face)}"
             for name, face in limits.faces.items()]  # fmt: skip
    return "; ".join([*told, _strain_told(limits, ends), begins])


def _strain_told(limits: LayerLimits, ends: Ends) -> str:
    if limits.strain <= SMALL_STRAIN or ends.strain is None:
        return f"principal strain of the load {units.show(100 * limits.strain, 2)} %"
    return (f"strain outside validity: small strain, {100 * SMALL_STRAIN:g} %, ends at {_banded(ends.strain)} times the load")


def _sliding(face: FaceLimits) -> str:
    return "" if face.sliding is None else f", {units.show(100 * face.sliding, 2)} % of it sliding"


METHODS: tuple[Method, ...] = (LayerLimitsMethod(),)
