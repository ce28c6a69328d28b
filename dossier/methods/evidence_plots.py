"""What is drawn of an item of dynamic, durability, load-history or press records, for terminal and document alike."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from dossier import units
from dossier.evidence.plot_scales import ScaleKind
from dossier.methods.evidence_base import RawFiles, SampleIn
from dossier.methods.evidence_durability import DurabilityInput, durability_of
from dossier.methods.evidence_files import curve_of
from dossier.methods.evidence_links import PRESS
from dossier.methods.evidence_load_history import LoadHistoryInput
from dossier.methods.evidence_recorded import RECORDED
from dossier.records.calculation import Result
from dossier.records.evidence import EvidenceItem

_STEP = re.compile(r"^(?P<what>(?:loss angle of )?(?:variant|reference)) at (?P<f>\S+) Hz ±(?P<a>\S+) (?P<unit>mm|°)$")
PLOTTED = (*RECORDED, *PRESS)
SHOWN = {"force": (1e-3, "kN"), "torque": (1e-3, "N·m"), "displacement": (1.0, "mm"), "angle": (1.0, "°")}


@dataclass(frozen=True)
class PlotLine:
    """One line: `form` is variant, reference, fit (of points), limit (a criterion or programme) or rows (single rows of a
    table)."""

    label: str
    x: np.ndarray
    y: np.ndarray
    form: str


@dataclass(frozen=True)
class PlotPoints:
    """Single values, one a specimen: `signs` is x failed, > stopped without failure, o a value (of a staircase: bore its
    load), - left out; `words` are the lines that tell each."""

    label: str
    x: np.ndarray
    y: np.ndarray
    signs: str
    words: tuple[tuple[str, ...], ...]
    joined: bool = False


@dataclass(frozen=True)
class PlotBand:
    """What lies between two lines, each (x, y)."""

    label: str
    lower: tuple[np.ndarray, np.ndarray]
    upper: tuple[np.ndarray, np.ndarray]


@dataclass(frozen=True)
class PlotMark:
    """A place named by a letter, which `told` of the plot explains."""

    letter: str
    x: float
    y: float


@dataclass(frozen=True)
class Plot:
    """Lines over common axes, names with units, what a caption says, and places named by letters.

    On a scale that is not linear, places are lg(value), or heights of Weibull paper. `zero`: the origin belongs to it.
    """

    x_name: str
    x_unit: str
    y_name: str
    y_unit: str
    lines: tuple[PlotLine, ...]
    told: str = ""
    marks: tuple[PlotMark, ...] = ()
    points: PlotPoints | None = None
    band: PlotBand | None = None
    x_scale: ScaleKind = "linear"
    y_scale: ScaleKind = "linear"
    zero: bool = True


def recorded_plots(item: EvidenceItem, files: RawFiles, part: int | None = None) -> tuple[Plot, ...]:
    """One or two plots of the item's stored result, `part` the number of the part where one is drawn; without a number the
    one that ended first.

    Raises ValueError where the item has no result, UnreadableFile or StoreError where a file is not as it was.
    """
    if item.result is None:
        raise ValueError(f"{item.id} is not evaluated yet; calculate it")
    if item.quantity == "dynamic":
        return _dynamic(item.result, [link.value for link in item.serves])
    if item.quantity == "durability":
        return _durability(item.result, files, part)
    if item.quantity in PRESS:
        from dossier.methods.press_plot import press_plot

        return (press_plot(item.result, files, part),)
    return (_load_history(item.result, files, part),)


def _dynamic(result: Result, served: Sequence[str]) -> tuple[Plot, ...]:
    """Stiffness and loss angle, as far as the item serves with them, over the frequency, a line for each amplitude; over the
    amplitude at a single frequency."""
    points: dict[str, list[tuple[float, float, float]]] = {}
    turn = "mm"
    for value in result.values:
        if (found := _STEP.match(value.name)) and value.value is not None:
            turn = found["unit"]
            points.setdefault(found["what"], []).append((float(found["f"]), float(found["a"]), value.value))
    every = [point for group in points.values() for point in group]
    if not every:
        raise ValueError("no step of frequency and amplitude is common to all parts; nothing can be drawn")
    single = len(_levels([f for f, *_ in every])) == 1
    along = ("amplitude", turn) if single else ("frequency", "Hz")
    plots = []
    angles = [name.startswith("loss_angle") for name in served]
    stiffness = ("N·m/°", units.convert(1.0, "N·mm/rad", "N·m/°")) if turn == "°" else ("kN/mm", 1e-3)
    for lead, name, unit, scale in (("", "dynamic stiffness", *stiffness), ("loss angle of ", "loss angle", "°", 1.0)):
        if served and (not any(angles) if lead else all(angles)):
            continue
        lines = []
        for group in ("variant", "reference"):
            lines += _over(points.get(f"{lead}{group}", []), group, scale, single, turn)
        plots.append(Plot(*along, name, unit, tuple(lines), "Mean of the parts at each step."))
    return tuple(plots)


def _over(points: Sequence[tuple[float, float, float]], group: str, scale: float, single: bool, turn: str) -> list[PlotLine]:
    """One line for each level of what is not the axis, with two points or more."""
    if single:
        rows = sorted((a, value) for _, a, value in points)
        return [_line(group, rows, group, scale)] if len(rows) > 1 else []
    lines = []
    for level in _levels([a for _, a, _ in points]):
        rows = sorted((f, value) for f, a, value in points if abs(a / level - 1) <= 0.1)
        if len(rows) > 1:
            lines.append(_line(f"{group} ±{level:g} {turn}", rows, group, scale))
    return lines


def _line(label: str, rows: Sequence[tuple[float, float]], form: str, scale: float) -> PlotLine:
    x, y = np.array(rows).T
    return PlotLine(label, x, scale * y, form)


def _levels(values: Sequence[float]) -> list[float]:
    """Values that are told apart by more than 10 %, rising."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value / kept[-1] > 1.1:
            kept.append(value)
    return kept


