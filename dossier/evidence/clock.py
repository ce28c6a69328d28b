"""Time of day and time stamps as machines write them, in seconds."""

from __future__ import annotations

import re
from datetime import date

import numpy as np

DAY = 86400.0
_DATE = r"(?:(\d{4})-(\d{2})-(\d{2})|(\d{1,2})[./](\d{1,2})[./](\d{4}))"
_TIME = r"(\d{1,3}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s*([AaPp][Mm])?"
_STAMP = re.compile(rf"(?:{_DATE}[T\s]\s*)?{_TIME}\s*(?:Z|[+\-]\d{{2}}:?\d{{2}})?", re.ASCII)
_DATE_GROUPS, _OTHER_DATE_GROUPS, _CLOCK_GROUPS, _HALF = (1, 2, 3), (6, 5, 4), (7, 8, 9, 10), 11
_WIDEST, _WAYS = 48, 8


def seconds(text: str) -> float | None:
    """Seconds since midnight, or since the year 1 where a date stands before; None for any other text.

    "10:14:03.25", "10:14:03,25", "2:05:10 PM", "2026-03-12T10:14:03.250Z", "12.03.2026 10:14:03". The order of a
    date with points or slashes is day, month, year.
    """
    match = _STAMP.fullmatch(text.strip())
    if not match:
        return None
    year, month, day, other_day, other_month, other_year, hour, minute, second, part, half = match.groups()
    if int(minute) > 59 or int(second or 0) > 60:
        return None
    hours = int(hour) % 12 + (12 if half.lower() == "pm" else 0) if half else int(hour)
    found = 3600.0 * hours + 60.0 * int(minute) + int(second or 0) + (int(part) / 10 ** len(part) if part else 0.0)
    if year or other_year:
        try:
            found += DAY * date(int(year or other_year), int(month or other_month), int(day or other_day)).toordinal()
        except ValueError:
            return None
    return found


def clock_column(characters: np.ndarray, starts: np.ndarray, ends: np.ndarray) -> np.ndarray | None:
    """Seconds (n,) of the stamps that stand from `starts` (n,) to `ends` (n,) in `characters` (m,) uint8, each as `seconds`
    gives it; None where one is no stamp or they are written in more than a few ways."""
    found, widths = np.empty(len(starts)), ends - starts
    for width in np.unique(widths):
        places = np.flatnonzero(widths == width)
        if not 0 < width <= _WIDEST:
            return None
        written = characters[starts[places][:, None] + np.arange(width)]
        shapes = np.where(_digits(written), ord("0"), written)
        for _ in range(_WAYS):
            alike = (shapes == shapes[0]).all(axis=1)
            values = _of_one_shape(written[alike])
            if values is None:
                return None
            found[places[alike]] = values
            places, written, shapes = places[~alike], written[~alike], shapes[~alike]
            if not len(places):
                break
        else:
            return None
    return found


def _digits(characters: np.ndarray) -> np.ndarray:
    return (characters >= ord("0")) & (characters <= ord("9"))


def _of_one_shape(written: np.ndarray) -> np.ndarray | None:
    """Seconds of stamps (n, width) that have digits in the same places and the same characters beside them."""
    text = written[0].tobytes().decode("latin-1")
    match = _STAMP.fullmatch(text.strip())
    if not match:
        return None
    shift = len(text) - len(text.lstrip())

    def number(group: int) -> np.ndarray:
        start, end = match.span(group)
        if start < 0:
            return np.zeros(len(written), np.int64)
        return (written[:, shift + start : shift + end].astype(np.int64) - ord("0")) @ 10 ** np.arange(end - start)[::-1]

    hour, minute, second, part = (number(group) for group in _CLOCK_GROUPS)
    if (minute > 59).any() or (second > 60).any():
        return None
    if match[_HALF]:
        hour = hour % 12 + (12 if match[_HALF].lower() == "pm" else 0)
    digits = len(match[_CLOCK_GROUPS[-1]] or "")
    found = 3600.0 * hour + 60.0 * minute + second + part / 10**digits
    dated = _DATE_GROUPS if match[_DATE_GROUPS[0]] else _OTHER_DATE_GROUPS
    if not match[dated[0]]:
        return found
    days = _days(*(number(group) for group in dated))
    return None if days is None else found + DAY * days


def _days(year: np.ndarray, month: np.ndarray, day: np.ndarray) -> np.ndarray | None:
    """Days since the year 1 (n,); None where there is no such day."""
    dates, which = np.unique(10_000 * year + 100 * month + day, return_inverse=True)
    try:
        days = [date(each // 10_000, each // 100 % 100, each % 100).toordinal() for each in dates.tolist()]
        return np.array(days, float)[which]
    except ValueError:
        return None


def running(stamps: np.ndarray) -> np.ndarray:
    """Seconds (n,) from the first of `stamps` (n,) on; a step back by most of a day is midnight passed."""
    days = np.concatenate(([0.0], np.cumsum(np.diff(stamps) < -DAY / 2)))
    return stamps - stamps[0] + DAY * days
