"""A measured record and small files that several tests read."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from dossier.evidence.reading import ReadingScheme, sniff
from tests.evidence.generator import Programme, Record, Rig, measured, with_stiffness

RIG = Rig(
    compliance=1.5e-6, travel_drift=2e-5, load_noise=8.0, travel_noise=5e-5, load_step=1.0, travel_step=1e-5
)


@cache
def radial() -> Record:
    """A radial test to ±11 kN of a part of 56 kN/mm, four cycles, as its machine shows it."""
    return measured(with_stiffness(56000.0, Programme()), RIG, seed=7)


def small_file(path: Path, rows: list[str], *, header: str = "Time;Travel;Load\ns;mm;kN\n", end: str = "\n") -> Path:
    """A file with a heading and the rows given as text."""
    path.write_text(header + "\n".join(rows) + end, encoding="utf-8", newline="")
    return path


def counted_rows(count: int) -> list[str]:
    """Rows "0,10;0,0010;0,100" that rise evenly."""
    return [f"{n / 10:.2f};{n / 1000:.4f};{n / 10:.3f}".replace(".", ",") for n in range(1, count + 1)]


def scheme_of(path: Path) -> ReadingScheme:
    """The scheme that sniffing proposes for the file."""
    return ReadingScheme.from_form(sniff(path))
