"""The utilisation of the section as a field to draw: envelope over all load cases at the nodes of pin, core and carrier."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from dossier.methods.section_in import section_shape
from dossier.methods.section_strength import SectionStrengthInput, SectionStrengthMethod, StrengthCase, worst_case

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
    return field_of_case(given, worst_case(given, section_shape(given)))


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
    from dossier.methods.base import InputError
    from dossier.methods.links import resolve
    from dossier.records.calculation import Calculation

    method = SectionStrengthMethod()
    asked = Calculation(id="C-field", title="utilisation", method=method.id, design=design)
    resolved = resolve(project, asked, method)
    if resolved.given is None:
        raise InputError("; ".join(resolved.problems))
    assert isinstance(resolved.given, SectionStrengthInput)
    return utilisation_field(resolved.given)


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
