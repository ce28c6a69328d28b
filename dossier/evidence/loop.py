"""One closed loop of load over travel: area, intercepts, storage and loss stiffness."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError


@dataclass(frozen=True)
class Loop:
    """A loop: area (load·travel), amplitudes, load at the largest travel, half width at zero load and half
    height at zero travel (all about the loop's centre).

    storage = load at largest travel / travel amplitude, loss = area/(π·travel amplitude²), magnitude = load
    amplitude / travel amplitude, loss factor = loss / storage. Exact for an ellipse; for another loop they
    describe the ellipse of equal area. Source: definitions of ISO 4664-1, following the standard, not checked
    against its text.
    """

    area: float
    load_amplitude: float
    travel_amplitude: float
    load_at_largest_travel: float
    half_width: float
    half_height: float

    @property
    def storage(self) -> float:
        """Load in phase per travel."""
        return self.load_at_largest_travel / self.travel_amplitude

    @property
    def loss(self) -> float:
        """Load in quadrature per travel."""
        return self.area / (math.pi * self.travel_amplitude**2)

    @property
    def magnitude(self) -> float:
        """Load amplitude per travel amplitude."""
        return self.load_amplitude / self.travel_amplitude

    @property
    def loss_factor(self) -> float:
        """tan δ."""
        return self.loss / self.storage


def loop_area(travel: np.ndarray, load: np.ndarray) -> float:
    """Area inside the loop with points travel (n,), load (n,), closed by a straight line from last to first
    point; positive for a part that takes up energy (load leads travel)."""
    ahead_travel, ahead_load = np.roll(travel, -1), np.roll(load, -1)
    return float(np.sum((load + ahead_load) * (ahead_travel - travel)) / 2)


def describe_loop(travel: np.ndarray, load: np.ndarray) -> Loop:
    """The quantities of one closed loop, travel (n,), load (n,) in order of time, at least 8 points.

    Raises EvaluationError for fewer points or a loop that does not cross its centre lines.
    """
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    if len(travel) < 8:
        raise EvaluationError(f"{len(travel)} points in the loop; at least 8 are needed: sample faster")
    travel = travel - (travel.max() + travel.min()) / 2
    load = load - (load.max() + load.min()) / 2
    widths = crossings(load, travel)
    heights = crossings(travel, load)
    return Loop(
        area=loop_area(travel, load),
        load_amplitude=float(load.max()),
        travel_amplitude=float(travel.max()),
        load_at_largest_travel=float((load[travel.argmax()] - load[travel.argmin()]) / 2),
        half_width=float(widths.max() - widths.min()) / 2,
        half_height=float(heights.max() - heights.min()) / 2,
    )


def crossings(values: np.ndarray, other: np.ndarray) -> np.ndarray:
    """`other` (n,) where the closed sequence `values` (n,) passes zero, by straight lines between the
    points."""
    ahead, other_ahead = np.roll(values, -1), np.roll(other, -1)
    passing = np.flatnonzero((values < 0) != (ahead < 0))
    if len(passing) < 2:
        raise EvaluationError(
            "the loop does not cross its centre line twice; choose the rows of one full cycle"
        )
    share = values[passing] / (values[passing] - ahead[passing])
    return other[passing] + share * (other_ahead[passing] - other[passing])
