"""Each conflict between two dimensions is refused by name; the limit it states can be entered as shown."""
from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from dossier.mechanics.section import regions
from dossier.mechanics.shape_check import check_shape
from dossier.mechanics.shapes import (
    Bore,
    Core,
    Eye,
    GeometryError,
    HalfShells,
    JointShape,
    Layer,
    Pin,
    PinEnds,
    Rings,
)

ENDS = PinEnds(flat_thickness=26.0, flat_start=34.0, hole_diameter=17.5, hole_distance=112.0, clamp_edge=38.0)
PIN = Pin(150.0, 29.0, 18.0, 3.0, ENDS, (Bore(18.0, -75.0, 75.0),))
JOINT = JointShape(PIN, Core(), Layer(29.0, 34.0, 50.0, 130.0), Rings(38.0, 22.0, 2.4), Eye(38.0, 53.0, 45.0))


def changed(**parts: dict[str, object]) -> JointShape:
    """JOINT with fields of its parts replaced; `ends` belongs to the pin."""
    joint = JOINT
    for name, values in parts.items():
        if name == "ends":
            joint = replace(joint, pin=replace(joint.pin, ends=replace(joint.pin.ends, **values)))
        else:
            joint = replace(joint, **{name: replace(getattr(joint, name), **values)})
    return joint


def bored(*bores: Bore) -> JointShape:
    return changed(pin={"bores": bores})


