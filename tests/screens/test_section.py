"""The section drawing against the geometry of the parts it shows."""

import numpy as np
import pytest

from screens.widgets.raster_canvas import CELL_HEIGHT, CELL_WIDTH, Canvas
from screens.widgets.section_drawing import MODES, Look, draw_section
from screens.widgets.section_shape import (
    CallOut,
    Region,
    Section,
    View,
    half,
    majority,
    projection,
    thickness,
)
from tests.screens import parts

SIZE = (58, 19)


WHOLE, PLAINLY = View(), Look()


def drawn(look: Look = PLAINLY, view: View = WHOLE, size: tuple[int, int] = SIZE, section: Section | None = None,
          plain: bool = False):
    """Canvas and result of drawing the sample section."""
    canvas = Canvas(*size, plain=plain)
    return canvas, draw_section(canvas, section or parts.section(), view, look)


def loop_area(loop: np.ndarray) -> float:
    """Area of a closed loop by the shoelace formula, mm²."""
    z, r = loop.T
    return abs(float(np.sum(z * np.roll(r, -1) - np.roll(z, -1) * r))) / 2


@pytest.mark.parametrize("size", [(46, 16), (58, 19), (89, 34)])
@pytest.mark.parametrize(("key", "loop"), [
    ("E", parts.eye()), ("A", parts.pin()), ("C", parts.rubber()), ("D", parts.ring()),
])
def test_dots_of_a_region_are_its_area(size: tuple[int, int], key: str, loop: np.ndarray) -> None:
    """Dots times the area of one dot against the polygon's area: an edge is off by at most half a dot."""
    canvas = Canvas(*size)
    place = projection(parts.section(), View(), canvas)
    dot = place.mm / CELL_WIDTH
    upper = half(parts.reference(), place, canvas, True)
    number = [region.key for region in upper.regions].index(key) + 1
    length = float(np.hypot(*(np.roll(loop, -1, axis=0) - loop).T).sum())
    assert upper.mask(number).sum() * dot**2 == pytest.approx(loop_area(loop), abs=length * dot / 2)


@pytest.mark.parametrize("size", [(46, 16), (89, 34)])
def test_share_of_cells_follows_the_area(size: tuple[int, int]) -> None:
    """Edges are off by at most half a cell, which is `mm` high and half as wide."""
    canvas, result = drawn(size=size)
    cell = result.place.mm * 2 * result.place.mm
    pins = 2 * loop_area(parts.pin()) - loop_area(parts.bore())
    assert (result.keys == "A").sum() * cell == pytest.approx(pins, rel=0.08)
    edge = 2 * parts.BORE_END + 2 * parts.BORE
    assert (result.keys == "B").sum() * cell == pytest.approx(loop_area(parts.bore()), abs=edge * result.place.mm)


def test_axis_parts_reference_from_variant() -> None:
    canvas, result = drawn()
    rows = np.flatnonzero((result.keys == "B").any(axis=1))
    assert rows.min() == result.place.axis_row
    assert (result.keys[: result.place.axis_row] != "B").all()


def test_whole_part_is_in_view_at_every_size() -> None:
    for columns in range(8, 130, 7):
        for rows in range(4, 40, 5):
            canvas = Canvas(columns, rows)
            place = projection(parts.section(), View(), canvas)
            ends = [place.cell(-parts.HALF_LENGTH + 0.01, 0.0), place.cell(parts.HALF_LENGTH - 0.01, 0.0)]
            tops = [place.cell(0.0, parts.EYE - 0.01), place.cell(0.0, -parts.EYE + 0.01)]
            assert ends[0][0] >= 0 and ends[1][0] < columns
            assert tops[0][1] >= 0 and tops[1][1] < rows, (columns, rows)


def test_scale_line_says_the_scale_that_was_drawn() -> None:
    canvas, result = drawn()
    text = canvas.cells().text()
    assert f"1 column = {result.place.mm:.3g} mm" in text[-1]
    width = np.flatnonzero((result.keys == "A").any(axis=0))
    assert (np.ptp(width) + 1) * result.place.mm == pytest.approx(2 * parts.HALF_LENGTH, abs=1.5 * result.place.mm)


@pytest.mark.parametrize("zoom", [2, 4, 8])
def test_zoom_keeps_its_middle_and_scales(zoom: int) -> None:
    canvas, whole = drawn()
    canvas, result = drawn(view=View(18.0, 30.0, zoom))
    assert result.place.mm == pytest.approx(whole.place.mm / zoom)
    column, row = result.place.cell(18.0, 30.0)
    assert abs(column + 0.5 - SIZE[0] / 2) <= 1 and abs(row + 0.5 - SIZE[1] / 2) <= 1
    assert f"{zoom}x, 1 column" in canvas.cells().text()[-1]


