"""What a search hands over: the kind of sign, where it begins, the figure against its limit."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finding:
    """`kind` of the sign at `row` in `cycle`; `figure` names what was `measured` against `limit`; `excess` how many
    times the limit it is; `weight` below 1 where another kind explains the same picture as well."""

    kind: str
    row: int
    cycle: int
    figure: str
    measured: float
    limit: float
    excess: float
    weight: float = 1.0

    @property
    def confidence(self) -> float:
        """0.5 where the figure just reaches its limit, 0.88 at twice, 0.94 at three times of it, never 1."""
        return self.weight * (1.0 - 0.5 / max(self.excess, 1.0) ** 2)
