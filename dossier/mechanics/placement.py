"""The pin face moved as a rigid body: its place, its amplitudes in harmonics, their rates and the forces that go with them."""

from __future__ import annotations

from dataclasses import dataclass
from math import asin, atan2, cos, pi, sin

import numpy as np

from dossier.mechanics.fourier import FourierKinematics
from dossier.mechanics.numbers import checked_number

LARGEST_TILT = pi / 2.0
LARGEST_TURN = pi

MOTIONS = ("axial", "radial", "tilt", "turn")
"""Order of motions and of the forces that go with them."""


@dataclass(frozen=True)
class PinPlacement:
    """Motion of the pin: turned by `turn` about its own axis, then tilted by `tilt` about y so that its upper side moves
    along +x (rad), then moved by `axial` along z and `radial` along x (mm)."""

    axial: float = 0.0
    radial: float = 0.0
    tilt: float = 0.0
    turn: float = 0.0

    def __post_init__(self):
        for name, unit in (("axial", "mm"), ("radial", "mm"), ("tilt", "rad"), ("turn", "rad")):
            object.__setattr__(self, name, checked_number(f"placement.{name}", getattr(self, name), unit))
        check_angle("placement.tilt", self.tilt, LARGEST_TILT)
        check_angle("placement.turn", self.turn, LARGEST_TURN)

    @property
    def vector(self) -> np.ndarray:
        """The four motions in the order of MOTIONS."""
        return np.array([self.axial, self.radial, self.tilt, self.turn])


def check_angle(name: str, angle: float, largest: float) -> None:
    """Raise ValueError for an angle in rad beyond the largest one either way, as degrees taken for radians are."""
    if abs(angle) > largest * (1.0 + 1e-9):
        raise ValueError(
            f"{name} = {angle:g} rad must lie between {-largest:.4g} and {largest:.4g} rad; convert degrees to radians"
        )


def rigid_placement(
    kinematics: FourierKinematics, nodes: np.ndarray, placement: PinPlacement, centre: float = 0.0
) -> np.ndarray:
    """Prescribed amplitudes (M, 3·blocks), exact for any tilt and turn; a turn needs kinematics with torsion.

    nodes (M, 2) in mm; the pin centre lies at the height `centre` on the axis.
    """
    moved = _amplitudes(kinematics, nodes, centre, _angle(placement.tilt), _angle(placement.turn))
    moved[:, 0, 0] -= nodes[:, 0]
    moved[:, 0, 1] += placement.axial - (nodes[:, 1] - centre)
    moved[:, 1, 0] += placement.radial
    moved[:, 1, 2] -= placement.radial
    return moved.reshape(len(nodes), -1)


def rigid_rates(
    kinematics: FourierKinematics, nodes: np.ndarray, placement: PinPlacement, centre: float = 0.0
) -> np.ndarray:
    """Derivatives (4, M, 3·blocks) of `rigid_placement` after the motions, in the order of MOTIONS.

    The work-conjugate force of a motion is the sum of nodal forces times its rate: a force in N, or in N·mm the moment about
    the pin's own axis (turn) or about y through its moved centre (tilt).
    """
    tilt, turn = _angle(placement.tilt), _angle(placement.turn)
    rates = np.zeros((4, len(nodes), len(kinematics.blocks), 3))
    rates[0, :, 0, 1] = rates[1, :, 1, 0] = 1.0
    rates[1, :, 1, 2] = -1.0
    rates[2] = _amplitudes(kinematics, nodes, centre, _after(tilt), turn)
    rates[3] = _amplitudes(kinematics, nodes, centre, tilt, _after(turn))
    return rates.reshape(4, len(nodes), -1)


def lever_stiffness(
    kinematics: FourierKinematics, nodes: np.ndarray, placement: PinPlacement, forces: np.ndarray, centre: float = 0.0
) -> np.ndarray:
    """What present nodal forces (M, 3·blocks) add to the stiffness (4, 4) because turning moves their lever arms."""
    tilt, turn = _angle(placement.tilt), _angle(placement.turn)
    found = np.zeros((4, 4))

    def work(tilt: np.ndarray, turn: np.ndarray) -> float:
        return float((_amplitudes(kinematics, nodes, centre, tilt, turn).reshape(len(nodes), -1) * forces).sum())

    found[2, 2] = work(_after(_after(tilt)), turn)
    if kinematics.torsion:
        found[3, 3] = work(tilt, _after(_after(turn)))
        found[2, 3] = found[3, 2] = work(_after(tilt), _after(turn))
    return found


def placement_of(
    kinematics: FourierKinematics, nodes: np.ndarray, displacement: np.ndarray, centre: float = 0.0
) -> PinPlacement:
    """Rigid placement of a face from its amplitudes (M, 3·blocks), read at its node farthest from the axis."""
    place = int(nodes[:, 0].argmax())
    r, z = nodes[place, 0], nodes[place, 1] - centre
    moved = displacement[place].reshape(-1, 3)
    turn, rise = 0.0, -moved[1, 1]
    if kinematics.torsion:
        turn = atan2(moved[0, 2], moved[0, 0] + r)
        rise = rise * cos(turn) + moved[kinematics.harmonics + 1, 1] * sin(turn)
    tilt = asin(max(-1.0, min(1.0, rise / r)))
    return PinPlacement(moved[0, 1] - (cos(tilt) - 1.0) * z, moved[1, 0] - sin(tilt) * z, tilt, turn)


def _angle(angle: float) -> np.ndarray:
    return np.array([1.0, cos(angle), sin(angle)])


def _after(turned: np.ndarray) -> np.ndarray:
    """Derivative of (1, cos, sin), or of (0, …) derived once, after the angle."""
    return np.array([0.0, -turned[2], turned[1]])


def _amplitudes(
    kinematics: FourierKinematics, nodes: np.ndarray, centre: float, tilt: np.ndarray, turn: np.ndarray
) -> np.ndarray:
    """Place (M, blocks, 3) of the turned and tilted face as amplitudes; bilinear in (1, cos, sin) of both angles."""
    r, z = nodes[:, 0], nodes[:, 1] - centre
    still, cosine, sine = tilt
    around, along, across = turn
    result = np.zeros((len(nodes), len(kinematics.blocks), 3))
    result[:, 0, 0], result[:, 0, 1] = (still + cosine) * along * r / 2.0, cosine * around * z
    result[:, 1, 0], result[:, 1, 1], result[:, 1, 2] = sine * around * z, -sine * along * r, -sine * around * z
    result[:, 2, 0] = (cosine - still) * along * r / 2.0
    result[:, 2, 2] = -result[:, 2, 0]
    if kinematics.torsion:
        first, second = kinematics.harmonics + 1, kinematics.harmonics + 2
        result[:, 0, 2] = (still + cosine) * across * r / 2.0
        result[:, first, 1] = sine * across * r
        result[:, second, 0] = -(cosine - still) * across * r / 2.0
        result[:, second, 2] = -result[:, second, 0]
    return result
