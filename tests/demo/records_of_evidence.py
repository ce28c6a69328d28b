"""Records of specimens, equipment, reading schemes and evidence of the invented demo project."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from tests.demo import parts
from tests.demo.evidence_kinds import Curves, Item, Recorded, Shares, Values, YesNo

# Directions: window of the secant in N or N·mm, calibrated compliance of the fixture, dialect of the machine.
WINDOWS = {
    "RS-01": ("Radial, machine M-3, German export", -11000.0, 11000.0, 9e-7, "german"),
    "RS-02": ("Axial, machine M-3, export with decimal point", -4000.0, 4000.0, 4e-6, "english"),
    "RS-03": ("Torsional, machine M-3, tabs", -118000.0, 118000.0, 1.6e-7, "torsion"),
    "RS-04": ("Conical, machine M-3, tabs", -60000.0, 60000.0, 3e-7, "torsion"),
}
AGREED = {"by": "customer, chassis development (invented)", "on": "2026-05-06", "document": "B-006"}


def prototype() -> list[dict[str, Any]]:
    """The part whose outline the outside analyses start from."""
    found = specimens_of("V2", parts.PROTOTYPE, "2219", "2026-08-10")
    return [entry | {"pressed_in": "not pressed in", "origin": "prototype tool"} for entry in found]


def specimens() -> list[dict[str, Any]]:
    """All parts and test pieces of revision A, compared ones of one compound batch; the pins for E-055 never pressed in."""
    return [
        *prototype(),
        *specimens_of("REF", parts.ALL_REFERENCE, "2231", "2026-08-31"),
        *specimens_of("V2", parts.ALL_VARIANT, "2231", "2026-08-31"),
        *(entry | {"pressed_in": "not pressed in, rubber stripped"}
          for entry in specimens_of("V2", parts.BARE_PINS, "2231", "2026-08-31")),
        *_pieces(),
    ]  # fmt: skip


def next_specimens() -> list[dict[str, Any]]:
    """Parts for revision B: index C of the drawing, rings in the upper half of their tolerance."""
    found = specimens_of("V2", (*parts.NEXT_COLD, *parts.NEXT_SLIP, *parts.NEXT_LIFE), "2248", "2026-11-10")
    return [entry | {"drawing_index": "C", "pressed_in": "protocol PI-1111"} for entry in found]


def specimens_of(design: str, names: Iterable[str], batch: str, cured_on: str) -> list[dict[str, Any]]:
    """Parts of one design and compound batch."""
    return [
        {
            "id": name,
            "design": design,
            "drawing_index": "D" if design == "REF" else "B",
            "batch": batch,
            "cured_on": cured_on,
            "steel_heat": "69-10" if design == "REF" else "71-44",
            "ring_heat": "52-S" if design == "REF" else "88-A",
            "pressed_in": "protocol PI-0909",
            "storage": "23 °C, dark, unstressed",
            "origin": "from series" if design == "REF" else "series tool",
        }
        for name in names
    ]


def _pieces() -> list[dict[str, Any]]:
    """Test pieces of the compound: no metal, no drawing."""
    return [
        {
            "id": name,
            "design": "M-04",
            "batch": "2231",
            "cured_on": "2026-08-31",
            "storage": "23 °C, dark, unstressed",
            "origin": "hand made",
        }
        for name in parts.ALL_PIECES
    ]


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
    past = {"calibrated_on": "2025-10-31", "valid_until": "2026-10-31"}
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
         "channel": [channel("force", "kN", 0.0, 130.0, 0.01, "works class 1"), warm]},
        {"id": "Q-007", "title": "Thermometer T-9", "serial": "T9-02", "place": "measuring room", "channel": [warm]},
        {"id": "Q-008", "title": "Chambers for ozone, salt spray and oil", "serial": "CH-3", "place": "laboratory",
         "channel": [warm]},
        {"id": "Q-009", "title": "Testing machine M-5, axial", "serial": "M5-0093", "place": "laboratory",
         "channel": [force | past, path | past]},
        {"id": "Q-010", "title": "Links with strain gauges and recorder", "serial": "LR-6", "place": "trailer of the customer",
         "channel": [channel("force", "kN", -60.0, 60.0, 0.02, "works class 1"), warm]},
    ]  # fmt: skip


def curves_item(item: Curves) -> dict[str, Any]:
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
        "started_on": item.begun or item.day,
        "done_on": item.day,
        "operator": "T. Lindqvist",
        "temperature": 23.1,
        "conditioning": 86400.0,
        "rest": 86400.0,
        "order": "drawn by lot, seed 20260921, reference and variant mixed",
        "margin": {
            "low": 0.9,
            "high": 1.1,
            "agreed": AGREED,
        },
        "budget": [
            {"cause": "force calibration", "relative": 0.0025, "systematic": True, "source": "Q-001"},
            {"cause": "displacement calibration", "relative": 0.002, "systematic": True, "source": "Q-001"},
            {"cause": "fixture compliance", "relative": 0.004, "systematic": True, "source": "blank test"},
        ],
    }


def item(planned: Item) -> dict[str, Any]:
    """The finished record of single values or of passed and not passed."""
    if isinstance(planned, Values):
        return _values(planned)
    if isinstance(planned, Recorded):
        return _recorded(planned)
    if isinstance(planned, Shares):
        return _shares(planned)
    assert isinstance(planned, YesNo)
    samples = [{"specimen": part, "passed": True} | _seen(planned, at) for at, part in enumerate(planned.parts)]
    return _common(planned) | {"quantity": "yes_no", "samples": samples}


def _recorded(planned: Recorded) -> dict[str, Any]:
    """Harmonic or endurance records, ready for the files."""
    found = _common(planned) | {
        "quantity": planned.quantity, "scheme": planned.scheme,
        "serves": [{"requirement": name, "value": value} for name, value in planned.serves],
        "budget": [{"cause": "measurement", "relative": planned.u, "systematic": True, "source": planned.equipment}],
    }  # fmt: skip
    if planned.reference and planned.quantity == "dynamic":
        found["rest"] = 86400.0
    return found | ({"related_to": planned.related_to} if planned.related_to else {})


def _values(planned: Values) -> dict[str, Any]:
    found = _common(planned) | {"quantity": "single", "unit": planned.unit}
    if planned.statistics:
        found |= {"quantity": "life", "statistics": dict(planned.statistics)}
    if planned.least_ratio:
        found["margin"] = {"low": planned.least_ratio, "agreed": AGREED}
    found["samples"] = [
        {"specimen": part} | ({"value": float(planned.values[at])} if planned.values else {}) | _seen(planned, at)
        | ({"survived": True} if planned.survived else {})
        for at, part in enumerate(planned.parts)
    ]
    found["samples"] += [
        {"specimen": part, "value": value} | _seen_on_reference(planned)
        for part, value in zip(planned.reference, planned.reference_values, strict=True)
    ]
    if planned.u:
        first = ("the report's own", planned.u, planned.documents[0]) if planned.way == "analysis" else (
            "measurement", planned.u, planned.equipment)  # fmt: skip
        found["budget"] = [
            {"cause": cause, "relative": relative, "systematic": True, "source": source}
            for cause, relative, source in (first, *planned.further)
        ]
    return found


def _shares(planned: Shares) -> dict[str, Any]:
    found = _common(planned) | {"quantity": "adhesion"}
    found |= {
        "serves": [{"requirement": planned.requirement, "value": "least_share_R"}],
        "budget": [{"cause": "areas read", "relative": planned.u, "systematic": False, "source": planned.equipment}],
    }
    seen = [_seen(planned, at) for at in range(len(planned.parts))] + [_seen_on_reference(planned)] * len(planned.reference)
    found["samples"] = [
        {"specimen": part, "shares": {code: percent / 100 for code, percent in shares.items()}} | told
        for part, shares, told in zip(
            (*planned.parts, *planned.reference), (*planned.shares, *planned.reference_shares), seen, strict=True
        )
    ]
    return found


def seen_of(planned: Item) -> dict[str, dict[str, str]]:
    """What was seen and what failed, part → fields of its sample."""
    found = {part: _seen(planned, at) for at, part in enumerate(planned.parts)}
    return found | {part: _seen_on_reference(planned) for part in planned.reference}


def _seen(planned: Item, at: int) -> dict[str, str]:
    """What was seen on a part and failed on it: its own words, or those that hold for all."""
    told = {"mode": planned.modes, "observation": planned.observations}
    return {name: each[at if len(each) > 1 else 0] for name, each in told.items() if each}


def _seen_on_reference(planned: Item) -> dict[str, str]:
    return {"mode": planned.reference_mode} if planned.reference_mode else {}


def _common(planned: Item) -> dict[str, Any]:
    found: dict[str, Any] = {
        "id": planned.id,
        "title": planned.title,
        "way": planned.way,
        "state": planned.state,
        "serves": [{"requirement": planned.requirement, "value": "variant"}],
        "variant": "V2",
        "planned_variant": 0 if planned.way == "analysis" else planned.planned or len(planned.parts),
        "procedure": planned.procedure,
        "started_on": planned.begun,
        "done_on": planned.done,
        "operator": planned.operator,
        "statement": planned.statement,
        "repeats": planned.repeats,
        "documents": list(planned.documents),
        "reason": planned.reason,
    }
    if planned.way != "analysis":
        found |= {
            "temperature": planned.temperature,
            "conditioning": planned.conditioning,
            "equipment": [planned.equipment, "Q-007"],
        }
    if planned.reference:
        drawn = f"drawn by lot, seed {planned.begun.replace('-', '')}, reference and variant mixed"
        found |= {"reference": "REF", "planned_reference": len(planned.reference), "order": drawn}
    return {name: value for name, value in found.items() if value not in ("", [])}
