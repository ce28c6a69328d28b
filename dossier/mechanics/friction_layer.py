"""The layer bonded to the pin and held by friction in rings or half shells: assembly, press-in, axial or torsional load.

The outer face may lift off, stick or slide (Coulomb), also past the rounded edges of the rings into the free volume of
their gap. Pressures and shears are forces over the undeformed area. Loads that vary around the axis are not followed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, isnan
from numbers import Real
from typing import Literal

import numpy as np

from dossier.mechanics.axisymmetric import AxisymmetricKinematics
from dossier.mechanics.drive import RunStopped
from dossier.mechanics.finite_layer import FiniteLayer, checked_law, finite_cells, finite_layer
from dossier.mechanics.friction import STIFFNESS, FrictionContact, face_points
from dossier.mechanics.friction_support import FrictionEquilibrium, FrictionSupport, Placement, follow
from dossier.mechanics.hyperelastic import StrainEnergy
from dossier.mechanics.layer import SphericalLayer
from dossier.mechanics.newton import Equilibrium
from dossier.mechanics.prestress import AssemblyStopped, RingTravel, ShellClosing, check_travels
from dossier.mechanics.rigid_profile import RigidProfile

CONTACT_STEP = 0.02
"""Largest step of assembly and of a load in parts of the thickness: short, as friction remembers its way."""


@dataclass(frozen=True)
class FaceContact:
    """The outer face at one load: shares of its undeformed area that are apart and that slide, the greatest pressure in
    MPa over the undeformed area, and by how many mm the rubber between the rings stands beyond their sphere."""

    apart: float
    sliding: float
    greatest_pressure: float
    bulge: float


@dataclass(frozen=True)
class FrictionStage:
    """After a stage of assembly: travel in mm, force in N on each ring (None for half shells), radial resultant in N."""

    name: str
    travel: float
    ring_force: float | None
    radial_resultant: float
    face: FaceContact


@dataclass(frozen=True)
class FrictionLoad:
    """Pin motion in mm or rad from its rest, force in N or moment in N·mm on it, and the face there."""

    motion: float
    force: float
    face: FaceContact


@dataclass(frozen=True)
class FrictionHeldLayer:
    """Stages of assembly, the pin's axial rest in mm and the loads in the order of their motions."""

    stages: tuple[FrictionStage, ...]
    pin_offset: float
    loads: tuple[FrictionLoad, ...]


class FrictionLoadStopped(ArithmeticError):  # noqa: N818
    """A motion was not reached; `found` holds what was."""

    def __init__(self, message: str, found: FrictionHeldLayer):
        super().__init__(message)
        self.found = found


def friction_held_layer(
    layer: SphericalLayer,
    *,
    friction: float,
    assembly: ShellClosing | RingTravel,
    press_in: float = 0.0,
    edge_radius: float = 0.3,
    direction: Literal["axial", "torsional"] = "axial",
    motions: Sequence[float] = (),
    law: StrainEnergy | None = None,
    cells: tuple[int, int] | None = None,
) -> FrictionHeldLayer:
    """Assemble the layer and move its pin through `motions` (mm, or rad) one after the other.

    `friction`: Coulomb's coefficient between rubber and metal, infinite for a face that sticks as long as it touches.
    `edge_radius` in mm rounds the rings at their gap. Raises ValueError for values out of range, AssemblyStopped and
    FrictionLoadStopped where no equilibrium is found.
    """
    _check_friction(friction, edge_radius)
    check_travels(layer, assembly, press_in)
    if direction not in ("axial", "torsional"):
        raise ValueError(f"friction.direction = {direction!r} must be axial or torsional; other loads vary around the axis")
    gap = assembly.gap if isinstance(assembly, RingTravel) else None
    finite = finite_layer(layer, checked_law(layer, law), cells or finite_cells(layer), gap=gap)
    run = _FrictionRun(finite, friction, edge_radius, direction)
    stages = run.assemble(assembly, press_in)
    offset = run.pin_offset
    loads: list[FrictionLoad] = []
    for place, motion in enumerate(motions):
        try:
            loads.append(run.load(offset, float(motion)))
        except RunStopped as failure:
            stop, unit = failure.stop, "mm" if direction == "axial" else "rad"
            raise FrictionLoadStopped(
                f"friction.motions[{place}] = {motion:g} {unit} not reached: no equilibrium between "
                f"{run.motion + stop.reached:.4g} and {run.motion + stop.tried:.4g} {unit} ({stop.reason}); ask for less",
                FrictionHeldLayer(stages, offset, tuple(loads)),
            ) from None
    return FrictionHeldLayer(stages, offset, tuple(loads))


def _check_friction(friction: float, edge_radius: float) -> None:
    if not isinstance(friction, Real) or isnan(friction) or friction < 0.0:
        raise ValueError(f"friction.friction = {friction!r} must be a number of at least 0; give Coulomb's coefficient")
    if not isinstance(edge_radius, Real) or not isfinite(edge_radius) or edge_radius <= 0.0:
        raise ValueError(f"friction.edge_radius = {edge_radius!r} mm must exceed 0 mm; a sharp edge would cut into the rubber")


