"""Curve of the layer with an outer face that friction holds: load at its end, how much of the face slides or stands apart."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, cast

from dossier import units
from dossier.methods.base import ResultField, Value
from dossier.methods.layer_curve_case import TURNING, CurveInput, Points, travel_in_words
from dossier.methods.layer_finite import assembly_of, half_cells, material_at, mesh_line, press_in_of, spherical_layer
from dossier.methods.working import Working

if TYPE_CHECKING:
    from dossier.mechanics.friction_layer import FrictionLoad

FRICTION_RESULTS = (
    ResultField("friction_force", "N", "axial force at the layer's travel at the end of the curve, outer face held by friction",
                "kN", "F_μe", 1e-3),
    ResultField("friction_moment", "N·mm", "torque at the layer's angle at the end of the curve, outer face held by friction",
                "N·m", "M_μe", 1e-3),
    ResultField("friction_sliding", "-", "share of the outer face that slides at the end of the curve", "%", tolerance=1e-2),
    ResultField("friction_apart", "-", "share of the outer face that stands apart at the end of the curve", "%", tolerance=1e-2),
)  # fmt: skip

FOLLOWED = ("axial", "torsional")


def friction_outcome(given: CurveInput, found: Points) -> tuple[dict[str, Value | float], list[str], tuple[FrictionLoad, ...]]:
    """Results by name, what is outside validity in words, and the loads on the way; nothing without a face held by friction.

    The pin is moved as the layer of the bonded curve is, so that both loads belong to the same motion.
    """
    if given.outer_face != "friction":
        return {}, [], ()
    reason = _not_followed(given)
    if reason:
        return {}, [f"{reason}, so no curve with friction is computed"], ()
    motions = sorted(motion for motion in found.curve.layer_displacements if motion > 0)
    loads, told = _loads(given, motions, coarse=False)
    if not loads:
        return {}, [told], ()
    if told:
        return {}, [f"{told}; with friction it reached {_in_words(given, loads[-1])}"], loads
    load: Value | float = loads[-1].force
    other, missed = _loads(given, motions[-1:], coarse=True)
    if not missed:
        load = Value(loads[-1].force, (mesh_line(loads[-1].force, other[-1].force),))
    name = "friction_moment" if given.direction in TURNING else "friction_force"
    face = loads[-1].face
    told = [f"with friction on the other mesh, so the mesh error is not known: {missed}"] if missed else []
    return {name: load, "friction_sliding": face.sliding, "friction_apart": face.apart}, told, loads


def describe_friction(working: Working, given: CurveInput, loads: tuple[FrictionLoad, ...]) -> None:
    """The coefficient and the way in words."""
    if not loads:
        return
    working.given("μ", "friction coefficient between rubber and carrier", cast(float, given.friction), "-")
    working.fact("friction", "outer face in unilateral contact with Coulomb friction, inner face bonded; ring edges rounded at "
                 "the gap; the pin moved from its rest as the layer of the bonded curve")  # fmt: skip
    working.fact("curve with friction", "; ".join(_in_words(given, load) for load in loads))


def _not_followed(given: CurveInput) -> str:
    if given.direction not in FOLLOWED:
        return f"friction is followed in axial and torsional direction only, and the direction is {given.direction}"
    if given.inner_face == "friction":
        return "both faces are held by friction, and only the outer one is followed"
    if given.friction is None:
        return "friction has no value; give the coefficient between rubber and carrier"
    return ""


def _loads(given: CurveInput, motions: list[float], *, coarse: bool) -> tuple[tuple[FrictionLoad, ...], str]:
    """Loads at the motions, and why the run stopped before the last one."""
    from dossier.mechanics.friction_layer import FrictionLoadStopped, friction_held_layer
    from dossier.mechanics.prestress import AssemblyStopped

    layer, direction = spherical_layer(given), cast(Literal["axial", "torsional"], given.direction)
    try:
        held = friction_held_layer(
            layer, friction=cast(float, given.friction), assembly=assembly_of(given), press_in=press_in_of(given),
            edge_radius=given.edge_radius, direction=direction, motions=motions, law=material_at(given)[0],
            cells=half_cells(layer) if coarse else None,
        )  # fmt: skip
    except FrictionLoadStopped as stopped:
        return stopped.found.loads, f"with friction on the outer face: {stopped}"
    except AssemblyStopped as stopped:
        return (), f"with friction on the outer face: {stopped}"
    return held.loads, ""


def _in_words(given: CurveInput, load: FrictionLoad) -> str:
    turning = given.direction in TURNING
    felt = units.show_quantity(load.force, "N·mm", "N·m") if turning else units.show_quantity(load.force, "N", "kN")
    return (f"{travel_in_words(given, load.motion)}: {felt}, {100 * load.face.sliding:.0f} % of the face slides, "
            f"{100 * load.face.apart:.0f} % stands apart")  # fmt: skip
