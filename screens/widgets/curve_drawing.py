"""Drawing a diagram into a canvas: axes through zero, ticks, band, curves by their form, marks, legend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dossier.evidence.plot_scales import ScaleKind, ticks_of
from screens.cells import cut, shortened
from screens.glyphs import grid_text
from screens.widgets.chart import Array, Band, Chart, Curve, Window
from screens.widgets.raster_canvas import CELL_HEIGHT, CELL_WIDTH, Canvas, Mask, ring_cells, sparse, trace
from screens.widgets.ticks import tick_labels, ticks

GUTTER, FOOT = 8, 2
DOT_PERIOD = 4
RINGS = {"variant": "o", "second": "x", "third": "+"}
RING_EVERY = 5
PLAIN_LINE = {"reference": ".", "part": ",", "fit": "-", "limit": "=", "bound": ","}
DASH_PERIOD, DASH = 9, 6
MANY = 9
LEAST_NAME, MOST_NAMES = 6, 3


@dataclass(frozen=True)
class Plot:
    """Where the diagram lies in the canvas, in cells, and how values fall on its dots."""

    left: int
    columns: int
    rows: int
    window: Window

    @property
    def width(self) -> int:
        """Dots across."""
        return self.columns * CELL_WIDTH

    @property
    def height(self) -> int:
        """Dots down."""
        return self.rows * CELL_HEIGHT

    def x(self, values: Array | float) -> Array:
        """Dots from the diagram's left edge."""
        return (np.asarray(values, dtype=float) - self.window.x0) / (self.window.x1 - self.window.x0) * self.width

    def y(self, values: Array | float) -> Array:
        """Dots from the diagram's upper edge."""
        return (self.window.y1 - np.asarray(values, dtype=float)) / (self.window.y1 - self.window.y0) * self.height

    def cell(self, x: float, y: float) -> tuple[int, int]:
        """Column and row in the canvas."""
        return (self.left + int(np.floor(self.x(x) / CELL_WIDTH + 1e-9)),
                int(np.floor(self.y(y) / CELL_HEIGHT + 1e-9)))

    def has(self, column: int, row: int) -> bool:
        """Whether a cell of the canvas belongs to the diagram."""
        return self.left <= column < self.left + self.columns and 0 <= row < self.rows


def plot_of(canvas: Canvas, window: Window, side: int) -> Plot:
    """The diagram between the gutter of y labels and `side` columns at the right, above two rows of writing."""
    return Plot(GUTTER, max(canvas.columns - GUTTER - side, 4), max(canvas.rows - FOOT, 2), window)


def draw_chart(canvas: Canvas, chart: Chart, plot: Plot) -> tuple[int, int]:
    """Draw everything; how many points the curves in view have, and how many it took to draw them.

    Where not even four columns and two rows are left for the diagram, that is all that is said.
    """
    total = drawn = 0
    if plot.left + plot.columns > canvas.columns or plot.rows + FOOT > canvas.rows:
        canvas.write(0, 0, "no room", "quiet")
        return sum(int(np.size(curve.x)) for curve in chart.curves), 0
    order = {"part": 0, "path": 0, "reference": 1, "points": 3}
    for curve in sorted(chart.curves, key=lambda entry: order.get(entry.form, 2)):
        total += int(np.size(curve.x))
        drawn += _draw_curve(canvas, curve, plot)
    _draw_axes(canvas, chart, plot)
    if chart.band is not None:
        _draw_band(canvas, chart.band, plot)
    for mark in chart.marks:
        column, row = plot.cell(mark.x, mark.y)
        if plot.has(column, row):
            canvas.write(column, row, grid_text(mark.letter, canvas.plain)[:1], "heading")
    _write_labels(canvas, chart, plot)
    _write_legend(canvas, chart, plot)
    return total, drawn


def _draw_curve(canvas: Canvas, curve: Curve, plot: Plot) -> int:
    if curve.form == "points":
        return _draw_points(canvas, curve, plot)
    x, y, needed = trace(plot.x(curve.x), plot.y(curve.y), plot.width, plot.height)
    x = x + plot.left * CELL_WIDTH
    role = {"reference": "quiet", "bound": "quiet", "part": "rule", "path": "rule"}.get(curve.form, "ink")
    if curve.form in ("reference", "bound") and not canvas.plain:
        dotted = sparse(x.size, DOT_PERIOD)
        canvas.add_points(x[dotted], y[dotted], role)
    elif curve.form == "limit" and not canvas.plain:
        dashed = np.arange(x.size) % DASH_PERIOD < DASH
        canvas.add_points(x[dashed], y[dashed], role)
    elif not canvas.plain or curve.form in PLAIN_LINE:
        canvas.add_points(x, y, role, PLAIN_LINE.get(curve.form, "."))
    if curve.form in RINGS:
        rings = ring_cells(x, y, 2 if canvas.plain else RING_EVERY)
        cells = np.zeros((canvas.rows, canvas.columns), dtype=bool)
        cells[rings[:, 1], rings[:, 0]] = True
        canvas.set_characters(cells, RINGS[curve.form], "heading")
    return needed


