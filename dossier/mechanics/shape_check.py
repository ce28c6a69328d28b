"""Whether the dimensions of a design fit together; a conflict names both, the limit and the remedy."""
from __future__ import annotations

import math
from dataclasses import fields, is_dataclass
from numbers import Real

from dossier.mechanics.shapes import (
    Core,
    GeometryError,
    HalfShells,
    JointShape,
    Layer,
    Pin,
    Rings,
    UnequalDimensions,
    ball_contour,
    contour_radius,
)

EQUAL = 1e-6
"""Two dimensions that must be equal may differ by this much, mm."""

WIDEST_FIT = 0.01
"""Interference or clearance of the carrier in the eye as share of the radius. Press fits stay within some 0.3 %, common
practice, no source; beyond this it is no fit."""

_UNITS = {"polar_start": "°", "polar_end": "°"}
_MAY_BE_ZERO = {"neck_fillet", "flat_thickness", "flat_start", "hole_diameter", "straight_radius",
                "edge_fillet", "hollow_depth", "gap", "parting_gap", "end_radius"}
_MAY_BE_NEGATIVE = {"start", "end"}


def _quantity(field: str, value: float | str) -> str:
    if isinstance(value, str):
        return f"'{value}'"
    text = f"{value:.9g}"
    if text.lstrip("-").isdigit():
        text += ".0"
    unit = _UNITS.get(field.rsplit(".", 1)[-1], " mm")
    return text + unit


def _require(met: bool, field: str, value: float | str, rule: str, other: str, other_value: float | str,
             remedy: str, limit: float | None = None) -> None:
    """Raise a GeometryError naming both dimensions unless `met`; `limit` where it is not `other` itself."""
    if met:
        return
    stated = f"{other} = {_quantity(other, other_value)}"
    if limit is not None:
        stated = f"{_quantity(field, _safe_digits(limit, rule))}, set by {stated}"
    bound = limit if limit is not None or isinstance(other_value, str) else other_value
    in_two_steps = rule == "equal" or isinstance(value, str) or isinstance(other_value, str)
    raise (UnequalDimensions if in_two_steps else GeometryError)(
        f"{field} = {_quantity(field, value)} must {rule} {stated}; {remedy}", (field, other), (value, other_value), bound
    )


def _safe_digits(limit: float, rule: str) -> float:
    """`limit` to four decimals, rounded to the side that keeps the rule."""
    scaled = limit * 1e4
    if rule in ("exceed", "be at least"):
        return math.ceil(scaled - 1e-6) / 1e4
    return math.floor(scaled + 1e-6) / 1e4


def _require_choice(field: str, value: str, choices: tuple[str, ...]) -> None:
    if value not in choices:
        raise GeometryError(f"{field} = '{value}' must be one of {', '.join(choices)}; choose one of them",
                            (field,), (value,), None)


def _check_numbers(part: object, path: str) -> None:
    for item in fields(part):  # type: ignore[arg-type]
        value, field = getattr(part, item.name), f"{path}.{item.name}" if path else item.name
        if is_dataclass(value):
            _check_numbers(value, field)
        elif isinstance(value, tuple | list):
            for index, member in enumerate(value):
                _check_numbers(member, f"{field}[{index}]")
        elif item.type == "float":
            if isinstance(value, bool) or not isinstance(value, Real):
                raise GeometryError(f"{field} = {value!r} must be a number; enter the dimension", (field,), (repr(value),), None)
            _check_number(item.name, field, float(value))


def _check_number(name: str, field: str, value: float) -> None:
    stated = f"{field} = {_quantity(field, value)}"
    if not math.isfinite(value):
        message = f"{stated} must be a finite number; enter the dimension"
        raise GeometryError(message, (field,), (value,), None)
    if name in _MAY_BE_NEGATIVE:
        return
    if value < 0 or (value == 0 and name not in _MAY_BE_ZERO):
        rule = "must not be below" if name in _MAY_BE_ZERO else "must exceed"
        zero = _quantity(field, 0.0)
        raise GeometryError(f"{stated} {rule} {zero}; enter a positive dimension", (field,), (value,), 0.0)