@pytest.mark.parametrize("size", [(27, 12), (20, 8), (46, 16), (89, 34)])
def test_rubber_never_vanishes(size: tuple[int, int]) -> None:
    """In every column where the layer is, a cell of each half shows it."""
    canvas, result = drawn(Look(small=True), size=size)
    place = result.place
    for column in range(place.cell(-13, 0)[0], place.cell(13, 0)[0] + 1):
        rows = np.flatnonzero(result.keys[:, column] == "C")
        assert (rows < place.axis_row).any() and (rows >= place.axis_row).any(), column


def test_thin_layer_says_that_it_is_drawn_too_thick() -> None:
    thin = Region("C", [np.array([(-20.0, 30.0), (20.0, 30.0), (20.0, 30.4), (-20.0, 30.4)])])
    around = Region("D", [np.array([(-20.0, 20.0), (20.0, 20.0), (20.0, 40.0), (-20.0, 40.0)])])
    section = Section([around, thin], [around, thin])
    canvas, result = drawn(section=section)
    assert result.notes == ("C not to scale",)
    assert "C not to scale" in canvas.cells().text()[-1]
    assert (result.keys == "C").any()
    assert drawn()[1].notes == ()


def test_mean_thickness_of_a_layer() -> None:
    """Analytic: a rectangle of 40 x 0.4 has twice its area over its outline = 0.396."""
    layer = Region("C", [np.array([(-20.0, 30.0), (20.0, 30.0), (20.0, 30.4), (-20.0, 30.4)])])
    assert thickness(layer) == pytest.approx(2 * 16.0 / 80.8)
    assert thickness(Region("C", [])) == 0.0


def test_thin_layer_leaves_its_neighbours_theirs() -> None:
    canvas = Canvas(*SIZE)
    place = projection(parts.section(), View(), canvas)
    upper = half(parts.reference(), place, canvas, True)
    cells = majority(upper, canvas)
    numbers = {region.key: number for number, region in enumerate(upper.regions, 1)}
    ring, most = cells == numbers["D"], canvas.count(upper.mask(numbers["D"])) >= 7
    assert (ring | ~most).all()


def test_outline_has_no_line_along_the_axis() -> None:
    canvas = Canvas(*SIZE)
    place = projection(parts.section(), View(), canvas)
    for above, regions in ((True, parts.reference()), (False, parts.variant())):
        part = half(regions, place, canvas, above)
        row = place.axis_row * CELL_HEIGHT - (1 if above else 0)
        line = part.outline()[row]
        inner = place.cell(-20, 0)[0] * CELL_WIDTH, place.cell(20, 0)[0] * CELL_WIDTH
        assert not line[inner[0]:inner[1]].any()


def test_difference_shows_what_goes_and_what_comes() -> None:
    canvas, result = drawn(Look(mode="difference"))
    codes = canvas.cells().codes
    removed, added = codes == ord("o"), codes == ord("+")
    axis = result.place.axis_row
    removed[0] = added[-1] = False
    cell = result.place.mm * 2 * result.place.mm
    ring, bore = loop_area(parts.ring()), loop_area(parts.bore())
    for cells, rows in ((removed, slice(0, axis)), (added, slice(axis, None))):
        inside = cells[rows, : result.place.cell(parts.HALF_LENGTH, 0)[0]]
        assert inside.sum() * cell == pytest.approx(ring + bore, rel=0.25)


def test_equal_halves_show_no_difference() -> None:
    same = Section(parts.reference(), parts.reference())
    canvas, _ = drawn(Look(mode="difference"), section=same)
    assert not any(sign in line for line in canvas.cells().text()[:-1] for sign in "+o")


def test_whole_modes_mirror_one_part() -> None:
    _, variant = drawn(Look(mode="variant", small=True))
    _, reference = drawn(Look(mode="reference", small=True))
    assert (reference.keys != "B").all()
    axis = variant.place.axis_row
    upper, lower = (variant.keys == "B")[:axis], (variant.keys == "B")[axis:]
    assert upper.any() and lower.any()


