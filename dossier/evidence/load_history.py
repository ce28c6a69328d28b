"""Load histories: rainflow counting, range-mean matrix, damage sums for S-N lines, equivalent range.

Counting after ASTM E1049-85, 5.4.4 (three points, from memory of the standard): an inner range that is smaller than the
one before it and not larger than the one behind it is one full cycle; what is left (the residue) counts as half
cycles. The unit of ranges and means is that of the signal.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError
from dossier.evidence.turning import FEW, turning_rows


@dataclass(frozen=True)
class Counted:
    """Counted cycles: range (k,), mean (k,), count (k,) of 1.0 or 0.5, and the rows (k,) where each begins and ends;
    `turning`: rows (m,) of the turning points that were counted; `hysteresis` that was applied."""

    ranges: np.ndarray
    means: np.ndarray
    counts: np.ndarray
    first: np.ndarray
    last: np.ndarray
    turning: np.ndarray
    hysteresis: float

    @property
    def cycles(self) -> float:
        """Number of cycles, half ones as 0.5."""
        return float(self.counts.sum())


@dataclass(frozen=True)
class LoadHistory:
    """A counted signal with its damage.

    damage: exponent → Σ n·(range/sn_range)^exponent / sn_cycles (1 is the end of the life by Palmgren and Miner);
    damage_repeated: the same of one passage when the history is repeated without end, so that its residue closes;
    shares: exponent → share (4,) of `damage` in the quarters of the largest range, from below; equivalent: exponent →
    the constant range that does the same damage in as many cycles; largest and smallest value; residue: number of half
    cycles; notes in words.
    """

    counted: Counted
    cycles: float
    largest: float
    smallest: float
    damage: dict[float, float]
    damage_repeated: dict[float, float]
    shares: dict[float, tuple[float, ...]]
    equivalent: dict[float, float]
    residue: int
    notes: tuple[str, ...]


def evaluate_load_history(
    values: np.ndarray,
    *,
    sn_range: float,
    sn_cycles: float,
    exponents: Sequence[float] = (3.0, 5.0),
    hysteresis: float | None = None,
) -> LoadHistory:
    """Count the signal `values` (n,) and sum its damage for S-N lines through `sn_range` at `sn_cycles`.

    `sn_range` in the unit of the signal (a range, twice the amplitude), `sn_cycles` cycles to failure there,
    `exponents` the slopes k of N = sn_cycles·(range/sn_range)^-k without an endurance limit. `hysteresis`: reversals
    smaller than this do not count; None takes nothing away. Mean values are not corrected for. Raises EvaluationError
    for values that are no numbers, fewer than two turning points, or a line without meaning.
    """
    values = _numbers(values)
    _check_line(sn_range, sn_cycles, exponents)
    counted = rainflow(values, hysteresis or 0.0)
    residue = int((counted.counts < 1).sum())
    notes = [f"{len(counted.turning)} turning points, {counted.cycles:g} cycles of which {residue} half cycles of the residue"]
    if hysteresis:
        notes.append(f"reversals below {hysteresis:g} not counted")
    damage, shares, equivalent = {}, {}, {}
    for exponent in exponents:
        each = single_damage(counted, sn_range, sn_cycles, exponent)
        damage[float(exponent)] = float(each.sum())
        shares[float(exponent)] = _shares(counted.ranges, each)
        equivalent[float(exponent)] = equivalent_range(counted, exponent)
    closed = closed_residue(values, counted)
    repeated = damage_sums(closed, sn_range=sn_range, sn_cycles=sn_cycles, exponents=exponents)
    steepest = float(max(exponents))
    if repeated[steepest] > 1.2 * damage[steepest]:
        notes.append(
            f"the residue counts as half cycles; as a history that is repeated without end the damage at exponent {steepest:g} "
            f"is {repeated[steepest] / damage[steepest]:.3g} times as large"
        )
    return LoadHistory(
        counted, counted.cycles, float(values.max()), float(values.min()), damage, repeated, shares, equivalent, residue,
        tuple(notes),
    )  # fmt: skip


def rainflow(values: np.ndarray, hysteresis: float = 0.0) -> Counted:
    """Rainflow cycles of the signal `values` (n,), ordered by the row where they begin.

    Inner cycles of all places are taken out in passes over the whole signal; where a pass finds little (ranges that
    grow or fall slowly) the rest is counted in one run. Raises EvaluationError for a constant signal.
    """
    values = _numbers(values)
    turning = turning_rows(values, hysteresis)
    if len(turning) < 2:
        raise EvaluationError(
            f"{len(turning)} turning points above hysteresis {hysteresis:g} in {len(values)} rows; check the channel or "
            "state a smaller hysteresis"
        )
    rows, firsts, lasts = turning, [], []
    while len(rows) > 3:
        chosen = _inner_cycles(np.abs(np.diff(values[rows])))
        if len(chosen) <= FEW * len(rows):
            break
        firsts.append(rows[chosen])
        lasts.append(rows[chosen + 1])
        rows = np.delete(rows, np.concatenate((chosen, chosen + 1)))
    pairs, rows = _in_one_run(values, rows)
    firsts += [pairs[:, 0], rows[:-1]]
    lasts += [pairs[:, 1], rows[1:]]
    first, last = np.concatenate(firsts), np.concatenate(lasts)
    counts = np.ones(len(first))
    counts[len(first) - (len(rows) - 1) :] = 0.5
    order = np.argsort(first, kind="stable")
    first, last, counts = first[order], last[order], counts[order]
    ranges, means = np.abs(values[last] - values[first]), (values[last] + values[first]) / 2
    return Counted(ranges, means, counts, first, last, turning, hysteresis)


def closed_residue(values: np.ndarray, counted: Counted) -> Counted:
    """The counted cycles with those of the residue closed by a second passage, all as full cycles (Clormann and Seeger
    1986, from memory)."""
    half = counted.counts < 1
    rows = np.concatenate((counted.first[half], counted.last[half][-1:]))
    equal, rows = _in_one_run(values, rows, equal_too=True)
    closing, _ = _in_one_run(values, _only_turning(values, np.concatenate((rows, rows))), equal_too=True)
    pairs = np.concatenate((equal, closing))
    first, last = (np.concatenate((old[~half], new)) for old, new in ((counted.first, pairs[:, 0]), (counted.last, pairs[:, 1])))
    ranges, means = np.abs(values[last] - values[first]), (values[last] + values[first]) / 2
    return Counted(ranges, means, np.ones(len(first)), first, last, counted.turning, counted.hysteresis)


def _inner_cycles(ranges: np.ndarray) -> np.ndarray:
    """Places (k,) of ranges that are full cycles now: smaller than the one before, not larger than the one behind.

    In a run of equal ranges every second one goes, as one after another would.
    """
    starts = np.concatenate(([0], np.flatnonzero(np.diff(ranges)) + 1))
    length = np.diff(np.concatenate((starts, [len(ranges)])))
    before = np.concatenate(([-np.inf], ranges[starts[:-1]]))
    behind = np.concatenate((ranges[starts[1:]], [-np.inf]))
    level = ranges[starts]
    pairs = np.where(before > level, np.where(behind > level, (length + 1) // 2, length // 2), 0)
    first = np.repeat(starts, pairs)
    offset = np.arange(len(first)) - np.repeat(np.cumsum(pairs) - pairs, pairs)
    return first + 2 * offset


def _only_turning(values: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """`rows` (k,) without those between two others that lie on both sides of them."""
    return rows[turning_rows(values[rows])]


def _in_one_run(values: np.ndarray, rows: np.ndarray, equal_too: bool = False) -> tuple[np.ndarray, np.ndarray]:
    """Full cycles (k, 2) as rows of their ends, and the rows (m,) of the residue; `equal_too`: also where the range
    before is as large as the inner one."""
    open_rows: list[int] = []
    levels: list[float] = []
    pairs = []
    for row, level in zip(rows.tolist(), values[rows].tolist(), strict=True):
        open_rows.append(row)
        levels.append(level)
        while len(levels) > 3:
            before, inner, behind = (abs(levels[k] - levels[k - 1]) for k in (-3, -2, -1))
            if not (before > inner or equal_too and before == inner) or inner > behind:
                break
            pairs.append((open_rows[-3], open_rows[-2]))
            del open_rows[-3:-1], levels[-3:-1]
    return np.array(pairs, np.int64).reshape(-1, 2), np.array(open_rows, np.int64)


def single_damage(counted: Counted, sn_range: float, sn_cycles: float, exponent: float) -> np.ndarray:
    """Damage (k,) of each counted entry for the line N = sn_cycles·(range/sn_range)^-exponent."""
    return counted.counts * (counted.ranges / sn_range) ** exponent / sn_cycles


def damage_sums(counted: Counted, *, sn_range: float, sn_cycles: float, exponents: Sequence[float]) -> dict[float, float]:
    """Exponent → Σ n·(range/sn_range)^exponent / sn_cycles, a half cycle counting 0.5 (Palmgren 1924, Miner 1945, from
    memory; Basquin's line)."""
    _check_line(sn_range, sn_cycles, exponents)
    return {float(k): float(single_damage(counted, sn_range, sn_cycles, k).sum()) for k in exponents}


def pseudo_damage(channels: Mapping[str, np.ndarray], exponent: float, hysteresis: float = 0.0) -> dict[str, float]:
    """Channel → Σ n·range^exponent (unit of the channel to the exponent): says which of several histories of one
    channel is harder, not how long a part lives."""
    return {
        name: float(counted.counts @ counted.ranges**exponent)
        for name, counted in ((name, rainflow(values, hysteresis)) for name, values in channels.items())
    }


def equivalent_range(counted: Counted, exponent: float, cycles: float | None = None) -> float:
    """The constant range that does the damage of the counted ones in `cycles` cycles (None: as many as counted)."""
    cycles = counted.cycles if cycles is None else cycles
    if cycles <= 0 or exponent <= 0:
        raise EvaluationError(f"cycles = {cycles:g} and exponent = {exponent:g} must be above 0")
    largest = float(counted.ranges.max())
    return largest * float(counted.counts @ (counted.ranges / largest) ** exponent / cycles) ** (1 / exponent)


def cycles_to_failure(load_range: float, sn_range: float, sn_cycles: float, exponent: float) -> float:
    """N = sn_cycles·(load_range/sn_range)^-exponent (Basquin)."""
    return sn_cycles * (load_range / sn_range) ** -exponent


def damage_of_blocks(applied: Sequence[float], lives: Sequence[float]) -> tuple[float, tuple[float, ...]]:
    """Σ applied/life over the levels of a block, and each level's share of it (Palmgren and Miner)."""
    parts = np.asarray(applied, float) / np.asarray(lives, float)
    return float(parts.sum()), tuple(float(part) for part in parts / parts.sum())


def range_mean_matrix(counted: Counted, range_bins: int = 16, mean_bins: int = 16) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Counts (range_bins, mean_bins) of equal classes, with the edges of the ranges from 0 (range_bins + 1,) and of the
    means (mean_bins + 1,); the sum of the counts is the number of cycles."""
    low, high = float(counted.means.min()), float(counted.means.max())
    high = high if high > low else low + 1.0
    edges = np.linspace(0.0, float(counted.ranges.max()), range_bins + 1), np.linspace(low, high, mean_bins + 1)
    table, *_ = np.histogram2d(counted.ranges, counted.means, edges, weights=counted.counts)
    return table, *edges


def _shares(ranges: np.ndarray, damage: np.ndarray) -> tuple[float, ...]:
    quarter = np.minimum((4 * ranges / ranges.max()).astype(int), 3)
    return tuple(float(damage[quarter == place].sum() / damage.sum()) for place in range(4))


def _numbers(values: np.ndarray) -> np.ndarray:
    values = np.asarray(values, float)
    missing = int((~np.isfinite(values)).sum())
    if values.ndim != 1 or len(values) < 2:
        raise EvaluationError(f"{values.size} rows of shape {values.shape}; a load history needs at least 2 in one column")
    if missing:
        raise EvaluationError(
            f"{missing} of {len(values)} rows are no numbers, first row {int(np.argmin(np.isfinite(values)))}; "
            "a gap hides turning points: cut the record there"
        )
    return values


def _check_line(sn_range: float, sn_cycles: float, exponents: Sequence[float]) -> None:
    for name, value in (("sn_range", sn_range), ("sn_cycles", sn_cycles)):
        if not value > 0:
            raise EvaluationError(f"{name} = {value} must be above 0; state a point of the S-N line")
    if not len(exponents):
        raise EvaluationError("exponents is empty; state at least one, such as 5")
    for exponent in exponents:
        if not 0 < exponent <= 30:
            raise EvaluationError(f"exponents: {exponent:g} must be above 0 and not above 30; correct it")
