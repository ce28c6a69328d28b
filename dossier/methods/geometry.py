"""From a design record to the plain shape of mechanics: one geometry feeds checks, mass, drawings and mesh."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from dossier.methods.links import as_field
from dossier.methods.mass import MassInput
from dossier.methods.shapes_in import DesignIn, joint_shape
from dossier.records.design import Design

if TYPE_CHECKING:
    from dossier.mechanics.shapes import JointShape


def shape_of_design(design: Design) -> JointShape:
    """The checked shape of a design record, its eye too. Raises GeometryError naming two dimensions in conflict."""
    from dossier.mechanics import shapes
    from dossier.mechanics.shape_check import check_shape

    fields = as_field(MassInput.model_fields["design"], design)
    joint = joint_shape(DesignIn.model_validate(fields))
    if design.eye:
        check_shape(replace(joint, eye=shapes.Eye(**design.eye.model_dump(include={"bore_radius", "outer_radius", "width"}))))
    return joint


def conflict_of(design: Design) -> str:
    """Two dimensions of a design that cannot stand together, or nothing.

    Dimensions that must be equal, and choices that follow each other, are changed one after the other: they are left
    to the checks of step 3.
    """
    from dossier.mechanics.shapes import GeometryError, UnequalDimensions

    try:
        shape_of_design(design)
    except UnequalDimensions:
        return ""
    except GeometryError as error:
        return str(error)
    return ""
