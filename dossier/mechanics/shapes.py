"""The parametric design of a joint as plain frozen dataclasses; `shape_check` tells whether it fits together.

Lengths in mm, angles in degrees. z is the pin axis, z = 0 the ball centre; the outer contour of the pin is
symmetric in z, its bores need not be.
"""
from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True)
class Bore:
    """Coaxial bore from z = `start` to z = `end`; `filled` with core material or empty.

    Its ends are flat; `end_radius` rounds the corner between wall and end, where the bore ends in steel or meets a
    narrower one.
    """

    diameter: float
    start: float
    end: float
    filled: bool = False
    end_radius: float = 0.0


@dataclass(frozen=True)
class PinEnds:
    """Ends of the pin: two parallel flats, one bolt hole per end square to them, and where the bracket holds.

    The flats reach from |z| = `flat_start` to the pin's end and lie `flat_thickness` apart (0 = no flats).
    The bolt holes cross the pin axis at |z| = `hole_distance`/2 (`hole_diameter` 0 = no hole; the distance
    still places the bolt axes). The bracket begins to hold at |z| = `clamp_edge`.
    """

    flat_thickness: float
    flat_start: float
    hole_diameter: float
    hole_distance: float
    clamp_edge: float


@dataclass(frozen=True)
class Pin:
    """Steel pin with a ball contour: sphere, concave fillet tangent to sphere and neck, neck cylinder.

    `straight_radius` > 0: a slim straight pin of that radius runs through the ball and the ball contour is
    made of core material; its neck then is the straight pin itself (`neck_radius` = `straight_radius`).
    """

    length: float
    ball_radius: float
    neck_radius: float
    neck_fillet: float
    ends: PinEnds
    bores: tuple[Bore, ...] = ()
    straight_radius: float = 0.0


@dataclass(frozen=True)
class Core:
    """What replaces steel in the ball contour: nothing, the filling of bores, or the ball contour itself."""

    kind: Literal["none", "bore_fill", "ball_contour"] = "none"


@dataclass(frozen=True)
class Layer:
    """Rubber layer between two concentric spheres, bonded from polar angle `polar_start` to `polar_end`.

    The free faces are conical ("straight", along the polar rays) or a circular-arc hollow from bonded edge to
    bonded edge ("concave") whose deepest point lies `hollow_depth` inside the ray. `edge_fillet` rounds a
    straight face into both metal faces: quarter circles tangent to the spheres at the bonded edges, the face
    between them parallel to the ray and `edge_fillet` inside it. The bonded zones are the same in all three
    cases.
    """

    inner_radius: float
    outer_radius: float
    polar_start: float
    polar_end: float
    free_surface: Literal["straight", "concave"] = "straight"
    edge_fillet: float = 0.0
    hollow_depth: float = 0.0


@dataclass(frozen=True)
class FreeSurface:
    """Form of both free faces of a layer, lengths in mm as in `Layer`."""

    kind: Literal["straight", "concave"] = "straight"
    edge_fillet: float = 0.0
    hollow_depth: float = 0.0

    @property
    def plain(self) -> bool:
        """Whether the free faces are cones along the polar rays."""
        return self.kind == "straight" and not self.edge_fillet


@dataclass(frozen=True)
class Rings:
    """Design A: two closed rings mirrored at z = 0, from |z| = `gap`/2 to |z| = `half_width`.

    Inside they follow the sphere of the layer's outer radius, outside a cylinder.
    """

    outer_radius: float
    half_width: float
    gap: float


@dataclass(frozen=True)
class HalfShells:
    """Design B: two half shells parted in a plane through the axis, from z = -`half_width` to `half_width`.

    `parting_gap` is the free width of each of the two slots, measured along the circumference.
    """

    outer_radius: float
    half_width: float
    parting_gap: float


@dataclass(frozen=True)
class Eye:
    """Eye of the link the joint is pressed into; drawn, never counted in the mass."""

    bore_radius: float
    outer_radius: float
    width: float


@dataclass(frozen=True)
class JointShape:
    """All dimensions of one joint."""

    pin: Pin
    core: Core
    layer: Layer
    carrier: Rings | HalfShells
    eye: Eye | None = None


@dataclass(frozen=True)
class BallContour:
    """Where the parts of a ball contour meet (z > 0 half), mm and radians.

    `neck_line` is the z at which the bare sphere meets the neck cylinder, `fillet_end` the z where the fillet
    reaches the neck (equal to `neck_line` without a fillet), `tangent` the point (r, z) where sphere and
    fillet meet and `tangent_angle` its polar angle from the pin axis.
    """

    neck_line: float
    fillet_end: float
    fillet_centre: tuple[float, float]
    tangent: tuple[float, float]
    tangent_angle: float


def ball_contour(pin: Pin) -> BallContour:
    """Derived points of the ball contour of `pin`; needs neck_radius < ball_radius."""
    ball, neck, fillet = pin.ball_radius, pin.neck_radius, pin.neck_fillet
    fillet_end = math.sqrt((ball + fillet) ** 2 - (neck + fillet) ** 2)
    centre = (neck + fillet, fillet_end)
    share = ball / (ball + fillet)
    tangent = (centre[0] * share, centre[1] * share)
    return BallContour(
        neck_line=math.sqrt(ball**2 - neck**2), fillet_end=fillet_end, fillet_centre=centre, tangent=tangent,
        tangent_angle=math.atan2(tangent[0], tangent[1]))


def contour_radius(pin: Pin, z: ArrayLike) -> NDArray[np.float64]:
    """Outer radius of ball contour and neck at `z` (any shape, mm), flats not regarded."""
    contour = ball_contour(pin)
    height = np.abs(np.asarray(z, dtype=float))
    sphere = np.sqrt(np.maximum(pin.ball_radius**2 - height**2, 0.0))
    rise = np.minimum(contour.fillet_end - height, pin.neck_fillet)
    fillet = contour.fillet_centre[0] - np.sqrt(np.maximum(pin.neck_fillet**2 - rise**2, 0.0))
    radius = np.where(height <= contour.tangent[1], sphere, fillet)
    return np.where(height >= contour.fillet_end, pin.neck_radius, radius)


class GeometryError(ValueError):
    """Dimensions that do not fit together.

    `fields` names the dimension to change and the one it conflicts with, `values` their values, `limit` the
    bound the first one breaks (None when a value is not a usable number at all).
    """

    def __init__(self, message: str, fields: tuple[str, ...], values: tuple[float | str, ...],
                 limit: float | None):
        super().__init__(message)
        self.fields = fields
        self.values = values
        self.limit = limit


class UnequalDimensions(GeometryError):
    """Two dimensions that must be equal, or a choice that another one must follow: mended in a second step."""
