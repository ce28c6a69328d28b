"""Weibull paper: failures, line and bounds, and at its foot the specimens that were stopped without failure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from dossier.evidence.weibull_plot import SHARES, WeibullPlot, height
from dossier.release.axes import Axes, Scale
from dossier.release.kit import Kit
from dossier.release.page import BAND, INK, QUIET
from dossier.release.pen import area, pen
from dossier.release.text import minus

_WHITE = 0.03
_REACH = 1.5  # decades beyond the lives to which wide bounds are drawn


@dataclass(frozen=True)
class Marked(Scale):
    """A scale with its own ticks and their printed words."""

    marked: tuple[tuple[float, str], ...] = field(default=())

    @property
    def ticks(self) -> list[float]:
        """The own ticks."""
        return [value for value, _ in self.marked]

    def show(self, value: float) -> str:
        """The words of a tick."""
        return dict(self.marked)[value]


def decades(values: Sequence[float] | np.ndarray, name: str) -> Scale:
    """A scale of lg(life) with ticks at 1, 2 and 5 times powers of ten; only the powers where there are many."""
    low, high = float(np.min(values)), float(np.max(values))
    white = _WHITE * max(high - low, 0.3)
    low, high = low - white, high + white
    steps = (1, 2, 5) if high - low < 2.5 else (1,)
    every = max(1, math.ceil((high - low) / 8)) if steps == (1,) else 1
    powers = [p for p in range(math.floor(low), math.ceil(high) + 1) if p % every == 0]
    ticks = [(p + math.log10(s), _power(s, p)) for p in powers for s in steps if low <= p + math.log10(s) <= high]
    return Marked(low, high, name, marked=tuple(ticks))


def shares(low: float, high: float, name: str) -> Scale:
    """A scale of heights on Weibull paper with ticks at usual shares, in per cent."""
    ticks = [(height(s), f"{100 * s:.3g}") for s in SHARES if low <= height(s) <= high]
    return Marked(low, high, name, marked=tuple(ticks))


def _power(step: int, power: int) -> str:
    if -2 <= power <= 3:
        return f"{step * 10.0**power:g}"
    return minus(f"{step}e{power}")


class ProbabilityPlot(Axes):
    """The plot of one group; `unit` is that of the lives."""

    def __init__(self, kit: Kit, width: float, height_: float, plot: WeibullPlot, unit: str) -> None:
        lives = np.concatenate((plot.failures[:, 0], plot.censored, plot.line[:, 0]))
        ends = np.clip(plot.bounds[:, 1:], lives.min() - _REACH, lives.max() + _REACH)
        x = decades(np.concatenate((lives, ends.ravel())), f"life, {unit}")
        low, high = (float(end) for end in (plot.line[0, 1], plot.line[-1, 1]))
        super().__init__(kit, width, height_, x, shares(low - 0.25, high + 0.1, "failed, %"))
        self.plot, self.ends = plot, ends

    @staticmethod
    def _cross(scale: Scale) -> float:
        return scale.low

    def draw(self) -> None:
        self.taken = []
        heights = self.plot.bounds[:, 0]
        if len(heights) > 1:
            left, right = self.points(self.ends[:, 0], heights), self.points(self.ends[:, 1], heights)
            area(self.canv, [np.concatenate([left, right[::-1]])], BAND)
        self.frame()
        for side in (0, 1) if len(heights) > 1 else ():
            self.line(self.ends[:, side], heights, 0.5, (4, 2), QUIET)
        self.line(self.plot.line[:, 0], self.plot.line[:, 1], 0.9)
        self.rings(self.plot.failures[:, 0], self.plot.failures[:, 1], 1.9)
        pen(self.canv, 0.8, INK)
        foot = self.BOTTOM + 7
        for value in self.plot.censored:
            at = self.x(float(value))
            self.canv.line(at - 3, foot, at + 3, foot)
            self.canv.line(at + 3, foot, at + 0.8, foot + 1.6)
            self.canv.line(at + 3, foot, at + 0.8, foot - 1.6)
