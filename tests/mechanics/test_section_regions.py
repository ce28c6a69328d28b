"""Outlines of the regions: closed, in order, exact against independent predicates and dense polylines."""
from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dossier.mechanics.outline import Arc, Line, Region, rectangle
from dossier.mechanics.section import REGION_NAMES, layer_region, material_at, pin_region, regions
from dossier.mechanics.shapes import (
    Bore,
    Core,
    Eye,
    HalfShells,
    JointShape,
    Layer,
    Pin,
    PinEnds,
    Rings,
    ball_contour,
    contour_radius,
)

ENDS = PinEnds(flat_thickness=26.0, flat_start=34.0, hole_diameter=17.5, hole_distance=112.0, clamp_edge=38.0)
PIN = Pin(150.0, 29.0, 18.0, 3.0, ENDS)
LAYER = Layer(29.0, 34.0, 50.0, 130.0)
JOINT = JointShape(PIN, Core(), LAYER, Rings(38.0, 22.0, 2.4), Eye(38.0, 53.0, 45.0))
STEPPED = (Bore(18.0, -75.0, -20.0, filled=True), Bore(10.0, -20.0, 5.0, filled=True), Bore(14.0, 30.0, 75.0))


def shape(**changes: object) -> JointShape:
    return replace(JOINT, **changes)


SHAPES = {
    "solid, rings": JOINT,
    "through bore": shape(pin=replace(PIN, bores=(Bore(18.0, -75.0, 75.0),))),
    "blind bore": shape(pin=replace(PIN, bores=(Bore(18.0, -75.0, 10.0),))),
    "closed cavity": shape(pin=replace(PIN, bores=(Bore(40.0, -8.0, 8.0),))),
    "stepped, filled in part": shape(pin=replace(PIN, bores=STEPPED), core=Core("bore_fill")),
    "ball of core material": shape(pin=replace(PIN, straight_radius=18.0), core=Core("ball_contour")),
    "half shells": shape(carrier=HalfShells(38.0, 22.0, 2.0), eye=None),
    "no fillet, no flats": shape(pin=replace(PIN, neck_fillet=0.0,
                                             ends=replace(ENDS, flat_thickness=0.0, hole_diameter=0.0))),
    "hollow faces": shape(layer=replace(LAYER, free_surface="concave", hollow_depth=1.5)),
    "rounded faces": shape(layer=replace(LAYER, edge_fillet=1.0)),
    "asymmetric layer": shape(layer=replace(LAYER, polar_start=45.0, polar_end=120.0),
                              carrier=Rings(38.0, 24.5, 0.0)),
}
EVERY_SHAPE = pytest.mark.parametrize("name", SHAPES)


def shoelace(points: np.ndarray) -> float:
    r, z = points.T
    return float(np.sum(r * np.roll(z, -1) - np.roll(r, -1) * z) / 2)


@EVERY_SHAPE
@pytest.mark.parametrize("view", ["revolved", "bolts"])
def test_loops_are_closed_and_run_counter_clockwise_right_of_the_axis(name, view):
    for region in regions(SHAPES[name], view).values():
        for loop, points in zip(region.loops, region.polyline(0.01), strict=True):
            for edge, following in zip(loop, loop[1:] + loop[:1], strict=True):
                assert edge.end == following.start
            assert shoelace(points) > 0
            assert points[:, 0].min() >= 0


@EVERY_SHAPE
def test_polygon_areas_approach_the_exact_ones(name):
    """A chord polygon misses at most outline length × tolerance."""
    for region in regions(SHAPES[name]).values():
        exact = region.moment(0, 0)
        for tolerance in (0.1, 0.001):
            loops = region.polyline(tolerance)
            length = sum(np.linalg.norm(np.roll(p, -1, axis=0) - p, axis=1).sum() for p in loops)
            assert abs(sum(map(shoelace, loops)) - exact) <= length * tolerance


@EVERY_SHAPE
def test_polyline_stays_within_its_tolerance(name):
    for region in regions(SHAPES[name]).values():
        for loop in region.loops:
            for edge in loop:
                vertices = np.array([*edge.points(0.05), edge.end])
                middles = (vertices[1:] + vertices[:-1]) / 2
                assert max(edge.distance(tuple(point)) for point in vertices) < 1e-9
                assert max(edge.distance(tuple(point)) for point in middles) <= 0.05 + 1e-9


def test_a_polyline_without_tolerance_is_refused():
    with pytest.raises(ValueError, match="tolerance = 0.0 mm must exceed 0 mm"):
        layer_region(LAYER).polyline(0.0)


def pin_predicate(pin: Pin, r: np.ndarray, z: np.ndarray) -> np.ndarray:
    """Steel of a forged pin from set operations: sphere ∪ neck ∪ (collar − fillet torus), less the bores."""
    contour, height = ball_contour(pin), np.abs(z)
    inside = (np.hypot(r, z) < pin.ball_radius) | (r < pin.neck_radius)
    collar = (r < contour.fillet_centre[0]) & (height > contour.tangent[1]) & (height < contour.fillet_end)
    collar &= np.hypot(r - contour.fillet_centre[0], height - contour.fillet_end) > pin.neck_fillet
    inside = (inside | collar) & (height < pin.length / 2)
    for bore in pin.bores:
        inside &= ~((r < bore.diameter / 2) & (z > bore.start) & (z < bore.end))
    return inside


