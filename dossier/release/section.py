"""The section drawing: reference above the axis, variant below, at a standard scale, hatched by region."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

from reportlab.lib.colors import HexColor
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from dossier.release.kit import Kit
from dossier.release.layout import Balloon, DimensionPlace, Plan, plan_drawing
from dossier.release.outlines import Half, Point, Region, densified, extent
from dossier.release.page import INK, LEADER, OUTLINE, PAPER, QUIET, THIN
from dossier.release.pen import area, chain_line, dimension_line, hatch, kept, path_of, pen, plate, write
from dossier.release.text import plain
from dossier.release.typefaces import BOLD, BOOK, width

SCALES = (1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01)
BAR_LENGTHS = (50, 20, 10, 5, 2, 100, 200, 500, 1000, 2000)
WAVE_HEIGHT, WAVE_LENGTH = 0.7, 11.0


@dataclass(frozen=True)
class _Hatch:
    """Fill colour, angle and spacing of the lines in points; crossed, dotted, outline weight, flipped left."""

    fill: str
    angle: float = 45
    step: float = 0
    crossed: bool = False
    dots: tuple[float, float] | None = None
    weight: float = OUTLINE
    mirrored: bool = False


HATCHES = MappingProxyType({
    "A": _Hatch("#D5E1EA", 45, 4.2),
    "B": _Hatch("#EADFCB", 45, 2.2, dots=(0.5, 1.6)),
    "C": _Hatch("#B8A79D", 45, 1.7, crossed=True),
    "D": _Hatch("#E1EDE6", 135, 2.6, mirrored=True),
    "E": _Hatch("#F5F3F8", 0, 5.2, weight=THIN),
    "F": _Hatch("#FFFFFF", 45, 1.2, weight=THIN),
    "": _Hatch("#FFFFFF"),
})  # fmt: skip


@dataclass(frozen=True)
class Dimension:
    """A dimension from `start` to `end`, both (z, r) in mm, in the "reference" or "variant" half.

    Along the axis it stands outside the part with extension lines; across, it is drawn where it is. One that
    starts at the axis has one arrowhead, as half views have.
    """

    half: str
    start: Point
    end: Point
    text: str


def choose_scale(reach: tuple[float, float], room: tuple[float, float]) -> float:
    """1 if `reach` (mm) fits `room` (points) at full size, else the largest standard reduction that does.

    Reductions 1:2, 1:5, 1:10 … follow ISO 5455 (from memory). Raises ValueError if none fits.
    """
    for scale in SCALES:
        if reach[0] * mm * scale <= room[0] and reach[1] * mm * scale <= room[1]:
            return scale
    raise ValueError(
        f"section of {reach[0]:.0f} mm by {reach[1]:.0f} mm does not fit the page even at scale "
        f"{scale_name(SCALES[-1])}; check the unit of its coordinates"
    )


def scale_name(scale: float) -> str:
    """1:1, 1:2, 2:1 …"""
    return f"1:{1 / scale:g}" if scale <= 1 else f"{scale:g}:1"


def scale_words(scale: float) -> str:
    """The scale as printed at a section."""
    return f"section, scale {scale_name(scale)} at 100 % print"


def bar_length(scale: float) -> int:
    """Length in mm of the bar that checks the print: 50 mm on paper at full size, a round length else."""
    return next(b for b in BAR_LENGTHS if 15 <= b * scale <= 60)


def bar_text(scale: float) -> str:
    """What stands beside that bar."""
    length = bar_length(scale)
    if scale == 1:
        return f"{length} mm, to check the print"
    return f"{length} mm of the part, {length * scale:g} mm on paper"


def draw_scale_bar(canvas: Canvas, right: float, y: float, scale: float) -> None:
    """The bar, ending at `right`, with its text before it."""
    part = bar_length(scale) * mm * scale / 5
    for i in range(5):
        canvas.setFillColor(INK if i % 2 == 0 else PAPER)
        pen(canvas, 0.35)
        canvas.rect(right - (5 - i) * part, y, part, 2.2, fill=1)
    write(canvas, right - 5 * part - 4, y - 0.6, bar_text(scale), BOOK, 6.7, QUIET, "r")


class SectionDrawing(Flowable):
    """Half-and-half section over the full width (put it into Wide).

    Regions are filled, hatched and outlined by key: A pin, B core, C rubber, D ring, E eye, F rest, "" a void.
    A changed region keeps its direction and doubles its spacing. `scale` is chosen if not given.
    """

    TOP, BOTTOM, OVERHANG = 6, 16, 7 * mm

    def __init__(
        self, kit: Kit, reference: Half, variant: Half, dimensions: Sequence[Dimension] = (), *,
        scale: float | None = None, note: str = "only dimensions that differ",
    ) -> None:  # fmt: skip
        super().__init__()
        self.kit, self.reference, self.variant, self.note = kit, reference, variant, note
        self.dimensions = tuple(dimensions)
        low, high, radius = extent((reference, variant))
        page = kit.page
        self.scale = scale or choose_scale((high - low, 2 * radius), (page.full, page.height - 140))
        self.middle = (low + high) / 2
        self.plan = self._plan()

    def _plan(self) -> Plan:
        corners = tuple(self._label_size(half) for half in (self.reference, self.variant))
        note_width = max(width(plain(line), BOOK, 7.2) for line in (self._scale_text, self.note))
        bar_width = bar_length(self.scale) * self.scale * mm + 6 + width(bar_text(self.scale), BOOK, 6.7)
        dimensions = tuple((d.half, d.start, d.end, width(plain(d.text), BOOK, 7)) for d in self.dimensions)
        return plan_drawing(
            self.reference, self.variant, self.scale * mm, self.middle, self.kit.page.full, corners,
            (min(note_width, self._label_room), 22.0), (bar_width, 14.0), dimensions,
        )  # fmt: skip

    @property
    def _label_room(self) -> float:
        return 0.42 * self.kit.page.full

    def _label_size(self, half: Half) -> tuple[float, float]:
        widest = max(
            width(plain(half.label), BOLD, 8.4), *(width(plain(n), BOOK, 7.2) for n in half.notes), 0
        )
        return min(widest, self._label_room), 12.0 + 10 * len(half.notes)

    @property
    def _scale_text(self) -> str:
        return scale_words(self.scale)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = self.kit.page.full
        self.height = self.plan.above + self.plan.below
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        with kept(canvas):
            canvas.translate(self.width / 2, self.plan.below)
            with kept(canvas):
                canvas.translate(-self.middle * mm * self.scale, 0)
                for half, sign in ((self.reference, 1), (self.variant, -1)):
                    draw_half(canvas, half, sign, self.scale)
            self._centre_lines(canvas)
            for dimension, place in zip(self.dimensions, self.plan.dimensions, strict=True):
                _draw_dimension(canvas, dimension.text, place)
            for balloon in self.plan.balloons:
                _draw_balloon(canvas, balloon)
            self._labels(canvas)

    def _centre_lines(self, canvas: Canvas) -> None:
        low, high, radius = extent((self.reference, self.variant))
        reach = (high - low) / 2 * mm * self.scale + self.OVERHANG
        reach = min(reach, self.width / 2)
        chain_line(canvas, (-reach, 0), (reach, 0))
        x = -self.middle * mm * self.scale
        up = radius * mm * self.scale + 4
        chain_line(canvas, (x, -up), (x, up))

    def _labels(self, canvas: Canvas) -> None:
        left, right = -self.width / 2, self.width / 2
        for half, top in ((self.reference, self.plan.above), (self.variant, -self.plan.variant_label)):
            write(canvas, left, top - 8, half.label, BOLD, 8.4, room=self._label_room)
            for i, line in enumerate(half.notes):
                write(canvas, left, top - 18 - 10 * i, line, BOOK, 7.2, QUIET, room=self._label_room)
        write(canvas, right, self.plan.above - 8, self._scale_text, BOOK, 7.2, QUIET, "r")
        write(canvas, right, self.plan.above - 18, self.note, BOOK, 7.2, QUIET, "r", self._label_room)
        draw_scale_bar(canvas, right, -self.plan.below + 4, self.scale)


class SmallSection(Flowable):
    """The same halves as a picture for the first page: free size, line weights kept, no call-outs."""

    LABEL = 9

    def __init__(
        self, kit: Kit, reference: Half, variant: Half, width: float = 62 * mm, height: float = 46 * mm
    ) -> None:
        super().__init__()
        self.kit, self.reference, self.variant = kit, reference, variant
        self.low, self.high, self.radius = extent((reference, variant))
        self.scale = min(width / ((self.high - self.low + 8) * mm), height / (2 * (self.radius + 2) * mm))

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = (self.high - self.low + 8) * mm * self.scale
        self.height = 2 * (self.radius + 2) * mm * self.scale + 2 * self.LABEL
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        with kept(canvas):
            canvas.translate(self.width / 2 - (self.low + self.high) / 2 * mm * self.scale, self.height / 2)
            for half, sign in ((self.reference, 1), (self.variant, -1)):
                draw_half(canvas, half, sign, self.scale, spacing=0.7, weight=0.7)
            chain_line(canvas, ((self.low - 4) * mm * self.scale, 0), ((self.high + 4) * mm * self.scale, 0))
        write(canvas, self.width, self.height - 6.5, "above: reference", BOOK, 6.7, QUIET, "r")
        write(canvas, self.width, 0, "below: variant; not to scale", BOOK, 6.7, QUIET, "r")


def draw_half(
    canvas: Canvas, half: Half, sign: int, scale: float, *, spacing: float = 1.0, weight: float = 1.0
) -> None:
    """Draw the regions of a half in their order, above (sign 1) or below (−1) the axis; origin at z = r = 0."""
    for region in half.regions:
        draw_region(canvas, region, sign, scale * mm, spacing, weight)


def draw_region(
    canvas: Canvas, region: Region, sign: int, k: float, spacing: float = 1.0, weight: float = 1.0
) -> None:
    """Fill, hatch and outline one region; k points for a millimetre."""
    look = HATCHES.get(region.key, HATCHES["F"])
    shapes = [_broken(outline) if region.key == "E" else outline for outline in region.outlines]
    outlines = [[(z * k, sign * r * k) for z, r in shape] for shape in shapes]
    area(canvas, outlines, HexColor(look.fill))
    step = look.step * spacing * (2 if region.changed else 1)
    if step:
        for outline in [outlines] if not look.mirrored else [[o] for o in outlines]:
            left = look.mirrored and sum(x for o in outline for x, _ in o) < 0
            angle = sign * (180 - look.angle if look.mirrored and not left else look.angle)
            hatch(canvas, outline, angle, step, dash=look.dots)
            if look.crossed:
                hatch(canvas, outline, -angle, step)
    draw_outline(canvas, shapes, sign, k, look.weight * weight)


def draw_outline(
    canvas: Canvas, shapes: Sequence[Sequence[Point]], sign: int, k: float, weight: float = OUTLINE
) -> None:
    """The edges of closed outlines, those on the axis left out."""
    with kept(canvas):
        pen(canvas, weight)
        canvas.setLineJoin(1)
        canvas.setLineCap(1)
        for shape in shapes:
            for run in _off_axis(shape):
                canvas.drawPath(path_of(canvas, [[(z * k, sign * r * k) for z, r in run]], close=False))


def _off_axis(outline: Sequence[Point]) -> list[list[Point]]:
    """The closed outline as open runs without its edges on the axis: the axis cuts views, it is no edge."""
    closed = [*outline, outline[0]]
    runs: list[list[Point]] = []
    current: list[Point] = []
    for a, b in zip(closed, closed[1:], strict=False):
        if abs(a[1]) < 1e-9 and abs(b[1]) < 1e-9:
            if len(current) > 1:
                runs.append(current)
            current = []
        else:
            current = [*(current or [a]), b]
    return runs + ([current] if len(current) > 1 else [])


def _broken(outline: Sequence[Point]) -> list[Point]:
    """The outline with its straight outer edge as a wave: broken off, it goes on."""
    top = max(r for _, r in outline)
    closed = [*outline, outline[0]]
    result: list[Point] = []
    for a, b in zip(closed, closed[1:], strict=False):
        result.append(a)
        if abs(a[1] - top) < 1e-6 and abs(b[1] - top) < 1e-6 and abs(b[0] - a[0]) > WAVE_LENGTH / 2:
            result.extend(
                (z, r - WAVE_HEIGHT / 2 + WAVE_HEIGHT / 2 * math.sin(2 * math.pi * (z - a[0]) / WAVE_LENGTH))
                for z, r in densified([a, b], 0.5)[1:-1]
            )
    return result


def _draw_balloon(canvas: Canvas, balloon: Balloon) -> None:
    pen(canvas, LEADER)
    (x, y), (tx, ty) = balloon.centre, balloon.target
    canvas.line(tx, ty, x, y)
    canvas.setFillColor(INK)
    canvas.circle(tx, ty, 0.8, fill=1, stroke=0)
    pen(canvas, 0.6)
    canvas.setFillColor(PAPER)
    canvas.circle(x, y, Balloon.RADIUS, fill=1)
    write(canvas, x, y - 2.7, balloon.key, BOLD, 7.4, INK, "c", 11)


def _draw_dimension(canvas: Canvas, text: str, place: DimensionPlace) -> None:
    pen(canvas, LEADER)
    for foot, end in place.extensions:
        canvas.line(*foot, *end)
    dimension_line(canvas, place.start, place.end, both=place.both)
    if place.plate:
        plate(canvas, place.box, 0.5)
    x, y = place.text_at
    write(canvas, x, y, text, BOOK, 7, INK, place.align)
