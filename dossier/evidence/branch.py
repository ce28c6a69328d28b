"""One branch of a curve: where it passes a load or a travel."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.least_squares import fit_columns
from dossier.evidence.sign_strokes import noise_of_values

WINDOW = 0.02
REACH = 0.01
NOISY, NOISES, WIDEST, STEPS = 0.25, 10.0, 0.12, 4
_FOR_A_FIT = 9


@dataclass(frozen=True)
class Point:
    """A point of a branch: travel, load, standard error of the one that was looked for (None where too few
    rows lie around it to know), number of rows around it, and a note where the branch ended short of the
    level."""

    travel: float
    load: float
    error: float | None
    rows: int
    note: str = ""


@dataclass(frozen=True)
class Branch:
    """travel (n,), load (n,) of one branch; `between` says over which of the two levels are sought ("load" or
    "travel"); `span` is the evaluated range, of which windows are a share."""

    travel: np.ndarray
    load: np.ndarray
    between: str
    span: float

    @property
    def levels(self) -> np.ndarray:
        """The channel in which levels are sought."""
        return self.load if self.between == "load" else self.travel

    def over_load(self) -> Branch:
        """The same branch, levels sought in the load."""
        if self.between == "load":
            return self
        return replace(self, between="load", span=float(np.ptp(self.load)))

    def reaches(self, level: float) -> bool:
        """Whether the branch passes `level` or ends within 1 % of the range before it."""
        short = REACH * self.span
        return bool(self.levels.min() <= level + short and self.levels.max() >= level - short)

    def at(self, level: float, name: str) -> Point:
        """The point at `level` from a parabola through the rows within 2 % of the range around it, or by
        straight interpolation where fewer than nine rows are. Where noise of the levels decides which rows are near, the
        parabola is one of the levels over the other channel, through more rows.

        Raises EvaluationError if the branch `name` does not reach the level.
        """
        levels = self.levels
        if not self.reaches(level):
            raise EvaluationError(
                f"{name} covers {levels.min():.5g} to {levels.max():.5g}, {self.between} {level:.5g} is not reached; "
                "evaluate a smaller range or repeat the test with a larger amplitude"
            )
        reached = float(np.clip(level, levels.min(), levels.max()))
        note = (
            "" if reached == level else f"{name} ends at {self.between} {reached:.5g}, short of {level:.5g}"
        )
        near = np.abs(levels - reached) <= WINDOW * self.span
        if (point := self._in_noise(reached, near, note)) is not None:
            return point
        found = _parabola(levels[near] - reached, self._other[near]) if near.sum() >= _FOR_A_FIT else None
        found = found or (_straight(levels, self._other, reached), None)
        travel, load = (found[0], reached) if self.between == "load" else (reached, found[0])
        return Point(travel, load, found[1], int(near.sum()), note)

    def _in_noise(self, level: float, near: np.ndarray, note: str) -> Point | None:
        """The point at `level` where the levels are noisy; None where they are not or too few rows are around it."""
        levels, other = self.levels, self._other
        noise = noise_of_values(levels) if len(levels) > 2 * _FOR_A_FIT else 0.0
        if noise <= NOISY * WINDOW * self.span or not near.any():
            return None
        width = min(max(NOISES * noise / self.span, WINDOW), WIDEST) * float(np.ptp(other))
        place = float(np.median(other[near]))
        for _ in range(STEPS):
            around = np.abs(other - place) <= width
            if around.sum() < _FOR_A_FIT:
                return None
            try:
                fit = fit_columns(np.vander((other[around] - place) / width, 3, increasing=True), levels[around])
            except EvaluationError:
                return None
            slope = float(fit.coefficients[1]) / width
            if slope == 0:
                return None
            place += float(np.clip((level - fit.coefficients[0]) / slope, -width, width))
        travel, load = (place, level) if self.between == "load" else (level, place)
        return Point(travel, load, float(fit.errors[0]) / abs(slope), int(around.sum()), note)

    @property
    def _other(self) -> np.ndarray:
        return self.travel if self.between == "load" else self.load


def _parabola(x: np.ndarray, y: np.ndarray) -> tuple[float, float] | None:
    """Value and standard error at x = 0 of the least-squares parabola; None if the x are too few different
    ones."""
    scale = float(np.abs(x).max())
    if scale == 0.0 or len(np.unique(x)) < 4:
        return None
    try:
        fit = fit_columns(np.vander(x / scale, 3, increasing=True), y)
    except EvaluationError:
        return None
    return float(fit.coefficients[0]), float(fit.errors[0])


def _straight(levels: np.ndarray, other: np.ndarray, level: float) -> float:
    """`other` where the branch first comes to `level`."""
    rising = levels[-1] >= levels[0]
    beyond = np.flatnonzero(levels >= level if rising else levels <= level)
    place = int(beyond[0]) if beyond.size else len(levels) - 1
    if place == 0 or levels[place] == levels[place - 1]:
        return float(other[place])
    share = (level - levels[place - 1]) / (levels[place] - levels[place - 1])
    return float(other[place - 1] + share * (other[place] - other[place - 1]))
