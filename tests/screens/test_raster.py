"""Drawing primitives against geometry: areas, lines, clipping, hatches."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from screens.widgets.hatching import HATCHES, hatch_mask
from screens.widgets.raster_canvas import (
    BRAILLE,
    Canvas,
    outline_mask,
    polygon_mask,
    ring_cells,
    sparse,
    trace,
)
from screens.widgets.ticks import tick_labels, tick_step, ticks

WIDTH, HEIGHT = 160, 96


def circle(radius: float, count: int = 200) -> np.ndarray:
    """Closed loop around the middle of the canvas."""
    angle = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.stack([WIDTH / 2 + radius * np.cos(angle), HEIGHT / 2 + radius * np.sin(angle)], axis=1)


@pytest.mark.parametrize("radius", [8.0, 20.0, 40.0])
def test_area_of_a_filled_circle(radius: float) -> None:
    """Dots counted against π r²; the error of counting dot centres is below one dot per dot of outline."""
    dots = polygon_mask([circle(radius)], HEIGHT, WIDTH).sum()
    assert dots == pytest.approx(np.pi * radius**2, abs=2 * np.pi * radius * 0.25)


def test_loop_in_a_loop_is_a_hole() -> None:
    mask = polygon_mask([circle(40), circle(25)], HEIGHT, WIDTH)
    assert mask.sum() == pytest.approx(np.pi * (40**2 - 25**2), rel=0.01)
    assert not mask[HEIGHT // 2, WIDTH // 2]


def test_polygon_reaching_over_the_edge_fills_what_is_inside() -> None:
    square = np.array([(-50.0, -50.0), (30.0, -50.0), (30.0, 20.0), (-50.0, 20.0)])
    mask = polygon_mask([square], HEIGHT, WIDTH)
    expected = np.zeros((HEIGHT, WIDTH), dtype=bool)
    expected[:20, :30] = True
    assert (mask == expected).all()


def test_polygon_left_of_the_canvas_fills_nothing() -> None:
    square = np.array([(-50.0, 10.0), (-3.0, 10.0), (-3.0, 50.0), (-50.0, 50.0)])
    assert not polygon_mask([square], HEIGHT, WIDTH).any()


@given(st.lists(st.tuples(st.floats(-20, 180), st.floats(-20, 120)), min_size=3, max_size=9))
def test_direction_of_a_loop_does_not_matter(points: list[tuple[float, float]]) -> None:
    loop = np.array(points)
    assert (polygon_mask([loop], HEIGHT, WIDTH) == polygon_mask([loop[::-1]], HEIGHT, WIDTH)).all()


def test_outline_lies_on_the_side_of_the_material() -> None:
    material = np.zeros((10, 12), dtype=np.int8)
    material[3:7, 4:9] = 1
    edge = outline_mask(material)
    assert (edge <= (material == 1)).all()
    assert edge.sum() == 2 * 5 + 2 * 2


@given(st.integers(0, WIDTH - 1), st.integers(0, HEIGHT - 1), st.integers(0, WIDTH - 1), st.integers(0, HEIGHT - 1))
def test_line_joins_its_ends_without_a_gap(x0: int, y0: int, x1: int, y1: int) -> None:
    x, y, _ = trace([x0 + 0.5, x1 + 0.5], [y0 + 0.5, y1 + 0.5], WIDTH, HEIGHT)
    assert (x[0], y[0]) == (x0, y0) and (x[-1], y[-1]) == (x1, y1)
    assert np.abs(np.diff(x)).max(initial=0) <= 1 and np.abs(np.diff(y)).max(initial=0) <= 1
    length = max(abs(x1 - x0), abs(y1 - y0), 1)
    distance = np.abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / max(np.hypot(x1 - x0, y1 - y0), 1)
    assert x.size == max(abs(x1 - x0), abs(y1 - y0)) + 1 and distance.max() <= 0.5 + 1 / length


def test_every_peak_of_many_points_is_drawn() -> None:
    """200,000 points with one spike of a single point: the spike's dot is there."""
    count = 200_000
    x = np.linspace(0, WIDTH - 0.01, count)
    y = np.full(count, 50.0)
    y[123_456] = 3.2
    xs, ys, needed = trace(x, y, WIDTH, HEIGHT)
    assert (xs[ys == 3] == int(x[123_456])).all() and (ys == 3).any()
    assert needed < 500


def test_line_keeps_the_order_of_its_points() -> None:
    angle = np.linspace(0, 6 * np.pi, 5000)
    x, y, _ = trace(80 + 60 * np.cos(angle), 48 + 40 * np.sin(angle), WIDTH, HEIGHT)
    turned = np.unwrap(np.arctan2(y + 0.5 - 48, x + 0.5 - 80))
    assert turned[-1] - turned[0] == pytest.approx(6 * np.pi, abs=0.1)
    assert np.diff(turned).min() > -0.05


def test_missing_points_interrupt_the_line() -> None:
    x, y, needed = trace([5, 10, np.nan, 100, 110], [5, 5, 5, 5, 5], WIDTH, HEIGHT)
    assert set(x) == {5, 6, 7, 8, 9, 10, *range(100, 111)} and needed == 4