@pytest.mark.parametrize("name", ["solid, rings", "through bore", "blind bore", "closed cavity",
                                  "stepped, filled in part", "no fillet, no flats"])
def test_pin_region_is_the_set_of_points_it_should_be(name):
    pin = SHAPES[name].pin
    rng = np.random.default_rng(7)
    r, z = rng.uniform(0, 35, 40_000), rng.uniform(-80, 80, 40_000)
    assert np.array_equal(pin_region(pin).contains(r, z), pin_predicate(pin, r, z))


def test_contour_radius_is_the_outside_of_the_pin_region():
    z = np.linspace(-74.9, 74.9, 3001)
    radius = contour_radius(PIN, z)
    region = pin_region(PIN)
    assert region.contains(radius - 1e-6, z).all()
    assert not region.contains(radius + 1e-6, z).any()


def test_layer_and_rings_are_the_sets_of_points_they_should_be():
    rng = np.random.default_rng(8)
    r, z = rng.uniform(0, 40, 40_000), rng.uniform(-30, 30, 40_000)
    rho, polar = np.hypot(r, z), np.degrees(np.arctan2(r, z))
    parts = regions(JOINT)
    assert np.array_equal(parts["layer"].contains(r, z),
                          (rho > 29) & (rho < 34) & (polar > 50) & (polar < 130))
    assert np.array_equal(parts["ring"].contains(r, z),
                          (rho > 34) & (r < 38) & (np.abs(z) > 1.2) & (np.abs(z) < 22))


@EVERY_SHAPE
@pytest.mark.parametrize("view", ["revolved", "bolts"])
def test_no_point_lies_in_two_regions(name, view):
    rng = np.random.default_rng(9)
    r, z = rng.uniform(0, 55, 30_000), rng.uniform(-80, 80, 30_000)
    owners = np.sum([region.contains(r, z) for region in regions(SHAPES[name], view).values()], axis=0)
    assert owners.max() == 1


@EVERY_SHAPE
def test_steel_and_core_fill_the_contour_where_nothing_is_bored(name):
    joint = SHAPES[name]
    rng = np.random.default_rng(10)
    r, z = rng.uniform(0, 30, 20_000), rng.uniform(-74, 74, 20_000)
    found = material_at(joint, r, z)
    solid = np.isin(found, [REGION_NAMES.index("pin"), REGION_NAMES.index("core")])
    empty = np.zeros(r.shape, dtype=bool)
    for bore in joint.pin.bores:
        if not bore.filled:
            empty |= (r < bore.diameter / 2) & (z > bore.start) & (z < bore.end)
    assert np.array_equal(solid, (r < contour_radius(joint.pin, z)) & ~empty)


def test_material_at_points_of_known_material():
    joint = shape(pin=replace(PIN, bores=STEPPED), core=Core("bore_fill"))
    points = {(0.0, -50.0): "core", (8.9, -50.0): "core", (9.1, -50.0): "pin", (5.1, 0.0): "pin",
              (4.9, 0.0): "core", (0.0, 20.0): "pin", (31.0, 0.0): "layer", (36.0, 10.0): "ring",
              (45.0, 0.0): "eye"}
    r, z = np.array(list(points)).T
    assert [REGION_NAMES[index] for index in material_at(joint, r, z)] == list(points.values())
    assert (material_at(joint, [0.0, 36.0, 45.0], [60.0, 0.0, 23.0]) == -1).all()


def test_ring_gap_and_shell_differ_only_in_the_gap():
    shells = regions(SHAPES["half shells"])["half_shell"]
    rings = regions(JOINT)["ring"]
    assert len(rings.loops) == 2 and len(shells.loops) == 1
    strip = 2.4 * 38 - 2 * (1.2 * math.sqrt(34**2 - 1.2**2) + 34**2 * math.asin(1.2 / 34)) / 2
    assert shells.moment(0, 0) - rings.moment(0, 0) == pytest.approx(strip, rel=1e-10)


def test_section_through_the_bolts_shows_flats_and_holes():
    joint = SHAPES["through bore"]
    steel = regions(joint, "bolts")["pin"]
    assert len(steel.loops) == 3
    assert steel.contains([12.9, 17.9, 12.0, 12.0], [40.0, 33.9, 47.2, 64.8]).all()
    assert not steel.contains([13.1, 13.1, 12.0, 12.0, 8.9], [34.1, 74.0, 47.3, 64.7, 40.0]).any()
    revolved = regions(joint)["pin"].moment(0, 0)
    lost = 2 * (5.0 * (75 - 34 - 17.5) + (18 - 9) * 17.5)
    assert steel.moment(0, 0) == pytest.approx(revolved - lost, rel=1e-12)


