"""Life to a loss of stiffness from one file: a table over cycles, or the recorded cycles themselves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from dossier import units
from dossier.evidence.channel_words import named_channel
from dossier.evidence.channels import factor
from dossier.evidence.columns import NamedColumn, NamedTable, read_named
from dossier.evidence.cycle_table import cycle_table
from dossier.evidence.durability import FEWEST, Durability, evaluate_durability, stiffness_of
from dossier.evidence.errors import EvaluationError, UnreadableFile
from dossier.evidence.kinds.curve_in import Shown, load_and_travel, read, shown_units
from dossier.evidence.one_file import Asked

USUAL_LOSS = 0.2
_CYCLES = ("cycle", "zyklen", "zyklus", "lastspiel", "schwingspiel", "lastwechsel", "count", "n")
_STIFFNESS = ("stiffness", "steifigkeit", "stiff", "raideur", "rate")
_LOAD, _TRAVEL, _AMPLITUDE = ("force", "torque"), ("displacement", "angle"), ("amp",)
_HIGHEST, _LOWEST = ("max", "peak", "upper", "ober"), ("min", "valley", "lower", "unter")
_THOUSANDS = {"k": 1e3, "kcycles": 1e3, "1000": 1e3, "10^3": 1e3, "Mio": 1e6, "10^6": 1e6}


@dataclass(frozen=True)
class _Course:
    """Columns over cycles; stiffness in the units of the answer."""

    cycles: np.ndarray
    stiffness: np.ndarray
    temperature: np.ndarray | None
    damping: np.ndarray | None
    time: np.ndarray | None
    warnings: list[str]


def answer(asked: Asked) -> dict[str, Any]:
    """The answer of kind durability (one_file.evaluate_file)."""
    shown = shown_units(asked)
    course = _course(asked, shown)
    loss = asked.loss or USUAL_LOSS
    if asked.loss is None:
        course.warnings.append(f"no loss given; the life ends at {USUAL_LOSS:.0%} loss of stiffness")
    found = evaluate_durability(
        course.cycles, course.stiffness, loss=_against(asked, course, loss), reference_cycles=asked.reference_cycles,
        temperature=course.temperature, damping=course.damping, time=course.time,
    )  # fmt: skip
    return {**_figures(found, len(course.cycles), shown), "warnings": course.warnings}


def _figures(found: Durability, rows: int, shown: Shown) -> dict[str, Any]:
    return {
        "rows": rows, "life": found.life, "life_error": found.life_error, "censored": found.censored, "cycles": found.applied,
        "loss": found.loss, "reference_stiffness": found.reference_stiffness, "reference_cycles": found.reference_cycles,
        "limit": found.limit, "end_loss": found.end_loss, "temperature_max": found.temperature_max,
        "damping_reference": found.damping_reference, "damping_end": found.damping_end,
        "stiffness_unit": f"{shown.force_unit}/{shown.displacement_unit}", "restarts": len(found.restarts),
        "notes": list(found.notes),
    }  # fmt: skip


def _against(asked: Asked, course: _Course, loss: float) -> float:
    """The loss against the stiffness the evaluation takes as reference, where the criterion is stated against a nominal one."""
    if asked.nominal_stiffness is None or asked.reference_cycles is not None:
        return loss
    level = evaluate_durability(course.cycles, course.stiffness, loss=loss).reference_stiffness
    against = 1 - (1 - loss) * asked.nominal_stiffness / level
    if not 0 < against < 1:
        raise EvaluationError(
            f"the stiffness begins at {level:.4g}, not above {1 - loss:.0%} of nominal_stiffness = {asked.nominal_stiffness:g}; "
            "check its unit, or state reference_cycles instead"
        )
    course.warnings.append(f"the loss counts from the nominal stiffness {asked.nominal_stiffness:g}")
    return against


def _course(asked: Asked, shown: Shown) -> _Course:
    try:
        table = read_named(asked.path)
    except UnreadableFile:
        return _of_recorded(asked, shown)
    counter = _counter(table)
    stiffness = _stiffness(table, shown)
    return _of_table(table, counter, *stiffness) if counter and stiffness else _of_recorded(asked, shown)


def _counter(table: NamedTable) -> NamedColumn | None:
    for word in _CYCLES:
        for column in table.columns:
            if column.numeric and (word in column.name.casefold() if len(word) > 1 else column.name.strip().casefold() == word):
                return column
    return None


def _of_table(table: NamedTable, counter: NamedColumn, stiffness: np.ndarray, warnings: list[str]) -> _Course:
    cycles = _numbers(counter) * _THOUSANDS.get(counter.unit, 1.0)
    temperature = table.first("temp", numeric=True)
    damping = table.first("damping", "loss factor", "tan", "dämpfung", "loss angle", "energy", numeric=True)
    time = table.first("time", "zeit", numeric=True)
    return _Course(
        cycles, stiffness, _optional(temperature), _optional(damping), _seconds(time), warnings
    )  # fmt: skip


def _stiffness(table: NamedTable, shown: Shown) -> tuple[np.ndarray, list[str]] | None:
    """Stiffness in the units of the answer, from its own column or from both amplitudes."""
    wanted = f"{shown.force_unit}/{shown.displacement_unit}"
    column = table.first(*_STIFFNESS, numeric=True)
    if column is not None:
        scale, warnings = _scale(column, wanted)
        return scale * _numbers(column), warnings
    load, travel = _end(table, _LOAD, _AMPLITUDE), _end(table, _TRAVEL, _AMPLITUDE)
    if load is None or travel is None:
        return _of_ends(table, shown)
    force, told = _scale(load, shown.force_unit)
    path, also = _scale(travel, shown.displacement_unit)
    return stiffness_of(force * _numbers(load), path * _numbers(travel)), [*told, *also]


def _of_ends(table: NamedTable, shown: Shown) -> tuple[np.ndarray, list[str]] | None:
    """Stiffness from the largest and smallest load and travel of each row; None where one of the four is missing."""
    ways, warnings = [], []
    for channels, unit in ((_LOAD, shown.force_unit), (_TRAVEL, shown.displacement_unit)):
        ends = [_end(table, channels, words) for words in (_HIGHEST, _LOWEST)]
        if None in ends:
            return None
        scaled = []
        for column in ends:
            scale, told = _scale(column, unit)
            scaled.append(scale * _numbers(column))
            warnings += told
        ways.append((scaled[0] - scaled[1]) / 2)
    return stiffness_of(ways[0], ways[1]), warnings


def _end(table: NamedTable, channels: tuple[str, ...], words: tuple[str, ...]) -> NamedColumn | None:
    return next((
        column for column in table.columns
        if column.numeric and column.called(words) and named_channel(column.name) in channels
    ), None)  # fmt: skip


def _scale(column: NamedColumn, wanted: str) -> tuple[float, list[str]]:
    if not column.unit:
        return 1.0, [f'"{column.name}" states no unit; taken as {wanted}']
    top, _, bottom = column.unit.partition("/")
    target, _, below = wanted.partition("/")
    try:
        return _ratio(top, target, "force", "torque", "displacement", "angle") / (
            _ratio(bottom, below, "displacement", "angle") if below else 1.0
        ), []
    except units.UnitError as error:
        raise EvaluationError(f'"{column.name}" is in {column.unit}, asked for is {wanted}: {error}') from error


def _ratio(unit: str, wanted: str, *channels: str) -> float:
    """How many of `wanted` one `unit` is, both units of one of `channels`; units.UnitError if they are not."""
    for channel in channels:
        try:
            return factor(unit, channel)[0] / factor(wanted, channel)[0]
        except units.UnitError:
            continue
    return units.convert(1.0, unit, wanted)


def _numbers(column: NamedColumn) -> np.ndarray:
    return np.array([np.nan if number is None else number for number in column.numbers])


def _optional(column: NamedColumn | None) -> np.ndarray | None:
    return None if column is None else _numbers(column)


def _seconds(column: NamedColumn | None) -> np.ndarray | None:
    if column is None:
        return None
    try:
        return _numbers(column) * (units.convert(1.0, column.unit, "s") if column.unit else 1.0)
    except units.UnitError:
        return None


def _of_recorded(asked: Asked, shown: Shown) -> _Course:
    """The course of every recorded cycle of a force–displacement record."""
    curve = read(asked, shown)
    load, travel = load_and_travel(curve, shown)
    table = cycle_table(travel, load)
    if len(table.cycles) < FEWEST:
        raise EvaluationError(
            f"{curve.file}: {len(table.cycles)} cycles in {curve.rows} recorded rows; at least {FEWEST} are needed for a course "
            "over cycles: give a longer record, or a table with a column of cycles and one of stiffness"
        )
    return _Course(
        table.cycles, table.stiffness * shown.stiffness, None, table.damping, None,
        [*curve.problems, "no table over cycles; every recorded cycle counts from 1"],
    )  # fmt: skip
