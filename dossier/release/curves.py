"""Measured curves: reference and variant in their tolerance band, their difference, intervals of equivalence."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier.release.axes import NUMBER_SIZE, Axes, Scale
from dossier.release.kit import Kit
from dossier.release.marks import STATES, state
from dossier.release.page import BAND, INK, PAPER, QUIET, RULE, TINT
from dossier.release.pen import area, dimension_line, pen, ring, rule, write
from dossier.release.text import Content, minus
from dossier.release.typefaces import BOLD, BOOK

APART = 11.0  # points between the middles of two letters
RINGS = 22
# Strokes of the signs of single values, in points about their place.
SIGNS = {
    "x": ((-2, -2, 2, 2), (-2, 2, 2, -2)),
    ">": ((-3, 0, 3, 0), (3, 0, 0.8, 1.7), (3, 0, 0.8, -1.7)),
    "-": ((-2.6, 0, 2.6, 0),),
}
Values = Sequence[float] | np.ndarray


@dataclass(frozen=True)
class Series:
    """A curve: reference (round dots), variant (line with rings), predicted (long dashes) or fit (line alone); x and y of
    one length."""

    label: str
    x: Values
    y: Values
    reference: bool = False
    predicted: bool = False
    fit: bool = False

    def __post_init__(self) -> None:
        if len(self.x) != len(self.y) or len(self.x) < 2:
            raise ValueError(
                f'curve "{self.label}" has {len(self.x)} x and {len(self.y)} y; give two or more of both, equally many'
            )


@dataclass(frozen=True)
class Mark:
    """A place of a curve that is named by a letter, as a sign of trouble."""

    letter: str
    x: float
    y: float


@dataclass(frozen=True)
class Points:
    """Single values: of `signs` x is a cross, > an arrow, - a dash, o a ring; `joined` by a thin line in their order."""

    x: Values
    y: Values
    signs: str
    joined: bool = False


@dataclass(frozen=True)
class Band:
    """Area a requirement allows, as the polygon between two lines; each edge is drawn dashed."""

    label: str
    lower: tuple[Values, Values]
    upper: tuple[Values, Values]


def stiffness_band(label: str, low: float, high: float, force: float) -> Band:
    """The two cones between the secants of stiffness `low` and `high` (force per displacement) up to ±`force`."""
    return Band(
        label,
        ([-force / low, 0, force / low], [-force, 0, force]),
        ([-force / high, 0, force / high], [-force, 0, force]),
    )


class Curve(Axes):
    """Curves in their band, and single values. `ends` are x values to be marked by thick ticks, as the ends of a secant;
    `marks` are places with a letter."""

    def __init__(
        self, kit: Kit, width: float, height: float, x: Scale, y: Scale, series: Sequence[Series],
        bands: Sequence[Band] = (), ends: Sequence[float] = (), marks: Sequence[Mark] = (),
        points: Points | None = None,
    ) -> None:  # fmt: skip
        super().__init__(kit, width, height, x, y)
        self.series, self.bands, self.ends, self.marks = list(series), list(bands), list(ends), list(marks)
        self.single = points

    def draw(self) -> None:
        self.taken = []
        for band in self.bands:
            lower, upper = self.points(*band.lower), self.points(*band.upper)
            area(self.canv, [np.concatenate([lower, upper[::-1]])], BAND)
        self.frame()
        for band in self.bands:
            for xs, ys in (band.lower, band.upper):
                self.line(xs, ys, 0.5, (4, 2), QUIET)
        for series in self.series:
            if series.reference:
                self.line(series.x, series.y, 1.7, (0.1, 2.9), cap=1)
        for series in self.series:
            if series.fit:
                self.line(series.x, series.y, 0.9)
            elif not series.reference and not series.predicted:
                self._variant(series)
        for series in self.series:
            if series.predicted:
                self.line(series.x, series.y, 1.0, (7, 2.6))
        self._points()
        self._ends()
        self._labels()
        self._marks()

    def _marks(self) -> None:
        """Letters in circles; one that would cover another stands to its left, with a line to its place."""
        taken: list[tuple[float, float]] = []
        for mark in self.marks:
            (at, y), = self.points([mark.x], [mark.y])
            x = at
            while any(math.hypot(x - other, y - level) < APART for other, level in taken):
                x -= APART
            taken.append((x, y))
            self.canv.setFillColor(PAPER)
            pen(self.canv, 0.9)
            if x != at:
                self.canv.line(x, y, at, y)
            self.canv.circle(x, y, 4.6, fill=1, stroke=1)
            write(self.canv, x, y - 2.4, mark.letter, BOLD, 7.0, INK, "c")

    def _points(self) -> None:
        if self.single is None:
            return
        if self.single.joined:
            self.line(self.single.x, self.single.y, 0.35, colour=QUIET)
        for (x, y), sign in zip(self.points(self.single.x, self.single.y), self.single.signs, strict=True):
            pen(self.canv, 0.8)
            if sign == "o":
                ring(self.canv, x, y, 1.9)
                continue
            for x0, y0, x1, y1 in SIGNS[sign]:
                self.canv.line(x + x0, y + y0, x + x1, y + y1)

    def _variant(self, series: Series) -> None:
        self.line(series.x, series.y, 0.6)
        every = max(1, len(series.x) // RINGS)
        self.rings(series.x[::every], series.y[::every])

    def _ends(self) -> None:
        for x in self.ends:
            pen(self.canv, 1.1)
            self.canv.line(self.x(x), self.BOTTOM - 3, self.x(x), self.BOTTOM + 4)

    def _labels(self) -> None:
        curves = [self.points(series.x, series.y) for series in self.series]
        edges = [self.points(*edge) for band in self.bands for edge in (band.lower, band.upper)]
        single = [self.points(self.single.x, self.single.y)] if self.single else []
        drawn = [*(_dense(line) for line in curves + edges), *single]
        obstacles = np.concatenate(drawn) if drawn else np.zeros((0, 2))
        for series, line in zip(self.series, curves, strict=True):
            if series.label:
                self.label(series.label, _dense(line), obstacles)
        for band in self.bands:
            if band.label:
                both = [_dense(self.points(*edge)) for edge in (band.upper, band.lower)]
                self.label(band.label, np.concatenate(both), obstacles)


def _dense(line: np.ndarray, step: float = 3.0) -> np.ndarray:
    """Places along a line about `step` apart."""
    length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    if length[-1] == 0:
        return line[:1]
    at = np.linspace(0, length[-1], max(2, int(length[-1] / step)))
    return np.column_stack([np.interp(at, length, line[:, 0]), np.interp(at, length, line[:, 1])])


class Gap(Axes):
    """The difference of two curves on an axis of its own: here close curves can be told apart."""

    def __init__(self, kit: Kit, width: float, height: float, x: Scale, y: Scale, difference: Series) -> None:
        super().__init__(kit, width, height, x, y)
        self.difference = difference

    def draw(self) -> None:
        self.taken = []
        self.frame()
        series = self.difference
        self.line(series.x, series.y, 0.8)
        every = max(1, len(series.x) // 8)
        self.rings(series.x[::every], series.y[::every], 1.5)
        if series.label:
            line = _dense(self.points(series.x, series.y))
            self.label(series.label, line, line)


@dataclass(frozen=True)
class ForestRow:
    """One quantity: interval of the ratio, its middle, the decision as a state word and as printed."""

    name: Content
    low: float
    ratio: float
    high: float
    decision: str
    label: str = ""


class Forest(Flowable):
    """Intervals of ratios as dimension lines against two limits drawn as bars, or against a lower one alone."""

    ROW, HEAD, FOOT = 15, 18, 16
    NAME, NUMBERS = 0.22, 158
    RATIO_AT, INTERVAL_AT = 126, 54  # from the right edge

    def __init__(
        self, kit: Kit, rows: Sequence[ForestRow], limits: tuple[float, float | None], *, name: Content = "quantity",
        interval: Content = "interval", axis: Content = "ratio variant / reference", digits: int = 3,
    ) -> None:  # fmt: skip
        super().__init__()
        if limits[1] is not None and limits[0] >= limits[1]:
            raise ValueError(f"limits of the ratio: {limits[0]:g} must be below {limits[1]:g}; exchange them")
        self.kit, self.rows = kit, list(rows)
        self.limits = tuple(limit for limit in limits if limit is not None)
        self.heads, self.axis, self.digits = (name, interval), axis, digits

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self.height = self.HEAD + self.FOOT + self.ROW * max(len(self.rows), 1)
        return self.width, self.height

    def _scale(self) -> Scale:
        ends = [*self.limits, *(v for row in self.rows for v in (row.low, row.high))]
        span = max(ends) - min(ends)
        return Scale(min(ends) - 0.12 * span, max(ends) + 0.12 * span, "ratio", 6)

    def _place(self, value: float, scale: Scale) -> float:
        left, right = self.NAME * self.width + 6, self.width - self.NUMBERS - 6
        return left + (value - scale.low) / (scale.high - scale.low) * (right - left)

    def draw(self) -> None:
        scale = self._scale()
        self._ground(scale)
        for i, row in enumerate(self.rows):
            self._row(row, self.height - self.HEAD - self.ROW * (i + 0.5), scale)

    def _ground(self, scale: Scale) -> None:
        canvas, ends = self.canv, [self._place(limit, scale) for limit in self.limits]
        low, high = ends[0], ends[1] if len(ends) > 1 else self._place(scale.high, scale)
        top, bottom = self.height - self.HEAD + 2, self.FOOT
        canvas.setFillColor(TINT)
        canvas.rect(low, bottom, high - low, top - bottom, fill=1, stroke=0)
        if scale.low < 1 < scale.high:
            pen(canvas, 0.4, RULE)
            canvas.line(self._place(1, scale), bottom, self._place(1, scale), top)
        for x in ends:
            pen(canvas, 1.4)
            canvas.line(x, bottom - 2, x, top)
        rule(canvas, 0, self.width, self.height - 11, 0.7)
        head = self.height - 8
        for x, align, words in (
            (0, "l", self.heads[0]), (self.width - self.RATIO_AT, "r", "ratio"),
            (self.width - self.INTERVAL_AT, "r", self.heads[1]),
            (self.width, "r", "decision"),
        ):  # fmt: skip
            write(
                canvas, x, head, words, BOOK, NUMBER_SIZE, QUIET, align, 90 if x else self.NAME * self.width
            )
        aligns = ("c", "c") if high - low > 26 else ("r", "l")
        for shown, x, align in zip(scale.show_all(self.limits), ends, aligns, strict=False):
            write(canvas, x, 5, shown, BOLD, NUMBER_SIZE, INK, align)
        for tick in scale.ticks:
            x = self._place(tick, scale)
            if min(abs(x - low), abs(x - high)) > 24:
                write(canvas, x, 5, scale.show(tick), BOOK, NUMBER_SIZE, QUIET, "c")
        write(canvas, 0, 5, self.axis, BOOK, NUMBER_SIZE, QUIET, room=self.NAME * self.width)

    def _row(self, row: ForestRow, y: float, scale: Scale) -> None:
        canvas = self.canv
        write(canvas, 0, y - 2.6, row.name, BOOK, 7.4, INK, room=self.NAME * self.width)
        low, middle, high = (self._place(v, scale) for v in (row.low, row.ratio, row.high))
        dimension_line(canvas, (low, y), (high, y), weight=0.5, head=5.5)
        ring(canvas, middle, y, 2.1, 0.7)
        numbers = [minus(f"{v:.{self.digits}f}") for v in (row.low, row.ratio, row.high)]
        write(canvas, self.width - self.RATIO_AT, y - 2.6, numbers[1], BOOK, 7.4, INK, "r")
        write(
            canvas,
            self.width - self.INTERVAL_AT,
            y - 2.6,
            f"{numbers[0]} .. {numbers[2]}",
            BOOK,
            7.4,
            INK,
            "r",
        )
        glyph, colour = STATES[row.decision]
        shown = state(row.decision, row.label or None)
        face = BOOK if row.decision == "met" else BOLD
        write(canvas, self.width, y - 2.6, shown, face, 7.4, HexColor(colour), "r", 52)
