"""Curves against each other and against a tolerance band; curves thinned for drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError

FLOOR = 0.1
_STATIONS = 200


@dataclass(frozen=True)
class Band:
    """The loads (n,) that stiffness limits allow at travels (n,): two straight lines through the origin."""

    travel: np.ndarray
    low: np.ndarray
    high: np.ndarray

    def outside(self, load: np.ndarray) -> np.ndarray:
        """Whether each load (n,) lies outside the band at its travel."""
        return (load < self.low) | (load > self.high)


@dataclass(frozen=True)
class Deviation:
    """Largest deviation of a curve from a reference: relative (signed, of the reference's load), its place in
    travel, the two loads there, and the part of the travel that was compared. Loads below `floor` of the
    reference's largest are left out, because a relative deviation means nothing there."""

    relative: float
    travel: float
    load: float
    reference_load: float
    compared_from: float
    compared_to: float
    floor: float


def tolerance_band(travel: np.ndarray, low_stiffness: float, high_stiffness: float) -> Band:
    """The band between the stiffness limits (load per travel) at the travels (n,), for both signs of
    travel."""
    if not 0 < low_stiffness <= high_stiffness:
        raise EvaluationError(
            f"low_stiffness = {low_stiffness:g} must be above 0 and not exceed high_stiffness = {high_stiffness:g}"
        )
    travel = np.asarray(travel, float)
    soft, stiff = low_stiffness * travel, high_stiffness * travel
    return Band(travel, np.minimum(soft, stiff), np.maximum(soft, stiff))


def largest_deviation(
    travel: np.ndarray,
    load: np.ndarray,
    reference_travel: np.ndarray,
    reference_load: np.ndarray,
    floor: float = FLOOR,
) -> Deviation:
    """Where a branch (travel (n,), load (n,)) deviates most from a reference branch (m,), relative to its
    load.

    Both are averaged into 200 equal stations of the travel they share, which evens out noise. Raises
    EvaluationError if they share too little.
    """
    start = max(float(np.min(travel)), float(np.min(reference_travel)))
    end = min(float(np.max(travel)), float(np.max(reference_travel)))
    if not end > start:
        raise EvaluationError(
            f"the curves share no travel ({np.min(travel):g} to {np.max(travel):g} and {np.min(reference_travel):g} to "
            f"{np.max(reference_travel):g}); compare branches of the same range"
        )
    edges = np.linspace(start, end, _STATIONS + 1)
    middles = (edges[:-1] + edges[1:]) / 2
    ours, theirs = _averaged(travel, load, edges), _averaged(reference_travel, reference_load, edges)
    counts = np.isfinite(ours) & np.isfinite(theirs) & (np.abs(theirs) >= floor * np.nanmax(np.abs(theirs)))
    if not counts.any():
        raise EvaluationError(
            f"no load of the reference above {floor:.0%} of its largest is shared; compare more travel"
        )
    relative = np.where(counts, ours / np.where(counts, theirs, 1.0) - 1.0, 0.0)
    place = int(np.abs(relative).argmax())
    return Deviation(
        float(relative[place]),
        float(middles[place]),
        float(ours[place]),
        float(theirs[place]),
        start,
        end,
        floor,
    )


def deviation_of_means(
    variant: Sequence[tuple[np.ndarray, np.ndarray]],
    reference: Sequence[tuple[np.ndarray, np.ndarray]],
    floor: float = FLOOR,
) -> Deviation:
    """Where the mean curve of the variant deviates most from that of the reference, from the branches (travel (n,),
    load (n,)) of their specimens.

    The mean is taken at equal travel over what all branches of both groups share. Raises EvaluationError as
    `largest_deviation`, and for an empty group.
    """
    if not variant or not reference:
        raise EvaluationError(f"{len(variant)} and {len(reference)} branches; each group needs one at least")
    start = max(float(np.min(travel)) for travel, _ in (*variant, *reference))
    end = min(float(np.max(travel)) for travel, _ in (*variant, *reference))
    if not end > start:
        raise EvaluationError("the curves share no travel; compare branches of the same range")
    edges = np.linspace(start, end, _STATIONS + 1)
    middles = (edges[:-1] + edges[1:]) / 2
    means = [np.mean([_averaged(travel, load, edges) for travel, load in group], axis=0) for group in (variant, reference)]
    return largest_deviation(middles, means[0], middles, means[1], floor)


def _averaged(travel: np.ndarray, load: np.ndarray, edges: np.ndarray) -> np.ndarray:
    """Load at the middle of each station: the mean of the points in it moved along the local slope; stations
    without points are interpolated."""
    order = np.argsort(travel, kind="stable")
    travel, load = np.asarray(travel, float)[order], np.asarray(load, float)[order]
    station = np.clip(np.searchsorted(edges, travel, side="right") - 1, 0, len(edges) - 2)
    inside = (travel >= edges[0]) & (travel <= edges[-1])
    count = np.bincount(station[inside], minlength=len(edges) - 1)
    filled = count > 0
    sums = [np.bincount(station[inside], values[inside], len(edges) - 1)[filled] for values in (travel, load)]
    places, loads = sums[0] / count[filled], sums[1] / count[filled]
    middles = (edges[:-1] + edges[1:]) / 2
    return np.interp(middles, places, loads) if len(places) else np.full(len(middles), np.nan)
