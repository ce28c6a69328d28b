"""Lives on Weibull paper: failures at their median ranks, the fitted line and its bounds, the stopped specimens."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dossier.evidence.plot_positions import plot_positions
from dossier.evidence.plot_scales import height
from dossier.evidence.weibull import WeibullFit

_POINTS = 25


@dataclass(frozen=True)
class WeibullPlot:
    """All lives as lg(life), all shares as `height` of Weibull paper, ln(ln(1/(1 − share))).

    `failures` (r, 2) and `line` (2, 2) as (lg life, height); `censored` (n − r,) as lg life; `bounds` (m, 3): height, lg
    of the low and the high bound of the life at it, two-sided at `confidence` (infinite ends cut off).
    """

    failures: np.ndarray
    censored: np.ndarray
    line: np.ndarray
    bounds: np.ndarray
    confidence: float


def weibull_plot(fit: WeibullFit, confidence: float = 0.80) -> WeibullPlot:
    """The plot of a fit, from the share 1 % (or the first failure's rank) to 99 %, with two-sided bounds."""
    positions = plot_positions(fit.lives, ~fit.failed)
    low, high = min(0.01, float(positions.shares.min())), max(0.99, float(positions.shares.max()))
    heights = np.linspace(height(low), height(high), _POINTS)
    rows = []
    for at in heights:
        bounds = fit.life_bounds(-math.expm1(-math.exp(at)), confidence)
        if bounds.low > 0 and math.isfinite(bounds.high):
            rows.append((at, math.log10(bounds.low), math.log10(bounds.high)))
    ends = np.array([heights[0], heights[-1]])
    line = np.column_stack((math.log10(fit.scale) + ends / (fit.shape * math.log(10)), ends))
    points = np.column_stack((np.log10(positions.lives), np.log(-np.log1p(-positions.shares))))
    return WeibullPlot(points, np.log10(positions.censored), line, np.array(rows).reshape(-1, 3), confidence)
