"""Two one-sided tests on a difference of means: independent groups (Welch or pooled) and pairs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError


@dataclass(frozen=True)
class Estimate:
    """A difference with its standard error and degrees of freedom."""

    value: float
    error: float
    freedom: float

    def quantile(self, share: float) -> float:
        """Student's t below which `share` of the distribution lies."""
        from scipy.special import stdtrit

        return float(stdtrit(self.freedom, share))

    def interval(self, confidence: float) -> tuple[float, float]:
        """Two-sided confidence interval."""
        half = self.quantile(0.5 + confidence / 2) * self.error
        return self.value - half, self.value + half

    def p_above(self, limit: float) -> float:
        """p of the one-sided test that the difference lies above `limit`."""
        from scipy.special import stdtr

        gap = limit - self.value
        if self.error == 0.0:
            return 0.5 if gap == 0.0 else float(gap > 0)
        return float(stdtr(self.freedom, gap / self.error))

    def p_below(self, limit: float) -> float:
        """p of the one-sided test that the difference lies below `limit`."""
        return Estimate(-self.value, self.error, self.freedom).p_above(-limit)


@dataclass(frozen=True)
class EquivalenceTest:
    """Two one-sided tests: difference, standard error, degrees of freedom, interval of confidence 1 −
    2·alpha, and p, the larger of the two; equivalent if p < alpha."""

    difference: float
    error: float
    freedom: float
    low: float
    high: float
    p_low: float
    p_high: float
    alpha: float

    @property
    def p(self) -> float:
        """The larger of the two p."""
        return max(self.p_low, self.p_high)

    @property
    def equivalent(self) -> bool:
        """Whether both one-sided tests reject at `alpha`."""
        return self.p < self.alpha


def welch(first: np.ndarray, second: np.ndarray) -> Estimate:
    """Difference of means of independent groups without assuming equal variances (Welch 1947, from
    memory)."""
    n, m = len(first), len(second)
    a, b = float(np.var(first, ddof=1)) / n, float(np.var(second, ddof=1)) / m
    freedom = (a + b) ** 2 / (a**2 / (n - 1) + b**2 / (m - 1)) if a + b > 0 else n + m - 2
    return Estimate(float(np.mean(first) - np.mean(second)), (a + b) ** 0.5, freedom)


def pooled(first: np.ndarray, second: np.ndarray) -> Estimate:
    """Difference of means of independent groups of equal variance."""
    n, m = len(first), len(second)
    squares = float(np.var(first)) * n + float(np.var(second)) * m
    error = (squares / (n + m - 2) * (1 / n + 1 / m)) ** 0.5
    return Estimate(float(np.mean(first) - np.mean(second)), error, n + m - 2)


def paired(first: np.ndarray, second: np.ndarray) -> Estimate:
    """Mean of the differences of pairs."""
    steps = np.subtract(first, second)
    return Estimate(float(steps.mean()), float(steps.std(ddof=1)) / len(steps) ** 0.5, len(steps) - 1)


_KINDS = {"welch": welch, "pooled": pooled, "paired": paired}


def tost(first: np.ndarray, second: np.ndarray, low: float, high: float, *, kind: str = "welch", alpha: float = 0.05
         ) -> EquivalenceTest:  # fmt: skip
    """Two one-sided tests that mean(first) − mean(second) lies between `low` and `high`.

    `kind`: "welch", "pooled" or "paired". Raises EvaluationError for groups too small or of unequal length in
    pairs. Source: Schuirmann, J. Pharmacokin. Biopharm. 15 (1987) 657, from memory.
    """
    first, second = checked_group("first", first), checked_group("second", second)
    if kind == "paired" and len(first) != len(second):
        raise EvaluationError(f"{len(first)} and {len(second)} values cannot be paired; give equal numbers")
    if not low < high:
        raise EvaluationError(f"margin {low:g} to {high:g} is empty; the lower must be below the upper")
    estimate = _KINDS[kind](first, second)
    interval = estimate.interval(1 - 2 * alpha)
    return EquivalenceTest(
        estimate.value, estimate.error, estimate.freedom, *interval, estimate.p_above(low), estimate.p_below(high),
        alpha,
    )  # fmt: skip


def checked_group(name: str, values: np.ndarray) -> np.ndarray:
    """The values as float64 (n,); EvaluationError for fewer than two or for gaps."""
    group = np.asarray(values, float)
    if group.ndim != 1 or len(group) < 2:
        raise EvaluationError(
            f"{name} has {group.size} values; at least 2 are needed for a spread: test more specimens"
        )
    if not np.isfinite(group).all():
        raise EvaluationError(f"{name} holds a value that is no number; remove or measure it again")
    return group
