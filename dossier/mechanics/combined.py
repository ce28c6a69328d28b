"""Axial, radial and tilting motion of the pin at once, from the closed layer at finite strain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from numbers import Real

import numpy as np

from dossier.mechanics.drive import Run, RunStopped, Step, drive
from dossier.mechanics.finite_layer import (
    LARGEST_STEP,
    FiniteLayer,
    RestingLayer,
    checked_law,
    checked_travel,
    closing_message,
    finite_cells,
    finite_layer,
)
from dossier.mechanics.fourier import DEFAULT_HARMONICS, FourierKinematics, rigid_placement, rigid_placement_rate
from dossier.mechanics.hyperelastic import StrainEnergy
from dossier.mechanics.layer import SphericalLayer
from dossier.mechanics.newton import Support
from dossier.mechanics.prestress import AssemblyStopped, RingTravel, ShellClosing, at_rest, check_travels


@dataclass(frozen=True)
class PinPlacement:
    """Motion of the pin: axial and radial (along x) in mm, then tilt in rad about y through its moved centre."""

    axial: float = 0.0
    radial: float = 0.0
    tilt: float = 0.0

    def __post_init__(self):
        for name, unit in (("axial", "mm"), ("radial", "mm"), ("tilt", "rad")):
            value = getattr(self, name)
            if not isinstance(value, Real) or not isfinite(value):
                raise ValueError(f"placement.{name} = {value!r} must be a finite number in {unit}; correct the entry")
            object.__setattr__(self, name, float(value))


@dataclass(frozen=True)
class PinLoad:
    """Forces on the pin in N along z and x, moment in N·mm about y through the moved pin centre."""

    placement: PinPlacement
    axial: float
    radial: float
    moment: float
    least_volume_ratio: float


class CombinedLoadStopped(ArithmeticError):  # noqa: N818
    """A placement, or the closing, was not reached; `loads` are those of the placements before."""

    def __init__(self, message: str, loads: tuple[PinLoad, ...]):
        super().__init__(message)
        self.loads = loads


def combined_loads(
    layer: SphericalLayer,
    *,
    placements: Sequence[PinPlacement],
    closing: float = 0.0,
    assembly: ShellClosing | RingTravel | None = None,
    press_in: float = 0.0,
    law: StrainEnergy | None = None,
    cells: tuple[int, int] | None = None,
    harmonics: int = DEFAULT_HARMONICS,
) -> tuple[PinLoad, ...]:
    """Loads of the pin at placements visited one after the other on straight ways, from its place after closing.

    Lengths in mm, angles in rad; `closing` or `assembly` with `press_in`, rest of the pin and `law` as in `layer_curve`.
    Raises ValueError for values out of range and CombinedLoadStopped when the closing or a placement is not reached.
    """
    closing = checked_travel("combined.closing", closing, layer)
    gap = assembly.gap if isinstance(assembly, RingTravel) else None
    if assembly is not None:
        check_travels(layer, assembly, press_in)
    finite = finite_layer(layer, checked_law(layer, law), cells or finite_cells(layer, coarse=True), gap=gap)
    way = _Way(placements, finite)
    try:
        closed = at_rest(finite, closing, assembly, press_in)
    except RunStopped as failure:
        raise CombinedLoadStopped(closing_message("combined", closing, failure), ()) from None
    except AssemblyStopped as failure:
        raise CombinedLoadStopped(str(failure), ()) from None
    tilting = TiltingLayer(finite, closed, harmonics)
    run = tilting.run(way)
    loads = tuple(tilting.load(placement, step) for placement, step in zip(placements, run.points, strict=False))
    if run.stopped:
        last = tilting.load(way.at(run.stopped.reached), run.last_found)
        raise CombinedLoadStopped(
            f"combined.placements[{len(loads)}] = {placements[len(loads)]} not reached: step {len(run.steps)} stopped "
            f"between {last.placement} and {way.at(run.stopped.tried)}, last loads {last.axial:.4g} N axially, "
            f"{last.radial:.4g} N radially, {last.moment:.4g} N·mm ({run.stopped.reason}); ask for less or make the "
            "layer thicker",
            loads,
        )
    return loads


class _Way:
    """Straight ways from the closed layer through the placements; the parameter counts largest steps."""

    def __init__(self, placements: Sequence[PinPlacement], finite: FiniteLayer):
        if not placements:
            raise ValueError("combined.placements = [] must hold at least one placement; add where the pin goes")
        rows = [[each.axial, each.radial, each.tilt] for each in placements]
        self._corners = np.array([[0.0, 0.0, 0.0], *rows])
        scale = np.array([1.0, 1.0, finite.layer.inner_radius]) / (LARGEST_STEP * finite.thickness)
        lengths = np.abs(np.diff(self._corners, axis=0) * scale).max(axis=1)
        self._places = np.concatenate([[0.0], np.cumsum(lengths)])

    @property
    def stops(self) -> list[float]:
        return [float(place) for place in self._places[1:]]

    def at(self, parameter: float) -> PinPlacement:
        return PinPlacement(*(np.interp(parameter, self._places, column) for column in self._corners.T))


class TiltingLayer:
    """A closed layer whose pin may move axially, radially and by tilt."""

    def __init__(self, finite: FiniteLayer, closed: RestingLayer, harmonics: int):
        self.finite, self.closed = finite, closed
        self.kinematics = FourierKinematics(finite.body, harmonics)
        self.inner = finite.mesh.nodes[finite.mesh.inner]
        self.support = Support(self.kinematics, self._held())
        self.start = self.support.solve(
            self.kinematics.from_axisymmetric(closed.equilibrium.state), self.prescribed(PinPlacement())
        )

    def _held(self) -> np.ndarray:
        held = self.finite.support(3 * (self.kinematics.harmonics + 1))
        held[:, 2] = True
        return held

    def prescribed(self, placement: PinPlacement) -> np.ndarray:
        """Displacement amplitudes (N, 3(N + 1)) of both faces."""
        result = np.zeros((len(self.finite.mesh.nodes), 3 * (self.kinematics.harmonics + 1)))
        self.finite.place_outer(result, self.closed.outer)
        result[self.finite.mesh.inner] = rigid_placement(
            self.kinematics, self.inner, self.closed.pin_offset + placement.axial, placement.radial, placement.tilt
        )
        return result

    def force(self, direction: str, placement: PinPlacement, step: Step) -> float:
        """Force in N (axial, radial) or moment in N·mm (conical) on the pin."""
        rate = rigid_placement_rate(self.kinematics, self.inner, direction, placement.tilt)
        return float((step.equilibrium.forces[self.finite.mesh.inner] * rate).sum())

    def load(self, placement: PinPlacement, step: Step) -> PinLoad:
        axial, radial, moment = (self.force(each, placement, step) for each in ("axial", "radial", "conical"))
        return PinLoad(placement, axial, radial, moment, step.equilibrium.least_volume_ratio)

    def run(self, way: _Way) -> Run:
        return drive(
            self.support, lambda place: self.prescribed(way.at(place)), self.start, way.stops, largest_step=1.0
        )
