"""Curves of one file: written in the dialects of machines, of parts that follow other laws than the evaluation knows."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon

from dossier.cli import main
from dossier.evidence import RefusedFile, evaluate_file
from tests.evidence import dialects
from tests.evidence.generator import Law, Programme, Rig, measured, with_stiffness

STIFFNESS = 56_000.0
WINDOW = (-11_000.0, 11_000.0)
COMPLIANCE = 9e-7
PROGRAMME = Programme(load=12_100.0, rate=1 / 6, frequency=60.0, cycles=4)


@pytest.fixture(scope="module")
def record():
    return with_stiffness(STIFFNESS, PROGRAMME, Law(), low=WINDOW[0], high=WINDOW[1])


@pytest.fixture(scope="module")
def files(record, tmp_path_factory):
    """The same curve as each machine writes it, with the fixture in the travel."""
    folder = tmp_path_factory.mktemp("curves")
    shown = measured(record, Rig(compliance=COMPLIANCE, load_noise=1.5, travel_noise=3e-5), seed=11)
    found = {}
    for name, dialect in dialects.DIALECTS.items():
        found[name] = folder / f"{name}.csv"
        dialects.write(found[name], dialect, shown.time, shown.travel, shown.load)
    return found


@pytest.mark.parametrize("name", sorted(dialects.DIALECTS))
def test_the_stiffness_of_the_part_is_found_in_every_dialect(files, name):
    found = evaluate_file(
        files[name], kind="static", direction="radial", force_window=WINDOW, cycle=4, fixture_compliance=COMPLIANCE
    )
    # 0.2 %: noise of 1.5 N and 0.03 µm at both ends of the secant
    assert found["stiffness_part"] == pytest.approx(STIFFNESS, rel=2e-3)
    assert 1 / found["stiffness"] == pytest.approx(1 / found["stiffness_part"] + COMPLIANCE, rel=1e-9)
    assert found["signs"] == []


def test_units_of_the_answer_are_those_asked_for(files):
    plain = evaluate_file(files["english"], kind="static", force_window=WINDOW, cycle=4)
    other = evaluate_file(
        files["english"], kind="static", force_window=(-11.0, 11.0), cycle=4, force_unit="kN", displacement_unit="µm"
    )
    assert other["stiffness"] == pytest.approx(plain["stiffness"] / 1e6, rel=1e-12)
    assert other["force_max"] == pytest.approx(plain["force_max"] / 1e3, rel=1e-12)
    assert other["displacement_max"] == pytest.approx(plain["displacement_max"] * 1e3, rel=1e-12)
    assert other["energy"] == pytest.approx(plain["energy"], rel=1e-12), "energy stays in J"
    assert other["residual"] == pytest.approx(plain["residual"] * 1e3, rel=1e-9)


def test_energy_is_the_area_of_the_loop(files, record):
    found = evaluate_file(files["english"], kind="static", force_window=WINDOW, cycle=4)
    start, end = record.turns[5], record.turns[7]
    corners = Polygon(np.column_stack((record.travel[start : end + 1], record.load[start : end + 1])))
    # 1 %: noise, and the branches that cross at the tips
    assert found["energy"] == pytest.approx(corners.area * 1e-3, rel=0.01)


def test_the_usual_cycle_is_the_fourth_and_fewer_are_told(files, tmp_path):
    assert evaluate_file(files["english"], kind="static", force_window=WINDOW)["cycle"] == 4
    short = with_stiffness(STIFFNESS, replace(PROGRAMME, cycles=2), Law(), low=WINDOW[0], high=WINDOW[1])
    path = tmp_path / "short.csv"
    dialects.write(path, dialects.ENGLISH, short.time, short.travel, short.load)
    found = evaluate_file(path, kind="static", force_window=WINDOW)
    assert found["cycle"] == 2
    assert any("fewer than three for conditioning" in text for text in found["warnings"])


def test_a_cycle_or_a_window_that_is_not_there_is_refused(files):
    with pytest.raises(RefusedFile, match="4 cycles found, the 7th is missing"):
        evaluate_file(files["english"], kind="static", force_window=WINDOW, cycle=7)
    with pytest.raises(RefusedFile, match="20000"):
        evaluate_file(files["english"], kind="static", force_window=(-20_000.0, 20_000.0))


def test_a_load_in_kilonewton_named_newton_is_questioned(tmp_path, record):
    path = tmp_path / "wrong.csv"
    wrong = replace(dialects.ENGLISH, unit_names=("s", "mm", "N"))
    dialects.write(path, wrong, record.time, record.travel, record.load)
    found = evaluate_file(path, kind="static", nominal_stiffness=STIFFNESS)
    assert any("1000 times too small" in text for text in found["warnings"])
    right = tmp_path / "right.csv"
    dialects.write(right, dialects.ENGLISH, record.time, record.travel, record.load)
    asked = evaluate_file(right, kind="static", nominal_stiffness=STIFFNESS, force_window=WINDOW)
    assert not any("too small" in text for text in asked["warnings"])


def test_an_opposite_sign_is_refused(tmp_path, record):
    path = tmp_path / "sign.csv"
    dialects.write(path, dialects.ENGLISH, record.time, -record.travel, record.load)
    with pytest.raises(RefusedFile, match="opposite sign"):
        evaluate_file(path, kind="static", force_window=WINDOW)


def test_torque_and_angle(tmp_path):
    degree = 24_000.0
    record = with_stiffness(degree, Programme(load=130_000.0, rate=0.5, frequency=8.0, cycles=4), Law(), low=-118e3, high=118e3)
    path = tmp_path / "torsion.csv"
    dialect = replace(dialects.ENGLISH, names=("Time", "Angle", "Torque"), unit_names=("s", "°", "N·m"))
    dialects.write(path, dialect, record.time, record.travel, record.load)
    found = evaluate_file(path, kind="static", direction="torsional", force_window=(-118.0, 118.0))
    assert (found["force_unit"], found["displacement_unit"]) == ("N·m", "°")
    assert found["stiffness"] == pytest.approx(degree * 1e-3, rel=2e-3)
    in_radians = evaluate_file(
        path, kind="static", direction="torsional", force_window=(-118e3, 118e3), force_unit="N·mm", displacement_unit="rad"
    )
    assert in_radians["stiffness"] == pytest.approx(found["stiffness"] * 1e3 * 180 / np.pi, rel=1e-9)
    assert in_radians["energy"] == pytest.approx(found["energy"], rel=1e-12)


def _harmonic(folder, frequency=12.0, angle=0.11, delay=0.0, mass=0.0, overtone=0.0):
    """A steady harmonic record; the cell sees the part's load less the inertia of the mass that moves with it."""
    time = np.arange(0, 1.93, 1 / 1000)
    travel = 0.2 * np.sin(2 * np.pi * frequency * time)
    phase = 2 * np.pi * frequency * (time - delay)
    part = 16_000.0 * (np.sin(phase + angle) + overtone * np.sin(3 * phase))
    cell = part - mass * 1e-3 * (2 * np.pi * frequency) ** 2 * 0.2 * np.sin(phase)
    path = folder / "harmonic.csv"
    dialects.write(path, dialects.ENGLISH, time, travel, 8000.0 + cell)
    return path


