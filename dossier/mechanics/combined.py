"""Axial, radial, tilting and turning motion of the pin at once, from the closed layer at finite strain, metal in series."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.mechanics.compliance import MetalCompliance
from dossier.mechanics.drive import Follower, RunStopped, Step
from dossier.mechanics.finite_layer import (
    LARGEST_STEP,
    FiniteLayer,
    RestingLayer,
    checked_law,
    closing_message,
    finite_cells,
    finite_layer,
)
from dossier.mechanics.fourier import DEFAULT_HARMONICS, FourierKinematics
from dossier.mechanics.hyperelastic import StrainEnergy
from dossier.mechanics.increments import stiffness_around
from dossier.mechanics.layer import SphericalLayer
from dossier.mechanics.newton import Equilibrium, Support
from dossier.mechanics.numbers import checked_number
from dossier.mechanics.pin_support import PinFace, PinSupport
from dossier.mechanics.placement import LARGEST_TILT, LARGEST_TURN, MOTIONS, PinPlacement, check_angle
from dossier.mechanics.prestress import AssemblyStopped, RingTravel, ShellClosing, at_rest, checked_closing

RIGID = MetalCompliance()


@dataclass(frozen=True)
class PinDemand:
    """What is asked of the pin's far end: axial and radial force in N, tilt and turn in rad."""

    axial_force: float = 0.0
    radial_force: float = 0.0
    tilt: float = 0.0
    turn: float = 0.0

    def __post_init__(self):
        for name, unit in (("axial_force", "N"), ("radial_force", "N"), ("tilt", "rad"), ("turn", "rad")):
            object.__setattr__(self, name, checked_number(f"demand.{name}", getattr(self, name), unit))
        check_angle("demand.tilt", self.tilt, LARGEST_TILT)
        check_angle("demand.turn", self.turn, LARGEST_TURN)

    @property
    def vector(self) -> np.ndarray:
        """In the order of `placement.MOTIONS`."""
        return np.array([self.axial_force, self.radial_force, self.tilt, self.turn])


@dataclass(frozen=True)
class PinLoad:
    """Forces on the pin in N along z and x, moment in N·mm about y through the moved pin centre, torque in N·mm about the
    pin's own axis. `placement` is that of the far end, `layer` that of the bonded face: they differ by what the metal gives
    way. The pin is led in the plane of its radial motion: with a turn it takes a side force as well, which is not told."""

    placement: PinPlacement
    layer: PinPlacement
    axial: float
    radial: float
    moment: float
    torque: float
    least_volume_ratio: float


class CombinedLoadStopped(ArithmeticError):  # noqa: N818
    """A placement, or the closing, was not reached; `loads` are those of the placements before, `last` the last found."""

    def __init__(self, message: str, loads: tuple[PinLoad, ...], last: PinLoad | None = None):
        super().__init__(message)
        self.loads, self.last = loads, last


def combined_loads(
    layer: SphericalLayer,
    *,
    placements: Sequence[PinPlacement],
    metal: MetalCompliance = RIGID,
    closing: float = 0.0,
    assembly: ShellClosing | RingTravel | None = None,
    press_in: float = 0.0,
    law: StrainEnergy | None = None,
    cells: tuple[int, int] | None = None,
    harmonics: int = DEFAULT_HARMONICS,
) -> tuple[PinLoad, ...]:
    """Loads of the pin at placements of its far end visited one after the other on straight ways, from rest after closing.

    Lengths in mm, angles in rad; `metal` between far end and layer adds its linear compliance, valid for its own small
    motions; `closing` or `assembly` with `press_in`, rest of the pin and `law` as in `layer_curve`. Any turn doubles the
    harmonics and takes some five times as long. Raises ValueError for values out of range and CombinedLoadStopped when the
    closing or a placement is not reached.
    """
    ways = _Ways("placements", placements, np.zeros(4, bool))
    return _visited(layer, ways, metal, closing, assembly, press_in, law, cells, harmonics)


def loads_under(
    layer: SphericalLayer,
    *,
    demands: Sequence[PinDemand],
    metal: MetalCompliance = RIGID,
    closing: float = 0.0,
    assembly: ShellClosing | RingTravel | None = None,
    press_in: float = 0.0,
    law: StrainEnergy | None = None,
    cells: tuple[int, int] | None = None,
    harmonics: int = DEFAULT_HARMONICS,
) -> tuple[PinLoad, ...]:
    """The same for forces along and across the axis together with angles, as a load case gives them."""
    ways = _Ways("demands", demands, np.array([True, True, False, False]))
    return _visited(layer, ways, metal, closing, assembly, press_in, law, cells, harmonics)


def _visited(
    layer: SphericalLayer,
    ways: _Ways,
    metal: MetalCompliance,
    closing: float,
    assembly: ShellClosing | RingTravel | None,
    press_in: float,
    law: StrainEnergy | None,
    cells: tuple[int, int] | None,
    harmonics: int,
) -> tuple[PinLoad, ...]:
    closing = checked_closing("combined", layer, closing, assembly, press_in)
    gap = assembly.gap if isinstance(assembly, RingTravel) else None
    finite = finite_layer(layer, checked_law(layer, law), cells or finite_cells(layer, coarse=True), gap=gap)
    try:
        closed = at_rest(finite, closing, assembly, press_in)
        moving = MovingPin(finite, closed, harmonics, metal, ways.by_load, torsion=ways.turns)
    except RunStopped as failure:
        raise CombinedLoadStopped(closing_message("combined", closing, failure), ()) from None
    except AssemblyStopped as failure:
        raise CombinedLoadStopped(str(failure), ()) from None
    return moving.visit(ways)


