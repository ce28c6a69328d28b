"""Workings of the evaluations of evidence: mean with expanded uncertainty, ratio of the groups with its interval."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dossier import units
from dossier.methods.evidence_base import Evaluated, GroupsInput
from dossier.methods.working import Working

if TYPE_CHECKING:
    from dossier.evidence.equivalence import RatioComparison

WORDS = {"v": "variant", "r": "reference part"}
SHOWN = {"N/mm": "kN/mm", "N·mm/rad": "N·m/°"}  # units that a working is printed in, as the requirements are


def window_in_words(low: float, high: float, between: str, rotational: bool) -> str:
    """ "−11 .. 11 kN": the evaluated range, stored in N or N·mm by load and in mm or ° by travel, as it is printed."""
    if between == "load":
        low, high, unit = low / 1000, high / 1000, "N·m" if rotational else "kN"
    else:
        unit = "°" if rotational else "mm"
    return f"{low:g} .. {high:g} {unit}".replace("-", units.MINUS)


def mean_working(working: Working, mark: str, name: str, values: Sequence[float], unit: str, found: Evaluated) -> None:
    """Mean and expanded uncertainty of a group, from the printed single values."""
    symbols, shown = [], SHOWN.get(unit, unit)
    for number, value in enumerate(values, start=1):
        working.given(f"{mark}_{number}", f"{name}, part {number}", units.convert(value, unit, shown), shown)
        symbols.append(f"{mark}_{number}")
    count = len(values)
    working.line(f"m_{mark}", f"mean of the {name}", f"({' + '.join(symbols)})/{count}", shown, result=count > 1)
    value = found.value(name)
    if value is None or value.high is None or value.value is None or value.high <= value.value:
        return
    for number, line in enumerate(value.lines, start=1):
        working.given(f"u_{mark}{number}", f"{line.cause}, expanded", units.convert(line.plus, unit, shown), shown)
    squares = " + ".join(f"u_{mark}{number}²" for number in range(1, len(value.lines) + 1))
    working.line(f"U_{mark}", f"expanded uncertainty of the {name}, 95 %", f"√({squares})", shown)


def groups_working(working: Working, given: GroupsInput, unit: str, found: Evaluated) -> None:
    """Means of both groups, then their ratio. `found.detail` holds "means" of the groups and what was "compared"."""
    for name, mark in (("variant", "v"), ("reference", "r")):
        if name in found.detail["means"]:
            mean_working(working, mark, name, found.detail["means"][name], unit, found)
    batches = tuple([sample.batch for sample in group] for group in (given.variant, given.reference))
    ratio_working(working, found.detail.get("compared"), batches)


def ratio_working(working: Working, compared: RatioComparison | None, batches: tuple[Sequence[str], ...]) -> None:
    """Ratio of the geometric means with its 90 % interval, after both `mean_working`; nothing without a comparison.

    The reference's mean only keeps the logarithms small: it cancels. Pairs of batches where both groups have the same
    two or more, means of batches where their scatter was measured, else the groups as independent (Welch 1947, from
    memory), with an accepted scatter between batches where there is one.
    """
    if compared is None:
        return
    if compared.way == "pairs":
        _paired(working, compared, batches, sorted(set(batches[0])))
    elif compared.way == "measured":
        _batch_means(working, batches)
    else:
        _independent(working, compared)
    working.line("q", "ratio variant to reference part, geometric means", "exp(d)", "-", result=True)
    if compared.error > 0:
        words = f"Student's t, one-sided 95 %, {compared.freedom:.4g} degrees of freedom"
        working.given("t", words, _student(compared.freedom), "-", "scipy.special.stdtrit")
        working.line("q_low", "lower end of the 90 % interval", "exp(d − t·u)", "-", result=True)
        working.line("q_high", "upper end of the 90 % interval", "exp(d + t·u)", "-", result=True)


def _independent(working: Working, compared: RatioComparison) -> None:
    for mark, count in (("v", compared.variant_count), ("r", compared.reference_count)):
        logs = [f"ln({mark}_{number}/m_r)" for number in range(1, count + 1)]
        working.line(f"L_{mark}", f"mean logarithm of the {WORDS[mark]}", f"({' + '.join(logs)})/{count}", "-")
        squares = " + ".join(f"({log} − L_{mark})²" for log in logs)
        working.line(f"S_{mark}", f"its variance of single parts, {WORDS[mark]}", f"({squares})/{count - 1}", "-")
    working.line("d", "difference of the mean logarithms", "L_v − L_r", "-")
    standard = f"S_v/{compared.variant_count} + S_r/{compared.reference_count}"
    if compared.between:
        working.given("B", "variance from the accepted scatter between batches", compared.between, "-", compared.scope)
        standard += " + B"
    standard = f"√({standard})"
    working.line("u", "standard uncertainty of the difference", standard, "-")


def _batch_means(working: Working, batches: tuple[Sequence[str], ...]) -> None:
    """Means of the batches as single values of each group, their variance pooled."""
    counts, squares = [], []
    for mark, of_parts in (("v", batches[0]), ("r", batches[1])):
        names = sorted(set(of_parts))
        symbols = [f"b_{mark}{place}" for place in range(1, len(names) + 1)]
        for symbol, name in zip(symbols, names, strict=True):
            logs = [f"ln({mark}_{n}/m_r)" for n, batch in enumerate(of_parts, start=1) if batch == name]
            words = f"mean logarithm of batch {name}, {WORDS[mark]}"
            working.line(symbol, words, f"({' + '.join(logs)})/{len(logs)}", "-")
        mean = f"L_{mark}"
        working.line(mean, f"mean of the batches, {WORDS[mark]}", f"({' + '.join(symbols)})/{len(names)}", "-")
        squares += [f"({symbol} − {mean})²" for symbol in symbols]
        counts.append(len(names))
    working.line("d", "difference of the mean logarithms", "L_v − L_r", "-")
    words = f"variance between batches, pooled, {sum(counts) - 2} degrees of freedom"
    working.line("S_b", words, f"({' + '.join(squares)})/{sum(counts) - 2}", "-")
    standard = f"√(S_b/{counts[0]} + S_b/{counts[1]})"
    working.line("u", "standard uncertainty of the difference", standard, "-")


def _paired(
    working: Working, compared: RatioComparison, batches: tuple[Sequence[str], ...], names: list[str]
) -> None:
    steps = []
    for place, name in enumerate(names, start=1):
        means = []
        for mark, of_parts in (("v", batches[0]), ("r", batches[1])):
            logs = [f"ln({mark}_{n}/m_r)" for n, batch in enumerate(of_parts, start=1) if batch == name]
            means.append(f"({' + '.join(logs)})/{len(logs)}")
        working.line(f"d_{place}", f"difference of the mean logarithms, batch {name}", " − ".join(means), "-")
        steps.append(f"d_{place}")
    count = len(steps)
    working.line("d", "mean of the differences of the batches", f"({' + '.join(steps)})/{count}", "-")
    squares = " + ".join(f"({step} − d)²" for step in steps)
    working.line("u", "standard uncertainty of the mean", f"√(({squares})/{count - 1}/{count})", "-")


def _student(freedom: float) -> float:
    from scipy.special import stdtrit

    return float(stdtrit(freedom, 0.95))
