"""Unilateral contact with Coulomb friction between nodes of a rubber face and rigid metal, axisymmetric with torsion.

A node touches with the pressure p = ε · (depth of penetration) over its share of the undeformed face. It sticks by the
same stiffness ε against sliding since the last equilibrium, along the meridian and around the axis, until the shear
reaches μ p; then it slides against that shear. ε is so stiff that penetration and elastic slip stay below a
thousandth of the layer's thickness. Residual and tangent are consistent; the tangent of sliding is not symmetric.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np

from dossier.mechanics.mesh import GridMesh
from dossier.mechanics.rigid_profile import RigidProfile, Touch

STIFFNESS = 10.0
"""Contact stiffness in bulk moduli over the layer's thickness."""

NEAR = 1e-9

_SIMPSON = np.array([1.0, 4.0, 1.0]) / 3.0
_SLOPES = np.array([[-1.5, 2.0, -0.5], [-0.5, 0.0, 0.5], [0.5, -2.0, 1.5]])
"""Derivatives of the three shape functions of an edge at its nodes -1, 0 and 1."""


@dataclass(frozen=True)
class ContactPoints:
    """Face nodes that may touch one rigid profile: numbers (m,), undeformed area (m,) in mm², which profile (m,)."""

    nodes: np.ndarray
    area: np.ndarray
    profile: np.ndarray

    @property
    def connectivity(self) -> np.ndarray:
        """One node to each contact, as the equations want it."""
        return self.nodes[:, None]


@dataclass(frozen=True)
class Slip:
    """What friction remembers of the last equilibrium: shear (m, 2) in MPa along the meridian and around the axis,
    place (m, 2) in mm and rotation (m,) in rad of the node relative to its metal."""

    shear: np.ndarray
    place: np.ndarray
    turn: np.ndarray


@dataclass(frozen=True)
class ContactState:
    """Contact at one displacement: touch, pressure (m,) and shear (m, 2) in MPa, sliding (m,) bool.

    force (m, c) on the metal in N, and N·mm with torsion; tangent (m, c, c) its derivative.
    """

    touch: Touch
    pressure: np.ndarray
    shear: np.ndarray
    sliding: np.ndarray
    force: np.ndarray
    tangent: np.ndarray
    slip: Slip


def face_points(mesh: GridMesh, column: int, profiles: Sequence[RigidProfile]) -> ContactPoints:
    """Nodes of the grid's `column` (0 inner face, -1 outer face) with their shares of the face after Simpson's rule.

    Nodes above the equator go to profiles of the side 1, those below to the side -1, those on it to both; a single
    profile takes all. A node on the axis has no share and no contact.
    """
    nodes = mesh.grid[:, column]
    place = mesh.nodes[nodes]
    area = np.zeros(len(nodes))
    for first in range(0, len(nodes) - 2, 2):
        edge = place[first : first + 3]
        length = np.hypot(*(_SLOPES @ edge).T)
        area[first : first + 3] += _SIMPSON * length * 2.0 * pi * edge[:, 0]
    parts = [np.flatnonzero((area > 0.0) & (place[:, 1] * each.side >= -NEAR)) for each in profiles]
    if len(profiles) == 1:
        parts = [np.flatnonzero(area > 0.0)]
    which = np.repeat(np.arange(len(profiles)), [len(part) for part in parts])
    chosen = np.concatenate(parts)
    return ContactPoints(nodes[chosen], area[chosen], which)


