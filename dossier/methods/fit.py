"""Press fit of closed rings in the eye: pressure, press-in and push-out force, stresses, hot, cold and yielded."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal

from dossier import units
from dossier.methods.bands import Ends, OneAtATime, band_causes
from dossier.methods.base import Basis, InputError, Method, MethodInput, Outcome, ResultField
from dossier.methods.shapes_in import CarrierIn, RingsIn
from dossier.methods.working import Working
from dossier.records.base import Banded, q
from dossier.records.design import Tolerance

if TYPE_CHECKING:
    from dossier.methods.fit_case import FitCase

_RING, _EYE = "design.carrier.material->", "design.eye.material->"


class FitInput(MethodInput):
    """Rings, eye, tolerances, materials, friction and temperatures."""

    carrier: CarrierIn = q("-", "rings or half shells", link="design.carrier")
    ring_inner_radius: float = q(
        "mm", "inner radius of the rings at the ball's equator", above=0, symbol="R_i", link="design.layer.outer_radius"
    )
    ring_inside: Literal["spherical", "cylindrical"] = q("-", "form of the rings' inside", "spherical")
    eye_bore_radius: float = q("mm", "bore radius of the eye", above=0, symbol="b", link="design.eye.bore_radius")
    eye_outer_radius: float = q("mm", "outer radius of the eye", above=0, symbol="c", link="design.eye.outer_radius")
    eye_width: float = q("mm", "width of the eye", above=0, symbol="w", link="design.eye.width")
    ring_tolerance: Tolerance | None = q(
        "mm", "deviations of the rings' outer radius", None, link="design.tolerances.carrier.outer_radius"
    )
    eye_tolerance: Tolerance | None = q(
        "mm", "deviations of the bore radius", None, link="design.tolerances.eye.bore_radius"
    )
    flattening: Banded | None = q("mm", "diametral interference lost by flattening of roughness", None, shown="µm")
    ring_roughness: float | None = q("mm", "Rz of the rings' outer face", None, above=0, link="design.carrier.roughness")
    eye_roughness: float | None = q("mm", "Rz of the bore", None, above=0, link="design.eye.roughness")
    friction: Banded = q("-", "friction of ring and eye, axial", symbol="μ")
    ring_modulus: Banded = q("MPa", "Young's modulus of the rings", symbol="E_R", link=f"{_RING}youngs_modulus")
    ring_poisson: Banded = q("-", "Poisson's ratio of the rings", symbol="ν_R", link=f"{_RING}poisson_ratio")
    ring_expansion: Banded = q("1/K", "thermal expansion of the rings", symbol="α_R", link=f"{_RING}expansion")
    ring_yield: Banded = q("MPa", "yield strength of the rings", symbol="R_R", link=f"{_RING}yield_strength")
    eye_modulus: Banded = q("MPa", "Young's modulus of the eye", symbol="E_E", link=f"{_EYE}youngs_modulus")
    eye_poisson: Banded = q("-", "Poisson's ratio of the eye", symbol="ν_E", link=f"{_EYE}poisson_ratio")
    eye_expansion: Banded = q("1/K", "thermal expansion of the eye", symbol="α_E", link=f"{_EYE}expansion")
    eye_yield: Banded = q("MPa", "yield strength of the eye", symbol="R_E", link=f"{_EYE}yield_strength")
    temperature_hot: float = q("°C", "temperature of the hot push-out", above=-273.15, symbol="T_h")
    temperature_cold: float = q("°C", "temperature of the cold push-out", above=-273.15, symbol="T_c")
    temperature_hottest: float | None = q(
        "°C", "hottest state the joint has passed; the hot push-out if not given", None, above=-273.15
    )
    temperature_new: float = q("°C", "temperature of assembly, where the sizes hold", 20.0, above=-273.15, symbol="T_0")
    yield_share_hot: float = q(
        "-", "yield strength of ring and eye in the hot states over the one at 20 °C", 1.0, above=0, at_most=1
    )
    prestress_pressure: float = q(
        "MPa", "pressure of the pre-stressed rubber on the rings' inside", 0.0, at_least=0, symbol="p_i"
    )


class RingFitMethod(Method):
    """Joint pressure and axial forces with bands; worst cases; stresses against yield; loss by yielding."""

    id = "fit.ring"
    version = 2
    title = "Press fit of the rings in the eye, new, hot and cold"
    step = "3"
    input_model = FitInput
    results = (
        ResultField("push_out_new", "N", "push-out force, new", "kN", "F_0"),
        ResultField("push_out_hot", "N", "push-out force, hot", "kN", "F_h"),
        ResultField("push_out_cold", "N", "push-out force, cold after the hottest state", "kN", "F_c"),
        ResultField("push_out_new_least", "N", "push-out force, new, all causes unfavourable together", "kN"),
        ResultField("push_out_hot_least", "N", "push-out force, hot, all causes unfavourable together", "kN"),
        ResultField("push_out_cold_least", "N", "push-out force, cold, all causes unfavourable together", "kN"),
        ResultField("press_in", "N", "press-in force at full length, rings taken as elastic", "kN", "F_e"),
        ResultField("press_in_least", "N", "press-in force, all causes lowering it together", "kN"),
        ResultField("press_in_greatest", "N", "press-in force, all causes raising it together", "kN"),
        ResultField("pressure_new", "MPa", "mean joint pressure, new", symbol="p_0"),
        ResultField("pressure_hot", "MPa", "mean joint pressure, hot", symbol="p_h"),
        ResultField("pressure_cold", "MPa", "mean joint pressure, cold after the hottest state", symbol="p_c"),
        ResultField("interference", "mm", "diametral interference after flattening, new", "µm", "U_w"),
        ResultField("lost", "mm", "greatest diametral interference lost by yielding, greatest oversize", "µm"),
        ResultField("ring_stress", "MPa", "hoop stress where the inside is narrowest, elastic, greatest oversize"),
        ResultField("ring_safety", "-", "yield strength over equivalent stress inside the rings (Tresca)"),
        ResultField("eye_stress", "MPa", "hoop stress inside the eye, greatest oversize"),
        ResultField("eye_safety", "-", "yield strength over equivalent stress inside the eye (Tresca)"),
    )  # fmt: skip
    basis = Basis(
        "memory",
        "thick-walled tubes in plane stress (Lamé), yielding ring elastic–perfectly plastic after Tresca; following "
        "DIN 7190-1 in flattening and friction, from memory, not checked against its text. A spherical inside is cut "
        "into four slices that share the widening of the eye: within 2 % of axisymmetric finite elements on five "
        "ring shapes in aluminium and steel",
        left_out=(
            "the link's shank at the eye, ovality, chamfers, roughness beyond its flattening",
            "ageing, creep and fretting; friction that differs hot, cold or after time under load",
            "change of the rubber's pressure with temperature",
            "yielding of the eye",
        ),
        valid_for=("closed rings", "elastic eye", "same temperature in ring and eye"),
    )

    def run(self, given: FitInput) -> Outcome:
        case = _case(given)
        study = OneAtATime(case.values, _causes(given, case))
        values = dict(study.values())
        for name in ("push_out_new", "push_out_hot", "push_out_cold", "press_in"):
            values[f"{name}_least"] = study.together(name, least=True)
        values["press_in_greatest"] = study.together("press_in", least=False)
        stresses = case.stresses(_greatest_oversize(given))
        values |= stresses
        outside = []
        if stresses["eye_safety"] < 1:
            found = units.show(stresses["eye_safety"], 3)
            outside.append(f"eye_safety = {found} is below 1: the eye yields at the greatest oversize; enlarge its wall")
        return Outcome(values, _warnings(given, values), outside, {"case": case})

    def working(self, given: FitInput, outcome: Outcome) -> Working:
        from dossier.methods.fit_working import write_working

        working = Working()
        write_working(working, given, outcome.detail["case"])
        return working


def _case(given: FitInput) -> FitCase:
    from dossier.methods.fit_case import FitCase

    if not isinstance(given.carrier, RingsIn):
        raise InputError(
            "carrier.kind = half_shells must be rings: an open half shell carries no hoop stress, so that an "
            "interference gives it no joint pressure of its own; its hold comes from the pre-stress of the rubber: "
            "prove it by test, or choose closed rings"
        )
    radii = ("eye_outer_radius", given.eye_outer_radius, "eye_bore_radius", given.eye_bore_radius, "enlarge the eye")
    _require_above(*radii)
    radii = ("eye_bore_radius", given.eye_bore_radius, "ring_inner_radius", given.ring_inner_radius, "enlarge the rings")
    _require_above(*radii)
    case = FitCase(given, given.carrier, _flattening(given))
    if case.interference(given.temperature_new) <= 0:
        _require_above(
            "carrier.outer_radius", given.carrier.outer_radius, "eye_bore_radius", given.eye_bore_radius,
            "there is no interference left after flattening: enlarge the rings or reduce the bore",
        )  # fmt: skip
        raise InputError(
            f"the mean interference {units.show(1e3 * case.nominal_interference, 3)} µm must exceed the flattening "
            f"{units.show(1e3 * case.flattening.value, 3)} µm; enlarge the rings or make the faces smoother"
        )
    return case


def _require_above(name: str, value: float, other: str, limit: float, remedy: str) -> None:
    if value <= limit:
        raise InputError(f"{name} = {units.show(value, 5)} mm must exceed {other} = {units.show(limit, 5)} mm; {remedy}")


def _flattening(given: FitInput) -> Banded:
    from dossier.mechanics.fit import flattening

    if given.flattening is not None:
        return given.flattening
    if given.ring_roughness is None or given.eye_roughness is None:
        raise InputError(
            "flattening is missing; give it, or the roughness depths ring_roughness and eye_roughness of both faces"
        )
    return Banded(value=flattening(given.ring_roughness, given.eye_roughness))


def _causes(given: FitInput, case: FitCase) -> dict[str, Ends]:
    causes: dict[str, Ends] = {}
    for cause, name, tolerance in (
        ("tolerance of the rings", "ring_deviation", given.ring_tolerance),
        ("tolerance of the bore", "eye_deviation", given.eye_tolerance),
    ):
        if tolerance and tolerance.upper > tolerance.lower:
            causes[cause] = ({name: tolerance.lower}, {name: tolerance.upper})
    causes |= band_causes(
        {
            "friction": ("friction", given.friction),
            "flattening of roughness": ("flattening", case.flattening),
            "Young's modulus of the rings": ("ring_modulus", given.ring_modulus),
            "Young's modulus of the eye": ("eye_modulus", given.eye_modulus),
            "Poisson's ratio of the rings": ("ring_poisson", given.ring_poisson),
            "Poisson's ratio of the eye": ("eye_poisson", given.eye_poisson),
            "expansion of the rings": ("ring_expansion", given.ring_expansion),
            "expansion of the eye": ("eye_expansion", given.eye_expansion),
            "yield strength of the rings": ("ring_yield", given.ring_yield),
        }
    )
    if case.model_share:
        causes["slices and shared eye instead of a continuum"] = (
            {"model": 1 - case.model_share}, {"model": 1 + case.model_share},
        )  # fmt: skip
    return causes


def _greatest_oversize(given: FitInput) -> dict[str, float]:
    changes = {"ring_yield": given.ring_yield.ends[0], "eye_yield": given.eye_yield.ends[0]}
    changes |= {"flattening": given.flattening.ends[0]} if given.flattening else {}
    changes |= {"ring_deviation": given.ring_tolerance.upper} if given.ring_tolerance else {}
    changes |= {"eye_deviation": given.eye_tolerance.lower} if given.eye_tolerance else {}
    return changes


def _warnings(given: FitInput, values: dict) -> list[str]:
    found = []
    if values["lost"] > 0:
        found.append(
            f"the rings yield: up to {units.show(1e3 * values['lost'], 3)} µm of the greatest interference are lost "
            "where their inside is narrowest; hot and cold push-out count without them"
        )
    for name, words in (("push_out_new", "new"), ("push_out_hot", "hot"), ("push_out_cold", "cold")):
        if values[f"{name}_least"] == 0:
            found.append(f"the fit opens {words} when all causes are unfavourable together")
    if given.temperature_hottest is not None and given.temperature_hottest < given.temperature_hot:
        found.append(
            f"temperature_hottest = {given.temperature_hottest:g} °C is below temperature_hot = "
            f"{given.temperature_hot:g} °C, which counts instead"
        )
    return found


METHODS: tuple[Method, ...] = (RingFitMethod(),)
