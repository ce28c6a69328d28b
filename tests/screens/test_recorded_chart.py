"""Sheet 4, curves of dynamic, durability and load-history items, driven by keys in a small project."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from textual.pilot import Pilot

from dossier.actions.opened import Opened
from screens.app import DossierApp
from screens.widgets.curve_view import CurveView
from tests import recorded_project as recorded
from tests import small_project as small
from tests.evidence.recorded import write_history
from tests.screens.look import drive, settled
from tests.screens.sheet_case import driven, press, shown, until


@pytest.fixture(scope="module")
def root(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("recorded")
    recorded.begin(folder / "project", folder)
    return folder / "project"


@pytest.fixture(autouse=True)
def state(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("DOSSIER_STATE", str(tmp_path / "state"))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)])
def test_course_temperature_and_the_next_part(root: Path, size: tuple[int, int]) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        app.here.go_to("E-102")
        await press(pilot, "enter")
        view = app.here.query_one(CurveView)
        await until(pilot, lambda: view.chart.curves)
        assert [curve.form for curve in view.chart.curves] == ["part", "variant", "limit", "reference"]
        assert "1 of 2 stopped before the end criterion" in shown(app) and "other plot" in shown(app)
        await press(pilot, "b")
        await until(pilot, lambda: view.chart.y_unit == "°C")
        await press(pilot, "b", "l")
        await until(pilot, lambda: any(curve.name == "variant P-2" for curve in view.chart.curves))

    driven(root, size, script)


def test_stiffness_over_frequency_and_ranges_over_cycles(root: Path) -> None:
    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        for item, name, unit in (("E-101", "dynamic stiffness", "kN/mm"), ("E-103", "force range", "kN")):
            app.here.go_to(item)
            await press(pilot, "enter")
            view = app.here.query_one(CurveView)
            await until(pilot, lambda view=view, name=name: view.chart.y_name == name)
            assert view.chart.y_unit == unit
            await press(pilot, "escape")

    driven(root, (100, 30), script)


KEYS = {" ": "space", "=": "equals_sign", ";": "semicolon", "_": "underscore", ".": "full_stop", ":": "colon", "-": "minus"}


def test_a_scheme_for_other_records_is_made_by_keys(root: Path, tmp_path: Path) -> None:
    own = Path(shutil.copytree(root, tmp_path / "own"))
    path = write_history(tmp_path / "h.csv", seed=1, minutes=1)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        sheet = app.here
        for way, text, name in (
            ("load_history", "sn_range=40 kN; sn_cycles=1e5; exponents=5", "RS-14"),
            ("press", "press_length=38 mm; window=10 .. 20 mm: 5 .. 20 kN; window=20 .. 38 mm: .. 30 kN", "RS-15"),
            ("load", "2 kN .. 10 kN; 4-6; tangent at 5 kN", "RS-16"),
        ):
            sheet._evaluated(path, [], "Recorder", way)
            await settled(pilot)
            for letter in text:
                await pilot.press(KEYS.get(letter, letter))
            await press(pilot, "enter")
            await until(pilot, lambda name=name: Opened(own).project.find(name) is not None)

    driven_as(own, script)
    project = Opened(own).project
    found = project.get("RS-14").load_history
    assert (found.sn_range, found.sn_cycles, found.exponents) == (40_000.0, 1e5, [5.0])
    assert [window.words for window in project.get("RS-15").press.windows] == [
        "10 .. 20 mm, at least 5 kN and at most 20 kN", "20 .. 38 mm, at most 30 kN",
    ]  # fmt: skip
    static = project.get("RS-16")
    assert (static.cycle, static.last_cycle, static.stiffness, static.tangent_at) == (4, 6, "tangent", 5000.0)


def driven_as(root: Path, script) -> None:
    """As a person who may enter evidence."""
    app = DossierApp(root, small.LABORATORY)

    async def run(pilot: Pilot) -> None:
        await script(app, pilot)

    drive(app, (100, 30), run)


def test_press_curves_with_their_marks(tmp_path: Path) -> None:
    recorded.press(recorded.begin(tmp_path / "project", tmp_path, ()), tmp_path)

    async def script(app: DossierApp, pilot: Pilot) -> None:
        await press(pilot, "4")
        app.here.go_to("E-104")
        await press(pilot, "enter")
        view = app.here.query_one(CurveView)
        await until(pilot, lambda: view.chart.curves)
        await press(pilot, "l")
        await until(pilot, lambda: view.chart.curves[0].name == "variant P-2")
        assert [curve.form for curve in view.chart.curves] == ["variant", "reference", "limit", "limit"]
        assert {mark.letter for mark in view.chart.marks} >= {"P", "S", "D"} and view.chart.y_unit == "kN"
        await until(pilot, lambda: "or stick and slip" in shown(app))
        assert "P-1: " not in shown(app)

    driven(tmp_path / "project", (120, 40), script)
