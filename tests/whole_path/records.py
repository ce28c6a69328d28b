"""An invented joint small enough to be entered by hand from a new project to a signed release. All numbers are invented."""

from __future__ import annotations

from typing import Any

ENGINEER, REVIEWER = "A. Person", "B. Check"
ROLES = "RV; TL; PR; PU; SF; RL"
PASSPHRASE = "long enough one"
SAMPLES = {"P-001": 1.818, "P-002": 1.816, "P-003": 1.820}
Raw = dict[str, Any]


def _banded(value: float, low: float, high: float) -> Raw:
    return {"value": value, "low": low, "high": high, "source": "invented"}


MATERIALS: list[Raw] = [
    {
        "id": "M-001", "title": "Steel", "kind": "steel", "designation": "invented steel", "source": "invented",
        "density": _banded(7850.0, 7840.0, 7860.0), "youngs_modulus": _banded(210000.0, 208000.0, 212000.0),
        "poisson_ratio": _banded(0.3, 0.29, 0.3), "yield_strength": _banded(800.0, 780.0, 820.0),
        "expansion": _banded(1.2e-05, 1.1e-05, 1.25e-05), "limit_pressure": _banded(850.0, 800.0, 900.0),
    },
    {
        "id": "M-002", "title": "Rubber", "kind": "rubber", "designation": "NR 60, invented", "source": "invented",
        "density": _banded(1150.0, 1140.0, 1160.0), "shear_modulus": _banded(1.1, 1.0, 1.2),
        "bulk_modulus": _banded(2000.0, 1800.0, 2200.0), "hardness": _banded(62.0, 58.0, 66.0),
    },
]  # fmt: skip


def _design(name: str, kind: str, bore: float | None) -> Raw:
    pin: Raw = {
        "material": "M-001", "length": 150.0, "ball_radius": 29.0, "neck_radius": 18.0, "neck_fillet": 2.5,
        "ends": {
            "flat_thickness": 26.0, "flat_start": 43.0, "hole_diameter": 17.5, "hole_distance": 112.0, "clamp_edge": 42.0,
        },
    }  # fmt: skip
    if bore is not None:
        pin |= {"bores": [{"diameter": bore, "start": -75.0, "end": 75.0}], "minimum_wall": 6.0}
    return {
        "id": name, "title": f"{kind} of the cart link", "kind": kind, "part_number": f"X-{name}", "drawing": f"DW-{name}",
        "drawing_index": "A", "pin": pin,
        "layer": {
            "compound": "M-002", "inner_radius": 29.0, "outer_radius": 34.0, "polar_start": 50.0, "polar_end": 130.0,
            "minimum_bond_share": 0.9,
        },
        "carrier": {
            "kind": "rings", "material": "M-001", "outer_radius": 38.05, "half_width": 22.0, "gap": 2.4, "travel": 1.2,
            "roughness": 0.0063,
        },
        "eye": {"material": "M-001", "bore_radius": 38.0, "outer_radius": 53.0, "width": 54.0, "roughness": 0.0063},
        "rest": [{"name": "retaining ring", "mass": 0.021, "position": 23.3, "origin": "weighed"}],
        "tolerances": {
            "layer.inner_radius": {"lower": -0.05, "upper": 0.05}, "layer.outer_radius": {"lower": -0.05, "upper": 0.05},
            "carrier.outer_radius": {"lower": 0.0, "upper": 0.01}, "eye.bore_radius": {"lower": 0.0, "upper": 0.01},
        },
    }  # fmt: skip


DESIGNS = [_design("REF", "reference", None), _design("V1", "variant", 13.0)]


def _requirement(name: str, title: str, says: str, quantity: str, unit: str, limit: Raw, way: str, **more: Any) -> Raw:
    return {
        "id": name, "title": title, "statement": f"The joint shall {says}.", "quantity": quantity, "unit": unit, "limit": limit,
        "sample_size": 3, "source": "own target of the works (invented)", "verification": [way], "owner": ENGINEER,
        "criterion": more.pop("criterion", "the value lies within the limit"),
        "conditions": more.pop("conditions", {"temperature": "23 °C"}), **more,
    }  # fmt: skip


