"""Static schemes that take a tangent, another zero or the mean of several cycles: made by command, kept, told, outdated."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dossier import cli
from dossier.actions.edit import add_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import import_curves
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.scheme_settings import static_fields, typed_static
from dossier.evidence.tangent import WINDOW
from dossier.methods.evidence_stored import stored_working
from dossier.release.chapters.evidence_lists import _static_columns
from tests import small_project as small

LAB = small.LABORATORY
SLOPE, BEND, OFFSET = 20_000.0, 60_000.0, 0.15  # N/mm, N/mm³, mm
SOFTER = 0.02  # each cycle against the one before it, of SLOPE and BEND


def written(path: Path) -> Path:
    """F = s·(k x + b x³) over 5 cycles of a triangle ±0.5 mm, travel counted from −OFFSET; s falls from cycle to cycle."""
    turns = np.array([0.0, *([0.5, -0.5] * 5), 0.0])
    travel = np.concatenate([np.linspace(a, b, 400, endpoint=False) for a, b in zip(turns, turns[1:], strict=False)])
    scale = 1 - SOFTER * (np.arange(len(travel)) // 800)
    load = scale * (SLOPE * travel + BEND * travel**3)
    travel, load = np.concatenate([np.zeros(8), travel]), np.concatenate([np.zeros(8), load])
    rows = [f"{n / 100:.2f};{x + OFFSET:.7f};{f / 1000:.7f}" for n, (x, f) in enumerate(zip(travel, load, strict=True))]
    path.write_text("Time;Travel;Load\ns;mm;kN\n" + "\n".join(rows) + "\n")
    return path


@pytest.fixture(scope="module")
def curve(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(tmp_path_factory.mktemp("static") / "P-1.csv")


@pytest.fixture(scope="module")
def begun(curve: Path) -> Opened:
    opened = small.begin(curve.parent / "project")
    opened.record(add_record(opened.project, "specimen", {"id": "P-1", "design": "V1", "batch": "7"}, LAB))
    return opened


def evaluated(opened: Opened, curve: Path, name: str, *settings: str) -> Opened:
    """An item of its own, with the scheme that the command makes."""
    scheme, item = f"RS-{name}", f"E-{name}"
    where = str(opened.folder.root)
    given = ["scheme", where, scheme, str(curve), "--title", "M", "--low", "-7 kN", "--high", "7 kN", "--person", LAB]
    assert cli.main([*given, *settings]) == 0
    opened = Opened(opened.folder.root)
    raw = {"id": item, "title": "Radial", "way": "test", "quantity": "radial", "variant": "V1", "state": "running",
           "started_on": "2026-03-01"}  # fmt: skip
    opened.record(add_record(opened.project, "evidence", raw, LAB))
    opened.record(import_curves(opened.project, item, [str(curve)], LAB, scheme))
    opened.record(evaluate_items(opened.project, [item], LAB))
    return opened


def travel_at(load: float, scale: float) -> float:
    return float(next(r.real for r in np.roots([scale * BEND, 0.0, scale * SLOPE, -load]) if abs(r.imag) < 1e-9))


def test_a_tangent_is_the_slope_at_its_load(begun, curve):
    """k + 3 b x² at the travel of 5 kN in the fourth cycle, which began with three steps of SOFTER (analytic)."""
    opened = evaluated(begun, curve, "101", "--tangent-at", "5 kN")
    scale = 1 - 3 * SOFTER
    true = scale * (SLOPE + 3 * BEND * travel_at(5000.0, scale) ** 2)
    item = opened.project.get("E-101")
    # the line runs through 6 % of the load range, over which this law bends by 0.4 %
    assert item.result.value("variant").value == pytest.approx(true, rel=5e-3)
    assert dict(stored_working(item).facts)["evaluated"].endswith("cycle 4, tangent at 5 kN (range −7 .. 7 kN)")
    assert f"within {WINDOW:.0%} of the load range".replace("%", " %") in dict(stored_working(item).facts)["tangent"]
    assert _static_columns(opened.project.get("RS-101"))[2] == "tangent at 5 kN"
    opened.record(set_field(opened.project, "RS-101", "tangent_at", "2000", LAB))
    fresh = opened.view.evaluations["E-101"]
    assert (fresh.state, [d.field for d in fresh.differences]) == ("outdated", ["tangent_at"])


def test_the_mean_of_cycles_is_told_cycle_by_cycle(begun, curve):
    """Secants ±7 kN: each cycle's own travels (analytic); the mean of cycles 3 to 5 and each of them."""
    opened = evaluated(begun, curve, "102", "--cycle", "3-5")
    each = [7000.0 / travel_at(7000.0, 1 - SOFTER * (cycle - 1)) for cycle in (3, 4, 5)]
    item = opened.project.get("E-102")
    found = [item.result.value(f"cycle {cycle}:P-1").value for cycle in (3, 4, 5)]
    # the loading branch of a cycle begins at the bottom, half of it still at the scale of the cycle before
    assert found == pytest.approx(each, rel=1.5e-2) and found[0] > found[1] > found[2]
    assert item.result.value("variant").value == pytest.approx(sum(found) / 3, rel=1e-12)
    facts = dict(stored_working(item).facts)
    assert "the mean of cycles 3 to 5" in facts["evaluated"]
    assert facts["cycles of P-1"] == ", ".join(f"{value / 1000:.2f}" for value in found) + " kN/mm"
    apart = 100 * (found[0] - found[2]) / (sum(found) / 3)
    assert f"P-1: mean of cycles 3 to 5, which differ by at most {apart:.2g} %" in item.result.warnings