class FrictionContact:
    """Contact of one face with its profiles at friction coefficient μ (infinite: it sticks as long as it touches)."""

    def __init__(self, nodes: np.ndarray, points: ContactPoints, friction: float, stiffness: float):
        self.undeformed = nodes[points.nodes]
        self.points, self.friction, self.stiffness = points, friction, stiffness

    def at_rest(self, profiles: Sequence[RigidProfile]) -> Slip:
        """Before anything has moved."""
        count = len(self.points.nodes)
        return Slip(np.zeros((count, 2)), self.undeformed - self._centres(profiles), np.zeros(count))

    def _centres(self, profiles: Sequence[RigidProfile]) -> np.ndarray:
        return np.array([profile.centre for profile in profiles])[self.points.profile]

    def state(
        self, displacement: np.ndarray, profiles: Sequence[RigidProfile], before: Slip, *, sticking: bool = False
    ) -> ContactState:
        """Contact at nodal displacements (N, 2) or (N, 3) with the metal placed as `profiles`.

        `sticking`: as if nothing slid, for the first guess of a step, which then follows the metal.
        """
        moved = displacement[self.points.nodes]
        place = self.undeformed + moved[:, :2]
        touch = self._touch(place, profiles)
        pressure = self.stiffness * np.maximum(-touch.gap, 0.0)
        relative = place - self._centres(profiles)
        turned = before.turn
        if moved.shape[1] == 3:
            turned = moved[:, 2] - np.array([each.turn for each in profiles])[self.points.profile]
        friction = np.inf if sticking else self.friction
        moved_since = (relative - before.place, turned - before.turn)
        shear, d_shear, sliding = self._shear(friction, touch, pressure, place, moved_since, before)
        force, tangent = self._force(touch, pressure, shear, d_shear, place, moved.shape[1])
        slip = Slip(shear, relative, turned)
        return ContactState(touch, pressure, shear, sliding, force, tangent, slip)

    def _touch(self, place: np.ndarray, profiles: Sequence[RigidProfile]) -> Touch:
        gap, normal, turning = np.empty(len(place)), np.empty((len(place), 2)), np.empty(len(place))
        for number, profile in enumerate(profiles):
            mine = self.points.profile == number
            found = profile.touch(place[mine])
            gap[mine], normal[mine], turning[mine] = found.gap, found.normal, found.turning
        return Touch(gap, normal, turning)

    def _shear(self, friction, touch, pressure, place, moved_since, before):
        """Shear (m, 2), its derivative (m, 2, 3) after (u_r, u_z, φ) and whether it slides."""
        along, along_slope = _along(touch)
        stiffness, (travel, turn) = self.stiffness, moved_since
        slid = np.stack([np.einsum("mi,mi->m", travel, along), place[:, 0] * turn], axis=1)
        trial = before.shear + stiffness * slid
        slope = np.zeros((len(trial), 2, 3))
        slope[:, 0, :2] = stiffness * (along + np.einsum("mi,mij->mj", travel, along_slope))
        slope[:, 1, 0], slope[:, 1, 2] = stiffness * turn, stiffness * place[:, 0]
        touching = pressure > 0.0
        size = np.hypot(*trial.T)
        limit = friction * np.where(touching, pressure, 1.0)
        sliding = touching & (size > limit)
        direction = trial / np.where(size > 0.0, size, 1.0)[:, None]
        across = np.eye(2) - direction[:, :, None] * direction[:, None, :]
        part = np.where(sliding, limit / np.where(size > 0.0, size, 1.0), 1.0)
        slipping = part[:, None, None] * np.einsum("mij,mjk->mik", across, slope)
        if np.isfinite(friction):
            slipping[:, :, :2] += friction * stiffness * direction[:, :, None] * touch.normal[:, None, :]
        shear = np.where(touching[:, None], part[:, None] * trial, 0.0)
        slope = np.where(sliding[:, None, None], slipping, slope) * touching[:, None, None]
        return shear, slope, sliding

    def _force(self, touch, pressure, shear, shear_slope, place, components):
        along, along_slope = _along(touch)
        touching = (pressure > 0.0)[:, None, None]
        area = self.points.area
        force = np.zeros((len(place), 3))
        force[:, :2] = pressure[:, None] * touch.normal + shear[:, :1] * along
        force[:, 2] = place[:, 0] * shear[:, 1]
        tangent = np.zeros((len(place), 3, 3))
        normal_slope = touch.turning[:, None, None] * (np.eye(2) - touch.normal[:, :, None] * touch.normal[:, None, :])
        tangent[:, :2, :2] = touching * self.stiffness * touch.normal[:, :, None] * touch.normal[:, None, :]
        tangent[:, :2, :2] += pressure[:, None, None] * normal_slope + shear[:, 0, None, None] * along_slope
        tangent[:, :2] += along[:, :, None] * shear_slope[:, None, 0]
        tangent[:, 2] = place[:, :1] * shear_slope[:, 1]
        tangent[:, 2, 0] += shear[:, 1]
        size = slice(0, components)
        return area[:, None] * force[:, size], area[:, None, None] * tangent[:, size, size]


def _along(touch: Touch) -> tuple[np.ndarray, np.ndarray]:
    """Unit vector along the meridian (m, 2) and its derivative (m, 2, 2) after the place."""
    n = touch.normal
    along = np.stack([n[:, 1], -n[:, 0]], axis=1)
    slope = touch.turning[:, None, None] * (np.eye(2) - n[:, :, None] * n[:, None, :])
    return along, np.stack([slope[:, 1], -slope[:, 0]], axis=1)