def check_pin(pin: Pin) -> None:
    """Raise GeometryError unless contour, ends and bores of `pin` fit together."""
    _check_numbers(pin, "pin")
    _check_contour(pin)
    _check_ends(pin)
    for index in range(len(pin.bores)):
        _check_bore(pin, index)
    _check_bore_overlap(pin)
    _check_bore_ends(pin)


def _contour_end_field(pin: Pin) -> tuple[str, float]:
    return ("pin.neck_fillet", pin.neck_fillet) if pin.neck_fillet else ("pin.ball_radius", pin.ball_radius)


def _check_contour(pin: Pin) -> None:
    _require(pin.neck_radius < pin.ball_radius, "pin.neck_radius", pin.neck_radius, "be below",
             "pin.ball_radius", pin.ball_radius, "reduce the neck or enlarge the ball")
    end = ball_contour(pin).fillet_end
    _require(end < pin.length / 2, "pin.length", pin.length, "exceed", *_contour_end_field(pin),
             "lengthen the pin or reduce the fillet", limit=2 * end)
    if pin.straight_radius:
        _require(abs(pin.straight_radius - pin.neck_radius) <= EQUAL, "pin.straight_radius",
                 pin.straight_radius, "equal", "pin.neck_radius", pin.neck_radius,
                 "give both the same radius (a straight pin is its own neck), or 0 for a forged ball")


def _check_ends(pin: Pin) -> None:
    ends, half, contour_end = pin.ends, pin.length / 2, ball_contour(pin).fillet_end
    contour_field = _contour_end_field(pin)
    _require(ends.clamp_edge >= contour_end, "pin.ends.clamp_edge", ends.clamp_edge, "be at least",
             *contour_field, "move the bracket outward or reduce the fillet", limit=contour_end)
    _require(ends.clamp_edge < half, "pin.ends.clamp_edge", ends.clamp_edge, "be below", "pin.length",
             pin.length, "move the bracket inward or lengthen the pin", limit=half)
    hole, hole_field = ends.hole_diameter, "pin.ends.hole_diameter"
    if ends.flat_thickness:
        _require(ends.flat_thickness < 2 * pin.neck_radius, "pin.ends.flat_thickness", ends.flat_thickness,
                 "be below", "pin.neck_radius", pin.neck_radius, "reduce the thickness or enlarge the neck",
                 limit=2 * pin.neck_radius)
        _require(ends.flat_start >= contour_end, "pin.ends.flat_start", ends.flat_start, "be at least",
                 *contour_field, "start the flats further out or reduce the fillet", limit=contour_end)
        _require(ends.flat_start < half, "pin.ends.flat_start", ends.flat_start, "be below", "pin.length",
                 pin.length, "start the flats further in or lengthen the pin", limit=half)
        width = 2 * math.sqrt(pin.neck_radius**2 - (ends.flat_thickness / 2) ** 2)
        _require(hole < width, hole_field, hole, "be below", "pin.ends.flat_thickness", ends.flat_thickness,
                 "reduce the hole or cut the flats deeper", limit=width)
        inner_field, inner = ("pin.ends.flat_start", ends.flat_start), ends.flat_start
    else:
        _require(hole < 2 * pin.neck_radius, hole_field, hole, "be below", "pin.neck_radius", pin.neck_radius,
                 "reduce the hole or enlarge the neck", limit=2 * pin.neck_radius)
        inner_field, inner = contour_field, contour_end
    distance, distance_field = ends.hole_distance, "pin.ends.hole_distance"
    _require(distance + hole < pin.length, distance_field, distance, "be below", "pin.length", pin.length,
             "move the holes inward or lengthen the pin", limit=pin.length - hole)
    _require(distance - hole >= 2 * inner, distance_field, distance, "be at least", *inner_field,
             "move the holes outward or reduce them", limit=2 * inner + hole)


