"""The diagram: where curves fall, what the cursor reads, axes, band, zoom, many points."""

import time

import numpy as np
import pytest

from screens.widgets.chart import Band, Chart, Curve, Mark, reading, secant, value_beside, whole, zoomed
from screens.widgets.curve_drawing import RINGS, draw_chart, legend, plot_of
from screens.widgets.curve_view import CurveView
from screens.widgets.raster_canvas import BRAILLE, Canvas
from tests.screens import look
from tests.screens.sample import SampleApp

SIZE = (80, 20)


def loop(stiffness: float, width: float, count: int = 2000) -> tuple[np.ndarray, np.ndarray]:
    """One closed cycle of displacement in mm and force in kN."""
    angle = np.linspace(0, 2 * np.pi, count)
    x = 0.25 * np.sin(angle)
    return x, stiffness * x + width * np.cos(angle)


def chart(**more) -> Chart:
    """Two cycles beside each other."""
    curves = (Curve("reference, mean of 5", *loop(55.2, 1.0), "reference", "ref"),
              Curve("V2, mean of 5", *loop(54.8, 1.2), "variant", "V2"))
    return Chart(curves, "mm", "kN", **more)


def drawn(shown: Chart, size: tuple[int, int] = SIZE, plain: bool = False, window=None):
    """Canvas and plot of a diagram."""
    canvas = Canvas(*size, plain=plain)
    plot = plot_of(canvas, window or whole(shown), 0)
    counts = draw_chart(canvas, shown, plot)
    return canvas, plot, counts


def test_curve_passes_through_the_cells_of_its_points() -> None:
    line = Chart((Curve("line", np.array([-1.0, 1.0]), np.array([-2.0, 2.0]), "part"),))
    canvas, plot, _ = drawn(line)
    codes = canvas.cells().codes
    for x in np.linspace(-0.99, 0.99, 50):
        column, row = plot.cell(x, 2 * x)
        near = codes[max(row - 1, 0):row + 2, column]
        assert ((near >= BRAILLE) & (near < BRAILLE + 256)).any(), x


def test_zero_cross_and_labels() -> None:
    canvas, plot, _ = drawn(chart())
    column, row = plot.cell(0.0, 0.0)
    text = canvas.cells().text()
    assert text[row][:7].strip() == "0"
    assert text[plot.rows].split()[0] == "kN" and text[plot.rows].rstrip().endswith("mm")
    assert "0.0" in text[plot.rows]
    assert {line[column] for line in text[:plot.rows]} & set("│┼")
    labels = [int(line[:7]) for line in text[:plot.rows] if line[:7].strip()]
    assert labels == sorted(labels, reverse=True) and len(labels) >= 3


def test_form_tells_the_curves_apart_without_colour() -> None:
    canvas, _, _ = drawn(chart())
    text = "\n".join(canvas.cells().text())
    assert text.count(RINGS["variant"]) > 10
    only = [Chart((Curve("c", *loop(55.2, 1.0), form),)) for form in ("reference", "variant", "part")]
    dots = [drawn(one)[0].dots.sum() for one in only]
    assert dots[0] < 0.4 * dots[2] and dots[1] == dots[2]


def test_band_lies_on_the_loading_side_between_its_slopes() -> None:
    shown = Chart((Curve("c", np.array([-1.0, 1.0]), np.array([-60.0, 60.0]), "part"),), "mm", "kN", Band(20.0, 40.0))
    canvas, plot, _ = drawn(shown)
    rows, columns = np.nonzero(canvas.cells().codes == ord("░"))
    keep = rows < plot.rows
    rows, columns = rows[keep], columns[keep]
    assert rows.size > 20
    x = plot.window.x0 + (columns - plot.left + 0.5) * (plot.window.x1 - plot.window.x0) / plot.columns
    y = plot.window.y1 - (rows + 0.5) * (plot.window.y1 - plot.window.y0) / plot.rows
    assert (x > 0).all() and (y >= 20 * x - 1e-9).all() and (y <= 40 * x + 1e-9).all()


