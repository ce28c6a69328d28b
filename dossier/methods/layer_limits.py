"""Does pre-stress keep the rubber closed, at rest and free of cavities under every load case?"""

from __future__ import annotations

from math import pi
from typing import TYPE_CHECKING

from dossier import units
from dossier.methods.base import Basis, InputError, Method, Outcome, ResultField
from dossier.methods.section_in import Load, LoadedInput, loads_of, motion_of, section_materials, section_shape
from dossier.methods.working import Working
from dossier.records.base import Banded, q

if TYPE_CHECKING:
    from dossier.mechanics.layer_limits import FaceLimits, LayerLimits

FACES = {"pin": "on the pin", "carrier": "in rings or half shells"}
MESH = 2e-2
"""Difference `verify` accepts: another version of the triangulation may lay the triangles of the metal differently."""

NEVER = 100.0
"""Load factor stated where nothing begins within a hundred times the load."""


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
    version = 1
    title = "The layer's own limits: lift-off, slip, cavity, strain"
    step = "3"
    input_model = LayerLimitsInput
    results = (
        ResultField("load_factor", "-", "multiple of the worst load case at which a cavity, lift-off or slip begins", symbol="λ",
                    tolerance=MESH),
        ResultField("tension", "MPa", "greatest mean tension in the rubber, averaged", symbol="σ_m", tolerance=MESH),
        ResultField("tension_limit", "MPa", "mean tension at which a cavity opens, 2.5 G", symbol="σ_c"),
        ResultField("pin_pressure", "MPa", "least pressure on the pin, negative if in tension", symbol="p_i", tolerance=MESH),
        ResultField("carrier_pressure", "MPa", "least pressure on the face of rings or half shells", "", "p_o", MESH),
        ResultField("shear", "MPa", "greatest shear on either face", symbol="τ", tolerance=MESH),
        ResultField("tension_share", "-", "share of the worse face's area in tension", "%", tolerance=MESH),
        ResultField("strain", "-", "greatest principal strain of the load, averaged", "%", "ε_1", MESH),
        ResultField("needed_travel", "mm", "pre-stress travel that keeps both faces under pressure at all load cases",
                    symbol="s_n", tolerance=MESH),
        ResultField("slip_torque", "N·mm", "torque that friction carries under pre-stress alone", "N·m", "M_s", MESH),
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
        valid_for=("small strain", "up to the load factor it states"),
    )  # fmt: skip

    def run(self, given: LayerLimitsInput) -> Outcome:
        travel, friction = _travel(given), _friction(given)
        found = _limits(given, travel * _share(given), friction)
        begins = {load.name: limits.begins_at for load, limits in found}
        factor = min((value for value in begins.values() if value is not None), default=NEVER)
        all_limits = [limits for _, limits in found]
        values = {
            "load_factor": min(factor, NEVER),
            "tension": max(limits.tension for limits in all_limits),
            "tension_limit": all_limits[0].cavitation,
            **{f"{face}_pressure": min(limits.faces[face].least_pressure for limits in all_limits) for face in FACES},
            "shear": max(face.greatest_shear for limits in all_limits for face in limits.faces.values()),
            "tension_share": max(face.tension_share for limits in all_limits for face in limits.faces.values()),
            "strain": max(limits.strain for limits in all_limits),
        }
        needed = [None if one.needed_travel is None else one.needed_travel / _share(given) for one in all_limits]
        if None not in needed:
            values["needed_travel"] = max(needed)  # type: ignore[type-var, assignment]
        torques = [face.slip_torque for face in all_limits[0].faces.values() if face.slip_torque is not None]
        if torques:
            values["slip_torque"] = min(torques)
        return Outcome(dict(values), _warnings(needed, travel), _outside(found), {"found": found, "travel": travel})

    def working(self, given: LayerLimitsInput, outcome: Outcome) -> Working:
        working, found = Working(), outcome.detail["found"]
        working.fact("model", "whole section as in section.stiffness; pre-stress first, then each load case in its worst senses")
        working.fact("averaging", f"over {units.show(given.averaging, 3)} mm, the same for every part compared")
        working.given("G", "shear modulus of the rubber", given.shear_modulus.value, "MPa")
        working.line("σ_c", "mean tension at which a cavity opens", "5·G/2", "MPa", "Gent and Lindley 1959, from memory")
        for load, limits in found:
            working.fact(load.name, _in_words(limits))
        worst = max(found, key=lambda pair: pair[1].tension)[1]
        working.given("σ_m", "greatest mean tension under pre-stress and load", worst.tension, "MPa", "finite elements")
        working.line("u", "use of that limit, pre-stress counted", "σ_m/σ_c", "-", result=True)
        return working


def _limits(given: LayerLimitsInput, travel: float, friction: float) -> list[tuple[Load, LayerLimits]]:
    from dossier.mechanics.layer_limits import layer_limits
    from dossier.mechanics.layer_state import LayerState
    from dossier.mechanics.whole_section import section_stiffness

    solution = section_stiffness(section_shape(given), section_materials(given))
    state = LayerState(solution.mesh.layer, solution.groups["layer"], solution.fields, given.averaging)
    faces = {"pin": state.face(True), "carrier": state.face(False, solution.mesh.carried)}
    held = {"pin": given.inner_face, "carrier": given.outer_face}
    coefficients = dict.fromkeys(faces, friction)
    found = []
    for load in loads_of(given):
        motion = motion_of(solution.stiffness, load, travel)
        found.append((load, layer_limits(state, faces, held, coefficients, given.shear_modulus.value, motion)))
    return found


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
    told = []
    for load, limits in found:
        if limits.begins_at is not None and limits.begins_at < 1:
            told.append(f"{load.name}: {_what_begins(limits)} at {units.show(limits.begins_at, 3)} times the load; beyond that "
                        "stiffness, curve and strain of the rubber are not valid")  # fmt: skip
    return told


def _warnings(needed: list[float | None], travel: float) -> list[str]:
    if None in needed:
        return ["no pre-stress travel keeps both faces closed at every load case: at the edge of a face it gives no pressure"]
    most = max(needed)  # type: ignore[type-var]
    if most > travel:
        return [f"a pre-stress travel of {units.show(most, 3)} mm would keep both faces closed at every load case; "
                f"the design has {units.show(travel, 3)} mm"]  # fmt: skip
    return []


def _what_begins(limits: LayerLimits) -> str:
    events = [(limits.cavity_at, "a cavity")]
    for name, face in limits.faces.items():
        events += [(face.opens_at, f"lift-off {FACES[name]}"), (face.slides_at, f"slip {FACES[name]}")]
    reached = [(factor, words) for factor, words in events if factor is not None]
    return min(reached)[1]


def _in_words(limits: LayerLimits) -> str:
    r, z = limits.tension_place
    told = [f"mean tension {units.show(limits.tension, 3)} MPa at r = {r:.1f} mm, z = {z:.1f} mm"]
    told += [f"least pressure {FACES[name]} {units.show(face.least_pressure, 3)} MPa{_sliding(face)}"
             for name, face in limits.faces.items()]  # fmt: skip
    told.append(f"principal strain of the load {units.show(100 * limits.strain, 2)} %")
    if limits.begins_at is None:
        return "; ".join([*told, "nothing begins within a hundred times the load"])
    return "; ".join([*told, f"{_what_begins(limits)} begins at {units.show(limits.begins_at, 3)} times the load"])


def _sliding(face: FaceLimits) -> str:
    return "" if face.sliding is None else f", {units.show(100 * face.sliding, 2)} % of it sliding"


METHODS: tuple[Method, ...] = (LayerLimitsMethod(),)
