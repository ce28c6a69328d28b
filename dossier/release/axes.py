"""Axes of the charts: the zero cross and light rules, no closed box; numbers outside, the unit once at the end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from reportlab.lib.colors import Color
from reportlab.platypus import Flowable

from dossier.release.kit import Kit
from dossier.release.page import CHART, HAIR, INK, LEADER, QUIET
from dossier.release.pen import Point, pen, plate, polyline, ring, rule, simplify, write
from dossier.release.text import minus, plain
from dossier.release.typefaces import BOOK, cut, width

NUMBER_SIZE, LABEL_SIZE, TICK = 6.7, 6.9, 2.4
TOLERANCE = 0.04
STEPS = (1.0, 2.0, 5.0, 10.0)


@dataclass(frozen=True)
class Scale:
    """Ends of an axis and its name with unit; ticks at steps of 1, 2 or 5, about `count` of them."""

    low: float
    high: float
    name: str
    count: int = 5

    def __post_init__(self) -> None:
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low < self.high):
            raise ValueError(
                f'axis "{self.name}": low = {self.low:g} must be below high = {self.high:g}; give two finite ends'
            )

    @property
    def step(self) -> float:
        """Distance of the ticks."""
        raw = (self.high - self.low) / self.count
        power = 10.0 ** math.floor(math.log10(raw))
        return power * next((s for s in STEPS if s * power >= 0.9 * raw), STEPS[-1])

    @property
    def cross(self) -> float:
        """Where the other axis crosses: at zero, or at the end nearest to it."""
        return min(max(0.0, self.low), self.high)

    @property
    def ticks(self) -> list[float]:
        """Values of the ticks."""
        first, last = math.ceil(self.low / self.step - 1e-9), math.floor(self.high / self.step + 1e-9)
        return [round(i * self.step, 12) + 0.0 for i in range(first, last + 1)]

    def show(self, value: float) -> str:
        """A tick's number, with as many decimals as the step needs."""
        return minus(f"{value:.{self._decimals}f}") if value else "0"

    def show_all(self, values: Sequence[float]) -> list[str]:
        """Numbers between the ticks with equal decimals: as many as each needs, and at least those of the ticks."""
        own = [len(f"{value:.4g}".partition(".")[2]) for value in values if abs(value) >= 1e-4]
        return [minus(f"{value:.{max([*own, self._decimals])}f}") for value in values]

    @property
    def _decimals(self) -> int:
        return max(0, -math.floor(math.log10(self.step) + 1e-9))

    @classmethod
    def around(
        cls, values: Sequence[float] | np.ndarray, name: str, count: int = 5, *, zero: bool = True
    ) -> Scale:
        """Ends that hold all values (and zero) with a little white; at least one finite value is needed."""
        finite = [float(v) for v in values if math.isfinite(v)]
        if not finite:
            raise ValueError(f'axis "{name}": no finite value to show; give at least one')
        low, high = min(finite), max(finite)
        if zero:
            low, high = min(low, 0.0), max(high, 0.0)
        if low == high:
            half = abs(high) / 2 or 1.0
            low, high = low - half, high + half
        white = 0.06 * (high - low)
        below = white if low < 0 or not zero else 0
        above = white if high > 0 or not zero else 0
        return cls(low - below, high + above, name, count)