def test_marks_and_spans_are_named_on_the_picture() -> None:
    shown = chart(marks=(Mark("p", 0.1, 6.0),), flagged=((0.2, 0.24),), secant=(-0.1, 0.1), band=Band(47.6, 64.4, "band b"))
    canvas, plot, _ = drawn(shown)
    text = canvas.cells().text()
    column, row = plot.cell(0.1, 6.0)
    assert text[row][column] == "p"
    axis = text[plot.cell(0.0, 0.0)[1]]
    assert "!!" in axis and axis.index("[") < axis.index("]")
    assert "reference" in text[-1] and "V2" in text[-1] and "band" in text[-1]


def test_legend_names_each_form_once() -> None:
    many = Chart(tuple(Curve(f"part {number}", *loop(50, 1), "part") for number in range(5)) + chart().curves)
    names = [name for _, name, _ in legend(many, False)]
    assert names == ["part 0 and 4 more", "reference, mean of 5", "V2, mean of 5"]


def test_plain_diagram_has_certain_width() -> None:
    shown = chart(band=Band(47.6, 64.4, "47.6 .. 64.4 kN/mm ±"), marks=(Mark("q", 0, 0),))
    canvas, _, _ = drawn(shown, plain=True)
    text = canvas.cells().text()
    assert all(line.isascii() and len(line) == SIZE[0] for line in text)
    assert sum(line.count("o") for line in text[:-2]) > 10


def test_origin_is_in_view_unless_zoomed() -> None:
    far = Chart((Curve("c", np.array([5.0, 6.0]), np.array([50.0, 60.0])),))
    assert whole(far).shows_zero
    window = zoomed(whole(far), 8, 6.0, 60.0)
    assert not window.shows_zero
    canvas, _, _ = drawn(far, window=window)
    assert "zoomed: 0 not shown" in canvas.cells().text()[0]


@pytest.mark.parametrize("zoom", [2, 8, 32])
def test_zoom_divides_the_ranges_and_stays_within(zoom: int) -> None:
    full = whole(chart())
    window = zoomed(full, zoom, 0.25, 13.0)
    assert (window.x1 - window.x0) * zoom == pytest.approx(full.x1 - full.x0)
    assert full.x0 <= window.x0 and window.x1 <= full.x1 + 1e-12
    assert window.x0 <= 0.25 <= window.x1 and window.y0 <= 13.0 <= window.y1


def test_reading_compares_on_the_same_branch() -> None:
    """Analytic: both cycles are k x ± w cos, so on the rising branch the gap is Δk x + Δw sqrt(1 - (x/0.25)²)."""
    shown = chart()
    for index in (100, 300, 1200, 1400, 1900):
        found = reading(shown, index)
        branch = 1.0 if 0.25 * np.cos(2 * np.pi * index / 1999) > 0 else -1.0
        width = branch * np.sqrt(1 - (found.x / 0.25) ** 2)
        assert found.gap == pytest.approx((54.8 - 55.2) * found.x + 0.2 * width, abs=2e-4), index
        assert found.gap_share == pytest.approx(found.gap / abs(found.reference))


def test_reading_has_no_gap_where_the_reference_ends() -> None:
    short = Chart((Curve("ref", np.array([0.0, 1.0]), np.array([0.0, 1.0]), "reference"),
                   Curve("V2", np.array([0.0, 2.0]), np.array([0.0, 2.0]))))
    assert reading(short, 1).reference is None and reading(short, 1).gap is None
    assert reading(short, 0).gap == 0.0 and reading(short, 0).gap_share is None
    assert reading(short, 7) is None and reading(Chart(), 0) is None
    assert value_beside(Curve("one", np.array([1.0]), np.array([1.0])), 1.0, True, 0.5) is None