REQUIREMENTS = [
    _requirement("R-001", "Mass of the joint", "weigh at most 1.85 kg", "mass", "kg", {"kind": "max", "max": 1.85}, "inspection",
                 criterion="the greatest of three parts counts"),
    _requirement("R-002", "Mass saving", "weigh at least 5 % less than the reference part", "mass_saving", "%",
                 {"kind": "min", "min": 5.0}, "analysis"),
    _requirement("R-003", "Radial stiffness", "have a radial stiffness of 40 to 70 kN/mm", "radial_stiffness", "kN/mm",
                 {"kind": "range", "min": 40.0, "max": 70.0}, "test",
                 conditions={"preload": "none", "range": "± 11 kN", "cycle": "4", "rate": "quasi-static", "amplitude": "± 11 kN",
                             "temperature": "23 °C"}),
    _requirement("R-004", "Change of cost", "cost at most 6 % more than the reference part", "cost_change", "%",
                 {"kind": "max", "max": 6.0}, "analysis"),
]  # fmt: skip
LOADS: list[Raw] = [
    {"id": "L-001", "title": "Overload", "kind": "overload", "radial": 118000.0, "origin": "estimated", "source": "invented"},
]
FRICTION: Raw = {"value": 0.14, "low": 0.12, "high": 0.16}
BOLT: Raw = {
    "bolt_diameter": 16.0, "bolt_pitch": 2.0, "bolt_yield": 940.0, "head_bearing_diameter": 24.5, "shank_length": 20.0,
    "bracket_thickness": 25.0, "bracket_modulus": {"value": 210000.0, "low": 208000.0, "high": 212000.0},
    "bracket_expansion": {"value": 1.2e-05, "low": 1.1e-05, "high": 1.25e-05}, "thread_friction": FRICTION,
    "tightening_factor": 1.6, "settling": {"value": 0.008, "low": 0.006, "high": 0.011}, "interface_friction": FRICTION,
    "transverse_force": 17223.0, "temperature_hot": 70.0, "temperature_cold": -35.0,
}  # fmt: skip
CALCULATIONS: list[Raw] = [
    {"id": "C-001", "title": "Mass of V1", "method": "mass.joint", "design": "V1", "serves": [{"requirement": "R-001", "value": "total"}]},
    {"id": "C-002", "title": "Mass saving", "method": "mass.saving", "design": "V1", "reference": "REF",
     "serves": [{"requirement": "R-002", "value": "saving"}]},
    {"id": "C-003", "title": "Layer stiffness", "method": "layer.stiffness", "design": "V1",
     "serves": [{"requirement": "R-003", "value": "radial"}]},
    {"id": "C-004", "title": "Bond area", "method": "bond.area", "design": "V1", "reference": "REF",
     "inputs": {"radial_force": "L-001.radial", "axial_force": "4 kN"}, "sources": {"axial_force": "own target (invented)"}},
    {"id": "C-005", "title": "Press fit", "method": "fit.ring", "design": "V1",
     "inputs": {"friction": FRICTION, "temperature_hot": 80.0, "temperature_cold": -35.0},
     "sources": {"friction": "common practice, no source", "temperature_hot": "own target", "temperature_cold": "own target"}},
    {"id": "C-006", "title": "Bolts", "method": "clamp.bolt", "design": "V1", "inputs": BOLT,
     "sources": dict.fromkeys(BOLT, "drawing of the bracket (invented)")},
    {"id": "C-007", "title": "Piece cost", "method": "cost.piece", "serves": [{"requirement": "R-004", "value": "change"}]},
    {"id": "C-008", "title": "Balance of CO2", "method": "co2.saving"},
]  # fmt: skip
STEP: Raw = {"name": "turning and moulding", "origin": "own calculation", "uncertainty": 0.05, "source": "routing (invented)",
             "cycle_time": 150.0, "machine_rate": 62.0, "good_share": 0.98}  # fmt: skip
