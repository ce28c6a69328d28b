"""Margin of a value against a limit, and the decision that follows from it and its uncertainty."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from dossier.records.requirement import Limit

Decision = Literal["met", "not met", "undecided"]


@dataclass(frozen=True)
class Margin:
    """Distance to the limit at the unfavourable end of the band; ≥ 0 is good.

    Relative (to the limit, or to half the width of a range) unless `absolute`, then in the requirement's unit.
    None means the kind of limit has no margin.
    """

    value: float | None
    absolute: bool = False


def margin(limit: Limit, low: float, high: float) -> Margin:
    """Margin of a value that lies between `low` and `high`, all in the requirement's unit.

    Maximum (limit − value)/|limit|, minimum (value − limit)/|limit|, range min(value − min, max − value) over
    half the width; a limit of 0 gives an absolute margin; target, pass/fail and capability have none.
    """
    if limit.kind == "max" and limit.max is not None:
        return _against(limit.max - high, limit.max)
    if limit.kind == "min" and limit.min is not None:
        return _against(low - limit.min, limit.min)
    if limit.kind == "range" and limit.min is not None and limit.max is not None:
        half = (limit.max - limit.min) / 2
        return Margin(min(low - limit.min, limit.max - high) / half)
    return Margin(None)


def _against(distance: float, limit: float) -> Margin:
    return Margin(distance / abs(limit)) if limit else Margin(distance, absolute=True)


def decide(limit: Limit, low: float, high: float) -> Decision | None:
    """Met when the whole band is within the limit, not met when all of it is beyond, else undecided.

    A capability with a least index is decided by it. None for kinds of limit that a number alone does not decide (target,
    pass/fail, capability in words).
    """
    if limit.kind == "max" and limit.max is not None:
        return _decide(high <= limit.max, low > limit.max)
    if limit.kind in ("min", "capability") and limit.min is not None:
        return _decide(low >= limit.min, high < limit.min)
    if limit.kind == "range" and limit.min is not None and limit.max is not None:
        return _decide(low >= limit.min and high <= limit.max, high < limit.min or low > limit.max)
    return None


def _decide(within: bool, beyond: bool) -> Decision:
    return "met" if within else "not met" if beyond else "undecided"


def limit_in_words(limit: Limit, unit: str) -> str:
    """The limit as a reader meets it: "47.6 .. 64.4 kN/mm", "≤ 1420 g", "≥ 1.3"."""
    spaced = "" if unit in ("-", "1") else f" {unit}"
    if limit.kind == "max":
        return f"≤ {_plain(limit.max)}{spaced}"
    if limit.kind == "min":
        return f"≥ {_plain(limit.min)}{spaced}"
    if limit.kind == "range":
        return f"{_plain(limit.min)} .. {_plain(limit.max)}{spaced}"
    if limit.kind == "target":
        return f"target {_plain(limit.nominal)}{spaced}"
    return limit.criterion


def _plain(number: float | None) -> str:
    return "–" if number is None else f"{number:.10g}".replace("-", "−")
