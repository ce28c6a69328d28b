"""The meridional regions of a joint as exact outlines: one geometry for drawing, raster, mesh and mass."""
from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from dossier.mechanics.outline import (
    Arc,
    Edge,
    Line,
    Point,
    Region,
    closed_loop,
    rectangle,
    staircase,
)
from dossier.mechanics.shape_check import EQUAL, check_shape
from dossier.mechanics.shapes import Bore, HalfShells, JointShape, Layer, Pin, Rings, ball_contour

REGION_NAMES = ("pin", "core", "layer", "ring", "half_shell", "eye")
"""Names of all regions, in the order `material_at` counts them."""

View = Literal["revolved", "bolts"]
"""`revolved`: the body of revolution, before flats and bolt holes are cut. `bolts`: the section through the
axes of pin and bolts, which shows the ends at the thickness between the flats and the holes as gaps."""

ORIGIN: Point = (0.0, 0.0)


def regions(joint: JointShape, view: View = "revolved") -> dict[str, Region]:
    """Region of each part present, keyed by its name; raises GeometryError if the shape does not fit."""
    check_shape(joint)
    parts = {"pin": pin_region(joint.pin, view), "core": core_region(joint, view),
             "layer": layer_region(joint.layer), **_carrier_region(joint)}
    if joint.eye is not None:
        half = joint.eye.width / 2
        parts["eye"] = Region((rectangle(joint.eye.bore_radius, joint.eye.outer_radius, -half, half),))
    return {name: region for name, region in parts.items() if region.loops}


def model_regions(joint: JointShape) -> dict[str, Region]:
    """Regions of the meridional model: bodies of revolution, the pin only between its two clamp edges, no eye."""
    check_shape(joint)
    cut = replace(joint, pin=replace(joint.pin, length=2 * joint.pin.ends.clamp_edge))
    parts = {"pin": pin_region(cut.pin), "core": core_region(cut), "layer": layer_region(joint.layer), **_carrier_region(joint)}
    return {name: region for name, region in parts.items() if region.loops}


def pin_region(pin: Pin, view: View = "revolved") -> Region:
    """Steel of the pin; `view` as for `regions`."""
    loops = []
    for low, high in _pieces(pin, view):
        inner = _bore_edges(pin, low, high)
        loops.append(closed_loop([*_steel_edges(pin, low, high, view), *_backwards(inner)]))
    return Region(tuple(loops))


def core_region(joint: JointShape, view: View = "revolved") -> Region:
    """Core material: filled bores, touching ones as one loop, or the ball contour around a straight pin."""
    pin = joint.pin
    if joint.core.kind == "ball_contour":
        return Region((closed_loop(_ball_edges(pin)),))
    if joint.core.kind == "none":
        return Region(())
    loops = []
    for low, high in _pieces(pin, view):
        for run in _filled_runs(pin, low, high):
            steps = [(bore.diameter / 2, z, bore.end_radius) for bore in run for z in (bore.start, bore.end)]
            loops.append(closed_loop(_rounded([(0.0, run[0].start, 0.0), *steps, (0.0, run[-1].end, 0.0)])))
    return Region(tuple(loops))


def layer_region(layer: Layer) -> Region:
    """Rubber layer between its two bonded faces and its two free faces."""
    top, bottom = (math.radians(angle) for angle in (layer.polar_start, layer.polar_end))
    upper = free_face(layer, top, rubber_side=1)
    lower = _backwards(free_face(layer, bottom, rubber_side=-1))
    outer = Arc(lower[-1].end, upper[0].start, ORIGIN)
    inner = Arc(upper[-1].end, lower[0].start, ORIGIN, clockwise=True)
    return Region((closed_loop([outer, *upper, inner, *lower]),))


def material_at(joint: JointShape, r: ArrayLike, z: ArrayLike, view: View = "revolved") -> NDArray[np.int8]:
    """Index into REGION_NAMES of the region at each point (r, z), −1 for none; r and z are broadcast.

    Where an eye is drawn narrower than the free carrier, the carrier wins.
    """
    r_all, z_all = np.broadcast_arrays(np.asarray(r, dtype=float), np.asarray(z, dtype=float))
    found = np.full(r_all.shape, -1, dtype=np.int8)
    for name, region in regions(joint, view).items():
        found[(found < 0) & region.contains(r_all, z_all)] = REGION_NAMES.index(name)
    return found


@dataclass(frozen=True)
class WallAtBore:
    """Least steel wall around the bores, mm; None where no bore reaches into the zone.

    `free` is the least distance between a bore and the outer contour of the steel up to the clamp edge, met
    first at z = `free_z`. `clamp` is the least wall between a bore and the flat (the neck where there is no
    flat) in the clamp zone, met first at z = `clamp_z`. Not regarded: the bolt holes, the web between two
    bores, the web between a closed cavity and the pin's end face.
    """

    free: float | None
    free_z: float | None
    clamp: float | None
    clamp_z: float | None


