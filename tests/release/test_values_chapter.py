"""Lives, S–N line, staircase and series in the document: figures whose every point stands in its place, words, workings."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from chapters_case import TODAY, body, built, squeezed

sys.path[:0] = [str(Path(__file__).parents[2])]

from dossier.checks.told_evidence import evidence_sentence, fatigue_sentences, life_words  # noqa: E402
from dossier.checks.view import View  # noqa: E402
from dossier.evidence.plot_positions import plot_positions  # noqa: E402
from dossier.evidence.plot_scales import height  # noqa: E402
from dossier.evidence.weibull import fit_weibull  # noqa: E402
from dossier.evidence.weibull_plot import weibull_plot  # noqa: E402
from dossier.release.chapters.evidence import evidence  # noqa: E402
from dossier.release.chapters.evidence_curves import Figure  # noqa: E402
from dossier.release.chapters.evidence_values import values_figure  # noqa: E402
from dossier.release.facts import Facts  # noqa: E402
from dossier.release.kit import Kit  # noqa: E402
from dossier.release.page import Page  # noqa: E402
from tests import judged_project as judged  # noqa: E402

LIVES, STOPPED = judged.LIVES, (False,) * 5 + (True,)


@pytest.fixture(scope="module")
def facts(tmp_path_factory) -> Facts:
    opened = judged.begin(tmp_path_factory.mktemp("judged") / "project")
    return Facts(View(opened.project, TODAY), "B", False, TODAY.isoformat(), {}, [])


@pytest.fixture(scope="module")
def shown(facts) -> str:
    return body(built(facts, chapters=lambda kit, given: evidence(kit, given, "Evidence")))


def drawn(facts: Facts, kind: str) -> Figure:
    found = values_figure(Kit(Page("a4")), facts, facts.project.get(judged.IDS[kind]))
    assert isinstance(found, Figure), found
    return found


def test_the_chapter_shows_plots_words_and_workings(facts, shown):
    fit = fit_weibull(LIVES, STOPPED)
    for words in (
        "Weibull paper. Points of the variant: cross failed at its median rank, arrow stopped", "failed, %", "life, cycles",
        "maximum likelihood", "63.2", "E-050: working", f"shape {fit.shape:.3g}", "B10", "R-050 ≥ 500000 cycles",
        "50 % reach", "90 % reach", "load, kN", "at 30 kN", "reach, at 24 kN", "cross failed, ring bore its load to the end",
        "mean strength", "part, in the order tested", "tolerance interval, 95 % of the parts", "upper limit 60.1000 mm",
        "capability towards the nearer limit", "Cpk", "mean 59.9987 ± 0.0063 mm", "Grey:", "Long dashes: limits.",
    ):  # fmt: skip
        assert squeezed(words) in shown, words
    item = facts.project.get("E-050")
    assert "at 90 %; 5 of 6 failed" in life_words(item)[0]
    assert float(life_words(item)[0].split("at least ")[1].split(" ")[0]) == float(f"{fit.least_life(0.1, 0.9):.3g}")
    assert "Cpk" in evidence_sentence(facts.view, facts.project.get("E-053"))
    assert "B10" in dict((i.id, told) for i, told in fatigue_sentences(facts.view))["E-050"]


def test_many_parts_are_told_in_a_line_and_few_beside_the_figure(shown):
    assert squeezed("V1-30 60.0043 mm") in shown and squeezed("V1-09 > 2000000") not in shown
    assert squeezed("V1-09at 21 kN> 2000000") in shown


def test_points_stand_on_the_paper_where_their_numbers_say(facts):
    figure, other = drawn(facts, "life").parts
    lives, ranks = figure.x_scale, figure.y_scale
    for x, y in zip(figure.single.x, figure.single.y, strict=True):
        assert figure.LEFT <= figure.x(x) <= figure.width - figure.RIGHT
        assert figure.BOTTOM < figure.y(y) < figure.height - figure.TOP
    assert {"1", "10", "50", "90"} <= {ranks.show(value) for value in ranks.ticks}
    assert {"1e6", "2e6"} <= {lives.show(value) for value in lives.ticks}
    assert lives.cross == lives.low and other.x_scale.low < lives.low
    assert (figure.single.signs, drawn(facts, "staircase").parts[0].single.signs[:3]) == ("xxxxx>", "xxo")


def test_a_run_without_failure_is_told_and_not_drawn(facts):
    item = facts.project.get("E-050")
    inputs = {**item.result.inputs, "reference": [], "variant": [
        {**sample, "survived": True} for sample in item.result.inputs["variant"]
    ]}  # fmt: skip
    stopped = item.model_copy(update={"result": item.result.model_copy(update={"inputs": inputs})})
    fresh = Facts(facts.view, "B", False, TODAY.isoformat(), {}, [])
    told = values_figure(Kit(Page("a4")), fresh, stopped)
    assert isinstance(told, str) and "variant" in told


def test_the_line_and_its_bounds_are_those_of_the_fit():
    fit = fit_weibull(LIVES, STOPPED)
    plot = weibull_plot(fit, 0.8)
    for lg_life, at in plot.line:
        assert 10**lg_life == pytest.approx(fit.life(1 - np.exp(-np.exp(at))), rel=1e-9)
    at, low, high = plot.bounds[len(plot.bounds) // 2]
    bounds = fit.life_bounds(1 - np.exp(-np.exp(at)), 0.8)
    assert (10**low, 10**high) == pytest.approx((bounds.low, bounds.high), rel=1e-9)
    positions = plot_positions(LIVES, STOPPED)
    assert 10 ** plot.failures[:, 0] == pytest.approx(positions.lives)
    assert plot.failures[:, 1] == pytest.approx([height(share) for share in positions.shares])
    assert 10**plot.censored == pytest.approx([4.0e6])
