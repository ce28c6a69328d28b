"""What is drawn of lives, S–N line, staircase, series and single values: every point in its place, nothing left out."""

from __future__ import annotations

import math

import numpy as np
import pytest

from dossier.checks.told_evidence import fatigue_sentences
from dossier.checks.told_plots import plot_limits
from dossier.evidence.plot_positions import plot_positions
from dossier.evidence.plot_scales import height, ticks_of
from dossier.evidence.sn_line import fit_sn_line
from dossier.evidence.weibull import fit_weibull
from dossier.methods.judged_plots import judged_plots
from tests import judged_project as judged


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    return judged.begin(tmp_path_factory.mktemp("judged") / "project")


def plots(opened, kind):
    item = opened.project.get(judged.IDS[kind])
    return judged_plots(item, plot_limits(opened.view, item))


def test_lives_stand_at_their_ranks_and_the_stopped_part_at_the_foot(opened):
    variant, reference = plots(opened, "life")
    lives, stopped = np.array(judged.LIVES), np.array([False] * 5 + [True])
    positions = plot_positions(lives, stopped)
    assert variant.points.signs == "xxxxx>" and len(reference.points.x) == len(judged.OTHER_LIVES)
    assert 10 ** variant.points.x == pytest.approx(lives)
    assert variant.points.y[:5] == pytest.approx([height(share) for share in positions.shares])
    assert variant.points.y[5] < variant.lines[0].y.min() and variant.points.words[5][1] == "stopped, not failed"
    fit = fit_weibull(lives, stopped)
    (mark,) = variant.marks
    assert (10**mark.x, mark.y) == pytest.approx((fit.life(0.1), height(0.1)))
    limit = next(line for line in variant.lines if line.form == "limit")
    assert 10 ** limit.x == pytest.approx([5e5, 5e5]) and limit.label == "R-050 ≥ 500000 cycles"
    assert "its lower bound reaches R-050" in variant.told
    assert variant.band.lower[0][0] > variant.band.upper[0][0]


def test_the_survival_line_lies_left_of_the_middle_and_its_bound_left_of_both(opened):
    (plot,) = plots(opened, "sn_line")
    half, most = (line for line in plot.lines if line.form == "fit")
    fit = fit_sn_line(judged.LEVELS, judged.CYCLES, [False] * 7 + [True] * 2)
    assert 10 ** half.x[0] == pytest.approx(fit.life(10 ** half.y[0]))
    assert 10 ** most.x[-1] == pytest.approx(fit.life(10 ** most.y[-1], 0.9))
    assert (plot.band.lower[0] < most.x).all() and (most.x < half.x).all()
    assert sorted(plot.points.signs) == sorted("x" * 7 + ">" * 2)
    assert "does not reach R-050" in plot.told
    assert [words for item, words in fatigue_sentences(opened.view) if item.id == "E-051"][0].startswith("511000 cycles reached")


def test_the_staircase_keeps_its_order_and_shows_mean_and_bounds(opened):
    (plot,) = plots(opened, "staircase")
    assert plot.points.y.tolist() == list(map(float, judged.STEPS)) and plot.points.joined
    assert plot.points.signs == "".join("o" if bore else "x" for bore in judged.BORE)
    value = opened.project.get("E-052").result.value("variant")
    assert plot.lines[0].y == pytest.approx([value.value] * 2)
    assert (plot.band.lower[1][0], plot.band.upper[1][0]) == (value.low, value.high)


def test_a_series_shows_limits_mean_and_tolerance_interval(opened):
    (plot,) = plots(opened, "capability")
    assert plot.points.y.tolist() == list(judged.SERIES)
    assert sorted(line.y[0] for line in plot.lines if line.form == "limit") == [59.9, 60.1]
    result = opened.project.get("E-053").result
    assert plot.band.lower[1][0] == pytest.approx(result.value("tolerance_low_variant").value)
    assert "59.9580 mm to 60.0393 mm" in plot.told


def test_what_was_left_out_stays_visible(opened):
    (plot,) = plots(opened, "single")
    assert plot.points.signs == "ooo-" and plot.points.y[-1] == 19.0
    assert plot.points.words[-1][:2] == ("V1-04", "left out") and "- left out" in plot.told


def test_an_item_without_values_is_refused_with_the_way_out(opened):
    bare = opened.project.get("E-054").model_copy(update={"result": None})
    with pytest.raises(ValueError, match="no two values that could be drawn; enter what was measured"):
        judged_plots(bare)


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(5.5, 7.1, {"1e6", "2e6", "5e6", "1e7"}), (0.0, 2.0, {"1", "2", "5", "10", "100"}), (1.0, 12.0, {"100", "1e4", "1e12"}),
     (math.log10(20.5), math.log10(30.4), {"22", "26", "30"}), (math.log10(4.02e6), math.log10(4.3e6), {"4.1e6", "4.2e6"})],
)  # fmt: skip
def test_ticks_of_logarithms(low, high, expected):
    found = ticks_of("lg", low, high)
    assert expected <= {words for _, words in found} and len(found) <= 12
    for at, words in found:
        assert low - 1e-9 <= at <= high + 1e-9 and 10**at == pytest.approx(float(words), rel=1e-3)


def test_the_history_tells_a_value_in_the_requirements_unit(opened):
    from dossier.actions.evaluate import evaluate_items

    assert evaluate_items(opened.project, ["E-050"], judged.LAB).message == "E-050 evaluated: 1379000 cycles"