def wall_at_bore(joint: JointShape) -> WallAtBore:
    """Least wall between any bore and the outside of the steel, in front of the clamp edge and behind it."""
    check_shape(joint)
    pin, edge = joint.pin, joint.pin.ends.clamp_edge
    outline = _steel_edges(pin, -edge, edge, "bolts")
    free: list[tuple[float, float]] = []
    clamp: list[tuple[float, float]] = []
    for bore in pin.bores:
        free.extend(_free_walls(pin, bore, outline))
        clamp.extend(_clamp_walls(pin, bore))
    nearest_free = min(free, key=_wall_then_height, default=(None, None))
    nearest_clamp = min(clamp, key=_wall_then_height, default=(None, None))
    return WallAtBore(*nearest_free, *nearest_clamp)


def _wall_then_height(candidate: tuple[float, float]) -> tuple[float, float]:
    return round(candidate[0], 9), abs(candidate[1])


def _free_walls(pin: Pin, bore: Bore, outline: list[Edge]) -> list[tuple[float, float]]:
    """Wall and z at the places where the distance of a bore from the outline can be least."""
    edge, contour = pin.ends.clamp_edge, ball_contour(pin)
    low, high = max(bore.start, -edge), min(bore.end, edge)
    if low >= high:
        return []
    places = [z for h in (contour.neck_line, contour.fillet_end, pin.ends.flat_start) for z in (h, -h)]
    heights = [low, high, *(z for z in places if low < z < high)]
    radius = bore.diameter / 2
    return [(min(part.distance((radius, z)) for part in outline), z) for z in heights]


def _clamp_walls(pin: Pin, bore: Bore) -> list[tuple[float, float]]:
    ends, walls = pin.ends, []
    for side, reach in ((1, bore.end), (-1, -bore.start)):
        begin = max(ends.clamp_edge, side * (bore.start if side > 0 else bore.end))
        if reach <= begin:
            continue
        if not ends.flat_thickness or begin < ends.flat_start:
            walls.append((pin.neck_radius - bore.diameter / 2, side * begin))
        if ends.flat_thickness and reach > ends.flat_start:
            walls.append((ends.flat_thickness / 2 - bore.diameter / 2, side * max(begin, ends.flat_start)))
    return walls


def _backwards(edges: list[Edge]) -> list[Edge]:
    return [edge.reversed() for edge in reversed(edges)]


def _pieces(pin: Pin, view: View) -> list[tuple[float, float]]:
    """Stretches of z the pin consists of: one, or three between bolt holes that are cut open."""
    half, hole = pin.length / 2, pin.ends.hole_diameter / 2
    if view == "revolved" or not hole:
        return [(-half, half)]
    near, far = pin.ends.hole_distance / 2 - hole, pin.ends.hole_distance / 2 + hole
    return [(-half, -far), (-near, near), (far, half)]


def _steel_edges(pin: Pin, low: float, high: float, view: View) -> list[Edge]:
    """Outside of the steel from z = low up to z = high, both outside the ball contour."""
    contour_end = ball_contour(pin).fillet_end
    ends = pin.ends
    flats = view == "bolts" and ends.flat_thickness > 0
    if low > 0 or high < 0:
        radius = ends.flat_thickness / 2 if flats else pin.neck_radius
        return [Line((radius, low), (radius, high))]
    upper = [(pin.neck_radius, contour_end), *_end_corners(pin, high, flats)]
    lower = [(pin.neck_radius, contour_end), *_end_corners(pin, -low, flats)]
    below = [(r, -z) for r, z in reversed(lower)]
    if pin.straight_radius:
        return staircase([*below, *upper])
    return [*staircase(below), *_ball_edges(pin), *staircase(upper)]


def _end_corners(pin: Pin, reach: float, flats: bool) -> list[Point]:
    if not flats or reach <= pin.ends.flat_start:
        return [(pin.neck_radius, reach)]
    half, start = pin.ends.flat_thickness / 2, pin.ends.flat_start
    return [(pin.neck_radius, start), (half, start), (half, reach)]


def _ball_edges(pin: Pin) -> list[Edge]:
    """Lower fillet, sphere and upper fillet, upwards."""
    contour = ball_contour(pin)
    (tangent_r, tangent_z), (centre_r, end) = contour.tangent, contour.fillet_centre
    neck = pin.neck_radius
    sphere = Arc((tangent_r, -tangent_z), (tangent_r, tangent_z), ORIGIN)
    if not pin.neck_fillet:
        neck_end = Arc((neck, -end), (neck, end), ORIGIN)
        return [neck_end]
    return [Arc((neck, -end), (tangent_r, -tangent_z), (centre_r, -end), clockwise=True), sphere,
            Arc((tangent_r, tangent_z), (neck, end), (centre_r, end), clockwise=True)]