class _Ways:
    """Straight ways from rest through what is asked for, one after the other."""

    def __init__(self, name: str, asked: Sequence[PinPlacement] | Sequence[PinDemand], by_load: np.ndarray):
        if not asked:
            raise ValueError(f"combined.{name} = [] must hold at least one of them; add where the pin goes")
        self.name, self.asked, self.by_load = name, tuple(asked), by_load

    @property
    def turns(self) -> bool:
        """Whether the pin turns about its axis anywhere."""
        return any(each.turn for each in self.asked)


class MovingPin:
    """A closed layer whose pin is led by its far end."""

    def __init__(
        self, finite: FiniteLayer, closed: RestingLayer, harmonics: int, metal: MetalCompliance, by_load: np.ndarray, *,
        torsion: bool,
    ):  # fmt: skip
        self.face = PinFace(finite, FourierKinematics(finite.body, harmonics, torsion=torsion), closed.outer)
        self.rest = np.array([closed.pin_offset, 0.0, 0.0, 0.0])
        self.support = PinSupport(self.face, metal.matrix, by_load)
        stiffness = stiffness_around(finite.body, closed.equilibrium, finite.faces, pin_centre=closed.pin_offset)
        soft = np.array([stiffness.axial, stiffness.radial, stiffness.conical, stiffness.torsional])
        lever = np.array([1.0, 1.0, finite.layer.inner_radius, finite.layer.inner_radius])
        self.largest = LARGEST_STEP * finite.thickness / lever * np.where(by_load, np.abs(soft), 1.0)
        self.start = self._opened(closed)

    def _opened(self, closed: RestingLayer) -> Equilibrium:
        """The closed layer in harmonics; its pin has no axial force, so that its far end is where asked."""
        state = self.face.kinematics.from_axisymmetric(closed.equilibrium.state)
        return Support(self.face.kinematics, self.face.held()).solve(
            state, self.face.prescribed(PinPlacement(axial=closed.pin_offset))
        )

    def visit(self, ways: _Ways) -> tuple[PinLoad, ...]:
        """Loads at all places asked for; raises CombinedLoadStopped."""
        corners = np.array([np.zeros(4), *(each.vector for each in ways.asked)])
        lengths = np.abs(np.diff(corners, axis=0) / self.largest).max(axis=1)
        places = np.concatenate([[0.0], np.cumsum(lengths)])

        def asked(place: float) -> np.ndarray:
            motions = np.array([np.interp(place, places, column) for column in corners.T])
            return np.where(self.support.by_load, motions, motions + self.rest)

        follower = Follower(self.support, asked, self.start, 1.0)
        loads: list[PinLoad] = []
        for place in places[1:]:
            try:
                loads.append(self.load(follower.go(place).equilibrium))
            except RunStopped as failure:
                raise self._stopped(ways, follower, failure, loads) from None
        return tuple(loads)

    def load(self, equilibrium: Equilibrium) -> PinLoad:
        """What the pin feels in an equilibrium, and where it stands."""
        loads = self.face.loads(equilibrium)
        layer = self.face.placement(equilibrium.state).vector - self.rest
        end = layer + self.support.compliance @ loads
        axial, radial, moment, torque = (float(each) for each in loads)
        return PinLoad(PinPlacement(*end), PinPlacement(*layer), axial, radial, moment, torque, equilibrium.least_volume_ratio)

    def _stopped(
        self, ways: _Ways, follower: Follower, failure: RunStopped, loads: list[PinLoad]
    ) -> CombinedLoadStopped:
        place = len(loads)
        nearest: Step = min(follower.found, key=lambda step: abs(step.parameter - failure.stop.reached))
        last = self.load(nearest.equilibrium)
        return CombinedLoadStopped(
            f"combined.{ways.name}[{place}] = {ways.asked[place]} not reached: step {len(follower.found)} stopped at "
            f"{last.placement}, last loads {last.axial:.4g} N axially, {last.radial:.4g} N radially, {last.moment:.4g} N·mm, "
            f"torque {last.torque:.4g} N·mm ({failure.stop.reason}); ask for less or make the layer thicker",
            tuple(loads), last,
        )  # fmt: skip


class TiltingLayer:
    """A closed layer whose pin is moved radially or by tilt between rigid faces."""

    def __init__(self, finite: FiniteLayer, closed: RestingLayer, harmonics: int):
        self.face = PinFace(finite, FourierKinematics(finite.body, harmonics), closed.outer)
        self.offset = closed.pin_offset
        self.support = Support(self.face.kinematics, self.face.held())
        self.start = self.support.solve(
            self.face.kinematics.from_axisymmetric(closed.equilibrium.state), self.prescribed(PinPlacement())
        )

    def prescribed(self, placement: PinPlacement) -> np.ndarray:
        """Displacement amplitudes (N, 3(N + 1)) of both faces, the placement counted from the pin's rest."""
        moved = PinPlacement(self.offset + placement.axial, placement.radial, placement.tilt)
        return self.face.prescribed(moved)

    def force(self, motion: str, step: Step) -> float:
        """Force in N (axial, radial) or moment in N·mm (tilt) on the pin."""
        return float(self.face.loads(step.equilibrium)[MOTIONS.index(motion)])
