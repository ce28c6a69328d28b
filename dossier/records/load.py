"""Load cases: what the joint is exposed to, with its origin."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from dossier.records.base import EMPTY, Part, Record, q


class Block(Part):
    """One level of a block programme."""

    radial: float = q("N", "radial force amplitude", 0.0, at_least=0, shown="kN")
    axial: float = q("N", "axial force amplitude", 0.0, at_least=0, shown="kN")
    torsion: float = q("°", "torsion amplitude", 0.0, at_least=0)
    tilt: float = q("°", "conical amplitude", 0.0, at_least=0)
    cycles: float = q("cycles", "cycles in one programme", at_least=0)
    frequency: float = q("Hz", "test frequency", 1.0, above=0)


class LoadCase(Record):
    """Forces and angles that act together, in the frame of design.md (z = pin axis)."""

    title: str = Field(min_length=1)
    kind: Literal["static", "overload", "fatigue", "programme"] = "static"
    radial: float = q("N", "radial force", 0.0, shown="kN", symbol="F_r")
    axial: float = q("N", "axial force", 0.0, shown="kN", symbol="F_a")
    torsion: float = q("°", "torsion about the pin axis", 0.0, symbol="φ_t")
    tilt: float = q("°", "conical angle", 0.0, symbol="φ_k")
    temperature: float = q("°C", "temperature of the joint", 23.0, above=-273.15)
    cycles: float = q("cycles", "number of cycles", 1.0, at_least=1)
    blocks: list[Block] = Field(default_factory=list)
    origin: str = EMPTY
    source: str = EMPTY
