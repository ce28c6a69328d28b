"""An invented joint small enough to be entered by hand from a new project to a signed release. All numbers are invented."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

ENGINEER, REVIEWER, WORKS = "A. Person", "B. Check", "C. Works"
ROLES = {REVIEWER: "RV", WORKS: "TL; PR; PU; SF; RL"}
PASSPHRASE = "long enough one"
SAMPLES = {"P-001": 1.818, "P-002": 1.816, "P-003": 1.820}
CURVES = (*SAMPLES, "P-004", "P-005", "P-006")
VALUES = {  # as typed: value, and behind a semicolon what was seen
    "E-001": {name: f"{mass} kg" for name, mass in SAMPLES.items()},
    "E-003": dict.fromkeys(("P-007", "P-008", "P-009"), "1.2; target reached, no failure"),
    "E-004": dict.fromkeys(("P-007", "P-008", "P-009"), "11 %"),
}
CONCESSIONS = {
    "3.5": "no push-out force is demanded: a shoulder of the eye holds each ring",
    "3.17": "no overload is computed: the limits of the layer are found on prototypes",
    "3.18": "the crossing of bore and bolt hole is tested on bare pins of the series",
    "6.13": "the series tool comes after the prototype",
}


def records() -> list[tuple[str, dict[str, Any]]]:
    """Kind and fields of every record, in the order in which they are entered."""
    found = tomllib.loads((Path(__file__).parent / "records.toml").read_text("utf-8"))["record"]
    return [(entry["kind"], entry["fields"]) for entry in found]
