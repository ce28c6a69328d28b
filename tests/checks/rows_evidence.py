"""Rows of step 4, on one small series of tests that takes the place of whatever the demonstration project holds."""

from __future__ import annotations

import copy
from typing import Any

from check_case import Case, Edit, Row, both, setting, without

SERIES_HEAT = "H-3"


def specimen(name: str, design: str, index: str, batch: str = "K-17") -> dict[str, Any]:
    return {
        "id": name, "design": design, "drawing_index": index, "batch": batch, "cured_on": "2026-09-01",
        "steel_heat": SERIES_HEAT, "pressed_in": "protocol 12",
    }  # fmt: skip


def channel(quantity: str, unit: str, low: float, high: float) -> dict[str, Any]:
    return {
        "quantity": quantity, "unit": unit, "low": low, "high": high, "uncertainty": 0.01,
        "calibrated_on": "2026-01-15", "valid_until": "2027-01-14",
    }  # fmt: skip


SERIES = {
    "id": "E-001", "title": "radial stiffness", "way": "test", "quantity": "radial", "state": "finished",
    "serves": [{"requirement": "R-007", "value": "variant"}, {"requirement": "R-011a", "value": "ratio"}],
    "variant": "V2", "reference": "REF", "scheme": "RS-01", "equipment": ["Q-01"],
    "planned_variant": 2, "planned_reference": 2, "started_on": "2026-09-07", "done_on": "2026-09-08",
    "temperature": 23.0, "conditioning": 72000.0, "operator": "T. Lindqvist", "order": "drawn by lot: V-1, R-2, R-1, V-2",
    "samples": [{"specimen": name} for name in ("V-1", "R-2", "R-1", "V-2")],
}  # fmt: skip
WEIGHING = {
    "id": "E-002", "title": "mass", "way": "inspection", "unit": "g", "state": "finished",
    "serves": [{"requirement": "R-001", "value": "mass"}], "equipment": ["Q-02"], "started_on": "2026-09-07",
    "samples": [{"specimen": "V-1", "value": 1391.0}, {"specimen": "V-2", "value": 1396.0}],
}  # fmt: skip


def tested(case: Case) -> None:
    """One series that compares two variants with two reference parts, and one weighing."""
    case.drop("evidence/")
    case.documents |= copy.deepcopy({
        "evidence/E-001.toml": SERIES,
        "evidence/E-002.toml": WEIGHING,
        "specimens.toml": {"specimen": [
            specimen("V-1", "V2", "B"), specimen("V-2", "V2", "B"), specimen("R-1", "REF", "D"),
            specimen("R-2", "REF", "D"), {"id": "T-1", "design": "M-04", "batch": "K-17", "cured_on": "2026-09-01"},
        ]},
        "equipment.toml": {"equipment": [
            {"id": "Q-01", "title": "machine", "channel": [
                channel("force", "kN", -50.0, 50.0), channel("displacement", "mm", -10.0, 10.0),
                channel("temperature", "°C", -40.0, 120.0),
            ]},
            {"id": "Q-02", "title": "scale", "channel": [channel("mass", "kg", 0.02, 6.0)]},
        ]},
        "reading_schemes.toml": {"scheme": [
            {"id": "RS-01", "title": "±11 kN", "reading": {}, "low": -11000.0, "high": 11000.0},
        ]},
    })  # fmt: skip
    case.shape()


def weighed(case: Case) -> None:
    """As `tested`, with the weighing evaluated."""
    tested(case)
    case.evaluate("E-002")


def third_run(case: Case) -> None:
    case["E-001"]["samples"].append({"specimen": "V-1", "run": 3})


def second_run(case: Case) -> None:
    case["E-001"]["samples"].append({"specimen": "V-1", "run": 2, "left_out": "tongue slipped"})


def removed(name: str) -> Edit:
    """An edit that takes an evidence item away."""
    return lambda case: case.drop(f"evidence/{name}.toml")


