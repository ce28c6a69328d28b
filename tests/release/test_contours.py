"""Areas above a level on triangles: exact where the field is linear, closed where it is not."""

import numpy as np
import pytest

from dossier.release.contours import TriangleField

LEVELS = (-np.inf, 0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)


def square(count, value):
    """The unit square in 2 count² triangles, every other one turned round."""
    x, y = (grid.ravel() for grid in np.meshgrid(np.linspace(0, 1, count + 1), np.linspace(0, 1, count + 1)))
    a = (np.arange(count)[:, None] * (count + 1) + np.arange(count)).ravel()
    right, up, both = a + 1, a + count + 1, a + count + 2
    triangles = np.concatenate([np.stack([a, right, both], 1), np.stack([a, up, both], 1)])
    return TriangleField(np.stack([x, y], 1), triangles, value(x, y))


def area(field, level):
    return sum(outline.area for outline in field.above(level))


@pytest.mark.parametrize("level, expected", [(-np.inf, 1), (0.3, 0.7), (0.5, 0.5), (0, 1), (1.2, 0)])
def test_area_of_a_linear_field_is_exact_also_on_a_line_of_nodes(level, expected):
    assert area(square(4, lambda x, y: x), level) == pytest.approx(expected, abs=1e-12)


def test_moment_is_that_of_the_area():
    outlines = square(5, lambda x, y: y).above(0.4)
    assert sum(outline.moment for outline in outlines) == pytest.approx((1 - 0.4**2) / 2, rel=1e-12)


def test_a_hole_counts_negative_and_its_border_is_a_line_of_the_level():
    field = square(40, lambda x, y: np.hypot(x - 0.5, y - 0.5))
    outlines = field.above(0.3)
    assert sorted(outline.area for outline in outlines) == pytest.approx([-np.pi * 0.3**2, 1], rel=0.01)
    hole = min(outlines, key=lambda outline: outline.area)
    (line,) = hole.lines()
    assert np.allclose(line[0], line[-1])
    assert np.hypot(*(line - 0.5).T) == pytest.approx(np.full(len(line), 0.3), abs=0.002)


def test_lines_run_from_border_to_border():
    (outline,) = square(4, lambda x, y: x).above(0.3)
    (line,) = outline.lines()
    assert line[:, 0] == pytest.approx(np.full(len(line), 0.3))
    assert sorted([line[0, 1], line[-1, 1]]) == [0, 1]


def test_classes_of_any_field_add_up_to_the_whole_and_none_overlaps():
    rng = np.random.default_rng(7)
    field = square(12, lambda x, y: rng.choice([0.05, 0.1, 0.2, 0.5, 0.9, 1.3], len(x)))
    areas = [area(field, level) for level in LEVELS]
    assert areas[0] == pytest.approx(1)
    assert areas == sorted(areas, reverse=True)
    corners = field.points[field.triangles]
    values = field.values[field.triangles]
    step = np.linspace(0, 1, 61)
    u, v = (grid.ravel() for grid in np.meshgrid((step[1:] + step[:-1]) / 2, (step[1:] + step[:-1]) / 2))
    u, v = np.where(u + v > 1, 1 - u, u), np.where(u + v > 1, 1 - v, v)
    sampled = values[:, :1] * (1 - u - v) + values[:, 1:2] * u + values[:, 2:] * v
    for level, found in zip(LEVELS[1:], areas[1:], strict=True):
        assert found == pytest.approx((sampled >= level).mean(), abs=0.004)
    assert len(corners) == 288


@pytest.mark.parametrize("points, triangles, values, message", [
    ([(0, 0), (1, 0), (0, 1)], [(0, 1, 2)], [0, 1], "3 points have 2 values"),
    ([(0, 0), (1, 0), (0, 1)], [(0, 1, 2)], [0, 1, np.nan], "no finite number"),
    ([(0, 0), (1, 0), (2, 0)], [(0, 1, 2)], [0, 1, 2], "triangle 0 has no area"),
])  # fmt: skip
def test_what_does_not_fit_is_refused(points, triangles, values, message):
    with pytest.raises(ValueError, match=message):
        TriangleField(points, triangles, values)
