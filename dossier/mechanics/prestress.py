"""Pre-stress of the layer from assembly: loads of assembly, pressure, strain and the four stiffnesses afterwards.

Order of operations: the rings travel or the half shells close, then a closed ring shrinks when it is pressed into the
eye, then small loads on the pin. During all stages the pin may move along its axis, so that its axial force vanishes.

The rubber is bonded to pin and outer parts. What that cannot tell stands in LEFT_OUT.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from dossier.mechanics.drive import RunStopped
from dossier.mechanics.face_pressure import FacePressure, outer_face_pressure
from dossier.mechanics.finite_layer import (
    Assembler,
    FiniteLayer,
    OuterMotion,
    RestingLayer,
    checked_law,
    checked_travel,
    closed_layer,
    finite_cells,
    finite_layer,
)
from dossier.mechanics.hyperelastic import StrainEnergy
from dossier.mechanics.increments import stiffness_around
from dossier.mechanics.layer import LayerStiffness, SphericalLayer
from dossier.mechanics.numbers import checked_number
from dossier.mechanics.strain_average import AveragedStrain, averaged_principal_strain

LEFT_OUT = (
    "a face held by friction alone: it would slip or lift where this bonded face carries shear or tension",
    "the uneven closing of half shells around the axis: the mean radial travel of both shells is applied",
    "rubber that creases in the gap between two rings or flows over their edges: it bulges, led by the edges",
    "viscosity, softening by first loads and set: the rubber is elastic",
    "cavitation of rubber under hydrostatic tension",
    "the compliance of pin, rings and shells: they are rigid",
)

DEFAULT_AVERAGING = 0.1
"""Radius of the disc over which strain is averaged, in parts of the layer's thickness."""


@dataclass(frozen=True)
class ShellClosing:
    """Half shells closed onto the layer: the outer face moves by -travel along r, in mm.

    Two shells closed by δ each along a line move the face by 2δ/π on average around the axis; taking the mean
    changes axial stiffness not at all and radial stiffness by 1 % at 7 % of the thickness (own comparison).
    """

    travel: float


@dataclass(frozen=True)
class RingTravel:
    """Two outer rings pressed together by `travel` each along the axis; `gap` between their edges before, in mm.

    The rubber in the gap (|z| < gap/2 on the outer face) may bulge, but not flow over the ring edges.
    """

    travel: float
    gap: float


@dataclass(frozen=True)
class StageLoad:
    """Loads after one stage, the pin at axial rest.

    ring_force: axial force in N that presses the ring above the equator towards the other; None for half shells,
    which reach over the equator. radial_resultant: 2π Σ f_r in N pressing the face inwards. mean_pressure: radial
    resultant over the projected area, in MPa.
    """

    name: str
    travel: float
    ring_force: float | None
    radial_resultant: float
    mean_pressure: float


class AssemblyStopped(ArithmeticError):  # noqa: N818
    """A stage found no equilibrium; `stages` are the loads of the stages before it."""

    def __init__(self, message: str, stages: tuple[Any, ...]):
        super().__init__(message)
        self.stages = stages


@dataclass(frozen=True)
class PreStressedLayer:
    """The assembled layer.

    pin_offset in mm: axial place of the pin at rest, 0 for a symmetric layer. pressure of the outer face and
    strain averaged over a disc belong to the last stage. least_volume_ratio: smallest J at 6x6 points per element.
    """

    stages: tuple[StageLoad, ...]
    pin_offset: float
    pressure: FacePressure
    strain: AveragedStrain
    stiffness: LayerStiffness
    least_volume_ratio: float
    steps: int

    @property
    def folded(self) -> bool:
        """Whether the rubber is turned inside out somewhere, as a rule at an edge: no local value counts there."""
        return self.least_volume_ratio <= 0.0


def pre_stressed_layer(
    layer: SphericalLayer,
    *,
    assembly: ShellClosing | RingTravel,
    press_in: float = 0.0,
    law: StrainEnergy | None = None,
    averaging_length: float | None = None,
    cells: tuple[int, int] | None = None,
) -> PreStressedLayer:
    """Assemble the layer and take its stiffness against small motions of the pin.

    Lengths in mm. `press_in`: second stage, the held outer face moves
    by that much more along -r. `law` replaces the neo-Hookean one of the same shear modulus. `averaging_length`: see
    `averaged_principal_strain`, by default a tenth of the thickness. Raises ValueError for values out of range and
    AssemblyStopped when a stage finds no equilibrium.

    Mesh error of the default cells, from finer meshes: about 1 % of the stiffnesses at 5 % closing.
    """
    law = checked_law(layer, law)
    check_travels(layer, assembly, press_in)
    gap = assembly.gap if isinstance(assembly, RingTravel) else None
    finite = finite_layer(layer, law, cells or finite_cells(layer), gap=gap)
    resting, stages = through_stages(finite, assembly_motions(finite, assembly, press_in))
    state = resting.equilibrium.state
    length = DEFAULT_AVERAGING * finite.thickness if averaging_length is None else averaging_length
    faces = np.concatenate([finite.mesh.inner, finite.mesh.outer])
    return PreStressedLayer(
        stages=stages,
        pin_offset=resting.pin_offset,
        pressure=outer_face_pressure(finite.body, finite.mesh, finite.held, state),
        strain=averaged_principal_strain(finite.body, state.displacement, faces, length),
        stiffness=stiffness_around(finite.body, resting.equilibrium, finite.faces, pin_centre=resting.pin_offset),
        least_volume_ratio=resting.equilibrium.least_volume_ratio,
        steps=resting.steps,
    )


