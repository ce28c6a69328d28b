"""One record of each kind with its optional fields filled, as plain fields of a file."""

from __future__ import annotations

import copy
from typing import Any

import small_project as small

SHA = "ab" * 32
AGREED = {"by": "E. Sund", "on": "2026-02-10", "document": "B-001"}
BAND = {"value": 2.0, "low": 1.5, "high": 2.5, "source": "quote"}


def _priced(name: str, **more: Any) -> dict[str, Any]:
    first = {"name": name, "group": "parts", "origin": "quote", "source": "offer 7", "uncertainty": 0.1}
    return {**first, "price_date": "2026-01-31", "valid_until": "2026-12-31", "remark": "net", **more}


def _side() -> dict[str, Any]:
    return {
        "basis": {"currency": "EUR", "price_date": "2026-01-31", "annual_volume": 12000.0, "plant": "works 1"},
        "mass": 1.7,
        "material": [_priced("bar", gross_mass=2.0, price=1.4, chip_mass=0.4, chip_price=0.2, enters_at="turning")],
        "bought": [_priced("ring", price=0.8, count=2.0, enters_at="pressing")],
        "step": [
            _priced(
                "turning", setup_time=1800.0, lot=500.0, cycle_time=60.0, machine_rate=70.0, labour_rate=40.0,
                operators=0.5, outside=0.1, good_share=0.98, learning_rate=0.95, time_known_at=100.0,
            ),
            _priced("pressing", cycle_time=20.0),
        ],
        "one_off": [_priced("mould", kind="tool", amount=20000.0, per_piece=True, life=200000.0)],
        "packaging": 0.1,
        "freight": 0.2,
    }  # fmt: skip


def _result() -> dict[str, Any]:
    value = {"name": "total", "value": 1.7, "unit": "kg", "low": 1.6, "high": 1.8}
    return {
        "method": "mass.joint",
        "method_version": 1,
        "computed_at": "2026-03-02T09:30:00Z",
        "computed_by": "A. Berg",
        "validity": "outside",
        "validity_notes": ["beyond the range"],
        "warnings": ["thin wall"],
        "inputs_sha256": SHA,
        "inputs": {"density": 7850.0},
        "sources": {"density": "M-001.density"},
        "libraries": {"numpy": "2.0"},
        "values": [{**value, "lines": [{"cause": "density", "minus": -0.1, "plus": 0.1}]}],
    }