def test_balloons_and_call_outs() -> None:
    canvas, _ = drawn(size=(89, 20))
    text = canvas.cells().text()
    for letter in "ABCDE":
        assert any(letter in line[:60] for line in text), letter
    for call_out in parts.section().call_outs:
        assert any(call_out.text in line for line in text), call_out.text
    rows = {call_out.text: next(row for row, line in enumerate(text) if call_out.text in line)
            for call_out in parts.section().call_outs}
    assert rows["E eye, bore 76"] < rows["C rubber, 29 .. 34"] < rows["B core, bore 18.0 (ref -)"]


def test_leader_only_from_the_region_it_names() -> None:
    canvas, result = drawn(size=(89, 20))
    text = canvas.cells().text()
    row = next(number for number, line in enumerate(text) if "⋅⋅" in line and "ring, wall" in line)
    last = int(np.flatnonzero(result.keys[row] != "")[-1])
    assert result.keys[row, last] == "D"
    rubber = next(line for line in text if "C rubber" in line)
    assert "⋅⋅" not in rubber


def test_length_along_the_axis_has_its_length() -> None:
    canvas, result = drawn(size=(89, 20))
    line = canvas.cells().text()[-1]
    start, end = line.index("|<"), line.index(">|") + 2
    assert (end - start) * result.place.mm == pytest.approx(42.0, abs=2 * result.place.mm)
    assert "42.0 ring" in line


@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("zoom", [1, 8])
def test_plain_drawing_has_certain_width(mode: str, zoom: int) -> None:
    canvas, _ = drawn(Look(mode=mode, highlight="A"), View(10, 5, zoom), plain=True)
    assert all(line.isascii() for line in canvas.cells().text())


def test_plain_letters_are_the_hatches() -> None:
    canvas, result = drawn(plain=True, look=Look(small=True))
    codes = canvas.cells().codes
    for key, letter in {"A": "/", "B": ".", "C": "%", "D": "\\", "E": "-"}.items():
        assert (codes[result.keys == key] == ord(letter)).all(), key


def test_highlight_marks_one_region_only() -> None:
    canvas, result = drawn(Look(highlight="B", small=True))
    cells = canvas.cells()
    marked = np.isin(cells.roles, [cells.role_names.index("key")])
    assert marked[result.keys == "B"].any()
    assert not marked[result.keys == "E"].any()


def utilisation(z: np.ndarray, r: np.ndarray) -> np.ndarray:
    """Grows with z from 0 at the middle to 1.2 at the end; only in the pin outside the bore."""
    inside = (r < parts.NECK) & ~((np.abs(z) < parts.BORE_END) & (r < parts.BORE))
    return np.where(inside, np.abs(z) / parts.HALF_LENGTH * 1.2, np.nan)


def test_digit_is_the_first_decimal_of_the_greatest_value() -> None:
    canvas, result = drawn(Look(fields=(utilisation, utilisation), small=True), size=(62, 20))
    text = canvas.cells().text()
    place = result.place
    for z in (-55.0, -40.0, 30.0, 45.0, 60.0):
        column, row = place.cell(z, -12.0)
        middle = place.middle(column, row)[0]
        value = (abs(middle) + place.mm / 4) / parts.HALF_LENGTH * 1.2
        assert text[row][column] == ("#" if value > 1 else str(int(value * 10))), z


def test_field_shows_core_and_leaves_the_rest_blank() -> None:
    canvas, result = drawn(Look(fields=(utilisation, utilisation), small=True), size=(62, 20))
    text = canvas.cells().text()
    column, row = result.place.cell(0.0, -4.0)
    assert text[row][column] == "."
    column, row = result.place.cell(0.0, 42.0)
    assert not text[row][column].isdigit()
    cells = canvas.cells()
    column, row = result.place.cell(60.0, -12.0)
    assert cells.area_names[cells.areas[row, column]] == "u7"


def test_call_outs_without_room_are_left_out() -> None:
    crowd = [CallOut("A", f"number {number} of many", 60, 10) for number in range(40)]
    section = Section(parts.reference(), parts.variant(), call_outs=crowd)
    canvas, _ = drawn(section=section, size=(60, 16))
    shown = [line for line in canvas.cells().text() if "of many" in line]
    assert 0 < len(shown) < 16


@pytest.mark.parametrize("size", [(0, 0), (1, 1), (3, 2), (10, 1), (1, 30), (200, 3)])
@pytest.mark.parametrize("mode", MODES)
def test_no_size_is_too_small(size: tuple[int, int], mode: str) -> None:
    if all(size):
        drawn(Look(mode=mode), size=size)
        drawn(Look(mode=mode), View(0, 0, 8), size=size)
    drawn(Look(mode=mode), size=(max(size[0], 1), max(size[1], 1)), section=Section([], []))
