"""A small project with finished items of dynamic, durability and load-history records."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np

from dossier.actions import measured
from dossier.actions.edit import add_record
from dossier.actions.evaluate import evaluate_items
from dossier.actions.opened import Opened
from tests import small_project as small
from tests.evidence.dialects import ENGLISH, write
from tests.evidence.recorded import Endurance, Rubber, write_endurance, write_harmonic, write_history

LAB = small.LABORATORY
PARTS = {"V1": ("P-1", "P-2", "P-3"), "REF": ("P-11", "P-12", "P-13")}
STATIC = {"P-1": 60_000.0, "P-2": 60_600.0, "P-3": 61_000.0}
REQUIREMENTS = (
    small.requirement("R-020", "dynamic_ratio", "-", {"kind": "max", "max": 1.7}, verification=["test"]),
    small.requirement("R-021", "loss_angle", "°", {"kind": "max", "max": 8.0}, verification=["test"]),
    small.requirement("R-022", "stiffness_ratio", "-", {"kind": "range", "min": 0.85, "max": 1.15}, verification=["test"]),
    small.requirement("R-023", "life", "-", {"kind": "min", "min": 1.0}, verification=["test"]),
    small.requirement("R-024", "stiffness_loss", "%", {"kind": "max", "max": 45.0}, verification=["test"]),
    small.requirement("R-025", "damage_share", "-", {"kind": "max", "max": 1.0}, verification=["test"]),
    small.requirement("R-027", "press_in_force", "kN", {"kind": "max", "max": 40.0}, verification=["test"]),
    small.requirement("R-028", "push_out_force", "kN", {"kind": "min", "min": 20.0}, verification=["test"]),
    small.requirement("R-026", "life", "cycles", {"kind": "min", "min": 30_000.0}, verification=["test"]),
)
SETTINGS = {
    "dynamic": ("frequency=10 Hz", "amplitude=0.2 mm", "moving_mass=5 kg", "source=blank test"),
    "durability": ("loss=20 %", "reference_cycles=1000", "planned_cycles=30000", "temperature_factor=-0.004"),
    "load_history": ("sn_range=40 kN", "sn_cycles=1e5", "exponents=5, 3", "repeats=400", "programme=L-003"),
}
SERVES = {
    "dynamic": {"R-020": "to_static_variant", "R-021": "loss_angle_variant", "R-022": "ratio"},
    "durability": {"R-023": "share_variant", "R-024": "stiffness_loss_variant", "R-026": "variant"},
    "load_history": {"R-025": "variant"},
}
IDS = {"dynamic": "E-101", "durability": "E-102", "load_history": "E-103"}
PRESSED = {
    "press_in": ("E-104", "R-027", ("press_length=40 mm", "window=85 .. 89 mm: 20 .. 31 kN")),
    "push_out": ("E-105", "R-028", ()),
}  # fmt: skip


def documents() -> dict[str, Any]:
    """The small project with its requirements, parts, load programme, rig and a static item the dynamic one relates to."""
    files = small.documents()
    files["requirements/main.toml"]["requirement"] += list(REQUIREMENTS)
    files["loads.toml"]["load"].append(
        {"id": "L-003", "title": "Programme", "kind": "programme", "cycles": 49_200.0, "blocks": [
            {"radial": 9000.0, "cycles": 40_000.0}, {"radial": 18_000.0, "cycles": 8_000.0},
            {"radial": 31_000.0, "cycles": 1_200.0},
        ]}
    )  # fmt: skip
    specimens = [{"id": name, "design": design, "batch": "7"} for design, names in PARTS.items() for name in names]
    files["specimens.toml"] = {"specimen": specimens}
    channels = [
        {"quantity": quantity, "unit": unit, "low": -100.0, "high": 100.0, "uncertainty": 0.005, "calibrated_on": "2026-01-31",
         "valid_until": "2027-01-31"}
        for quantity, unit in (("force", "kN"), ("displacement", "mm"))
    ]  # fmt: skip
    files["equipment.toml"] = {"equipment": [{"id": "Q-001", "title": "Rig", "channel": channels}]}
    files["evidence/E-100.toml"] = {
        "id": "E-100", "title": "Static radial stiffness", "way": "test", "quantity": "single", "unit": "N/mm",
        "state": "finished", "variant": "V1", "started_on": "2026-03-01", "done_on": "2026-03-01", "equipment": ["Q-001"],
        "budget": [{"cause": "force", "relative": 0.003}],
        "samples": [{"specimen": name, "value": value} for name, value in STATIC.items()],
    }  # fmt: skip
    return files


def written(folder: Path) -> dict[str, dict[str, Path]]:
    """A file per item and specimen: three variants and three references driven, two variants and one reference endured, one
    history."""
    found: dict[str, dict[str, Path]] = {"dynamic": {}, "durability": {}, "load_history": {}}
    for design, stiffness in (("V1", 62_000.0), ("REF", 64_000.0)):
        for number, name in enumerate(PARTS[design]):
            rubber = Rubber(stiffness * (0.99 + 0.01 * number))
            path = folder / f"dynamic {name}.csv"
            found["dynamic"][name] = write_harmonic(path, rubber, (0.1, 0.2), (1.0, 10.0), seed=number, mass=5.0)
    for name, rate, seed in (("P-1", 0.8e-6, 1), ("P-2", 1.9e-6, 2), ("P-11", 1.2e-6, 3)):
        path = folder / f"endurance {name}.csv"
        last = 36_000.0 if name == "P-1" else 52_000.0
        found["durability"][name] = write_endurance(
            path, Endurance(60_000.0, rate), last, seed=seed, pauses=(20_000.0,), reset_at=(20_000.0,)
        )
    found["load_history"]["P-3"] = write_history(folder / "history P-3.csv", seed=4, minutes=4)
    return found


def begin(root: Path, folder: Path, kinds: tuple[str, ...] = ("dynamic", "durability", "load_history")) -> Opened:
    """The project with its items imported, finished and evaluated."""
    opened = small.begin(root, documents())
    opened.record(evaluate_items(opened.project, ["E-100"], LAB))
    files = written(folder)
    for number, kind in enumerate(kinds):
        first = next(iter(files[kind].values()))
        scheme = f"RS-{number + 11}"
        opened.record(measured.new_scheme(opened.project, scheme, first, f"Rig, {kind}", "", "", LAB, kind=kind,
                                          settings=SETTINGS[kind]))  # fmt: skip
        raw = {
            "id": IDS[kind], "title": f"Radial {kind.replace('_', ' ')}", "way": "test", "quantity": kind, "variant": "V1",
            "reference": "REF", "state": "running", "started_on": "2026-03-02", "equipment": ["Q-001"], "scheme": scheme,
            "serves": [{"requirement": name, "value": value} for name, value in SERVES[kind].items()],
            "budget": [{"cause": "force calibration", "channel": "Q-001.force"}],
            **({"related_to": "E-100"} if kind == "dynamic" else {}),
        }  # fmt: skip
        opened.record(add_record(opened.project, "evidence", raw, LAB))
        pairs = [f"{name}={path}" for name, path in files[kind].items()]
        opened.record(measured.import_curves(opened.project, IDS[kind], pairs, LAB))
        opened.record(measured.set_state(opened.project, IDS[kind], "finished", LAB, "2026-03-05"))
        opened.record(evaluate_items(opened.project, [IDS[kind]], LAB))
    return opened


def press(opened: Opened, folder: Path) -> None:
    """A press-in of three variants, one of them scored, and a reference, with a window, and a push-out of two variants."""
    from tests.evidence.test_press import pressed_in, pushed_out

    curves = {
        "press_in": {"P-1": pressed_in(seed=1), "P-2": pressed_in(seed=2, teeth=20), "P-3": pressed_in(seed=3),
                     "P-11": pressed_in(seed=4)},
        "push_out": {"P-1": pushed_out(seed=5), "P-2": pushed_out(seed=6)},
    }  # fmt: skip
    for kind, (item, requirement, settings) in PRESSED.items():
        pairs = []
        for name, (travel, load) in curves[kind].items():
            path = write(folder / f"{kind} {name}.csv", ENGLISH, np.arange(len(travel)) / 50, travel, load)
            pairs.append(f"{name}={path}")
        first, scheme = Path(pairs[0].partition("=")[2]), f"RS-{item[-2:]}"
        opened.record(measured.new_scheme(opened.project, scheme, first, f"Press, {kind}", "", "", LAB, kind="press",
                                          settings=settings or ("press_length=10 mm",)))  # fmt: skip
        raw = {
            "id": item, "title": f"Radial {kind}", "way": "test", "quantity": kind, "variant": "V1",
            "reference": "REF" if kind == "press_in" else "", "state": "running", "started_on": "2026-03-02",
            "equipment": ["Q-001"], "scheme": scheme, "serves": [{"requirement": requirement, "value": "variant"}],
            "budget": [{"cause": "force calibration", "channel": "Q-001.force"}],
        }  # fmt: skip
        opened.record(add_record(opened.project, "evidence", raw, LAB))
        opened.record(measured.import_curves(opened.project, item, pairs, LAB))
        opened.record(measured.set_state(opened.project, item, "finished", LAB, "2026-03-05"))
        opened.record(evaluate_items(opened.project, [item], LAB))
