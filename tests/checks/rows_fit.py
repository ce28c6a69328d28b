"""Rows of the press fit and the clamp path."""

from __future__ import annotations

from check_case import Case, Edit, Row, both, calculating, setting, without

FIT = {
    "id": "C-901", "title": "rings in the eye", "method": "fit.ring", "design": "V2",
    "inputs": {
        "friction": {"record": "A-005"}, "flattening": {"record": "A-010"},
        "temperature_hot": 80.0, "temperature_cold": -35.0, "temperature_hottest": 95.0,
    },
    "serves": [
        {"requirement": "R-021", "value": "push_out_new"}, {"requirement": "R-022", "value": "push_out_hot"},
        {"requirement": "R-023", "value": "push_out_cold"},
    ],
}  # fmt: skip
BOLT = {
    "id": "C-902", "title": "bolts", "method": "clamp.bolt", "design": "V2",
    "inputs": {
        "bolt_diameter": 16.0, "bolt_pitch": 2.0, "bolt_yield": 940.0, "head_bearing_diameter": 22.0,
        "shank_length": 0.0, "bracket_thickness": 20.0, "tightening_factor": 1.6,
        "bracket_modulus": {"record": "M-05", "field": "youngs_modulus"},
        "bracket_expansion": {"record": "M-05", "field": "expansion"}, "thread_friction": {"record": "A-009"},
        "settling": {"value": 0.011, "low": 0.008, "high": 0.014},
        "interface_friction": {"value": 0.15, "low": 0.12, "high": 0.2},
        "transverse_force": 20000.0, "temperature_hot": 70.0, "temperature_cold": -35.0,
    },
}  # fmt: skip


def pressed(case: Case) -> None:
    """Rings of a stronger alloy that do not yield, and demands that their worst fit reaches."""
    case.drop_method("fit.ring")
    case.documents["calculations/C-901.toml"] = FIT | {"serves": list(FIT["serves"]), "inputs": dict(FIT["inputs"])}
    case["M-03"]["yield_strength"] |= {"value": 400.0, "low": 390.0, "high": 400.0}
    for name, least in (("R-021", 14.0), ("R-022", 12.0), ("R-023", 7.0)):
        case[name]["limit"]["min"] = least
    case.calculate("C-901")


def bolted(case: Case) -> None:
    case.drop_method("clamp.bolt")
    case.documents["calculations/C-902.toml"] = BOLT | {"inputs": dict(BOLT["inputs"])}
    case.calculate("C-902")


def filled_with_polymer(case: Case) -> None:
    case["V2"]["core"] = {"kind": "bore_fill", "material": "M-06"}
    case["V2"]["pin"]["bores"][0]["filled"] = True
    case.calculate("C-902")


def rings_of(strength: float) -> Edit:
    """An edit that gives the rings this yield strength, and calculates."""
    values = {"value": strength, "low": strength - 10.0, "high": strength}
    return both(lambda case: case["M-03"]["yield_strength"].update(values), calculating("C-901"))


SHELLS = {"kind": "half_shells", "material": "M-03", "outer_radius": 38.08, "half_width": 22.0, "parting_gap": 1.0}
RINGS = {"kind": "rings", "material": "M-03", "outer_radius": 38.08, "half_width": 22.0, "gap": 0.6, "travel": 1.2}

ROWS = [
    Row("3.5", setting("R-023", "limit.min", 12.0), setting("R-023", "limit.min", 7.5),
        "C-901", "push_out_cold_least", "7.77 kN", "R-023 demands ≥ 12 kN; a longer seat", pressed),
    Row("3.5", without("C-901", "serves.1"),
        lambda case: case["C-901"]["serves"].append({"requirement": "R-022", "value": "push_out_hot_least"}),
        "C-901", "serves", "", "names no requirement for push_out_hot; add the one", pressed),
    Row("3.5", setting("C-901", "serves.0.requirement", "R-001"), setting("C-901", "serves.0.requirement", "R-021"),
        "C-901", "serves", "R-001", "has no least force that push_out_new could reach", pressed),
    Row("3.5", rings_of(200.0), rings_of(400.0),
        "C-901", "ring_safety", "0.600", "is below 1: the ring yields at the greatest oversize; narrow the tolerances", pressed),
    Row("3.5", rings_of(260.0), rings_of(400.0),
        "C-901", "lost", "9.78 µm", "is lost because the rings yield", pressed),
    Row("3.5", setting("A-005", "low", 0.081), calculating("C-901"),
        "C-901", "result", "outdated", "calculate it again", pressed, "outdated"),
    Row("3.5", setting("V2", "carrier", SHELLS), both(setting("V2", "carrier", RINGS), calculating("C-901")),
        "V2", "carrier.kind", "half_shells", "carry no hoop stress: their pressure in the eye comes from the rubber", pressed),
    Row("3.8", filled_with_polymer, both(setting("C-902", "inputs.relaxation", 0.1), calculating("C-902")),
        "V2", "core.material", "M-06", "is a polymer under the bolt and C-902.inputs.relaxation is 0", bolted),
    Row("3.8", setting("A-009", "low", 0.09), calculating("C-902"),
        "C-902", "result", "outdated", "calculate it again", bolted, "outdated"),
]  # fmt: skip
