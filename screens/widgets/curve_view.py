"""A diagram as a widget: zoom around the cursor, a cursor that walks on the curve, its read-out, the secant."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

import numpy as np
from numpy.typing import NDArray
from textual.binding import BindingType
from textual.message import Message

from dossier import units
from dossier.evidence.plot_scales import number_at
from screens import keys
from screens.cells import beside, cell_len, cut
from screens.glyphs import grid_text
from screens.paint import Paint
from screens.widgets.chart import ZOOMS, Chart, Reading, reading, secant, whole, zoomed
from screens.widgets.curve_drawing import Plot, column_cells, draw_chart, plot_of
from screens.widgets.raster import Overlay, Raster
from screens.widgets.raster_canvas import CELL_HEIGHT, CELL_WIDTH, Canvas, Cells

CURSOR_SIGN = ":"
LEAST_FOR_SIDE = 60


class CurveView(Raster, inherit_bindings=False):
    """Curves with a cursor. Left and right walk along the leading curve, page keys by a tenth; Enter pins a place.

    The panel at the right holds `set_side` lines and below them the read-out. `Drew` tells how many points were
    drawn, `Read` what stands under the cursor.
    """

    can_focus = True
    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("left", "right", "page-up", "page-down", "first", "last", "enter", "zoom-in", "zoom-out")
    ]

    class Drew(Message):
        """The diagram was drawn: `points` in its curves, `drawn` after dropping repeats on the same dot."""

        def __init__(self, view: CurveView, points: int, drawn: int) -> None:
            self.view, self.points, self.drawn = view, points, drawn
            super().__init__()

        @property
        def control(self) -> CurveView:
            """The diagram."""
            return self.view

    class Read(Message):
        """The cursor came to another place."""

        def __init__(self, view: CurveView, found: Reading | None) -> None:
            self.view, self.found = view, found
            super().__init__()

        @property
        def control(self) -> CurveView:
            """The diagram."""
            return self.view

    def __init__(self, *, side: int = 22, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.chart = Chart()
        self.zoom = 1
        self.cursor = 0
        self.pinned: int | None = None
        self.side = side
        self._side_lines: Sequence[str] = ()
        self._plot: Plot | None = None
        self._stops: NDArray[np.intp] = np.zeros(1, dtype=np.intp)

    def show(self, chart: Chart) -> None:
        """Show other curves; the cursor goes to the middle of the leading one."""
        self.chart = chart
        self.zoom, self.pinned = 1, None
        lead = chart.lead
        self.cursor = np.size(lead.x) // 2 if lead is not None else 0
        self.redraw()

    def set_side(self, lines: Sequence[str]) -> None:
        """Lines of the panel at the right, above the read-out."""
        self._side_lines = lines
        self.redraw()

    def draw_canvas(self, canvas: Canvas, paint: Paint) -> None:
        """Draw the diagram for the present zoom."""
        side = self.side if canvas.columns >= LEAST_FOR_SIDE else 0
        found = reading(self.chart, self.cursor)
        window = whole(self.chart)
        if found is not None and self.zoom > 1:
            window = zoomed(window, self.zoom, found.x, found.y)
        self._plot = plot_of(canvas, window, side)
        points, drawn = draw_chart(canvas, self.chart, self._plot)
        self._stops = self._places()
        self.call_later(self._say_drawn, points, drawn)

    def _say_drawn(self, points: int, drawn: int) -> None:
        """Told outside of drawing, where the widget itself is the sender."""
        self.post_message(self.Drew(self, points, drawn))

    def _places(self) -> NDArray[np.intp]:
        """Points of the leading curve at which it comes into another cell."""
        lead, plot = self.chart.lead, self._plot
        if lead is None or plot is None or not np.size(lead.x):
            return np.zeros(1, dtype=np.intp)
        with np.errstate(invalid="ignore"):
            columns, rows = np.floor(plot.x(lead.x) / CELL_WIDTH), np.floor(plot.y(lead.y) / CELL_HEIGHT)
        finite = np.isfinite(columns) & np.isfinite(rows)
        new = finite.copy()
        new[1:] &= (columns[1:] != columns[:-1]) | (rows[1:] != rows[:-1])
        last = np.flatnonzero(finite)[-1:]
        if lead.form == "points":
            return np.flatnonzero(finite)
        return np.unique(np.concatenate([np.flatnonzero(new), last])) if finite.any() else np.zeros(1, dtype=np.intp)

    def overlay(self, cells: Cells, paint: Paint) -> Cells:
        """Cursor, pinned place and read-out."""
        over = Overlay(cells)
        plot, found = self._plot, reading(self.chart, self.cursor)
        if plot is None:
            return cells
        if found is None:
            self._write_panel(over, plot.rows, [], paint)
            return over.finished()
        pinned = reading(self.chart, self.pinned) if self.pinned is not None else None
        if pinned is not None:
            self._mark_column(over, plot, pinned, "quiet", paint)
        self._mark_column(over, plot, found, "key", paint)
        self._write_panel(over, plot.rows, self._read_out(found, pinned, self.side - 2), paint)
        return over.finished()

    def _write_panel(self, over: Overlay, rows: int, read_out: Sequence[str], paint: Paint) -> None:
        """The side lines and below them the read-out, which is never left out: whole side values make room for it."""
        if self.size.width < LEAST_FOR_SIDE:
            return
        left, lines = self.size.width - self.side + 1, list(self._side_lines)
        while lines and len(lines) + 1 + len(read_out) > rows:
            last = lines.pop()
            while last.startswith(" ") and lines:
                last = lines.pop()
        told = [*((text, "ink") for text in lines), ("", "ink")]
        told += [(text, "ink" if number else "key") for number, text in enumerate(read_out)]
        for row, (text, role) in enumerate(told[:rows]):
            over.write(left, row, cut(grid_text(text, paint.plain), self.side - 1), role)

    def _mark_column(self, over: Overlay, plot: Plot, found: Reading, role: str, paint: Paint) -> None:
        column, row = plot.cell(found.x, found.y)
        if not plot.has(column, min(max(row, 0), plot.rows - 1)):
            return
        for free in column_cells(plot.rows, over.codes, column, paint.plain):
            over.write(column, free, CURSOR_SIGN, role)
        over.set_role(column, row, "caret")

    def _read_out(self, found: Reading, pinned: Reading | None, columns: int) -> list[str]:
        x_unit, y_unit = self.chart.x_unit, self.chart.y_unit
        lead, other = self.chart.lead, self.chart.reference
        if lead is not None and lead.form == "points":
            return ["cursor", *(cut(words, columns) for words in lead.words[self.cursor])]
        place = f"{units.show(number_at(self.chart.x_scale, found.x), 4)} {x_unit}".strip()
        pairs = [(self.chart.x_name or "x", place)]
        if lead is not None:
            pairs.append((lead.short or lead.name, f"{found.y:.4g} {y_unit}"))
        if found.reference is not None and other is not None:
            pairs.append((other.short or other.name, f"{found.reference:.4g} {y_unit}"))
            pairs.append(("gap", f"{found.gap:+.3g} {y_unit}"))
            if found.gap_share is not None:
                pairs.append(("", f"{100 * found.gap_share:+.1f} %"))
        if pinned is not None:
            slope = secant(pinned, found) if self.chart.x_scale == self.chart.y_scale == "linear" else None
            pairs.append(("pinned", f"{units.show(number_at(self.chart.x_scale, pinned.x), 4)} {x_unit}".strip()))
            if slope is not None:
                pairs.append(("secant", f"{slope:.4g} {y_unit}/{x_unit}"))
        return ["cursor", *(beside(cut(name, max(columns - cell_len(value) - 1, 0)), value, columns, 1) for name, value in pairs)]

    def _go(self, stop: int) -> None:
        self.picture()
        if self.chart.lead is None:
            return
        stop = min(max(stop, 0), len(self._stops) - 1)
        if self._stops[stop] == self.cursor:
            return
        self.cursor = int(self._stops[stop])
        self._follow()
        self.renew_overlay()
        self.post_message(self.Read(self, reading(self.chart, self.cursor)))

    def _follow(self) -> None:
        found = reading(self.chart, self.cursor)
        if self.zoom > 1 and self._plot is not None and found is not None:
            column, row = self._plot.cell(found.x, found.y)
            if not self._plot.has(column, row):
                self.redraw()

    def _step(self, stops: int) -> None:
        self.picture()
        self._go(int(np.searchsorted(self._stops, self.cursor, side="right")) - 1 + stops)

    def action_left(self) -> None:
        """Back along the curve."""
        self.picture()
        here = int(np.searchsorted(self._stops, self.cursor))
        self._go(here - 1)

    def action_right(self) -> None:
        """On along the curve."""
        self._step(1)

    def action_page_down(self) -> None:
        """A tenth of the curve on."""
        self._step(max(len(self._stops) // 10, 1))

    def action_page_up(self) -> None:
        """A tenth of the curve back."""
        self._step(-max(len(self._stops) // 10, 1))

    def action_first(self) -> None:
        """To the first point."""
        self._go(0)

    def action_last(self) -> None:
        """To the last point."""
        self._go(len(self._stops) - 1)

    def action_enter(self) -> None:
        """Pin the place, or loose it where it is pinned."""
        self.pinned = None if self.pinned == self.cursor else self.cursor
        self.renew_overlay()

    def _zoom(self, step: int) -> None:
        place = min(max(ZOOMS.index(self.zoom) + step, 0), len(ZOOMS) - 1)
        if ZOOMS[place] != self.zoom:
            self.zoom = ZOOMS[place]
            self.redraw()

    def action_zoom_in(self) -> None:
        """Twice as near, around the cursor."""
        self._zoom(1)

    def action_zoom_out(self) -> None:
        """Half as near."""
        self._zoom(-1)
