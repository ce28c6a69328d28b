"""The utilisation of the section as a field to draw: envelope over all load cases at the nodes of pin, core and carrier."""

from __future__ import annotations

from base64 import b64decode, b64encode
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from dossier.methods.section_strength import (
    SectionStrengthInput,
    SectionStrengthMethod,
    strength_shape,
    worst_case,
)
from dossier.methods.strength_case import StrengthCase

if TYPE_CHECKING:
    from dossier.mechanics.layer import LayerStiffness
    from dossier.store.project import Project

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

COMPONENTS = ("σ_rr", "σ_zz", "σ_θθ", "τ_rz", "τ_rθ", "τ_zθ")


@dataclass(frozen=True)
class Highest:
    """The greatest utilisation of a part where it is read, its place (r, z) in mm and its load case."""

    share: float
    place: tuple[float, float]
    load: str


@dataclass(frozen=True)
class PartField:
    """One part: `points` (n, 2) as (r, z) in mm, `triangles` (t, 3) of them; per load case the utilisation `by_load` (l, n) of
    its `strength` in MPa and the stress components (l, n, 6) in MPa at the angle around the axis at which it arises; `peaks`
    are the highest of each load case."""

    points: Array
    triangles: Numbers
    by_load: Array
    components: Array
    strength: float
    peaks: tuple[Highest, ...]

    @property
    def highest(self) -> Highest:
        """The highest of all load cases."""
        return max(self.peaks, key=lambda peak: peak.share)

    @property
    def utilisation(self) -> Array:
        """The greatest (n,) of all load cases."""
        return self.by_load.max(axis=0)


@dataclass(frozen=True)
class UtilisationField:
    """Fields by the name of the part (pin, core, ring or half_shell), the load cases in their order, and the stiffness that
    goes with them; `idle` as `section.strength` gives it, `idle_below` its threshold, `contour` (n, 2) its free contour."""

    parts: Mapping[str, PartField]
    loads: tuple[str, ...]
    stiffness: LayerStiffness
    idle: Mapping[str, float]
    idle_below: float
    contour: Array

    @property
    def pin(self) -> Highest:
        """The pin's most used place."""
        return self.parts["pin"].highest


def utilisation_field(given: SectionStrengthInput) -> UtilisationField:
    """Solve the section and lay out the field. Raises what `section.strength` raises."""
    return field_of_case(given, worst_case(given, strength_shape(given)))


def field_of_case(given: SectionStrengthInput, case: StrengthCase) -> UtilisationField:
    """The field of the worst case that is solved already, as `section.strength` keeps it in its outcome."""
    strengths = {"pin": given.pin_yield.ends[0], "core": given.core_yield.ends[0] if given.core_yield else None}
    shown = {name: strengths.get(name, given.carrier_yield.ends[0]) for name in case.parts}
    parts = {name: _part(case, name, strength) for name, strength in shown.items() if strength is not None}
    return UtilisationField(parts, tuple(load.name for load in case.loads), case.solution.stiffness, case.idle(given),
                            given.idle_below, case.contour(given).points)  # fmt: skip


def field_of_design(project: Project, design: str) -> UtilisationField:
    """The field of a design under all load cases of the project.

    Raises InputError with what is missing, GeometryError or ValueError of mechanics.
    """
    return utilisation_field(strength_input(project, design))


def strength_input(project: Project, design: str) -> SectionStrengthInput:
    """What `section.strength` reads of a design, by its usual links. Raises InputError with what is missing."""
    from dossier.methods.base import InputError
    from dossier.methods.links import resolve
    from dossier.records.calculation import Calculation

    method = SectionStrengthMethod()
    asked = Calculation(id="C-field", title="utilisation", method=method.id, design=design)
    resolved = resolve(project, asked, method)
    if resolved.given is None:
        raise InputError("; ".join(resolved.problems))
    assert isinstance(resolved.given, SectionStrengthInput)
    return resolved.given


def plain_field(field: UtilisationField) -> dict[str, Any]:
    """The field as JSON can say it; `field_of_plain` reads it."""
    parts = {name: _plain_part(part) for name, part in field.parts.items()}
    return {"parts": parts, "loads": list(field.loads), "stiffness": asdict(field.stiffness), "idle": dict(field.idle),
            "idle_below": field.idle_below, "contour": field.contour.tolist()}  # fmt: skip


def _plain_part(part: PartField) -> dict[str, Any]:
    return {"points": part.points.tolist(), "triangles": part.triangles.tolist(), "by_load": _packed(part.by_load),
            "components": _packed(part.components), "strength": part.strength,
            "peaks": [asdict(peak) for peak in part.peaks]}  # fmt: skip


def field_of_plain(plain: Mapping[str, Any]) -> UtilisationField:
    """The field that `plain_field` made plain."""
    from dossier.mechanics.layer import LayerStiffness

    parts = {name: _part_of_plain(part) for name, part in plain["parts"].items()}
    contour = np.array(plain["contour"], dtype=float).reshape(-1, 2)
    return UtilisationField(parts, tuple(plain["loads"]), LayerStiffness(**plain["stiffness"]), plain["idle"],
                            plain["idle_below"], contour)  # fmt: skip


def _part_of_plain(part: Mapping[str, Any]) -> PartField:
    peaks = tuple(Highest(one["share"], (one["place"][0], one["place"][1]), one["load"]) for one in part["peaks"])
    return PartField(np.array(part["points"], dtype=float), np.array(part["triangles"], dtype=np.int64),
                     _unpacked(part["by_load"]), _unpacked(part["components"]), part["strength"], peaks)  # fmt: skip


def _packed(values: Array) -> dict[str, Any]:
    """Many values in single precision, which is more than a mesh gives, as text."""
    return {"shape": list(values.shape), "text": b64encode(values.astype("<f4").tobytes()).decode("ascii")}


def _unpacked(packed: Mapping[str, Any]) -> Array:
    return np.frombuffer(b64decode(packed["text"]), dtype="<f4").astype(float).reshape(packed["shape"])


def _part(case: StrengthCase, name: str, strength: float) -> PartField:
    under = case.under(name)
    return PartField(
        case.solution.mesh.nodes[case.stress(name).nodes], case.triangles(name),
        np.array([one.von_mises for one in under]) / strength, np.array([one.components for one in under]), strength,
        tuple(Highest(one.peak.stress / strength, one.peak.place, one.load.name) for one in case.peaks(name)))
