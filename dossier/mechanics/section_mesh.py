"""Conforming mesh of the whole joint's meridional section: rubber in quadrilaterals, pin, core and carrier in triangles."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.layer import MOST_CELLS
from dossier.mechanics.layer_grid import gap_angles, layer_grid
from dossier.mechanics.mesh import GridMesh
from dossier.mechanics.numbers import checked_number, checked_whole
from dossier.mechanics.outline import Arc, Region
from dossier.mechanics.pieces import Divided, Nodes, Spacing, corners_of, cut, points_on
from dossier.mechanics.section import ORIGIN, model_regions
from dossier.mechanics.shapes import JointShape, Rings, ball_contour
from dossier.mechanics.triangles import triangulate

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

COARSE_LIMITS = (0.02, 2.0)
MOST_FILLET_SIDES = 500
THINNEST_WALL = 0.01
"""Thinnest wall that is meshed, as a share of the radius it lies at: a thinner one takes minutes."""

WALL_SHARE = 0.8
"""Longest side of a triangle as a share of the wall it lies in."""


@dataclass(frozen=True)
class MeshSize:
    """How fine the section is meshed.

    `layer_cells` across and along the rubber; `coarse` longest side of a triangle as a share of the neck's radius;
    `fillet_sides` sides along a quarter circle of a fillet.
    """

    layer_cells: tuple[int, int] = (6, 20)
    coarse: float = 0.35
    fillet_sides: int = 16

    def __post_init__(self):
        if not isinstance(self.layer_cells, tuple | list) or len(self.layer_cells) != 2:
            raise ValueError(f"size.layer_cells = {self.layer_cells!r} must be two whole numbers; give cells across and along")
        across, along = (checked_whole("size.layer_cells", cells, 2, MOST_CELLS) for cells in self.layer_cells)
        if across * along > MOST_CELLS:
            raise ValueError(f"size.layer_cells = {self.layer_cells!r} must be {MOST_CELLS} in all at most; mesh it coarser")
        low, high = COARSE_LIMITS
        if not low <= checked_number("size.coarse", self.coarse, "") <= high:
            raise ValueError(
                f"size.coarse = {self.coarse!r} must lie between {low:g} and {high:g}; it is a share of the neck's radius"
            )
        checked_whole("size.fillet_sides", self.fillet_sides, 1, MOST_FILLET_SIDES)

    def finer(self, factor: int) -> MeshSize:
        """All lengths divided by `factor`."""
        across, along = self.layer_cells
        return MeshSize((across * factor, along * factor), self.coarse / factor, self.fillet_sides * factor)


@dataclass(frozen=True)
class SectionMesh:
    """Nodes (N, 2) in mm as (r, z); the layer's grid of nine-node quadrilaterals, whose node numbers are the first of
    all; six-node triangles (t, 6) of pin, core, ring or half_shell; node numbers of the cylinder held by the eye, of
    the two clamp edges, and of the layer's face in touch with the carrier, stretch by stretch.
    """

    nodes: Array
    layer: GridMesh
    triangles: dict[str, Numbers]
    eye: Numbers
    clamp: Numbers
    carried: tuple[Numbers, ...]


def section_mesh(joint: JointShape, size: MeshSize | None = None) -> SectionMesh:
    """Mesh of the model between the two clamp edges. Raises GeometryError for dimensions in conflict, ValueError where
    two outlines lie too close for the mesh."""
    size = size or MeshSize()
    if not isinstance(size, MeshSize):
        raise ValueError(f"size = {size!r} must be a MeshSize; leave it out for the usual mesh")
    regions = model_regions(joint)
    del regions["layer"]
    _check_walls(joint)
    nodes = Nodes()
    gap = joint.carrier.gap if isinstance(joint.carrier, Rings) else None
    breaks = gap_angles(joint.layer, gap)
    grid, rows = layer_grid(joint.layer, size.layer_cells, breaks)
    nodes.add(grid.nodes)
    carried = _give_faces(nodes, joint, grid, rows)
    spacing = _spacing(joint, size, grid)
    points = np.concatenate(
        [
            corners_of(regions.values()),
            nodes.array()[[grid.grid[0, 0], grid.grid[-1, 0]]],
            nodes.array()[[stretch[0] for stretch in carried]],
            nodes.array()[[stretch[-1] for stretch in carried]],
        ]
    )
    triangles = {name: _region_triangles(nodes, region, points, spacing) for name, region in regions.items()}
    return _collected(joint, nodes.array(), grid, triangles, carried)


def _check_walls(joint: JointShape) -> None:
    neck, sphere, cylinder = joint.pin.neck_radius, joint.layer.outer_radius, joint.carrier.outer_radius
    walls = {f"pin.bores[{place}].diameter = {bore.diameter:g} mm": (neck - bore.diameter / 2, "pin.neck_radius", neck)
             for place, bore in enumerate(joint.pin.bores)}  # fmt: skip
    walls[f"carrier.outer_radius = {cylinder:g} mm"] = (cylinder - sphere, "layer.outer_radius", sphere)
    for stated, (wall, name, radius) in walls.items():
        if wall < THINNEST_WALL * radius:
            raise ValueError(
                f"{stated} leaves a wall of {wall:.3g} mm, which must be at least {THINNEST_WALL * radius:.3g} mm to be meshed, "
                f"a hundredth of {name} = {radius:g} mm; leave more wall"
            )


def _collected(
    joint: JointShape, nodes: Array, grid: GridMesh, triangles: dict[str, Numbers], carried: tuple[Numbers, ...]
) -> SectionMesh:
    solid = np.zeros(len(nodes), bool)
    for name in ("pin", "core"):
        if name in triangles:
            solid[triangles[name]] = True
    clamp = np.flatnonzero(solid & (np.abs(nodes[:, 1]) > joint.pin.ends.clamp_edge - 1e-9))
    eye = np.flatnonzero(nodes[:, 0] > joint.carrier.outer_radius - 1e-9)
    layer = GridMesh(nodes, grid.quads, grid.grid)
    return SectionMesh(nodes, layer, triangles, eye, clamp, carried)


def _give_faces(nodes: Nodes, joint: JointShape, grid: GridMesh, rows: tuple[int, ...]) -> tuple[Numbers, ...]:
    """Lay down the division of the layer's faces; the stretches of nodes in touch with the carrier."""
    inner = grid.grid[::-1, 0]
    _give_arc(nodes, inner, clockwise=False)
    ends = [0, *rows, len(grid.grid) - 1]
    stretches = [grid.grid[low : high + 1, -1] for low, high in zip(ends, ends[1:], strict=False)]
    if len(stretches) == 3:
        del stretches[1]
    for stretch in stretches:
        _give_arc(nodes, stretch, clockwise=True)
    return tuple(stretches)


