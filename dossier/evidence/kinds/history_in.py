"""The load of a history: a known channel, the only column beside the time, or the only column there is."""

from __future__ import annotations

from itertools import takewhile

import numpy as np

from dossier import units
from dossier.evidence.channels import CLOCK, factor, split_unit
from dossier.evidence.encoding import head_lines, opened, size_of
from dossier.evidence.errors import EvaluationError, UnreadableFile, quoted, where
from dossier.evidence.form import ChannelReading, ReadingScheme
from dossier.evidence.kinds.curve_in import Shown, read
from dossier.evidence.numbers import complaint, value
from dossier.evidence.one_file import Asked
from dossier.evidence.reading import Curve, read_curve
from dossier.evidence.sniff import sniff

_LARGEST = 64 << 20
_FIRST = 1 << 15


def load_of(asked: Asked, shown: Shown) -> tuple[np.ndarray, list[str], list[str]]:
    """Load (n,) in the unit of the answer, notes and warnings. Raises UnreadableFile and EvaluationError."""
    channel = "torque" if shown.rotational else "force"
    alone = _one_column(asked, shown)
    if alone:
        return alone
    try:
        curve = read(asked, shown)
        return curve.channel(channel) * shown.force, list(curve.notes), list(curve.problems)
    except (UnreadableFile, EvaluationError) as error:
        found = _beside_time(asked, shown, channel)
        if found is None:
            raise error
        return found


def _beside_time(asked: Asked, shown: Shown, channel: str) -> tuple[np.ndarray, list[str], list[str]] | None:
    """The load in a table of two columns whose other one is the time; None for any other table."""
    try:
        form = sniff(asked.path)
    except UnreadableFile:
        return None
    unsure = not form.names_line and any("the comma may be the decimal mark" in doubt for doubt in form.doubts)
    if unsure or len(form.columns) != 2 or any(column.channel not in ("", "time") for column in form.columns):
        return None
    timed = next((column for column in form.columns if column.channel == "time"), form.columns[0])
    load = next(column for column in form.columns if column is not timed)
    if not load.numeric or (load.unit and not _is_of(load.unit, channel)):
        return None
    unit = load.unit or shown.force_unit
    readings = [ChannelReading(channel, load.number, load.name, unit)]
    if timed.numeric or timed.unit == CLOCK:
        readings.append(ChannelReading("time", timed.number, timed.name, timed.unit or "s"))
    curve = read_curve(asked.path, ReadingScheme.from_form(form, tuple(readings)), asked.progress, asked.cancel)
    if not timed.channel and not _runs(curve):
        return None
    told = [f'"{load.label}" is the only column beside the time; taken as {channel} in {unit}']
    return curve.channels[channel] * shown.force, list(curve.notes), [*told, *curve.problems]


def _is_of(unit: str, channel: str) -> bool:
    try:
        factor(unit, channel)
    except ValueError:
        return False
    return True


def _runs(curve: Curve) -> bool:
    """Whether the column taken as time rises throughout."""
    return "time" in curve.channels and bool((np.diff(curve.channels["time"]) > 0).all())


def _one_column(asked: Asked, shown: Shown) -> tuple[np.ndarray, list[str], list[str]] | None:
    """The load in a file of one number a line below its heading; None for a table of several columns."""
    texts = _lines(asked, _FIRST)
    decimal = "," if sum("," in text for _, text in texts) > sum("." in text for _, text in texts) else "."
    heading = list(takewhile(lambda row: value(row[1], decimal) is None, texts))
    either = not heading and decimal == ","  # the comma may stand between two columns
    if either or len(texts) - len(heading) < 2 or value(texts[len(heading) + 1][1], decimal) is None:
        return None
    rows = _lines(asked, _LARGEST)[len(heading) :]
    numbers = [value(text, decimal) for _, text in rows]
    if None in numbers:
        line, text = rows[numbers.index(None)]
        raise UnreadableFile(f"{where(asked.path.name, line, 1)}: {quoted(text)} {complaint(text, decimal)}")
    factor_to_asked, warnings = _unit_above(heading[-1][1] if heading else "", shown)
    return np.array(numbers, float) * factor_to_asked, ["one column: taken as the load"], warnings


def _lines(asked: Asked, limit: int) -> list[tuple[int, str]]:
    """Line numbers and texts, blank lines left out, of the first `limit` bytes; UnreadableFile for more than there may be."""
    name = asked.path.name
    with opened(asked.path, name) as handle:
        size = size_of(handle)
        if limit == _LARGEST < size:
            raise UnreadableFile(f"{name}: {size} bytes; one column of loads has at most {_LARGEST}; add a column of time")
        _, lines = head_lines(handle, name, size, limit)
    return [(number, line.strip(" ;,\t\"")) for number, line in enumerate(lines, 1) if line.strip()]


def _unit_above(heading: str, shown: Shown) -> tuple[float, list[str]]:
    """Factor from the unit in the heading to the one asked for."""
    _, unit = split_unit(heading.lstrip("#% "))
    if not unit:
        return 1.0, [f"the column states no unit; taken as {shown.force_unit}"]
    try:
        return factor(unit, "torque" if shown.rotational else "force")[0] * shown.force, []
    except units.UnitError as error:
        raise EvaluationError(f"the column is in {unit}, asked for is {shown.force_unit}: {error}") from error
