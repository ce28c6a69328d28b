"""Rainflow counting and damage sums: against the package `rainflow` (MIT), printed examples and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import rainflow as other

from dossier.evidence.errors import EvaluationError
from dossier.evidence.load_history import (
    cycles_to_failure,
    damage_of_blocks,
    damage_sums,
    equivalent_range,
    evaluate_load_history,
    pseudo_damage,
    rainflow,
    range_mean_matrix,
)
from dossier.evidence.turning import turning_rows

F1 = np.array([-2.0, 1, -3, 5, -1, 3, -4, 4, -2])


def test_example_of_the_counting_standard():
    """ASTM E1049-85 5.4.4, figure 6; values recomputed with rainflow 3.2.0."""
    counted = rainflow(F1)
    found = {r: float(counted.counts[counted.ranges == r].sum()) for r in np.unique(counted.ranges)}
    assert found == {3: 0.5, 4: 1.5, 6: 0.5, 8: 1.0, 9: 0.5}
    assert counted.cycles == 4.0
    full = counted.counts == 1
    assert counted.ranges[full] == [4] and counted.means[full] == [1]


def test_damage_sum_of_the_example_is_1094():
    """Σ n·r³ = 0.5·27 + 1.5·64 + 0.5·216 + 512 + 0.5·729 of the counts above (analytic). Exact."""
    found = damage_sums(rainflow(F1), sn_range=1, sn_cycles=1, exponents=[3])
    assert found == {3.0: 1094.0}


def test_miner_sum_of_three_levels():
    """Modarres, Amiri & Jackson (2017) p. 33-37, as printed in the documentation of `reliability`."""
    total, shares = damage_of_blocks([40 / 60, 15 / 60, 5 / 60], [50_000, 6_500, 1_000])
    assert 1 / total == pytest.approx(7400.3795, abs=5e-5)
    assert [round(100 * share, 3) for share in shares] == [9.867, 28.463, 61.670]


def test_life_on_the_line():
    """N = N_D·(S/S_D)^−k with N_D = 1e6, S_D = 100, k = 5, S = 200 (Basquin's line, analytic). Exact."""
    assert cycles_to_failure(200, 100, 1e6, 5) == pytest.approx(31250)


def as_rows(counted) -> np.ndarray:
    table = np.stack((counted.ranges, counted.means, counted.counts), axis=1)
    return table[np.lexsort(table.T)]


@pytest.mark.parametrize(
    "signal",
    [
        np.random.default_rng(1).standard_normal(4000),
        np.cumsum(np.random.default_rng(2).standard_normal(4000)),
        np.random.default_rng(3).integers(0, 5, 4000).astype(float),
        np.sin(np.arange(3000.0)) * np.arange(3000),
        np.sin(np.arange(3000.0)) * np.arange(3000)[::-1],
        np.tile([0.0, 5, 1, 4, 0, 3], 300),
        np.tile([1.0, -1], 300),
        np.array([0.0, 1, 0.5]),
    ],
    ids=["noise", "walk", "integers", "growing", "falling", "blocks", "constant range", "three"],
)
def test_every_cycle_is_the_one_of_the_package(signal):
    theirs = np.array([row[:3] for row in other.extract_cycles(signal)])
    mine = as_rows(rainflow(signal))
    assert mine.shape == theirs.shape
    np.testing.assert_allclose(mine, theirs[np.lexsort(theirs.T)], atol=1e-9)


def test_short_signals_of_few_levels_one_by_one():
    rng = np.random.default_rng(5)
    for _ in range(400):
        signal = rng.integers(0, 6, rng.integers(3, 30)).astype(float)
        if np.ptp(signal):
            theirs = sorted((r, m, n) for r, m, n, *_ in other.extract_cycles(signal))
            counted = rainflow(signal)
            assert sorted(zip(counted.ranges, counted.means, counted.counts, strict=True)) == theirs


def test_hysteresis_takes_small_reversals_and_keeps_extremes():
    rng = np.random.default_rng(7)
    slow = 10 * np.sin(np.linspace(0, 40 * np.pi, 8000))
    noisy = slow + 0.3 * rng.standard_normal(8000)
    assert len(turning_rows(noisy)) > 3000
    rows = turning_rows(noisy, 3.0)
    assert len(rows) in (41, 42)
    assert noisy[rows].max() == noisy.max() and noisy[rows].min() == noisy.min()
    assert rainflow(noisy, 3.0).cycles == pytest.approx(20, abs=0.5)


def test_hysteresis_of_slowly_growing_ranges():
    """Ranges that grow to the end leave nothing between two larger ones: the path along the signal."""
    signal = np.array([(-1) ** k * k / 100 for k in range(400)])
    rows = turning_rows(signal, 3.0)
    ranges = np.abs(np.diff(signal[rows]))
    assert ranges.min() >= 3.0 and len(rows) == pytest.approx(250, abs=2)


def test_constant_range_closed_form():
    """1000 cycles of range 20 with damage 1000·(20/10)^5/1e6, and a mean that changes nothing."""
    signal = 7 + 10 * np.tile([1.0, -1.0], 1000)
    found = evaluate_load_history(signal, sn_range=10, sn_cycles=1e6, exponents=[3, 5])
    assert found.damage[5.0] == pytest.approx(999.5 * 32 / 1e6, rel=1e-12)
    assert found.damage[3.0] == pytest.approx(999.5 * 8 / 1e6, rel=1e-12)
    assert found.equivalent[5.0] == pytest.approx(20)
    assert (found.largest, found.smallest, found.cycles) == (17, -3, 999.5)


def test_equivalent_range_does_the_same_damage():
    counted = rainflow(np.random.default_rng(11).standard_normal(5000) * 4000)
    level = equivalent_range(counted, 5, 500)
    assert 500 * (level / 1000) ** 5 == pytest.approx(damage_sums(counted, sn_range=1000, sn_cycles=1, exponents=[5])[5.0])


def test_shares_of_the_quarters_add_up():
    found = evaluate_load_history(F1, sn_range=1, sn_cycles=1, exponents=[3])
    assert sum(found.shares[3.0]) == pytest.approx(1)
    assert found.shares[3.0][3] == pytest.approx((8**3 + 9**3 / 2) / 1094)


def test_repeated_history_closes_its_residue():
    """One passage of the example begun at its largest value, closed there."""
    found = evaluate_load_history(F1, sn_range=1, sn_cycles=1, exponents=[3])
    begun_at_largest = np.concatenate((F1[3:], F1[1:4]))
    whole = rainflow(begun_at_largest)
    begun_there = float(np.sum(whole.counts * whole.ranges**3))
    assert found.damage_repeated[3.0] == pytest.approx(begun_there)


def test_half_a_swing_is_told_to_be_a_whole_one_when_repeated():
    found = evaluate_load_history(np.array([0.0, 4, 3, 10]), sn_range=1, sn_cycles=1, exponents=[3])
    assert found.damage == {3.0: pytest.approx(1 + 500)} and found.damage_repeated == {3.0: pytest.approx(1 + 1000)}
    assert any("1.99" in note or "2 times" in note for note in found.notes)


def test_an_almost_closed_history_has_no_word_on_its_residue():
    found = evaluate_load_history(np.tile(F1, 50), sn_range=1, sn_cycles=1, exponents=[3])
    assert found.damage_repeated[3.0] == pytest.approx(found.damage[3.0], rel=0.03)
    assert not any("repeated" in note for note in found.notes)


def test_matrix_holds_every_cycle():
    counted = rainflow(np.random.default_rng(13).standard_normal(3000))
    table, ranges, means = range_mean_matrix(counted, 10, 12)
    assert table.shape == (10, 12) and len(ranges) == 11 and len(means) == 13
    assert table.sum() == pytest.approx(counted.cycles)


def test_pseudo_damage_ranks_channels():
    signal = np.random.default_rng(17).standard_normal(2000)
    found = pseudo_damage({"x": signal, "y": 2 * signal}, 5)
    assert found["y"] / found["x"] == pytest.approx(32)


@pytest.mark.parametrize(
    ("signal", "told", "words"),
    [
        (np.zeros(50), {}, "turning points"),
        (np.array([0.0, np.nan, 1.0, 0.0]), {}, "row 1"),
        (np.array([3.0]), {}, "at least 2"),
        (F1, {"sn_range": 0}, "sn_range = 0"),
        (F1, {"sn_cycles": -1}, "sn_cycles = -1"),
        (F1, {"exponents": []}, "exponents is empty"),
        (F1, {"exponents": [-3]}, "exponents: -3"),
    ],
)
def test_what_cannot_be_counted_says_why(signal, told, words):
    with pytest.raises(EvaluationError, match=words):
        evaluate_load_history(signal, **{"sn_range": 1, "sn_cycles": 1, **told})
