"""Marks, curves and charts: what is drawn stands where the numbers say."""

import math

import numpy as np
import pytest
import sample_parts as parts
from pdf_lines import paths_of
from pdf_words import overlaps, pieces_of

from dossier.release.axes import Axes, Scale
from dossier.release.charts import BreakEven, Range, RangeRow, SavingLine, Waterfall
from dossier.release.curves import Band, Curve, Forest, ForestRow, Gap, Series, stiffness_band
from dossier.release.kit import Kit
from dossier.release.marks import Legend, MarginBar, ResultBar, ShareBar
from dossier.release.page import Page
from dossier.release.pen import simplify

INK, RED, WHITE = (0.118, 0.165, 0.184), (0.612, 0.2, 0.122), (1.0, 1.0, 1.0)
KIT = Kit(Page("a4"))


def drawn(build, flowable):
    """Paths above the title block and texts of a page with one flowable, x from the main column's edge."""
    document = build(lambda kit: [flowable], changes={"notice": ""})
    page = document.reader.pages[0]
    low = document.page.frame_bottom
    paths = [p for p in paths_of(page) if p.box[1] > low - 1]
    return document.page, paths, [p for p in pieces_of(page) if p.y > low]


def place(margin):
    return (margin + 0.15) / 0.6 * 62


def bar_of(build, nominal, worst):
    page, paths, _ = drawn(build, MarginBar(nominal, worst))
    bars = [p for p in paths if p.paint in ("fill", "both") and abs(p.box[3] - p.box[1] - 3.2) < 0.01]
    marks = [p for p in paths if p.paint == "stroke"]
    return page.main_left, bars, marks


def test_a_margin_bar_that_holds_is_solid_from_zero_with_a_notch(build):
    left, (bar,), marks = bar_of(build, 0.24, 0.19)
    assert bar.fill == INK
    assert (bar.box[0] - left, bar.box[2] - left) == pytest.approx((place(0), place(0.24)), abs=0.02)
    (notch,) = [m for m in marks if m.stroke == WHITE]
    assert notch.box[0] - left == pytest.approx(place(0.19), abs=0.02)


def test_an_undecided_margin_has_a_bracket_across_zero(build):
    left, (bar,), marks = bar_of(build, 0.06, -0.03)
    assert bar.fill == RED
    (line,) = [m for m in marks if m.stroke == RED and m.box[2] - m.box[0] > 1]
    assert (line.box[0] - left, line.box[2] - left) == pytest.approx((place(-0.03), place(0.15)), abs=0.02)
    assert line.box[0] - left < place(0) < line.box[2] - left


def test_a_failed_margin_is_hollow_left_of_zero(build):
    left, (bar,), _ = bar_of(build, -0.08, -0.13)
    assert (bar.fill, bar.paint, bar.stroke) == (WHITE, "both", RED)
    assert (bar.box[0] - left, bar.box[2] - left) == pytest.approx((place(-0.08), place(0)), abs=0.02)


@pytest.mark.parametrize("nominal, worst", [(9.0, 8.0), (-7.0, -8.0), (0.0, 0.0), (0.5, -0.5)])
def test_a_margin_bar_stays_in_its_width(build, nominal, worst):
    left, _, marks = bar_of(build, nominal, worst)
    assert all(left - 0.1 <= m.box[0] and m.box[2] <= left + 62.1 for m in marks)


def test_zero_stands_at_the_same_place_in_every_bar(build):
    zeros = set()
    for nominal, worst in ((0.4, 0.4), (-0.1, -0.2), (0.01, -0.01)):
        left, _, marks = bar_of(build, nominal, worst)
        (zero,) = [m for m in marks if m.weight == 0.9]
        zeros.add(round(zero.box[0] - left, 1))
    assert zeros == {15.5}


def test_share_bars_have_a_common_zero(build):
    left = drawn(build, ShareBar(-38, -38, 332))[0].main_left
    zeros = []
    for share in (-38, 0, 332):
        _, paths, _ = drawn(build, ShareBar(share, -38, 332))
        zeros.append([p for p in paths if p.weight == 0.9][-1].box[0] - left)
    assert zeros == pytest.approx([zeros[0]] * 3)
    _, paths, _ = drawn(build, ShareBar(332, -38, 332))
    assert max(p.box[2] for p in paths) - left <= 72


