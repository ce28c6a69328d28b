"""A widget that shows a numpy picture, redrawn only when its size, data or paint changes."""

from __future__ import annotations

import numpy as np
from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from screens.paint import Paint
from screens.widgets.house import paint_of
from screens.widgets.raster_canvas import Canvas, Cells


def row_strip(cells: Cells, row: int, paint: Paint) -> Strip:
    """One row of a picture as a strip: runs of equal role and area become one segment."""
    roles, areas = cells.roles[row], cells.areas[row]
    text = np.ascontiguousarray(cells.codes[row], dtype="<u4").tobytes().decode("utf-32-le")
    breaks = np.flatnonzero((roles[1:] != roles[:-1]) | (areas[1:] != areas[:-1])) + 1
    edges = [0, *breaks.tolist(), len(text)]
    segments = [
        Segment(text[start:end], paint.style(cells.role_names[roles[start]], cells.area_names[areas[start]]))
        for start, end in zip(edges, edges[1:], strict=False)
        if end > start
    ]
    return Strip(segments, len(text))


class Overlay:
    """A copy of a picture to write over."""

    def __init__(self, cells: Cells) -> None:
        self._cells = cells
        self.codes, self.roles, self.areas = cells.codes.copy(), cells.roles.copy(), cells.areas.copy()
        self._role_names = list(cells.role_names)

    def role(self, name: str) -> int:
        """Index of a role."""
        if name not in self._role_names:
            self._role_names.append(name)
        return self._role_names.index(name)

    def has(self, column: int, row: int) -> bool:
        """Whether a cell is within the picture."""
        return 0 <= row < self.codes.shape[0] and 0 <= column < self.codes.shape[1]

    def set_role(self, column: int, row: int, role: str) -> None:
        """Another role for what a cell shows."""
        if self.has(column, row):
            self.roles[row, column] = self.role(role)

    def write(self, column: int, row: int, text: str, role: str = "ink") -> None:
        """Write text of single-width characters, cropped at the edges."""
        for place, character in enumerate(text, column):
            if self.has(place, row):
                self.codes[row, place] = ord(character)
                self.roles[row, place] = self.role(role)

    def finished(self) -> Cells:
        """The picture with what was written."""
        return Cells(self.codes, self.roles, self.areas, tuple(self._role_names), self._cells.area_names)


class Raster(Widget, inherit_bindings=False):
    """Base of drawings. Subclasses draw in `draw_canvas` and, over a copy of it, what moves in `overlay`."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._drawn: tuple[tuple[int, int], Paint, Canvas] | None = None
        self._cells: Cells | None = None
        self._strips: dict[int, Strip] = {}

    def draw_canvas(self, canvas: Canvas, paint: Paint) -> None:
        """Draw everything that does not move with the cursor."""
        raise NotImplementedError

    def overlay(self, cells: Cells, paint: Paint) -> Cells:
        """The picture with what moves laid over it; by default the picture itself."""
        return cells

    def redraw(self) -> None:
        """Data or view changed: draw again."""
        self._drawn = None
        self.renew_overlay()

    def renew_overlay(self) -> None:
        """Only what moves changed: rows that come out different are painted."""
        old, self._cells = self._cells, None
        self._strips.clear()
        if old is None or self._drawn is None or not self.is_attached:
            self.refresh()
            return
        new = self.picture()
        same = (old.codes.shape == new.codes.shape and old.role_names == new.role_names
                and old.area_names == new.area_names)
        if not same:
            self.refresh()
            return
        changed = (old.codes != new.codes) | (old.roles != new.roles) | (old.areas != new.areas)
        for row in np.flatnonzero(changed.any(axis=1)):
            self.refresh(Region(0, int(row), self.size.width, 1))

    def picture(self) -> Cells:
        """The finished picture at the widget's present size."""
        paint, size = paint_of(self), (self.size.width, self.size.height)
        if self._drawn is None or self._drawn[0] != size or self._drawn[1] is not paint:
            canvas = Canvas(*size, plain=paint.plain)
            if size[0] and size[1]:
                self.draw_canvas(canvas, paint)
            self._drawn = size, paint, canvas
            self._cells = None
            self._strips.clear()
        if self._cells is None:
            self._cells = self.overlay(self._drawn[2].cells(), paint)
            self._strips.clear()
        return self._cells

    def render_line(self, y: int) -> Strip:
        """One row of the picture."""
        cells = self.picture()
        if y >= cells.codes.shape[0]:
            return Strip.blank(self.size.width)
        if y not in self._strips:
            self._strips[y] = row_strip(cells, y, paint_of(self))
        return self._strips[y]
