"""Plain numbers as they are given: refused when they are none, with field, value and remedy."""

from __future__ import annotations

from math import isfinite
from numbers import Integral, Real


def checked_number(name: str, value: object, unit: str) -> float:
    """The value as float; raises ValueError for text, truth values, complex numbers, arrays, NaN and infinity.

    `unit` may be empty for a ratio.
    """
    if isinstance(value, bool) or not isinstance(value, Real):
        raise ValueError(f"{name} = {value!r} must be a number{unit and f' in {unit}'}; correct the entry")
    number = float(value)
    if not isfinite(number):
        raise ValueError(f"{name} = {number}{unit and f' {unit}'} must be a finite number; correct the entry")
    return number


def checked_whole(name: str, value: object, smallest: int, largest: int) -> int:
    """The value as int between two limits; raises ValueError."""
    whole = isinstance(value, Integral) or (isinstance(value, Real) and float(value).is_integer())
    if isinstance(value, bool) or not whole or not smallest <= value <= largest:  # type: ignore[operator]
        raise ValueError(f"{name} = {value!r} must be a whole number from {smallest} to {largest}; correct the entry")
    return int(value)  # type: ignore[call-overload]
