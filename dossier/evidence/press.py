"""Press curves: pressing a joint into its eye and pushing it out, load over travel of one way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.cycles import turning_points
from dossier.evidence.errors import EvaluationError
from dossier.evidence.sign_strokes import noise_of_values, spikes

OPERATIONS = ("press_in", "push_out")
LEAST_ROWS = 20
PIECES = 200
WALL_RATIO = 4.0
WALL_RISE = 0.1
DROP = 0.025
SUDDEN = 0.05
TEETH = 3
SETTLED = 0.3
QUIET = 0.005
MOST_MEAN = 200


@dataclass(frozen=True)
class Gate:
    """One monitoring window: between `travel_low` and `travel_high` the load must stay within `load_low` and
    `load_high` (None: open on that side)."""

    travel_low: float
    travel_high: float
    load_low: float | None = None
    load_high: float | None = None

    def __post_init__(self) -> None:
        if not self.travel_low < self.travel_high:
            raise EvaluationError(
                f"travel_low = {self.travel_low:g} must be below travel_high = {self.travel_high:g}; exchange or spread them"
            )
        if self.load_low is None and self.load_high is None:
            raise EvaluationError("load_low and load_high are both empty; a window needs at least one of them")
        if self.load_low is not None and self.load_high is not None and self.load_low >= self.load_high:
            raise EvaluationError(f"load_low = {self.load_low:g} must be below load_high = {self.load_high:g}")


@dataclass(frozen=True)
class GateCrossing:
    """Where a curve left a window: the window's place in the list, row, travel, load, and the crossed limit."""

    gate: int
    row: int
    travel: float
    load: float
    limit: float


@dataclass(frozen=True)
class PressEvaluation:
    """Result in the units given, loads positive in the direction of pressing.

    peak_force, travel_of_peak: highest load of press_in up to the seat, break-loose peak of push_out; end_force:
    press_in the load before the steep wall (or at `press_length`), push_out the median of the sliding plateau, None if
    it ends at the peak; seat_reached, seat_travel: the steep wall was met, and where (press_in); work: integral of load
    over travel up to the seat (press_in) or to the end (N·mm for N and mm); scored: at least three sudden drops of the
    load with a rise behind each; drops: their number; largest_drop over the peak; crossings: windows that were left.
    """

    operation: str
    peak_force: float
    travel_of_peak: float
    row_of_peak: int
    end_force: float | None
    seat_reached: bool | None
    seat_travel: float | None
    work: float
    scored: bool
    drops: int
    largest_drop: float
    drop_rows: tuple[int, ...]
    crossings: tuple[GateCrossing, ...]
    notes: tuple[str, ...]


def evaluate_press(
    travel: np.ndarray, load: np.ndarray, *, operation: str, press_length: float | None = None, gates: Sequence[Gate] = (),
) -> PressEvaluation:  # fmt: skip
    """Evaluate travel (n,) and load (n,) of one pressing in or pushing out, counted from first contact.

    `press_length`: travel from first contact (from the start of the record, where the way from contact is shorter) at
    which the joint is seated, where it is known. Loads may be recorded
    with either sign; the way back of the machine is left out. Raises EvaluationError for an unknown operation, too few
    rows, gaps, no load, or a `press_length` the record does not reach.
    """
    if operation not in OPERATIONS:
        raise EvaluationError(f"operation = {operation!r} must be one of {OPERATIONS}")
    way = _Way.of(travel, load)
    return _press_in(way, press_length, gates) if operation == "press_in" else _push_out(way, gates)


