"""A small invented project that tests build, edit and break: seconds instead of minutes, and nothing of the demo."""

from __future__ import annotations

import copy
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from dossier.actions.edit import add_record
from dossier.actions.opened import Opened
from dossier.actions.people import register_key
from dossier.actions.refusal import Refusal
from dossier.actions.sign import sign_step
from dossier.checks.base import CheckState, check_texts
from dossier.checks.policy import step_policy
from dossier.records.step import STEPS
from dossier.store import keys
from dossier.store.change import Change
from dossier.store.digest import sha256_of_document
from dossier.store.folder import ProjectFolder
from dossier.store.rawfiles import store_raw
from dossier.store.tomlfile import dump_document

__all__ = ["Refusal", "keys", "register_key", "sha256_of_document"]
TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 9, 30, tzinfo=UTC)
ENGINEER, REVIEWER, SAFETY, LABORATORY, PURCHASE, RELEASER = (
    "A. Berg", "B. Lind", "C. Roth", "D. Falk", "E. Sund", "F. Holm",
)  # fmt: skip
ROLES = {ENGINEER: "PE", REVIEWER: "RV", SAFETY: "SF", LABORATORY: "TL", PURCHASE: "PU", RELEASER: "RL"}
SIGNER = {role: person for person, role in ROLES.items()}
PASSPHRASE = "correct horse"

Documents = dict[str, dict[str, Any]]


def design(record_id: str, kind: str, bore: float | None) -> dict[str, Any]:
    """A joint with two rings; `bore` is the diameter of a hole through the pin."""
    pin: dict[str, Any] = {
        "material": "M-001",
        "length": 150.0,
        "ball_radius": 29.0,
        "neck_radius": 18.0,
        "neck_fillet": 2.5,
        "ends": {
            "flat_thickness": 26.0, "flat_start": 43.0, "hole_diameter": 17.5, "hole_distance": 112.0,
            "clamp_edge": 42.0,
        },
    }  # fmt: skip
    if bore is not None:
        pin["bores"] = [{"diameter": bore, "start": -75.0, "end": 75.0}]
    return {
        "id": record_id,
        "title": f"Design {record_id}",
        "kind": kind,
        "pin": pin,
        "core": {"kind": "none"},
        "layer": {
            "compound": "M-002", "inner_radius": 29.0, "outer_radius": 34.0, "polar_start": 50.0, "polar_end": 130.0,
        },
        "carrier": {"kind": "rings", "material": "M-001", "outer_radius": 38.08, "half_width": 22.0, "gap": 2.4},
        "rest": [{"name": "retaining ring", "mass": 0.02, "position": 23.3}],
        "tolerances": {
            "layer.outer_radius": {"lower": -0.05, "upper": 0.05},
            "layer.polar_end": {"lower": -1.0, "upper": 1.0},
        },
    }  # fmt: skip