@pytest.mark.parametrize(("zero", "shift"), [("none", OFFSET), ("loop", 0.0), ("start", 0.0)])
def test_the_zero_decides_where_travels_are_counted_from(begun, curve, zero, shift):
    """Secant between travels 0.1 and 0.3 mm of the fourth cycle, k + b (x₁² + x₁ x₂ + x₂²) with the travels of the part."""
    number = {"none": "103", "loop": "104", "start": "105"}[zero]
    opened = evaluated(begun, curve, number, "--between", "travel", "--low", "0.1 mm", "--high", "0.3 mm", "--zero", zero)
    x = 0.1 - shift, 0.3 - shift
    true = (1 - 3 * SOFTER) * (SLOPE + BEND * (x[0] ** 2 + x[0] * x[1] + x[1] ** 2))
    item = opened.project.get(f"E-{number}")
    assert item.result.value("variant").value == pytest.approx(true, rel=2e-3)
    assert ("zero" in dict(stored_working(item).facts)) == (zero != "start") == ("zero" in item.result.inputs)


def test_what_is_typed_by_keys_says_the_same_as_the_options():
    low, high, texts = typed_static("-7 kN .. 7 kN; 4-6; tangent at 5 kN; zero loop")
    assert (low, high) == ("-7 kN", "7 kN")
    way = {"cycle": 4, "last_cycle": 6, "tangent_at": 5000.0, "stiffness": "tangent", "zero": "loop"}
    assert static_fields(False, texts) == way
    assert static_fields(False, typed_static("1 mm .. 2 mm")[2]) == {"cycle": 4}
    assert static_fields(False, typed_static("1 mm .. 2 mm; 3; least squares")[2]) == {"cycle": 3, "stiffness": "least squares"}


@pytest.mark.parametrize(
    ("text", "told"),
    [("7 kN", "write low .. high"), ("1 kN .. 2 kN; 4-x", "must be one number or two"), ("1 kN .. 2 kN; steep", "stiffness = "),
     ("1 kN .. 2 kN; zero middle", 'zero = "middle" must be one of'), ("1 kN .. 2 kN; tangent at 3 mm", "tangent at")],
)  # fmt: skip
def test_what_cannot_be_meant_is_refused_with_the_words_that_can(text, told):
    with pytest.raises(Refusal, match=told):
        static_fields(False, typed_static(text)[2])


@pytest.mark.parametrize(
    ("settings", "told"),
    [(("--stiffness", "tangent"), "a tangent, and only it, needs its load"), (("--tangent-at", "9 kN"), "lies outside"),
     (("--cycle", "4-3"), "last_cycle = 3 must come after cycle = 4")],
)  # fmt: skip
def test_a_scheme_that_contradicts_itself_is_refused(begun, curve, capsys, settings, told):
    where = str(begun.folder.root)
    given = ["scheme", where, "RS-199", str(curve), "--title", "M", "--low", "-7 kN", "--high", "7 kN", "--person", LAB]
    assert cli.main([*given, *settings]) != 0
    assert told in capsys.readouterr().err