BASIS: Raw = {"currency": "EUR", "price_date": "2026-10-01", "annual_volume": 12000.0, "plant": "works 1"}
COST: Raw = {
    "id": "cost", "years": 8, "interest": 0.08,
    "rates": {"material_overhead": 0.05, "administration_sales": 0.11, "source": "rates 2026 (invented)"},
    "worth": {"low": 1.0, "mid": 2.5, "high": 4.0, "source": "assumption of purchasing (invented)"},
    "reference": {"basis": BASIS, "mass": 1.9443, "step": [STEP]},
    "variant": {"basis": BASIS, "mass": 1.8186, "step": [{**STEP, "cycle_time": 156.0}], "one_off": [
        {"name": f"{kind} of the variant", "kind": kind, "amount": 10000.0, "once": True, "origin": "estimate",
         "source": "plan 2026 (invented)", "uncertainty": 0.1} for kind in ("development", "test")]},
    "lever": [
        {"name": "time of turning", "line": "turning and moulding", "change": 0.1},
        {"name": "pieces", "line": "volume", "change": -0.2},
        {"name": "effort", "line": "development of the variant", "change": 0.2}],
    "footprint": {
        "functional_unit": "one joint over 15 years", "boundary": "gate and road",
        "line": [{"name": "steel", "reference_mass": 1.8783, "variant_mass": 1.7526, "source": "published ranges", "year": 2021,
                  "factor": {"value": 2.4, "low": 1.6, "high": 3.0}}],
        "use": {"kind": "fuel", "distance": {"value": 60000.0, "low": 40000.0, "high": 80000.0},
                "fuel_rate": {"value": 0.45, "low": 0.35, "high": 1.0}, "emission": {"value": 3.24, "low": 3.1, "high": 3.3},
                "rolling_resistance": 0.006, "drive_efficiency": 0.38, "fuel_energy": 35.8, "source": "published ranges"}},
}  # fmt: skip
WHAT = ("notch at the bore", "water in the bore", "hotter rubber")


def _concept(number: int, title: str, mass: float, fate: str, **more: Any) -> Raw:
    return {"id": f"V{number}", "title": title, "mass": mass, "mass_origin": "calculated", "estimated_on": "2026-11-02",
            "cost_tendency": "+1 %", "risks": list(WHAT), "fate": fate, "reason": f"{title} saves {1.9443 - mass:.2f} kg", **more}  # fmt: skip


IDEA: Raw = {
    "id": "idea", "problem": "The pin is heavier than it needs to be.", "mass_goal": 0.05, "worth_per_kg": 2.5,
    "worth_source": "assumed (invented)", "interfaces": ["fit diameter 76 mm", "hole distance 112 mm"],
    "weighing": {"mass": 1.9443, "spread": 0.002, "count": 3, "scale": "Q-001", "scale_valid_until": "2027-08-14",
                 "on": "2026-11-02", "by": ENGINEER, "drawing_index": "A", "production_status": "series part",
                 "photos": ["B-001"]},
    "breakdown": [
        {"part": "pin", "mass": 1.3965, "origin": "weighed", "on": "2026-11-02"},
        {"part": "rubber", "mass": 0.045, "origin": "calculated", "on": "2026-11-02"},
        {"part": "rings", "mass": 0.481, "origin": "weighed", "on": "2026-11-02"},
        {"part": "retaining ring", "mass": 0.021, "origin": "weighed", "on": "2026-11-02"},
    ],
    "concept": [
        _concept(1, "bored pin", 1.8186, "chosen", design="V1", stop_if="the bore cracks"),
        _concept(2, "slim pin", 1.75, "rejected"),
        _concept(3, "short pin", 1.85, "rejected"),
    ],
}  # fmt: skip
THERMOMETER: Raw = {"quantity": "temperature", "unit": "°C", "low": -60.0, "high": 180.0, "calibrated_on": "2026-08-14",
                    "valid_until": "2027-08-14", "uncertainty": 0.005, "certificate": "works (invented)"}  # fmt: skip
