"""Rows of step 1."""

from __future__ import annotations

from check_case import Case, Row, both, setting, without

PHOTO = "a" * 64


def photographed(case: Case) -> None:
    """The weighed parts on a photo that is registered with its file."""
    case.documents.setdefault("documents.toml", {}).setdefault("document", []).append(
        {"id": "B-900", "title": "parts on the scale", "kind": "photo", "file": PHOTO, "file_name": "scale.png"}
    )
    case["idea"]["weighing"]["photos"] = ["B-900"]


ROWS = [
    Row("1.1", setting("idea", "weighing.count", 2), setting("idea", "weighing.count", 3),
        "idea", "weighing.count", "2", "is below 3; weigh more", photographed),
    Row("1.1", setting("idea", "weighing.scale_valid_until", "2026-02-15"),
        setting("idea", "weighing.scale_valid_until", "2026-02-16"),
        "idea", "weighing.scale_valid_until", "2026-02-15", "weigh again on a calibrated scale", photographed),
    Row("1.1", without("idea", "weighing.scale"), setting("idea", "weighing.scale", "W-2, calibrated"),
        "idea", "weighing.scale", "", "name scale, resolution", photographed),
    Row("1.1", setting("idea", "weighing.drawing_index", "C"), setting("idea", "weighing.drawing_index", "D"),
        "idea", "weighing.drawing_index", "C", "differs from REF.drawing_index = D; weigh parts", photographed),
    Row("1.1", setting("idea", "weighing.production_status", ""),
        setting("idea", "weighing.production_status", "series, lot 7"),
        "idea", "weighing.production_status", "", "say whether they are series parts", photographed),
    Row("1.1", setting("idea", "weighing.photos", []), setting("idea", "weighing.photos", ["B-900"]),
        "idea", "weighing.photos", "", "name a document of kind photo", photographed),
    Row("1.1", setting("idea", "weighing.photos", ["N-001"]), setting("idea", "weighing.photos", ["B-900"]),
        "idea", "weighing.photos", "N-001", "add it to documents.toml", photographed),
    Row("1.1", without("B-900", "file"), setting("B-900", "file", PHOTO),
        "B-900", "file", "", "import the photo's file", photographed),
    # 1397 g + 45 g + 476 g + 21 g = 1939 g; 39 g less is 1900 g, −2.06 % of 1940 g, and 38 g less is −2.01 %.
    Row("1.2", setting("idea", "breakdown.2.mass", 0.437), setting("idea", "breakdown.2.mass", 0.440),
        "idea", "breakdown", "1900 g against 1940 g weighed", "−2.06 %, limit ±2 %; weigh again"),
    Row("1.3", lambda case: case["idea"].update(concept=case["idea"]["concept"][:2]),
        lambda case: case["idea"]["concept"].append(
            {"id": "V9", "title": "tube pin", "mass": 1.5, "cost_tendency": "+8 %", "risks": ["a", "b", "c"]}),
        "idea", "concept", "2 concepts", "fewer than 3; record another"),
    Row("1.3", setting("idea", "concept.1.cost_tendency", ""), setting("idea", "concept.1.cost_tendency", "+4 %"),
        "idea", "concept.V2.cost_tendency", "", "say how the piece cost changes"),
    Row("1.3", without("idea", "concept.3.risks.2"), lambda case: case["V4"]["risks"].append("new die"),
        "idea", "concept.V4.risks", "2 risks", "name the 3 gravest"),
    Row("1.4", without("idea", "concept.0.estimated_on"), setting("idea", "concept.0.estimated_on", "2026-03-30"),
        "idea", "concept.V1.estimated_on", "", "give the day its mass was calculated"),
    Row("1.4", setting("idea", "worth_source", ""), setting("idea", "worth_source", "P. Novak, 2026-03-30"),
        "idea", "worth_source", "", "say who assumed or confirmed"),
    # 1.940 kg − 1.456 kg = 0.484 kg, 24.9 % of 1.940 kg; 1.455 kg saves 25.0 %.
    Row("1.8", setting("idea", "concept.1.mass", 1.456), setting("idea", "concept.1.mass", 1.455),
        "idea", "concept.V2.mass", "1456 g, saves 24.9 %", "misses the goal of 25.0 %; choose another concept"),
    Row("1.10", setting("idea", "concept.0.fate", "chosen"), setting("idea", "concept.0.fate", "kept"),
        "idea", "concept", "chosen: V1, V2", "must be exactly one"),
    Row("1.10", setting("idea", "concept.1.reason", ""), setting("idea", "concept.1.reason", "lightest known way"),
        "idea", "concept.V2.reason", "", "say why it was chosen"),
    Row("1.10", without("idea", "concept.1.stop_if"), setting("idea", "concept.1.stop_if", "push-out below 12 kN"),
        "idea", "concept.V2.stop_if", "", "at which result the work on it stops"),
    Row("1.10", setting("idea", "concept.1.design", "V7"), setting("idea", "concept.1.design", "V2"),
        "idea", "concept.V2.design", "V7", "names no design"),
    Row("1.10", setting("idea", "concept.2.reason", ""), setting("idea", "concept.2.reason", "creep"),
        "idea", "concept.V3.reason", "", "say why it was rejected"),
    Row("1.10", setting("idea", "concept.3.fate", "open"), setting("idea", "concept.3.fate", "rejected"),
        "idea", "concept.V4.fate", "open", "set it to kept or rejected"),
    Row("1.10", lambda case: case["idea"].update(concept=[case["idea"]["concept"][1]]),
        both(lambda case: case["idea"]["concept"].append({"id": "V9", "title": "tube pin", "mass": 1.5}),
             setting("idea", "concept.1.fate", "rejected"), setting("idea", "concept.1.reason", "tooling")),
        "idea", "concept", "V2", "record what was rejected"),
]  # fmt: skip
