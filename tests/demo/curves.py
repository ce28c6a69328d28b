"""Measured files of the invented demo: curves by the tests' own generator, written as machines write them.

The laws (rate-dependent hysteresis, softening of the first cycles, fixture compliance, drift, offset, noise) are not
those of the product, and the product reads no parameter of them.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import numpy as np

from tests.demo.evidence_kinds import Curves, Recorded
from tests.demo.parts import COMPARED, REFERENCE
from tests.demo.pressing import write_pressed
from tests.demo.records_of_evidence import WINDOWS
from tests.evidence import dialects, recorded
from tests.evidence.generator import Law, Programme, Rig, measured, with_stiffness

TORSION = replace(
    dialects.WIDE, header=("Pruefung\tMoment und Winkel", "Maschine\tM-3"), names=("Zeit", "Winkel", "Drehmoment"),
    unit_names=("s", "°", "N·m"), scales=(1.0, 1.0, 1e-3), formats=("%.2f", "%.4f", "%.4f"),
)  # fmt: skip
DIALECTS = {"german": dialects.GERMAN, "english": dialects.ENGLISH, "torsion": TORSION}
# Load per travel of the limit's unit, rows per second, rate in travel units per second.
SCALES = {"radial": (1e3, 60.0, 1 / 6), "axial": (1e3, 20.0, 1 / 6), "torsional": (1e3, 8.0, 0.5), "conical": (1e3, 8.0, 0.5)}


def write_curves(item: Curves, folder: Path) -> list[tuple[str, Path]]:
    """One file per specimen of the item; returns (specimen, file)."""
    scale, frequency, rate = SCALES[item.quantity]
    _, low, high, compliance, dialect = WINDOWS[item.scheme]
    found = []
    for group, target, law in (
        (REFERENCE, item.reference, Law()),
        (COMPARED, item.variant, Law(friction=0.14, maxwell=((0.07, 0.8), (0.05, 8.0)))),
    ):
        for number, specimen in enumerate(group):
            random = Random(f"{item.id} {specimen}")
            stiffness = target * scale * (1 + random.gauss(0, item.scatter))
            programme = Programme(load=1.1 * high, rate=rate, frequency=frequency, cycles=4)
            record = with_stiffness(stiffness, programme, law, low=low, high=high)
            travel = 1.1 * high / stiffness
            rig = Rig(
                compliance=compliance, travel_drift=travel * 2e-5, load_offset=high * 4e-4, travel_offset=travel * 5e-3,
                load_noise=high * 1.5e-4, travel_noise=travel * 1.5e-4, load_step=high * 2e-5, travel_step=travel * 2e-5,
            )  # fmt: skip
            seed = 1000 * int(item.id[2:]) + number
            shown = measured(record, rig, seed)
            path = folder / f"{item.id}-{specimen}.{'csv' if dialect != 'torsion' else 'txt'}"
            dialects.write(path, DIALECTS[dialect], shown.time, shown.travel, shown.load)
            found.append((specimen, path))
            if specimen == item.loose:
                rattled = replace(record, travel=record.travel + item.play / 2 * np.tanh(record.load / (0.04 * high)))
                shown = measured(rattled, rig, seed + 500)
                dialects.write(loose_file(item, folder), DIALECTS[dialect], shown.time, shown.travel, shown.load)
    return found


def loose_file(item: Curves, folder: Path) -> Path:
    """The first run of the part in the loose fixture."""
    return folder / f"{item.id}-{item.loose}-first.csv"


DYNAMIC = {"variant": 61_600.0, "reference": 62_400.0}
GROWTH = {"P-211": 2.2e-7, "P-212": 2.5e-7, "P-213": 2.1e-7}
HEAT = {"P-211": 35.0, "P-212": 38.0, "P-213": 37.0}
ROAD = 4100.0
PASS, PASSES = 49_260.0, 7


def write_recorded(item: Recorded, folder: Path) -> list[tuple[str, Path]]:
    """One file per specimen of a dynamic, durability, load history or press item; returns (specimen, file)."""
    found = []
    name = item.files_of or item.id
    for number, specimen in enumerate((*item.parts, *item.reference)):
        path = folder / f"{name}-{specimen}.csv"
        seed = 1000 * int(name[2:]) + number
        if item.forces:
            write_pressed(path, item.quantity, item.forces[number], seed)
        elif item.quantity == "load_history":
            recorded.write_history(path, seed=seed, level=ROAD, minutes=10)
        elif item.quantity == "dynamic":
            group = "reference" if specimen in item.reference else "variant"
            rubber = recorded.Rubber(DYNAMIC[group] * (1 + Random(f"{name} {specimen}").gauss(0, 0.012)))
            recorded.write_harmonic(path, rubber, (0.1, 0.2), (1.0, 5.0, 10.0), seed=seed, mass=5.0, rate=250.0, cycles=20)
        else:
            part = recorded.Endurance(55_000.0, GROWTH[specimen], HEAT[specimen])
            ends = [PASS * number for number in range(1, PASSES)]
            recorded.write_endurance(
                path, part, PASS * PASSES, seed=seed, every=PASS / 30, pauses=ends, reset_at=ends, rest=57_600.0
            )
        found.append((specimen, path))
    return found