EQUIPMENT: list[Raw] = [
    {"id": "Q-001", "title": "Scale", "serial": "W-2", "channel": [
        {"quantity": "mass", "unit": "kg", "low": 0.0, "high": 6.0, "calibrated_on": "2026-08-14", "valid_until": "2027-08-14",
         "uncertainty": 0.001, "certificate": "works (invented)"}, THERMOMETER]},
    {"id": "Q-002", "title": "Testing machine", "serial": "M-3", "channel": [
        {"quantity": "force", "unit": "kN", "low": -160.0, "high": 160.0, "calibrated_on": "2026-08-14",
         "valid_until": "2027-08-14", "uncertainty": 0.005, "certificate": "works (invented)"},
        {"quantity": "displacement", "unit": "mm", "low": -25.0, "high": 25.0, "calibrated_on": "2026-08-14",
         "valid_until": "2027-08-14", "uncertainty": 0.004, "certificate": "works (invented)"}, THERMOMETER]},
]  # fmt: skip
SPECIMENS: list[Raw] = [
    {"id": name, "design": "V1", "drawing_index": "A", "batch": "2231", "cured_on": "2026-09-14", "steel_heat": "71-44",
     "ring_heat": "71-45", "pressed_in": "protocol PI-1", "storage": "23 °C, dark"}
    for name in SAMPLES
]  # fmt: skip
DOCUMENTS: list[Raw] = [
    {"id": "B-001", "title": "Photo of the weighing", "kind": "photo", "on": "2026-11-02", "by": ENGINEER},
]
TESTS: list[Raw] = [
    {"id": "E-001", "title": "Weighing", "way": "inspection", "quantity": "single", "unit": "kg", "variant": "V1",
     "planned_variant": 3, "equipment": ["Q-001"], "procedure": "each part weighed once", "temperature": 23.0,
     "conditioning": 86400.0, "order": "drawn by lot", "operator": ENGINEER,
     "serves": [{"requirement": "R-001", "value": "variant"}],
     "budget": [{"cause": "scale", "channel": "Q-001.mass"}]},
    {"id": "E-002", "title": "Radial stiffness", "way": "test", "quantity": "radial", "variant": "V1", "planned_variant": 3,
     "equipment": ["Q-002"], "procedure": "three conditioning cycles, the fourth evaluated", "temperature": 23.0,
     "conditioning": 86400.0, "rest": 86400.0, "order": "drawn by lot", "operator": ENGINEER,
     "serves": [{"requirement": "R-003", "value": "variant"}],
     "budget": [{"cause": "force", "channel": "Q-002.force"}, {"cause": "travel", "channel": "Q-002.displacement"}]},
]  # fmt: skip
CAUTIONS: list[Raw] = [
    {"id": "K-001", "signal": "WARNING", "title": "Stored energy", "text": "Never pry the retaining ring.",
     "reviewed_by": REVIEWER, "reviewed_on": "2026-11-20"},
]  # fmt: skip
RECORDS: list[tuple[str, Raw]] = [
    ("idea", IDEA),
    *(("material", raw) for raw in MATERIALS),
    *(("design", raw) for raw in DESIGNS),
    *(("load case", raw) for raw in LOADS),
    *(("requirement", raw) for raw in REQUIREMENTS),
    ("cost", COST),
    *(("calculation", raw) for raw in CALCULATIONS),
    *(("equipment", raw) for raw in EQUIPMENT),
    *(("specimen", raw) for raw in SPECIMENS),
    *(("document", raw) for raw in DOCUMENTS),
    *(("evidence", raw) for raw in TESTS),
    *(("caution", raw) for raw in CAUTIONS),
]
CONCESSIONS = {
    "3.5": "no push-out force is demanded: a shoulder of the eye holds each ring",
    "4.7": "the reference part is not tested again; its range is that of the drawing",
    "4.8": "as for 4.7",
    "6.13": "the series tool comes after the prototype",
}
