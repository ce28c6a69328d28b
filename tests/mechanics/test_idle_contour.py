"""The free contour in idle steel: cuts of a known field, wall, curvature, no pockets, the steel it takes."""

from dataclasses import replace
from math import pi, sqrt

import numpy as np
import pytest

from dossier.mechanics.idle_contour import STEP, falling, idle_contour, lowest_used, swept
from dossier.mechanics.shapes import Bore
from tests.mechanics.joints import short_arm

PIN = short_arm(0.0).pin
HEIGHTS = np.arange(-300, 301) * STEP


def plate(values, radius=30.0, reach=35.0, cells=(60, 140)):
    """Points, triangles and values on a rectangle of r and z."""
    r, z = (grid.ravel() for grid in np.meshgrid(np.linspace(0, radius, cells[0] + 1), np.linspace(-reach, reach, cells[1] + 1)))
    across = cells[0] + 1
    corner = (np.arange(cells[1])[:, None] * across + np.arange(cells[0])).ravel()
    triangles = np.concatenate([np.stack([corner, corner + 1, corner + across + 1], 1),
                                np.stack([corner, corner + across + 1, corner + across], 1)])  # fmt: skip
    return np.column_stack([r, z]), triangles, values(r, z)


def contour(values, **changed):
    given = {"threshold": 0.1, "pin": PIN, "wall": 3.0, "curvature": 2.0, "reach": 30.0} | changed
    return idle_contour(*plate(values), **given)


def test_the_contour_of_a_linear_field_is_where_it_meets_the_threshold():
    """A cone |z|/2 + r = 10: the field is linear in each triangle, so the cut is exact but for the middle."""
    points, triangles, used = plate(lambda r, z: 0.01 * (r + np.abs(z) / 2))
    heights = np.arange(-190, 191) * STEP
    assert lowest_used(heights, points, triangles, used, 0.1) == pytest.approx(10 - np.abs(heights) / 2, abs=1e-9)


def test_a_ball_of_idle_steel_is_found_with_its_volume():
    found = contour(lambda r, z: 0.1 * np.hypot(r, z) / 20)
    assert found.volume == pytest.approx(4 / 3 * pi * 20**3, rel=2e-3)
    assert found.diameter == pytest.approx(40, abs=0.05) and found.length == pytest.approx(40, abs=0.3)
    beyond = np.hypot(*found.points.T) - 20
    assert beyond.max() < 0.02 and np.abs(beyond[5:-5]).max() < 0.05


def test_the_wall_is_kept_to_ball_and_neck():
    found = contour(lambda r, z: np.zeros_like(r), wall=4.0)
    assert found.diameter == pytest.approx(2 * 25.0)
    outside = (np.hypot(*found.points.T) > 25.0 + 1e-9) & (found.points[:, 0] > 18.0 - 4.0 + 1e-9)
    assert not outside.any()


def test_steel_of_a_bore_is_not_taken_twice():
    """A ball with a bore through it: 4/3 π (R² − a²)^{3/2} is left, the napkin ring."""
    bored = replace(PIN, bores=(Bore(16.0, -75.0, 75.0),))
    found = contour(lambda r, z: np.where(r < 8.0, 0.0, 0.1 * np.hypot(r, z) / 20), pin=bored)
    assert found.volume == pytest.approx(4 / 3 * pi * (20**2 - 8**2) ** 1.5, rel=4e-3)
    assert found.length == pytest.approx(2 * sqrt(20**2 - 8**2), abs=0.3)
    assert found.points[[0, -1], 0] == pytest.approx([8.0, 8.0])


def test_corners_are_swept_by_a_ball():
    """A cylinder's corner of 90° is cut by a quarter of a circle; a slot narrower than the ball is left alone."""
    square = np.where(np.abs(HEIGHTS) <= 10.0, 15.0, 0.0)
    round_off = swept(square, HEIGHTS, 4.0)
    expected = np.where(np.abs(HEIGHTS) <= 6.0, 15.0, 11.0 + np.sqrt(np.maximum(16.0 - (np.abs(HEIGHTS) - 6.0) ** 2, 0.0)))
    inside = np.abs(HEIGHTS) < 9.5
    assert round_off[inside] == pytest.approx(expected[inside], abs=0.1)
    assert (round_off <= square + 1e-9).all()
    assert swept(np.where(np.abs(HEIGHTS) <= 3.0, 15.0, 0.0), HEIGHTS, 4.0).max() == 0.0


@pytest.mark.parametrize("seed", range(20))
def test_a_contour_has_no_pocket_and_stays_within_what_is_idle(seed):
    noise = np.random.default_rng(seed)
    free = np.interp(HEIGHTS, np.linspace(-30, 30, 25), noise.uniform(2, 25, 25))
    found = falling(swept(falling(free, HEIGHTS), HEIGHTS, 3.0), HEIGHTS)
    assert (found <= free + 1e-9).all()
    top = int(found.argmax())
    assert (np.diff(found[: top + 1]) >= -1e-9).all() and (np.diff(found[top:]) <= 1e-9).all()
    again = swept(found, HEIGHTS, 3.0)
    assert np.abs(again - found).max() < 0.2  # what was swept is reached by the same ball


def test_used_steel_and_thin_steel_hold_no_contour():
    assert contour(lambda r, z: np.ones_like(r)).volume == 0.0
    assert len(contour(lambda r, z: np.ones_like(r)).points) == 0
    assert contour(lambda r, z: np.zeros_like(r), wall=28.0).volume == 0.0


def test_a_bigger_curvature_takes_less():
    volumes = [contour(lambda r, z: np.where(np.abs(z) < 10.0, 0.0, 0.2), curvature=size).volume for size in (1.0, 3.0, 6.0)]
    assert volumes[0] > volumes[1] > volumes[2] > 0.0
