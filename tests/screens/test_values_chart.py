"""Sheet 4, plots of single values, driven by keys: what is drawn, read at the cursor, and told below."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from textual.pilot import Pilot

from screens.app import DossierApp
from screens.widgets.chart import Chart, Curve, whole
from screens.widgets.curve_drawing import draw_chart, legend, plot_of
from screens.widgets.curve_view import CurveView
from screens.widgets.raster_canvas import Canvas
from tests import judged_project as judged
from tests.screens.look import settled
from tests.screens.sheet_case import driven, press, shown, until

TOLD = {
    "E-050": ("R-050 ≥ 500000 cycles", "its lower bound reaches", "failed, %", "63.2", "1e6", "other group"),
    "E-051": ("50 % reach", "bound, 90 %", "N: life at 24 kN", "2e6", "load, kN"),
    "E-052": ("mean strength", "o bore its load to the end", "in the order tested"),
    "E-053": ("lower limit 59.9", "tolerance interval, 95", "60.10"),
    "E-054": ("- left out", "mean with its expanded uncertainty"),
}


@pytest.fixture(scope="module")
def root(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("judged") / "project"
    judged.begin(folder)
    return folder


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_enter_draws_single_values_and_the_cursor_walks_from_part_to_part(root: Path, size: tuple[int, int]) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        for item, expected in TOLD.items():
            app.here.go_to(item)
            await press(pilot, "enter")
            view = app.here.query_one(CurveView)
            await until(pilot, lambda view=view: view.chart.curves)
            await settled(pilot)
            for words in expected:
                assert words in " ".join(shown(app).split()), (item, words)
            await press(pilot, "end")
            assert view.chart.lead.words[-1][0] in shown(app)
            if item == "E-050":
                assert "stopped, not failed" in shown(app) and "rank" not in view.chart.lead.words[-1][-1]
                await press(pilot, "home")
                assert "rank 10.9 %" in shown(app)
                await press(pilot, "b")
                await until(pilot, lambda view=view: view.chart.lead.name == "reference")
                await press(pilot, "i")
                assert "working of E-050" in shown(app)
                await press(pilot, "escape")
            await press(pilot, "escape")

    driven(root, size, script)


def points(plain: bool = False) -> tuple[Canvas, Chart]:
    x = np.array([1.0, 1.0, 2.0])
    chart = Chart([
        Curve("limit", np.array([1.0, 2.0]), np.array([9.0, 9.0]), "limit"),
        Curve("more", np.array([1.0, 2.0]), np.array([5.0, 5.0]), "limit"),
        Curve("parts", x, np.array([7.0, 7.0, 8.0]), "points", signs="xx>", words=(("a",), ("b",), ("c",))),
    ], "", "kN", zero=False)  # fmt: skip
    canvas = Canvas(60, 16, plain=plain)
    draw_chart(canvas, chart, plot_of(canvas, whole(chart), 0))
    return canvas, chart


@pytest.mark.parametrize("plain", [False, True])
def test_points_at_one_place_are_counted_and_zero_stays_out_of_view(plain: bool) -> None:
    canvas, chart = points(plain)
    text = "\n".join(canvas.cells().text())
    assert "2" in text and ">" in text and "zoomed" not in text
    assert whole(chart).y0 > 4 and legend(chart, plain)[0][1] == "limit, more"
    assert not plain or (text.isascii() and "===" in text and legend(chart, plain)[0][0] == "===")


def test_a_legend_names_every_line_of_a_form_once() -> None:
    x = np.array([0.0, 1.0])
    few = Chart([Curve(name, x, x) for name in ("variant ±0.1 mm", "variant ±0.2 mm", "variant ±0.1 mm")])
    assert legend(few, False)[0][1] == "variant ±0.1 mm, ±0.2 mm"
    many = Chart([Curve(f"variant P-{n}", x, x, "part") for n in range(5)])
    assert legend(many, False)[0][1] == "variant P-0 and 4 more"


def test_points_need_a_sign_and_words_for_each_place() -> None:
    with pytest.raises(ValueError, match="3 places, 2 signs and 0 words; give as many"):
        Curve("parts", np.zeros(3), np.zeros(3), "points", signs="xx")
