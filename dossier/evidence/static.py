"""Static stiffness of a joint from a measured curve, and what else the evaluated cycle shows.

Serves force–displacement (N, mm → N/mm) and torque–angle (N·mm, ° → N·mm/rad). The stiffness is the secant of
the loading branch of one cycle between two loads or two travels; the least-squares slope between them stands
beside it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from dossier.evidence.branch import Branch, Point
from dossier.evidence.cycles import BAND, Cycle, choose, ordinal, split_cycles
from dossier.evidence.errors import EvaluationError
from dossier.evidence.line import Line, fit_line
from dossier.evidence.loop import loop_area

_ZERO_ROWS = 5
PER_RADIAN = 180.0 / math.pi


@dataclass(frozen=True)
class StaticSettings:
    """What is evaluated: between the loads (or travels) `low` and `high`, on the loading branch of `cycle`.

    `direction` ±1: in which direction loading counts; `control`: the channel whose turning points make the
    cycles, "load" or "travel"; `fixture_compliance` in mm/N (°/(N·mm) for torque), subtracted from the
    travel; `zero`: "start" subtracts the median of the first five rows from both channels, "loop" the travel at
    the middle of the evaluated loop at zero load, "none" leaves them; `rotational`: torque–angle, angles in °.
    """

    low: float
    high: float
    between: str = "load"
    cycle: int = 4
    direction: int = 1
    control: str = "load"
    fixture_compliance: float = 0.0
    zero: str = "none"
    rotational: bool = False

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise EvaluationError(
                f"low = {self.low:g} must be below high = {self.high:g}; exchange or spread them"
            )
        for name, value, known in (
            ("between", self.between, ("load", "travel")), ("control", self.control, ("load", "travel")),
            ("zero", self.zero, ("none", "start", "loop")), ("direction", self.direction, (1, -1)),
        ):  # fmt: skip
            if value not in known:
                raise EvaluationError(f"{name} = {value!r} must be one of {known}")
        if self.fixture_compliance < 0:
            raise EvaluationError(f"fixture_compliance = {self.fixture_compliance:g} must be 0 or more")


@dataclass(frozen=True)
class StaticEvaluation:
    """Result in stored units: stiffness (secant) and slope (least squares) in N/mm or N·mm/rad with standard
    errors from the scatter of the points (None with fewer than nine rows around an end of the secant);
    stiffness_unloading: the same secant on the way back behind it;
    `low_point` and `high_point` of the secant; `points` between them.

    energy in N·mm of the evaluated cycle; loop_width: travel between the branches at zero load; residual:
    travel at zero load behind the cycle against zero load at the start of the record; asymmetry:
    stiffness_positive (0 → high on the loading branch) over stiffness_negative (0 → low on the other branch).
    None where the curve has no such thing; `notes` say why. `peaks`: control channel at each cycle's upper
    turning point. `branch`: corrected travel (m,) and load (m,) of the evaluated loading branch.
    """

    stiffness: float
    stiffness_error: float | None
    stiffness_unloading: float | None
    slope: float
    slope_error: float
    low_point: Point
    high_point: Point
    points: int
    cycle: int
    peaks: tuple[float, ...]
    energy: float | None
    loop_width: float | None
    residual: float | None
    stiffness_positive: float | None
    stiffness_negative: float | None
    asymmetry: float | None
    notes: tuple[str, ...]
    branch: tuple[np.ndarray, np.ndarray] = field(repr=False, compare=False)

    @property
    def stiffness_mean(self) -> float | None:
        """Mean of the secants of loading and unloading; None where the way back does not pass both ends."""
        return None if self.stiffness_unloading is None else (self.stiffness + self.stiffness_unloading) / 2


def evaluate_static(travel: np.ndarray, load: np.ndarray, settings: StaticSettings) -> StaticEvaluation:
    """Evaluate travel (n,) in mm or ° and load (n,) in N or N·mm.

    Raises EvaluationError when the cycle is missing or its branch does not reach the stated loads.
    """
    travel, load, notes = _corrected(travel, load, settings)
    control = load if settings.control == "load" else travel
    cycles = split_cycles(control, settings.direction, BAND)
    cycle = choose(cycles, settings.cycle)
    notes.append(_cycle_note(len(cycles), settings.cycle))
    if settings.zero == "loop":
        travel = _about_loop(travel, load, cycle, settings, notes)
    curve = _Curve(travel, load, cycle, settings, notes)
    low, high = curve.ends()
    line = curve.line(low, high)
    positive, negative = curve.stiffness_from_zero()
    return StaticEvaluation(
        stiffness=curve.secant(low, high),
        stiffness_error=curve.secant_error(low, high),
        stiffness_unloading=curve.unloading_secant(),
        slope=line.slope * curve.per_unit,
        slope_error=line.slope_error * curve.per_unit,
        low_point=low,
        high_point=high,
        points=line.points,
        cycle=cycle.number,
        peaks=tuple(float(control[each.top]) for each in cycles),
        energy=curve.energy(),
        loop_width=curve.loop_width(),
        residual=curve.residual(),
        stiffness_positive=positive,
        stiffness_negative=negative,
        asymmetry=positive / negative if positive and negative else None,
        notes=tuple(notes),
        branch=(travel[cycle.loading], load[cycle.loading]),
    )


def _corrected(
    travel: np.ndarray, load: np.ndarray, settings: StaticSettings
) -> tuple[np.ndarray, np.ndarray, list[str]]:
    """Travel of the part and load after zero correction and subtraction of the fixture, with notes."""
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    if travel.shape != load.shape or travel.ndim != 1:
        raise EvaluationError(f"travel {travel.shape} and load {load.shape} must be of equal length")
    if len(travel) < _ZERO_ROWS or not (np.isfinite(travel).all() and np.isfinite(load).all()):
        raise EvaluationError(f"{len(travel)} points; expected at least {_ZERO_ROWS}, all of them numbers")
    notes = []
    if settings.zero == "start":
        at_travel, at_load = float(np.median(travel[:_ZERO_ROWS])), float(np.median(load[:_ZERO_ROWS]))
        travel, load = travel - at_travel, load - at_load
        notes.append(
            f"zero taken from the first {_ZERO_ROWS} rows: travel {at_travel:.4g}, load {at_load:.4g}"
        )
    if settings.fixture_compliance:
        travel = travel - settings.fixture_compliance * load
        notes.append(f"fixture compliance {settings.fixture_compliance:.4g} subtracted from the travel")
    return travel, load, notes


def _about_loop(
    travel: np.ndarray, load: np.ndarray, cycle: Cycle, settings: StaticSettings, notes: list[str]
) -> np.ndarray:
    """Travel counted from the middle of the loop at zero load."""
    places = []
    for rows in (cycle.loading, cycle.unloading):
        branch = Branch(travel[rows], load[rows], "load", float(np.ptp(load[rows])))
        if not branch.reaches(0.0):
            raise EvaluationError(
                f'cycle {cycle.number} does not pass zero load on both ways; zero = "loop" needs that: take "start"'
            )
        places.append(branch.at(0.0, "branch").travel)
    middle = sum(places) / 2
    notes.append(f"travel counted from the middle of the loop at zero load, {middle:.4g}")
    return travel - middle


def _cycle_note(found: int, evaluated: int) -> str:
    before = f"cycles 1 to {evaluated - 1} are conditioning" if evaluated > 2 else "cycle 1 is conditioning"
    return (
        f"{found} cycles found; "
        + (f"{before}, " if evaluated > 1 else "")
        + f"the {ordinal(evaluated)} evaluated"
    )


@dataclass
class _Curve:
    """The corrected curve with its evaluated cycle."""

    travel: np.ndarray
    load: np.ndarray
    cycle: Cycle
    settings: StaticSettings
    notes: list[str]

    @property
    def per_unit(self) -> float:
        """From load per travel to the stored unit of the stiffness."""
        return PER_RADIAN if self.settings.rotational else 1.0

    def _branch(self, rows: slice) -> Branch:
        span = self.settings.high - self.settings.low
        return Branch(self.travel[rows], self.load[rows], self.settings.between, span)

    def ends(self) -> tuple[Point, Point]:
        branch = self._branch(self.cycle.loading)
        name = f"loading branch of cycle {self.cycle.number}"
        points = []
        for level in (self.settings.low, self.settings.high):
            point = branch.at(level, name)
            if point.note:
                self.notes.append(point.note)
            points.append(point)
        return points[0], points[1]

    def line(self, low: Point, high: Point) -> Line:
        rows = self.cycle.loading
        levels = (self.load if self.settings.between == "load" else self.travel)[rows]
        inside = (levels >= self.settings.low) & (levels <= self.settings.high)
        return fit_line(self.travel[rows][inside], self.load[rows][inside])

    def secant(self, one: Point, other: Point) -> float:
        step = other.travel - one.travel
        if step == 0.0:
            raise EvaluationError(
                f"no travel between the loads {one.load:g} and {other.load:g}; check the channels"
            )
        return (other.load - one.load) / step * self.per_unit

    def secant_error(self, one: Point, other: Point) -> float | None:
        if one.error is None or other.error is None:
            return None
        fault = math.hypot(one.error, other.error)
        whole = (other.travel - one.travel) if self.settings.between == "load" else (other.load - one.load)
        return abs(self.secant(one, other) * fault / whole) if whole else None

    def unloading_secant(self) -> float | None:
        branch = self._branch(self.cycle.unloading)
        if not (branch.reaches(self.settings.low) and branch.reaches(self.settings.high)):
            return None
        ends = [branch.at(level, "unloading branch") for level in (self.settings.low, self.settings.high)]
        return self.secant(*ends) if ends[1].travel != ends[0].travel else None

    def energy(self) -> float | None:
        if not self.cycle.closed:
            self.notes.append(f"cycle {self.cycle.number} does not close; it has no loop area")
            return None
        rows = self.cycle.loop
        return loop_area(self.travel[rows], self.load[rows]) / self.per_unit

    def _at_zero(self, rows: slice) -> Point | None:
        branch = self._branch(rows).over_load()
        return branch.at(0.0, "branch") if branch.reaches(0.0) else None

    def loop_width(self) -> float | None:
        up, down = self._at_zero(self.cycle.loading), self._at_zero(self.cycle.unloading)
        if up is None or down is None:
            self.notes.append("a branch does not pass zero load; no loop width")
            return None
        return abs(down.travel - up.travel)

    def residual(self) -> float | None:
        far = np.abs(self.load) >= np.abs(self.load).max() / 2
        start, down = self._at_zero(slice(0, int(far.argmax()) + 1)), self._at_zero(self.cycle.unloading)
        if start is None or down is None:
            self.notes.append("the record does not start at zero load or not come back to it; no residual travel")
            return None
        return down.travel - start.travel

    def stiffness_from_zero(self) -> tuple[float | None, float | None]:
        """Secants from zero to the far ends, each on the branch that loads in its own direction."""
        if not self.settings.low < 0 < self.settings.high or self.settings.between != "load":
            self.notes.append("the range is not on both sides of zero load; no asymmetry")
            return None, None
        rising, falling = self.cycle.loading, self.cycle.unloading
        if self.settings.direction < 0:
            rising, falling = falling, rising
        return self._from_zero(rising, self.settings.high), self._from_zero(falling, self.settings.low)

    def _from_zero(self, rows: slice, level: float) -> float | None:
        branch = self._branch(rows)
        if not (branch.reaches(0.0) and branch.reaches(level)):
            self.notes.append(f"a branch does not reach {level:g}; no asymmetry")
            return None
        return self.secant(branch.at(0.0, "branch"), branch.at(level, "branch"))
