"""One measured file judged without a project."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from dossier.evidence.errors import EvaluationError, RefusedFile, UnreadableFile

KINDS = ("static", "dynamic", "durability", "press", "load_history", "equivalence", "life")
DIRECTIONS = ("radial", "axial", "torsional", "conical")
OPERATIONS = ("press_in", "push_out")


@dataclass(frozen=True)
class Asked:
    """What is asked of one file; the fields are the arguments of `evaluate_file`."""

    path: Path
    direction: str | None = None
    force_window: tuple[float, float] | None = None
    force_unit: str | None = None
    displacement_unit: str | None = None
    cycle: int | None = None
    fixture_compliance: float | None = None
    channel_delay_s: float | None = None
    moving_mass_kg: float | None = None
    nominal_stiffness: float | None = None
    reference_cycles: float | None = None
    loss: float | None = None
    sn_range: float | None = None
    sn_cycles: float | None = None
    exponents: tuple[float, ...] | None = None
    margin: float | tuple[float, float] | None = None
    operation: str | None = None
    press_length: float | None = None
    progress: Callable[[float, int], None] | None = None
    cancel: Callable[[], bool] | None = None


def evaluate_file(
    path: str | Path,
    *,
    kind: str,
    direction: str | None = None,
    force_window: Sequence[float] | None = None,
    force_unit: str | None = None,
    displacement_unit: str | None = None,
    cycle: int | None = None,
    fixture_compliance: float | None = None,
    channel_delay_s: float | None = None,
    moving_mass_kg: float | None = None,
    nominal_stiffness: float | None = None,
    reference_cycles: float | None = None,
    loss: float | None = None,
    sn_range: float | None = None,
    sn_cycles: float | None = None,
    exponents: Sequence[float] | float | None = None,
    margin: float | Sequence[float] | None = None,
    operation: str | None = None,
    press_length: float | None = None,
    progress: Callable[[float, int], None] | None = None,
    cancel: Callable[[], bool] | None = None,
) -> dict[str, Any]:
    """Evaluate one measured file as `kind` says and answer with plain numbers, texts, lists and mappings.

    Units. `force_unit` and `displacement_unit` are the units of the answer and of every number given here
    (default N and mm; for direction torsional or conical N·m and °, the torque and the angle standing for
    force and displacement). A column that states another unit is converted; one that states none is taken to
    be in the unit asked for, which is warned of. Stiffness is force_unit per displacement_unit, energy and
    work are in J whatever the units.

    static: `force_window` (low, high) between which the secant of the loading branch is taken (default: the
    inner 80 % of the loads of the cycle); `cycle` from 1 (default the 4th, or the last complete one);
    `fixture_compliance` in displacement_unit per force_unit; `nominal_stiffness` against which a wrong unit
    is noticed. Answer: rows, force_min, force_max, displacement_min, displacement_max, stiffness (as
    recorded), stiffness_part (fixture subtracted), energy, residual, cycle, cycles, signs (most certain
    first: kind, row from 0, displacement, cycle, confidence, words), warnings.
    dynamic: `channel_delay_s` by which the force was recorded later than the displacement, `moving_mass_kg`
    between specimen and force transducer. Answer: frequency (Hz), dynamic_stiffness, loss_angle (°),
    distortion (share of the force), amplitude and mean, steps, warnings.
    durability: `loss` as a fraction of the stiffness at `reference_cycles` (of `nominal_stiffness` where that
    alone is given; else of the first settled rows). Answer: life (None if not reached), censored, cycles,
    stiffness at reference and end, temperature_max, warnings.
    press: `operation` press_in or push_out, `press_length` in displacement_unit. Answer: peak_force,
    end_force, work, travel_of_peak, scored, warnings.
    load_history: S–N lines through `sn_range` (force_unit) at `sn_cycles` with each of `exponents`. Answer:
    rows, cycles, damage (exponent → sum over the history), largest_range, warnings.
    equivalence: a table with a column for the group (or one column each) and optionally the batch; `margin`
    as a fraction (0.1: ratio 0.9 to 1.1) or (low, high). Answer: ratio, ratio_interval (90 %), equivalent
    (True where the interval lies inside the margin; None where it does but the groups are of other batches,
    whose difference may stand in it), quantities (each column of values; all must pass), warnings.
    life: a table of lives and whether each failed. Answer: weibull_shape, weibull_scale, their 90 % bounds,
    failures, censored (their number), warnings.

    `progress` is given the share read (0 … 1) and the rows so far; `cancel` is asked between blocks. Raises RefusedFile for every
    file and every argument that cannot be evaluated, and Cancelled when `cancel` answered True.
    """
    import numpy as np

    asked = Asked(
        Path(path), direction, _pair("force_window", force_window), force_unit, displacement_unit, _whole("cycle", cycle),
        _number("fixture_compliance", fixture_compliance), _number("channel_delay_s", channel_delay_s),
        _number("moving_mass_kg", moving_mass_kg), _number("nominal_stiffness", nominal_stiffness),
        _number("reference_cycles", reference_cycles), _number("loss", loss), _number("sn_range", sn_range),
        _number("sn_cycles", sn_cycles), _list("exponents", exponents),
        _number("margin", margin) if np.ndim(margin) == 0 else _pair("margin", margin), operation,
        _number("press_length", press_length), progress, cancel,
    )  # fmt: skip
    _check(kind, asked)
    try:
        return dict(_answer(kind)(asked))
    except (UnreadableFile, EvaluationError) as error:
        raise RefusedFile(str(error)) from error


def _answer(kind: str) -> Callable[[Asked], Mapping[str, Any]]:
    return import_module(f"dossier.evidence.kinds.{kind}").answer


def _number(name: str, given: object) -> float | None:
    """`given` as a number; RefusedFile for what is none and for what is not finite."""
    if given is None:
        return None
    try:
        number = float(given)  # type: ignore[arg-type]
    except (TypeError, ValueError):
        raise RefusedFile(f"{name} = {given!r} must be a number") from None
    if isinstance(given, str) or not math.isfinite(number):
        raise RefusedFile(f"{name} = {given!r} must be a number, and finite")
    return number


def _whole(name: str, given: object) -> int | None:
    number = _number(name, given)
    if number is not None and number != int(number):
        raise RefusedFile(f"{name} = {given!r} must be a whole number")
    return None if number is None else int(number)


def _list(name: str, given: object) -> tuple[float, ...] | None:
    """One number or several."""
    if given is None:
        return None
    import numpy as np

    if np.ndim(given) > 1 or isinstance(given, (str, dict)):
        raise RefusedFile(f"{name} = {given!r} must be a number or a list of numbers")
    numbers = [_number(name, one) for one in np.atleast_1d(np.asarray(given, object))]
    if None in numbers:
        raise RefusedFile(f"{name} = {given!r} must be numbers without gaps")
    return tuple(number for number in numbers if number is not None)


def _pair(name: str, given: object) -> tuple[float, float] | None:
    numbers = _list(name, given)
    if numbers is not None and (len(numbers) != 2 or not numbers[0] < numbers[1]):
        raise RefusedFile(f"{name} = {given!r} must be two numbers, the lower one first")
    return None if numbers is None else (numbers[0], numbers[1])


def _check(kind: str, asked: Asked) -> None:
    for name, given, known in (
        ("kind", kind, KINDS), ("direction", asked.direction, (None, *DIRECTIONS)),
        ("operation", asked.operation, (None, *OPERATIONS)),
    ):  # fmt: skip
        if given not in known:
            raise RefusedFile(f"{name} = {given!r} must be one of {', '.join(str(one) for one in known if one)}")
    for name, least in (("fixture_compliance", 0.0), ("moving_mass_kg", 0.0), ("reference_cycles", 0.0)):
        number = getattr(asked, name)
        if number is not None and not number >= least:
            raise RefusedFile(f"{name} = {number:g} must be {least:g} or more")
    for name in ("nominal_stiffness", "sn_range", "sn_cycles", "press_length"):
        number = getattr(asked, name)
        if number is not None and not number > 0:
            raise RefusedFile(f"{name} = {number:g} must be above 0")
    if asked.loss is not None and not 0 < asked.loss < 1:
        raise RefusedFile(f"loss = {asked.loss:g} must lie between 0 and 1; it is a fraction, 0.2 for 20 %")
    if asked.cycle is not None and asked.cycle < 1:
        raise RefusedFile(f"cycle = {asked.cycle} must be 1 or more; cycles count from 1")
    if isinstance(asked.margin, (int, float)) and not 0 < asked.margin < 1:
        raise RefusedFile(f"margin = {asked.margin:g} must lie between 0 and 1; it is a fraction, 0.1 for ±10 %")