@pytest.mark.parametrize("low, high, value, band", [
    (1.3, None, 1.35, 0.04), (None, 20, 11.6, 1.4), (47.6, 64.4, 54.8, 1.1), (12, 12.2, 30, 1),
    (0, 80, 500, 2), (None, None, 1, 0),
])  # fmt: skip
def test_a_result_bar_shows_value_and_limits_apart(build, low, high, value, band):
    page, paths, texts = drawn(
        build, ResultBar(KIT, value, (value - band, value + band), low=low, high=high, shown="value ± band kN", digits=1)
    )
    assert overlaps(texts) == []
    assert sum(t.text.startswith("min") for t in texts) == (low is not None)
    assert sum(t.text.startswith("max") for t in texts) == (high is not None)
    assert all(
        page.main_left - 0.5 <= p.box[0] and p.box[2] <= page.main_left + page.main + 0.5 for p in paths
    )


def test_the_legend_names_every_state(build):
    _, _, texts = drawn(build, Legend(KIT))
    for word in ("met", "not met", "undecided", "open", "outdated", "conceded"):
        assert any(t.text.split(" ", 1)[-1] == word for t in texts)
    assert overlaps(texts) == []


@pytest.mark.parametrize("low, high, count, ticks", [
    (-0.3, 0.3, 5, [-0.2, 0, 0.2]), (0, 60, 5, [0, 20, 40, 60]), (-140, 120, 5, [-100, -50, 0, 50, 100]),
    (0.84, 1.16, 6, [0.85, 0.9, 0.95, 1.0, 1.05, 1.1, 1.15]), (0, 1e-6, 5, [0, 2e-7, 4e-7, 6e-7, 8e-7, 1e-6]),
])  # fmt: skip
def test_ticks_step_by_one_two_or_five(low, high, count, ticks):
    assert Scale(low, high, "x", count).ticks == pytest.approx(ticks, rel=1e-9)


def test_ticks_are_shown_with_the_decimals_of_their_step():
    scale = Scale(-0.3, 0.3, "x")
    assert [scale.show(t) for t in scale.ticks] == ["−0.2", "0", "0.2"]
    assert Scale(0.84, 1.16, "x", 6).show_all([0.9, 1.1]) == ["0.90", "1.10"]
    assert Scale(0.7, 1.4, "x", 4).show_all([0.8, 1.25]) == ["0.80", "1.25"]


@pytest.mark.parametrize("low, high", [(1, 1), (2, 1), (math.nan, 1), (0, math.inf)])
def test_scales_are_checked(low, high):
    with pytest.raises(ValueError, match='axis "force": low = .* must be below high'):
        Scale(low, high, "force")


def test_a_scale_around_nothing_is_refused():
    with pytest.raises(ValueError, match='axis "x": no finite value to show'):
        Scale.around([math.nan], "x")