CONFLICTS = {
    "neck not below ball": (changed(pin={"neck_radius": 29.0}), "pin.neck_radius", "pin.ball_radius"),
    "pin shorter than its ball": (changed(pin={"length": 48.0}, ends={"clamp_edge": 23.0}),
                                  "pin.length", "pin.neck_fillet"),
    "fillet impossible": (changed(pin={"neck_fillet": 400.0}), "pin.length", "pin.neck_fillet"),
    "straight pin thinner than its neck": (changed(pin={"straight_radius": 12.0}),
                                           "pin.straight_radius", "pin.neck_radius"),
    "no wall at the neck": (bored(Bore(36.0, -75.0, 30.0)), "pin.bores[0].diameter", "pin.neck_radius"),
    "no wall in the ball": (bored(Bore(53.0, -12.0, 12.0)), "pin.bores[0].diameter", "pin.ball_radius"),
    "no wall at the flat": (bored(Bore(26.0, 0.0, 75.0)), "pin.bores[0].diameter", "pin.ends.flat_thickness"),
    "bore begins beyond the pin": (bored(Bore(18.0, -76.0, 75.0)), "pin.bores[0].start", "pin.length"),
    "bore ends beyond the pin": (bored(Bore(18.0, 0.0, 75.1)), "pin.bores[0].end", "pin.length"),
    "bore reversed": (bored(Bore(18.0, 10.0, -10.0)), "pin.bores[0].start", "pin.bores[0].end"),
    "bores overlap": (bored(Bore(12.0, 5.0, 75.0), Bore(18.0, -75.0, 10.0)),
                      "pin.bores[0].start", "pin.bores[1].end"),
    "flats thicker than the pin": (changed(ends={"flat_thickness": 36.0}),
                                   "pin.ends.flat_thickness", "pin.neck_radius"),
    "flats begin in the fillet": (changed(ends={"flat_start": 20.0}),
                                  "pin.ends.flat_start", "pin.neck_fillet"),
    "flats begin beyond the pin": (changed(ends={"flat_start": 75.0}), "pin.ends.flat_start", "pin.length"),
    "hole wider than the flat": (changed(ends={"hole_diameter": 25.0}),
                                 "pin.ends.hole_diameter", "pin.ends.flat_thickness"),
    "hole wider than the round end": (changed(ends={"flat_thickness": 0.0, "hole_diameter": 36.0}),
                                      "pin.ends.hole_diameter", "pin.neck_radius"),
    "hole off the pin": (changed(ends={"hole_distance": 133.0}), "pin.ends.hole_distance", "pin.length"),
    "hole beside the flat": (changed(ends={"hole_distance": 80.0}),
                             "pin.ends.hole_distance", "pin.ends.flat_start"),
    "clamp edge in the fillet": (changed(ends={"clamp_edge": 20.0}),
                                 "pin.ends.clamp_edge", "pin.neck_fillet"),
    "clamp edge beyond the pin": (changed(ends={"clamp_edge": 75.0}), "pin.ends.clamp_edge", "pin.length"),
    "core without a bore": (changed(core={"kind": "bore_fill"}), "core.kind", "pin.bores[].filled"),
    "core of a ball without a straight pin": (changed(core={"kind": "ball_contour"}),
                                              "core.kind", "pin.straight_radius"),
    "straight pin without a core": (changed(pin={"straight_radius": 18.0}),
                                    "core.kind", "pin.straight_radius"),
    "filled bore without a core": (bored(Bore(18.0, 0.0, 75.0, filled=True)),
                                   "pin.bores[0].filled", "core.kind"),
    "layer floats off the ball": (changed(layer={"inner_radius": 29.00001}),
                                  "layer.inner_radius", "pin.ball_radius"),
    "layer without thickness": (changed(layer={"outer_radius": 29.0}),
                                "layer.outer_radius", "layer.inner_radius"),
    "polar angles reversed": (changed(layer={"polar_start": 131.0}), "layer.polar_start", "layer.polar_end"),
    "layer runs into the upper fillet": (changed(layer={"polar_start": 41.0}),
                                         "layer.polar_start", "pin.neck_fillet"),
    "layer runs into the lower neck": (changed(pin={"neck_fillet": 0.0}, layer={"polar_end": 142.0}),
                                       "layer.polar_end", "pin.ball_radius"),
    "hollow without depth": (changed(layer={"free_surface": "concave"}),
                             "layer.hollow_depth", "layer.free_surface"),
    "depth on a straight face": (changed(layer={"hollow_depth": 1.0}),
                                 "layer.hollow_depth", "layer.free_surface"),
    "fillet on a hollow": (changed(layer={"free_surface": "concave", "hollow_depth": 1.0,
                                          "edge_fillet": 1.0}),
                           "layer.edge_fillet", "layer.free_surface"),
    "fillets wider than the layer": (changed(layer={"edge_fillet": 2.6}),
                                     "layer.edge_fillet", "layer.outer_radius"),
    "hollows meet": (changed(layer={"polar_start": 86.0, "polar_end": 94.0, "free_surface": "concave",
                                    "hollow_depth": 2.4}), "layer.hollow_depth", "layer.polar_end"),
    "rings narrower than the layer": (changed(carrier={"half_width": 21.8}),
                                      "carrier.half_width", "layer.polar_start"),
    "rings close over the ball": (changed(carrier={"half_width": 34.0}),
                                  "carrier.half_width", "layer.outer_radius"),
    "rings touch the neck": (changed(carrier={"half_width": 29.0}), "carrier.half_width", "pin.neck_radius"),
    "ring without a wall": (changed(carrier={"outer_radius": 34.0}),
                            "carrier.outer_radius", "layer.outer_radius"),
    "gap as wide as the rings": (changed(carrier={"gap": 44.0}), "carrier.gap", "carrier.half_width"),
    "gap leaves no rubber to a ring": (changed(layer={"polar_end": 91.0}), "carrier.gap", "layer.polar_end"),
    "parting gap takes the shells": (replace(JOINT, carrier=HalfShells(38.0, 22.0, 90.0)),
                                     "carrier.parting_gap", "carrier.half_width"),
    "eye without a wall": (changed(eye={"outer_radius": 38.0}), "eye.outer_radius", "eye.bore_radius"),
}


