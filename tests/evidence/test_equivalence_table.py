"""Equivalence from one table: groups, batches and their scatter, and what limits the statement."""

import math

import numpy as np
import pytest

from dossier.evidence.equivalence import compare_ratio
from dossier.evidence.equivalence_table import equivalence_of_table
from dossier.evidence.errors import EvaluationError

GROUPS = ["variant"] * 4 + ["Original"] * 4
VALUES = [54.0, 55.0, 56.0, 55.5, 55.2, 54.8, 56.1, 55.4]


def test_the_table_gives_the_ratio_of_the_groups_in_one_batch():
    found = equivalence_of_table(GROUPS, VALUES, ["B7"] * 8, 0.10)
    plain = compare_ratio(VALUES[:4], VALUES[4:])
    assert found.interval == (plain.low, plain.high)
    assert (found.equivalent, found.warnings) == (True, ())


def test_rows_may_stand_in_any_order():
    order = [5, 0, 7, 2, 1, 6, 3, 4]
    mixed = equivalence_of_table([GROUPS[i] for i in order], [VALUES[i] for i in order], None, 0.10)
    assert mixed.ratio == pytest.approx(equivalence_of_table(GROUPS, VALUES, None, 0.10).ratio, rel=1e-14)


def test_an_interval_across_the_margin_shows_no_equivalence_and_says_undecided():
    found = equivalence_of_table(GROUPS, [v * (0.91 if i < 4 else 1) for i, v in enumerate(VALUES)], ["B7"] * 8, 0.10)
    assert found.equivalent is False
    assert found.warnings[0].startswith("undecided: the interval")


def test_other_batches_without_their_scatter_allow_no_statement():
    """The interval lies inside, but the ratio of the parts and of the batches cannot be told apart."""
    found = equivalence_of_table(GROUPS, VALUES, ["B1"] * 4 + ["B2"] * 4, 0.10)
    assert found.interval[0] > 0.9 and found.interval[1] < 1.1
    assert found.equivalent is None
    assert "these batches only" in found.warnings[0]


def test_an_accepted_scatter_between_batches_widens_the_interval():
    """Two batches with 3 % each: the standard error is √(Welch² + 2·0.03²), worked by hand."""
    batches = ["B1"] * 4 + ["B2"] * 4
    plain = equivalence_of_table(GROUPS, VALUES, ["B1"] * 8, 0.10).comparison
    found = equivalence_of_table(GROUPS, VALUES, batches, 0.10, batch_deviation=0.03)
    assert found.comparison.error == pytest.approx(math.sqrt(plain.error**2 + 2 * 0.03**2), rel=1e-12)
    assert found.equivalent is True and found.warnings == ()
    assert equivalence_of_table(GROUPS, VALUES, batches, 0.10, batch_deviation=0.08).equivalent is False


def test_scatter_of_a_batch_both_groups_share_cancels():
    """Half of each group is of batch A: only the other halves, (0.5² + 0.5²)·s², count."""
    batches = ["A", "A", "B", "B", "A", "A", "C", "C"]
    one_degree = equivalence_of_table(GROUPS[:7], VALUES[:7], ["A"] * 4 + ["C"] * 3, 0.10, batch_deviation=0.04)
    assert one_degree.comparison.between == pytest.approx(2 * 0.04**2, rel=1e-12)
    from dossier.evidence.batches import _not_shared

    assert _not_shared(batches[:4], batches[4:]) == pytest.approx(0.5)


def test_several_batches_give_their_own_scatter():
    """Three batches of the variant, two others of the reference: their means are the single values, s pooled with
    3 degrees of freedom (worked by hand)."""
    variant, reference = {"a": 1.00, "b": 1.04, "c": 0.97}, {"x": 1.01, "y": 0.99}
    rows = [("variant", name, value) for name, value in variant.items() for _ in range(3)]
    rows += [("reference", name, value) for name, value in reference.items() for _ in range(2)]
    found = equivalence_of_table([r[0] for r in rows], [r[2] for r in rows], [r[1] for r in rows], 0.2).comparison
    logs = [np.log(list(group.values())) for group in (variant, reference)]
    pooled = math.sqrt(sum(((log - log.mean()) ** 2).sum() for log in logs) / 3)
    assert (found.way, found.freedom) == ("measured", 3)
    assert found.error == pytest.approx(pooled * math.sqrt(1 / 3 + 1 / 2), rel=1e-12)


def test_with_the_scatter_of_batches_a_wrong_ratio_is_accepted_as_rarely_as_stated():
    """True ratio 0.90 at the margin, 5 % between batches, 2 % within, three batches each: at most 5 % accept
    (simulated, 400 tables, three standard errors of the share: 3.3 %)."""
    random, accepted, runs = np.random.default_rng(7), 0, 400
    groups = ["variant"] * 6 + ["reference"] * 6
    batches = [f"{group[0]}{number // 2}" for group in ("variant", "reference") for number in range(6)]
    for _ in range(runs):
        of_batch = np.repeat(random.normal(0.0, 0.05, 6), 2)
        values = np.exp(of_batch + random.normal(0.0, 0.02, 12)) * np.repeat([0.90, 1.0], 6)
        accepted += equivalence_of_table(groups, values, batches, 0.10).equivalent is True
    assert accepted / runs < 0.05 + 0.033


def test_too_few_specimens_allow_no_statement():
    found = equivalence_of_table(["variant", "reference", "reference"], [1.0, 1.0, 1.1], None, 0.10)
    assert (found.ratio, found.interval, found.equivalent) == (None, None, None)
    assert found.warnings == ("no ratio: 1 of the variant and 2 of the reference part; 2 of each are needed",)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"margin": 10.0}, "margin = 10 must lie between 0 and 1"),
        ({"groups": ["B"] * 8}, 'group "B" in row 1 is unknown; write variant or reference'),
        ({"values": VALUES[:7]}, "8 groups, 7 values; give one of each"),
        ({"batches": ["B7"]}, "8 groups, 8 values, 1 batches"),
        ({"values": [0.0, *VALUES[1:]]}, "variant holds 0; ratios need values above 0"),
        ({"values": [float("nan"), *VALUES[1:]]}, "variant holds a value that is no number"),
        ({"batches": ["B1"] * 4 + ["B2"] * 4, "batch_deviation": -0.1}, "scatter between batches = -0.1 must be 0 or more"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(change, message):
    with pytest.raises(EvaluationError, match=message):
        equivalence_of_table(**{"groups": GROUPS, "values": VALUES, "batches": None, "margin": 0.10, **change})
