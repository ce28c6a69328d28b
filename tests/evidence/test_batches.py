"""Which comparison the compound batches allow: the scatter between them measured, accepted, or limiting the statement."""

import math

import numpy as np
import pytest

from dossier.evidence.batches import _not_shared
from dossier.evidence.equivalence import compare_minimum, compare_ratio
from dossier.evidence.errors import EvaluationError

VARIANT, REFERENCE = [54.0, 55.0, 56.0, 55.5], [55.2, 54.8, 56.1, 55.4]
APART = {"variant_batches": ["B1"] * 4, "reference_batches": ["B2"] * 4}


def test_an_accepted_scatter_between_batches_widens_the_interval():
    """Two batches with 3 % each: the standard error is √(Welch² + 2·0.03²), worked by hand."""
    plain = compare_ratio(VARIANT, REFERENCE)
    found = compare_ratio(VARIANT, REFERENCE, **APART, batch_deviation=0.03)
    assert found.error == pytest.approx(math.sqrt(plain.error**2 + 2 * 0.03**2), rel=1e-12)
    assert (found.verdict, found.limited, found.way) == ("met", False, "assumed")
    assert found.scope.endswith("an accepted scatter of 3.0% between batches enters the interval")
    assert compare_ratio(VARIANT, REFERENCE, **APART, batch_deviation=0.08).verdict == "undecided"


def test_an_accepted_scatter_counts_for_a_least_ratio_too():
    assert compare_minimum(VARIANT, REFERENCE, 0.9, **APART, batch_deviation=0.03).limited is False
    assert compare_minimum(VARIANT, REFERENCE, 0.9, **APART, batch_deviation=0.08).verdict == "undecided"


def test_an_accepted_scatter_is_of_no_use_within_one_batch():
    same = {"variant_batches": ["B1"] * 4, "reference_batches": ["B1"] * 4}
    one, other = (compare_ratio(VARIANT, REFERENCE, **same, batch_deviation=s) for s in (None, 0.08))
    assert (one.low, one.high, one.way) == (other.low, other.high, "one batch")


@pytest.mark.parametrize(
    ("ours", "theirs", "variance"),
    [("AAAA", "BBBB", 2.0), ("AABB", "AACC", 0.5), ("AABC", "AABC", 0.0), ("ABCD", "EEEE", 1.25)],
)
def test_scatter_of_batches_that_both_groups_share_cancels(ours, theirs, variance):
    assert _not_shared(ours, theirs) == pytest.approx(variance, abs=1e-15)


def test_several_batches_give_their_own_scatter():
    """Three batches of the variant, two others of the reference: their means are the single values, s pooled with
    3 degrees of freedom (worked by hand); an accepted scatter gives way to the measured one."""
    variant, reference = {"a": 1.00, "b": 1.04, "c": 0.97}, {"x": 1.01, "y": 0.99}
    groups = [[value for value in group.values() for _ in range(3)] for group in (variant, reference)]
    batches = [[name for name in group for _ in range(3)] for group in (variant, reference)]
    found = compare_ratio(*groups, 0.8, 1.2, variant_batches=batches[0], reference_batches=batches[1], batch_deviation=0.5)
    logs = [np.log(list(group.values())) for group in (variant, reference)]
    pooled = math.sqrt(sum(((log - log.mean()) ** 2).sum() for log in logs) / 3)
    assert (found.way, found.freedom, found.limited) == ("measured", 3, False)
    assert found.error == pytest.approx(pooled * math.sqrt(1 / 3 + 1 / 2), rel=1e-12)


def test_with_the_scatter_of_batches_a_wrong_ratio_is_accepted_as_rarely_as_stated():
    """True ratio 0.90 at the margin, 5 % between batches, 2 % within, three batches each: at most 5 % accept
    (simulated, 400 tables; 3.3 % are three standard errors of the share)."""
    random, accepted, runs = np.random.default_rng(7), 0, 400
    batches = {f"{group}_batches": [f"{group}{number // 2}" for number in range(6)] for group in ("variant", "reference")}
    for _ in range(runs):
        of_batch = np.repeat(random.normal(0.0, 0.05, 6), 2)
        values = np.exp(of_batch + random.normal(0.0, 0.02, 12)) * np.repeat([0.90, 1.0], 6)
        accepted += compare_ratio(values[:6], values[6:], **batches).verdict == "met"
    assert accepted / runs < 0.05 + 0.033


def test_values_without_any_scatter_are_told():
    found = compare_ratio([1.0, 1.0, 1.0], [1.0, 1.0, 1.0])
    assert found.notes == ("all values of each group are the same: no scatter was measured, the interval has no width",)


def test_a_negative_scatter_is_refused():
    with pytest.raises(EvaluationError, match="scatter between batches = -0.1 must be 0 or more"):
        compare_ratio(VARIANT, REFERENCE, **APART, batch_deviation=-0.1)
