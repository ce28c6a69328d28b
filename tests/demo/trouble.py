"""Tests of the invented demo that went wrong: a joint that slips, a crack that grows, a machine past its calibration.

The curves are simulated with the fault in the physics; nothing of it is told to the product.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from dossier.evidence.sign_curves import SimulatedFault, SimulatedTest, simulate
from tests.demo.curves import DIALECTS
from tests.demo.parts import NEXT_LIFE, NEXT_SLIP
from tests.demo.records_of_evidence import WINDOWS
from tests.evidence import dialects

ROWS, FREQUENCY = 300, 10.0


@dataclass(frozen=True)
class Trouble:
    """Static curves of `parts`, of which `faulty` has `fault`; stiffness in N/mm."""

    id: str
    title: str
    quantity: str
    requirement: str
    parts: tuple[str, ...]
    faulty: str
    fault: SimulatedFault
    stiffness: float
    scheme: str
    day: str
    equipment: str
    procedure: str
    deviations: str = ""


TROUBLES = (
    Trouble("E-061", "Axial stiffness, rings of the upper half", "axial", "R-008", NEXT_SLIP, "P-285",
            SimulatedFault("slip", 0.06, 0.75, cycle=3), 6_600.0, "RS-02", "2026-11-18", "Q-001",
            "three conditioning cycles, the fourth evaluated, pressed into the reference eye"),
    Trouble("E-062", "Radial stiffness in the programme, rings of the upper half", "radial", "R-007", NEXT_LIFE, "P-287",
            SimulatedFault("crack", 0.22, 0.3, cycle=2), 55_500.0, "RS-01", "2026-11-20", "Q-009",
            "check after the fifth pass of P1, three conditioning cycles, the fourth evaluated",
            deviations="M-3 was taken by E-058; the check ran on M-5"),
)  # fmt: skip


def item(trouble: Trouble) -> dict[str, Any]:
    """The record, ready for the files."""
    return {
        "id": trouble.id, "title": trouble.title, "way": "test", "quantity": trouble.quantity, "state": "finished",
        "serves": [{"requirement": trouble.requirement, "value": "variant"}], "variant": "V2", "scheme": trouble.scheme,
        "equipment": [trouble.equipment, "Q-007"], "planned_variant": len(trouble.parts), "procedure": trouble.procedure,
        "started_on": trouble.day, "done_on": trouble.day, "operator": "T. Lindqvist", "temperature": 23.0,
        "conditioning": 86400.0, "rest": 86400.0, "order": "drawn by lot, seed 20261118", "deviations": trouble.deviations,
        "budget": [
            {"cause": "force calibration", "relative": 0.0025, "systematic": True, "source": trouble.equipment},
            {"cause": "displacement calibration", "relative": 0.002, "systematic": True, "source": trouble.equipment},
            {"cause": "fixture compliance", "relative": 0.004, "systematic": True, "source": "blank test"},
        ],
    }  # fmt: skip


def write(trouble: Trouble, folder: Path) -> list[tuple[str, Path]]:
    """One file per part; returns (part, file)."""
    _, _, high, compliance, dialect = WINDOWS[trouble.scheme]
    found = []
    for number, part in enumerate(trouble.parts):
        fault = trouble.fault if part == trouble.faulty else None
        batch = simulate(SimulatedTest(ROWS, 4), 1, seed=100 * int(trouble.id[2:]) + number, fault=fault, noise=0.0006,
                         travel_noise=0.0002)  # fmt: skip
        evaluated = batch.load[0, 3 * ROWS :]
        load = batch.load[0] * 1.1 * high / min(evaluated.max(), -evaluated.min())
        travel = batch.travel[0] * 1.1 * high / trouble.stiffness + compliance * load
        path = folder / f"{trouble.id}-{part}.csv"
        dialects.write(path, DIALECTS[dialect], np.arange(len(load)) / FREQUENCY, travel, load)
        found.append((part, path))
    return found
