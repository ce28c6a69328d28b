"""Bars of characters: the margin with its fixed zero, and a value's interval against limits."""

from __future__ import annotations

import math
from collections.abc import Sequence

EMPTY, ZERO, HELD, BROKEN, UNSURE = ".", "|", "=", "x", "?"
MOST_CELLS = 3
STEP = 0.10


def margin_bar(margin: float | None, undecided: bool = False, left: int = 2, right: int = 4) -> str:
    """A margin as text, its zero always at column `left`: `..|==..` held, `.x|....` not held, `..|?...` undecided.

    One cell per started 0.10, at most three; None (no margin) leaves the bar empty.
    """
    before, after = EMPTY * left, EMPTY * right
    if margin is None:
        return before + ZERO + after
    cells = 1 if undecided else min(MOST_CELLS, _started(margin, STEP))
    if margin >= 0:
        cells = min(cells, right)
        return before + ZERO + (UNSURE if undecided else HELD) * cells + EMPTY * (right - cells)
    cells = min(max(cells, 1), left)
    return EMPTY * (left - cells) + (UNSURE if undecided else BROKEN) * cells + ZERO + after


def margin_head(left: int = 2, right: int = 4) -> str:
    """Column head over margin bars: `..0....`."""
    return EMPTY * left + "0" + EMPTY * right


def margin_text(margin: float | None, absolute: bool = False) -> str:
    """A margin as signed number: two decimals, three where two would print a zero; `-` without a margin.

    Four significant digits when the margin is `absolute`, in the requirement's unit.
    """
    if margin is None or math.isnan(margin):
        return "-"
    if absolute:
        return f"{margin:+.4g}"
    if margin and abs(margin) < 0.005:
        return f"{margin:+.3f}" if abs(margin) >= 0.0005 else ("+<0.001" if margin > 0 else "-<0.001")
    return f"{margin + 0.0:+.2f}"


def _started(amount: float, step: float) -> int:
    return math.ceil(abs(amount) / step - 1e-9) if math.isfinite(amount) else MOST_CELLS


def interval_strip(
    axis: tuple[float, float], interval: tuple[float, float, float], limits: Sequence[float], columns: int
) -> str:
    """An interval (low, value, high) on an axis with its limits, `....<---|--o--->....`, in `columns` columns.

    One limit is drawn as `|`; of two the lower is `[` and the upper `]`. Signs stand in the order of their
    numbers, so that a limit inside the interval is always drawn inside it. Raises ValueError when the axis is
    empty or the columns do not hold the signs.
    """
    low, value, high = interval
    if axis[1] <= axis[0]:
        raise ValueError(f"axis from {axis[0]:g} to {axis[1]:g} is empty; give its lower end first")
    signs = [(low, "<"), (value, "o"), (high, ">")]
    marks = ("|",) if len(limits) == 1 else ("[", "]")
    signs += list(zip(sorted(limits), marks, strict=True)) if limits else []
    if columns < len(signs):
        raise ValueError(f"columns = {columns} must be at least {len(signs)}, one for each sign")
    # At equal numbers a limit lies outside the interval's ends: reaching the limit exactly still holds it.
    rank = {"<": 1, "o": 2, ">": 3, "[": 0, "]": 4, "|": 0 if limits and limits[0] <= value else 4}
    signs.sort(key=lambda entry: (entry[0], rank[entry[1]]))
    places = _places([entry[0] for entry in signs], axis, columns)
    line = [EMPTY] * columns
    ends = [place for place, (_, sign) in zip(places, signs, strict=True) if sign in "<>"]
    line[ends[0]:ends[1]] = "-" * (ends[1] - ends[0])
    for place, (_, sign) in zip(places, signs, strict=True):
        line[place] = sign
    return "".join(line)


def lives_strip(lives: Sequence[float], stopped: Sequence[bool], columns: int) -> str:
    """Lives from the least to the longest on a scale of their logarithm: `x` a failure, `>` a part stopped without one,
    a digit (`+` from ten) where several end at one place.

    Raises ValueError for lives all equal or not above 0, and for fewer than two columns.
    """
    low, high = min(lives), max(lives)
    if not 0 < low < high or columns < 2:
        raise ValueError(f"lives from {low:g} to {high:g} in {columns} columns; they must differ and lie above 0")
    found: dict[int, list[bool]] = {}
    for life, stop in zip(lives, stopped, strict=True):
        found.setdefault(round((columns - 1) * math.log(life / low) / math.log(high / low)), []).append(stop)
    line = [EMPTY] * columns
    for place, stops in found.items():
        single = ">" if stops[0] else "x"
        line[place] = single if len(stops) == 1 else str(len(stops)) if len(stops) < 10 else "+"
    return "".join(line)


def _places(numbers: Sequence[float], axis: tuple[float, float], columns: int) -> list[int]:
    """Column of each of the sorted numbers, all different and in order."""
    scale = (columns - 1) / (axis[1] - axis[0])
    places = [round(min(max((number - axis[0]) * scale, 0), columns - 1)) for number in numbers]
    for index in range(1, len(places)):
        places[index] = max(places[index], places[index - 1] + 1)
    excess = columns - 1
    for index in reversed(range(len(places))):
        places[index] = min(places[index], excess)
        excess = places[index] - 1
    return places
