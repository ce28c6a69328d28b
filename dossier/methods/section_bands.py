"""Bands of what the section's solution gives: moduli of rubber and rings, tolerances of radii, error of the mesh.

Each cause is taken alone. What it moves is found on a mesh coarser than that of the values, by the difference to the same
mesh with nothing changed, so that the error of the mesh falls out of it; that error is a line of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING

from dossier.methods.bands import Ends, OneAtATime, band_causes, tolerance_causes
from dossier.methods.base import Contribution, Value
from dossier.methods.section_in import SectionInput, section_materials
from dossier.records.base import Banded

if TYPE_CHECKING:
    from dossier.mechanics.section_mesh import MeshSize
    from dossier.mechanics.shapes import JointShape
    from dossier.mechanics.whole_section import SectionSolution

MESH_LINE = "mesh"
RADII = ("inner_radius", "outer_radius", "neck_radius", "bore_diameter")
"""Names under which `changed_shape` takes a new dimension, beside the names of the moduli."""


def section_causes(given: SectionInput, joint: JointShape) -> dict[str, Ends]:
    """Causes of bands that every method of the section has, with both ends of each: moduli and radii of the layer."""
    banded: dict[str, tuple[str, Banded]] = {
        "shear modulus (hardness)": ("shear_modulus", given.shear_modulus),
        "bulk modulus": ("bulk_modulus", given.bulk_modulus),
        "Young's modulus of rings or half shells": ("carrier_modulus", given.carrier_modulus),
    }
    if given.core_modulus is not None and joint.core.kind != "none":
        banded["Young's modulus of the core"] = ("core_modulus", given.core_modulus)
    return band_causes(banded) | tolerance_causes({
        "tolerance of the inner radius": ("inner_radius", joint.layer.inner_radius, given.inner_tolerance),
        "tolerance of the outer radius": ("outer_radius", joint.layer.outer_radius, given.outer_tolerance)})  # fmt: skip


class CoarseSection:
    """Solves the section on one size of mesh with inputs changed; the mesh is made once for each shape."""

    def __init__(self, given: SectionInput, joint: JointShape, size: MeshSize, *, core: bool = True) -> None:
        from dossier.mechanics.section_mesh import section_mesh

        self.given, self.joint, self.size, self.core = given, joint, size, core
        self._mesh = section_mesh(joint, size)

    def solve(self, **changes: float) -> tuple[JointShape, SectionSolution]:
        """Shape and solution with `changes` of moduli (MPa) and of dimensions (mm), by name."""
        from dossier.mechanics.whole_section import section_stiffness

        joint = changed_shape(self.joint, changes)
        moduli = {name: value for name, value in changes.items() if name not in RADII}
        materials = section_materials(self.given, core=self.core, **moduli)
        mesh = self._mesh if joint is self.joint else None
        return joint, section_stiffness(joint, materials, size=self.size, mesh=mesh)


def changed_shape(joint: JointShape, changes: Mapping[str, float]) -> JointShape:
    """The joint with other radii; the ball goes with the inner one. The same object where no dimension is changed."""
    pin, layer = joint.pin, joint.layer
    if "inner_radius" in changes:
        pin = replace(pin, ball_radius=pin.ball_radius + changes["inner_radius"] - layer.inner_radius)
        layer = replace(layer, inner_radius=changes["inner_radius"])
    if "outer_radius" in changes:
        layer = replace(layer, outer_radius=changes["outer_radius"])
    if "neck_radius" in changes:
        pin = replace(pin, neck_radius=changes["neck_radius"])
    if "bore_diameter" in changes:
        pin = replace(pin, bores=(replace(pin.bores[0], diameter=changes["bore_diameter"]), *pin.bores[1:]))
    return joint if pin is joint.pin and layer is joint.layer else replace(joint, pin=pin, layer=layer)


def banded_values(
    values: Mapping[str, float],
    compute: Callable[..., Mapping[str, float]],
    causes: Mapping[str, Ends],
    mesh_error: Callable[[str, float, float], float],
    without: Collection[str] = (),
) -> dict[str, Value | float]:
    """Values with a line for each cause and one for the mesh.

    `compute(**changes)` gives the same names on the coarse mesh; `mesh_error(name, value, coarse value)` the error in the
    unit of the value. A cause has no line for a value that its ends do not give; names in `without` get no band.
    """
    coarse = OneAtATime(compute, causes)
    found: dict[str, Value | float] = {}
    for name, value in values.items():
        if name in without or name not in coarse.nominal:
            found[name] = value
            continue
        error = mesh_error(name, value, coarse.nominal[name])
        lines = (Contribution(MESH_LINE, -error, error),) if error else ()
        found[name] = Value(value, (*coarse.contributions(name, coarse.nominal[name]), *lines))
    return found
