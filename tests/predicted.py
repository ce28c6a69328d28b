"""The demonstration project with calculations of the curves its evidence measures."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from dossier.actions.run import run_calculations, with_changes
from dossier.store.project import project_from_documents
from dossier.store.tomlfile import parse_document

PERSON = "M. Olsen"


def demo_documents(folder: Path) -> dict[str, dict[str, Any]]:
    """All records of the project in a folder, by path."""
    found = {}
    for path in sorted(folder.rglob("*.toml")):
        name = path.relative_to(folder).as_posix()
        if not name.startswith(("revisions/", "history.git/")):
            found[name] = parse_document(path.read_bytes(), name)
    return found


def documents_with(folder: Path, *calculations: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """All records with the calculations run."""
    documents = demo_documents(folder)
    for calculation in calculations:
        documents[f"calculations/{calculation['id']}.toml"] = calculation
    project = project_from_documents(folder, documents)
    change = run_calculations(project, [calculation["id"] for calculation in calculations], PERSON)
    return with_changes(project, change).documents


def curve(folder: Path, record_id: str, item: str, direction: str, **inputs: Any) -> dict[str, Any]:
    """A calculation of the curve that an item measures, serving its first requirement, over the range of its scheme."""
    measured = demo_documents(folder)[f"evidence/{item}.toml"]
    ends = {name: {"record": measured["scheme"], "field": name} for name in ("low", "high")}
    name = "stiffness" if direction in ("radial", "axial") else "turning_stiffness"
    return {
        "id": record_id, "title": f"Curve, {direction}", "method": "layer.curve", "design": measured["variant"],
        "serves": [{"requirement": measured["serves"][0]["requirement"], "value": name}],
        "inputs": {"direction": direction, "steps": 3, **ends, **inputs},
    }  # fmt: skip
