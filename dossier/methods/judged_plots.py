"""What is drawn of an item of single values: lives on Weibull paper, an S–N line, a staircase, values with their limits."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from dossier import units
from dossier.evidence.errors import EvaluationError
from dossier.methods.evidence_base import Evaluated, SampleIn
from dossier.methods.evidence_links import method_of_item
from dossier.methods.evidence_plots import Plot, PlotBand, PlotLine, PlotMark, PlotPoints
from dossier.methods.evidence_statistics import JUDGED
from dossier.records.evidence import EvidenceItem

DRAWN = (*JUDGED, "single")
GROUPS = ("variant", "reference")
FOOT = 0.25  # below the line's lower end on Weibull paper, where the stopped parts stand
FAR = 1.5  # decades beyond the lives to which wide bounds are drawn
BEARS = "o bore its load to the end"
_SN_POINTS = 15


@dataclass(frozen=True)
class PlotLimit:
    """A limit of a requirement on a value `of` the item, in the item's unit, with the words that name it."""

    of: str
    value: float
    words: str


def can_draw(item: EvidenceItem) -> bool:
    """Whether the item has two single values or more to look at."""
    if item.quantity not in DRAWN or item.result is None:
        return False
    return any(len([s for s in item.result.inputs.get(group, []) if s.get("value") is not None]) > 1 for group in GROUPS)


def judged_plots(item: EvidenceItem, limits: Sequence[PlotLimit] = ()) -> tuple[Plot, ...]:
    """A plot for each group of the stored result that has two values or more.

    Raises ValueError where the item has no result or nothing can be drawn.
    """
    if item.result is None or not can_draw(item):
        raise ValueError(f"{item.id} has no two values that could be drawn; enter what was measured, then c evaluates it")
    method = method_of_item(item)
    given = method.input_model.model_validate(item.result.inputs)
    found = method.run(given, _no_file) if item.quantity in JUDGED else Evaluated(item.result.values)
    plots = []
    for group in GROUPS:
        samples = [sample for sample in getattr(given, group) if sample.value is not None]
        if len(samples) > 1:
            plots.append(_group(item, group, given, samples, found, limits))
    return tuple(plots)


def _no_file(digest: str) -> Any:
    raise ValueError(f"{digest}: single values rest on no file")


def _group(
    item: EvidenceItem, group: str, given: Any, samples: list[SampleIn], found: Evaluated, limits: Sequence[PlotLimit]
) -> Plot:
    if item.quantity == "life" and group in found.detail.get("fits", {}):
        return _weibull(item, group, given, samples, found, limits)
    if item.quantity == "sn_line" and group == "variant":
        return _sn_line(item, given, samples, found, limits)
    if item.quantity == "staircase" and group == "variant":
        return _staircase(item, given, samples, found, limits)
    return _values(item, group, given, samples, found, limits)


def _sign(sample: SampleIn) -> str:
    return ">" if sample.survived else "x"


def _words(item: EvidenceItem, sample: SampleIn, *more: str) -> tuple[str, ...]:
    ended = "stopped, not failed" if sample.survived else "failed"
    return (sample.specimen, ended, units.show_quantity(sample.value or 0.0, item.unit, None, 4), *more)


def _weibull(
    item: EvidenceItem, group: str, given: Any, samples: list[SampleIn], found: Evaluated, limits: Sequence[PlotLimit]
) -> Plot:
    """Failures at their median ranks, stopped parts at the foot, the line, its bounds, and B10 against its limits."""
    from dossier.evidence.plot_scales import height
    from dossier.evidence.weibull_plot import weibull_plot

    fit = found.detail["fits"][group]
    drawn = weibull_plot(fit, max(2 * given.confidence - 1, 0.1))
    low = float(drawn.line[0, 1]) - FOOT
    lives, failed = np.log10(fit.lives), np.asarray(fit.failed, bool)
    heights = np.full(len(lives), low)
    heights[np.flatnonzero(failed)[np.argsort(fit.lives[failed], kind="stable")]] = drawn.failures[:, 1]
    words = [
        _words(item, s, *([f"rank {-100 * math.expm1(-math.exp(at)):.3g} %"] if not s.survived else []))
        for s, at in zip(samples, heights, strict=True)
    ]
    order = np.lexsort((heights, lives))
    name, at = f"B{100 * given.share:g}", height(given.share)
    value = found.value(group)
    lines = [PlotLine("line of the fit", *drawn.line.T, "fit")]
    told = [f"Points of the {group}: x failed at its median rank, > stopped without failure (at the foot)"]
    marks = []
    if value is not None and value.value:
        marks.append(PlotMark("B", math.log10(value.value), at))
        told.append(f"B: {name} {_shown(item, value.value)}, {_least(item, value.low, given.confidence)}")
        told += _against(item, [limit for limit in limits if limit.of == group], value.low, lines, (low, float(drawn.line[1, 1])))
    band = _weibull_band(drawn, lives, given.confidence)
    return Plot(
        "life", _unit(item), "failed", "%", tuple(lines), f"{'; '.join(told)}.", tuple(marks),
        PlotPoints(group, lives[order], heights[order], "".join(_sign(samples[n]) for n in order),
                   tuple(words[n] for n in order)),
        band, "lg", "weibull", zero=False,
    )  # fmt: skip


