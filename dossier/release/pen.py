"""Drawing with few means: text on one line, lines, polygons, hatching, arrows; all on a canvas, in points."""

from __future__ import annotations

import math
from collections.abc import Sequence
from contextlib import contextmanager

import numpy as np
from reportlab.lib.colors import Color
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from dossier.release.page import CHAIN, HATCH, INK, LEADER, PAPER
from dossier.release.text import Content, plain
from dossier.release.typefaces import BOOK, cut, width

Point = tuple[float, float]
Box = tuple[float, float, float, float]


@contextmanager
def kept(canvas: Canvas):
    """Whatever is set inside does not outlive the block."""
    canvas.saveState()
    try:
        yield canvas
    finally:
        canvas.restoreState()


def write(
    canvas: Canvas, x: float, y: float, content: Content, font: str = BOOK, size: float = 7.2,
    colour: Color = INK, align: str = "l", room: float | None = None,
) -> float:  # fmt: skip
    """One line of literal text from, to or around x (align l, r, c), cut to `room`; returns its width."""
    line = plain(content, font)
    if room is not None:
        line = cut(line, font, size, room)
    canvas.setFillColor(colour)
    canvas.setFont(font, size)
    {"l": canvas.drawString, "r": canvas.drawRightString, "c": canvas.drawCentredString}[align](x, y, line)
    return width(line, font, size)


def plate(canvas: Canvas, box: Box, margin: float = 1.5) -> None:
    """White ground for a label."""
    x0, y0, x1, y1 = box
    canvas.setFillColor(PAPER)
    canvas.rect(x0 - margin, y0 - margin, x1 - x0 + 2 * margin, y1 - y0 + 2 * margin, fill=1, stroke=0)


def pen(canvas: Canvas, weight: float, colour: Color = INK, dash: Sequence[float] | None = None) -> None:
    """Set line weight, colour and dash."""
    canvas.setLineWidth(weight)
    canvas.setStrokeColor(colour)
    canvas.setDash(*([list(dash)] if dash else []))


def rule(canvas: Canvas, x0: float, x1: float, y: float, weight: float, colour: Color = INK) -> None:
    """A horizontal line."""
    pen(canvas, weight, colour)
    canvas.line(x0, y, x1, y)


def path_of(canvas: Canvas, outlines: Sequence[Sequence[Point]], *, close: bool = True) -> PDFPathObject:
    """A path of several polylines, coordinates to 0.01 pt."""
    path = canvas.beginPath()
    for outline in outlines:
        if len(outline) < 2:
            continue
        path.moveTo(*_rounded(outline[0]))
        for point in outline[1:]:
            path.lineTo(*_rounded(point))
        if close:
            path.close()
    return path


def polyline(
    canvas: Canvas, points: Sequence[Point], weight: float, colour: Color = INK,
    dash: Sequence[float] | None = None, cap: int = 0,
) -> None:  # fmt: skip
    """An open line through the points."""
    with kept(canvas):
        pen(canvas, weight, colour, dash)
        canvas.setLineCap(cap)
        canvas.setLineJoin(1)
        canvas.drawPath(path_of(canvas, [points], close=False))


def area(canvas: Canvas, outlines: Sequence[Sequence[Point]], fill: Color) -> None:
    """Fill polygons, holes by the even-odd rule."""
    canvas.setFillColor(fill)
    canvas.drawPath(path_of(canvas, outlines), fill=1, stroke=0, fillMode=0)


