"""The section of a joint as a widget: zoom, pan, modes, cursor, and the small one of the margin."""

from __future__ import annotations

import dataclasses
from typing import ClassVar

from textual.binding import BindingType
from textual.message import Message

from screens import keys
from screens.glyphs import CURSOR
from screens.paint import Paint
from screens.widgets.raster import Overlay, Raster
from screens.widgets.raster_canvas import Canvas, Cells
from screens.widgets.section_drawing import MODES, Drawn, Look, draw_section
from screens.widgets.section_shape import ZOOMS, Array, Field, Section, View, bounds

EMPTY = Section((), ())
HAS_KEYS = CURSOR


class SectionView(Raster, inherit_bindings=False):
    """Reference above the axis, variant below; arrows move a cursor, at which z and Z zoom.

    `Pointed` tells the region, place and half under the cursor. With `small` it is the margin's section: no
    cursor, no writing, only the outlined `highlight` region is hatched.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("up", "down", "left", "right", "page-up", "page-down", "first", "zoom-in", "zoom-out",
                       "both", "difference")
    ]

    class Pointed(Message):
        """The cursor came to another cell: region key ("" for none), z and r in mm, above the axis or below."""

        def __init__(self, view: SectionView, key: str, z: float, r: float, upper: bool) -> None:
            self.view, self.key, self.z, self.r, self.upper = view, key, z, r, upper
            super().__init__()

        @property
        def control(self) -> SectionView:
            """The drawing."""
            return self.view

    def __init__(self, *, small: bool = False, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self.can_focus = not small
        self.section = EMPTY
        self.view = View()
        self.look = Look(small=small)
        self.drawn: Drawn | None = None
        self._cursor = (0.0, 0.0)

    def show(self, section: Section) -> None:
        """Draw a section; view and mode stay."""
        self.section = section
        self.redraw()

    def pointed_cells(self) -> list[tuple[float, float]]:
        """Middles (z, r > 0) in mm of the cell under the cursor and of the void ones beside it, whose rim it shows."""
        if self.drawn is None:
            return []
        place, keys = self.drawn.place, self.drawn.keys
        column, row = place.cell(*self._cursor)
        beside = [(column - 1, row), (column + 1, row), (column, row - 1), (column, row + 1)]
        void = [(x, y) for x, y in beside if 0 <= y < keys.shape[0] and 0 <= x < keys.shape[1] and not keys[y, x]]
        return [(z, abs(r)) for z, r in (place.middle(x, y) for x, y in [(column, row), *void])]

    def set_mode(self, mode: str) -> None:
        """halves, variant, reference or difference."""
        if mode not in MODES:
            raise ValueError(f'mode = "{mode}" of the section must be one of {", ".join(MODES)}')
        self.look = dataclasses.replace(self.look, mode=mode)
        self.redraw()

    def set_highlight(self, key: str) -> None:
        """Mark one region out; empty for none."""
        self.look = dataclasses.replace(self.look, highlight=key)
        self.redraw()

    def set_fields(
        self, reference: Field | None, variant: Field | None, contours: tuple[Array | None, Array | None] = (None, None)
    ) -> None:
        """Show utilisation instead of hatches, with contours of (z, r) in mm in it; None for the drawing."""
        self.look = dataclasses.replace(self.look, fields=(reference, variant), contours=contours)
        self.redraw()

    def pointed(self) -> Pointed | None:
        """What `Pointed` says of the cell under the cursor, its middle; None before anything is drawn."""
        self.picture()
        if self.drawn is None:
            return None
        column, row = self.drawn.place.cell(*self._cursor)
        found = self.drawn.keys
        key = str(found[row, column]) if 0 <= row < found.shape[0] and 0 <= column < found.shape[1] else ""
        z, r = self.drawn.place.middle(column, row)
        return self.Pointed(self, key, z, abs(r), r > 0)

    def show_view(self, z: float, r: float, zoom: int) -> None:
        """Look at a place (r signed, above the axis positive) with a zoom of 1, 2, 4 or 8."""
        if zoom not in ZOOMS:
            raise ValueError(f"zoom = {zoom} of the section must be one of 1, 2, 4, 8")
        self.view = View(z, r, zoom)
        self._cursor = (z, r)
        self.redraw()

    def draw_canvas(self, canvas: Canvas, paint: Paint) -> None:
        """Draw the section as the view and look say."""
        self.drawn = draw_section(canvas, self.section, self.view, self.look)

    def overlay(self, cells: Cells, paint: Paint) -> Cells:
        """While the drawing has the keys: its mark at the right of the first row, and the cursor's cell in reverse."""
        if not self.has_focus or self.drawn is None:
            return cells
        over = Overlay(cells)
        over.write(max(self.size.width - len(HAS_KEYS) - 1, 0), 0, HAS_KEYS, "key")
        over.set_role(*self.drawn.place.cell(*self._cursor), "caret")
        return over.finished()

    def watch_has_focus(self, _has_focus: bool) -> None:
        """Mark and cursor come and go with the keys."""
        super().watch_has_focus(_has_focus)
        self.renew_overlay()

    def _step(self, columns: int, rows: int) -> None:
        self.picture()
        if self.drawn is None:
            return
        place = self.drawn.place
        column, row = place.cell(*self._cursor)
        if self.view.zoom == 1:
            column = min(max(column + columns, 0), self.size.width - 1)
            row = min(max(row + rows, 0), self.size.height - 1)
            self._cursor = place.middle(column, row)
        else:
            self._cursor = self._kept(*place.middle(column + columns, row + rows))
        self._follow()
        self.renew_overlay()
        self._tell()

    def _kept(self, z: float, r: float) -> tuple[float, float]:
        """A place kept within the drawing's bounds."""
        low, high, upper = bounds(self.section.reference)
        other = bounds(self.section.variant) if self.section.variant else (low, high, upper)
        return min(max(z, min(low, other[0])), max(high, other[1])), min(max(r, -other[2]), upper)

    def _follow(self) -> None:
        """Pan so that the cursor stays off the outer eighth of a zoomed view."""
        if self.view.zoom == 1 or self.drawn is None:
            return
        mm = self.drawn.place.mm
        width, height = self.size.width * mm, self.size.height * 2 * mm
        z, r = self._cursor
        new_z = min(max(self.view.z, z - 0.375 * width), z + 0.375 * width)
        new_r = min(max(self.view.r, r - 0.375 * height), r + 0.375 * height)
        if (new_z, new_r) != (self.view.z, self.view.r):
            self.view = View(new_z, new_r, self.view.zoom)
            self.redraw()

    def _tell(self) -> None:
        if (found := self.pointed()) is not None:
            self.post_message(found)

    def _zoom(self, step: int) -> None:
        place = min(max(ZOOMS.index(self.view.zoom) + step, 0), len(ZOOMS) - 1)
        if ZOOMS[place] != self.view.zoom:
            self.view = View(*self._cursor, ZOOMS[place])
            self.redraw()

    def action_zoom_in(self) -> None:
        """Twice as near, around the cursor."""
        self._zoom(1)

    def action_zoom_out(self) -> None:
        """Half as near."""
        self._zoom(-1)

    def action_both(self) -> None:
        """Halves, the variant whole, the reference whole."""
        order = ("halves", "variant", "reference")
        now = order.index(self.look.mode) if self.look.mode in order else -1
        self.set_mode(order[(now + 1) % len(order)])

    def action_difference(self) -> None:
        """Only what differs, or all again."""
        self.set_mode("halves" if self.look.mode == "difference" else "difference")

    def action_up(self) -> None:
        """One cell up."""
        self._step(0, -1)

    def action_down(self) -> None:
        """One cell down."""
        self._step(0, 1)

    def action_left(self) -> None:
        """One cell left."""
        self._step(-1, 0)

    def action_right(self) -> None:
        """One cell right."""
        self._step(1, 0)

    def action_page_up(self) -> None:
        """Half a view up."""
        self._step(0, -max(self.size.height // 2, 1))

    def action_page_down(self) -> None:
        """Half a view down."""
        self._step(0, max(self.size.height // 2, 1))

    def action_first(self) -> None:
        """Back to the whole section, the cursor at its middle."""
        self.show_view(0.0, 0.0, 1)
