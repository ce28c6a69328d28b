"""Charts of cost and effect: the way from one sum to another, break-even, ranges around zero."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from dossier.release.axes import NUMBER_SIZE, Axes, Scale
from dossier.release.kit import Kit
from dossier.release.page import HAIR, INK, PAPER, QUIET, RULE
from dossier.release.pen import area, hatch, path_of, pen, ring, rule, write
from dossier.release.text import Content, minus, signed
from dossier.release.typefaces import BOLD, BOOK

TOTAL = HexColor("#C9D2D6")


class Waterfall(Flowable):
    """From one total to another by steps: hatched dearer, solid cheaper, grey totals.

    Feet of totals are broken off where the axis does not start at zero. Raises ValueError if the steps do not
    add up to the end within half of the last printed digit.
    """

    HEAD, LABEL_LINES, LINE = 14, 3, 8
    WHITE = 0.35  # of the span of the steps: bar shown below the lowest step

    def __init__(
        self, kit: Kit, start: float, steps: Sequence[tuple[Content, float]], end: float, *,
        names: tuple[Content, Content] = ("reference", "variant"), digits: int = 2, height: float = 150,
    ) -> None:  # fmt: skip
        super().__init__()
        total = start + sum(change for _, change in steps)
        if abs(total - end) > 0.5 * 10.0**-digits:
            raise ValueError(
                f"waterfall: {start:g} and the steps give {total:g}, not end = {end:g}; add the missing step"
            )
        self.kit, self.start, self.steps, self.end = kit, start, list(steps), end
        self.names, self.digits, self.height = names, digits, height

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        column = self.width / (len(self.steps) + 2)
        words = [self.names[0], *(name for name, _ in self.steps), self.names[1]]
        self.labels = [
            self.kit.clipped(
                word, "sublabel", column - 1.5, self.LABEL_LINES, align="c", leading=self.LINE, fontSize=6.5
            )[0]
            for word in words
        ]
        return self.width, self.height

    @property
    def _foot(self) -> float:
        return self.LABEL_LINES * self.LINE + 4

    def _levels(self) -> list[float]:
        return [self.start, *(self.start + float(s) for s in np.cumsum([c for _, c in self.steps]))]

    def _base(self) -> tuple[float, float, bool]:
        """Lowest and highest value shown, and whether the axis is cut below."""
        levels = self._levels()
        low, high = min(levels), max(levels)
        span = (high - low) or abs(high) or 1.0
        if low - self.WHITE * span > 0:
            return low - self.WHITE * span, high, True
        return min(low, 0.0), max(high, 0.0), False

    def draw(self) -> None:
        base, high, cut = self._base()
        scale = (self.height - self._foot - self.HEAD) / ((high - base) or 1.0)
        levels, column = self._levels(), self.width / (len(self.steps) + 2)

        def y(value: float) -> float:
            return self._foot + (value - base) * scale

        zero = self._foot if cut else y(0)
        bars = [(zero, y(levels[0]), "total", levels[0])]
        bars += [
            (y(a), y(b), "up" if b > a else "down", b - a) for a, b in zip(levels, levels[1:], strict=False)
        ]
        bars.append((zero, y(self.end), "total", self.end))
        for i, (y0, y1, kind, value) in enumerate(bars):
            x = i * column + 0.2 * column
            self._bar(x, 0.6 * column, *sorted((y0, y1)), kind, broken=cut)
            self._number(x + 0.3 * column, max(y0, y1) + 3.4, kind, value)
            self.labels[i].drawOn(self.canv, i * column + 0.75, self._foot - 3 - self.labels[i].height)
            if i + 1 < len(bars):
                rule(self.canv, x + 0.6 * column, x + column, y1, 0.35, RULE)
        rule(self.canv, 0, self.width, zero, 0.7)

    def _number(self, x: float, y: float, kind: str, value: float) -> None:
        shown = minus(f"{value:.{self.digits}f}") if kind == "total" else signed(value, self.digits)
        size = 7.4 if len(self.steps) < 14 else 6.2
        write(self.canv, x, y, shown, BOLD if kind == "total" else BOOK, size, INK, "c")

    def _bar(self, x: float, width: float, low: float, high: float, kind: str, *, broken: bool) -> None:
        canvas = self.canv
        outline = [[(x, low), (x + width, low), (x + width, high), (x, high)]]
        area(canvas, outline, {"total": TOTAL, "up": PAPER, "down": INK}[kind])
        if kind == "up":
            hatch(canvas, outline, 45, 2.6)
        pen(canvas, 0.7)
        canvas.drawPath(path_of(canvas, outline))
        if kind == "total" and broken:
            x0, x1, y = x - 3, x + width + 3, low + 7
            area(canvas, [[(x0, y), (x1, y + 4), (x1, y + 7), (x0, y + 3)]], PAPER)
            pen(canvas, 0.5)
            canvas.line(x0, y, x1, y + 4)
            canvas.line(x0, y + 3, x1, y + 7)


@dataclass(frozen=True)
class SavingLine:
    """Savings over pieces: `start` (negative: money spent before) plus `slope` per piece.

    `crossing` names the place where it passes zero, if it does so inside the chart.
    """

    label: str
    start: float
    slope: float
    dash: tuple[float, float] | None = None
    crossing: str = ""


class BreakEven(Axes):
    """Sums of savings over the number of pieces; rings where they reach zero."""

    def __init__(
        self, kit: Kit, width: float, height: float, x: Scale, y: Scale, lines: Sequence[SavingLine]
    ) -> None:
        super().__init__(kit, width, height, x, y)
        self.lines = list(lines)

    def draw(self) -> None:
        self.taken = []
        self.frame()
        drawn = [(line, *self._clipped(line)) for line in self.lines]
        for line, xs, ys in drawn:
            if len(xs):
                self.line(xs, ys, 1, line.dash)
        obstacles = [self.points(xs, ys) for _, xs, ys in drawn if len(xs)]
        places = np.concatenate(obstacles) if obstacles else np.zeros((0, 2))
        for line, xs, ys in drawn:
            self._crossing(line, places)
            if len(xs) and line.label:
                self.label(line.label, self.points(xs, ys)[len(xs) // 2 :], places)

    def _clipped(self, line: SavingLine) -> tuple[np.ndarray, np.ndarray]:
        xs = np.linspace(max(0.0, self.x_scale.low), self.x_scale.high, 120)
        ys = line.start + line.slope * xs
        shown = (ys >= self.y_scale.low) & (ys <= self.y_scale.high)
        return xs[shown], ys[shown]

    def _crossing(self, line: SavingLine, places: np.ndarray) -> None:
        if not line.slope:
            return
        at = -line.start / line.slope
        if not self.x_scale.low < at <= self.x_scale.high or at <= 0:
            return
        spot = self.points([at], [0.0])
        ring(self.canv, *spot[0], 2.4)
        if line.crossing:
            self.label(line.crossing, spot, places, font=BOLD)


@dataclass(frozen=True)
class RangeRow:
    """Part of a sum from low over mid to high; the sum itself is drawn heavier."""

    name: Content
    low: float
    mid: float
    high: float
    total: bool = False

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low + self.mid + self.high) and self.low <= self.mid <= self.high):
            raise ValueError(
                f'range "{self.name}": low = {self.low:g}, mid = {self.mid:g}, high = {self.high:g} '
                "must be finite and rise; put them in order"
            )


class Range(Flowable):
    """Ranges of the parts of a sum, zero drawn heavily; the axis is labelled once with its unit."""

    ROW, FOOT, NAME = 14, 15, 0.26

    def __init__(self, kit: Kit, rows: Sequence[RangeRow], unit: str, *, width: float | None = None) -> None:
        super().__init__()
        self.kit, self.rows, self.unit, self.given = kit, list(rows), unit, width

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = self.given or available_width
        self.height = self.ROW * max(len(self.rows), 1) + self.FOOT + 2
        return self.width, self.height

    def draw(self) -> None:
        canvas = self.canv
        values = [v for row in self.rows for v in (row.low, row.high)] or [0.0]
        scale = Scale.around(values, self.unit, 7)
        left = self.NAME * self.width

        def x(value: float) -> float:
            return left + (value - scale.low) / (scale.high - scale.low) * (self.width - left - 8)

        for tick in scale.ticks:
            pen(canvas, 0.3, HAIR)
            canvas.line(x(tick), self.FOOT - 2, x(tick), self.height)
            shown = scale.show(tick)
            write(canvas, x(tick), 5, shown if tick <= 0 else f"+{shown}", BOOK, NUMBER_SIZE, QUIET, "c")
        write(canvas, 0, 5, self.unit, BOOK, NUMBER_SIZE, QUIET, room=left - 16)
        pen(canvas, 0.9)
        canvas.line(x(0), self.FOOT - 3, x(0), self.height)
        for i, row in enumerate(self.rows):
            y = self.height - self.ROW * (i + 0.5) - 1
            write(canvas, 0, y - 2.4, row.name, BOLD if row.total else BOOK, 7.2, INK, room=left - 6)
            pen(canvas, 3.4 if row.total else 2, INK if row.total else RULE)
            canvas.line(x(row.low), y, x(row.high), y)
            ring(canvas, x(row.mid), y, 2)
