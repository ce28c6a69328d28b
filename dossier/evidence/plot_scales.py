"""Scales of plots: where values stand along an axis, and its ticks with the words printed at them."""

from __future__ import annotations

import math
from typing import Literal

ScaleKind = Literal["linear", "lg", "weibull"]
SHARES = (0.01, 0.02, 0.05, 0.10, 0.20, 0.50, 0.632, 0.80, 0.90, 0.99)
_FEW_DECADES, _NARROW = 2.5, 0.7
_STEPS = (1.0, 2.0, 5.0, 10.0)


def height(share: float) -> float:
    """Height on Weibull paper of a share that failed: ln(ln(1/(1 − share)))."""
    return math.log(-math.log1p(-share))


def number_at(kind: ScaleKind, at: float) -> float:
    """What a place along an axis stands for: the value, or of Weibull paper the share that failed in %."""
    if kind == "lg":
        return 10**at
    return -100 * math.expm1(-math.exp(at)) if kind == "weibull" else at


def ticks_of(kind: ScaleKind, low: float, high: float, most: int = 8) -> list[tuple[float, str]]:
    """Places between two ends of an axis of lg(value) or of Weibull paper, about `most` of them, each with its number."""
    if kind == "weibull":
        return [(height(share), f"{100 * share:.3g}") for share in SHARES if low <= height(share) <= high]
    if high - low < _NARROW:
        return _within_a_decade(10**low, 10**high, most)
    steps = (1, 2, 5) if high - low < _FEW_DECADES else (1,)
    every = max(1, math.ceil((high - low) / most)) if steps == (1,) else 1
    powers = [p for p in range(math.floor(low), math.ceil(high) + 1) if p % every == 0]
    return [(p + math.log10(s), _power(s, p)) for p in powers for s in steps if low <= p + math.log10(s) <= high]


def _within_a_decade(low: float, high: float, most: int) -> list[tuple[float, str]]:
    """Even steps of 1, 2 or 5 on a scale of the logarithm that spans less than one decade."""
    raw = (high - low) / most
    power = 10.0 ** math.floor(math.log10(raw))
    step = power * next(s for s in _STEPS if s * power >= raw * (1 - 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    digits = len(f"{round(last * step / step):d}") + 1
    return [(math.log10(number * step), _number(number * step, digits)) for number in range(first, last + 1)]


def _number(value: float, digits: int) -> str:
    if 1e-2 <= value < 1e4:
        return f"{value:.{max(digits, 4)}g}"
    mantissa, power = f"{value:.{digits}e}".split("e")
    return f"{float(mantissa):g}e{int(power)}"


def _power(step: int, power: int) -> str:
    return f"{step * 10.0**power:g}" if -2 <= power <= 3 else f"{step}e{power}"
