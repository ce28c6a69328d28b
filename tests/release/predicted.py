"""The demonstration project with calculations of the curves its evidence measures."""

from __future__ import annotations

from typing import Any

from chapters_case import DEMO, demo_documents

from dossier.actions.run import run_calculations, with_changes
from dossier.store.project import project_from_documents


def documents_with(*calculations: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """All records with the calculations run."""
    documents = demo_documents()
    for calculation in calculations:
        documents[f"calculations/{calculation['id']}.toml"] = calculation
    project = project_from_documents(DEMO, documents)
    change = run_calculations(project, [calculation["id"] for calculation in calculations], "M. Olsen")
    return with_changes(project, change).documents


def curve(record_id: str, item: str, direction: str, **inputs: Any) -> dict[str, Any]:
    """A calculation of the curve that an item measures, serving its first requirement, over the range of its scheme."""
    measured = demo_documents()[f"evidence/{item}.toml"]
    ends = {name: {"record": measured["scheme"], "field": name} for name in ("low", "high")}
    name = "stiffness" if direction in ("radial", "axial") else "turning_stiffness"
    return {
        "id": record_id, "title": f"Curve, {direction}", "method": "layer.curve", "design": measured["variant"],
        "serves": [{"requirement": measured["serves"][0]["requirement"], "value": name}],
        "inputs": {"direction": direction, "steps": 3, **ends, **inputs},
    }  # fmt: skip
