"""What a record's file may hold at all: text without control characters, finite numbers that JSON keeps, no bare dates.

Canonical JSON (RFC 8785), the history and the printed document hold each of these exactly, so everything else is
refused where a record is read or typed.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from datetime import date, time
from typing import Any

LARGEST_EXACT_INTEGER = 2**53 - 1
_NOT_TEXT = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff]")


def storable(value: Any) -> bool:
    """Whether a record can hold a plain value: the quick answer, `unstorable` has the words."""
    kind = type(value)
    if kind is str:
        return value.isprintable() or _NOT_TEXT.search(value) is None
    if kind is float:
        return math.isfinite(value)
    if kind is dict:
        return all(map(storable, value)) and all(map(storable, value.values()))
    if kind is list:
        return all(map(storable, value))
    return next(unstorable(value), None) is None


def unstorable(value: Any, field: str = "") -> Iterator[str]:
    """Each thing in a plain value that a record cannot hold, in words that name its dotted field."""
    if isinstance(value, str):
        found = _NOT_TEXT.search(value)
        if found:
            yield f"{field or 'the value'} holds {_name(found[0])}; remove it"
    elif isinstance(value, dict):
        for key, below in value.items():
            yield from unstorable(key, f"a field name of {field}" if field else "a field name")
            yield from unstorable(below, f"{field}.{_safe(key)}" if field else _safe(key))
    elif isinstance(value, list):
        for number, below in enumerate(value):
            yield from unstorable(below, f"{field}.{number}")
    elif isinstance(value, float) and not math.isfinite(value):
        yield f"{field} = {value} is not a finite number; correct it or leave the field out"
    elif isinstance(value, int) and abs(value) > LARGEST_EXACT_INTEGER:
        yield f"{field} = {_digits(value)} must lie within ±{LARGEST_EXACT_INTEGER}; give it as text"
    elif isinstance(value, date | time):
        yield f'{field} = {value.isoformat()} is a date without quotes; write it as "{value.isoformat()}"'


def _name(character: str) -> str:
    kind = "the lone surrogate" if "\ud800" <= character <= "\udfff" else "the control character"
    return f"{kind} U+{ord(character):04X}"


def _safe(key: Any) -> str:
    return _NOT_TEXT.sub("?", str(key))


def _digits(number: int) -> str:
    return str(number) if abs(number) < 10**20 else f"{number // 10 ** (number.bit_length() * 3 // 10 - 9)}…"
