"""Harmonic torque over angle as evidence: scheme by command, units, inertia, static relation, plot, calibrated channels."""

from __future__ import annotations

import math

import numpy as np
import pytest

from dossier import cli
from dossier.actions.edit import add_record
from dossier.actions.evaluate import evaluate_items
from dossier.actions.measured import import_curves
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.actions.scheme_settings import parsed_settings
from dossier.checks.measuring_channels import uncovered
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_plots import recorded_plots
from dossier.methods.evidence_recorded import reading_words
from dossier.methods.evidence_stored import stored_working
from tests import small_project as small

LAB = small.LABORATORY
STIFFNESS, DELTA, INERTIA = 40_000.0, 0.12, 2000.0  # N·mm/rad, rad, kg·mm²
STATIC = 0.5  # N·m/°


def written(path):
    """±1° and ±2° at 5 and 10 Hz with a pause behind each; torque of a part of constant |K*| and δ, and of the inertia."""
    rate = 1000.0
    angle, torque = [np.zeros(300)], [np.zeros(300)]
    for amplitude in (1.0, 2.0):
        for frequency in (5.0, 10.0):
            turn = 2 * np.pi * frequency * np.arange(int(12 * rate / frequency)) / rate
            theta = np.radians(amplitude) * np.sin(turn)
            felt = STIFFNESS * np.radians(amplitude) * np.sin(turn + DELTA)
            felt -= INERTIA * (2 * np.pi * frequency) ** 2 / 1000 * theta
            angle += [np.degrees(theta), np.zeros(300)]
            torque += [felt, np.zeros(300)]
    angle, torque = np.concatenate(angle), np.concatenate(torque)
    rows = [f"{n / rate:.4f},{a:.6f},{t / 1000:.6f}" for n, (a, t) in enumerate(zip(angle, torque, strict=True))]
    path.write_text("Time [s],Angle [°],Torque [N·m]\n" + "\n".join(rows) + "\n", "utf-8")
    return path


@pytest.fixture(scope="module")
def opened(tmp_path_factory) -> Opened:
    folder = tmp_path_factory.mktemp("turn")
    begun, file = small.begin(folder / "project"), written(folder / "P-1.csv")
    begun.record(add_record(begun.project, "specimen", {"id": "P-1", "design": "V1", "batch": "7"}, LAB))
    assert cli.main(["scheme", str(begun.folder.root), "RS-01", str(file), "--title", "Turning rig", "--kind", "dynamic",
                     "--settings", "frequency=10 Hz", "angle_amplitude=2 °", "moving_inertia=0.002 kg·m²", "--person",
                     LAB]) == 0  # fmt: skip
    opened = Opened(begun.folder.root)
    common = {"way": "test", "variant": "V1", "state": "finished", "started_on": "2026-03-01"}
    static = {"id": "E-001", "title": "Static", "unit": "N·m/°", "samples": [{"specimen": "P-1", "value": STATIC}], **common}
    opened.record(add_record(opened.project, "evidence", static, LAB))
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    turned = {"id": "E-002", "title": "Turned", "quantity": "dynamic", "related_to": "E-001", **common, "state": "running"}
    opened.record(add_record(opened.project, "evidence", turned, LAB))
    opened.record(import_curves(opened.project, "E-002", [str(file)], LAB, "RS-01", confirmed=True))
    opened.record(evaluate_items(opened.project, ["E-002"], LAB))
    return opened


def test_stiffness_angle_and_ratio_of_a_turn(opened):
    result = opened.project.get("E-002").result
    stiffness, angle = result.value("variant"), result.value("loss_angle_variant")
    assert (stiffness.value, stiffness.unit) == (pytest.approx(STIFFNESS, rel=1e-3), "N·mm/rad")
    assert angle.value == pytest.approx(math.degrees(DELTA), rel=1e-3)
    ratio = result.value("to_static_variant").value
    assert ratio == pytest.approx(STIFFNESS / 1000 * math.pi / 180 / STATIC, rel=1e-3)
    names = {value.name for value in result.values}
    assert names >= {"variant at 5 Hz ±1 °", "variant at 10 Hz ±2 °", "loss angle of variant at 5 Hz ±2 °"}
    facts = dict(stored_working(opened.project.get("E-002")).facts)
    assert facts["step that decides"] == "10 Hz ±2 °"
    assert facts["inertia"] == "2000 kg·mm² beside the part, J·ω² added to the measured stiffness"
    assert reading_words(opened.project.get("RS-01")) == "decides at 10 Hz ±2 °; inertia 2000 kg·mm², delay 0 ms"


def test_it_is_drawn_and_its_channels_are_those_of_a_turn(opened):
    item = opened.project.get("E-002")
    plot, angle = recorded_plots(item, raw_files_of(opened.folder.root))
    assert (plot.y_name, plot.y_unit, angle.y_unit) == ("dynamic stiffness", "N·m/°", "°")
    assert [line.label for line in plot.lines] == ["variant ±1 °", "variant ±2 °"]
    assert plot.lines[0].y == pytest.approx(np.full(2, STIFFNESS / 1000 * math.pi / 180), rel=1e-3)
    assert [need.quantities for need in uncovered(opened.project, item)] == [("torque",), ("angle",)]


@pytest.mark.parametrize(
    ("settings", "told"),
    [(("frequency=10 Hz",), "give one of the two"), (("frequency=10 Hz", "amplitude=1 mm", "angle_amplitude=1 °"), "give one of"),
     (("frequency=10 Hz", "angle_amplitude=1 °", "moving_mass=1 kg"), "state moving_inertia instead"),
     (("frequency=10 Hz", "amplitude=1 mm", "moving_inertia=1 kg·m²"), "state moving_mass instead")],
)  # fmt: skip
def test_settings_of_travel_and_turn_are_not_mixed(settings, told):
    with pytest.raises(Refusal, match=told):
        parsed_settings("dynamic", settings)