def _durability(result: Result, files: RawFiles, part: int | None) -> tuple[Plot, ...]:
    """Stiffness of one variant's and one reference part over cycles with the criterion, and the variant's temperature."""
    given = DurabilityInput.model_validate(result.inputs)
    lines: list[PlotLine] = []
    warm: list[PlotLine] = []
    told = []
    for name, samples in (("variant", given.variant), ("reference", given.reference)):
        if not samples:
            continue
        sample = _ended_first(result, samples) if part is None else samples[part % len(samples)]
        found = durability_of(given, sample, files)
        if name == "variant":
            lines.append(PlotLine(f"rows of {sample.specimen}", found.cycles, found.stiffness / 1000, "rows"))
        lines.append(PlotLine(f"{name} {sample.specimen}", found.cycles, found.curve / 1000, name))
        ends = np.array([found.reference_cycles, max(found.applied, found.life or 0.0)])
        if name == "variant":
            lines.append(PlotLine(f"end at {given.loss:.0%} loss", ends, np.full(2, found.limit / 1000), "limit"))
        end = f"stopped at {found.applied:,.0f}" if found.life is None else f"end at {found.life:,.0f}"
        told.append(f"{sample.specimen} {end} cycles")
        if found.temperature is not None:
            warm.append(PlotLine(sample.specimen, found.cycles, found.temperature, name))
    stiffness = Plot("applied cycles", "", "stiffness", "kN/mm", tuple(lines), "; ".join(told) + ".")
    return (stiffness, Plot("applied cycles", "", "temperature", "°C", tuple(warm))) if warm else (stiffness,)


def _ended_first(result: Result, samples: list[SampleIn]) -> SampleIn:
    """Of the parts that reached their end the one with the least life; of stopped ones the first."""

    def life(sample: SampleIn) -> tuple[float, float]:
        ended, stopped = (result.value(f"{name}:{sample.specimen}") for name in ("specimen", "censored"))
        stood = stopped.value if stopped and stopped.value else 0.0
        return stood, (ended.value if ended and ended.value and not stood else 0.0)

    return min(samples, key=life)


def _load_history(result: Result, files: RawFiles, part: int | None) -> Plot:
    """Ranges over the cycles that reach them (logarithm to base 10): the measured history and the programme."""
    from dossier.evidence.load_history import rainflow

    given = LoadHistoryInput.model_validate(result.inputs)
    scale, unit = SHOWN[given.channel]
    samples = [*given.variant, *given.reference]
    sample = samples[(part or 0) % len(samples)]
    counted = rainflow(curve_of(given.reading, sample, files).channel(given.channel), given.hysteresis)
    lines = [_reached(f"measured {sample.specimen}", counted.ranges * scale, counted.counts * given.repeats, "variant")]
    if given.programme:
        levels = np.array([(level.range * scale, level.cycles) for level in given.programme])
        lines.append(_reached("programme", levels[:, 0], levels[:, 1], "limit"))
    told = f"History of {sample.specimen}, driven {given.repeats:g} times."
    return Plot("cycles that reach the range", "", f"{given.channel} range", unit, tuple(lines), told, x_scale="lg")


def _reached(label: str, ranges: np.ndarray, counts: np.ndarray, form: str) -> PlotLine:
    order = np.argsort(-ranges, kind="stable")
    total = np.cumsum(counts[order])
    x, y = np.log10(np.repeat(total, 2)), np.repeat(ranges[order], 2)
    x = np.concatenate(([min(0.0, float(x[0]))], x[:-1]))
    return PlotLine(label, x, y, form)
