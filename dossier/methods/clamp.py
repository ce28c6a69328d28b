"""Bolt clamping a flat pin end on its bracket: preload, settling, temperature, slip and pressure under the head."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pydantic import Field

from dossier import units
from dossier.methods.bands import OneAtATime, band_causes
from dossier.methods.base import Basis, InputError, Method, MethodInput, Outcome, ResultField
from dossier.methods.shapes_in import PinIn
from dossier.methods.working import Working
from dossier.records.base import Banded, q

if TYPE_CHECKING:
    from dossier.methods.clamp_case import ClampCase

_PIN = "design.pin.material->"


class ClampInput(MethodInput):
    """Bolt, clamped parts, friction, tightening, loads and temperatures."""

    pin: PinIn = q("-", "dimensions of the pin", link="design.pin")
    pin_modulus: Banded = q("MPa", "Young's modulus of the pin", symbol="E_P", link=f"{_PIN}youngs_modulus")
    pin_expansion: Banded = q("1/K", "thermal expansion of the pin", symbol="α_P", link=f"{_PIN}expansion")
    limit_pressure: Banded = q(
        "MPa", "limiting surface pressure of the pin", symbol="p_G", link=f"{_PIN}limit_pressure"
    )
    bolt_diameter: float = q("mm", "nominal diameter of the bolt", above=0, symbol="d")
    bolt_pitch: float = q("mm", "pitch of the thread", above=0, symbol="P")
    bolt_yield: float = q("MPa", "least yield strength of the bolt", above=0, symbol="R_p")
    bolt_modulus: float = q("MPa", "Young's modulus of the bolt", 205_000.0, above=0, symbol="E_S")
    bolt_expansion: Banded = q("1/K", "thermal expansion of the bolt", Banded(value=11.5e-6, low=11e-6, high=12.5e-6))
    head_bearing_diameter: float = q("mm", "bearing diameter of the head", above=0, symbol="d_w")
    shank_length: float = q("mm", "length of the shank without thread within the grip", at_least=0, symbol="l_1")
    socket_head: bool = Field(False, description="socket head instead of hexagon head")
    tapped: bool = Field(False, description="bolt screwed into the bracket instead of a nut")
    hole_chamfer: float = q("mm", "width of the chamfer at the bolt hole", 0.0, at_least=0, symbol="f")
    bracket_thickness: float = q("mm", "thickness of the bracket (with washers) in the grip", above=0, symbol="l_B")
    bracket_modulus: Banded = q("MPa", "Young's modulus of the bracket", symbol="E_B")
    bracket_expansion: Banded = q("1/K", "thermal expansion of the bracket", symbol="α_B")
    thread_friction: Banded = q("-", "friction in the thread", symbol="μ_G")
    head_friction: Banded | None = q("-", "friction under the head; that of the thread if not given", None)
    utilisation: float = q("-", "share of the yield strength used in tightening", 0.9, above=0, at_most=1, symbol="ν")
    tightening_factor: float = q("-", "greatest over least preload of the tightening method", at_least=1, symbol="α_A")
    settling: Banded = q("mm", "embedding of all faces together", shown="µm", symbol="f_Z")
    relaxation: float = q("-", "further share of preload lost with time and heat", 0.0, at_least=0, below=1, symbol="r")
    interface_friction: Banded = q("-", "friction of pin flat and bracket", symbol="μ_T")
    friction_faces: int = Field(1, ge=1, description="faces of one flat that carry the load by friction")
    bolts: int = Field(2, ge=1, description="bolts that carry the joint's load together")
    transverse_force: float = q("N", "force on the joint across the bolts", above=0, shown="kN", symbol="F_Q")
    axial_force: float = q("N", "force on the joint along the bolts, off the bracket", 0.0, at_least=0, shown="kN")
    load_factor: Banded = q("-", "load introduction factor n", Banded(value=0.5, low=0.0, high=1.0), symbol="n")
    temperature_hot: float = q("°C", "hottest temperature under load", above=-273.15, symbol="T_h")
    temperature_cold: float = q("°C", "coldest temperature under load", above=-273.15, symbol="T_c")
    temperature_assembly: float = q("°C", "temperature of tightening", 20.0, above=-273.15, symbol="T_0")


class BoltClampMethod(Method):
    """Greatest and least preload, what is left of it, slip safety and pressure under the head."""

    id = "clamp.bolt"
    version = 1
    title = "Bolt clamping of the pin ends"
    step = "3"
    input_model = ClampInput
    results = (
        ResultField("residual_share", "-", "preload left after settling, share of the least preload", "%", "q_R"),
        ResultField("pressure_share", "-", "greatest pressure under the head over the limit", symbol="q_p"),
        ResultField("slip_safety", "-", "safety against slip of the pin flats", symbol="S_G"),
        ResultField("bolt_safety", "-", "yield strength of the bolt over its stress in service", symbol="S_F"),
        ResultField("preload", "N", "greatest assembly preload, friction at its lowest", "kN", "F_M"),
        ResultField("preload_least", "N", "least assembly preload", "kN", "F_m"),
        ResultField("torque", "N·mm", "tightening torque", "N·m", "M_A"),
        ResultField("settling_loss", "N", "preload lost by embedding", "kN", "F_Z"),
        ResultField("thermal_hot", "N", "change of preload, hot", "kN", "F_h"),
        ResultField("thermal_cold", "N", "change of preload, cold", "kN", "F_c"),
        ResultField("residual_clamp", "N", "least clamp force in service under load", "kN", "F_R"),
        ResultField("pressure", "MPa", "greatest pressure under the head", symbol="p"),
        ResultField("bolt_stiffness", "N/mm", "stiffness of the bolt", "kN/mm", "1/δ_S"),
        ResultField("parts_stiffness", "N/mm", "stiffness of the clamped parts", "kN/mm", "1/δ_P"),
    )
    basis = Basis(
        "memory",
        "following VDI 2230-1 for one concentrically clamped bolt, from memory, not checked against its text; preloads "
        "and torques reproduce published table values",
        left_out=(
            "eccentric clamping and loading, bending of the bolt, bearing of the bolt in its hole",
            "crushing of a hollow flat: the bore in the clamp zone is not seen by the pressure cone",
            "different outer diameters of pin flat and bracket",
            "self-loosening, fatigue of the bolt",
        ),
        valid_for=("solid flats", "bolt tightened below yield", "load carried by friction"),
    )

    def run(self, given: ClampInput) -> Outcome:
        from dossier.methods.clamp_case import ClampCase

        _check(given)
        case = ClampCase(given)
        study = OneAtATime(
            case.values,
            band_causes(
                {
                    "embedding": ("settling", given.settling),
                    "friction of flat and bracket": ("interface_friction", given.interface_friction),
                    "Young's modulus of the pin": ("pin_modulus", given.pin_modulus),
                    "Young's modulus of the bracket": ("bracket_modulus", given.bracket_modulus),
                    "expansion of the bolt": ("bolt_expansion", given.bolt_expansion),
                    "expansion of the pin": ("pin_expansion", given.pin_expansion),
                    "expansion of the bracket": ("bracket_expansion", given.bracket_expansion),
                    "limiting pressure": ("limit_pressure", given.limit_pressure),
                }
                | ({"load introduction": ("load_factor", given.load_factor)} if given.axial_force else {})
            ),
        )
        values = study.values()
        return Outcome(dict(values), _warnings(given, case), _outside(values, given), {"case": case})

    def working(self, given: ClampInput, outcome: Outcome) -> Working:
        from dossier.methods.clamp_working import write_working

        working = Working()
        write_working(working, given, outcome.detail["case"])
        return working


def _check(given: ClampInput) -> None:
    ends = given.pin.ends
    if ends.flat_thickness <= 0:
        raise InputError("pin.ends.flat_thickness = 0 mm must exceed 0 mm: the method clamps flats; give their thickness")
    if ends.flat_thickness >= 2 * given.pin.neck_radius:
        raise InputError(
            f"pin.ends.flat_thickness = {ends.flat_thickness:g} mm must be below the neck's diameter "
            f"{2 * given.pin.neck_radius:g} mm; reduce it"
        )
    if ends.hole_diameter <= given.bolt_diameter:
        raise InputError(
            f"pin.ends.hole_diameter = {ends.hole_diameter:g} mm must exceed bolt_diameter = {given.bolt_diameter:g} mm; "
            "enlarge the hole or take a thinner bolt"
        )
    if given.temperature_hot < given.temperature_cold:
        raise InputError(
            f"temperature_hot = {given.temperature_hot:g} °C must be at least temperature_cold = "
            f"{given.temperature_cold:g} °C; swap the two"
        )


def _outside(values: dict, given: ClampInput) -> list[str]:
    found = []
    if values["residual_clamp"].low <= 0:
        found.append("residual_clamp reaches 0 N: the flat lifts off its bracket; raise the preload or lower the load")
    if values["bolt_safety"].value < 1:
        stress = units.show(values["bolt_safety"].value, 3)
        found.append(f"bolt_safety = {stress} is below 1: the bolt yields in service; lower utilisation")
    return found


def _warnings(given: ClampInput, case: ClampCase) -> list[str]:
    found = []
    zone = (given.pin.ends.hole_distance - given.head_bearing_diameter) / 2
    if any(max(abs(bore.start), abs(bore.end)) > zone for bore in given.pin.bores):
        found.append(
            f"a bore reaches into the clamp zone, which begins at {units.show(zone, 4)} mm: crushing of the hollow flat is "
            "not covered and the parts are softer than computed; prove it by external analysis or test"
        )
    scatter = case.friction_scatter
    if given.tightening_factor < scatter:
        found.append(
            f"tightening_factor = {units.show(given.tightening_factor, 3)} is below {units.show(scatter, 3)}, the scatter of "
            "preload that the friction band alone gives at the same torque; raise it or narrow the band"
        )
    if case.flat_width < given.head_bearing_diameter:
        found.append(
            f"the head overhangs the flat, {units.show(case.flat_width, 3)} mm wide; the overhang carries nothing"
        )
    return found


METHODS: tuple[Method, ...] = (BoltClampMethod(),)
