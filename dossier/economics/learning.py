"""Learning curves: time per piece falls with every doubling of the quantity.

Two models carry the same rate and differ: Wright's rate is about the cumulative AVERAGE time of all pieces so far,
Crawford's about the time of the single UNIT. Name the model beside the rate.
"""

from __future__ import annotations

from math import log2
from typing import Literal

Model = Literal["cumulative_average", "unit_time"]
_EXACT = 2000


def exponent(rate: float) -> float:
    """log2 of the rate; `rate` is the share of the time left at twice the quantity, 0 < rate ≤ 1.

    Raises ValueError naming rate, limit and remedy.
    """
    if not 0 < rate <= 1:
        raise ValueError(f"learning_rate = {rate:g} must lie above 0 and at most at 1; 1 means no learning")
    return log2(rate)


def unit_time(first: float, number: float, rate: float) -> float:
    """Time of piece `number` after Crawford, in the unit of `first`, the time of the first piece."""
    return first * number ** exponent(rate)


def unit_total(first: float, count: int, rate: float) -> float:
    """Time of the first `count` pieces together after Crawford.

    The sum is exact up to 2000 pieces; beyond, the rest follows from Euler and Maclaurin's formula, whose first
    neglected term is below 1e-12 of the sum.
    """
    power = exponent(rate)
    exact = sum(number**power for number in range(1, min(count, _EXACT) + 1))
    if count <= _EXACT:
        return first * exact
    low, high = float(_EXACT), float(count)
    area = (high ** (power + 1) - low ** (power + 1)) / (power + 1) if power > -1 else _logarithm(low, high)
    ends = (high**power - low**power) / 2
    slopes = power * (high ** (power - 1) - low ** (power - 1)) / 12
    return first * (exact + area + ends + slopes)


def _logarithm(low: float, high: float) -> float:
    from math import log

    return log(high / low)


def average_time(first: float, count: int, rate: float, model: Model) -> float:
    """Mean time of the first `count` pieces: Wright (cumulative_average) or Crawford (unit_time)."""
    if count < 1:
        raise ValueError(f"count = {count} must be at least 1; give the pieces made over the whole life")
    if model == "cumulative_average":
        return first * count ** exponent(rate)
    return unit_total(first, count, rate) / count


def first_time(time: float, at: float, rate: float) -> float:
    """Time of the first piece from the time known at piece `at` (unit_time) or as mean up to it (cumulative)."""
    return time / at ** exponent(rate)