def _check_bore(pin: Pin, index: int) -> None:
    bore, path, half = pin.bores[index], f"pin.bores[{index}]", pin.length / 2
    _require(bore.start < bore.end, f"{path}.start", bore.start, "be below", f"{path}.end", bore.end,
             "exchange start and end")
    _require(bore.start >= -half - EQUAL, f"{path}.start", bore.start, "be at least", "pin.length",
             pin.length, "let the bore begin at the pin's end or lengthen the pin", limit=-half)
    _require(bore.end <= half + EQUAL, f"{path}.end", bore.end, "be at most", "pin.length", pin.length,
             "let the bore end at the pin's end or lengthen the pin", limit=half)
    reach = max(abs(bore.start), abs(bore.end))
    limit = 2 * float(contour_radius(pin, reach))
    outer = ("pin.neck_radius", pin.neck_radius)
    if pin.straight_radius:
        limit = 2 * pin.straight_radius
    elif reach < ball_contour(pin).tangent[1]:
        outer = ("pin.ball_radius", pin.ball_radius)
    _require(bore.diameter < limit, f"{path}.diameter", bore.diameter, "be below", *outer,
             "reduce the bore, no steel would be left around it", limit=limit)
    ends = pin.ends
    if ends.flat_thickness and reach > ends.flat_start:
        _require(bore.diameter < ends.flat_thickness, f"{path}.diameter", bore.diameter, "be below",
                 "pin.ends.flat_thickness", ends.flat_thickness, "reduce the bore or end it before the flats")


def _check_bore_ends(pin: Pin) -> None:
    """The rounded corners of a bore fit between its wall and the axis or the narrower bore it meets."""
    for index, bore in enumerate(pin.bores):
        if not bore.end_radius:
            continue
        field = f"pin.bores[{index}].end_radius"
        _require(bore.end_radius <= bore.diameter / 2 + EQUAL, field, bore.end_radius, "be at most",
                 f"pin.bores[{index}].diameter", bore.diameter, "reduce it to half the diameter", limit=bore.diameter / 2)
        half = (bore.end - bore.start) / 2
        _require(bore.end_radius <= half + EQUAL, field, bore.end_radius, "be at most", f"pin.bores[{index}].end", bore.end,
                 "reduce it to half the bore's length", limit=half)
        for other, next_to in enumerate(pin.bores):
            meets = min(abs(next_to.end - bore.start), abs(next_to.start - bore.end)) <= EQUAL
            step = (bore.diameter - next_to.diameter) / 2
            if meets and step > EQUAL:
                _require(bore.end_radius <= step + EQUAL, field, bore.end_radius, "be at most",
                         f"pin.bores[{other}].diameter", next_to.diameter, "reduce it to the height of the step", limit=step)


def _check_bore_overlap(pin: Pin) -> None:
    order = sorted(range(len(pin.bores)), key=lambda index: pin.bores[index].start)
    for first, second in zip(order, order[1:], strict=False):
        end, start = pin.bores[first].end, pin.bores[second].start
        _require(start >= end - EQUAL, f"pin.bores[{second}].start", start, "be at least",
                 f"pin.bores[{first}].end", end, "let the second bore begin where the first one ends")


def check_shape(joint: JointShape) -> None:
    """Raise GeometryError, naming the two dimensions in conflict, unless `joint` can be built."""
    _check_parts(joint)
    _check_numbers(joint, "")
    check_pin(joint.pin)
    _check_core(joint)
    _check_layer(joint)
    _check_carrier(joint)
    if joint.eye is not None:
        _require(joint.eye.outer_radius > joint.eye.bore_radius, "eye.outer_radius", joint.eye.outer_radius,
                 "exceed", "eye.bore_radius", joint.eye.bore_radius, "enlarge the eye or reduce its bore")
        _check_fit(joint.carrier.outer_radius, joint.eye.bore_radius)