class Axes(Flowable):
    """A plane with two scales; classes for curves draw on it."""

    LEFT, BOTTOM, TOP, RIGHT = 27, 22, 13, 4

    def __init__(self, kit: Kit, width: float, height: float, x: Scale, y: Scale) -> None:
        super().__init__()
        self.kit, self.width, self.height, self.x_scale, self.y_scale = kit, width, height, x, y
        self.taken: list[tuple[float, float, float, float]] = []

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return self.width, self.height

    def x(self, value: float) -> float:
        """Place of a value along x."""
        span = self.x_scale.high - self.x_scale.low
        return self.LEFT + (value - self.x_scale.low) / span * (self.width - self.LEFT - self.RIGHT)

    def y(self, value: float) -> float:
        """Place of a value along y."""
        span = self.y_scale.high - self.y_scale.low
        return self.BOTTOM + (value - self.y_scale.low) / span * (self.height - self.BOTTOM - self.TOP)

    def points(self, xs: Sequence[float] | np.ndarray, ys: Sequence[float] | np.ndarray) -> np.ndarray:
        """Places of a curve's points, shape (n, 2)."""
        return np.column_stack([self.x(np.asarray(xs, dtype=float)), self.y(np.asarray(ys, dtype=float))])

    def frame(self) -> None:
        """Rules at the ticks of y, the cross at zero (or at the low end), ticks across it, numbers, names."""
        canvas, right, top = self.canv, self.width - self.RIGHT, self.height - self.TOP
        for value in self.y_scale.ticks:
            rule(canvas, self.LEFT, right, self.y(value), 0.3, HAIR)
            write(
                canvas,
                self.LEFT - 5,
                self.y(value) - 2.3,
                self.y_scale.show(value),
                BOOK,
                NUMBER_SIZE,
                QUIET,
                "r",
            )
        cross_x, cross_y = self.x(self.x_scale.cross), self.y(self.y_scale.cross)
        pen(canvas, CHART, INK)
        canvas.line(self.LEFT - 3, cross_y, right, cross_y)
        canvas.line(cross_x, self.BOTTOM - 3, cross_x, top)
        for value in self.x_scale.ticks:
            canvas.line(self.x(value), cross_y - TICK, self.x(value), cross_y + TICK)
            write(
                canvas,
                self.x(value),
                self.BOTTOM - 10,
                self.x_scale.show(value),
                BOOK,
                NUMBER_SIZE,
                QUIET,
                "c",
            )
        for value in self.y_scale.ticks:
            canvas.line(cross_x - TICK, self.y(value), cross_x + TICK, self.y(value))
        room = self.width - self.LEFT
        write(canvas, right, self.BOTTOM - 19.5, self.x_scale.name, BOOK, NUMBER_SIZE, INK, "r", room)
        write(canvas, 0, self.height - 7, self.y_scale.name, BOOK, NUMBER_SIZE, INK, room=self.width)

    def line(
        self, xs: Sequence[float] | np.ndarray, ys: Sequence[float] | np.ndarray, weight: float = 0.8,
        dash: Sequence[float] | None = None, colour: Color = INK, cap: int = 0,
    ) -> None:  # fmt: skip
        """A curve with as few points as show it."""
        polyline(self.canv, simplify(self.points(xs, ys), TOLERANCE), weight, colour, dash, cap)

    def rings(
        self, xs: Sequence[float] | np.ndarray, ys: Sequence[float] | np.ndarray, radius: float = 1.7
    ) -> None:
        """Small rings at points of a curve."""
        for x, y in self.points(xs, ys):
            ring(self.canv, x, y, radius)

    def label(self, value: str, curve: np.ndarray, obstacles: np.ndarray, *, font: str = BOOK) -> None:
        """Name a curve directly: on a white plate near it, where fewest drawn points and no label stand.

        `curve` and `obstacles` are places of shape (n, 2). A leader joins label and curve where they are apart.
        """
        line = cut(plain(value, font), font, LABEL_SIZE, (self.width - self.LEFT) * 0.8)
        size = width(line, font, LABEL_SIZE), LABEL_SIZE
        anchor, box = self._free_place(size, curve, obstacles)
        near = (min(max(anchor[0], box[0]), box[2]), min(max(anchor[1], box[1]), box[3]))
        if math.dist(near, anchor) > 5:
            pen(self.canv, LEADER)
            self.canv.line(*near, *anchor)
        plate(self.canv, box, 1)
        write(self.canv, box[0], box[1] + 1.3, line, font, LABEL_SIZE)
        self.taken.append(box)

    def _free_place(
        self, size: tuple[float, float], curve: np.ndarray, obstacles: np.ndarray
    ) -> tuple[Point, tuple[float, float, float, float]]:
        best, chosen = math.inf, None
        spread = curve[np.unique(np.linspace(0, len(curve) - 1, 60).astype(int))]
        right, top = self.width - self.RIGHT, self.height - self.TOP
        anchors = [(float(x), float(y)) for x, y in spread if self.LEFT <= x <= right and self.BOTTOM <= y <= top]
        for reach in (4, 9, 15, 24, 36, 52):
            if best <= reach / 4:
                break
            for ax, ay in anchors:
                for dx, dy in ((1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1), (0, 1), (0, -1)):
                    box = self._box_beside(ax, ay, reach * dx, reach * dy, size)
                    cost = reach / 4 + self._cost(box, obstacles)
                    if cost < best:
                        best, chosen = cost, ((ax, ay), box)
        if chosen is None:
            x, y = self.LEFT + 4, self.height - self.TOP - size[1]
            chosen = ((x, y), (x, y, x + size[0], y + size[1]))
        return chosen

    @staticmethod
    def _box_beside(
        x: float, y: float, dx: float, dy: float, size: tuple[float, float]
    ) -> tuple[float, float, float, float]:
        left = x + dx if dx > 0 else x + dx - size[0] if dx < 0 else x - size[0] / 2
        low = y + dy if dy > 0 else y + dy - size[1] if dy < 0 else y - size[1] / 2
        return left, low, left + size[0], low + size[1]

    def _cost(self, box: tuple[float, float, float, float], obstacles: np.ndarray) -> float:
        x0, y0, x1, y1 = box
        if x0 < self.LEFT + 1 or x1 > self.width or y0 < self.BOTTOM + 1 or y1 > self.height - self.TOP + 4:
            return 1e6
        for a0, b0, a1, b1 in self.taken:
            if x0 < a1 + 3 and a0 < x1 + 3 and y0 < b1 + 2 and b0 < y1 + 2:
                return 1e5
        hit = (obstacles[:, 0] > x0 - 4) & (obstacles[:, 0] < x1 + 4)
        hit &= (obstacles[:, 1] > y0 - 4) & (obstacles[:, 1] < y1 + 4)
        axis_x, axis_y = self.x(self.x_scale.cross), self.y(self.y_scale.cross)
        crosses = (x0 - TICK < axis_x < x1 + TICK) + (y0 - TICK < axis_y < y1 + TICK)
        return 4.0 * int(hit.sum()) + 200.0 * crosses
