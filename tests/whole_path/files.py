"""Measured files of the small joint, by the generator of the tests: no law and no number of it is the product's."""

from __future__ import annotations

from pathlib import Path

from tests.evidence import dialects
from tests.evidence.generator import Law, Programme, Rig, measured, with_stiffness
from tests.whole_path.records import CURVES

HIGHEST, STIFFNESS = 11000.0, 54000.0
DOCUMENTS = ("B-001", "B-002")


def write_files(folder: Path) -> None:
    """A folder of all files that the records name."""
    folder.mkdir()
    for name in DOCUMENTS:
        (folder / f"{name}.txt").write_text(f"stands for the file of {name}")
    for name in CURVES:
        curve_file(folder / f"E-002-{name}.csv", name)


def curve_file(path: Path, specimen: str) -> None:
    """Four cycles between -12.1 and 12.1 kN, as a machine with decimal commas writes them."""
    number = int(specimen[-3:])
    programme = Programme(load=1.1 * HIGHEST, rate=1 / 6, frequency=60.0, cycles=4)
    stiffness = STIFFNESS * (1 + 0.005 * (number - 2))
    record = with_stiffness(stiffness, programme, Law(), low=-HIGHEST, high=HIGHEST)
    shown = measured(record, Rig(load_noise=HIGHEST * 1.5e-4), seed=number)
    dialects.write(path, dialects.GERMAN, shown.time, shown.travel, shown.load)
