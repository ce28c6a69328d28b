"""Durability from a table of cycles: stiffness over applied cycles, end criterion, life or where it was stopped."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from dossier.evidence.applied import Restart, applied_cycles, gaps, pause_words, pauses, restart_words
from dossier.evidence.errors import EvaluationError
from dossier.evidence.smooth import Smoothed, breaks, outliers, scatter_of, smoothed

FEWEST = 5
MOST_ROWS = 2500
SETTLED_ROWS = 5
SETTLED_CHANGE = 0.01
SUSTAINED = 5
REFERENCE_TEMPERATURE = 23.0


@dataclass(frozen=True)
class Durability:
    """Stiffness in the unit given, cycles as applied.

    life: cycles at which the stiffness first falls below `limit` and stays there, None where it does not (`censored`:
    stopped at `applied` without reaching the criterion); life_error: standard error from the scatter of the rows, None
    without a life; limit = (1 − loss)·reference_stiffness; reference_cycles: given, or middle of the first settled rows;
    end_loss: share of the reference stiffness lost at the end; planned_loss: at the planned cycles, None where they were
    not reached or not stated; planned_share: applied over planned cycles; temperature_max; damping_reference and
    damping_end: medians of five rows about the reference and at the end.

    For drawing: cycles (n,), stiffness (n,) (corrected to the reference temperature where a factor was given), curve (n,)
    the smoothed course, outlier (n,) true for single rows that were not used, temperature (n,) in °C or None, all in order
    of applied cycles; restarts; notes in words.
    """

    life: float | None
    life_error: float | None
    censored: bool
    applied: float
    loss: float
    limit: float
    reference_cycles: float
    reference_stiffness: float
    end_loss: float
    planned_loss: float | None
    planned_share: float | None
    temperature_max: float | None
    damping_reference: float | None
    damping_end: float | None
    cycles: np.ndarray
    stiffness: np.ndarray
    curve: np.ndarray
    outlier: np.ndarray
    restarts: tuple[Restart, ...]
    temperature: np.ndarray | None
    notes: tuple[str, ...]


def evaluate_durability(
    cycles: np.ndarray,
    stiffness: np.ndarray,
    *,
    loss: float,
    reference_cycles: float | None = None,
    temperature: np.ndarray | None = None,
    temperature_factor: float | None = None,
    reference_temperature: float = REFERENCE_TEMPERATURE,
    damping: np.ndarray | None = None,
    time: np.ndarray | None = None,
    planned_cycles: float | None = None,
) -> Durability:
    """Evaluate rows in order of time: the counter `cycles` (n,), `stiffness` (n,) (see `stiffness_of` for amplitudes).

    `loss`: end criterion as the lost share of the stiffness at `reference_cycles`; None takes the first five rows that
    are settled (change by less than 1 % or their scatter). `temperature` (n,) in °C with `temperature_factor` (relative
    change of stiffness per K, negative for rubber): stiffness is divided by 1 + factor·(T − reference_temperature).
    `damping` (n,) in any unit, `time` (n,) in s for pauses. The life is interpolated in applied cycles on the smoothed
    course. What rises again behind the crossing (a rest, a cooled part) is no recovery and is told; single outlying rows
    neither end a life nor count for the course.

    Raises EvaluationError for fewer than five rows, a stiffness that is not positive, a loss outside 0..1, or a reference
    outside the record.
    """
    _check(loss, planned_cycles)
    notes: list[str] = []
    table = _table(cycles, stiffness, temperature, damping, time, notes)
    if temperature_factor is not None:
        table.correct(temperature_factor, reference_temperature, notes)
    applied, restarts = applied_cycles(table.counter)
    applied, table, size = _grouped(applied, table, notes)
    notes += restart_words(restarts)
    if table.time is not None:
        notes += pause_words(pauses(table.time, applied))
    order = np.argsort(applied, kind="stable")
    places = np.argsort(order, kind="stable")
    restarted = [places[row] for row in {restart.row // size for restart in restarts} if row < len(places)]
    course = _Course(applied[order], table.stiffness[order], np.array(restarted, int))
    notes += course.notes
    at, level, level_error = course.reference(reference_cycles, notes)
    limit = (1 - loss) * level
    life, error = course.life(at, limit, (1 - loss) * level_error, notes)
    notes += [f"no rows between {a:,.0f} and {b:,.0f} cycles" for a, b in gaps(course.x)]
    last = float(course.x[-1])
    notes.append(
        f"criterion of {loss:.0%} loss not reached: stopped at {last:,.0f} cycles" if life is None
        else f"criterion of {loss:.0%} loss reached at {life:,.0f} cycles"
    )  # fmt: skip
    planned_loss = 1 - course.at(planned_cycles) / level if planned_cycles and planned_cycles <= last else None
    return Durability(
        life, error, life is None, last, loss, limit, at, level, 1 - course.at(last) / level, planned_loss,
        last / planned_cycles if planned_cycles else None,
        None if table.temperature is None else float(np.nanmax(table.temperature)),
        *_damping(table.damping, order, course.x, at),
        course.x, course.y, course.curve(), course.outlier, restarts,
        None if table.temperature is None else table.temperature[order], tuple(notes),
    )  # fmt: skip


def stiffness_of(load_amplitude: np.ndarray, travel_amplitude: np.ndarray) -> np.ndarray:
    """Load over travel amplitude (n,); NaN where the travel is not above 0."""
    travel = np.asarray(travel_amplitude, float)
    return np.divide(np.asarray(load_amplitude, float), travel, out=np.full(travel.shape, np.nan), where=travel > 0)


def _check(loss: float, planned: float | None) -> None:
    if not 0 < loss < 1:
        raise EvaluationError(f"loss = {loss} must lie between 0 and 1, such as 0.2 for 20 %; correct it")
    if planned is not None and not planned > 0:
        raise EvaluationError(f"planned_cycles = {planned} must be above 0; correct it or leave it out")


@dataclass
class _Table:
    counter: np.ndarray
    stiffness: np.ndarray
    temperature: np.ndarray | None
    damping: np.ndarray | None
    time: np.ndarray | None

    def correct(self, factor: float, reference: float, notes: list[str]) -> None:
        """The stiffness at the reference temperature."""
        if self.temperature is None:
            raise EvaluationError("temperature_factor is given without a temperature; name the channel or leave it out")
        scale = 1 + factor * (self.temperature - reference)
        if not (scale > 0).all():
            raise EvaluationError(f"temperature_factor = {factor:g} per K makes the stiffness vanish; correct it")
        self.stiffness = self.stiffness / scale
        notes.append(f"stiffness brought to {reference:g} °C with {factor:+.3%} per K")


def _table(
    cycles: np.ndarray, stiffness: np.ndarray, temperature: np.ndarray | None, damping: np.ndarray | None,
    time: np.ndarray | None, notes: list[str],
) -> _Table:  # fmt: skip
    columns = {"cycles": cycles, "stiffness": stiffness, "temperature": temperature, "damping": damping, "time": time}
    given = {name: np.asarray(values, float) for name, values in columns.items() if values is not None}
    lengths = {name: len(values) for name, values in given.items()}
    if len(set(lengths.values())) != 1:
        raise EvaluationError(f"rows differ: {', '.join(f'{name} {n}' for name, n in lengths.items())}; they must agree")
    needed = [name for name in ("cycles", "stiffness", "time", "temperature") if name in given]
    known = np.isfinite([given[name] for name in needed]).all(axis=0)
    if not known.all():
        notes.append(f"{int((~known).sum())} rows without a number left out")
    if known.sum() < FEWEST:
        raise EvaluationError(f"{int(known.sum())} rows with numbers; at least {FEWEST} are needed")
    kept = {name: values[known] for name, values in given.items()}
    if not (kept["stiffness"] > 0).all():
        row = int(np.flatnonzero(kept["stiffness"] <= 0)[0])
        raise EvaluationError(
            f"stiffness = {kept['stiffness'][row]:g} at row {row} must be above 0; check the sign, or cut the rows "
            "behind the break"
        )
    return _Table(
        kept["cycles"], kept["stiffness"], kept.get("temperature"), kept.get("damping"), kept.get("time")
    )  # fmt: skip


def _grouped(applied: np.ndarray, table: _Table, notes: list[str]) -> tuple[np.ndarray, _Table, int]:
    """Medians of as many neighbouring rows as leave at most 2,500, and how many rows that is."""
    size = -(-len(applied) // MOST_ROWS)
    if size < 2:
        return applied, table, 1
    notes.append(f"medians of {size} rows each evaluated")

    def of_groups(values: np.ndarray | None) -> np.ndarray | None:
        return None if values is None else np.median(values[: len(values) // size * size].reshape(-1, size), axis=1)

    return of_groups(applied), _Table(*(of_groups(getattr(table, each.name)) for each in fields(table))), size


class _Course:
    """Stiffness y (n,) over applied cycles x (n,), rising, with its outliers and its smoothed course."""

    def __init__(self, x: np.ndarray, y: np.ndarray, restarts: np.ndarray) -> None:
        self.x, self.y, self.notes = x, y, []
        scatter = scatter_of(y)
        self.outlier = outliers(y, scatter)
        if self.outlier.any():
            places = ", ".join(f"{each:,.0f}" for each in x[self.outlier][:5])
            more = f" and {int(self.outlier.sum()) - 5} more" if self.outlier.sum() > 5 else ""
            self.notes.append(f"outlying rows not used, at {places}{more} cycles")
        self.kept = np.flatnonzero(~self.outlier)
        values = y[self.kept]
        starts = [*np.searchsorted(self.kept, restarts).tolist(), *breaks(values, scatter)]
        self.smooth: Smoothed = smoothed(x[self.kept], values, scatter, [start for start in starts if 0 < start < len(values)])

    def at(self, cycles: float) -> float:
        """Smoothed stiffness at applied cycles."""
        return float(np.interp(cycles, self.x[self.kept], self.smooth.values))

    def curve(self) -> np.ndarray:
        """The smoothed course (n,) at every row."""
        return np.interp(self.x, self.x[self.kept], self.smooth.values)

    def reference(self, cycles: float | None, notes: list[str]) -> tuple[float, float, float]:
        """Cycles of the reference, stiffness there and its standard error."""
        x, smooth = self.x[self.kept], self.smooth
        if cycles is not None:
            if not x[0] <= cycles <= x[-1]:
                raise EvaluationError(
                    f"reference_cycles = {cycles:g} lies outside the record of {x[0]:,.0f} to {x[-1]:,.0f} cycles; "
                    "state one within"
                )
            return cycles, self.at(cycles), float(np.interp(cycles, x, smooth.errors))
        for start in range(len(x) - SETTLED_ROWS + 1):
            rows = slice(start, start + SETTLED_ROWS)
            part = self.y[self.kept][rows]
            change = abs(float(part[-2:].mean() - part[:2].mean()))
            if change <= max(SETTLED_CHANGE * float(np.median(part)), 2 * smooth.scatter):
                break
        else:
            rows = slice(0, SETTLED_ROWS)
        middle, level = float(np.median(x[rows])), float(np.median(self.y[self.kept][rows]))
        notes.append(f"reference stiffness from the first settled rows, about {middle:,.0f} cycles")
        return middle, level, smooth.scatter * 1.25 / SETTLED_ROWS**0.5

    def life(self, start: float, limit: float, limit_error: float, notes: list[str]) -> tuple[float | None, float | None]:
        """Applied cycles at which the course falls below `limit` for good, with standard error."""
        x, values = self.x[self.kept], self.smooth.values
        below = (values < limit) & (x >= start)
        place = self._sustained(below, limit, notes)
        if place is None:
            return None, None
        above = (self.y >= limit + 3 * self.smooth.scatter) & (self.x > x[place])
        again = np.flatnonzero(above[:-1] & above[1:])
        if len(again):
            notes.append(
                f"stiffness above the criterion again at {self.x[again[0]]:,.0f} cycles: a rest or another temperature, "
                "no recovery"
            )
        if place == 0:
            return float(x[0]), None
        drop = values[place - 1] - values[place]
        if drop <= 0:
            return float(x[place]), None
        share = float(np.clip((values[place - 1] - limit) / drop, 0, 1))
        width = float(x[place] - x[place - 1])
        error = float(np.hypot(self.smooth.errors[place], limit_error) * width / drop)
        if any(a <= x[place - 1] and x[place] <= b for a, b in gaps(self.x)):
            notes.append(f"the criterion falls into a gap of the record: between {x[place - 1]:,.0f} and {x[place]:,.0f} cycles")
            error = max(error, width / 12**0.5)
        return float(x[place - 1] + share * width), error

    def _sustained(self, below: np.ndarray, limit: float, notes: list[str]) -> int | None:
        """First place from which the next five rows are below, or all that remain."""
        starts = np.flatnonzero(below & ~np.concatenate(([False], below[:-1])))
        for place in starts.tolist():
            if below[place : place + SUSTAINED].all():
                return place
        if self.y[-1] < limit:
            notes.append(
                f"the last row alone ({self.y[-1]:.5g} at {self.x[-1]:,.0f} cycles) lies below the criterion and is not taken "
                "for the end: run on, or confirm it by a static test"
            )
        return None


def _damping(damping: np.ndarray | None, order: np.ndarray, x: np.ndarray, at: float) -> tuple[float | None, float | None]:
    if damping is None or not np.isfinite(damping).any():
        return None, None
    values = damping[order]
    near = np.argsort(np.abs(x - at), kind="stable")[:SETTLED_ROWS]
    return float(np.nanmedian(values[near])), float(np.nanmedian(values[-SETTLED_ROWS:]))