def test_secant_is_the_slope_between_two_readings() -> None:
    shown = Chart((Curve("V2", np.array([0.0, 1.0, 2.0]), np.array([0.0, 50.0, 110.0])),))
    assert secant(reading(shown, 0), reading(shown, 2)) == pytest.approx(55.0)
    assert secant(reading(shown, 1), reading(shown, 1)) is None


def test_wrong_curves_are_refused() -> None:
    with pytest.raises(ValueError, match="dashed"):
        Curve("c", np.zeros(3), np.zeros(3), "dashed")
    with pytest.raises(ValueError, match="3 x and 2 y"):
        Curve("c", np.zeros(3), np.zeros(2))


def test_many_points_are_drawn_quickly_and_counted() -> None:
    """200,000 points of a noisy cycle; the limit is ten times what was measured, against a loaded machine."""
    rng = np.random.default_rng(7)
    x, y = loop(55.0, 1.0, 200_000)
    shown = Chart((Curve("V2", x, y + rng.normal(0, 0.05, y.size)),), "mm", "kN")
    drawn(shown)
    start = time.perf_counter()
    _, _, (points, needed) = drawn(shown, (126, 38))
    assert time.perf_counter() - start < 0.5
    assert points == 200_000 and 1000 < needed < 60_000


@pytest.mark.parametrize("shown", [
    Chart(), Chart((Curve("none", np.zeros(0), np.zeros(0)),)), Chart((Curve("nan", np.full(3, np.nan), np.ones(3)),)),
    Chart((Curve("one", np.array([1.0]), np.array([1.0])),)), Chart((Curve("flat", np.arange(3.0), np.zeros(3)),)),
], ids=["empty", "no points", "nan", "one point", "flat"])
@pytest.mark.parametrize("size", [(1, 1), (12, 3), (80, 20)])
def test_little_data_in_little_room(shown: Chart, size: tuple[int, int]) -> None:
    canvas, _, _ = drawn(shown, size)
    assert len(canvas.cells().text()) == size[1]


def test_cursor_walks_reads_and_pins() -> None:
    view = CurveView()
    told: list[object] = []

    class App(SampleApp):
        def on_curve_view_read(self, message: CurveView.Read) -> None:
            told.append(message.found)

        def on_curve_view_drew(self, message: CurveView.Drew) -> None:
            told.append((message.points, message.drawn))

    app = App(view)

    async def script(pilot) -> None:
        view.show(chart())
        view.set_side(["own line"])
        view.focus()
        await pilot.pause()
        await pilot.pause()
        assert (4000, told[-1][1]) == told[-1] and told[-1][1] < 4000
        await pilot.press("home")
        assert view.cursor == 0
        first = look.text_of(app)
        await pilot.press("right")
        assert view.cursor > 0
        step = reading(view.chart, view.cursor)
        assert told[-1] == step
        text = look.text_of(app)
        assert text != first
        assert any(f"{step.x:.4g} mm" in line for line in text)
        assert any("own line" in line for line in text)
        await pilot.press("enter", "pagedown", "pagedown")
        await pilot.pause()
        expected = secant(reading(view.chart, view.pinned), reading(view.chart, view.cursor))
        assert any(f"{expected:.4g} kN/mm" in line for line in look.text_of(app))
        await pilot.press("left", "left", "end")
        assert view.cursor == 1999
        await pilot.press("z", "z", "z")
        await pilot.pause()
        assert view.zoom == 8
        assert not any("own" in line and "own line" not in line for line in look.text_of(app))
        await pilot.press("Z", "Z", "Z", "Z")
        assert view.zoom == 1

    look.drive(app, (100, 30), script)


def test_walking_right_and_left_comes_back() -> None:
    view = CurveView()
    app = SampleApp(view)

    async def script(pilot) -> None:
        view.show(chart())
        view.focus()
        await pilot.press("home", *["right"] * 5)
        places = view.cursor
        await pilot.press("right", "left")
        assert view.cursor == places
        await pilot.press(*["left"] * 9)
        assert view.cursor == 0

    look.drive(app, (80, 24), script)
