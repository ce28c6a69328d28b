"""Where failures stand on a probability plot when some specimens were stopped without failure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.weibull import checked_lives


@dataclass(frozen=True)
class PlotPositions:
    """Failures in rising order: `lives` (r,), adjusted `ranks` (r,), share failed `shares` (r,); lives stopped
    without failure `censored` (n − r,)."""

    lives: np.ndarray
    ranks: np.ndarray
    shares: np.ndarray
    censored: np.ndarray


def plot_positions(lives: np.ndarray, censored: np.ndarray | None = None) -> PlotPositions:
    """Median ranks (i − 0.3)/(n + 0.4) at Johnson's adjusted ranks i of the failures among lives (n,).

    A failure at the same life as a stopped specimen stands before it. Raises EvaluationError as `checked_lives`.
    Source: Bernard's approximation of the median rank, Johnson's rank increments; both from memory.
    """
    values, failed = checked_lives(lives, censored)
    order = np.lexsort((~failed, values))
    values, failed = values[order], failed[order]
    count, rank, ranks = len(values), 0.0, []
    for place in np.flatnonzero(failed):
        rank += (count + 1 - rank) / (1 + count - place)
        ranks.append(rank)
    found = np.array(ranks)
    return PlotPositions(values[failed], found, (found - 0.3) / (count + 0.4), values[~failed])