def hatch(
    canvas: Canvas, outlines: Sequence[Sequence[Point]], angle: float, step: float, weight: float = HATCH,
    colour: Color = INK, dash: Sequence[float] | None = None,
) -> None:  # fmt: skip
    """Parallel lines at `angle` degrees, `step` apart, clipped to the polygons (holes by the even-odd rule).

    Lines of equal angle and step run on from one area into the next, wherever the areas stand.
    """
    points = [p for outline in outlines for p in outline]
    if not points:
        return
    (x0, x1), (y0, y1) = ((min(v), max(v)) for v in zip(*points, strict=True))
    cx, cy, reach = (x0 + x1) / 2, (y0 + y1) / 2, math.hypot(x1 - x0, y1 - y0) / 2
    along = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    offset = -cx * along[1] + cy * along[0]
    first, last = math.ceil((offset - reach) / step), math.floor((offset + reach) / step)
    lines = []
    for k in range(first, last + 1):
        away = k * step - offset
        mx, my = cx - away * along[1], cy + away * along[0]
        lines.append(
            ((mx - reach * along[0], my - reach * along[1]), (mx + reach * along[0], my + reach * along[1]))
        )
    with kept(canvas):
        canvas.clipPath(path_of(canvas, outlines), stroke=0, fill=0, fillMode=0)
        pen(canvas, weight, colour, dash)
        canvas.drawPath(path_of(canvas, lines, close=False))


def arrowhead(canvas: Canvas, tip: Point, angle: float, length: float = 6, colour: Color = INK) -> None:
    """A filled slim arrowhead whose tip points along `angle` degrees."""
    with kept(canvas):
        canvas.translate(*tip)
        canvas.rotate(angle)
        area(canvas, [[(0, 0), (-length, length / 5), (-length, -length / 5)]], colour)


def dimension_line(
    canvas: Canvas, start: Point, end: Point, *, both: bool = True, weight: float = LEADER, head: float = 6
) -> None:
    """A line with arrowheads at its ends; they point inwards from outside where there is no room between."""
    length = math.dist(start, end)
    angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
    inside = length >= 2.4 * head
    pen(canvas, weight)
    canvas.line(*start, *end)
    arrowhead(canvas, end, angle if inside else angle + 180, head)
    if both:
        arrowhead(canvas, start, angle + 180 if inside else angle, head)
    if not inside:
        ux, uy = (end[0] - start[0]) / max(length, 1e-9), (end[1] - start[1]) / max(length, 1e-9)
        reach = head + 4
        canvas.line(end[0], end[1], end[0] + reach * ux, end[1] + reach * uy)
        if both:
            canvas.line(start[0], start[1], start[0] - reach * ux, start[1] - reach * uy)


def chain_line(canvas: Canvas, start: Point, end: Point, weight: float = LEADER) -> None:
    """The long-dashed dotted line of axes and centres."""
    polyline(canvas, [start, end], weight, dash=CHAIN)


def ring(
    canvas: Canvas, x: float, y: float, radius: float = 1.7, weight: float = 0.7, colour: Color = INK
) -> None:
    """A small circle, white inside."""
    pen(canvas, weight, colour)
    canvas.setFillColor(PAPER)
    canvas.circle(x, y, radius, fill=1)


def simplify(points: np.ndarray, tolerance: float) -> np.ndarray:
    """Fewer points for the same line: those whose neighbours' chord passes within `tolerance` are dropped.

    `points` has shape (n, 2); ends stay. No two neighbours go in one round, and rounds repeat until nothing
    goes, so that a smooth line ends up within about 4/3 of `tolerance`.
    """
    points = np.asarray(points, dtype=float)
    while len(points) > 3:
        before, after = points[:-2], points[2:]
        chord = after - before
        length = np.hypot(chord[:, 0], chord[:, 1])
        away = points[1:-1] - before
        with np.errstate(divide="ignore", invalid="ignore"):
            distance = np.abs(chord[:, 0] * away[:, 1] - chord[:, 1] * away[:, 0]) / length
        along = (away * chord).sum(axis=1)
        flat = (distance <= tolerance) & (along >= 0) & (along <= length**2)
        odd = np.arange(len(flat)) % 2 == 1
        going = flat & ~odd if (flat & ~odd).any() else flat & odd
        if not going.any():
            break
        points = np.concatenate([points[:1], points[1:-1][~going], points[-1:]])
    return points


def _rounded(point: Point) -> Point:
    return round(float(point[0]), 2), round(float(point[1]), 2)
