"""The section drawing: scale, hatching, balloons, dimensions."""

import math

import numpy as np
import pytest
import sample_parts as parts
from pdf_lines import paths_of
from pdf_words import overlaps, pieces_of

from dossier.release.flow import Wide
from dossier.release.layout import Balloon
from dossier.release.outlines import Half, Region, densified, extent, inside
from dossier.release.section import Dimension, SectionDrawing, SmallSection, choose_scale, scale_name

MM = 72 / 25.4
PIN = Half("bar", [Region("A", [[(-75, 0), (-75, 12), (75, 12), (75, 0)]])])


def drawn(build, *args, size="a4", **options):
    document = build(lambda kit: [Wide(kit, SectionDrawing(kit, *args, **options))], size)
    return document, document.reader.pages[0]


def outlines(page, weight=1.0):
    """Boxes of outlines; the title block's rules lie below."""
    return [p.box for p in paths_of(page) if p.paint == "stroke" and p.weight == weight and p.box[1] > 80]


@pytest.mark.parametrize("size", ["a4", "letter"])
def test_a_pin_of_150_mm_is_150_mm_on_paper(build, size):
    _, page = drawn(build, PIN, PIN, size=size)
    widths = [x1 - x0 for x0, _, x1, _ in outlines(page)]
    # coordinates are written to 0.01 pt
    assert widths == pytest.approx([150 * MM] * 2, abs=0.02)


def test_reference_stands_above_and_variant_below_one_axis(build):
    _, page = drawn(build, PIN, PIN)
    (_, low, _, above), (_, below, _, high) = outlines(page)
    assert low == pytest.approx(high, abs=0.02)
    assert above - low == pytest.approx(12 * MM, abs=0.02)
    assert high - below == pytest.approx(12 * MM, abs=0.02)


def test_the_axis_is_no_edge(build):
    _, page = drawn(build, PIN, PIN)
    axis = outlines(page)[0][1]
    along = [
        path
        for path in paths_of(page)
        if path.paint == "stroke"
        for a, b in zip(path.points, path.points[1:], strict=False)
        if abs(a[1] - axis) < 0.05 and abs(b[1] - axis) < 0.05 and abs(b[0] - a[0]) > 100
    ]
    assert [len(path.dash) for path in along] == [4]  # the chain line alone


@pytest.mark.parametrize("reach, room, scale", [
    ((150, 95), (504, 500), 1.0), ((177.9, 95), (504.5, 500), 1.0), ((180, 95), (504, 500), 0.5),
    ((150, 400), (504, 600), 0.5), ((500, 100), (504, 600), 0.2), ((2000, 100), (504, 600), 0.05),
])  # fmt: skip
def test_scale_is_full_size_or_the_largest_standard_reduction(reach, room, scale):
    assert choose_scale(reach, room) == scale


def test_a_part_that_fits_no_scale_is_refused():
    with pytest.raises(ValueError, match="does not fit the page even at scale 1:100; check the unit"):
        choose_scale((150_000, 100), (504, 600))


def test_scale_names():
    assert [scale_name(s) for s in (1, 0.5, 0.2, 0.1, 2, 5)] == ["1:1", "1:2", "1:5", "1:10", "2:1", "5:1"]


def test_the_scale_and_a_bar_to_check_it_are_printed(build):
    _, page = drawn(build, PIN, PIN)
    texts = [p.text for p in pieces_of(page)]
    assert "section, scale 1:1 at 100 % print" in texts and "50 mm, to check the print" in texts
    bar = [p.box for p in paths_of(page) if p.paint == "both" and abs(p.box[3] - p.box[1] - 2.2) < 0.01]
    assert max(b[2] for b in bar) - min(b[0] for b in bar) == pytest.approx(50 * MM, abs=0.01)
    _, page = drawn(build, PIN, PIN, scale=0.5)
    assert "50 mm of the part, 25 mm on paper" in [p.text for p in pieces_of(page)]


def hatching(page, half):
    """Angles and distances of hatch lines in the upper (1) or lower (−1) half of a bar of 12 mm radius."""
    axis = outlines(page)[0][1]
    lines = [p for p in paths_of(page) if p.paint == "stroke" and p.weight == 0.25 and len(p.points) > 10]
    chosen = [p for p in lines if half * ((p.box[1] + p.box[3]) / 2 - axis) > 0]
    points = np.array(chosen[0].points).reshape(-1, 2, 2)
    along = points[0, 1] - points[0, 0]
    normal = np.array([-along[1], along[0]]) / np.hypot(*along)
    offsets = np.sort(points[:, 0] @ normal)
    return math.degrees(math.atan2(along[1], along[0])), float(np.diff(offsets).mean())


def test_hatching_is_mirrored_at_the_axis_and_doubled_where_changed(build):
    changed = Half("bar", [Region("A", PIN.regions[0].outlines, changed=True)])
    _, page = drawn(build, PIN, changed)
    up, down = hatching(page, 1), hatching(page, -1)
    assert (up[0], down[0]) == pytest.approx((45, -45), abs=0.1)
    assert (up[1], down[1]) == pytest.approx((4.2, 8.4), abs=0.05)


def test_balloons_stand_outside_and_point_into_their_region():
    from dossier.release.kit import Kit
    from dossier.release.page import Page

    drawing = SectionDrawing(Kit(Page("a4")), parts.REFERENCE, parts.VARIANT)
    balloons = drawing.plan.balloons
    keys = {(b.key, b.target[1] > 0) for b in balloons}
    assert {(k, True) for k in "ACDEF"} | {(k, False) for k in "ABD"} == keys
    for balloon in balloons:
        half = parts.REFERENCE if balloon.target[1] > 0 else parts.VARIANT
        region = next(r for r in half.regions if r.key == balloon.key)
        assert within(region.outlines, balloon.target)
        around = [
            (balloon.centre[0] + 6 * math.cos(a), balloon.centre[1] + 6 * math.sin(a)) for a in range(7)
        ]
        assert not any(within(r.outlines, point) for r in half.regions for point in [balloon.centre, *around])