def test_single_points_between_gaps_are_drawn() -> None:
    x, y, _ = trace([np.nan, 7.5, np.nan], [1.0, 9.5, 1.0], WIDTH, HEIGHT)
    assert list(zip(x, y, strict=True)) == [(7, 9)]


@given(st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=2, max_size=12))
def test_clipping_stays_inside_and_on_the_line(points: list[tuple[float, float]]) -> None:
    array = np.array(points)
    x, y, _ = trace(array[:, 0], array[:, 1], WIDTH, HEIGHT)
    assert ((x >= 0) & (x < WIDTH) & (y >= 0) & (y < HEIGHT)).all()
    for place in zip(x + 0.5, y + 0.5, strict=True):
        assert min(_distance(place, a, b) for a, b in zip(array, array[1:], strict=False)) < 1.5


def _distance(point: tuple[float, float], start: np.ndarray, end: np.ndarray) -> float:
    run = end - start
    square = float(run @ run)
    share = np.clip(float((np.array(point) - start) @ run) / square, 0, 1) if square else 0.0
    return float(np.hypot(*(np.array(point) - start - share * run)))


def test_nothing_to_draw() -> None:
    for x, y in (([], []), ([np.nan], [np.nan]), ([-5, -9], [3, 3])):
        xs, ys, needed = trace(x, y, WIDTH, HEIGHT)
        assert xs.size == ys.size == needed == 0


def test_cells_merge_dots_of_several_drawings() -> None:
    canvas = Canvas(2, 1)
    canvas.add_points(np.array([0]), np.array([0]))
    canvas.add_points(np.array([1]), np.array([3]), "key")
    cells = canvas.cells()
    assert cells.codes[0].tolist() == [BRAILLE + 0x01 + 0x80, ord(" ")]
    assert cells.role_names[cells.roles[0, 0]] == "key"


def test_braille_bits_follow_the_code_chart() -> None:
    """Unicode chart U+2800, dots 1 to 8: left column 1, 2, 3, 7, right column 4, 5, 6, 8 (from memory)."""
    for dot, (x, y) in enumerate([(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2), (0, 3), (1, 3)]):
        canvas = Canvas(1, 1)
        canvas.add_points(np.array([x]), np.array([y]))
        assert canvas.cells().codes[0, 0] == BRAILLE + (1 << dot)


def test_characters_lie_over_dots_and_are_cropped() -> None:
    canvas = Canvas(4, 2)
    canvas.add_dots(np.ones((8, 8), dtype=bool))
    canvas.write(2, 1, "wide", "key")
    canvas.write(-1, 0, "ab")
    canvas.write(0, 9, "lost")
    text = canvas.cells().text()
    assert text[1] == "⣿⣿wi" and text[0] == "b⣿⣿⣿"


def test_plain_canvas_shows_no_dots() -> None:
    canvas = Canvas(3, 1, plain=True)
    canvas.add_points(np.array([2]), np.array([1]), "ink", "o")
    canvas.add_dots(np.ones((4, 6), dtype=bool))
    assert canvas.cells().text() == [" o "]


def test_rings_come_every_few_cells() -> None:
    x, y, _ = trace([0.5, 159.5], [10.5, 10.5], WIDTH, HEIGHT)
    cells = ring_cells(x, y, 5)
    assert len(cells) == 16 and (np.diff(cells[:, 0]) == 5).all() and (cells[:, 1] == 2).all()
    assert sparse(9, 4).tolist() == [True, False, False, False, True, False, False, False, True]


@pytest.mark.parametrize("key", sorted(HATCHES))
def test_doubled_spacing_thins_a_hatch(key: str) -> None:
    once, doubled = hatch_mask(key, HEIGHT, WIDTH).mean(), hatch_mask(key, HEIGHT, WIDTH, changed=True).mean()
    assert 0 < doubled < 0.6 * once


def test_neighbouring_hatches_differ() -> None:
    masks = {key: hatch_mask(key, HEIGHT, WIDTH) for key in "ABCDE"}
    for first, second in ("AB", "AC", "CD", "DE", "AD"):
        assert (masks[first] != masks[second]).mean() > 0.05
    assert (hatch_mask("D", HEIGHT, WIDTH, flip=True) != masks["D"]).any()


def test_hatch_is_tied_to_its_origin() -> None:
    still = hatch_mask("A", 40, 40)
    moved = hatch_mask("A", 40, 40, origin=(3, 2))
    assert (moved[2:, 3:] == still[:-2, :-3]).all()


@given(st.floats(1e-9, 1e9), st.integers(1, 20))
def test_tick_steps_are_of_the_series(span: float, most: int) -> None:
    step = tick_step(span, most)
    mantissa = step / 10.0 ** np.floor(np.log10(step) + 1e-9)
    assert min(abs(mantissa - factor) for factor in (1, 2, 5, 10)) < 1e-6
    assert span / step <= most * (1 + 1e-6)


def test_tick_labels() -> None:
    assert tick_labels(ticks(-0.26, 0.26, 6)) == ["-0.2", "-0.1", "0.0", "0.1", "0.2"]
    assert tick_labels(ticks(-13, 13, 6)) == ["-10", "-5", "0", "5", "10"]
    assert tick_labels(ticks(0, 23e6, 3)) == ["0", "1e+7", "2e+7"]
    assert tick_labels([]) == [] and tick_step(0, 5) == 1.0
