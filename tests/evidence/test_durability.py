"""Durability: life to a criterion from tables of other laws (growing crack, heat, softening), restarts and disturbed rows."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from dossier.evidence.applied import applied_cycles, gaps, pauses
from dossier.evidence.cycle_table import cycle_table
from dossier.evidence.durability import evaluate_durability, stiffness_of
from dossier.evidence.errors import EvaluationError
from tests.evidence.laws import sliders

START = 52_000.0


class CrackedPart:
    """A joint whose crack grows by dc/dN = B·T² with T rising with the crack, the stiffness lost with the cracked share,
    beside softening with the logarithm of the cycles; integrated numerically."""

    def __init__(self, rate: float = 4e-6) -> None:
        self.solved = solve_ivp(
            lambda n, c: rate * (1 + 6 * c) ** 2, (0, 400_000), [0.01], rtol=1e-9, atol=1e-12, dense_output=True,
            events=_cracked_through,
        )  # fmt: skip
        self.end = float(self.solved.t[-1])

    def stiffness(self, cycles: np.ndarray) -> np.ndarray:
        cracked = self.solved.sol(np.minimum(cycles, self.end))[0]
        return START * (1 - 0.8 * cracked) * (1 - 0.01 * np.log10(1 + cycles / 100))

    def life(self, loss: float, reference: float) -> float:
        level = (1 - loss) * float(self.stiffness(np.array([reference]))[0])
        return brentq(lambda n: float(self.stiffness(np.array([n]))[0]) - level, reference, self.end)


def _cracked_through(n, c):
    return c[0] - 0.9


_cracked_through.terminal = True
PART = CrackedPart()
ROWS = np.arange(500.0, 58_000, 500)


def noisy(cycles, share=0.004, seed=1):
    values = PART.stiffness(cycles)
    return values * (1 + share * np.random.default_rng(seed).standard_normal(len(values)))


def test_life_without_noise():
    for loss in (0.1, 0.2, 0.3):
        found = evaluate_durability(ROWS, PART.stiffness(ROWS), loss=loss, reference_cycles=1000)
        assert found.life == pytest.approx(PART.life(loss, 1000), rel=4e-3) and not found.censored
        assert found.limit == pytest.approx((1 - loss) * PART.stiffness(np.array([1000.0]))[0], rel=1e-3)


def test_life_with_noise_within_its_error():
    true = PART.life(0.2, 1000)
    found = [evaluate_durability(ROWS, noisy(ROWS, seed=seed), loss=0.2, reference_cycles=1000) for seed in range(60)]
    off = np.array([each.life - true for each in found])
    told = float(np.mean([each.life_error for each in found]))
    assert abs(off).max() < 0.06 * true
    assert off.std() == pytest.approx(told, rel=0.5) and abs(off.mean()) < 0.5 * told


def test_not_reached_is_stopped_at_the_last_cycle():
    few = ROWS[0.8 * PART.life(0.2, 1000) > ROWS]
    found = evaluate_durability(few, noisy(few), loss=0.2, reference_cycles=1000, planned_cycles=2 * few[-1])
    assert found.life is None and found.life_error is None and found.censored and found.applied == few[-1]
    assert found.planned_share == 0.5 and found.planned_loss is None and 0 < found.end_loss < 0.2
    assert any("not reached: stopped at" in note for note in found.notes)


def test_loss_at_the_planned_cycles():
    found = evaluate_durability(ROWS, noisy(ROWS), loss=0.3, reference_cycles=1000, planned_cycles=20_000)
    true = 1 - PART.stiffness(np.array([20_000.0]))[0] / PART.stiffness(np.array([1000.0]))[0]
    assert found.planned_loss == pytest.approx(true, abs=0.006) and found.planned_share > 1


def test_single_outliers_end_no_life():
    values = noisy(ROWS)
    values[[10, 40, 41]] *= 0.5
    clean = evaluate_durability(ROWS, noisy(ROWS), loss=0.2, reference_cycles=1000)
    found = evaluate_durability(ROWS, values, loss=0.2, reference_cycles=1000)
    assert found.life == pytest.approx(clean.life, rel=5e-3)
    assert found.outlier.tolist() == [n in (10, 40, 41) for n in range(len(ROWS))]


def test_a_last_row_alone_is_no_end():
    few = ROWS[0.8 * PART.life(0.2, 1000) > ROWS]
    values = noisy(few)
    values[-1] *= 0.6
    found = evaluate_durability(few, values, loss=0.2, reference_cycles=1000)
    assert found.life is None and any("last row alone" in note for note in found.notes)


def test_a_table_that_ends_at_its_criterion_has_a_life():
    life = PART.life(0.2, 1000)
    few = ROWS[: int(np.argmax(life < ROWS)) + 1]
    assert few[-1] > life > few[-2]
    found = evaluate_durability(few, PART.stiffness(few), loss=0.2, reference_cycles=1000)
    assert found.life == pytest.approx(life, rel=0.01)


def test_counter_set_back_at_a_restart():
    values = noisy(ROWS)
    counter = ROWS.copy()
    counter[30:] -= ROWS[29]
    counter[70:] -= counter[69]
    found = evaluate_durability(counter, values, loss=0.2, reference_cycles=1000)
    whole = evaluate_durability(ROWS, values, loss=0.2, reference_cycles=1000)
    assert found.applied == ROWS[-1] and found.life == pytest.approx(whole.life, rel=0.01)
    assert [restart.kind for restart in found.restarts] == ["reset", "reset"]


def test_cycles_repeated_at_a_restart_count_once():
    again = np.concatenate((ROWS[:60], ROWS[55:]))
    found = evaluate_durability(again, noisy(again), loss=0.2, reference_cycles=1000)
    assert found.applied == ROWS[-1] and [restart.kind for restart in found.restarts] == ["resumed"]
    assert found.life == pytest.approx(PART.life(0.2, 1000), rel=0.04)
    assert any("counted once" in note for note in found.notes)


def test_stiffer_after_a_rest_is_no_recovery():
    """Rests just before and just behind the criterion: up to +18 % that fade over three rows."""
    true = PART.life(0.2, 1000)
    values = noisy(ROWS, 0.002)
    behind = int(np.argmax(true < ROWS))
    for row, share in ((behind - 9, 0.06), (behind + 5, 0.18)):
        values[row : row + 3] *= 1 + share * np.array([1, 0.9, 0.4])
    found = evaluate_durability(ROWS, values, loss=0.2, reference_cycles=1000)
    assert found.life == pytest.approx(true, rel=0.03)
    assert any("no recovery" in note for note in found.notes)


def test_broken_part_ends_between_its_rows():
    values = noisy(ROWS)
    values[50:] = 3000
    found = evaluate_durability(ROWS, values, loss=0.3, reference_cycles=1000)
    assert ROWS[49] <= found.life <= ROWS[50]


def test_temperature_is_corrected_where_the_factor_is_given():
    """A part of constant stiffness at 23 °C that warms by 30 K softens by 0.4 % per K: no life with, a life without."""
    temperature = 23 + 30 * (1 - np.exp(-ROWS / 5000))
    values = START * (1 - 0.004 * (temperature - 23))
    told = {"loss": 0.1, "reference_cycles": 500, "temperature": temperature}
    level = 0.9 * (1 - 0.12 * (1 - np.exp(-0.1)))
    assert evaluate_durability(ROWS, values, **told).life == pytest.approx(-5000 * np.log(1 - (1 - level) / 0.12), rel=0.01)
    found = evaluate_durability(ROWS, values, temperature_factor=-0.004, **told)
    assert found.life is None and found.end_loss == pytest.approx(0, abs=1e-9)
    assert found.temperature_max == pytest.approx(53, abs=0.01) and any("23 °C" in note for note in found.notes)


def test_reference_is_the_first_settled_rows():
    """Softening of the first cycles: 20 % until 5 rows change by less than 1 %."""
    values = 1000 * (1 + 0.2 * np.exp(-np.arange(60) / 3.0))
    found = evaluate_durability(np.arange(60) * 1000.0, values, loss=0.3)
    assert found.reference_cycles > 7000 and found.reference_stiffness == pytest.approx(1000, rel=0.02)
    assert any("first settled rows" in note for note in found.notes)


def test_damping_before_and_behind():
    damping = 0.05 + 0.1 * ROWS / ROWS[-1]
    found = evaluate_durability(ROWS, noisy(ROWS), loss=0.3, reference_cycles=1000, damping=damping)
    assert found.damping_reference == pytest.approx(0.054, abs=0.003) and found.damping_end == pytest.approx(0.148, abs=0.003)


def test_long_tables_are_taken_in_groups():
    many = np.arange(1.0, 57_001)
    found = evaluate_durability(many, noisy(many, 0.02), loss=0.2, reference_cycles=1000)
    assert found.life == pytest.approx(PART.life(0.2, 1000), rel=0.05) and any("medians of 23 rows" in n for n in found.notes)


def test_applied_cycles():
    applied, restarts = applied_cycles(np.array([0, 100, 200, 50, 150, 140, 240.0]))
    assert applied.tolist() == [0, 100, 200, 250, 350, 340, 440]
    assert [(each.row, each.kind) for each in restarts] == [(3, "reset"), (5, "resumed")]


def test_many_restarts_and_pauses_are_one_sentence_each():
    counter = np.tile(np.arange(100.0, 1100, 100), 4)
    time = np.cumsum(np.where(np.arange(40) % 10 == 0, 36_050.0, 50.0))
    found = evaluate_durability(counter, np.full(40, 1000.0), loss=0.2, time=time)
    assert found.applied == 4000
    assert "counter fell back 3 times, rows 10, 20, 30: taken as begun anew and added" in found.notes
    assert "3 pauses of 10 to 10 h, rows 10, 20, 30" in found.notes


def test_gaps_and_pauses():
    cycles = np.concatenate((np.arange(0.0, 1000, 10), np.arange(5000.0, 6000, 10)))
    assert gaps(cycles) == [(990.0, 5000.0)]
    time = cycles / 2.0
    time[150:] += 36_000
    assert pauses(time, cycles) == [(150, pytest.approx(36_000))]


def test_stiffness_of_amplitudes():
    assert stiffness_of([100, 50, 10], [0.1, 0.1, 0.0])[:2].tolist() == [1000, 500]


def long_record(cycles=40, rate=80, noise=0.0):
    """Springs with sliders whose limits grow (hysteresis) while the spring fades: a part that cracks."""
    rng = np.random.default_rng(2)
    turn = 2 * np.pi * np.arange(cycles * rate + 1) / rate
    travel = -0.4 * np.cos(turn)
    fading = 1 - 0.3 * turn / turn[-1]
    load = 1000 * fading * travel + sliders(travel, np.full(8, 200.0), np.linspace(5, 60, 8)) * (2 - fading)
    return travel + noise * 0.4 * rng.standard_normal(len(turn)), load + noise * 400 * rng.standard_normal(len(turn))


def test_cycles_of_a_long_record():
    travel, load = long_record()
    table = cycle_table(travel, load)
    assert table.cycles.tolist() == list(range(1, 41))
    one = slice(20 * 80, 21 * 80 + 1)
    assert table.energy[20] == pytest.approx(np.trapezoid(load[one], travel[one]), rel=2e-3)
    slope = np.polyfit(travel[one][:-1], load[one][:-1], 1)[0]
    assert table.stiffness[20] == pytest.approx(slope, rel=1e-9)
    assert table.load_max[20] == load[one].max() and table.travel_min[20] == pytest.approx(-0.4)
    assert table.energy[-1] > 1.15 * table.energy[1] and table.stiffness[-1] < 0.95 * table.stiffness[1]
    assert table.damping[-1] > table.damping[1] > 0


def test_noisy_record_gives_the_same_course():
    clean, found = cycle_table(*long_record()), cycle_table(*long_record(noise=0.01))
    assert len(found.cycles) == 40
    np.testing.assert_allclose(found.stiffness[1:], clean.stiffness[1:], rtol=0.01)
    np.testing.assert_allclose(found.energy[1:], clean.energy[1:], rtol=0.15)


def test_every_tenth_cycle_recorded():
    travel, load = long_record(cycles=10)
    parts = [slice(start * 80, (start + 2) * 80 + 1) for start in (0, 5, 8)]
    counter = np.concatenate([10.0 * start + np.arange(161) // 80 for start in (0, 5, 8)])
    table = cycle_table(*(np.concatenate([values[p] for p in parts]) for values in (travel, load)), counter=counter)
    assert table.cycles.tolist() == [1, 2, 51, 52, 81, 82]


def test_life_of_a_long_record():
    """Stiffness of the fading spring with its sliders falls by 4 % where the undisturbed record says."""
    table = cycle_table(*long_record(cycles=120, noise=0.005))
    found = evaluate_durability(table.cycles, table.stiffness, loss=0.04, reference_cycles=5)
    clean = cycle_table(*long_record(cycles=120))
    level = 0.96 * clean.stiffness[4]
    assert found.life == pytest.approx(float(np.interp(-level, -clean.stiffness[1:], clean.cycles[1:])), abs=4)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"loss": 20}, "loss = 20"),
        ({"reference_cycles": 90_000}, "reference_cycles = 90000 lies outside"),
        ({"stiffness": -PART.stiffness(ROWS)}, "must be above 0"),
        ({"stiffness": PART.stiffness(ROWS)[:-1]}, "must agree"),
        ({"cycles": ROWS[:3], "stiffness": PART.stiffness(ROWS)[:3]}, "3 rows"),
        ({"cycles": -ROWS}, "must be 0 or more"),
        ({"temperature_factor": -0.004}, "without a temperature"),
        ({"planned_cycles": 0}, "planned_cycles = 0"),
    ],
)
def test_what_cannot_be_evaluated_says_why(change, words):
    with pytest.raises(EvaluationError, match=words):
        evaluate_durability(**{"cycles": ROWS, "stiffness": PART.stiffness(ROWS), "loss": 0.2, **change})


def test_no_cycle_in_a_record():
    with pytest.raises(EvaluationError, match="no closed cycle"):
        cycle_table(np.linspace(0, 1, 50), np.linspace(0, 10, 50))
