"""Prediction error so far: bias, scatter and the band of the next prediction."""

import math

import numpy as np
import pytest

from dossier.evidence.errors import EvaluationError
from dossier.evidence.prediction import prediction_error


def test_three_pairs_by_hand():
    """Logarithms −0.1, 0, 0.1: mean 0, s = 0.1, t(2, 97.5 %) = 4.3027 (table value): half width 4.3027·0.1·√(4/3)."""
    found = prediction_error([math.exp(-0.1), 1.0, math.exp(0.1)])
    assert (found.count, found.bias) == (3, pytest.approx(1.0))
    assert found.scatter == pytest.approx(0.1)
    assert math.log(found.high) == pytest.approx(4.3027 * 0.1 * math.sqrt(4 / 3), rel=1e-4)
    assert found.low * found.high == pytest.approx(1.0)


def test_the_band_holds_the_next_prediction_as_often_as_stated():
    """Simulated, 2000 times five pairs and one more: 95 % (three standard errors: 1.5 %)."""
    random, held = np.random.default_rng(3), 0
    for _ in range(2000):
        ratios = np.exp(random.normal(0.05, 0.08, 6))
        found = prediction_error(list(ratios[:5]))
        held += found.low <= ratios[5] <= found.high
    assert held / 2000 == pytest.approx(0.95, abs=0.015)


def test_one_pair_has_a_bias_and_no_band():
    found = prediction_error([1.1])
    assert (found.scatter, found.low, found.high) == (None, None, None)


@pytest.mark.parametrize("ratios", [[], [1.0, 0.0], [1.0, -2.0], [1.0, math.nan]])
def test_what_is_no_ratio_is_refused(ratios):
    with pytest.raises(EvaluationError, match="all must be above 0"):
        prediction_error(ratios)