def test_dynamic_stiffness_loss_angle_and_distortion(tmp_path):
    found = evaluate_file(_harmonic(tmp_path, overtone=0.03), kind="dynamic")
    assert found["frequency"] == pytest.approx(12.0, rel=1e-5)
    assert found["dynamic_stiffness"] == pytest.approx(80_000.0, rel=1e-4)
    assert found["loss_angle"] == pytest.approx(np.degrees(0.11), rel=1e-3)
    assert found["distortion"] == pytest.approx(0.03, rel=0.02)


def test_delay_and_moving_mass_are_taken_out(tmp_path):
    path = _harmonic(tmp_path, frequency=25.0, delay=0.4e-3, mass=6.0)
    with pytest.raises(RefusedFile, match="moving_mass_kg = 6 with direction = torsional: a turn has an inertia"):
        evaluate_file(path, kind="dynamic", direction="torsional", moving_mass_kg=6.0)
    raw = evaluate_file(path, kind="dynamic")
    found = evaluate_file(path, kind="dynamic", channel_delay_s=0.4e-3, moving_mass_kg=6.0)
    assert found["dynamic_stiffness"] == pytest.approx(80_000.0, rel=1e-3)
    assert found["loss_angle"] == pytest.approx(np.degrees(0.11), rel=5e-3)
    assert abs(raw["loss_angle"] - np.degrees(0.11)) > 3, "the delay alone is 3.6° at 25 Hz"


def test_a_record_without_time_has_no_frequency(tmp_path):
    path = tmp_path / "untimed.csv"
    path.write_text("Displacement [mm],Force [N]\n" + "".join(f"{x / 100:.2f},{x * 10:.1f}\n" for x in range(200)))
    with pytest.raises(RefusedFile, match="no channel time"):
        evaluate_file(path, kind="dynamic")


def _course(folder, head="cycles;stiffness [kN/mm];temperature [°C]", scale=1.0):
    """Stiffness that falls by a fifth at 150 000 cycles and faster behind it."""
    rows = [(n, 50.0 * (1 - 0.2 * n / 150_000) * scale, 40.0) for n in range(0, 200_001, 2500)]
    path = folder / "course.csv"
    path.write_text("\n".join([head, *(f"{n};{k:.4f};{t:.1f}" for n, k, t in rows)]) + "\n", encoding="utf-8")
    return path


