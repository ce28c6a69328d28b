"""Press curves are drawn alike in the document and on sheet 4, from what the evaluation found."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest
from chapters_case import body, built, squeezed

sys.path[:0] = [str(Path(__file__).parents[2])]

from dossier.actions.opened import Opened  # noqa: E402
from dossier.evidence.press import evaluate_press  # noqa: E402
from dossier.methods.evidence_files import raw_files_of  # noqa: E402
from dossier.methods.evidence_plots import recorded_plots  # noqa: E402
from dossier.release.chapters.evidence import evidence  # noqa: E402
from dossier.release.chapters.evidence_curves import Figure, figure  # noqa: E402
from dossier.release.facts import Facts  # noqa: E402
from dossier.release.kit import Kit  # noqa: E402
from dossier.release.page import Page  # noqa: E402
from tests import recorded_project as recorded  # noqa: E402
from tests.evidence.test_press import pressed_in, pushed_out  # noqa: E402


@pytest.fixture(scope="module")
def opened(tmp_path_factory) -> Opened:
    folder = tmp_path_factory.mktemp("pressed")
    opened = recorded.begin(folder / "project", folder, ())
    recorded.press(opened, folder)
    return opened


@pytest.fixture(scope="module")
def facts(opened) -> Facts:
    return Facts(opened.view, "A", False, "2026-03-06", {}, [])


def plot_of(opened, item, part=None):
    (plot,) = recorded_plots(opened.project.get(item), raw_files_of(opened.folder.root), part)
    return plot, {mark.letter: mark for mark in plot.marks}


def test_the_scored_part_is_drawn_with_peak_seat_drop_and_window(opened):
    plot, marks = plot_of(opened, "E-104")
    assert [line.label for line in plot.lines] == ["variant P-2", "reference P-11", "least, window 1", "most, window 1"]
    truth = evaluate_press(*pressed_in(seed=2, teeth=20), operation="press_in", press_length=40.0)
    assert marks["P"].y == pytest.approx(truth.peak_force / 1000, rel=1e-3)
    assert marks["S"].x == pytest.approx(90.0, abs=0.5)
    assert 58 < marks["D"].x < 90 and "D first of " in plot.told
    assert "Window 1: 85 .. 89 mm, at least 20 kN and at most 31 kN." in plot.told
    limits = plot.lines[3]
    assert limits.form == "limit" and list(limits.x) == [85.0, 89.0] and list(limits.y) == [31.0, 31.0]


def test_a_part_by_number_is_drawn_and_a_sound_one_has_no_drop(opened):
    plot, marks = plot_of(opened, "E-104", part=0)
    assert plot.lines[0].label == "variant P-1" and "D" not in marks


def test_the_sliding_force_of_a_push_out_is_a_line_behind_its_peak(opened):
    plot, marks = plot_of(opened, "E-105", part=1)
    truth = evaluate_press(*pushed_out(seed=6), operation="push_out")
    sliding = next(line for line in plot.lines if line.label == "sliding force")
    assert sliding.y[0] == pytest.approx(truth.end_force / 1000, rel=1e-3)
    assert sliding.x[0] == pytest.approx(marks["P"].x) and sliding.x[1] == pytest.approx(15.0, abs=0.1)
    assert np.max(plot.lines[0].y) >= marks["P"].y


def test_the_document_draws_and_explains_them(facts):
    drawn = figure(Kit(Page("a4")), facts, facts.project.get("E-104"))
    assert isinstance(drawn, Figure), drawn
    (curve,) = drawn.parts
    assert (curve.x_scale.name, curve.y_scale.name) == ("travel, mm", "force, kN")
    assert {mark.letter for mark in curve.marks} >= {"P", "S", "D"}
    shown = body(built(facts, chapters=lambda kit, facts: evidence(kit, facts, "Evidence")))
    for words in ("P highest force up to the seat", "S seat, where the steep wall begins", "P break-loose peak"):
        assert squeezed(words) in shown