@pytest.mark.parametrize("count", [3, 50, 1500, 20000])
def test_simplified_curves_stay_on_the_curve(count):
    t = np.linspace(0, 2 * np.pi, count)
    points = np.column_stack([100 + 90 * np.cos(t), 80 + 60 * np.sin(2 * t)])
    thin = simplify(points, 0.04)
    assert (thin[0] == points[0]).all() and (thin[-1] == points[-1]).all()
    assert len(thin) <= len(points)
    if count >= 1500:
        assert len(thin) < 500
    worst = max(nearest(p, thin) for p in points[:: max(1, count // 500)])
    assert worst < 2 * 0.04  # chords of several rounds add up to 4/3 of the tolerance on a smooth curve


def nearest(point, line):
    a, d = line[:-1], np.diff(line, axis=0)
    t = np.clip(((point - a) * d).sum(1) / np.maximum((d**2).sum(1), 1e-12), 0, 1)
    return float(np.hypot(*(a + t[:, None] * d - point).T).min())


def test_a_sharp_peak_survives_simplification():
    x = np.linspace(0, 100, 1001)
    y = np.where(np.arange(1001) == 500, 40.0, 0.0)
    assert simplify(np.column_stack([x, y]), 0.04)[:, 1].max() == 40


def test_charts_have_no_closed_box(build):
    scale = Scale(-1, 1, "x"), Scale(-1, 1, "y")
    line = Series("", [-0.5, 0.5], [-0.5, 0.5])
    for chart in (
        Curve(KIT, 200, 120, *scale, [line]),
        Gap(KIT, 200, 120, *scale, line),
        BreakEven(KIT, 200, 120, *scale, []),
    ):
        _, paths, _ = drawn(build, chart)
        verticals = {round(p.box[0]) for p in paths if p.box[2] - p.box[0] < 0.1 and p.box[3] - p.box[1] > 60}
        assert len(verticals) == 1  # the zero line of x alone
        assert not [
            p
            for p in paths
            if len(p.points) == 4 and p.paint in ("stroke", "both") and p.box[2] - p.box[0] > 100
        ]


def test_curves_are_drawn_at_their_values(build):
    chart = Curve(
        KIT, 262, 190, Scale(-0.3, 0.3, "mm"), Scale(-15, 15, "kN"), [Series("", [-0.2, 0.2], [-10, 10])]
    )
    page, paths, texts = drawn(build, chart)
    (curve,) = [
        p
        for p in paths
        if p.weight == 0.6 and len(p.points) == 2 and p.box[3] - p.box[1] > 50 and p.box[2] - p.box[0] > 50
    ]
    ten = next(t for t in texts if t.text == "10")
    tick = next(t for t in texts if t.text == "0.2")
    assert curve.box[3] == pytest.approx(ten.y + 2.3, abs=0.1)
    assert curve.box[2] == pytest.approx(tick.x + tick.width / 2, abs=0.1)


def test_reference_is_dotted_and_variant_carries_rings(build):
    chart = Curve(KIT, 262, 190, Scale(-0.3, 0.3, "mm"), Scale(-15, 15, "kN"), parts.loops())
    _, paths, _ = drawn(build, chart)
    assert len([p for p in paths if p.dash == (0.1, 2.9) and p.weight == 1.7]) == 1
    rings = [p for p in paths if p.paint == "both" and abs(p.box[2] - p.box[0] - 3.4) < 0.05]
    assert 15 <= len(rings) <= 30


def test_a_band_is_filled_between_its_dashed_edges(build):
    band = stiffness_band("band", 47.6, 64.4, 13.2)
    assert band.upper[0][2] == pytest.approx(13.2 / 64.4) and band.lower[0][2] == pytest.approx(13.2 / 47.6)
    chart = Curve(
        KIT, 262, 190, Scale(-0.3, 0.3, "mm"), Scale(-15, 15, "kN"), parts.loops(), [band], ends=(-0.2, 0.2)
    )
    _, paths, texts = drawn(build, chart)
    assert len([p for p in paths if p.dash == (4, 2)]) == 2
    assert "band" in [t.text for t in texts]
    assert overlaps(texts) == []


def test_labels_of_many_curves_do_not_cover_each_other(build):
    series = [Series(f"curve number {i}", [0, 1], [0, 0.2 + i / 8]) for i in range(6)]
    chart = Curve(KIT, 280, 200, Scale(0, 1.2, "x"), Scale(0, 1.2, "y"), series)
    _, _, texts = drawn(build, chart)
    assert sum(t.text.startswith("curve number") for t in texts) == 6
    assert overlaps(texts) == []


def test_a_label_stands_clear_of_the_axes(build):
    slope = np.linspace(-4, 4, 60)
    band = stiffness_band("R-010: 12.8 .. 19.2 N·m/°", 12.8, 19.2, 66.0)
    series = [Series("variant", slope, 15 * slope), Series("reference", slope, 15.4 * slope, reference=True)]
    chart = Curve(KIT, 262, 168, Scale(-6, 6, "°"), Scale(-70, 70, "N·m"), series, [band])
    drawn(build, chart)
    assert len(chart.taken) == 3
    for x0, y0, x1, y1 in chart.taken:
        assert not x0 - 2 < chart.x(0) < x1 + 2 and not y0 - 2 < chart.y(0) < y1 + 2


def test_labels_stand_clear_of_the_curves(build):
    series = [Series(f"curve number {i}", [0, 1], [0, 0.2 + i / 4]) for i in range(4)]
    band = Band("the band", ([0, 1], [0.9, 0.9]), ([0, 1], [1.1, 1.1]))
    chart = Curve(KIT, 280, 200, Scale(0, 1.2, "x"), Scale(0, 1.2, "y"), series, [band])
    _, paths, texts = drawn(build, chart)
    lines = [
        p.points
        for p in paths
        if (p.weight == 0.6 and len(p.points) == 2 and p.box[2] - p.box[0] > 150) or p.dash
    ]
    for text in texts:
        if text.text.startswith(("curve", "the band")):
            x0, y0, x1, y1 = text.box
            for (ax, ay), (bx, by) in lines:
                at = np.linspace(0, 1, 300)
                xs, ys = ax + at * (bx - ax), ay + at * (by - ay)
                assert not ((xs > x0) & (xs < x1) & (ys > y0) & (ys < y1)).any(), text.text


@pytest.mark.parametrize("x, y", [([1], [1]), ([1, 2], [1]), ([], [])])
def test_series_are_checked(x, y):
    with pytest.raises(ValueError, match='curve "c" has .* give two or more of both'):
        Series("c", x, y)


def test_intervals_are_dimension_lines_between_bars(build):
    rows = [
        ForestRow("radial", 0.95, 1.0, 1.05, "met", "inside"),
        ForestRow("conical", 0.7, 0.95, 1.2, "not met"),
    ]
    _, paths, texts = drawn(build, Forest(KIT, rows, (0.8, 1.25)))
    low, high = sorted(p.box[0] for p in paths if p.weight == 1.4)
    scale = (high - low) / 0.45
    for row in rows:
        lengths = [p.box[2] - p.box[0] for p in paths if p.weight == 0.5 and len(p.points) == 2]
        assert any(length == pytest.approx((row.high - row.low) * scale, abs=0.05) for length in lengths)
    heads = [p for p in paths if p.paint == "fill" and len(p.points) == 3]
    assert len(heads) == 4
    assert {"0.80", "1.25"} <= {t.text for t in texts}
    assert {"0.950 .. 1.050", "1.000", "✓ inside", "✗ not met"} <= {
        t.text.replace("\u00a0", " ") for t in texts
    }
    assert overlaps(texts) == []


@pytest.mark.parametrize("rows", [[], [ForestRow("a", 0.1, 4.0, 9.0, "undecided")]])
def test_a_forest_holds_nothing_and_far_intervals(build, rows):
    page, paths, texts = drawn(build, Forest(KIT, rows, (0.9, 1.1)))
    assert all(p.box[2] <= page.main_left + page.main + 1 for p in paths)
    assert overlaps(texts) == []


def test_limits_of_a_forest_are_checked():
    with pytest.raises(ValueError, match="1.1 must be below 0.9"):
        Forest(KIT, [], (1.1, 0.9))


STEPS = [("a", -0.45), ("b", 0.71), ("c", 0.54)]


def test_waterfall_bars_have_the_height_of_their_steps(build):
    _, paths, texts = drawn(build, Waterfall(KIT, 19.42, STEPS, 20.22))
    bars = [p for p in paths if p.paint == "stroke" and p.weight == 0.7 and len(p.points) == 4]
    heights = [p.box[3] - p.box[1] for p in bars[1:4]]
    assert np.array(heights) / heights[0] == pytest.approx([1, 0.71 / 0.45, 0.54 / 0.45], abs=0.01)
    assert {"19.42", "20.22", "−0.45", "+0.71", "+0.54"} <= {t.text for t in texts}
    fills = [p.fill for p in paths if p.paint == "fill" and len(p.points) == 4]
    assert INK in fills and WHITE in fills
    assert overlaps(texts) == []


def test_waterfall_feet_are_broken_only_if_the_axis_is_cut(build):
    _, cut, _ = drawn(build, Waterfall(KIT, 19.42, STEPS, 20.22))
    _, whole, _ = drawn(build, Waterfall(KIT, 0.5, STEPS, 1.3))
    assert len([p for p in cut if p.weight == 0.5 and p.paint == "stroke"]) == 4
    assert not [p for p in whole if p.weight == 0.5 and p.paint == "stroke"]


def test_waterfall_below_zero_stays_on_its_place(build):
    page, paths, texts = drawn(build, Waterfall(KIT, 0.3, [("a", -0.8), ("b", 0.2)], -0.3))
    bars = [p for p in paths if p.weight == 0.7 and len(p.points) == 4]
    assert len(bars) == 4 and all(p.box[1] >= page.frame_top - 150 + 28 - 0.1 for p in bars)
    assert overlaps(texts) == []


def test_waterfall_steps_must_add_up():
    with pytest.raises(
        ValueError, match="waterfall: 19.42 and the steps give 20.22, not end = 20.5; add the missing step"
    ):
        Waterfall(KIT, 19.42, STEPS, 20.5)


def test_a_waterfall_of_twenty_steps_and_of_none(build):
    many = [(f"step number {i}", 0.1 if i % 3 else -0.15) for i in range(20)]
    _, _, texts = drawn(build, Waterfall(KIT, 19, many, 19 + sum(c for _, c in many)))
    assert overlaps(texts) == []
    _, _, texts = drawn(build, Waterfall(KIT, 19, [], 19))
    assert [t.text for t in texts].count("19.00") == 2


def test_break_even_rings_where_savings_pass_zero(build):
    lines = [
        SavingLine("never", -74, -0.8),
        SavingLine("at 45.1", -74, 1.64, None, "45.1"),
        SavingLine("outside", -74, 1.0),
    ]
    chart = BreakEven(KIT, 250, 150, Scale(0, 60, "pieces"), Scale(-140, 120, "kEUR"), lines)
    page, paths, texts = drawn(build, chart)
    (ring,) = [p for p in paths if p.paint == "both" and abs(p.box[2] - p.box[0] - 4.8) < 0.05]
    twenty, sixty = (next(t for t in texts if t.text == v) for v in ("20", "60"))
    start, end = (t.x + t.width / 2 for t in (twenty, sixty))
    at = 20 + 40 * ((ring.box[0] + ring.box[2]) / 2 - start) / (end - start)
    assert at == pytest.approx(74 / 1.64, abs=0.1)
    assert "45.1" in [t.text for t in texts]
    assert overlaps(texts) == []


def test_ranges_are_drawn_to_scale_with_zero(build):
    rows = [RangeRow("less", -1.4, -1.1, -0.5), RangeRow("sum", -1.6, 0.3, 2.0, total=True)]
    _, paths, texts = drawn(build, Range(KIT, rows, "kg"))
    less, total = (next(p for p in paths if p.weight == w) for w in (2.0, 3.4))
    (zero,) = [p for p in paths if p.weight == 0.9]
    scale = (total.box[2] - total.box[0]) / 3.6
    assert total.box[0] + 1.6 * scale == pytest.approx(zero.box[0], abs=0.05)
    assert less.box[2] - less.box[0] == pytest.approx(0.9 * scale, abs=0.05)
    assert {"less", "sum", "kg", "+1", "0", "−1"} <= {t.text for t in texts}


def test_no_range_is_no_error(build):
    _, _, texts = drawn(build, Range(KIT, [], "kg"))
    assert "kg" in [t.text for t in texts]


@pytest.mark.parametrize("low, mid, high", [(1, 0, 2), (0, 3, 2), (math.nan, 0, 1)])
def test_ranges_are_checked(low, mid, high):
    with pytest.raises(ValueError, match='range "r": .* must be finite and rise'):
        RangeRow("r", low, mid, high)


def test_axes_cross_at_the_low_end_where_zero_is_not_shown():
    axes = Axes(KIT, 100, 100, Scale(5, 10, "x"), Scale(-10, -5, "y"))
    assert axes.x_scale.cross == 5 and axes.y_scale.cross == -5


def test_bands_without_label(build):
    band = Band("", ([0, 1], [0, 0.5]), ([0, 1], [0.2, 0.9]))
    _, paths, texts = drawn(build, Curve(KIT, 200, 100, Scale(0, 1, "x"), Scale(0, 1, "y"), [], [band]))
    assert len([p for p in paths if p.dash == (4, 2)]) == 2
    assert overlaps(texts) == []