def restored(case: Case) -> None:
    case.documents["evidence/E-001.toml"] = copy.deepcopy(SERIES)


def all_of_batch(batch: str) -> Edit:
    """An edit that gives all specimens one batch."""

    def edit(case: Case) -> None:
        for entry in case.documents["specimens.toml"]["specimen"]:
            entry["batch"] = batch

    return edit


ROWS = [
    Row("4.2", setting("E-001", "samples.0.specimen", "V-9"), setting("E-001", "samples.0.specimen", "V-1"),
        "E-001", "samples.specimen", "V-9", "add it to specimens.toml", tested),
    *(Row("4.2", without("V-1", name), setting("V-1", name, value), "V-1", name, "", words, tested)
      for name, value, words in (
          ("batch", "K-18", "name the compound batch"),
          ("cured_on", "2026-09-02", "give the day of cure"),
          ("steel_heat", "H-4", "name the heat of the pin's steel"),
          ("pressed_in", "not pressed in", "name the press-in protocol"),
          ("drawing_index", "B", "give the index of the drawing"),
      )),
    Row("4.2", without("V-1", "shape_sha256"), lambda case: case.shape("V-1"),
        "V-1", "shape_sha256", "", "state that it was made to today's shape (dossier as-made … V-1)", tested),
    Row("4.16", setting("V2", "drawing_index", "C"), both(setting("V-1", "drawing_index", "C"),
                                                         setting("V-2", "drawing_index", "C")),
        "E-002", "samples.specimen", "outdated", "V-1, V-2 made to drawing index B, V2 has index C now; test parts", weighed,
        "outdated"),
    Row("4.16", setting("V2", "pin.bores.0.diameter", 17.0), setting("V2", "pin.bores.0.diameter", 18.0),
        "E-002", "samples.specimen", "outdated", "V-1, V-2 made before dimensions or materials of V2 changed", weighed,
        "outdated"),
    Row("4.3", setting("V-1", "cured_on", "2026-09-07"), setting("V-1", "cured_on", "2026-09-06"),
        "V-1", "cured_on", "2026-09-07", "is 0 days before E-001.started_on = 2026-09-07", tested),
    Row("4.3", setting("E-001", "conditioning", 54000.0), setting("E-001", "conditioning", 57600.0),
        "E-001", "conditioning", "15.0 h", "is below 16 h at 23 ± 2 °C; condition", tested),
    Row("4.3", without("E-001", "conditioning"), setting("E-001", "conditioning", 60000.0),
        "E-001", "conditioning", "", "give the time at test temperature", tested),
    Row("4.3", without("E-001", "temperature"), setting("E-001", "temperature", 22.4),
        "E-001", "temperature", "", "give the specimens' temperature", tested),
    Row("4.3", without("E-001", "operator"), setting("E-001", "operator", "T. Lindqvist"),
        "E-001", "operator", "", "say who did the test", tested),
    Row("4.3", setting("E-001", "rest", 72000.0), setting("E-001", "rest", 86400.0),
        "E-001", "rest", "20.0 h", "is below 24 h since the last test of these parts", tested),
    Row("4.3", without("E-001", "started_on"), setting("E-001", "started_on", "2026-09-07"),
        "E-001", "started_on", "", "give the day the test began", tested),
    # The series ends on the 8th: a calibration until the 7th does not hold to its end.
    Row("4.4", setting("Q-01", "channel.0.valid_until", "2026-09-07"),
        setting("Q-01", "channel.0.valid_until", "2026-09-08"),
        "Q-01", "channel.force.valid_until", "2026-01-15 to 2026-09-07", "does not hold on 2026-09-07 to 2026-09-08",
        tested),
    Row("4.4", setting("Q-01", "channel.1.calibrated_on", "2026-09-08"),
        setting("Q-01", "channel.1.calibrated_on", "2026-09-07"),
        "Q-01", "channel.displacement.valid_until", "2026-09-08 to 2027-01-14", "calibrate and test again", tested),
    Row("4.4", setting("Q-01", "channel.0.high", 10.9), setting("Q-01", "channel.0.high", 11.0),
        "Q-01", "channel.force.high", "-50 .. 10.9 kN", "does not cover 11.00 kN of E-001; use a channel", tested),
    Row("4.4", setting("Q-02", "channel.0.high", 1.395), setting("Q-02", "channel.0.high", 1.396),
        "Q-02", "channel.mass.high", "0.02 .. 1.395 kg", "does not cover 1.396 kg of E-002", tested),
    Row("4.4", setting("E-001", "temperature", 125.0), setting("E-001", "temperature", 120.0),
        "Q-01", "channel.temperature.high", "-40 .. 120 °C", "does not cover 125.0 °C of E-001", tested),
    Row("4.4", without("Q-01", "channel.1"),
        lambda case: case["Q-01"]["channel"].append(channel("displacement", "µm", -9000.0, 9000.0)),
        "E-001", "equipment", "Q-01", "has no channel for displacement; name what measured it", tested),
    Row("4.4", setting("E-002", "equipment", ["Q-07"]), setting("E-002", "equipment", ["Q-02"]),
        "E-002", "equipment", "Q-07", "names no equipment; add it", tested),
    Row("4.4", setting("Q-02", "channel.0.unit", "kN"), setting("Q-02", "channel.0.unit", "kg"),
        "Q-02", "channel.mass.unit", "kN", "does not fit E-002", tested),
    Row("4.4", without("E-002", "started_on"), setting("E-002", "started_on", "2026-09-09"),
        "E-002", "started_on", "", "the calibration must hold then", tested),
    Row("4.7", setting("E-001", "order", ""), setting("E-001", "order", "drawn by lot"),
        "E-001", "order", "", "in which order the specimens were tested", tested),
    Row("4.7", setting("E-001", "equipment", []), setting("E-001", "equipment", ["Q-01"]),
        "E-001", "equipment", "", "name the rig", tested),
    Row("4.7", without("E-001", "scheme"), setting("E-001", "scheme", "RS-01"),
        "E-001", "scheme", "", "that both parts were evaluated with", tested),
    Row("4.7", setting("E-001", "reference", ""), setting("E-001", "reference", "REF"),
        "E-001", "reference", "", "name the reference part that was tested on the same rig", tested),
    Row("4.7", both(setting("E-001", "samples.1.left_out", "burnt"), setting("E-001", "samples.2.left_out", "burnt")),
        setting("E-001", "samples.1.left_out", ""),
        "E-001", "reference", "REF", "test the reference part in the same series", tested),
    Row("4.7", both(setting("V-1", "batch", "K-18"), setting("V-2", "batch", "K-18")), all_of_batch("K-18"),
        "E-001", "samples", "K-18 against K-17", "test both from the same batches", tested),
    Row("4.14", removed("E-001"), restored,
        "E-001", "", "", "is missing before E-002; restore it from the history", tested),
    Row("4.14", setting("E-001", "state", "running"), setting("E-001", "state", "finished"),
        "E-001", "state", "running", "finish it, or abort it with a reason", tested),
    Row("4.14", third_run, second_run,
        "E-001", "samples.run", "V-1", "has run 3 but no run 2; enter that run too", tested),
    Row("4.14", without("E-001", "samples.3"), setting("E-001", "deviations", "V-2 fell down, not tested"),
        "E-001", "samples", "3 specimens", "are fewer than the 4 planned", tested),
    Row("4.14", setting("E-002", "samples", []), both(setting("E-002", "state", "aborted"),
                                                     setting("E-002", "reason", "scale fell down")),
        "E-002", "samples", "", "enter what was found, or abort", tested),
    Row("4.14", setting("E-002", "repeats", "E-077"), setting("E-002", "repeats", "E-001"),
        "E-002", "repeats", "E-077", "names no evidence item", tested),
]  # fmt: skip
