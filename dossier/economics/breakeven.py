"""Investment: break-even quantity, net present value, internal rate of return, capital recovery.

Money in EUR, interest as a share per year, times in years.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

NO_BREAK_EVEN = "there is no break-even"


@dataclass(frozen=True)
class BreakEven:
    """Pieces and years after which the one-off cost has come back; both None if it never does."""

    pieces: float | None
    years: float | None

    def __str__(self) -> str:
        if self.pieces is None or self.years is None:
            return NO_BREAK_EVEN
        return f"break-even at {_whole(self.pieces)} pieces, {self.years:.3g} years"


def _whole(number: float) -> str:
    return f"{float(f'{number:.3g}'):,.0f}".replace(",", " ")


def break_even(one_off: float, gain: float, annual_volume: float) -> BreakEven:
    """n = one-off cost / gain per piece; none when a piece gains nothing and something was paid.

    `gain` is the reference's unit cost less the variant's plus the worth of the weight saved, in EUR per piece.
    """
    if annual_volume <= 0:
        raise ValueError(f"annual_volume = {annual_volume:g} must exceed 0; give the pieces per year")
    if one_off <= 0 <= gain:
        return BreakEven(0.0, 0.0)
    if gain <= 0:
        return BreakEven(None, None)
    return BreakEven(one_off / gain, one_off / gain / annual_volume)


def capital_recovery(rate: float, years: int) -> float:
    """Yearly payment, at the end of each year, that recovers 1 EUR within `years` at interest `rate`."""
    if years < 1:
        raise ValueError(f"years = {years} must be at least 1; give the years of production")
    if rate == 0:
        return 1 / years
    return rate / (1 - (1 + rate) ** -years)


def present_value(rate: float, flows: Sequence[float]) -> float:
    """Net present value of flows at the ends of years 0, 1, 2 …"""
    return sum(flow / (1 + rate) ** year for year, flow in enumerate(flows))


def level_flows(one_off: float, yearly: float, years: int) -> list[float]:
    """Flows of an investment now that brings the same at the end of every year."""
    return [-one_off, *([yearly] * years)]


def internal_rate(flows: Sequence[float], lowest: float = -0.99, highest: float = 10.0) -> float | None:
    """Interest at which the net present value is 0, or None when it keeps its sign between the two rates.

    For flows that change their sign once there is one such rate at most.
    """
    from scipy.optimize import brentq

    low, high = present_value(lowest, flows), present_value(highest, flows)
    if (low > 0) == (high > 0):
        return None
    return float(brentq(lambda rate: present_value(rate, flows), lowest, highest, xtol=1e-12))