def _check_parts(joint: JointShape) -> None:
    wanted = {"pin": Pin, "core": Core, "layer": Layer, "carrier": (Rings, HalfShells)}
    if not isinstance(joint, JointShape):
        raise GeometryError(f"joint = {joint!r} must be a JointShape; give pin, core, layer and carrier", ("joint",),
                            (repr(joint),), None)  # fmt: skip
    for name, kind in wanted.items():
        part = getattr(joint, name)
        if not isinstance(part, kind):
            known = " or ".join(each.__name__ for each in (kind if isinstance(kind, tuple) else (kind,)))
            raise GeometryError(f"{name} = {part!r} must be {known}; give its dimensions", (name,), (repr(part),), None)


def _check_fit(outer_radius: float, bore_radius: float) -> None:
    carrier, eye = ("carrier.outer_radius", outer_radius), ("eye.bore_radius", bore_radius)
    for rule, limit in (("be at most", bore_radius * (1 + WIDEST_FIT)), ("be at least", bore_radius * (1 - WIDEST_FIT))):
        met = outer_radius <= limit if rule == "be at most" else outer_radius >= limit
        _require(met, *carrier, rule, *eye, "correct one of the two, the carrier is pressed into the eye", limit=limit)


def _check_core(joint: JointShape) -> None:
    kind, pin = joint.core.kind, joint.pin
    _require_choice("core.kind", kind, ("none", "bore_fill", "ball_contour"))
    straight = ("pin.straight_radius", pin.straight_radius)
    if kind == "ball_contour":
        _require(pin.straight_radius > 0, "core.kind", kind, "go with a straight pin, not with", *straight,
                 "enter the straight pin's radius")
    else:
        _require(pin.straight_radius == 0, "core.kind", kind, "be 'ball_contour' with", *straight,
                 "choose 'ball_contour', or straight_radius 0 for a forged ball")
    filled = [index for index, bore in enumerate(pin.bores) if bore.filled]
    if kind == "bore_fill":
        _require(bool(filled), "core.kind", kind, "go with a filled bore, not with", "pin.bores[].filled",
                 "no", "mark the bore to be filled, or choose 'none'")
    elif filled:
        _require(False, f"pin.bores[{filled[0]}].filled", "yes", "go with 'bore_fill', not with", "core.kind",
                 kind, "choose 'bore_fill', or leave the bore empty")


def _check_layer(joint: JointShape) -> None:
    layer, pin = joint.layer, joint.pin
    _require(abs(layer.inner_radius - pin.ball_radius) <= EQUAL, "layer.inner_radius", layer.inner_radius,
             "equal", "pin.ball_radius", pin.ball_radius,
             "the rubber sits on the ball contour: give both the same radius")
    _require(layer.outer_radius > layer.inner_radius, "layer.outer_radius", layer.outer_radius, "exceed",
             "layer.inner_radius", layer.inner_radius, "enlarge it or reduce the ball")
    _require(layer.polar_start < layer.polar_end, "layer.polar_start", layer.polar_start, "be below",
             "layer.polar_end", layer.polar_end, "exchange the two angles")
    edge = math.degrees(ball_contour(pin).tangent_angle)
    contour_field = _contour_end_field(pin)
    remedy = "end the layer on the sphere, or reduce the neck or its fillet"
    _require(layer.polar_start >= edge - EQUAL, "layer.polar_start", layer.polar_start, "be at least",
             *contour_field, remedy, limit=edge)
    _require(layer.polar_end <= 180 - edge + EQUAL, "layer.polar_end", layer.polar_end, "be at most",
             *contour_field, remedy, limit=180 - edge)
    check_free_surface(layer)


