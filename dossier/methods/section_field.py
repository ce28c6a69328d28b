"""The utilisation of the section as a field to draw: envelope over all load cases at the nodes of pin, core and carrier."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from dossier.methods.section_strength import (
    SectionStrengthInput,
    SectionStrengthMethod,
    StrengthCase,
    strength_shape,
    worst_case,
)

if TYPE_CHECKING:
    from dossier.mechanics.layer import LayerStiffness
    from dossier.store.project import Project

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

SPLIT = ((0, 3, 5), (3, 1, 4), (5, 4, 2), (3, 4, 5))
"""A six-node triangle as four straight ones on its corners and middles."""


@dataclass(frozen=True)
class PartField:
    """One part: `points` (n, 2) as (r, z) in mm, `triangles` (t, 3) of them, `utilisation` (n,) of its own strength."""

    points: Array
    triangles: Numbers
    utilisation: Array


@dataclass(frozen=True)
class UtilisationField:
    """Fields by the name of the part (pin, core, ring or half_shell), the stiffness that goes with them, and the pin's
    most stressed place (r, z) in mm with its load case; `idle` as `section.strength` gives it; `idle_below` its threshold."""

    parts: Mapping[str, PartField]
    stiffness: LayerStiffness
    place: tuple[float, float]
    load: str
    highest: float
    idle: Mapping[str, float]
    idle_below: float


def utilisation_field(given: SectionStrengthInput) -> UtilisationField:
    """Solve the section and lay out the field. Raises what `section.strength` raises."""
    return field_of_case(given, worst_case(given, strength_shape(given)))


def field_of_case(given: SectionStrengthInput, case: StrengthCase) -> UtilisationField:
    """The field of the worst case that is solved already, as `section.strength` keeps it in its outcome."""
    strengths = {"pin": given.pin_yield.ends[0], "core": given.core_yield.ends[0] if given.core_yield else None}
    parts = {name: _part(case, name, strengths.get(name, given.carrier_yield.ends[0])) for name in case.stress}
    peak = case.pin.peak
    return UtilisationField(
        {name: part for name, part in parts.items() if part is not None}, case.solution.stiffness, peak.place,
        case.pin.load.name, peak.stress / given.pin_yield.ends[0], case.idle(given), given.idle_below)


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
    parts = {name: {"points": part.points.tolist(), "triangles": part.triangles.tolist(),
                    "utilisation": part.utilisation.tolist()} for name, part in field.parts.items()}  # fmt: skip
    return {"parts": parts, "stiffness": asdict(field.stiffness), "place": list(field.place), "load": field.load,
            "highest": field.highest, "idle": dict(field.idle), "idle_below": field.idle_below}  # fmt: skip


def field_of_plain(plain: Mapping[str, Any]) -> UtilisationField:
    """The field that `plain_field` made plain."""
    from dossier.mechanics.layer import LayerStiffness

    parts = {name: PartField(np.array(part["points"], dtype=float), np.array(part["triangles"], dtype=np.int64),
                             np.array(part["utilisation"], dtype=float)) for name, part in plain["parts"].items()}  # fmt: skip
    r, z = plain["place"]
    return UtilisationField(parts, LayerStiffness(**plain["stiffness"]), (r, z), plain["load"], plain["highest"],
                            plain["idle"], plain["idle_below"])  # fmt: skip


def _part(case: StrengthCase, name: str, strength: float | None) -> PartField | None:
    from dossier.mechanics.idle_steel import envelope

    if strength is None:
        return None
    stress = case.stress[name]
    place = np.full(len(case.solution.mesh.nodes), -1)
    place[stress.nodes] = np.arange(len(stress.nodes))
    six = place[case.solution.groups[name].connectivity]
    triangles = np.concatenate([six[:, list(corners)] for corners in SPLIT])
    return PartField(case.solution.mesh.nodes[stress.nodes], triangles, envelope(stress, case.motions, strength))
