"""Records of specimens, equipment, reading schemes, documents and evidence of the invented demo project."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from tests.demo import evidence_plan as plan

# Directions: window of the secant in N or N·mm, calibrated compliance of the fixture, dialect of the machine.
WINDOWS = {
    "RS-01": ("Radial, machine M-3, German export", -11000.0, 11000.0, 9e-7, "german"),
    "RS-02": ("Axial, machine M-3, export with decimal point", -4000.0, 4000.0, 4e-6, "english"),
    "RS-03": ("Torsional, machine M-3, tabs", -118000.0, 118000.0, 1.6e-7, "torsion"),
    "RS-04": ("Conical, machine M-3, tabs", -60000.0, 60000.0, 3e-7, "torsion"),
}


def specimens() -> list[dict[str, Any]]:
    """All parts: one compound batch for the comparison, the ring heat of the variant named."""
    groups = {
        "REF": plan.REFERENCE,
        "V2": (*plan.VARIANT, *plan.LIFE, *plan.RETENTION, *plan.CLIMATE, *plan.AGED, *plan.COLD, *plan.PIECES),
    }
    return [entry for design, names in groups.items() for entry in specimens_of(design, names, "2231", "2026-09-14")]


def specimens_of(
    design: str, names: Iterable[str], batch: str, cured_on: str, index: str = "B"
) -> list[dict[str, Any]]:
    """Parts of one design and compound batch; `index` is the drawing index of the variant."""
    found = []
    for name in names:
        entry = {
            "id": name,
            "design": design,
            "drawing_index": "D" if design == "REF" else index,
            "batch": batch,
            "cured_on": cured_on,
            "steel_heat": "71-44",
            "pressed_in": "protocol PI-0912",
            "storage": "23 °C, dark, unstressed",
            "origin": "from series" if design == "REF" else "series tool",
        }
        if design == "V2":
            entry["ring_heat"] = "88-A"
        found.append(entry)
    return found


def equipment() -> list[dict[str, Any]]:
    """Machines and gauges with their channels."""

    def channel(quantity: str, unit: str, low: float, high: float, u: float, grade: str) -> dict[str, Any]:
        return {
            "quantity": quantity, "unit": unit, "low": low, "high": high, "uncertainty": u, "classification": grade,
            "certificate": "works calibration laboratory (invented)", "calibrated_on": "2026-08-14",
            "valid_until": "2027-08-14",
        }  # fmt: skip

    force = channel("force", "kN", -160.0, 160.0, 0.005, "class 0.5")
    path = channel("displacement", "mm", -25.0, 25.0, 0.004, "class 0.5")
    torque = channel("torque", "N·m", -500.0, 500.0, 0.005, "class 0.5")
    angle = channel("angle", "°", -60.0, 60.0, 0.004, "class 0.5")
    warm = channel("temperature", "°C", -60.0, 180.0, 0.005, "class A")
    return [
        {"id": "Q-001", "title": "Testing machine M-3, axial and torsional", "serial": "M3-0417", "place": "laboratory",
         "channel": [force, path, torque, angle, warm]},
        {"id": "Q-002", "title": "Block fatigue rig B-1", "serial": "B1-0022", "place": "laboratory",
         "channel": [force, path, torque, angle, warm]},
        {"id": "Q-003", "title": "Scale S-2", "serial": "S2-118", "place": "measuring room",
         "channel": [channel("mass", "g", 0.0, 6000.0, 0.0002, "class II")]},
        {"id": "Q-004", "title": "Length gauges and camera", "serial": "L-31", "place": "measuring room",
         "channel": [channel("length", "mm", 0.0, 400.0, 0.00005, "works class 1")]},
        {"id": "Q-005", "title": "Rubber laboratory: hardness, tensile, ovens", "serial": "RL-7", "place": "laboratory",
         "channel": [channel("hardness", "IRHD", 0.0, 95.0, 0.008, "method M"), force, path, warm]},
        {"id": "Q-006", "title": "Bolts with strain gauges", "serial": "BG-3", "place": "laboratory",
         "channel": [channel("force", "kN", 0.0, 90.0, 0.01, "works class 1"), warm]},
        {"id": "Q-007", "title": "Room thermometer T-9", "serial": "T9-02", "place": "measuring room", "channel": [warm]},
    ]  # fmt: skip


def documents() -> list[dict[str, Any]]:
    """Register of documents; their files are added by the builder."""
    rows = [
        ("B-001", "Drawing J-7600, reference part", "drawing", "d", "2019-03-11"),
        ("B-002", "Drawing J-7610, variant V2", "drawing", "b", "2026-08-18"),
        ("B-003", "Specification AX-76 of the customer (invented)", "specification", "2", "2026-03-12"),
        ("B-004", "Photos of the reference part", "photo", "1", "2026-03-20"),
        ("B-005", "Minutes: customer accepts the list of requirements", "minutes", "1", "2026-05-11"),
        ("B-006", "Outside fatigue analysis of the pin", "report", "1", "2026-09-12"),
        ("B-007", "Inspection document 3.1, steel heat 71-44", "certificate", "1", "2026-07-02"),
        ("B-008", "Initial sample report with capability", "report", "1", "2026-11-12"),
        ("B-009", "Log of blocks and temperature, block fatigue P1", "report", "1", "2026-11-10"),
        ("B-010", "Minutes: customer accepts the concession on R-023", "minutes", "1", "2026-11-18"),
    ]
    return [
        {"id": name, "title": title, "kind": kind, "index": index, "on": day, "by": "M. Olsen"}
        for name, title, kind, index, day in rows
    ]


def curves_item(item: plan.Curves) -> dict[str, Any]:
    """Static stiffness of both parts, ready for the files."""
    return {
        "id": item.id,
        "title": item.title,
        "way": "test",
        "quantity": item.quantity,
        "state": "finished",
        "serves": [
            {"requirement": item.requirement, "value": "variant"},
            {"requirement": item.ratio, "value": "ratio"},
        ],
        "variant": "V2",
        "reference": "REF",
        "scheme": item.scheme,
        "equipment": ["Q-001"],
        "planned_variant": 5,
        "planned_reference": 5,
        "procedure": "three conditioning cycles, the fourth evaluated, pressed into the reference eye",
        "started_on": item.day,
        "done_on": item.day,
        "operator": "T. Lindqvist",
        "temperature": 23.1,
        "conditioning": 86400.0,
        "rest": 86400.0,
        "order": "drawn by lot, seed 20261005, reference and variant mixed",
        "margin": {
            "low": 0.9,
            "high": 1.1,
            "agreed": {"by": "customer representative (invented)", "on": "2026-05-04", "document": "B-005"},
        },
        "budget": [
            {"cause": "force calibration", "relative": 0.0025, "systematic": True, "source": "Q-001"},
            {"cause": "displacement calibration", "relative": 0.002, "systematic": True, "source": "Q-001"},
            {"cause": "fixture compliance", "relative": 0.004, "systematic": True, "source": "blank test"},
        ],
    }


def values_item(item: plan.Values) -> dict[str, Any]:
    """Single values with their samples."""
    samples = [
        {"specimen": part, "value": float(value)} | ({"observation": item.observation} if item.observation else {})
        | ({"survived": True} if item.survived else {})
        for part, value in zip(item.parts or ("V2",), item.values, strict=False)
    ]
    if not item.parts:
        samples = [{"specimen": plan.VARIANT[0], "value": float(item.values[0])}]
    found = _item(item.id, item.title, item.way, item.requirement, item.day, item.procedure, item.state, item.reason)
    found |= {"quantity": "single", "unit": item.unit, "samples": samples}
    if item.equipment:
        found["equipment"] = [item.equipment, "Q-007"]
    if item.way == "analysis":
        found["documents"] = ["B-002"] if item.requirement == "R-006" else ["B-006"]
        found["statement"] = item.procedure
    if item.requirement == "R-026" and item.state == "finished":
        found["documents"] = ["B-009"]
    found["budget"] = [
        {"cause": "measurement", "relative": item.u, "systematic": True, "source": item.equipment or "report"}
    ]
    if item.unit == "°C" or item.state != "finished":
        found.pop("budget")
    if item.state == "aborted":
        found["samples"] = [{"specimen": part, "observation": "undamaged"} for part in item.parts]
    return found


def yes_no_item(item: plan.YesNo) -> dict[str, Any]:
    """Passed or not."""
    found = _item(item.id, item.title, item.way, item.requirement, item.day, item.procedure, item.state, item.reason)
    samples = [{"specimen": part, "passed": True} for part in item.parts]
    return found | {"quantity": "yes_no", "samples": samples, "equipment": ["Q-004", "Q-007"]}


def _item(
    name: str, title: str, way: str, requirement: str, day: str, procedure: str, state: str, reason: str
) -> dict[str, Any]:
    found: dict[str, Any] = {
        "id": name,
        "title": title,
        "way": way,
        "state": state,
        "serves": [{"requirement": requirement, "value": "variant"}],
        "variant": "V2",
        "procedure": procedure,
        "started_on": day,
        "done_on": day,
        "operator": "T. Lindqvist",
        "temperature": 23.0,
        "conditioning": 86400.0,
    }
    return found | ({"reason": reason} if reason else {})