def check_free_surface(layer: Layer) -> None:
    """Raise GeometryError unless hollow or fillet suit the kind of free surface and leave rubber between both faces."""
    kind, hollow, fillet = layer.free_surface, layer.hollow_depth, layer.edge_fillet
    surface = ("layer.free_surface", kind)
    _require_choice(*surface, ("straight", "concave"))
    if kind == "concave":
        _require(hollow > 0, "layer.hollow_depth", hollow, "exceed 0 with", *surface,
                 "enter the depth of the hollow, or choose 'straight'")
        _require(fillet == 0, "layer.edge_fillet", fillet, "be 0 with", *surface,
                 "a hollow already turns into the metal faces: remove the fillet, or choose 'straight'")
    else:
        _require(hollow == 0, "layer.hollow_depth", hollow, "be 0 with", *surface,
                 "remove the depth, or choose 'concave'")
    name, depth = ("layer.hollow_depth", hollow) if kind == "concave" else ("layer.edge_fillet", fillet)
    half_wall = (layer.outer_radius - layer.inner_radius) / 2
    _require(depth <= half_wall + EQUAL, name, depth, "be at most", "layer.outer_radius", layer.outer_radius,
             "reduce it to half the layer's thickness or thicken the layer", limit=half_wall)
    room = layer.inner_radius * math.sin(math.radians(layer.polar_end - layer.polar_start) / 2)
    _require(depth < room, name, depth, "be below", "layer.polar_end", layer.polar_end,
             "reduce it or widen the layer, its two free faces would meet", limit=room)


def _check_carrier(joint: JointShape) -> None:
    carrier, layer, pin = joint.carrier, joint.layer, joint.pin
    width = ("carrier.half_width", carrier.half_width)
    _require(carrier.outer_radius > layer.outer_radius, "carrier.outer_radius", carrier.outer_radius,
             "exceed", "layer.outer_radius", layer.outer_radius, "enlarge the carrier or reduce the layer")
    for name, angle in (("polar_start", layer.polar_start), ("polar_end", layer.polar_end)):
        edge = layer.outer_radius * abs(math.cos(math.radians(angle)))
        _require(carrier.half_width >= edge - EQUAL, *width, "be at least", f"layer.{name}", angle,
                 "widen the carrier or end the layer earlier", limit=edge)
    _require(carrier.half_width < layer.outer_radius, *width, "be below", "layer.outer_radius",
             layer.outer_radius, "narrow the carrier, its spherical inside would close")
    opening = math.sqrt(layer.outer_radius**2 - carrier.half_width**2)
    pin_radius = float(contour_radius(pin, carrier.half_width))
    reach = math.sqrt(max(layer.outer_radius**2 - pin_radius**2, 0.0))
    _require(opening > pin_radius, *width, "be below", "pin.neck_radius", pin.neck_radius,
             "narrow the carrier or reduce the neck, the carrier would touch the pin", limit=reach)
    if isinstance(carrier, Rings):
        _check_ring_gap(carrier, layer)
    else:
        _require(carrier.parting_gap < math.pi * opening, "carrier.parting_gap", carrier.parting_gap,
                 "be below", *width, "close the parting gap, no shell would be left", limit=math.pi * opening)


def _check_ring_gap(rings: Rings, layer: Layer) -> None:
    gap = ("carrier.gap", rings.gap)
    _require(rings.gap < 2 * rings.half_width, *gap, "be below", "carrier.half_width", rings.half_width,
             "close the gap or widen the rings", limit=2 * rings.half_width)
    for name, angle, side in (("polar_start", layer.polar_start, 1), ("polar_end", layer.polar_end, -1)):
        edge = side * layer.outer_radius * math.cos(math.radians(angle))
        _require(rings.gap < 2 * edge, *gap, "be below", f"layer.{name}", angle,
                 "close the gap or widen the layer, one ring would hold no rubber", limit=2 * edge)