def samples() -> dict[str, dict[str, Any]]:
    """Kind of record → stored fields of a full one; "requirement" appears as three kinds of limit."""
    files = small.documents()
    found: dict[str, dict[str, Any]] = {
        "project": {**files["project.toml"], "short_title": "Small", "demo": "DEMO", "annual_volume": 12000},
        "idea": {
            "problem": "Heavy.",
            "mass_goal": 0.2,
            "weighing": {
                "mass": 1.94, "spread": 0.01, "count": 5, "scale": "Q-001", "scale_valid_until": "2026-12-31",
                "on": "2026-01-10", "by": "D. Falk", "drawing_index": "C", "photos": ["B-001"],
            },
            "breakdown": [{"part": "pin", "mass": 1.2, "origin": "weighed", "on": "2026-01-10"}],
            "interfaces": ["bolts"],
            "concept": [{"id": "K-001", "title": "Bore", "mass": 1.5, "estimated_on": "2026-01-12", "risks": ["notch"]}],
            "worth_per_kg": 6.0,
        },
        "requirement": small.requirement(
            "R-001", "force", "kN", {"kind": "range", "min": 1.0, "max": 3.0, "nominal": 2.0, "criterion": "each"},
            conditions={"temperature": "23 °C"}, sample_size=5, agreed=AGREED, region="pin", standards=["N-001"],
        ),
        "load case": {
            "id": "L-001", "title": "Programme", "kind": "programme", "radial": 1000.0, "temperature": 23.0,
            "cycles": 10.0, "blocks": [{"radial": 500.0, "axial": 1.0, "torsion": 2.0, "tilt": 1.0, "cycles": 100.0}],
        },
        "material": {
            "id": "M-001", "title": "Steel", "kind": "steel", "density": {"value": 7850.0, "low": 7800.0, "high": 7900.0},
            "poisson_ratio": {"value": 0.3, "source": "table"}, "expansion": {"value": -1e-06},
        },
        "assumption": {
            "id": "A-001", "title": "Friction", "statement": "As measured.", "value": 0.12, "low": 0.1, "high": 0.14,
            "unit": "-", "accepted_by": "B. Lind", "accepted_on": "2026-02-01",
        },
        "standard": {
            "id": "N-001", "number": "ISO 527-1", "steps": ["3", "4"], "confirmed_on": "2026-02-01", "withdrawn": False,
        },
        "design": {
            **small.design("V1", "variant", 18.0),
            "eye": {"material": "M-001", "bore_radius": 38.0, "outer_radius": 53.0, "width": 54.0, "roughness": 0.01},
        },
        "calculation": {
            "id": "C-001", "title": "Mass", "method": "mass.joint", "design": "V1", "inputs": {"density": "7850 kg/m³"},
            "sources": {"density": "table"}, "serves": [{"requirement": "R-001", "value": "total"}],
            "beside": ["C-002"], "result": _result(),
        },
        "specimen": {"id": "P-001", "design": "V1", "batch": "7", "cured_on": "2026-01-31", "origin": "hand made"},
        "equipment": {
            "id": "Q-001", "title": "Machine",
            "channel": [
                {
                    "quantity": "force", "unit": "kN", "low": -50.0, "high": 50.0, "uncertainty": 0.01,
                    "calibrated_on": "2026-01-31", "valid_until": "2027-01-31",
                }
            ],
        },
        "reading scheme": {
            "id": "RS-001", "title": "Machine 1", "reading": {"columns": ["force"]}, "between": "load", "low": -5.0,
            "high": 5.0, "cycle": 4, "stiffness": "secant", "fixture_compliance": 1e-06,
        },
        "evidence": {
            "id": "E-001", "title": "Radial stiffness", "way": "test", "quantity": "single", "unit": "kN",
            "state": "aborted", "reason": "power cut", "serves": [{"requirement": "R-012", "value": "mean"}],
            "planned_variant": 3, "planned_reference": 3, "started_on": "2026-02-01", "done_on": "2026-02-02",
            "temperature": 23.0, "conditioning": 7200.0, "rest": 60.0,
            "margin": {"low": 0.9, "high": 1.1, "agreed": AGREED},
            "budget": [{"cause": "cell", "relative": 0.005, "systematic": True}],
            "samples": [{"specimen": "P-001", "run": 1, "file": SHA, "value": 40.0, "passed": True}],
            "result": _result(),
        },
        "document": {"id": "B-001", "title": "Photo", "kind": "photo", "on": "2026-01-10", "file": SHA},
        "caution": {
            "id": "W-001", "signal": "NOTICE", "title": "Heat", "text": "Not above {limit}.",
            "numbers": {"limit": "R-001.limit.max"}, "applies": True, "reviewed_on": "2026-01-10",
        },
        "cost": {
            "years": 7, "interest": 0.06, "rates": {"material_overhead": 0.08, "administration_sales": 0.1, "margin": 0.05},
            "worth": {"low": 4.0, "mid": 6.0, "high": 9.0, "confirmed_on": "2026-01-10"},
            "reference": _side(), "variant": _side(),
            "lever": [{"name": "steel", "line": "bar", "change": 0.1}],
            "footprint": {
                "functional_unit": "one joint", "boundary": "to the gate",
                "line": [
                    {"name": "steel", "reference_mass": 2.4, "variant_mass": 2.0, "factor": dict(BAND), "source": "own",
                     "year": 2024}
                ],
                "use": {
                    "kind": "fuel", "distance": dict(BAND), "fuel_rate": dict(BAND), "emission": dict(BAND),
                    "rolling_resistance": 0.006, "drive_efficiency": 0.4, "fuel_energy": 36.0,
                },
            },
        },
        "step": {
            "id": "step-2", "step": "2",
            "answer": [{"check": "2.8", "answer": "met", "by": "B. Lind", "on": "2026-03-01T10:00:00Z"}],
            "concession": [
                {
                    "id": "D-001", "on_record": "R-012", "kind": "deviation before manufacture", "reason": "late",
                    "limit": "50 pieces", "until": "2026-12-31", "by": "C. Roth", "on": "2026-03-01T10:00:00Z",
                }
            ],
            "note": [{"on_record": "R-012", "text": "See clause 4.", "by": "B. Lind", "on": "2026-03-01T10:00:00Z"}],
        },
        "sign-off": {
            "id": "S-001", "step": "2", "decision": "released", "statement": "Read.", "person": "B. Lind", "role": "RV",
            "key_fingerprint": SHA, "signed_at": "2026-03-01T10:00:00Z", "history_head": "ab" * 20,
            "before": {"id": "S-000", "sha256": SHA}, "own_records": ["R-001"], "records": {"R-001": SHA},
            "files": {f"evidence/files/{SHA}.csv": SHA},
        },
    }  # fmt: skip
    return copy.deepcopy(found)