def test_filled_core_is_one_loop_where_bores_touch_and_is_cut_by_the_bolt_holes():
    joint = SHAPES["stepped, filled in part"]
    assert len(regions(joint)["core"].loops) == 1
    assert regions(joint)["core"].moment(0, 0) == pytest.approx(9 * 55 + 5 * 25, rel=1e-12)
    assert len(regions(joint, "bolts")["core"].loops) == 2
    assert regions(joint, "bolts")["core"].moment(0, 0) == pytest.approx(9 * (55 - 17.5) + 5 * 25, rel=1e-12)


def test_hollow_is_a_circle_through_both_edges_and_its_deepest_point():
    region = layer_region(SHAPES["hollow faces"].layer)
    arcs = [edge for edge in region.loops[0] if isinstance(edge, Arc) and edge.centre != (0.0, 0.0)]
    angle = math.radians(50)
    ray, into = np.array([math.sin(angle), math.cos(angle)]), np.array([math.cos(angle), -math.sin(angle)])
    upper = max(arcs, key=lambda arc: arc.centre[1])
    for point in (29 * ray, 34 * ray, 31.5 * ray + 1.5 * into):
        assert upper.distance(tuple(point)) < 1e-9
    sector = 2 * math.asin(2.5 / upper.radius)
    segment = upper.radius**2 * (sector - math.sin(sector)) / 2
    full = layer_region(LAYER).moment(0, 0)
    assert region.moment(0, 0) == pytest.approx(full - 2 * segment, rel=1e-12)


def test_edge_fillet_leaves_the_metal_at_a_tangent_and_the_bonded_edges_in_place():
    fillet = 1.0
    region = layer_region(replace(LAYER, edge_fillet=fillet))
    outer = region.loops[0][0]
    plain = layer_region(LAYER).loops[0][0]
    assert outer.start == pytest.approx(plain.start) and outer.end == pytest.approx(plain.end)
    quarters = [edge for edge in region.loops[0] if isinstance(edge, Arc) and edge.radius < 2]
    assert len(quarters) == 4
    for quarter in quarters:
        first, last = quarter.angles()
        assert abs(last - first) == pytest.approx(math.pi / 2)
        distance = math.hypot(*quarter.centre)
        assert min(abs(distance - 30.0), abs(distance - 33.0)) < 1e-9
    cut = fillet * (5.0 - 2 * fillet) + 2 * math.pi * fillet**2 / 4
    full = layer_region(LAYER).moment(0, 0)
    assert region.moment(0, 0) == pytest.approx(full - 2 * cut, rel=1e-12)


def test_deepest_hollow_is_a_half_circle():
    region = layer_region(replace(LAYER, free_surface="concave", hollow_depth=2.5))
    assert region.moment(0, 0) == pytest.approx(
        layer_region(LAYER).moment(0, 0) - math.pi * 2.5**2, rel=1e-12)


def test_bounds_reach_the_equator_of_an_arc():
    edge = math.radians(50)
    assert regions(JOINT)["layer"].bounds() == pytest.approx(
        (29 * math.sin(edge), -34 * math.cos(edge), 34.0, 34 * math.cos(edge)))
    assert regions(JOINT)["pin"].bounds() == pytest.approx((0.0, -75.0, 29.0, 75.0))


def test_moments_of_a_rectangle_and_of_a_half_disc():
    box = Region((rectangle(2.0, 5.0, -1.0, 3.0),))
    assert box.moment(0, 0) == pytest.approx(12.0)
    assert box.moment(3, 2) == pytest.approx((5**4 - 2**4) / 4 * (3**3 + 1) / 3)
    half_disc = Region(((Arc((0.0, -2.0), (0.0, 2.0), (0.0, 0.0)), Line((0.0, 2.0), (0.0, -2.0))),))
    assert half_disc.moment(0, 0) == pytest.approx(2 * math.pi)
    assert half_disc.moment(0, 2) == pytest.approx(math.pi * 2**4 / 8)
    assert half_disc.moment(1, 0) == pytest.approx(2 * 2**3 / 3)


@settings(max_examples=60, deadline=None)
@given(ball=st.floats(15, 60), neck=st.floats(0.3, 0.8), fillet=st.floats(0, 0.3), bore=st.floats(0.05, 0.95),
       start=st.floats(-1, 0.4), span=st.floats(0.1, 1))
def test_any_single_bore_leaves_a_region_that_adds_up(ball, neck, fillet, bore, start, span):
    """Steel with a bore + the bore's own rectangle = solid steel, whatever the bore's place."""
    half = 3 * ball
    ends = PinEnds(0.0, 0.0, 0.0, 5.5 * ball, 2.5 * ball)
    solid = Pin(2 * half, ball, neck * ball, fillet * ball, ends)
    low, high = start * half, min(start + span, 1.0) * half
    bored = replace(solid, bores=(Bore(2 * bore * neck * ball, low, high),))
    areas = pin_region(solid).moment(0, 0), pin_region(bored).moment(0, 0)
    assert areas[0] - areas[1] == pytest.approx(bore * neck * ball * (high - low), rel=1e-9)