def requirement(record_id: str, quantity: str, unit: str, limit: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A requirement that an analysis verifies."""
    statement = f"The joint shall meet {record_id}."
    first = {"id": record_id, "title": f"Demand {record_id}", "statement": statement, "quantity": quantity}
    return {**first, "unit": unit, "limit": limit, "verification": ["analysis"], **more}


def documents() -> Documents:
    """All files of the project, path → stored fields. Each call gives a copy to edit."""
    people = [{"name": name, "roles": [role]} for name, role in ROLES.items()]
    return copy.deepcopy(
        {
            "project.toml": {
                "id": "project", "project_id": "0123456789abcdef" * 2, "format": 1, "title": "Small joint",
                "reference": "REF", "variant": "V1", "people": people,
            },
            "concepts.toml": {
                "id": "idea", "problem": "The pin is heavy.", "mass_goal": 0.2,
                "concept": [{"id": "K-001", "title": "Bored pin", "mass": 1.5, "design": "V1"}],
            },
            "requirements/main.toml": {
                "requirement": [
                    requirement("R-001", "mass", "kg", {"kind": "max", "max": 1.9}),
                    requirement("R-002", "safety", "-", {"kind": "min", "min": 1.3}),
                    requirement("R-012", "force", "kN", {"kind": "max", "max": 45.0}, verification=["test"]),
                ]
            },
            "loads.toml": {
                "load": [
                    {"id": "L-001", "title": "Overload", "kind": "overload", "radial": 100000.0, "torsion": 5.0},
                    {"id": "L-002", "title": "Service", "radial": 11000.0, "axial": 4000.0},
                ]
            },
            "materials.toml": {
                "material": [
                    {
                        "id": "M-001", "title": "Steel", "kind": "steel", "density": {"value": 7850.0},
                        "youngs_modulus": {"value": 210000.0}, "poisson_ratio": {"value": 0.3},
                        "yield_strength": {"value": 800.0, "low": 780.0},
                    },
                    {
                        "id": "M-002", "title": "Rubber", "kind": "rubber", "density": {"value": 1150.0},
                        "shear_modulus": {"value": 1.1, "low": 1.0, "high": 1.2}, "bulk_modulus": {"value": 2000.0},
                    },
                ]
            },
            "assumptions.toml": {
                "assumption": [
                    {"id": "A-001", "title": "Support", "statement": "Held.", "choice": "held_at_bolt_axis"},
                    {"id": "A-002", "title": "Force", "statement": "At most.", "value": 90.0, "high": 95.0, "unit": "kN"},
                ]
            },
            "designs/REF.toml": design("REF", "reference", None),
            "designs/V1.toml": design("V1", "variant", 18.0),
            "calculations/C-001.toml": {
                "id": "C-001", "title": "Mass of V1", "method": "mass.joint", "design": "V1",
                "serves": [{"requirement": "R-001", "value": "total"}],
            },
            "calculations/C-002.toml": {
                "id": "C-002", "title": "Bending of V1", "method": "pin.bending", "design": "V1",
                "inputs": {"force": {"record": "L-001", "field": "radial"}, "support": {"record": "A-001"}},
                "serves": [{"requirement": "R-002", "value": "safety"}],
            },
        }
    )  # fmt: skip


def write(root: Path, files: Documents) -> ProjectFolder:
    """Begin the project at `root` with its first entry, by the engineer."""
    root.mkdir(parents=True, exist_ok=True)
    folder = ProjectFolder(root, use_cache=False)
    data = {path: dump_document(document) for path, document in files.items()}
    folder.commit(Change("Begun", ENGINEER, data, {}, NOW), None)
    return folder


def begin(root: Path, files: Documents | None = None) -> Opened:
    """Begin the project and open it."""
    write(root, documents() if files is None else files)
    return reopen(root)


def reopen(root: Path) -> Opened:
    """Open the project without the cache, on the day of the tests."""
    return Opened(root, use_cache=False, today=TODAY)


def entry_of(files: Documents, record_id: str) -> dict[str, Any]:
    """The stored fields of one record, to be edited in place."""
    for document in files.values():
        if document.get("id") == record_id:
            return document
        for value in document.values():
            for found in value if isinstance(value, list) else []:
                if isinstance(found, dict) and found.get("id") == record_id:
                    return found
    raise KeyError(record_id)


def bytes_of(root: Path) -> dict[str, bytes]:
    """Every file below the folder with its bytes."""
    return {path.relative_to(root).as_posix(): path.read_bytes() for path in root.rglob("*") if path.is_file()}


def all_met(view: object, steps: tuple[str, ...] = ()) -> dict[str, CheckState]:
    """Stands in for the state of every check where signatures are looked at alone."""
    return {text.id: CheckState(text, "met") for text in check_texts().values()}


def make_keys() -> None:
    """A key for every person in the folder that DOSSIER_KEYS names."""
    for person in ROLES:
        keys.new_key(person, PASSPHRASE)


def sign(opened: Opened, step: str, role: str, minute: int = 0, **more: str) -> str:
    """Sign a step as the person of that role; returns the id of the sign-off."""
    change = sign_step(opened, step, SIGNER[role], role, PASSPHRASE, now=NOW + timedelta(minutes=minute), **more)
    opened.record(change)
    return opened.project.signoffs[-1].signoff.id


def sign_all(opened: Opened) -> None:
    """Register every key and let every role of the policy release its steps, the releaser last."""
    for person in ROLES:
        with_key = keys.sign(person, PASSPHRASE, b"")[1]
        opened.record(register_key(opened.project, person, with_key.hexadecimal))
    for step in STEPS:
        for role in step_policy(step).signs:
            sign(opened, step, role, len(opened.project.signoffs))


def with_raw_file(root: Path, content: bytes = b"force;travel\n1;2\n") -> str:
    """Store a raw evidence file and a document record that names it; returns its path."""
    source = root.parent / "curve.csv"
    source.write_bytes(content)
    stored = store_raw(root, source)
    opened = reopen(root)
    raw = {"id": "B-001", "title": "Curve", "kind": "other", "file": stored.sha256, "file_name": "curve.csv"}
    opened.record(add_record(opened.project, "document", raw, ENGINEER))
    return stored.path