@pytest.mark.parametrize("case", CONFLICTS)
def test_conflict_names_both_dimensions_with_values_and_remedy(case):
    joint, field, other = CONFLICTS[case]
    with pytest.raises(GeometryError) as caught:
        check_shape(joint)
    message = str(caught.value)
    assert caught.value.fields == (field, other)
    assert message.startswith(f"{field} = ") and f"{other} = " in message
    rule, remedy = message.split("; ", 1)
    assert " must " in rule and len(remedy) > 5


def test_agreeing_dimensions_are_accepted():
    check_shape(JOINT)
    check_shape(replace(JOINT, eye=None, carrier=HalfShells(38.0, 22.0, 2.0)))
    check_shape(replace(bored(Bore(18.0, -75.0, 75.0, filled=True)), core=Core("bore_fill")))
    check_shape(replace(changed(pin={"straight_radius": 18.0}), core=Core("ball_contour")))


def test_the_example_of_the_conventions():
    message = ("layer.outer_radius = 28.0 mm must exceed layer.inner_radius = 29.0 mm; "
               "enlarge it or reduce the ball")
    with pytest.raises(GeometryError, match=re.escape(message)):
        regions(changed(layer={"outer_radius": 28.0}))


@pytest.mark.parametrize(("part", "field"), [
    ("carrier", "half_width"), ("layer", "polar_start"), ("layer", "polar_end"), ("ends", "flat_start"),
    ("ends", "hole_diameter"), ("ends", "clamp_edge")])
def test_the_limit_shown_can_be_entered(part, field):
    """A stated limit is rounded to the side that keeps the rule; typing it must end the conflict."""
    bad = {"polar_end": 175.0, "hole_diameter": 24.9}.get(field, 5.0)
    wide = {"carrier": {"half_width": 26.0}}
    with pytest.raises(GeometryError) as caught:
        check_shape(changed(**{**wide, part: {field: bad}}))
    shown = float(re.search(r"must [a-z ]+ (-?[\d.]+)(?: mm|°), set by", str(caught.value)).group(1))
    check_shape(changed(**{**wide, part: {field: shown}}))


NUMBERS = [("pin", name) for name in ("length", "ball_radius", "neck_radius", "neck_fillet",
                                      "straight_radius")]
NUMBERS += [("ends", name) for name in ENDS.__dataclass_fields__]
NUMBERS += [("layer", name) for name in ("inner_radius", "outer_radius", "polar_start", "polar_end",
                                         "edge_fillet", "hollow_depth")]
NUMBERS += [("carrier", name) for name in ("outer_radius", "half_width", "gap")]
NUMBERS += [("eye", name) for name in ("bore_radius", "outer_radius", "width")]


@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0])
@pytest.mark.parametrize(("part", "field"), NUMBERS)
def test_unusable_numbers_are_named(part, field, value):
    with pytest.raises(GeometryError) as caught:
        check_shape(changed(**{part: {field: value}}))
    path = f"pin.ends.{field}" if part == "ends" else f"{part}.{field}"
    assert caught.value.fields == (path,)
    assert str(caught.value).startswith(f"{path} = {value:g}"[: len(path) + 5])


@pytest.mark.parametrize("bore", [Bore(0.0, -75.0, 75.0), Bore(math.nan, -75.0, 75.0),
                                  Bore(9.0, math.inf, 75.0), Bore(-1.0, -75.0, 75.0)])
def test_unusable_numbers_of_a_bore_are_named(bore):
    with pytest.raises(GeometryError, match=r"^pin\.bores\[0\]\.(diameter|start) = "):
        check_shape(bored(bore))


@pytest.mark.parametrize(("joint", "field"), [
    (changed(core={"kind": "foam"}), "core.kind"),
    (changed(layer={"free_surface": "wavy"}), "layer.free_surface")])
def test_unknown_choices_list_what_is_possible(joint, field):
    with pytest.raises(GeometryError, match=f"^{re.escape(field)} = .* must be one of ") as caught:
        check_shape(joint)
    assert caught.value.fields == (field,)