def forward_way(travel: np.ndarray, load: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Rows (k,), travel (k,) as recorded and load (k,) positive in the direction of pressing, of the way forward without
    single spikes: what `evaluate_press` judges. Raises EvaluationError as it does."""
    way = _Way.of(travel, load)
    return way.rows, way.shown, way.f


@dataclass(frozen=True)
class _Way:
    """The forward way without single spikes: rows (k,), x from first contact, f positive in the direction of pressing;
    `noise` of the load."""

    rows: np.ndarray
    x: np.ndarray
    f: np.ndarray
    noise: float
    shown: np.ndarray

    @classmethod
    def of(cls, travel: np.ndarray, load: np.ndarray) -> _Way:
        travel, load = np.asarray(travel, float), np.asarray(load, float)
        if travel.shape != load.shape or travel.ndim != 1:
            raise EvaluationError(f"travel {travel.shape} and load {load.shape} must be of equal length")
        if len(travel) < LEAST_ROWS or not (np.isfinite(travel).all() and np.isfinite(load).all()):
            raise EvaluationError(f"{len(travel)} rows; a press curve needs at least {LEAST_ROWS}, all of them numbers")
        if not np.ptp(travel) > 0:
            raise EvaluationError(f"the travel stands still at {travel[0]:g}; check the channel")
        rows = np.flatnonzero(~spikes(load))
        x, f = travel[rows], load[rows]
        unloaded = f[:3][np.abs(f[:3]).argmin()]
        far = int(np.abs(f - unloaded).argmax())
        x = x * (1 if x[max(far, len(x) // 2)] >= x[0] else -1)
        f = f * (1 if f[far] > 0 else -1)
        end = int(x.argmax()) + 1
        rows, x, f = rows[:end], x[:end], f[:end]
        noise = noise_of_values(f)
        if len(rows) < LEAST_ROWS or float(f.max()) <= 6 * noise:
            raise EvaluationError("no way with a load above the noise found; check the channels and their order")
        touched = int(np.argmax(f > max(0.01 * float(f.max()), 4 * noise)))
        return cls(rows, x - x[touched], f, noise, travel[rows])

    def cut(self, end: int) -> _Way:
        """The same up to point `end`."""
        return _Way(self.rows[:end], self.x[:end], self.f[:end], self.noise, self.shown[:end])

    def work(self) -> float:
        """Integral of the load over the travel."""
        return float(np.sum((self.f[1:] + self.f[:-1]) / 2 * np.diff(self.x)))

    @property
    def level(self) -> np.ndarray:
        """Load (k,); where noise would make a peak, the median of five rows and the mean over 0.2 % of them."""
        if self.noise < QUIET * float(self.f.max()):
            return self.f
        middle = np.median(np.lib.stride_tricks.sliding_window_view(np.pad(self.f, 2, mode="edge"), 5), axis=1)
        return _smooth(middle, min(len(middle) // 1000, MOST_MEAN))

    def around(self, place: int) -> float:
        """Load at a point as the median of the rows beside it, up to half a per cent of the rows on each side."""
        half = max(1, min(10, len(self.f) // 200))
        return float(np.median(self.f[max(0, place - half) : place + half + 1]))

    def before(self, place: int) -> float:
        """Load at a point from the rows before it only, by a straight line through 3 % of the rows."""
        start = max(0, place - max(4, len(self.f) // 33))
        x, f = self.x[start:place], self.f[start:place]
        if len(x) < 4 or np.ptp(x) <= 0:
            return self.around(place)
        slope = float(np.polyfit(x - x[-1], f, 1)[0])
        return float(np.mean(f) + slope * (x[-1] - np.mean(x)))


def _press_in(way: _Way, press_length: float | None, gates: Sequence[Gate]) -> PressEvaluation:
    notes = []
    wall = _wall(way)
    if press_length is not None:
        at = _seat(way, press_length, notes)
        end = int(np.searchsorted(np.maximum.accumulate(way.x), at))
        if wall is not None and wall < end * 0.98:
            notes.append(f"the steep wall begins at {way.x[wall]:.4g}, before press_length = {press_length:g}")
        end = min(end, len(way.x) - 1 if wall is None else wall)
    else:
        end = len(way.x) - 1 if wall is None else wall
    if wall is None:
        notes.append("no steep wall at the end: the seat was not reached, or the machine stopped before it")
    inside = way.cut(max(end, 2) + 1)
    level = inside.level
    top = int(level.argmax())
    drops = _drops(inside)
    return PressEvaluation(
        "press_in", float(level[top]), float(inside.shown[top]), int(inside.rows[top]), inside.before(end),
        wall is not None, None if wall is None else float(way.shown[wall]), inside.work(), *_scored(inside, drops),
        _crossings(way, gates), tuple(notes),
    )  # fmt: skip


def _seat(way: _Way, press_length: float, notes: list[str]) -> float:
    """Travel from first contact at which the joint is seated; a longer `press_length` counts from the start of the record."""
    if 0 < press_length <= way.x[-1] * 1.02:
        return press_length
    if 0 < press_length <= (way.x[-1] - way.x[0]) * 1.02:
        notes.append(f"press_length = {press_length:g} counts from the start of the record, {-way.x[0]:.4g} before first contact")
        return press_length + float(way.x[0])
    raise EvaluationError(
        f"press_length = {press_length:g} is not within the recorded way of {way.x[-1]:.5g} from first contact; "
        "correct it or record the whole way"
    )


def _push_out(way: _Way, gates: Sequence[Gate]) -> PressEvaluation:
    level = way.level
    top = int(level.argmax())
    behind = way.x > way.x[top] + SETTLED * (way.x[-1] - way.x[top])
    notes = []
    end_force = None
    if behind.sum() >= 5 and top < 0.95 * len(way.x):
        plateau = np.flatnonzero(behind)
        plateau = plateau[way.f[plateau] > 0.02 * level[top]]
        end_force = float(np.median(way.f[plateau])) if len(plateau) >= 5 else None
    if end_force is None:
        notes.append("the record ends at the peak or has no load behind it: no sliding plateau")
    drops = _drops(way)
    later = [drop for drop in drops if drop[0] > top + 1]
    return PressEvaluation(
        "push_out", float(level[top]), float(way.shown[top]), int(way.rows[top]),
        end_force, None, None, way.work(), *_scored(way, later), _crossings(way, gates), tuple(notes),
    )  # fmt: skip


def _wall(way: _Way) -> int | None:
    """Point at which the steep wall begins: from the end backwards the slope stays far above the usual one; None if
    there is no such rise."""
    count = min(PIECES, len(way.x) // 4)
    if count < 5:
        return None
    edges = np.linspace(0.0, float(way.x[-1]), count + 1)
    rising = np.maximum.accumulate(way.x)
    level = np.interp(edges, rising + 1e-12 * np.arange(len(rising)), _smooth(way.f, len(way.f) // count // 2))
    slope = np.diff(level) / np.diff(edges)
    usual = float(np.median(slope[: max(3, int(0.9 * count))]))
    typical = max(usual, float(way.f.max()) / float(way.x[-1]) * 0.3)
    steep = slope > WALL_RATIO * typical
    if not steep[-1] and not steep[-2:].any():
        return None
    first = count - 1
    while first > 0 and (steep[first - 1] or steep[max(first - 2, 0)]):
        first -= 1
    begin = int(np.searchsorted(rising, edges[first]))
    rise = float(way.f[begin:].max()) - way.around(begin)
    if rise <= WALL_RISE * float(way.f.max()) or first <= 0.3 * count:
        return None
    return _corner(way, begin, rising)


def _corner(way: _Way, begin: int, rising: np.ndarray) -> int:
    """Point at which the straight lines before and in the wall meet, not before `begin`."""
    start = max(0, begin - max(6, len(way.x) // 15))
    before, wall = slice(start, begin), slice(begin + (len(way.x) - begin) // 2, None)
    if begin - start < 4 or len(way.x[wall]) < 3 or np.ptp(way.x[wall]) <= 0 or np.ptp(way.x[before]) <= 0:
        return begin
    flat, steep = np.polyfit(way.x[before], way.f[before], 1), np.polyfit(way.x[wall], way.f[wall], 1)
    meet = (flat[1] - steep[1]) / (steep[0] - flat[0])
    return int(np.clip(np.searchsorted(rising, meet) - 1, begin, len(way.x) - 2))


def _smooth(values: np.ndarray, half: int) -> np.ndarray:
    if half < 1:
        return values
    padded = np.pad(values, half, mode="edge")
    return np.convolve(padded, np.ones(2 * half + 1) / (2 * half + 1), "valid")


def _drops(way: _Way) -> list[tuple[int, float]]:
    """Sudden falls of the load with a rise behind them: point and depth. A fall counts from 2.5 % of the highest load
    and ten times the noise (five times where the load is smoothed), within 5 % of the way, when the load rises again by
    half of it."""
    level = way.level
    span = float(np.ptp(np.percentile(level, (0.5, 99.5))))
    least = max(DROP * float(level.max()), (10 if level is way.f else 5) * way.noise)
    turns, first = turning_points(level, least / span) if span > 0 else ([], 0)
    found = []
    for number in range(0 if first > 0 else 1, len(turns) - 2, 2):
        high, low, next_high = turns[number : number + 3]
        depth = float(level[high] - level[low])
        sudden = way.x[low] - way.x[high] <= SUDDEN * (way.x[-1] - way.x[0])
        if sudden and level[next_high] - level[low] >= 0.5 * depth:
            found.append((high, depth))
    return found


def _scored(way: _Way, drops: list[tuple[int, float]]) -> tuple[bool, int, float, tuple[int, ...]]:
    largest = max((depth for _, depth in drops), default=0.0) / float(way.f.max())
    return len(drops) >= TEETH, len(drops), largest, tuple(int(way.rows[at]) for at, _ in drops)


def _crossings(way: _Way, gates: Sequence[Gate]) -> tuple[GateCrossing, ...]:
    """The first point of each window at which the load lies outside it; a window the travel never enters is left at
    the last row."""
    found = []
    for number, gate in enumerate(gates):
        inside = np.flatnonzero((way.shown >= gate.travel_low) & (way.shown <= gate.travel_high))
        if not len(inside):
            limit = gate.load_low if gate.load_low is not None else gate.load_high
            found.append(GateCrossing(number, int(way.rows[-1]), float(way.shown[-1]), float(way.f[-1]), float(limit or 0.0)))
            continue
        for limit, outside in (
            (gate.load_low, way.f[inside] < (-np.inf if gate.load_low is None else gate.load_low)),
            (gate.load_high, way.f[inside] > (np.inf if gate.load_high is None else gate.load_high)),
        ):
            if limit is not None and outside.any():
                place = inside[int(outside.argmax())]
                found.append(GateCrossing(number, int(way.rows[place]), float(way.shown[place]), float(way.f[place]), limit))
    return tuple(found)
