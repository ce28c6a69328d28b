"""Lives on Weibull paper in the document: every failure, every stopped part, the line and its bounds in their places."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from chapters_case import TODAY, body, built, squeezed

sys.path[:0] = [str(Path(__file__).parents[2])]

from dossier.actions.edit import add_record  # noqa: E402
from dossier.actions.evaluate import evaluate_items  # noqa: E402
from dossier.actions.opened import Opened  # noqa: E402
from dossier.checks.told_evidence import evidence_sentence, fatigue_sentences, life_words  # noqa: E402
from dossier.checks.view import View  # noqa: E402
from dossier.evidence.plot_positions import plot_positions  # noqa: E402
from dossier.evidence.weibull import fit_weibull  # noqa: E402
from dossier.evidence.weibull_plot import height, weibull_plot  # noqa: E402
from dossier.release.chapters.evidence import evidence  # noqa: E402
from dossier.release.facts import Facts  # noqa: E402
from dossier.release.kit import Kit  # noqa: E402
from dossier.release.page import Page  # noqa: E402
from dossier.release.probability import ProbabilityPlot, decades, shares  # noqa: E402
from tests import small_project as small  # noqa: E402

LAB = small.LABORATORY
LIVES = (1.2e6, 1.9e6, 2.6e6, 3.1e6, 3.3e6, 4.0e6)
STOPPED = (False, False, False, False, False, True)


def project_with(
    folder: Path, quantity: str, values: tuple[float, ...], stopped: tuple[bool, ...], unit: str, **fields: object
) -> Opened:
    opened = small.begin(folder)
    for number in range(len(values)):
        opened.record(add_record(opened.project, "specimen", {"id": f"P-{number}", "design": "V1", "batch": "7"}, LAB))
    samples = [
        {"specimen": f"P-{n}", "value": v, **({"survived": True} if s else {})}
        for n, (v, s) in enumerate(zip(values, stopped, strict=True))
    ]
    raw = {"id": "E-050", "title": "Endurance", "way": "test", "quantity": quantity, "unit": unit, "variant": "V1",
           "state": "finished", "started_on": "2026-03-01", "done_on": "2026-03-09", "samples": samples, **fields}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    opened.record(evaluate_items(opened.project, ["E-050"], LAB))
    return opened


def chapter(opened: Opened) -> str:
    facts = Facts(View(opened.project, TODAY), "B", False, TODAY.isoformat(), {}, [])
    return body(built(facts, chapters=lambda kit, given: evidence(kit, given, "Evidence")))


def test_the_chapter_shows_plot_words_and_working(tmp_path):
    opened = project_with(tmp_path / "p", "life", LIVES, STOPPED, "cycles")
    shown = chapter(opened)
    fit = fit_weibull(LIVES, STOPPED)
    for words in ("Weibull paper: variant, 5 failed, 1 stopped", "failed, %", "life, cycles", "maximum likelihood", "63.2",
                  "E-050: working", f"shape {fit.shape:.3g}", "B10"):  # fmt: skip
        assert squeezed(words) in shown, words
    least = f"{fit.least_life(0.1, 0.9):.3g}"
    assert "at 90 %; 5 of 6 failed" in life_words(opened.project.get("E-050"))[0]
    assert float(life_words(opened.project.get("E-050"))[0].split("at least ")[1].split(" ")[0].replace(",", "")) == float(least)


def test_a_run_without_failure_is_told_and_not_drawn(tmp_path):
    opened = project_with(tmp_path / "p", "life", LIVES[:3], (True,) * 3, "cycles", statistics={"required": 1e6})
    shown = chapter(opened)
    assert squeezed("reliability 46 % at 90 %") in shown and squeezed("Weibull paper") not in shown
    assert squeezed("R_v") in shown or squeezed("reliability shown, variant") in shown


def test_series_and_staircase_show_their_workings(tmp_path):
    values = tuple(np.random.default_rng(1).normal(60.0, 0.02, 30))
    opened = project_with(tmp_path / "c", "capability", values, (False,) * 30, "mm", statistics={"lower": 59.9, "upper": 60.1})
    shown = chapter(opened)
    assert squeezed("capability towards the nearer limit") in shown and squeezed("Cpk") in shown
    assert "Cpk" in evidence_sentence(opened.view, opened.project.get("E-050"))
    loads = (380, 360, 340, 360, 380, 400, 380, 360, 380, 360, 380, 360, 340, 360, 380)
    stopped = tuple(not failed for failed in (1, 1, 0, 0, 0, 1, 1, 0, 1, 0, 1, 1, 0, 0, 0))
    steps = project_with(tmp_path / "s", "staircase", loads, stopped, "kN")
    assert squeezed("mean strength") in chapter(steps)


def test_the_fatigue_sentence_tells_the_distribution(tmp_path):
    opened = project_with(tmp_path / "p", "life", LIVES, STOPPED, "cycles",
                          serves=[{"requirement": "R-050", "value": "variant"}])  # fmt: skip
    raw = {"id": "R-050", "title": "Life", "statement": "The joint shall bear 5e5 cycles.", "quantity": "life", "unit": "cycles",
           "limit": {"kind": "min", "min": 5e5}, "verification": ["test"]}  # fmt: skip
    opened.record(add_record(opened.project, "requirement", raw, small.ENGINEER))
    ((_, told),) = fatigue_sentences(opened.view)
    assert "B10" in told and "shape" in told and "success" not in told


@pytest.fixture(scope="module")
def plot():
    return weibull_plot(fit_weibull(LIVES, STOPPED), 0.8)


def test_the_line_and_its_bounds_are_those_of_the_fit(plot):
    fit = fit_weibull(LIVES, STOPPED)
    for lg_life, at in plot.line:
        share = 1 - np.exp(-np.exp(at))
        assert 10**lg_life == pytest.approx(fit.life(share), rel=1e-9)
    at, low, high = plot.bounds[len(plot.bounds) // 2]
    bounds = fit.life_bounds(1 - np.exp(-np.exp(at)), 0.8)
    assert (10**low, 10**high) == pytest.approx((bounds.low, bounds.high), rel=1e-9)
    positions = plot_positions(LIVES, STOPPED)
    assert 10 ** plot.failures[:, 0] == pytest.approx(positions.lives)
    assert plot.failures[:, 1] == pytest.approx([height(share) for share in positions.shares])
    assert 10**plot.censored == pytest.approx([4.0e6])


def test_failures_stand_on_the_paper_where_their_numbers_say(plot):
    drawing = ProbabilityPlot(Kit(Page("a4")), 262, 168, plot, "cycles")
    lives, ranks = drawing.x_scale, drawing.y_scale
    for x, y in plot.failures:
        assert drawing.LEFT <= drawing.x(x) <= drawing.width - drawing.RIGHT
        assert drawing.BOTTOM < drawing.y(y) < drawing.height - drawing.TOP
    assert lives.low < plot.censored.min() < lives.high
    assert {"1", "10", "50", "90"} <= {ranks.show(value) for value in ranks.ticks}


@pytest.mark.parametrize(
    ("values", "expected"),
    [((5.5, 7.1), {"1e6", "2e6", "5e6", "1e7"}), ((0.0, 2.0), {"1", "2", "5", "10", "20", "50", "100"}),
     ((1.0, 12.0), {"100", "1e4", "1e12"})],
)  # fmt: skip
def test_ticks_of_lives(values, expected):
    scale = decades(values, "life")
    assert expected <= {scale.show(value) for value in scale.ticks}
    assert all(scale.low <= value <= scale.high for value in scale.ticks)
    assert len(scale.ticks) <= 10


def test_ticks_of_shares_lie_between_the_ends():
    scale = shares(height(0.04), height(0.93), "failed, %")
    assert [scale.show(value) for value in scale.ticks] == ["5", "10", "20", "50", "63.2", "80", "90"]