class _FrictionRun:
    """The layer on its way through assembly and load: where the metal stands and the last equilibrium."""

    def __init__(self, finite: FiniteLayer, friction: float, edge_radius: float, direction: str):
        self.finite = finite
        components = 3 if direction == "torsional" else 2
        self.component = components - 1
        self.profiles = _profiles(finite, edge_radius)
        points = face_points(finite.mesh, -1, self.profiles)
        stiffness = STIFFNESS * finite.layer.bulk_modulus / finite.thickness
        self.contact = FrictionContact(finite.mesh.nodes, points, friction, stiffness)
        self.kinematics = AxisymmetricKinematics(finite.body, torsion=components == 3)
        self.still = np.zeros((len(finite.mesh.nodes), components))
        rest = self.kinematics.rest
        touch = self.contact.state(self.still, self.profiles, self.contact.at_rest(self.profiles))
        self.last = FrictionEquilibrium(Equilibrium(rest, self.still, 0, 1.0), touch)
        self.motion = 0.0

    @property
    def pin_offset(self) -> float:
        return float(self.last.state.displacement[self.finite.mesh.inner[0], 1])

    def assemble(self, assembly: ShellClosing | RingTravel, press_in: float) -> tuple[FrictionStage, ...]:
        """All stages; raises AssemblyStopped."""
        if isinstance(assembly, RingTravel):
            motions = [("rings pressed together", assembly.travel, 0.0, -1.0)]
        else:
            motions = [("half shells closed", assembly.travel, -1.0, 0.0)]
        motions.append(("ring pressed into the eye", press_in, -1.0, 0.0))
        held, tied = self._held(), None
        if not self.finite.symmetric:
            tied = np.zeros_like(held)
            tied[self.finite.mesh.inner, 1] = True
            held &= ~tied
        support = FrictionSupport(self.kinematics, held, self.contact, tied)
        stages: list[FrictionStage] = []
        for name, travel, radial, axial in motions:
            if not travel:
                continue
            start = self.profiles
            try:
                self._follow(support, lambda s, start=start, radial=radial, axial=axial: Placement(
                    self.still, [each.moved(radial * s, axial * each.side * s) for each in start]), float(travel))  # fmt: skip
            except RunStopped as failure:
                raise AssemblyStopped(f"{name}: travel {travel:g} mm not reached: no equilibrium between "
                                      f"{failure.stop.reached:.4g} and {failure.stop.tried:.4g} mm ({failure.stop.reason}); "
                                      "reduce the travel or make the layer thicker", tuple(stages)) from None  # fmt: skip
            self.profiles = [each.moved(radial * travel, axial * each.side * travel) for each in start]
            stages.append(self._stage(name, float(travel)))
        return tuple(stages)

    def load(self, offset: float, motion: float) -> FrictionLoad:
        """Move the pin to `motion` from its rest at `offset`; raises RunStopped."""
        support, start = FrictionSupport(self.kinematics, self._held(), self.contact), self.motion

        def path(way: float) -> Placement:
            prescribed = self.still.copy()
            prescribed[self.finite.mesh.inner, 1] = offset
            prescribed[self.finite.mesh.inner, self.component] += start + way
            return Placement(prescribed, self.profiles)

        self._follow(support, path, motion - start)
        self.motion = motion
        force = float(self.last.equilibrium.forces[self.finite.mesh.inner, self.component].sum())
        return FrictionLoad(motion, force, self._face())

    def _held(self) -> np.ndarray:
        held = np.zeros(self.still.shape, bool)
        held[self.finite.mesh.inner] = True
        return held

    def _follow(self, support: FrictionSupport, path, reach: float) -> None:
        lever = self.finite.layer.inner_radius if support.held.shape[1] == 3 and path(0.0).profiles is self.profiles else 1.0
        step = CONTACT_STEP * self.finite.thickness / lever
        self.last = follow(support, path, self.last, reach, step)[-1][1]

    def _stage(self, name: str, travel: float) -> FrictionStage:
        touch, which = self.last.contact, self.contact.points.profile
        ring = float(touch.force[which == 0, 1].sum()) if self.finite.gap is not None else None
        return FrictionStage(name, travel, ring, float(touch.force[:, 0].sum()), self._face())

    def _face(self) -> FaceContact:
        touch, points = self.last.contact, self.contact.points
        facing = np.abs(self.contact.undeformed[:, 1]) >= (self.finite.gap or 0.0) / 2.0 - 1e-9
        area = points.area * facing
        guided = self.finite.guided
        place = self.finite.mesh.nodes[guided] + self.last.state.displacement[guided, :2]
        bulge = float(np.hypot(*place.T).max() - self.finite.layer.outer_radius) if len(guided) else 0.0
        return FaceContact(
            apart=float(area[touch.pressure <= 0.0].sum() / area.sum()),
            sliding=float(area[touch.sliding].sum() / area.sum()),
            greatest_pressure=float(touch.pressure.max()),
            bulge=bulge,
        )


def _profiles(finite: FiniteLayer, edge_radius: float) -> list[RigidProfile]:
    radius = finite.layer.outer_radius
    if finite.gap is None:
        return [RigidProfile(radius)]
    return [RigidProfile(radius, side=side, edge=finite.gap / 2.0, edge_radius=edge_radius) for side in (1, -1)]