def _bore_edges(pin: Pin, low: float, high: float) -> list[Edge]:
    """Inside of the steel from z = low up to z = high: the bores, and the axis between them."""
    corners: list[tuple[float, float, float]] = []
    height = low
    for bore in _clipped(pin.bores, low, high):
        if bore.start - height > EQUAL:
            corners += [(0.0, height, 0.0), (0.0, bore.start, 0.0)]
            height = bore.start
        corners += [(bore.diameter / 2, height, bore.end_radius), (bore.diameter / 2, bore.end, bore.end_radius)]
        height = bore.end
    if high - height > EQUAL:
        return _rounded([*corners, (0.0, height, 0.0), (0.0, high, 0.0)])
    corners[-1] = (corners[-1][0], high, corners[-1][2])
    return _rounded(corners)


def _rounded(corners: list[tuple[float, float, float]]) -> list[Edge]:
    """Upward edges through `corners` (r, z, radius); a wall's corner with an end that leads inwards is rounded."""
    edges: list[Edge] = []
    place: Point = corners[0][:2]
    for before, (r, z, radius), after in zip(corners, corners[1:], [*corners[2:], corners[-1]], strict=False):
        opens, closes = before[1] == z and before[0] < r, after[1] == z and after[0] < r
        if not radius or not (opens or closes):
            edges.append(Line(place, (r, z)))
            place = (r, z)
            continue
        first, last = ((r - radius, z), (r, z + radius)) if opens else ((r, z - radius), (r - radius, z))
        edges += [Line(place, first), Arc(first, last, (r - radius, z + radius if opens else z - radius))]
        place = last
    return [edge for edge in edges if edge.start != edge.end]


def _clipped(bores: tuple[Bore, ...], low: float, high: float) -> list[Bore]:
    """Bores that reach into low ≤ z ≤ high, cut to it, from bottom to top."""
    cut = [replace(bore, start=max(bore.start, low), end=min(bore.end, high)) for bore in bores]
    return sorted((bore for bore in cut if bore.end - bore.start > EQUAL), key=lambda bore: bore.start)


def _filled_runs(pin: Pin, low: float, high: float) -> list[list[Bore]]:
    """Filled bores in low ≤ z ≤ high, those that touch in one run."""
    runs: list[list[Bore]] = []
    for bore in _clipped(tuple(bore for bore in pin.bores if bore.filled), low, high):
        if runs and bore.start - runs[-1][-1].end <= EQUAL:
            runs[-1].append(bore)
        else:
            runs.append([bore])
    return runs


def free_face(layer: Layer, angle: float, rubber_side: int) -> list[Edge]:
    """Free face at polar `angle` (rad), inwards; `rubber_side` 1 where greater angles are rubber, else -1."""
    inner, outer = layer.inner_radius, layer.outer_radius
    ray_r, ray_z = math.sin(angle), math.cos(angle)
    into_r, into_z = rubber_side * ray_z, -rubber_side * ray_r
    clockwise = rubber_side > 0

    def at(along: float, depth: float) -> Point:
        return along * ray_r + depth * into_r, along * ray_z + depth * into_z

    if layer.free_surface == "concave":
        depth = layer.hollow_depth
        radius = ((outer - inner) ** 2 / 4 + depth**2) / (2 * depth)
        return [Arc(at(outer, 0), at(inner, 0), at((inner + outer) / 2, depth - radius), clockwise)]
    fillet = layer.edge_fillet
    if not fillet:
        return [Line(at(outer, 0), at(inner, 0))]
    high, low = at(outer - fillet, fillet), at(inner + fillet, fillet)
    return [Arc(at(outer, 0), high, at(outer - fillet, 0), clockwise), Line(high, low),
            Arc(low, at(inner, 0), at(inner + fillet, 0), clockwise)]


def _carrier_region(joint: JointShape) -> dict[str, Region]:
    carrier, sphere = joint.carrier, joint.layer.outer_radius
    high = carrier.half_width
    if isinstance(carrier, HalfShells):
        return {"half_shell": Region((_shell_loop(carrier, sphere, -high, high),))}
    low = carrier.gap / 2
    lower, upper = (_shell_loop(carrier, sphere, *reach) for reach in ((-high, -low), (low, high)))
    return {"ring": Region((lower, upper))}


def _shell_loop(carrier: Rings | HalfShells, sphere: float, low: float, high: float) -> tuple[Edge, ...]:
    """Loop between the sphere of the layer's outer radius and the cylinder, low ≤ z ≤ high."""
    outside = Line((carrier.outer_radius, low), (carrier.outer_radius, high))
    inside = Arc((math.sqrt(sphere**2 - high**2), high), (math.sqrt(sphere**2 - low**2), low), ORIGIN,
                 clockwise=True)
    return closed_loop([outside, inside])
