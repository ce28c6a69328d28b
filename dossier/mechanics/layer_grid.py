"""Mapped grid of the rubber layer between its bonded and its free faces, with lines at the edges of a ring gap."""

from __future__ import annotations

from math import acos, pi, radians

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.mesh import GridMesh, end_cell, graded_line, grading_strength, grid_mesh
from dossier.mechanics.pieces import length_of, points_on
from dossier.mechanics.section import free_face
from dossier.mechanics.shapes import Layer

Array = NDArray[np.float64]

CORNER_GRADING = 2.0
"""Clustering towards the corners where a bonded and a free face meet; the strength the layer alone is solved with."""

GAP_CELLS = 2


def gap_angles(layer: Layer, gap: float | None) -> tuple[float, ...]:
    """Polar angles (rad) of the edges of a gap (mm) between two rings on the layer's outer face; none without rings."""
    if gap is None:
        return ()
    opening = acos(gap / 2 / layer.outer_radius)
    return (opening, pi - opening) if gap else (pi / 2,)


def layer_grid(layer: Layer, cells: tuple[int, int], breaks: tuple[float, ...] = ()) -> tuple[GridMesh, tuple[int, ...]]:
    """Nine-node quadrilaterals over the layer, and the grid rows (counted in nodes) of the `breaks`.

    `cells` across and along the layer; `breaks` are polar angles (rad) at which a line of corner nodes runs, as the
    edges of a ring gap need one. Rows run from the first free face to the second, columns from the inner face out.
    """
    across, along = cells
    start, end = radians(layer.polar_start), radians(layer.polar_end)
    thickness = np.log(layer.outer_radius / layer.inner_radius)
    corner = end_cell(across, CORNER_GRADING, both_ends=True) * thickness
    shares, rows = _shares_along(np.array([start, *breaks, end]), along, corner)
    radii = layer.inner_radius * (layer.outer_radius / layer.inner_radius) ** graded_line(across, CORNER_GRADING)
    return grid_mesh(between_faces(layer, radii, shares)), rows


def _shares_along(angles: Array, cells: int, corner: float) -> tuple[Array, tuple[int, ...]]:
    """Shares of the polar angle of all rows, clustered to the ends of each stretch between `angles`."""
    span = angles[-1] - angles[0]
    middle_is_gap = len(angles) == 4
    shares, rows = [np.zeros(1)], []
    for stretch, (low, high) in enumerate(zip(angles, angles[1:], strict=False)):
        length = high - low
        if middle_is_gap and stretch == 1:
            count, strength = GAP_CELLS, 0.0
        else:
            count = max(2, round(cells * length / span))
            strength = grading_strength(count, corner / length, both_ends=True)
        shares.append((low - angles[0] + length * graded_line(count, strength)[1:]) / span)
        rows.append(rows[-1] + 2 * count if rows else 2 * count)
    return np.concatenate(shares), tuple(rows[:-1])


def between_faces(layer: Layer, radii: Array, shares: Array) -> Array:
    """Nodes (rows, columns, 2): on each column the radius and the angle run evenly from one free face to the other.

    A layer that reaches the axis has no free face there.
    """
    across = (radii - layer.inner_radius) / (layer.outer_radius - layer.inner_radius)
    first = _on_face(layer, radians(layer.polar_start), 1, across)
    last = _on_face(layer, radians(layer.polar_end), -1, across)
    polar = (1 - shares)[:, None, None] * first[None] + shares[:, None, None] * last[None]
    radius, angle = polar[..., 0], polar[..., 1]
    sine = np.where((angle == 0.0) | (angle == pi), 0.0, np.sin(angle))
    return np.stack([radius * sine, radius * np.cos(angle)], axis=-1)


def _on_face(layer: Layer, angle: float, rubber_side: int, across: Array) -> Array:
    """Radius and polar angle (n, 2) of places on a free face at the shares `across` of its length, 0 inside."""
    if (layer.free_surface == "straight" and not layer.edge_fillet) or angle in (0.0, pi):
        radius = layer.inner_radius + across * (layer.outer_radius - layer.inner_radius)
        return np.stack([radius, np.full_like(radius, angle)], axis=1)
    edges = [edge.reversed() for edge in reversed(free_face(layer, angle, rubber_side))]
    ends = np.concatenate([[0.0], np.cumsum([length_of(edge) for edge in edges])])
    place = across * ends[-1]
    which = np.clip(np.searchsorted(ends, place, side="right") - 1, 0, len(edges) - 1)
    found = np.empty((len(across), 2))
    for number, edge in enumerate(edges):
        mine = which == number
        found[mine] = points_on(edge, (place[mine] - ends[number]) / length_of(edge))
    radius = np.hypot(*found.T)
    radius[across == 0.0], radius[across == 1.0] = layer.inner_radius, layer.outer_radius
    polar = np.arctan2(found[:, 0], found[:, 1])
    polar[(across == 0.0) | (across == 1.0)] = angle
    return np.stack([radius, polar], axis=1)
