"""Load-displacement curves of the spherical layer at finite strain, in the four directions of the joint."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from dossier.mechanics.axisymmetric import AxisymmetricKinematics
from dossier.mechanics.combined import TiltingLayer
from dossier.mechanics.drive import Follower, RunStopped, Step, find
from dossier.mechanics.finite_layer import (
    LARGEST_STEP,
    FiniteLayer,
    RestingLayer,
    checked_law,
    closing_message,
    finite_cells,
    finite_layer,
    pin_force,
)
from dossier.mechanics.fourier import DEFAULT_HARMONICS
from dossier.mechanics.hyperelastic import StrainEnergy
from dossier.mechanics.layer import SphericalLayer
from dossier.mechanics.newton import Equilibrium, State, Support
from dossier.mechanics.numbers import checked_number
from dossier.mechanics.placement import LARGEST_TILT, LARGEST_TURN, PinPlacement, check_angle
from dossier.mechanics.prestress import (
    AssemblyStopped,
    RingTravel,
    ShellClosing,
    at_rest,
    checked_closing,
)
from dossier.mechanics.shapes import FreeSurface

Direction = Literal["axial", "torsional", "radial", "conical"]
DIRECTIONS: tuple[Direction, ...] = ("axial", "torsional", "radial", "conical")

LOAD_TOLERANCE = 1e-7
"""Accuracy of a load or displacement that is searched for, in parts of the greatest one asked for."""


@dataclass(frozen=True)
class LayerCurve:
    """Points of a curve in the order they were asked for.

    displacements in mm, or rad in torsional and conical direction: motion of the pin's end, that is of the layer plus
    the pin in series. layer_displacements: the part of the layer. forces in N, or N·mm. least_volume_ratios: smallest
    J at 6x6 points of each element; folded: where it is 0 or less, as a rule at the edge of a bonded face, which
    hardly disturbs the force. pin_offset: axial place of the pin in mm at which it rests after closing. steps:
    equilibria found, closing included.
    """

    direction: Direction
    displacements: tuple[float, ...]
    forces: tuple[float, ...]
    layer_displacements: tuple[float, ...]
    least_volume_ratios: tuple[float, ...]
    pin_offset: float
    steps: int

    @property
    def folded(self) -> tuple[bool, ...]:
        return tuple(ratio <= 0.0 for ratio in self.least_volume_ratios)


class LayerCurveStopped(ArithmeticError):  # noqa: N818
    """A point was not reached; the message names step and load, `curve` holds the points reached before."""

    def __init__(self, message: str, curve: LayerCurve):
        super().__init__(message)
        self.curve = curve


def layer_curve(
    inner_radius: float,
    outer_radius: float,
    polar_start: float,
    polar_end: float,
    shear_modulus: float,
    bulk_modulus: float,
    *,
    direction: Direction,
    displacements: Sequence[float],
    closing: float = 0.0,
    assembly: ShellClosing | RingTravel | None = None,
    press_in: float = 0.0,
    pin_stiffness: float | None = None,
    law: StrainEnergy | None = None,
    free: FreeSurface | None = None,
    cells: tuple[int, int] | None = None,
) -> LayerCurve:
    """Forces of a bonded layer at given motions of the pin, one direction at a time, the others held.

    Radii in mm, angles in rad from the pin axis, moduli in MPa. The layer is neo-Hookean unless `law` is given, its free
    faces are conical unless `free` gives them another form.
    `closing` in mm: before loading, every point of the outer face moves by that much towards the axis. Meanwhile the
    pin is free along its axis, as in assembly: in an asymmetric layer it moves by `pin_offset`, and displacements count
    from there, so zero displacement has zero force in every direction. A tilt goes about the ball centre moving with
    the pin, and so does its moment. `assembly` and `press_in`, instead of `closing`: the stages of `pre_stressed_layer`.

    `pin_stiffness` in N/mm or N·mm/rad: a linear pin in series, displacement = layer displacement + force / pin
    stiffness; the layer's part is found by the secant method.

    Mesh error of the default cells, from finer meshes: 0.3 % at a fifth of the thickness, up to 1 % in an asymmetric
    layer or after closing; forces come out too high. Raises ValueError for values out of range, and
    LayerCurveStopped with the points reached when one is not.
    """
    layer = SphericalLayer(
        inner_radius, outer_radius, polar_start, polar_end, shear_modulus, bulk_modulus, free or FreeSurface()
    )
    direction = _checked_direction(direction)
    targets = _checked_numbers("displacements", displacements, "rad" if direction in _TURNING else "mm")
    if direction in _TURNING:
        for place, angle in enumerate(targets):
            check_angle(f"curve.displacements[{place}]", angle, LARGEST_TURN if direction == "torsional" else LARGEST_TILT)
    loading = _Request(
        layer, checked_law(layer, law), direction, closing, assembly, press_in, pin_stiffness, cells
    ).loading()
    if pin_stiffness is None:
        return loading.visit(targets, "displacements", lambda follower, target: follower.go(target))
    farthest = max(map(abs, targets))
    tolerance = LOAD_TOLERANCE * farthest + loading.force_noise / pin_stiffness
    if tolerance > 1e-3 * farthest > 0.0:
        raise ValueError(
            f"curve.pin_stiffness = {pin_stiffness:g} must be at least {1e3 * loading.force_noise / farthest:.2g} for these "
            "displacements: the force of a softer pin is lost in round-off; check the unit"
        )
    return loading.visit(
        targets, "displacements", lambda follower, target: find(follower, loading.total, target, tolerance)
    )


def layer_curve_at_forces(
    layer: SphericalLayer,
    *,
    direction: Direction,
    forces: Sequence[float],
    closing: float = 0.0,
    assembly: ShellClosing | RingTravel | None = None,
    press_in: float = 0.0,
    pin_stiffness: float | None = None,
    law: StrainEnergy | None = None,
    cells: tuple[int, int] | None = None,
) -> LayerCurve:
    """Displacements at given forces in N, or moments in N·mm; everything else as in `layer_curve`.

    The motion of each force is found by the secant method; LayerCurveStopped also tells when the force no longer
    grows with the motion.
    """
    direction = _checked_direction(direction)
    targets = _checked_numbers("forces", forces, "N·mm" if direction in _TURNING else "N")
    loading = _Request(
        layer, checked_law(layer, law), direction, closing, assembly, press_in, pin_stiffness, cells
    ).loading()
    tolerance = LOAD_TOLERANCE * max(map(abs, targets)) + loading.force_noise
    return loading.visit(
        targets, "forces", lambda follower, target: find(follower, loading.force, target, tolerance)
    )


_TURNING = ("torsional", "conical")


def _checked_direction(direction: str) -> Direction:
    if direction not in DIRECTIONS:
        raise ValueError(f"curve.direction = {direction!r} must be one of {', '.join(DIRECTIONS)}; choose one of them")
    return direction


def _checked_numbers(name: str, values: Sequence[float], unit: str) -> list[float]:
    if isinstance(values, str) or not hasattr(values, "__iter__"):
        raise ValueError(f"curve.{name} = {values!r} must be a list of numbers in {unit}; put them into a list")
    numbers = [checked_number(f"curve.{name}[{place}]", value, unit) for place, value in enumerate(values)]
    if not numbers:
        raise ValueError(f"curve.{name} = [] must hold at least one value in {unit}; add the points of the curve")
    return numbers


def _checked_pin(pin_stiffness: float | None, turning: bool) -> float | None:
    if pin_stiffness is None:
        return None
    unit = "N·mm/rad" if turning else "N/mm"
    if checked_number("curve.pin_stiffness", pin_stiffness, unit) <= 0.0:
        raise ValueError(
            f"curve.pin_stiffness = {pin_stiffness!r} {unit} must exceed 0 {unit}; "
            "leave it out for a rigid pin"
        )
    return float(pin_stiffness)


@dataclass(frozen=True)
class _Request:
    """What a curve is asked of."""

    layer: SphericalLayer
    law: StrainEnergy
    direction: Direction
    closing: float
    assembly: ShellClosing | RingTravel | None
    press_in: float
    pin_stiffness: float | None
    cells: tuple[int, int] | None

    def loading(self) -> _Loading:
        closing = checked_closing("curve", self.layer, self.closing, self.assembly, self.press_in)
        pin = _checked_pin(self.pin_stiffness, self.direction in _TURNING)
        coarse = self.direction in ("radial", "conical")
        gap = self.assembly.gap if isinstance(self.assembly, RingTravel) else None
        finite = finite_layer(self.layer, self.law, self.cells or finite_cells(self.layer, coarse=coarse), gap=gap)
        return _LOADINGS[self.direction](finite, self.direction, self._closed(finite, closing), pin)

    def _closed(self, finite: FiniteLayer, closing: float) -> RestingLayer:
        try:
            return at_rest(finite, closing, self.assembly, self.press_in)
        except RunStopped as failure:
            empty = LayerCurve(self.direction, (), (), (), (), 0.0, 0)
            raise LayerCurveStopped(closing_message("curve", closing, failure), empty) from None
        except AssemblyStopped as failure:
            raise LayerCurveStopped(str(failure), LayerCurve(self.direction, (), (), (), (), 0.0, 0)) from None


class _Loading:
    """A direction's kinematics, started from the closed layer: equilibria along the motion and their force."""

    def __init__(self, finite: FiniteLayer, direction: Direction, closed: RestingLayer, pin_stiffness: float | None):
        self.finite, self.direction, self.closed = finite, direction, closed
        self.pin_stiffness = pin_stiffness
        self.support, self.start = self._open()

    def _open(self) -> tuple[Support, Equilibrium]:
        """Support of both faces and the closed layer in its components."""
        raise NotImplementedError

    def path(self, motion: float) -> np.ndarray:
        """Prescribed displacement (N, c) at a motion of the layer."""
        raise NotImplementedError

    def force(self, step: Step) -> float:
        """Force or moment on the pin along the direction."""
        raise NotImplementedError

    def total(self, step: Step) -> float:
        """Motion of layer and pin in series."""
        pin = 0.0 if self.pin_stiffness is None else self.force(step) / self.pin_stiffness
        return step.parameter + pin

    @property
    def largest_step(self) -> float:
        return LARGEST_STEP * self.finite.thickness / self._lever

    @property
    def force_noise(self) -> float:
        """Round-off of a force in N, or a moment in N·mm."""
        return self.finite.body.force_noise * self._lever

    @property
    def _lever(self) -> float:
        return self.finite.layer.inner_radius if self.direction in _TURNING else 1.0

    def visit(
        self, targets: Sequence[float], name: str, reach: Callable[[Follower, float], Step]
    ) -> LayerCurve:
        """The points, found from zero outwards to either side; raises LayerCurveStopped with those reached."""
        reached: dict[int, Step] = {}
        failures: list[str] = []
        steps = 0
        for sign in (1.0, -1.0):
            follower = Follower(self.support, self.path, self.start, self.largest_step)
            side = [place for place, target in enumerate(targets) if (target >= 0.0) == (sign > 0.0)]
            for count, place in enumerate(sorted(side, key=lambda each: abs(targets[each])), 1):
                try:
                    reached[place] = reach(follower, targets[place])
                except RunStopped as failure:
                    failures.append(self._message(name, place, targets[place], count, follower, failure))
                    break
            steps += len(follower.found) - 1
        curve = self._curve(reached, steps, targets if name == "displacements" else None)
        if failures:
            raise LayerCurveStopped("; ".join(failures), curve)
        return curve

    def _message(
        self, name: str, place: int, target: float, count: int, follower: Follower, failure: RunStopped
    ) -> str:
        stop = failure.stop
        turning = self.direction in _TURNING
        motion, load = ("rad", "N·mm") if turning else ("mm", "N")
        unit = load if name == "forces" else motion
        last = min(follower.found, key=lambda step: abs(step.parameter - stop.reached))
        return (
            f"curve.{name}[{place}] = {target:g} {unit} not reached: {self.direction} step {count} stopped between "
            f"{stop.reached:.4g} and {stop.tried:.4g} {motion} of the layer, last load {self.force(last):.4g} {load} "
            f"({stop.reason}); ask for less or make the layer thicker"
        )

    def _curve(self, reached: dict[int, Step], steps: int, asked: Sequence[float] | None) -> LayerCurve:
        points = [reached[place] for place in sorted(reached)]
        if asked is None:
            displacements = tuple(self.total(step) for step in points)
        else:
            displacements = tuple(asked[place] for place in sorted(reached))
        return LayerCurve(
            direction=self.direction,
            displacements=displacements,
            forces=tuple(self.force(step) for step in points),
            layer_displacements=tuple(step.parameter for step in points),
            least_volume_ratios=tuple(step.equilibrium.least_volume_ratio for step in points),
            pin_offset=self.closed.pin_offset,
            steps=self.closed.steps + steps,
        )