def within(outlines_mm, point):
    z, r = point[0] / MM, abs(point[1]) / MM
    return bool(inside(outlines_mm, np.array([z]), np.array([r]))[0])


def test_leaders_and_balloons_are_apart():
    from dossier.release.kit import Kit
    from dossier.release.page import Page

    drawing = SectionDrawing(Kit(Page("letter")), parts.REFERENCE, parts.VARIANT)
    balloons = drawing.plan.balloons
    for i, a in enumerate(balloons):
        for b in balloons[i + 1 :]:
            assert math.dist(a.centre, b.centre) > 3 * Balloon.RADIUS
            assert not crossing(a, b)


def crossing(a, b):
    def side(p, q, r):
        return (q[0] - p[0]) * (r[1] - p[1]) > (q[1] - p[1]) * (r[0] - p[0])

    one, two = (a.centre, a.target), (b.centre, b.target)
    return side(*one, two[0]) != side(*one, two[1]) and side(*two, one[0]) != side(*two, one[1])


@pytest.mark.parametrize("dimension, reach", [
    (Dimension("variant", (67.5, 9), (75, 9), "7.5"), 7.5), (Dimension("reference", (-40, 14), (40, 14), "80"), 80),
    (Dimension("variant", (40, 0), (40, 9), "⌀18"), 9), (Dimension("reference", (10, 29), (10, 34), "5 of rubber"), 5),
])  # fmt: skip
def test_dimension_lines_are_as_long_as_what_they_measure(build, dimension, reach):
    document, page = drawn(build, parts.REFERENCE, parts.VARIANT, [dimension])
    lines = [
        p
        for p in paths_of(page)
        if p.paint == "stroke" and p.weight == 0.25 and len(p.points) == 2 and not p.dash
    ]
    lengths = [math.dist(*p.points) for p in lines]
    assert any(length == pytest.approx(reach * MM, abs=0.02) for length in lengths)
    assert dimension.text in [p.text for p in pieces_of(page)]
    assert overlaps(pieces_of(page)) == []


def test_dimensions_at_the_same_place_are_stacked(build):
    same = [Dimension("reference", (-40, 14), (40, 14), "80"), Dimension("reference", (-20, 14), (20, 14), "40"),
            Dimension("reference", (-36, 14), (36, 14), "72")]  # fmt: skip
    _, page = drawn(build, parts.REFERENCE, parts.VARIANT, same)
    heights = [p.y for p in pieces_of(page) if p.text in ("80", "40", "72")]
    assert len(heights) == 3 and min(np.diff(sorted(heights))) > 9


def test_a_dimension_names_its_half():
    from dossier.release.kit import Kit
    from dossier.release.page import Page

    with pytest.raises(ValueError, match='dimension.half = "left" must be "reference" or "variant"'):
        SectionDrawing(Kit(Page("a4")), PIN, PIN, [Dimension("left", (0, 0), (0, 5), "x")])


def test_labels_keep_clear_of_a_wide_part(build):
    block = Half(
        "a label of some length", [Region("D", [[(-80, 5), (-80, 60), (80, 60), (80, 5)]])], ("and a note",)
    )
    document, page = drawn(build, block, block)
    top = max(y1 for *_, y1 in outlines(page))
    label = max(p.y for p in pieces_of(page) if p.text == "and a note")
    assert label > top
    assert overlaps(pieces_of(page)) == []


def test_holes_stay_white(build):
    hollow = Half(
        "h", [Region("A", [[(-20, 5), (-20, 30), (20, 30), (20, 5)], [(-5, 10), (-5, 20), (5, 20), (5, 10)]])]
    )
    assert not inside(hollow.regions[0].outlines, np.array([0.0]), np.array([15.0]))[0]
    assert inside(hollow.regions[0].outlines, np.array([10.0]), np.array([15.0]))[0]
    document, page = drawn(build, hollow, PIN)
    fills = [p for p in paths_of(page) if p.paint == "fill" and len(p.points) == 8]
    assert len(fills) == 1  # both outlines in one path, filled by the even-odd rule


@pytest.mark.parametrize("outline, message", [
    ([(0, 1), (1, 1)], "has 2 points and needs 3"), ([(0, 1), (1, -1), (2, 3)], "r = -1 mm must be at least 0"),
    ([(0, 1), (1, math.nan), (2, 3)], "must be two finite numbers"),
])  # fmt: skip
def test_outlines_are_checked(outline, message):
    with pytest.raises(ValueError, match=message):
        Region("A", [outline])


def test_a_half_without_outline_is_refused():
    with pytest.raises(ValueError, match='section half "x" has no outline'):
        Half("x", [Region("A", [])])


def test_the_small_section_keeps_its_line_weights_and_its_frame(build):
    document = build(lambda kit: [SmallSection(kit, parts.REFERENCE, parts.VARIANT, width=170, height=120)])
    page = document.reader.pages[0]
    lines = [p for p in paths_of(page) if p.weight == pytest.approx(0.7) and p.box[1] > 100]
    assert lines
    left = document.page.main_left
    assert all(left - 1 <= p.box[0] and p.box[2] <= left + 171 for p in lines)


def test_extent_and_density():
    assert extent([PIN]) == (-75, 75, 12)
    line = densified([(0, 0), (10, 0), (10, 1)], 3)
    assert line[0] == (0, 0) and line[-1] == (10, 1)
    assert max(math.dist(a, b) for a, b in zip(line, line[1:], strict=False)) <= 3
