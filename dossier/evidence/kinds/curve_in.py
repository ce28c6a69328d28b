"""What the kinds with curves share: the channels of the file in the units of the answer."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier import units
from dossier.evidence.channels import factor
from dossier.evidence.errors import EvaluationError
from dossier.evidence.one_file import Asked
from dossier.evidence.open_table import open_table
from dossier.evidence.plausibility import Expected, questions
from dossier.evidence.reading import Curve

ROTATIONAL = ("torsional", "conical")


@dataclass(frozen=True)
class Shown:
    """Units of the answer and the factors from stored units (N, mm; N·mm, °) to them."""

    force_unit: str
    displacement_unit: str
    force: float
    displacement: float
    rotational: bool

    @property
    def stiffness(self) -> float:
        """From stored load per stored travel to the units of the answer."""
        return self.force / self.displacement

    @property
    def joule(self) -> float:
        """From stored load times stored travel to J."""
        return 1e-3 * (np.pi / 180 if self.rotational else 1.0)


def shown_units(asked: Asked) -> Shown:
    """The units of the answer; EvaluationError names one that does not fit the direction."""
    rotational = asked.direction in ROTATIONAL
    usual = ("N·m", "°") if rotational else ("N", "mm")
    force_unit, displacement_unit = asked.force_unit or usual[0], asked.displacement_unit or usual[1]
    try:
        force = 1 / factor(force_unit, "torque" if rotational else "force")[0]
        displacement = 1 / factor(displacement_unit, "angle" if rotational else "displacement")[0]
    except units.UnitError as error:
        raise EvaluationError(
            f"force_unit = {force_unit}, displacement_unit = {displacement_unit}: {error}; expected units of "
            f"{'torque and angle such as N·m and °' if rotational else 'force and displacement such as kN and mm'}"
        ) from error
    return Shown(force_unit, displacement_unit, force, displacement, rotational)


def read(asked: Asked, shown: Shown) -> Curve:
    """The curve in the asked file. Raises UnreadableFile, also for what a person must judge before it is evaluated."""
    return open_table(
        asked.path, force_unit=shown.force_unit, displacement_unit=shown.displacement_unit, rotational=shown.rotational,
        progress=asked.progress, cancel=asked.cancel,
    )  # fmt: skip


def load_and_travel(curve: Curve, shown: Shown) -> tuple[np.ndarray, np.ndarray]:
    """Load and travel in stored units."""
    load, travel = ("torque", "angle") if shown.rotational else ("force", "displacement")
    return curve.channel(load), curve.channel(travel)


def wrong_size(travel: np.ndarray, load: np.ndarray, asked: Asked, shown: Shown) -> list[str]:
    """Questions to sizes that a wrong unit would explain."""
    window = asked.force_window
    expected = Expected(
        load=max(map(abs, window)) / shown.force if window else None,
        stiffness=asked.nominal_stiffness / shown.stiffness if asked.nominal_stiffness else None,
        rotational=shown.rotational,
    )
    return questions(travel, load, expected)


def extremes(load: np.ndarray, travel: np.ndarray, shown: Shown) -> dict[str, float | int]:
    """rows and the ends of both channels, in the units of the answer."""
    return {
        "rows": len(load),
        "force_min": float(load.min()) * shown.force, "force_max": float(load.max()) * shown.force,
        "displacement_min": float(travel.min()) * shown.displacement,
        "displacement_max": float(travel.max()) * shown.displacement,
        "force_unit": shown.force_unit, "displacement_unit": shown.displacement_unit,
    }  # fmt: skip
