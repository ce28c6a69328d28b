"""Applied cycles from a machine's counter, through restarts, and the rows where the record breaks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError

RESUMED = 0.5
GAP_ROWS = 20.0
GAP_SHARE = 0.05
PAUSE = 5.0


@dataclass(frozen=True)
class Restart:
    """A row where the counter falls: reset to begin anew, or resumed at an earlier count; `before` and `after` are what
    the counter showed."""

    row: int
    kind: str
    before: float
    after: float

    def in_words(self) -> str:
        """What was made of it."""
        if self.kind == "reset":
            return f"row {self.row}: counter from {self.before:,.0f} to {self.after:,.0f}, taken as begun anew and added"
        return f"row {self.row}: counter from {self.before:,.0f} back to {self.after:,.0f}, repeated cycles counted once"


def restart_words(restarts: tuple[Restart, ...]) -> list[str]:
    """What was made of the restarts, those of a kind in one sentence where there are more than two."""
    told = []
    for kind, words in (("reset", "taken as begun anew and added"), ("resumed", "repeated cycles counted once")):
        alike = [restart for restart in restarts if restart.kind == kind]
        rows = ", ".join(str(restart.row) for restart in alike)
        many = [f"counter fell back {len(alike)} times, rows {rows}: {words}"]
        told += many if len(alike) > 2 else [restart.in_words() for restart in alike]
    return told


def pause_words(found: list[tuple[int, float]]) -> list[str]:
    """The pauses, more than two in one sentence."""
    if len(found) < 3:
        return [f"row {row}: pause of {length / 3600:.3g} h" for row, length in found]
    hours = [length / 3600 for _, length in found]
    return [f"{len(found)} pauses of {min(hours):.3g} to {max(hours):.3g} h, rows {', '.join(str(row) for row, _ in found)}"]


def applied_cycles(counter: np.ndarray) -> tuple[np.ndarray, tuple[Restart, ...]]:
    """Applied cycles (n,) and the restarts of a counter (n,) in order of time.

    Where the counter falls below half of what it showed it was set back, and what it showed is added from there; where
    it falls less, the machine resumed at an earlier count, and the repeated cycles count once, which makes no life
    longer. Raises EvaluationError for negative counts.
    """
    counter = np.asarray(counter, float)
    if len(counter) and counter.min() < 0:
        row = int(np.argmin(counter))
        raise EvaluationError(f"cycles = {counter[row]:g} at row {row} must be 0 or more; check the column")
    offset = np.zeros(len(counter))
    restarts = []
    for row in (np.flatnonzero(np.diff(counter) < 0) + 1).tolist():
        before, after = float(counter[row - 1]), float(counter[row])
        kind = "reset" if after < RESUMED * before else "resumed"
        if kind == "reset":
            offset[row:] += before
        restarts.append(Restart(row, kind, before, after))
    return counter + offset, tuple(restarts)


def gaps(cycles: np.ndarray) -> list[tuple[float, float]]:
    """From and to of stretches of rising cycles (n,) without a row: over 20 usual steps and 5 % of the whole."""
    steps = np.diff(cycles)
    usual = float(np.median(steps[steps > 0])) if (steps > 0).any() else 0.0
    wide = (steps > GAP_ROWS * usual) & (steps > GAP_SHARE * float(cycles[-1])) if usual else np.zeros(len(steps), bool)
    return [(float(cycles[row]), float(cycles[row + 1])) for row in np.flatnonzero(wide)]


def pauses(time: np.ndarray, cycles: np.ndarray) -> list[tuple[int, float]]:
    """Row behind each pause and its length in s: time (n,) runs on over five times longer than its cycles (n,) take."""
    passed, turned = np.diff(time), np.diff(cycles)
    running = turned > 0
    if not running.any():
        return []
    pace = float(np.median(passed[running] / turned[running]))
    usual = float(np.median(passed[running]))
    extra = passed - pace * np.maximum(turned, 0)
    return [(int(row) + 1, float(extra[row])) for row in np.flatnonzero(extra > PAUSE * usual)]
