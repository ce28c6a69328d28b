"""The utilisation of a section: filled classes and their lines, the highest values called out, a scale below."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from dossier.release.contours import TriangleField
from dossier.release.kit import Kit
from dossier.release.outlines import Half, Point, Region, extent
from dossier.release.page import INK, LEADER, PAPER, QUIET
from dossier.release.pen import area, chain_line, hatch, kept, path_of, pen, polyline, simplify, write
from dossier.release.section import (
    choose_scale,
    draw_outline,
    draw_region,
    draw_scale_bar,
    scale_words,
)
from dossier.release.text import plain
from dossier.release.typefaces import BOLD, BOOK, width

LIMITS = (0.1, 0.2, 0.4, 0.6, 0.8, 0.9, 1.0)
"""Limits of the classes: narrow at both ends, where decisions fall."""

CLASSES = ("#F8FAFB", "#DDE7EE", "#BACFDD", "#92B2C6", "#6A93AC", "#42738C", "#22536A", "#0D2D3C")
"""Colours of the eight classes: CIE LCh hue 245, lightness L* 98, 91, 82, 71, 59, 46, 33, 17, so that grey print keeps the
order."""

LINE, DASH, THICK = 0.3, (1.2, 1.6), 1.2
TOLERANCE = 0.1  # points: fewer corners for the same line
UNIT = "share of yield strength"


@dataclass(frozen=True)
class Mark:
    """A value called out at its place (z, r) in mm."""

    place: Point
    text: str


@dataclass(frozen=True)
class FieldHalf:
    """One part: its section, fields by the key of the region they fill (points as (z, r) in mm), values called out.

    `held` is the z at which the pin is held on both sides, the end of the model; from `read` on towards it the
    field is not read. `idle_below` is the level of the dashed line, `contour` points (z, r) in mm drawn as a thick one.
    """

    half: Half
    fields: Mapping[str, TriangleField]
    marks: Sequence[Mark]
    held: float
    read: float
    idle_below: float
    contour: Sequence[Point] = ()


@dataclass(frozen=True)
class _Called:
    """A mark in points, above the axis: place, height of its row, alignment."""

    text: str
    x: float
    y: float
    row: float
    align: str
    room: float


@dataclass
class _Room:
    """Heights in points of what stands around a half: from the axis to the rows of marks, and with its label."""

    rows: float
    label: float
    called: list[_Called] = field(default_factory=list)


class FieldDrawing(Flowable):
    """Reference above the axis and variant below, or one part above it alone; over the full width (put it into Wide).

    Regions with a field show its classes, the others their hatching as in SectionDrawing. At full size if it fits.
    """

    ROW, CLEAR, FOOT, BOX, OVERHANG = 9.5, 5, 40, 11 * mm, 5 * mm

    def __init__(self, kit: Kit, above: FieldHalf, below: FieldHalf | None = None, *, scale: float | None = None) -> None:
        super().__init__()
        self.kit, self.halves = kit, [above, *([below] if below else [])]
        self.low, self.high, self.radius = extent(one.half for one in self.halves)
        reach = self.radius * len(self.halves)
        self.scale = scale or choose_scale((self.high - self.low, reach), (kit.page.full, kit.page.height - 180))
        self.rooms = [self._room(one) for one in self.halves]

    def _room(self, one: FieldHalf) -> _Room:
        """Marks stand in rows outside the outline, the outermost place in the nearest row: no leader meets a text."""
        k, half_width = self.scale * mm, self.kit.page.full / 2
        middle, outside = (self.low + self.high) / 2, self.radius * self.scale * mm + self.CLEAR
        room = _Room(outside, 0.0)
        for side in (-1, 1):
            places = [(mark.text, (mark.place[0] - middle) * k, mark.place[1] * k) for mark in one.marks]
            ordered = sorted((p for p in places if (p[1] >= 0) == (side > 0)), key=lambda p: -side * p[1])
            for number, (text, x, y) in enumerate(ordered):
                room.called.append(_Called(text, x, y, outside + number * self.ROW, "l" if side > 0 else "r",
                                           half_width - side * x - 8))  # fmt: skip
                room.rows = max(room.rows, outside + (number + 1) * self.ROW)
        room.label = room.rows + 14 + 10 * len(one.half.notes)
        return room

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = self.kit.page.full
        self.below = (self.rooms[1].label if len(self.rooms) > 1 else 0) + self.FOOT
        self.height = self.rooms[0].label + self.below
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        with kept(canvas):
            canvas.translate(self.width / 2, self.below)
            with kept(canvas):
                canvas.translate(-(self.low + self.high) / 2 * self.scale * mm, 0)
                for one, sign in zip(self.halves, (1, -1), strict=False):
                    _draw_half(canvas, one, sign, self.scale * mm)
            reach = min((self.high - self.low) / 2 * mm * self.scale + self.OVERHANG, self.width / 2)
            chain_line(canvas, (-reach, 0), (reach, 0))
            for one, room, sign in zip(self.halves, self.rooms, (1, -1), strict=False):
                _draw_marks(canvas, room.called, sign)
                self._label(canvas, one.half, room, sign)
            write(canvas, self.width / 2, self.rooms[0].label - 8, scale_words(self.scale), BOOK, 7.2, QUIET, "r")
            self._foot(canvas, -self.below)

    def _label(self, canvas: Canvas, half: Half, room: _Room, sign: int) -> None:
        left, wide = -self.width / 2, 0.7 * self.width
        top = room.label if sign > 0 else -room.rows - 4
        write(canvas, left, top - 8, half.label, BOLD, 8.4, room=wide)
        for i, line in enumerate(half.notes):
            write(canvas, left, top - 18 - 10 * i, line, BOOK, 7.2, QUIET, room=self.width)

    def _foot(self, canvas: Canvas, bottom: float) -> None:
        """The scale with the limits of its classes, the dashed line, the bar to check the print."""
        y, x = bottom + 26, -self.width / 2 + width(UNIT, BOOK, 7.2) + 8
        write(canvas, -self.width / 2, y + 1, UNIT, BOOK, 7.2)
        for number, colour in enumerate(CLASSES):
            canvas.setFillColor(HexColor(colour))
            pen(canvas, LINE)
            canvas.rect(x + number * self.BOX, y, self.BOX, 8, fill=1)
        for number, limit in enumerate((0, *LIMITS)):
            write(canvas, x + number * self.BOX, y - 8, f"{limit:g}", BOOK, 6.7, INK, "c")
        end = x + len(CLASSES) * self.BOX
        write(canvas, end, y - 8, "over 1", BOOK, 6.7, INK, "r")
        polyline(canvas, [(end + 10, y + 3.5), (end + 32, y + 3.5)], 0.6, dash=DASH)
        levels = sorted({one.idle_below for one in self.halves})
        told = f"{' and '.join(f'{level:.2f}' for level in levels)}: idle below"
        write(canvas, end + 36, y + 1, told, BOOK, 7.2)
        if any(len(one.contour) for one in self.halves):
            after = end + 36 + width(plain(told), BOOK, 7.2) + 8
            polyline(canvas, [(after, y + 3.5), (after + 18, y + 3.5)], THICK)
            write(canvas, after + 22, y + 1, "free contour", BOOK, 7.2)
        draw_scale_bar(canvas, self.width / 2, bottom + 4, self.scale)


def _draw_half(canvas: Canvas, one: FieldHalf, sign: int, k: float) -> None:
    for region in one.half.regions:
        if region.key not in one.fields:
            draw_region(canvas, region, sign, k)
            continue
        area(canvas, [_on_paper(outline, sign, k) for outline in region.outlines], PAPER)
        _draw_field(canvas, one.fields[region.key], one.idle_below, sign, k)
        if region.key == "A":
            _draw_ends(canvas, one, region, sign, k)
        draw_outline(canvas, region.outlines, sign, k)
    if len(one.contour):
        polyline(canvas, _thinned(np.asarray(one.contour), sign, k), THICK)


def _draw_field(canvas: Canvas, values: TriangleField, idle_below: float, sign: int, k: float) -> None:
    """Each class over the one before, as all above its lower limit, so that no gap is left between neighbours."""
    lines = []
    for colour, level in zip(CLASSES, (-np.inf, *LIMITS), strict=True):
        outlines = values.above(level)
        area(canvas, [_thinned(outline.points, sign, k) for outline in outlines], HexColor(colour))
        lines.append((level, outlines))
    with kept(canvas):
        pen(canvas, LINE)
        canvas.setLineJoin(1)
        for level, outlines in lines:
            if level != idle_below:
                _draw_lines(canvas, outlines, sign, k)
        canvas.setDash(list(DASH))
        canvas.setLineWidth(2 * LINE)
        _draw_lines(canvas, values.above(idle_below), sign, k)


def _draw_lines(canvas: Canvas, outlines: Iterable, sign: int, k: float) -> None:
    runs = [_thinned(run, sign, k) for outline in outlines for run in outline.lines()]
    if runs:
        canvas.drawPath(path_of(canvas, runs, close=False))


def _draw_ends(canvas: Canvas, one: FieldHalf, pin: Region, sign: int, k: float) -> None:
    """Where the pin is held: hatched behind the edge, and before it, wider, as far as the field is not read."""
    top = max(r for outline in pin.outlines for _, r in outline)
    with kept(canvas):
        canvas.clipPath(path_of(canvas, [_on_paper(o, sign, k) for o in pin.outlines]), stroke=0, fill=0, fillMode=0)
        for side in (-1, 1):
            for near, far, angle, step in ((one.held, one.held + 2.5, 45, 1.7), (one.read, one.held, 135, 4.2)):
                box = [(side * near, 0.0), (side * far, 0.0), (side * far, top), (side * near, top)]
                hatch(canvas, [_on_paper(box, sign, k)], side * sign * angle, step)
            polyline(canvas, _on_paper([(side * one.held, 0.0), (side * one.held, top)], sign, k), 0.6)


def _draw_marks(canvas: Canvas, called: Sequence[_Called], sign: int) -> None:
    for one in called:
        foot, row = sign * one.y, sign * one.row
        pen(canvas, LEADER)
        canvas.line(one.x, foot, one.x, row)
        canvas.setFillColor(PAPER)
        pen(canvas, 0.6)
        canvas.circle(one.x, foot, 1.5, fill=1)
        base = row if sign > 0 else row - 5.2
        x = one.x + (3 if one.align == "l" else -3)
        write(canvas, x, base, one.text, BOLD, 7.2, INK, one.align, max(one.room, width(plain("0.00"), BOLD, 7.2)))


def _on_paper(outline: Sequence[Point], sign: int, k: float) -> list[Point]:
    return [(z * k, sign * r * k) for z, r in outline]


def _thinned(points: np.ndarray, sign: int, k: float) -> list[Point]:
    kept_points = simplify(points * (k, sign * k), TOLERANCE)
    return [(float(x), float(y)) for x, y in kept_points]
