"""A measured file read without a saved reading scheme: its form is found, its columns are known by name and unit."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from dossier.evidence.channel_words import named_channel
from dossier.evidence.channels import STORED, factor
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.form import ChannelReading, Column, FileForm, ReadingScheme
from dossier.evidence.reading import Curve, Progress, read_curve
from dossier.evidence.sniff import sniff

_NEEDED = ("force", "displacement", "torque", "angle", "time")
_ENCLOSED = re.compile(r"\[\s*([^\W\d_]+)\s*\]\s*$")
_LAST_WORD = re.compile(r"(?:[\s/_(,{<])([^\W\d_]+)[)}>]?\s*$")
_OTHER_UNITS = ("furlong", "furlongs", "yard", "yards", "yd", "mile", "miles", "fathom", "thou", "ton", "tons", "tonf", "tf",
                "oz", "ozf", "dyn", "dyne", "poundal", "pdl", "gon", "turn", "turns", "rev", "revs")  # fmt: skip
_MEASURED = {False: ("force", "displacement"), True: ("torque", "angle")}

def open_table(
    path: Path | str,
    *,
    force_unit: str | None = None,
    displacement_unit: str | None = None,
    rotational: bool = False,
    progress: Progress | None = None,
    cancel: Callable[[], bool] | None = None,
) -> Curve:
    """The curve in the file at `path`, channels in stored units.

    A column without a unit is taken to be in `force_unit` or `displacement_unit` (of torque and angle where
    `rotational`; stored units where none is given), which the curve's problems say. Raises UnreadableFile for a
    file whose form or whose columns cannot be told, and Cancelled.
    """
    form = sniff(path)
    given = dict(zip(_MEASURED[rotational], (force_unit, displacement_unit), strict=True))
    readings, asked = _readings(form, given)
    if not readings:
        there = ", ".join(f'"{column.label}"' for column in form.columns)
        raise UnreadableFile(
            f"{form.file}: no column is known by its name or unit among {there}; expected names such as force, displacement, "
            "time: name the columns, or save a reading scheme (dossier scheme) that says what they are"
        )
    curve, left = _read(path, form, readings, progress, cancel)
    told = (*(doubt for doubt in form.doubts if "has no unit" not in doubt and "both look like" not in doubt), *curve.notes)
    rivals = [doubt for doubt in form.doubts if "both look like" in doubt]
    return replace(curve, notes=(*told, *left), problems=(*asked, *rivals, *curve.problems))


def _read(
    path: Path | str, form: FileForm, readings: list[ChannelReading],
    progress: Progress | None, cancel: Callable[[], bool] | None,
) -> tuple[Curve, list[str]]:  # fmt: skip
    """The curve; where a channel that is only read along (temperature, a counter) is broken, without those."""
    try:
        return read_curve(path, ReadingScheme.from_form(form, tuple(readings)), progress, cancel), []
    except UnreadableFile as error:
        needed = [reading for reading in readings if reading.channel in _NEEDED]
        if not needed or len(needed) == len(readings):
            raise
        broken = str(error)
    except ValueError as error:
        raise UnreadableFile(f"{form.file}: {error}") from error
    curve = read_curve(path, ReadingScheme.from_form(form, tuple(needed)), progress, cancel)
    return curve, [f"only {', '.join(curve.channels)} read: {broken}"]


def _readings(form: FileForm, given: dict[str, str | None]) -> tuple[list[ChannelReading], list[str]]:
    """What each known column is read as, and what a person must judge about it."""
    readings, asked = [], []
    for column in form.columns:
        if not column.channel:
            continue
        if column.unit and not _fits(column):
            if column.channel in given:
                _refuse_unit(form, column)
            continue
        if not column.unit and column.channel in given and (unknown := _unknown_unit(column.name)):
            _refuse_unit(form, replace(column, unit=unknown))
        unit = column.unit or given.get(column.channel) or STORED[column.channel]
        if not column.unit and column.channel != "cycles":
            asked.append(f'"{column.label}" states no unit; taken as {unit}')
        named = named_channel(column.name)
        if named not in ("", column.channel) and column.unit:
            asked.append(f'"{column.label}" sounds like {named}, its unit {column.unit} says {column.channel}; read as that')
        readings.append(ChannelReading(column.channel, column.number, column.name, unit))
    return readings, asked


def _unknown_unit(name: str) -> str:
    """What a name states in square brackets, or as the word of a unit that is not accepted; "" if it does neither."""
    enclosed = _ENCLOSED.search(name)
    last = _LAST_WORD.search(name)
    return enclosed[1] if enclosed else last[1] if last and last[1].casefold() in _OTHER_UNITS else ""


def _refuse_unit(form: FileForm, column: Column) -> None:
    """Raise UnreadableFile for the load or the travel in an unknown unit; other such columns are left out."""
    raise UnreadableFile(
        f'{form.file}: "{column.label}" is in "{column.unit}"; expected a unit of {column.channel} such as '
        f"{STORED[column.channel]}: correct the heading, or export in such a unit"
    )


def _fits(column: Column) -> bool:
    try:
        factor(column.unit, column.channel)
    except ValueError:
        return False
    return True
