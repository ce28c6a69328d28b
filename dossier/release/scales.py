"""Axes of plots of single values: logarithms with the numbers they stand for, Weibull paper, and ends without zero."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from dossier.evidence.plot_scales import ScaleKind, ticks_of
from dossier.release.axes import Scale
from dossier.release.text import minus

_WHITE, _LEAST_SPAN = 0.03, 0.02


@dataclass(frozen=True)
class Marked(Scale):
    """A scale with its own ticks and their printed words; the other axis stands at its low end."""

    marked: tuple[tuple[float, str], ...] = field(default=())

    @property
    def cross(self) -> float:
        """The low end."""
        return self.low

    @property
    def ticks(self) -> list[float]:
        """The own ticks."""
        return [value for value, _ in self.marked]

    def show(self, value: float) -> str:
        """The words of a tick."""
        return dict(self.marked)[value]


def scale_around(kind: ScaleKind, values: Sequence[float] | np.ndarray, name: str, *, zero: bool = True) -> Scale:
    """A scale of a kind around all finite places, with a little white."""
    known = np.asarray(values, float)
    known = known[np.isfinite(known)]
    if kind == "linear":
        found = Scale.around(known, name, zero=zero)
        return found if zero else Marked(found.low, found.high, name, marked=tuple((t, found.show(t)) for t in found.ticks))
    low, high = float(known.min()), float(known.max())
    white = _WHITE * max(high - low, _LEAST_SPAN)
    low, high = low - white, high + white
    return Marked(low, high, name, marked=tuple((at, minus(words)) for at, words in ticks_of(kind, low, high)))