def checked_closing(
    owner: str, layer: SphericalLayer, closing: float, assembly: ShellClosing | RingTravel | None, press_in: float
) -> float:
    """Closing in mm, 0 with an assembly; raises ValueError unless exactly one way to close the layer is given."""
    closing = checked_travel(f"{owner}.closing", closing, layer)
    if assembly is None:
        if press_in:
            raise ValueError(f"ring.press_in = {press_in!r} mm must be 0 mm without an assembly; give the assembly before it")
        return closing
    check_travels(layer, assembly, press_in)
    if closing:
        raise ValueError(f"{owner}.closing = {closing:g} mm must be 0 mm beside an assembly, which closes the layer; "
                         "give one of them")  # fmt: skip
    return closing


def check_travels(layer: SphericalLayer, assembly: ShellClosing | RingTravel, press_in: float) -> None:
    """Raise ValueError naming field, limit, value and remedy unless the operations are possible."""
    if not isinstance(assembly, ShellClosing | RingTravel):
        raise ValueError(f"assembly = {assembly!r} must be a ShellClosing or a RingTravel; give one with its travel in mm")
    if isinstance(assembly, RingTravel):
        checked_number("rings.gap", assembly.gap, "mm")
    field = "shells.travel" if isinstance(assembly, ShellClosing) else "rings.travel"
    travel = checked_travel(field, assembly.travel, layer)
    inwards = checked_travel("ring.press_in", press_in, layer)
    if isinstance(assembly, ShellClosing):
        checked_travel("shells.travel + ring.press_in", travel + inwards, layer)
    elif 2.0 * travel > assembly.gap:
        raise ValueError(
            f"rings.travel = {travel:g} mm must not exceed half of rings.gap = {assembly.gap:g} mm, at which the "
            "rings meet; reduce the travel or widen the gap"
        )


def assembly_motions(finite: FiniteLayer, assembly: ShellClosing | RingTravel, press_in: float) -> list[OuterMotion]:
    """The stages of assembly, in their order."""
    if isinstance(assembly, ShellClosing):
        first = OuterMotion("half shells closed", float(assembly.travel), finite.inwards)
    else:
        together = np.zeros((len(finite.held), 2))
        together[:, 1] = -np.sign(finite.mesh.nodes[finite.held, 1])
        first = OuterMotion("rings pressed together", float(assembly.travel), together)
    return [first, OuterMotion("ring pressed into the eye", float(press_in), finite.inwards)]


def at_rest(
    finite: FiniteLayer, closing: float, assembly: ShellClosing | RingTravel | None, press_in: float
) -> RestingLayer:
    """The layer after its assembly or, without one, after closing; raises AssemblyStopped or RunStopped."""
    if assembly is None:
        return closed_layer(finite, closing)
    return through_stages(finite, assembly_motions(finite, assembly, press_in))[0]


def through_stages(
    finite: FiniteLayer, motions: list[OuterMotion]
) -> tuple[RestingLayer, tuple[StageLoad, ...]]:
    """The layer after all stages and the loads of each; raises AssemblyStopped."""
    assembler = Assembler(finite)
    resting, loads = assembler.undeformed(), []
    for motion in motions:
        try:
            resting = assembler.move(resting, motion)
        except RunStopped as failure:
            stop = failure.stop
            raise AssemblyStopped(
                f"{motion.name}: travel {motion.travel:g} mm not reached, no equilibrium between {stop.reached:.4g} "
                f"and {stop.tried:.4g} mm ({stop.reason}); reduce the travel or make the layer thicker",
                tuple(loads),
            ) from None
        if motion.travel:
            loads.append(_stage_load(finite, resting, motion))
    return resting, tuple(loads)


def _stage_load(finite: FiniteLayer, resting: RestingLayer, motion: OuterMotion) -> StageLoad:
    force = finite.outer_forces(resting.equilibrium.forces)
    upper = finite.mesh.nodes[finite.held, 1] > 0.0
    area = outer_face_pressure(finite.body, finite.mesh, finite.held, resting.equilibrium.state).projected_area
    inwards = -float(force[:, 0].sum())
    return StageLoad(
        name=motion.name,
        travel=motion.travel,
        ring_force=-float(force[upper, 1].sum()) if finite.gap else None,
        radial_resultant=inwards,
        mean_pressure=inwards / area,
    )