def _weibull_band(drawn: Any, lives: np.ndarray, confidence: float) -> PlotBand | None:
    if len(drawn.bounds) < 2:
        return None
    ends = np.clip(drawn.bounds[:, 1:], lives.min() - FAR, lives.max() + FAR)
    heights = drawn.bounds[:, 0]
    return PlotBand(f"bounds, each {100 * confidence:.3g} %", (ends[:, 1], heights), (ends[:, 0], heights))


def _least(item: EvidenceItem, low: float | None, confidence: float) -> str:
    return "no lower bound" if low is None else f"at least {_shown(item, low)} at {100 * confidence:.3g} %"


def _against(
    item: EvidenceItem, limits: Sequence[PlotLimit], low: float | None, lines: list[PlotLine], span: tuple[float, float]
) -> list[str]:
    """An upright line at the place of each limit of a life, and whether the lower bound reaches it."""
    told = []
    for limit in limits:
        if limit.value > 0:
            lines.append(PlotLine(limit.words, np.full(2, math.log10(limit.value)), np.array(span), "limit"))
            reached = low is not None and low >= limit.value
            told.append(f"its lower bound {'reaches' if reached else 'does not reach'} {limit.words}")
    return told


def _sn_line(item: EvidenceItem, given: Any, samples: list[SampleIn], found: Evaluated, limits: Sequence[PlotLimit]) -> Plot:
    """Lives and loads on logarithmic scales: the line half reach, the line the stated share reaches, its lower bound."""
    fit, unit = found.detail["line"], given.load_unit
    survival = 1 - given.share
    ends = [float(fit.loads.min()), float(fit.loads.max()), *([given.load] if given.load else [])]
    loads = np.geomspace(min(ends), max(ends), _SN_POINTS)
    y = np.log10(loads)
    half, most = (np.log10([fit.life(load, share) for load in loads]) for share in (0.5, survival))
    lines = [PlotLine("50 % reach", half, y, "fit"), PlotLine(f"{100 * survival:.3g} % reach", most, y, "fit")]
    told = ["Points: x failed, > stopped without failure", f"right line: {lines[0].label}, left line: {lines[1].label}"]
    band = None
    try:
        least = np.log10([fit.least_life(load, survival, max(given.confidence, 0.5)) for load in loads])
        band = PlotBand(f"bound, {100 * given.confidence:.3g} %", (least, y), (most, y))
    except (EvaluationError, ValueError, ArithmeticError):
        told.append("no lower bound of the line could be found")
    marks = []
    value = found.value("variant")
    if given.load and value is not None and value.value:
        marks.append(PlotMark("N", math.log10(value.value), math.log10(given.load)))
        told.append(f"N: life at {given.load:g} {unit}, {_shown(item, value.value)}, {_least(item, value.low, given.confidence)}")
        told += _against(item, [limit for limit in limits if limit.of == "variant"], value.low, lines, (y[0], y[-1]))
    x = np.log10([sample.value or 1.0 for sample in samples])
    heights = np.log10([sample.load or 1.0 for sample in samples])
    order = np.lexsort((x, -heights))
    points = PlotPoints(
        "variant", x[order], heights[order], "".join(_sign(samples[n]) for n in order),
        tuple(_words(item, samples[n], f"at {samples[n].load:g} {unit}") for n in order),
    )  # fmt: skip
    return Plot("life", _unit(item), "load", unit, tuple(lines), f"{'; '.join(told)}.", tuple(marks), points, band, "lg", "lg",
                zero=False)  # fmt: skip


def _staircase(
    item: EvidenceItem, given: Any, samples: list[SampleIn], found: Evaluated, limits: Sequence[PlotLimit]
) -> Plot:
    """Loads in the order tested, mean strength with its bounds."""
    x, y = np.arange(1.0, len(samples) + 1), np.array([sample.value for sample in samples], float)
    mean, spread = found.value("variant"), found.value("spread_variant")
    ends = np.array([0.5, len(samples) + 0.5])
    lines, band = [], None
    told = [f"Points: x failed, {BEARS}"]
    if mean is not None and mean.value is not None:
        lines.append(PlotLine("mean strength", ends, np.full(2, mean.value), "fit"))
        spread_told = f", standard deviation {_shown(item, spread.value)}" if spread and spread.value is not None else ""
        told.append(f"line: mean strength {_shown(item, mean.value)}{spread_told}")
        if mean.low is not None and mean.high is not None:
            name = f"bounds of the mean, each {100 * given.confidence:.3g} %"
            band = _level_band(name, ends, mean.low, mean.high)
            told.append(f"band: {band.label}, {_shown(item, mean.low)} to {_shown(item, mean.high)}")
    lines += _level_limits(limits, ("variant",), ends)
    words = tuple(
        (s.specimen, "bore it to the end" if s.survived else "failed", f"at {_shown(item, s.value or 0.0)}",
         f"part {n} of {len(x)}")
        for n, s in enumerate(samples, 1)
    )  # fmt: skip
    points = PlotPoints("variant", x, y, "".join("o" if s.survived else "x" for s in samples), words, joined=True)
    return Plot("part, in the order tested", "", "load", _unit(item), tuple(lines), f"{'; '.join(told)}.", (), points, band,
                zero=False)  # fmt: skip