class _AxisymmetricLoading(_Loading):
    """Axial and torsional motion."""

    def _open(self) -> tuple[Support, Equilibrium]:
        closed = self.closed.equilibrium
        if self.direction == "axial":
            return Support(AxisymmetricKinematics(self.finite.body), self.finite.support(2)), closed
        turn = np.zeros((len(closed.state.displacement), 1))
        state = State(np.concatenate([closed.state.displacement, turn], axis=1), closed.state.pressure)
        support = Support(AxisymmetricKinematics(self.finite.body, torsion=True), self.finite.support(3))
        return support, support.solve(state, self.path(0.0))

    def path(self, motion: float) -> np.ndarray:
        axial = self.direction == "axial"
        result = np.zeros((len(self.finite.mesh.nodes), 2 if axial else 3))
        self.finite.place_outer(result, self.closed.outer)
        result[self.finite.mesh.inner, 1] = self.closed.pin_offset + (motion if axial else 0.0)
        if not axial:
            result[self.finite.mesh.inner, 2] = motion
        return result

    def force(self, step: Step) -> float:
        return pin_force(self.finite.mesh.inner, 1 if self.direction == "axial" else 2)(step)


class _LateralLoading(_Loading):
    """Radial and conical motion, with coupled harmonics."""

    def _open(self) -> tuple[Support, Equilibrium]:
        self.tilting = TiltingLayer(self.finite, self.closed, DEFAULT_HARMONICS)
        return self.tilting.support, self.tilting.start

    def path(self, motion: float) -> np.ndarray:
        return self.tilting.prescribed(self._placement(motion))

    def force(self, step: Step) -> float:
        return self.tilting.force("radial" if self.direction == "radial" else "tilt", step)

    def _placement(self, motion: float) -> PinPlacement:
        return PinPlacement(radial=motion) if self.direction == "radial" else PinPlacement(tilt=motion)


_LOADINGS = {
    "axial": _AxisymmetricLoading,
    "torsional": _AxisymmetricLoading,
    "radial": _LateralLoading,
    "conical": _LateralLoading,
}