def _draw_points(canvas: Canvas, curve: Curve, plot: Plot) -> int:
    """The sign of each point in its cell, or how many of them fall there (`+` above nine)."""
    found: dict[tuple[int, int], str] = {}
    for x, y, sign in zip(curve.x, curve.y, curve.signs, strict=True):
        cell = plot.cell(float(x), float(y))
        found[cell] = found.get(cell, "") + sign
    for (column, row), signs in found.items():
        if plot.has(column, row):
            text = signs if len(signs) == 1 else str(len(signs)) if len(signs) <= MANY else "+"
            canvas.write(column, row, text, "heading", None)
    return len(curve.signs)


def _draw_axes(canvas: Canvas, chart: Chart, plot: Plot) -> None:
    """Lines through zero, under the curves; spans of saturation and the secant's range on the x axis."""
    column, row = plot.cell(0.0, 0.0) if chart.zero else (plot.left, plot.rows - 1)
    cells = _plot_cells(canvas, plot) & canvas.empty_cells()
    across, upright = np.zeros_like(cells), np.zeros_like(cells)
    if 0 <= row < plot.rows:
        across[row] = True
    if plot.left <= column < plot.left + plot.columns:
        upright[:, column] = True
    for sign, where in (("─", across & ~upright), ("│", upright & ~across), ("┼", upright & across)):
        canvas.set_characters(cells & where, grid_text(sign, canvas.plain), "rule")
    line = min(max(row, 0), plot.rows - 1)
    for low, high in chart.flagged:
        first, last = plot.cell(low, 0.0)[0], plot.cell(high, 0.0)[0]
        for place in range(max(first, plot.left), min(last, plot.left + plot.columns - 1) + 1):
            canvas.write(place, line, "!", "notmet", None)
    for value, bracket in zip(chart.secant or (), "[]", strict=False):
        place = plot.cell(value, 0.0)[0]
        if plot.has(place, line):
            canvas.write(place, line, bracket, "key", None)


def _plot_cells(canvas: Canvas, plot: Plot) -> Mask:
    cells = np.zeros((canvas.rows, canvas.columns), dtype=bool)
    cells[: plot.rows, plot.left : plot.left + plot.columns] = True
    return cells


def _draw_band(canvas: Canvas, band: Band, plot: Plot) -> None:
    """`░` between the two slopes on the loading side, where nothing else is; the label at its end if there is room."""
    columns = np.arange(plot.columns) + 0.5
    rows = np.arange(plot.rows) + 0.5
    x = plot.window.x0 + columns * CELL_WIDTH * (plot.window.x1 - plot.window.x0) / plot.width
    y = plot.window.y1 - rows * CELL_HEIGHT * (plot.window.y1 - plot.window.y0) / plot.height
    low, high = np.minimum(band.low * x, band.high * x), np.maximum(band.low * x, band.high * x)
    inside = (y[:, None] >= low) & (y[:, None] <= high) & (x * band.sense > 0)
    cells = np.zeros((canvas.rows, canvas.columns), dtype=bool)
    cells[: plot.rows, plot.left : plot.left + plot.columns] = inside
    canvas.set_characters(cells & canvas.empty_cells(), grid_text("░", canvas.plain), "rule")
    label = grid_text(band.label, canvas.plain)
    found = np.argwhere(cells)
    if label and found.size:
        row, column = found[np.argmax(found[:, 1] * band.sense)]
        start = int(column) - len(label) - 1 if band.sense > 0 else int(column) + 2
        for shift in (-1, 1, -2, 2, -3, 3):
            if plot.has(start, int(row) + shift) and canvas.is_free(start, int(row) + shift, len(label)):
                canvas.write(start, int(row) + shift, label, "quiet")
                break