def _give_arc(nodes: Nodes, numbers: Numbers, *, clockwise: bool) -> None:
    nodes.claim(numbers[0])
    nodes.claim(numbers[-1])
    arc = Arc(nodes.points[numbers[0]], nodes.points[numbers[-1]], ORIGIN, clockwise)
    nodes.give(arc, Divided(numbers[::2], numbers[1::2]))


def _spacing(joint: JointShape, size: MeshSize, grid: GridMesh) -> Spacing:
    pin = joint.pin
    coarse = size.coarse * pin.neck_radius
    places, sizes = [], []

    def ask(points: Array, sides: Array | float) -> None:
        places.append(points)
        sizes.append(np.broadcast_to(sides, len(points)))

    for face in (grid.inner, grid.outer):
        corners = grid.nodes[face[::2]]
        side = np.hypot(*np.diff(corners, axis=0).T)
        ask(corners, np.maximum(np.append(side, side[-1]), np.insert(side, 0, side[0])))
    for arc in _fillets(joint):
        sides = max(1, math.ceil(size.fillet_sides * abs(np.subtract(*arc.angles())) / (math.pi / 2)))
        ask(points_on(arc, np.linspace(0, 1, sides + 1)), arc.radius * abs(np.subtract(*arc.angles())) / sides)
    wall = joint.carrier.outer_radius - joint.layer.outer_radius
    heights = np.arange(-joint.carrier.half_width, joint.carrier.half_width + wall / 2, wall / 2)
    ask(np.stack([np.full_like(heights, joint.carrier.outer_radius), heights], axis=1), WALL_SHARE * 1.5 * wall)
    for bore in pin.bores:
        wall = pin.neck_radius - bore.diameter / 2
        heights = np.arange(max(bore.start, -pin.ends.clamp_edge), min(bore.end, pin.ends.clamp_edge) + wall / 2, wall / 2)
        ask(np.stack([np.full_like(heights, bore.diameter / 2), heights], axis=1), WALL_SHARE * wall)
    return Spacing(coarse, np.concatenate(places), np.concatenate(sizes))


def _fillets(joint: JointShape) -> list[Arc]:
    pin = joint.pin
    if not pin.neck_fillet:
        return []
    contour = ball_contour(pin)
    (r, z), (centre_r, end) = contour.tangent, contour.fillet_centre
    upper = Arc((r, z), (pin.neck_radius, end), (centre_r, end), clockwise=True)
    lower = Arc((pin.neck_radius, -end), (r, -z), (centre_r, -end), clockwise=True)
    return [upper, lower]


def _region_triangles(nodes: Nodes, region: Region, points: Array, spacing: Spacing) -> Numbers:
    return np.concatenate([_loop_triangles(nodes, cut(loop, points), spacing) for loop in region.loops])


def _loop_triangles(nodes: Nodes, edges: list, spacing: Spacing) -> Numbers:
    """Six-node triangles (t, 6) inside a closed loop of divided edges."""
    divided = [nodes.divide(edge, spacing) for edge in edges]
    corners = np.concatenate([part.corners[:-1] for part in divided])
    middles = np.concatenate([part.middles for part in divided])
    at = nodes.array()
    points, triangles = triangulate(at[corners], spacing.coarse)
    count = len(corners)
    numbers = np.concatenate([corners, nodes.add(points[count:])])
    sides = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2)
    low, high = sides.min(axis=2), sides.max(axis=2)
    unique, inverse = np.unique(low * len(points) + high, return_inverse=True)
    first, second = unique // len(points), unique % len(points)
    middle_numbers = np.empty(len(unique), np.int64)
    outline = (second < count) & ((second - first == 1) | ((first == 0) & (second == count - 1)))
    middle_numbers[outline] = middles[np.where(second - first == 1, first, second)[outline]]
    middle_numbers[~outline] = nodes.add((points[first] + points[second])[~outline] / 2)
    return np.concatenate([numbers[triangles], middle_numbers[inverse.reshape(-1, 3)]], axis=1)
