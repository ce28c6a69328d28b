"""How often the search for signs errs on a project's own sampling, amplitude and noise: simulated, never measured.

Curves of parts that follow other laws than the search knows of (`sign_curves`) are drawn with the rows, cycles, waveform
and noise of a measured curve. The whole trade-off is given: false alarms on sound curves and found faults of a stated
size, over limits that are all made stricter or laxer by one factor.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from dossier.evidence.errors import Cancelled, EvaluationError
from dossier.evidence.sign_curves import SimulatedFault, SimulatedTest, simulate
from dossier.evidence.sign_middle import peaks
from dossier.evidence.sign_strokes import Prepared, noise_of_values, prepare
from dossier.evidence.sign_thresholds import SignThresholds
from dossier.evidence.signs import find_signs

FACTORS = (0.5, 0.7, 1.0, 1.4, 2.0)
MOST_ROWS, LEAST_ROWS = 2000, 24
SINE_SHARE = 0.75
FAULTS: dict[str, tuple[SimulatedFault, str]] = {
    "slip": (SimulatedFault("slip", 0.05, 0.5), "slip of 5 % of the amplitude, once"),
    "crack": (SimulatedFault("crack", 0.15), "15 % of the slope of one side lost"),
    "preload_loss": (SimulatedFault("preload_loss", 0.6, 0.55, cycle=1), "slope 0.6 beyond 55 % of the amplitude"),
    "bottoming": (SimulatedFault("bottoming", 4.0, 0.85, cycle=1), "slope 4 times from 85 % of the amplitude"),
    "metal_break": (SimulatedFault("metal_break", 0.10, 0.7), "load drops by 10 % and stays lower"),
    "fixture_slip": (SimulatedFault("fixture_slip", 0.04), "clearance of 4 % of the amplitude"),
}
TWO_SIDED_ONLY = ("crack", "fixture_slip")


@dataclass(frozen=True)
class Sampling:
    """What a measured curve says of its own recording: rows per cycle, cycles (0: one stroke), `waveform`, one-sided or
    not, noise of the load and of the travel and converter step of the load, relative to the amplitude."""

    rows: int
    cycles: int
    waveform: str
    one_sided: bool
    noise: float
    travel_noise: float
    step: float

    @property
    def words(self) -> str:
        """ "4 cycles of 400 rows, triangle, noise of the load 0.3 % and of the travel 0.1 % of the amplitude"."""
        shape = f"{self.cycles} cycles of {self.rows} rows, {self.waveform}" if self.cycles else f"one stroke of {self.rows} rows"
        return (
            f"{shape}{', one-sided' if self.one_sided else ''}, noise of the load {100 * self.noise:.2g} % and of the travel "
            f"{100 * self.travel_noise:.2g} % of the amplitude"
        )

    @property
    def test(self) -> SimulatedTest:
        """The simulated test of this sampling, with at most 2000 rows a cycle."""
        return SimulatedTest(self.rows, self.cycles, self.waveform, self.one_sided)


@dataclass(frozen=True)
class RatePoint:
    """At limits of `factor` times the stated ones: `found` of `count` curves with the fault that raise its sign,
    `first` of them name it first; `false` of the `count` sound curves that raise this sign, or any for "any"."""

    kind: str
    factor: float
    count: int
    found: int
    first: int
    false: int


@dataclass(frozen=True)
class SignRates:
    """The trade-off of each sign on one sampling; SIMULATED, reproducible by `seed`."""

    sampling: Sampling
    count: int
    seed: int
    points: tuple[RatePoint, ...]

    def at(self, kind: str, factor: float = 1.0) -> RatePoint | None:
        """The point of a kind at a factor."""
        return next((point for point in self.points if point.kind == kind and point.factor == factor), None)


def sampling_of(travel: np.ndarray, load: np.ndarray) -> Sampling:
    """Rows, cycles, waveform and noise of travel (n,), load (n,). Raises EvaluationError as `find_signs` does."""
    curve = prepare(travel, load)
    strokes = curve.strokes
    whole = [stroke for stroke in strokes if not stroke.first] or list(strokes)
    rows = int(np.median([stroke.rows[-1] - stroke.rows[0] + 1 for stroke in whole]))
    cycles = sum(stroke.sign > 0 for stroke in strokes) if len(strokes) > 1 else 0
    high, low = peaks(curve)
    one_sided = min(high, -low) < 0.35 * max(high, -low)
    amplitude = 1.0 if one_sided or not cycles else 2.0
    return Sampling(
        rows=int(np.clip(rows * (2 if cycles else 1), LEAST_ROWS, MOST_ROWS)), cycles=cycles, waveform=_waveform(curve),
        one_sided=one_sided and cycles > 0,
        noise=amplitude * noise_of_values(np.asarray(load, float)) / curve.load_range,
        travel_noise=amplitude * noise_of_values(np.asarray(travel, float)) / curve.travel_range,
        step=amplitude * curve.resolution,
    )  # fmt: skip


def _waveform(curve: Prepared) -> str:
    """Sine where the travel slows down towards the turning points, else triangle."""
    shares = []
    for stroke in curve.strokes:
        place = np.interp((0.15, 0.85), np.linspace(0, 1, len(stroke)), stroke.x)
        shares.append((place[1] - place[0]) / max(stroke.x[-1] - stroke.x[0], 1e-12))
    return "sine" if float(np.median(shares)) > SINE_SHARE else "triangle"


def stricter(settings: SignThresholds, factor: float) -> SignThresholds:
    """All limits moved away from what is normal by `factor` (below 1: towards it)."""
    scaled = {
        name: min(getattr(settings, name) * factor, 0.95)
        for name in ("slip_travel", "load_drop", "side_loss", "cycle_loss", "clearance")
    }
    return replace(
        settings, **scaled, loop_growth=min(settings.loop_growth * factor, 9.0), noises=max(settings.noises * factor, 2.01),
        knee_ratio=max(1 - (1 - settings.knee_ratio) * factor, 0.05), stop_ratio=1 + (settings.stop_ratio - 1) * factor,
    )  # fmt: skip


def simulate_rates(
    sampling: Sampling, settings: SignThresholds | None = None, *, count: int = 100, seed: int = 1,
    factors: Sequence[float] = FACTORS, progress: Callable[[float], bool] | None = None,
) -> SignRates:  # fmt: skip
    """The trade-off on `count` sound curves and as many of each fault. `progress` takes the share done and answers
    whether to go on; Cancelled is raised if not. Raises EvaluationError for fewer than 10 curves."""
    if count < 10:
        raise EvaluationError(f"count = {count} is too few for a rate; simulate at least 10 curves")
    settings = settings or SignThresholds()
    kinds = [
        kind for kind in FAULTS if sampling.cycles and not sampling.one_sided or kind not in TWO_SIDED_ONLY
    ]  # fmt: skip
    points: list[RatePoint] = []
    total, done = len(factors) * (len(kinds) + 1), 0
    for factor in factors:
        limits = stricter(settings, factor)
        sound = _raised(sampling, limits, None, count, seed)
        for place, kind in enumerate(kinds, 1):
            done += 1
            if progress and not progress(done / total):
                raise Cancelled
            fault = FAULTS[kind][0]
            fault = fault if sampling.cycles > 1 else replace(fault, cycle=1)
            raised = _raised(sampling, limits, fault, count, seed + place)
            points.append(RatePoint(
                kind, factor, count, sum(kind in signs for signs in raised),
                sum(bool(signs) and signs[0] == kind for signs in raised), sum(kind in signs for signs in sound),
            ))  # fmt: skip
        points.append(RatePoint("any", factor, count, 0, 0, sum(bool(signs) for signs in sound)))
    return SignRates(sampling, count, seed, tuple(points))


def _raised(
    sampling: Sampling, settings: SignThresholds, fault: SimulatedFault | None, count: int, seed: int
) -> list[list[str]]:
    """Kinds told for each curve, most certain first; those below a confidence of 0.5 are not told."""
    curves = simulate(
        sampling.test, count, seed=seed, fault=fault, noise=sampling.noise, travel_noise=sampling.travel_noise,
        step=sampling.step,
    )  # fmt: skip
    return [
        [sign.kind for sign in find_signs(travel, load, settings=settings) if sign.confidence >= 0.5]
        for travel, load in zip(curves.travel, curves.load, strict=True)
    ]


def rates_in_words(rates: SignRates) -> list[str]:
    """The trade-off as lines of text, labelled as simulated."""
    told = [f"SIMULATED, {rates.count} curves each, seed {rates.seed}: {rates.sampling.words}"]
    factors = sorted({point.factor for point in rates.points})
    told.append("limits times" + "".join(f"{factor:>16g}" for factor in factors))
    for kind in dict.fromkeys(point.kind for point in rates.points):
        cells = []
        for factor in factors:
            point = rates.at(kind, factor)
            false = f"{100 * point.false / point.count:.3g}" if point else ""
            found = f"{100 * point.found / point.count:.3g}" if point else ""
            cells.append(f"{false:>16}" if kind == "any" else f"{found:>8} /{false:>6}")
        told.append(f"{kind:<12}" + "".join(cells))
    told.append("each cell: found % / false alarms % of sound curves; any: any sign on sound curves")
    told += [f"{kind}: {words}" for kind, (_, words) in FAULTS.items() if rates.at(kind, factors[0])]
    return told
