"""A measured file read without a saved reading scheme: its form is found, its columns are known by name and unit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from dossier.evidence.channels import STORED, factor
from dossier.evidence.errors import UnreadableFile
from dossier.evidence.form import ChannelReading, Column, FileForm, ReadingScheme
from dossier.evidence.reading import Curve, read_curve
from dossier.evidence.sniff import sniff


def open_table(
    path: Path | str,
    *,
    force_unit: str | None = None,
    displacement_unit: str | None = None,
    rotational: bool = False,
    progress: Callable[[float], None] | None = None,
    cancel: Callable[[], bool] | None = None,
) -> Curve:
    """The curve in the file at `path`, channels in stored units.

    A column without a unit is taken to be in `force_unit` or `displacement_unit` (of torque and angle where
    `rotational`; stored units where none is given), which the curve's problems say. Raises UnreadableFile for a
    file whose form or whose columns cannot be told, and Cancelled.
    """
    form = sniff(path)
    given = {("torque" if rotational else "force"): force_unit, ("angle" if rotational else "displacement"): displacement_unit}
    readings, assumed = _readings(form, {name: unit for name, unit in given.items() if unit})
    if not readings:
        there = ", ".join(f'"{column.label}"' for column in form.columns)
        raise UnreadableFile(
            f"{form.file}: no column is known by its name or unit among {there}; expected names such as force, displacement, "
            "time: name the columns, or save a reading scheme (dossier scheme) that says what they are"
        )
    try:
        scheme = ReadingScheme.from_form(form, tuple(readings))
    except ValueError as error:
        raise UnreadableFile(f"{form.file}: {error}") from error
    curve = read_curve(path, scheme, progress, cancel)
    return replace(curve, notes=(*form.doubts, *curve.notes), problems=(*assumed, *curve.problems))


def _readings(form: FileForm, given: dict[str, str]) -> tuple[list[ChannelReading], list[str]]:
    readings, assumed = [], []
    for column in form.columns:
        if not column.channel:
            continue
        unit = column.unit if column.unit and _fits(column) else given.get(column.channel) or STORED[column.channel]
        if not column.unit:
            assumed.append(f'"{column.label}" states no unit; taken as {unit}')
        readings.append(ChannelReading(column.channel, column.number, column.name, unit))
    return readings, assumed


def _fits(column: Column) -> bool:
    try:
        factor(column.unit, column.channel)
    except ValueError:
        return False
    return True