def _write_labels(canvas: Canvas, chart: Chart, plot: Plot) -> None:
    window = plot.window
    written = -1
    for value, label in reversed(_ticks(chart.y_scale, window.y0, window.y1, max(plot.rows * 2 // 5, 2))):
        row = plot.cell(window.x0, value)[1]
        if written < row < plot.rows:
            canvas.write(0, row, label[-(GUTTER - 1):].rjust(GUTTER - 1), "quiet")
            written = row
    unit = f" {grid_text(', '.join(filter(None, (chart.x_name, chart.x_unit))), canvas.plain)}"
    taken, right = GUTTER - 1, plot.left + plot.columns
    end = min(right, canvas.columns - len(unit))
    for value, label in _ticks(chart.x_scale, window.x0, window.x1, max(plot.columns // 10, 2)):
        start = plot.cell(value, window.y0)[0] - len(label) // 2
        if start > taken and start + len(label) <= end:
            canvas.write(start, plot.rows, label, "quiet")
            taken = start + len(label)
    canvas.write(end, plot.rows, unit, "ink")
    canvas.write(0, plot.rows, cut(grid_text(chart.y_unit, canvas.plain), GUTTER - 1).rjust(GUTTER - 1), "ink")
    upright = grid_text(", ".join(filter(None, (chart.y_name, chart.y_unit))), canvas.plain)
    if chart.y_name:
        canvas.write(*_free_place(canvas, plot, len(upright)), upright, "ink")
    if chart.zero and not window.shows_zero:
        canvas.write(plot.left, 0, " zoomed: 0 not shown ", "key")


def _free_place(canvas: Canvas, plot: Plot, length: int) -> tuple[int, int]:
    """Where a name hides nothing: in the upper three rows, from the left; where all are taken, at the left of the first."""
    last = max(plot.left + plot.columns - length, plot.left + 1)
    places = ((column, row) for row in range(min(3, plot.rows)) for column in range(plot.left + 1, last + 1))
    return next((place for place in places if canvas.is_free(*place, length)), (plot.left + 1, 0))


def _ticks(scale: ScaleKind, low: float, high: float, most: int) -> list[tuple[float, str]]:
    """Places and words of the ticks between two ends."""
    if scale != "linear":
        return ticks_of(scale, low, high, most)
    values = ticks(low, high, most)
    return list(zip(values, tick_labels(values), strict=True))


def legend(chart: Chart, plain: bool) -> list[tuple[str, str, str]]:
    """Sign, name and role of each form in the diagram, once."""
    signs = {"reference": "⋅⋅⋅", "variant": "o o", "second": "x x", "third": "+ +", "part": "---", "fit": "──",
             "limit": "- -", "bound": "⋅⋅⋅"}  # fmt: skip
    entries: dict[str, tuple[str, str, str]] = {}
    names: dict[str, list[str]] = {}
    for curve in chart.curves:
        if curve.form in ("points", "path") or not curve.name:
            continue
        role = "quiet" if curve.form in ("reference", "bound", "part") else "ink"
        sign = 3 * PLAIN_LINE[curve.form] if plain and curve.form in PLAIN_LINE else grid_text(signs[curve.form], plain)
        known = names.setdefault(curve.form, [])
        known += [name for name in (grid_text(curve.name, plain),) if name not in known]
        shared = f"{known[0].split(' ')[0]} "
        short = [known[0], *(name.removeprefix(shared) for name in known[1:])]
        told = ", ".join(short) if len(known) <= MOST_NAMES else f"{known[0]} and {len(known) - 1} more"
        entries[curve.form] = (sign, told, role)
    if chart.band is not None:
        entries["band"] = (grid_text("░", plain), grid_text(chart.band.label, plain) or "band", "quiet")
    return list(entries.values())


def _write_legend(canvas: Canvas, chart: Chart, plot: Plot) -> None:
    entries: Sequence[tuple[str, str, str]] = legend(chart, canvas.plain)
    if not entries or canvas.rows <= plot.rows + 1:
        return
    texts = shortened([f"{sign} {name}" for sign, name, _ in entries], canvas.columns - 1 - 4 * len(entries), LEAST_NAME)
    place = 1
    for text, (_, _, role) in zip(texts, entries, strict=True):
        canvas.write(place, plot.rows + 1, text, role)
        place += len(text) + 4


def column_cells(canvas_rows: int, codes: NDArray[np.uint32], column: int, plain: bool) -> list[int]:
    """Rows of a column where nothing but ground, axis or band is shown, so that the cursor may stand there."""
    passable = {ord(sign) for sign in (" ", grid_text("░", plain), grid_text("─", plain), grid_text("│", plain))}
    return [row for row in range(canvas_rows) if int(codes[row, column]) in passable]