def _values(
    item: EvidenceItem, group: str, given: Any, samples: list[SampleIn], found: Evaluated, limits: Sequence[PlotLimit]
) -> Plot:
    """Values in the order of the parts with mean, limits and, of a series, the tolerance interval; what was left out
    stays visible."""
    left = [s for s in getattr(getattr(given, "left_out", None), group, None) or [] if s.value is not None]
    every = [*samples, *left]
    x, y = np.arange(1.0, len(every) + 1), np.array([sample.value for sample in every], float)
    ends, digits = np.array([0.5, len(every) + 0.5]), _digits(y)
    lines: list[PlotLine] = []
    told = []
    mean = found.value(group)
    series = item.quantity == "capability"
    signs = "".join(">" if s.survived else "x" if item.quantity == "life" else "o" for s in samples) + "-" * len(left)
    forms = (("o", "one value"), ("x", "failed"), (">", "stopped without failure"), ("-", "left out"))
    told.append(f"Points of the {group}: {', '.join(f'{sign} {words}' for sign, words in forms if sign in signs)}")
    band = None
    if mean is not None and mean.value is not None and found.value(f"spread_{group}") is not None:
        lines.append(PlotLine("mean", ends, np.full(2, mean.value), "fit"))
        told.append(f"line: mean {_shown(item, mean.value, digits)}")
        low, high = mean.low, mean.high
        name = "mean with its expanded uncertainty, 95 %"
        if series:
            low, high = (getattr(found.value(f"tolerance_{end}_{group}"), "value", None) for end in ("low", "high"))
            name = f"tolerance interval, {100 * (1 - given.share):.4g} % of the parts at {100 * given.confidence:.3g} %"
        if low is not None and high is not None and low < high:
            band = _level_band(name, ends, low, high)
            told.append(f"band: {name}, {_shown(item, low, digits)} to {_shown(item, high, digits)}")
        elif series and (low is not None or high is not None):
            end = low if low is not None else high
            lines.append(PlotLine("tolerance end", ends, np.full(2, end), "fit"))
            told.append(f"second line: {'lower' if low is not None else 'upper'} end of the {name}, {_shown(item, end, digits)}")
    lines += _own_limits(item, given, ends, digits) if series else []
    lines += _level_limits(limits, (group, f"smallest_{group}", f"largest_{group}", "specimen"), ends)
    words = tuple(
        (s.specimen, *(["left out"] if n > len(samples) else ["stopped, not failed"] if s.survived else []),
         f"{s.value:.12g} {_unit(item)}".rstrip(), f"part {n} of {len(every)}")
        for n, s in enumerate(every, 1)
    )  # fmt: skip
    name = {"life": "life"}.get(item.quantity, "value")
    points = PlotPoints(group, x, y, signs, words, joined=series)
    return Plot("part, in the order entered", "", name, _unit(item), tuple(lines), f"{'; '.join(told)}.", (), points, band,
                zero=False)  # fmt: skip


def _own_limits(item: EvidenceItem, given: Any, ends: np.ndarray, digits: int) -> list[PlotLine]:
    """The limits of the series itself."""
    pairs = (("lower limit", given.lower), ("upper limit", given.upper))
    return [PlotLine(f"{name} {_shown(item, at, digits)}", ends, np.full(2, at), "limit") for name, at in pairs if at is not None]


def _level_limits(limits: Sequence[PlotLimit], of: Sequence[str], ends: np.ndarray) -> list[PlotLine]:
    return [PlotLine(limit.words, ends, np.full(2, limit.value), "limit") for limit in limits if limit.of in of]


def _level_band(label: str, ends: np.ndarray, low: float, high: float) -> PlotBand:
    return PlotBand(label, (ends, np.full(2, low)), (ends, np.full(2, high)))


def _shown(item: EvidenceItem, value: float, digits: int = 4) -> str:
    return units.show_quantity(value, item.unit, None, digits)


def _digits(values: np.ndarray) -> int:
    """Digits with which values are told apart to a hundredth of their range."""
    span, most = float(np.ptp(values)), float(np.abs(values).max())
    return min(max(4, math.ceil(math.log10(most / span)) + 3), 9) if span else 4


def _unit(item: EvidenceItem) -> str:
    return "" if item.unit in ("-", "1") else item.unit