def test_life_to_a_loss_of_stiffness(tmp_path):
    found = evaluate_file(_course(tmp_path), kind="durability", loss=0.2, reference_cycles=0)
    assert found["life"] == pytest.approx(150_000, rel=0.005)
    assert found["censored"] is False
    assert found["reference_stiffness"] == pytest.approx(50_000.0, rel=1e-3), "in N/mm, as nothing else was asked for"


def test_a_loss_that_is_not_reached_is_censored(tmp_path):
    found = evaluate_file(_course(tmp_path), kind="durability", loss=0.4, reference_cycles=0)
    assert (found["life"], found["censored"], found["cycles"]) == (None, True, 200_000)


def test_the_loss_can_count_from_a_nominal_stiffness(tmp_path):
    found = evaluate_file(_course(tmp_path), kind="durability", loss=0.2, nominal_stiffness=48_000.0)
    assert found["life"] == pytest.approx(150_000 * (1 - 0.8 * 48 / 50) / 0.2, rel=0.01)
    with pytest.raises(RefusedFile, match="nominal_stiffness"):
        evaluate_file(_course(tmp_path), kind="durability", loss=0.2, nominal_stiffness=48e6)


def test_a_stiffness_of_another_quantity_is_refused(tmp_path):
    with pytest.raises(RefusedFile, match="kN/mm"):
        evaluate_file(_course(tmp_path), kind="durability", loss=0.2, direction="torsional")


def test_damage_of_a_load_history(tmp_path, capsys):
    """ASTM E1049-85, 5.4.4 (from memory): ranges 3, 4, 6, 8, 9 with counts 0.5, 1.5, 0.5, 1, 0.5; Σ n·r³ = 1094."""
    path = tmp_path / "history.csv"
    values = (-2, 1, -3, 5, -1, 3, -4, 4, -2)
    path.write_text("Time [s];Force [kN]\n" + "".join(f"{n};{value}\n" for n, value in enumerate(values)))
    found = evaluate_file(path, kind="load_history", force_unit="kN", sn_range=1.0, sn_cycles=1000.0, exponents=[3, 5])
    assert found["damage"][3] == pytest.approx(1094.0 / 1000.0, rel=1e-12)
    assert set(found["damage"]) == {3, 5} and all(isinstance(exponent, float) for exponent in found["damage"])
    written = ["--sn-range", "1", "--sn-cycles", "1000", "--exponents", "3", "4.5", "5.0"]
    assert main(["evaluate", str(path), "--kind", "load_history", "--force-unit", "kN", *written, "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert list(shown["damage"]) == ["3", "4.5", "5"] and shown["damage"]["3"] == found["damage"][3]
    with pytest.raises(RefusedFile, match="sn_cycles missing"):
        evaluate_file(path, kind="load_history", sn_range=1.0)


def test_the_command_gives_the_same_numbers_as_json(files, capsys):
    given = ["evaluate", str(files["german"]), "--kind", "static", "--force-window", "-11000", "11000", "--cycle", "4", "--json"]
    assert main(given) == 0
    shown = json.loads(capsys.readouterr().out)
    expected = evaluate_file(files["german"], kind="static", force_window=WINDOW, cycle=4)
    assert shown["stiffness"] == pytest.approx(expected["stiffness"], rel=1e-12)
    assert main(given[:-1]) == 0
    assert "stiffness part" in capsys.readouterr().out


def test_the_command_refuses_with_the_reason(tmp_path, capsys):
    path = tmp_path / "empty.csv"
    path.write_bytes(b"")
    assert main(["evaluate", str(path), "--kind", "static"]) == 1
    assert "empty" in capsys.readouterr().err


def _pressed(folder, tooth=0.0):
    """20 kN growing over 40 mm to the seat at 42 mm, then a steep wall."""
    travel = np.arange(0, 42.06, 0.05)
    load = 500.0 * np.minimum(travel, 40.0) + np.where(travel > 42.0, (travel - 42.0) * 2e5, 0.0)
    load = load * (1 - tooth * ((travel % 4.0) / 4.0) * (travel > 8.0))
    path = folder / "pressed.csv"
    path.write_text("Weg [mm];Kraft [kN]\n" + "".join(f"{x:.3f};{f / 1e3:.5f}\n" for x, f in zip(travel, load, strict=True)))
    return path


def test_a_press_curve_gives_peak_end_force_and_work(tmp_path):
    found = evaluate_file(_pressed(tmp_path), kind="press", operation="press_in", press_length=42.0, force_unit="kN")
    assert found["peak_force"] == pytest.approx(20.0, rel=0.01)
    assert found["end_force"] == pytest.approx(20.0, rel=0.01)
    assert found["work"] == pytest.approx(20e3 * (40 / 2 + 2) * 1e-3, rel=0.01), "N·mm to J"
    assert found["scored"] is False
    with pytest.raises(RefusedFile, match="operation is missing"):
        evaluate_file(_pressed(tmp_path), kind="press")
