"""From a design record to the plain shape of mechanics: one geometry feeds checks, mass, drawings and mesh."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dossier.methods.links import as_field
from dossier.methods.mass import MassInput
from dossier.methods.shapes_in import DesignIn, joint_shape
from dossier.records.design import Design

if TYPE_CHECKING:
    from dossier.mechanics.shapes import JointShape


def shape_of_design(design: Design) -> JointShape:
    """The checked shape of a design record. Raises GeometryError naming two dimensions in conflict."""
    fields = as_field(MassInput.model_fields["design"], design)
    return joint_shape(DesignIn.model_validate(fields))
