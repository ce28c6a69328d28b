"""Numbers on an axis: steps of 1, 2 or 5 times a power of ten, and their labels."""

from __future__ import annotations

import math

import numpy as np


def tick_step(span: float, most: int) -> float:
    """Least step of the series 1-2-5 that puts at most `most` ticks on a positive `span`."""
    if not (span > 0 and math.isfinite(span)):
        return 1.0
    raw = span / max(most, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    return next(factor * power for factor in (1, 2, 5, 10, 20) if factor * power >= raw * (1 - 1e-9))


def ticks(low: float, high: float, most: int) -> list[float]:
    """Multiples of the step from `low` to `high`, zero written as 0.0."""
    step = tick_step(high - low, most)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [number * step for number in range(first, min(last, first + 10 * most) + 1)]


def tick_labels(values: list[float]) -> list[str]:
    """Labels with the decimals their common step needs; very large or small numbers with an exponent."""
    if not values:
        return []
    step = min((abs(b - a) for a, b in zip(values, values[1:], strict=False)), default=abs(values[0]) or 1.0)
    most = max(abs(value) for value in values)
    if most >= 1e6 or step < 1e-4:
        return ["0" if value == 0 else np.format_float_scientific(value, 3, trim="-", exp_digits=1) for value in values]
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return [f"{value + 0.0:.{decimals}f}" for value in values]
