"""Rigid metal faces the rubber may touch without bond: arcs in the meridional plane, with rounded edges at a ring gap."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np


@dataclass(frozen=True)
class Touch:
    """Where m points stand to a rigid face.

    gap (m,) in mm, positive while apart; normal (m, 2) unit vectors from the rubber into the metal; turning (m,) in
    1/mm: how the normal turns with a motion along the face, ∂n/∂x = turning · (1 - n nᵀ).
    """

    gap: np.ndarray
    normal: np.ndarray
    turning: np.ndarray


@dataclass(frozen=True)
class RigidProfile:
    """A circle about `centre` (r, z) with `radius` in mm, the rubber inside it (a ring) or outside it (a ball).

    `edge` is the height z over the centre where a ring above (`side` = 1) or below (-1) the equator ends, at its gap;
    `edge_radius` rounds it into the flat end of the ring. Without an edge the circle goes on. The centre moves with the
    metal, `turn` in rad is its rotation about the axis.
    """

    radius: float
    rubber_inside: bool = True
    centre: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    side: int = 1
    edge: float | None = None
    edge_radius: float = 0.0

    def moved(self, radial: float = 0.0, axial: float = 0.0, turn: float = 0.0) -> RigidProfile:
        """The face moved by `radial` and `axial` in mm and turned by `turn` in rad."""
        centre = (self.centre[0] + radial, self.centre[1] + axial)
        return replace(self, centre=centre, turn=self.turn + turn)

    def touch(self, place: np.ndarray) -> Touch:
        """Distance, normal and curvature at places (m, 2) in mm."""
        offset = place - np.array(self.centre)
        distance = np.hypot(*offset.T)
        outwards = offset / distance[:, None]
        if not self.rubber_inside:
            return Touch(distance - self.radius, -outwards, -1.0 / distance)
        found = Touch(self.radius - distance, outwards, 1.0 / distance)
        return found if self.edge is None else self._rounded(offset, outwards, found)

    def _rounded(self, offset: np.ndarray, outwards: np.ndarray, arc: Touch) -> Touch:
        """The arc up to its tangent point, then the round edge, then the flat end of the ring."""
        height = self.edge + self.edge_radius
        corner = np.array([np.sqrt((self.radius + self.edge_radius) ** 2 - height**2), self.side * height])
        direction = corner / np.hypot(*corner)
        beyond = self.side * (direction[1] - outwards[:, 1]) > 0.0
        way = corner - offset
        length = np.hypot(*way.T)
        gap = np.where(beyond, length - self.edge_radius, arc.gap)
        normal = np.where(beyond[:, None], way / length[:, None], arc.normal)
        turning = np.where(beyond, -1.0 / length, arc.turning)
        flat = beyond & (offset[:, 0] > corner[0])
        gap = np.where(flat, self.side * (corner[1] - offset[:, 1]) - self.edge_radius, gap)
        normal = np.where(flat[:, None], np.array([0.0, float(self.side)]), normal)
        return Touch(gap, normal, np.where(flat, 0.0, turning))
