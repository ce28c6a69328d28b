"""Structured meshes of nine-node quadrilaterals in the meridional half plane (r, z)."""

from __future__ import annotations

from dataclasses import dataclass
from math import tanh

import numpy as np

STRONGEST_GRADING = 12.0


@dataclass(frozen=True)
class GridMesh:
    """A mapped mesh.

    nodes (N, 2) in mm as (r, z); quads (E, 9) for `quad9`; grid (2·m + 1, 2·n + 1) of node numbers: rows run
    along the layer (m cells), columns across it (n cells), so that neighbours keep close numbers.
    """

    nodes: np.ndarray
    quads: np.ndarray
    grid: np.ndarray

    @property
    def inner(self) -> np.ndarray:
        """Nodes on the inner face."""
        return self.grid[:, 0]

    @property
    def outer(self) -> np.ndarray:
        """Nodes on the outer face."""
        return self.grid[:, -1]

    @property
    def ends(self) -> np.ndarray:
        """Nodes on both end faces (for a zone: the free conical faces)."""
        return np.concatenate([self.grid[0], self.grid[-1]])


def graded_line(cells: int, strength: float, *, low: bool = True, high: bool = True) -> np.ndarray:
    """Places (2·cells + 1,) of corner and middle nodes on [0, 1], clustered towards the low and/or high end.

    The strength g maps x to tanh(g·x)/tanh(g); 0 spaces evenly.
    """
    start, end = (-1.0 if low else 0.0), (1.0 if high else 0.0)
    corners = np.linspace(0.0, 1.0, cells + 1)
    if strength and start != end:
        corners = np.tanh(strength * (start + (end - start) * corners)) / np.tanh(strength)
        corners = (corners - start) / (end - start)
    places = np.empty(2 * cells + 1)
    places[::2] = corners
    places[1::2] = (corners[1:] + corners[:-1]) / 2.0
    return places


def end_cell(cells: int, strength: float, *, both_ends: bool) -> float:
    """Length of the cell at a clustered end of `graded_line`."""
    if not strength:
        return 1.0 / cells
    span = 2.0 if both_ends else 1.0
    return (1.0 - tanh(strength * (1.0 - span / cells)) / tanh(strength)) / span


def grading_strength(cells: int, length: float, *, both_ends: bool) -> float:
    """Strength that makes the end cell as short as `length`; 0 when even spacing is short enough."""
    if length >= 1.0 / cells:
        return 0.0
    low, high = 1e-3, STRONGEST_GRADING
    for _ in range(40):
        middle = (low + high) / 2.0
        if end_cell(cells, middle, both_ends=both_ends) > length:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def grid_mesh(nodes: np.ndarray) -> GridMesh:
    """Connect a grid of nodes (2·m + 1, 2·n + 1, 2) into m x n nine-node quadrilaterals."""
    along, across = nodes.shape[:2]
    grid = np.arange(along * across).reshape(along, across)
    local = [grid[i : along - 2 + i : 2, j : across - 2 + j : 2].ravel() for i in range(3) for j in range(3)]
    return GridMesh(nodes.reshape(-1, 2), np.stack(local, axis=1), grid)


def zone_mesh(radii: np.ndarray, polar_angles: np.ndarray) -> GridMesh:
    """Spherical zone about the origin with nodes at all radii (mm) and polar angles (rad from the pin axis).

    Nodes at the angles 0 and π lie exactly on the axis r = 0.
    """
    sine = np.where((polar_angles == 0.0) | (polar_angles == np.pi), 0.0, np.sin(polar_angles))
    return grid_mesh(np.stack([np.outer(sine, radii), np.outer(np.cos(polar_angles), radii)], axis=-1))


def tube_mesh(radii: np.ndarray, heights: np.ndarray) -> GridMesh:
    """Cylindrical tube (solid when radii[0] = 0) with nodes at all radii and heights in mm; heights fall.

    Falling heights keep the numbering counter-clockwise, as in a zone whose polar angle grows.
    """
    r, z = np.broadcast_arrays(radii[None, :], heights[:, None])
    return grid_mesh(np.stack([r, z], axis=-1))


def split_into_triangles(quads: np.ndarray) -> np.ndarray:
    """Two six-node triangles (2·E, 6) from each nine-node quadrilateral (E, 9), on the same nodes."""
    first = quads[:, [0, 6, 8, 3, 7, 4]]
    second = quads[:, [0, 8, 2, 4, 5, 1]]
    return np.concatenate([first, second])
