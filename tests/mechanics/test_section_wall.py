"""Least wall around the bores: hand values, and a dense point-to-point search over both outlines."""
from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from dossier.mechanics.section import pin_region, wall_at_bore
from dossier.mechanics.shapes import Bore, Core, JointShape, Layer, Pin, PinEnds, Rings

ENDS = PinEnds(flat_thickness=26.0, flat_start=42.0, hole_diameter=17.5, hole_distance=120.0, clamp_edge=38.0)
PIN = Pin(156.0, 29.0, 18.0, 3.0, ENDS)


def joint(*bores: Bore, **ends: float) -> JointShape:
    pin = replace(PIN, bores=bores, ends=replace(ENDS, **ends))
    return JointShape(pin, Core(), Layer(29.0, 34.0, 50.0, 130.0), Rings(38.0, 22.0, 2.4))


def test_no_bore_has_no_wall():
    wall = wall_at_bore(joint())
    assert (wall.free, wall.clamp) == (None, None)


def test_through_bore_leaves_least_wall_at_the_neck_and_at_the_flat():
    wall = wall_at_bore(joint(Bore(18.0, -78.0, 78.0)))
    assert wall.free == pytest.approx(9.0) and abs(wall.free_z) == pytest.approx(24.1454, abs=1e-4)
    assert wall.clamp == pytest.approx(4.0) and abs(wall.clamp_z) == pytest.approx(42.0)


def test_flat_in_front_of_the_clamp_edge_counts_as_free():
    wall = wall_at_bore(joint(Bore(18.0, -78.0, 78.0), flat_start=30.0))
    assert wall.free == pytest.approx(4.0) and abs(wall.free_z) == pytest.approx(30.0)


def test_widest_of_stepped_bores_decides_and_the_place_carries_the_sign():
    wall = wall_at_bore(joint(Bore(10.0, -78.0, 10.0), Bore(20.0, 10.0, 78.0)))
    assert wall.free == pytest.approx(8.0) and wall.free_z == pytest.approx(24.1454, abs=1e-4)
    assert wall.clamp == pytest.approx(3.0) and wall.clamp_z == pytest.approx(42.0)


def test_without_flats_the_clamp_wall_is_the_neck():
    wall = wall_at_bore(joint(Bore(18.0, 30.0, 78.0), flat_thickness=0.0))
    assert wall.clamp == pytest.approx(9.0) and wall.clamp_z == pytest.approx(38.0)


def test_blind_bore_ending_in_the_ball_has_no_clamp_wall_on_the_other_side():
    wall = wall_at_bore(joint(Bore(30.0, -5.0, 12.0)))
    assert wall.clamp is None
    assert wall.free == pytest.approx(29.0 - math.hypot(15.0, 12.0), abs=1e-9) and wall.free_z == 12.0


def test_blind_bore_ending_level_with_the_fillet_comes_closest_to_it():
    wall = wall_at_bore(joint(Bore(18.0, -5.0, 20.0)))
    assert wall.free == pytest.approx(math.hypot(21.0 - 9.0, math.sqrt(32**2 - 21**2) - 20.0) - 3.0, abs=1e-9)


def test_clamp_zone_alone():
    wall = wall_at_bore(joint(Bore(18.0, 50.0, 78.0)))
    assert wall.free is None and wall.clamp == pytest.approx(4.0) and wall.clamp_z == pytest.approx(50.0)


@pytest.mark.parametrize("bore", [Bore(40.0, -9.0, 9.0), Bore(30.0, -16.0, 21.5), Bore(18.0, -5.0, 22.5),
                                  Bore(18.0, -30.0, 24.0), Bore(34.0, -3.0, 22.4)])
def test_free_wall_equals_a_dense_search(bore):
    """Both outlines as points 0.01 mm apart; the search can only be too large, by (0.01 mm)²/wall."""
    steel = joint(bore, flat_thickness=0.0)
    outline = np.vstack([part.polyline(1e-7)[0] for part in [pin_region(replace(steel.pin, bores=()))]])
    points = []
    for first, second in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        count = max(2, int(np.linalg.norm(second - first) / 0.01))
        points.append(first + (second - first) * np.linspace(0, 1, count)[:, None])
    outside = np.vstack(points)
    outside = outside[(outside[:, 0] > 1.0) & (np.abs(outside[:, 1]) <= 38.0)]
    wall = np.linspace(bore.start, bore.end, int((bore.end - bore.start) / 0.05))
    least = min(np.hypot(outside[:, 0] - bore.diameter / 2, outside[:, 1] - z).min() for z in wall)
    assert wall_at_bore(steel).free == pytest.approx(least, abs=2e-5)
