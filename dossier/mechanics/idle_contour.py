"""The largest coaxial contour within the idle steel of a pin: how far a core, a forged hollow or a cavity may reach.

The contour is a radius over z. It keeps a wall to the outside, runs through idle steel (or a void that is there) from the
axis outwards, falls away from its greatest radius to both sides, so that no pocket is left, and is swept by a ball: its
corners have at least a given radius of curvature.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.shapes import Pin

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

STEP = 0.1
"""Distance in mm of the heights at which the contour is given."""

LEAST_CUT = 0.05
"""Depth in mm of steel below which a contour takes none."""


@dataclass(frozen=True)
class Contour:
    """Points (n, 2) of the contour as (r, z) in mm from the axis or the bore at its lower end to that at its upper one, none
    where there is no idle zone; the steel it takes: volume in mm³, greatest diameter and length in mm."""

    points: Array
    volume: float
    diameter: float
    length: float


NO_CONTOUR = Contour(np.zeros((0, 2)), 0.0, 0.0, 0.0)


def idle_contour(
    points: Array, triangles: Numbers, used: Array, threshold: float, pin: Pin, *, wall: float, curvature: float, reach: float
) -> Contour:
    """Largest contour in the steel whose utilisation lies below `threshold`.

    `points` (n, 2) as (r, z) with `used` (n,) on `triangles` (t, 3), linear in each; `wall` in mm to the outside; `curvature`
    least radius in mm of the contour's corners; nothing is taken beyond |z| = `reach` mm.
    """
    heights = np.arange(-int(reach / STEP), int(reach / STEP) + 1) * STEP
    free = np.minimum(lowest_used(heights, points, triangles, used, threshold), radius_inside(pin, np.abs(heights), wall))
    radius = falling(swept(falling(free, heights), heights, curvature), heights)
    void = bored(pin, heights)
    takes = np.flatnonzero(radius > void + LEAST_CUT)
    if not len(takes):
        return NO_CONTOUR
    # The widest run: a contour is one piece.
    runs = np.split(takes, np.flatnonzero(np.diff(takes) > 1) + 1)
    run = max(runs, key=lambda one: float((radius[one] ** 2 - void[one] ** 2).sum()))
    z, r = heights[run], radius[run]
    area = r**2 - void[run] ** 2
    volume = pi * STEP * float((area[1:] + area[:-1]).sum()) / 2
    ends = [[void[run[side]], z[side]] for side in (0, -1)]
    points = np.concatenate([ends[:1], np.column_stack([r, z]), ends[1:]])
    return Contour(points, volume, 2 * float(r.max()), float(z[-1] - z[0]))


def lowest_used(heights: Array, points: Array, triangles: Numbers, used: Array, threshold: float) -> Array:
    """Least radius (h,) at each height at which the utilisation reaches `threshold`; infinite where it does nowhere."""
    corner, level = points[triangles], used[triangles] - threshold
    above = level >= 0
    segments = [corner[:, [i, j]][above[:, i] & above[:, j]] for i, j in ((0, 1), (1, 2), (2, 0))]
    mixed = above.any(axis=1) & ~above.all(axis=1)
    segments.append(_crossings(corner[mixed], level[mixed]))
    return _lower_envelope(heights, np.concatenate(segments))


def _crossings(corner: Array, level: Array) -> Array:
    """Segment (t, 2, 2) in each mixed triangle (t, 3, 2) on which the value meets the threshold."""
    following = np.roll(level, -1, axis=1)
    crossed = (level >= 0) != (following >= 0)
    share = level / np.where(level == following, 1.0, level - following)
    place = corner + share[..., None] * (np.roll(corner, -1, axis=1) - corner)
    return place[crossed].reshape(-1, 2, 2)


def _lower_envelope(heights: Array, segments: Array) -> Array:
    """Least radius (h,) of segments (s, 2, 2) of (r, z) at even heights."""
    lowest = np.full(len(heights), np.inf)
    order = np.argsort(segments[..., 1], axis=1)
    ordered = np.take_along_axis(segments, order[..., None], axis=1)
    (r0, z0), (r1, z1) = ordered[:, 0].T, ordered[:, 1].T
    first = np.clip(np.ceil((z0 - heights[0]) / STEP - 1e-9), 0, len(heights)).astype(int)
    last = np.clip(np.floor((z1 - heights[0]) / STEP + 1e-9), -1, len(heights) - 1).astype(int)
    count = np.maximum(last - first + 1, 0)
    mine = np.repeat(np.arange(len(segments)), count)
    place = first[mine] + np.arange(len(mine)) - np.repeat(np.cumsum(count) - count, count)
    rise = np.where(z1 > z0, z1 - z0, 1.0)[mine]
    share = np.clip((heights[place] - z0[mine]) / rise, 0.0, 1.0)
    np.minimum.at(lowest, place, r0[mine] + share * (r1 - r0)[mine])
    return lowest


def radius_inside(pin: Pin, height: Array, wall: float) -> Array:
    """Radius up to `height` (|z|) that keeps `wall` mm to ball contour and neck."""
    neck = np.full_like(height, pin.neck_radius - wall)
    if pin.straight_radius:
        return neck
    return np.maximum(neck, np.sqrt(np.maximum((pin.ball_radius - wall) ** 2 - height**2, 0.0)))


def bored(pin: Pin, heights: Array) -> Array:
    """Radius (h,) of the bores that are there, 0 in full steel."""
    radius = np.zeros_like(heights)
    for bore in pin.bores:
        inside = (heights >= bore.start) & (heights <= bore.end)
        radius[inside] = np.maximum(radius[inside], bore.diameter / 2)
    return radius


def falling(radius: Array, heights: Array) -> Array:
    """The profile cut so that it falls to both sides of the height that leaves the most volume."""
    best, most = np.zeros_like(radius), -1.0
    for top in range(0, len(heights), 5):
        cut = np.concatenate([np.minimum.accumulate(radius[top::-1])[::-1], np.minimum.accumulate(radius[top:])[1:]])
        volume = float((cut**2).sum())
        if volume > most:
            best, most = cut, volume
    return best


def swept(radius: Array, heights: Array, curvature: float) -> Array:
    """The part of the profile, mirrored at the axis, that a ball of radius `curvature` in it reaches."""
    around = int(curvature / STEP)
    arc = np.sqrt(np.maximum(curvature**2 - (np.arange(-around, around + 1) * STEP) ** 2, 0.0))
    padded = np.pad(radius, around)
    windows = np.lib.stride_tricks.sliding_window_view(padded, len(arc))
    centre = (windows - arc).min(axis=1)
    centre = np.pad(np.where(centre >= 0, centre, -np.inf), around, constant_values=-np.inf)
    reached = (np.lib.stride_tricks.sliding_window_view(centre, len(arc)) + arc[::-1]).max(axis=1)
    return np.maximum(reached, 0.0)
