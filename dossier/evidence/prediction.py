"""How far predictions were off: measured over predicted, and what that says about the next prediction."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from dossier.evidence.errors import EvaluationError

CONFIDENCE = 0.95


@dataclass(frozen=True)
class PredictionError:
    """`bias`: geometric mean of measured/predicted; `scatter`: standard deviation of its logarithm (None for one pair);
    `low` … `high`: where measured/predicted of the next single prediction lies (None for one pair)."""

    count: int
    bias: float
    scatter: float | None
    low: float | None
    high: float | None
    confidence: float


def prediction_error(ratios: Sequence[float], confidence: float = CONFIDENCE) -> PredictionError:
    """The error of predictions from the ratios measured/predicted (n,), all above 0.

    Band of the next one: exp(m ± t·s·√(1 + 1/n)) with n − 1 degrees of freedom, for independent normal logarithms
    (textbook prediction interval). Raises EvaluationError for none or for ratios that are not above 0.
    """
    from scipy.special import stdtrit

    if not ratios or not all(math.isfinite(ratio) and ratio > 0 for ratio in ratios):
        raise EvaluationError(f"{len(ratios)} ratios; at least one is needed and all must be above 0")
    logs = [math.log(ratio) for ratio in ratios]
    count, mean = len(logs), math.fsum(logs) / len(logs)
    if count == 1:
        return PredictionError(1, math.exp(mean), None, None, None, confidence)
    scatter = math.sqrt(math.fsum((log - mean) ** 2 for log in logs) / (count - 1))
    half = float(stdtrit(count - 1, 0.5 + confidence / 2)) * scatter * math.sqrt(1 + 1 / count)
    return PredictionError(count, math.exp(mean), scatter, math.exp(mean - half), math.exp(mean + half), confidence)
