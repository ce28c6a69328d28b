"""Curves that are answered with a warning, or refused in the units that were asked for."""

import json
from types import SimpleNamespace

import numpy as np
import pytest

from dossier.cli import main
from dossier.evidence import RefusedFile, evaluate_file
from tests.evidence.generator import Law, Programme, with_stiffness

STIFFNESS = 50_000.0


@pytest.fixture(scope="module")
def record():
    programme = Programme(load=12_000.0, rate=1 / 6, frequency=20.0, cycles=4)
    return with_stiffness(STIFFNESS, programme, Law(), low=-11_000.0, high=11_000.0)


def _file(folder, record, load=None, heads=("Time [s]", "Displacement [mm]", "Force [N]")):
    path = folder / "curve.csv"
    rows = zip(record.time, record.travel, record.load if load is None else load, strict=True)
    path.write_text(";".join(heads) + "\n" + "".join(f"{a:.5f};{b:.7f};{c:.4f}\n" for a, b, c in rows))
    return path


def test_a_single_point_far_off_is_asked_about_in_every_kind(tmp_path, record):
    load = record.load.copy()
    load[len(load) // 2] = 1e9
    path = _file(tmp_path, record, load)
    for kind, given in (("static", {}), ("load_history", {"sn_range": 1e3, "sn_cycles": 1e6, "exponents": 3})):
        assert any("was it a spike" in text for text in evaluate_file(path, kind=kind, **given)["warnings"])
    sound = evaluate_file(_file(tmp_path, record), kind="static")
    assert not any("spike" in text for text in sound["warnings"])


def test_a_history_cut_off_at_the_transducers_end_is_asked_about(tmp_path, record):
    path = _file(tmp_path, record, np.clip(record.load, -8000.0, 8000.0))
    found = evaluate_file(path, kind="load_history", sn_range=1e3, sn_cycles=1e6, exponents=[5])
    assert sum("end of its range" in text for text in found["warnings"]) == 2


def test_a_fixture_softer_than_the_whole_is_refused(tmp_path, record):
    with pytest.raises(RefusedFile, match="fixture_compliance = 1 mm/N"):
        evaluate_file(_file(tmp_path, record), kind="static", force_window=(-9e3, 9e3), fixture_compliance=1.0)


def test_a_window_that_is_not_reached_is_named_in_the_asked_unit(tmp_path, record):
    with pytest.raises(RefusedFile, match=r"force_window = 20 kN is not reached"):
        evaluate_file(_file(tmp_path, record), kind="static", force_window=(-10.0, 20.0), force_unit="kN")


def test_a_channel_that_stands_is_named(tmp_path, record):
    with pytest.raises(RefusedFile, match="the load stands still at 5"):
        evaluate_file(_file(tmp_path, record, np.full(len(record.load), 5.0)), kind="static")


@pytest.mark.parametrize(
    "head",
    [
        "Cycle;Force max [N];Force min [N];Displacement max [mm];Displacement min [mm]",
        "Cycle;Peak Force (N);Valley Force (N);Peak Disp (mm);Valley Disp (mm)",
    ],
)
def test_life_from_the_ends_of_each_cycle(tmp_path, head):
    path = tmp_path / "ends.csv"
    rows = ((n, 5000 * (1 - 0.2 * n / 150_000)) for n in range(0, 200_001, 5000))
    path.write_text(head + "\n" + "".join(f"{n};{load + 300:.3f};{300 - load:.3f};0.11;-0.09\n" for n, load in rows))
    found = evaluate_file(path, kind="durability", loss=0.2, reference_cycles=0)
    assert found["life"] == pytest.approx(150_000, rel=0.005)
    assert found["reference_stiffness"] == pytest.approx(50_000.0, rel=1e-3)


@pytest.mark.parametrize("written", [["--exponent", "3", "--exponent", "5"], ["--exponents", "3", "5"]])
def test_exponents_of_the_command(tmp_path, record, capsys, written):
    path = str(_file(tmp_path, record))
    assert main(["evaluate", path, "--kind", "load_history", "--sn-range", "1000", "--sn-cycles", "1e6", *written, "--json"]) == 0
    assert [float(one) for one in json.loads(capsys.readouterr().out)["damage"]] == [3.0, 5.0]


def test_a_press_curve_cut_off_at_the_transducers_end_or_with_a_spike_is_asked_about(tmp_path, record):
    """The load at rest, exactly zero over many rows, is no end of a range."""
    travel = np.linspace(0.0, 30.0, 600)
    load = np.where(travel < 25.0, 900.0 * np.minimum(travel, 25.0), 0.0)
    told = []
    for shown in (load, np.minimum(load, 15_000.0), np.where(np.arange(600) == 300, 9e5, load)):
        pushed = SimpleNamespace(time=np.arange(600) * 0.1, travel=travel, load=shown)
        told.append(" ".join(evaluate_file(_file(tmp_path, pushed), kind="press", operation="push_out")["warnings"]))
    assert "end of its range" not in told[0] and "spike" not in told[0]
    assert "the load stays at its largest value 15000" in told[1]
    assert "was it a spike" in told[2]


def test_too_few_cycles_for_a_course_are_told_as_cycles(tmp_path, record):
    with pytest.raises(RefusedFile, match=r"curve.csv: 4 cycles in \d+ recorded rows; at least 5 are needed"):
        evaluate_file(_file(tmp_path, record), kind="durability", loss=0.2)
