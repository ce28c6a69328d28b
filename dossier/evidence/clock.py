"""Time of day and time stamps as machines write them, in seconds."""

from __future__ import annotations

import re
from datetime import date

import numpy as np

DAY = 86400.0
_DATE = r"(?:(\d{4})-(\d{2})-(\d{2})|(\d{1,2})[./](\d{1,2})[./](\d{4}))"
_TIME = r"(\d{1,3}):(\d{2})(?::(\d{2})(?:[.,](\d{1,9}))?)?\s*([AaPp][Mm])?"
_STAMP = re.compile(rf"(?:{_DATE}[T\s]\s*)?{_TIME}\s*(?:Z|[+\-]\d{{2}}:?\d{{2}})?", re.ASCII)


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


def running(stamps: np.ndarray) -> np.ndarray:
    """Seconds (n,) from the first of `stamps` (n,) on; a step back by most of a day is midnight passed."""
    days = np.concatenate(([0.0], np.cumsum(np.diff(stamps) < -DAY / 2)))
    return stamps - stamps[0] + DAY * days
