"""Assembly with an outer face that friction holds: the forces it needs, and how much of the face slides or stands apart."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from dossier import units
from dossier.methods.base import ResultField, Value
from dossier.methods.layer_finite import (
    FiniteLayerInput,
    assembly_of,
    half_cells,
    material_at,
    mesh_line,
    press_in_of,
    spherical_layer,
)
from dossier.methods.working import Working

if TYPE_CHECKING:
    from dossier.mechanics.friction_layer import FrictionStage

FRICTION_RESULTS = (
    ResultField("friction_force", "N", "force of assembly with the outer face held by friction; as force", "kN", "F_μm", 1e-3),
    ResultField("friction_held", "N", "force that stays with the outer face held by friction; as held", "kN", "F_μh", 1e-3),
    ResultField("friction_sliding", "-", "share of the outer face that slid at the end of the last stage", "%", tolerance=1e-2),
    ResultField("friction_apart", "-", "share of the outer face that stands apart after assembly", "%", tolerance=1e-2),
)  # fmt: skip


def friction_outcome(given: Any) -> tuple[dict[str, Value | float], list[str], tuple[FrictionStage, ...]]:
    """Results by name, what is outside validity in words, and the stages; nothing without a face held by friction."""
    from dossier.mechanics.prestress import AssemblyStopped

    if given.outer_face != "friction":
        return {}, [], ()
    if given.inner_face == "friction":
        return {}, ["both faces are held by friction: assembly with friction takes the inner one as bonded, so it is not run"], ()
    if given.friction is None:
        return {}, ["friction has no value, so how the outer face slides during assembly is not known; give the coefficient "
                    "between rubber and carrier"], ()  # fmt: skip
    try:
        stages = _stages(given)
    except AssemblyStopped as stopped:
        return {}, [f"with friction on the outer face: {stopped}"], ()
    if not stages:
        return {}, [], ()
    values: dict[str, Value | float] = dict(_forces(given, stages))
    try:
        for name, coarse in _forces(given, _stages(given, coarse=True)).items():
            values[name] = replace(Value(values[name]), contributions=(mesh_line(values[name], coarse),))  # type: ignore[arg-type]
        told = []
    except AssemblyStopped as stopped:
        told = [f"with friction on the other mesh, so the mesh error of those forces is not known: {stopped}"]
    face = stages[-1].face
    return values | {"friction_sliding": face.sliding, "friction_apart": face.apart}, told, stages


def describe_friction(working: Working, given: Any, stages: tuple[FrictionStage, ...]) -> None:
    """The coefficient and the stages in words."""
    if stages:
        working.given("μ", "friction coefficient between rubber and carrier", given.friction, "-")
        working.fact("friction", "outer face in unilateral contact with Coulomb friction, inner face bonded; ring edges rounded "
                     "at the gap")  # fmt: skip
    for stage in stages:
        axial = "" if stage.ring_force is None else f"{units.show_quantity(stage.ring_force, 'N', 'kN')} axially on each ring, "
        face = stage.face
        working.fact(f"{stage.name}, friction", f"{axial}{units.show_quantity(stage.radial_resultant, 'N', 'kN')} radial "
                     f"resultant; {100 * face.sliding:.0f} % of the face slides, {100 * face.apart:.0f} % stands apart; the "
                     f"rubber stands {units.show(face.bulge, 2)} mm into the gap")  # fmt: skip


def _stages(given: Any, *, coarse: bool = False) -> tuple[FrictionStage, ...]:
    from dossier.mechanics.friction_layer import friction_held_layer

    layer = spherical_layer(given)
    found = friction_held_layer(
        layer, friction=given.friction, assembly=assembly_of(given), press_in=press_in_of(given),
        edge_radius=given.edge_radius, law=material_at(given)[0], cells=half_cells(layer) if coarse else None,
    )  # fmt: skip
    return found.stages


def _forces(given: FiniteLayerInput, stages: tuple[FrictionStage, ...]) -> dict[str, float]:
    def force(stage: FrictionStage) -> float:
        return stage.radial_resultant if stage.ring_force is None or given.carrier == "half_shells" else stage.ring_force

    return {"friction_force": force(stages[0]), "friction_held": force(stages[-1])}
