"""Linear solution of the whole section: the four stiffnesses between bolted pin and eye, and the unit fields.

The pin (and a core in it) is held at the two clamp edges, the cylinder of the carrier is moved as a rigid body by the
eye. Lengths in mm, forces in N, angles in rad.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.elements import AXIAL_FIELD, LATERAL_FIELD, TORSIONAL_FIELD, ElementGroup, Field
from dossier.mechanics.layer import BULK_TO_SHEAR_LIMIT, LARGEST_SHEAR_MODULUS, LayerStiffness
from dossier.mechanics.linear import rigid_motion, solve_harmonic
from dossier.mechanics.numbers import checked_number
from dossier.mechanics.section_mesh import MeshSize, SectionMesh, section_mesh
from dossier.mechanics.shape_check import check_shape
from dossier.mechanics.shapes import JointShape, Rings

Array = NDArray[np.float64]

SOFTEST_METAL = 1000.0
"""Young's modulus in MPa below which that of pin, rings or half shells is taken for one in GPa."""

MOTIONS = ("axial", "prestress", "torsional", "radial", "conical")
"""Unit motions solved for. `prestress`: each ring moves by 1 mm towards the middle, or the cylinder of the half shells
closes by 1 mm in radius."""

LEFT_OUT = (
    "flats, bolt holes and crossing bores: the pin ends at the clamp edge and is held there over its whole section",
    "the parting slots of half shells: they are computed as closed",
    "contact and slip: every rubber face stays where it is bonded or held",
    "viscosity of the rubber and cavities in it",
    "large strain: stiffness and stress are those of small motions",
)
"""What the linear section does not know."""


@dataclass(frozen=True)
class Elastic:
    """Metal or plastic: Young's modulus in MPa, Poisson's ratio."""

    youngs_modulus: float
    poisson_ratio: float

    @property
    def shear_modulus(self) -> float:
        return self.youngs_modulus / (2 * (1 + self.poisson_ratio))

    @property
    def bulk_modulus(self) -> float:
        return self.youngs_modulus / (3 * (1 - 2 * self.poisson_ratio))


@dataclass(frozen=True)
class Materials:
    """Materials of the section; rubber moduli in MPa. `core` None: a core in the shape carries nothing."""

    pin: Elastic
    carrier: Elastic
    shear_modulus: float
    bulk_modulus: float
    core: Elastic | None = None


@dataclass(frozen=True)
class SectionSolution:
    """Stiffness of the whole section and displacement amplitudes (N, 3) in mm as (u_r, u_z, u_θ) of each unit motion."""

    mesh: SectionMesh
    groups: Mapping[str, ElementGroup]
    stiffness: LayerStiffness
    fields: Mapping[str, Array]


def section_stiffness(
    joint: JointShape, materials: Materials, *, size: MeshSize | None = None, mesh: SectionMesh | None = None
) -> SectionSolution:
    """Solve the section of `joint` for all unit motions.

    `size` sets the mesh, `mesh` reuses one. Raises GeometryError or ValueError naming field, limit, value and remedy.
    """
    check_shape(joint)
    check_materials(joint, materials)
    mesh = mesh or section_mesh(joint, size)
    groups = _groups(mesh, materials)
    stiffness: dict[str, Array] = {}
    fields: dict[str, Array] = {}
    for field, motions in ((AXIAL_FIELD, MOTIONS[:2]), (TORSIONAL_FIELD, MOTIONS[2:3]), (LATERAL_FIELD, MOTIONS[3:])):
        matrix, displacement = _solve(joint, mesh, list(groups.values()), field, motions)
        stiffness[motions[0]] = matrix
        for case, motion in enumerate(motions):
            fields[motion] = np.zeros((len(mesh.nodes), 3))
            fields[motion][:, list(field.components)] = displacement[:, :, case]
    lateral = stiffness["radial"]
    return SectionSolution(
        mesh,
        groups,
        LayerStiffness(
            axial=float(stiffness["axial"][0, 0]),
            radial=float(lateral[0, 0]),
            torsional=float(stiffness["torsional"][0, 0]),
            conical=float(lateral[1, 1]),
            coupling=float(lateral[0, 1]),
        ),
        fields,
    )


def _groups(mesh: SectionMesh, materials: Materials) -> dict[str, ElementGroup]:
    rubber = ElementGroup(mesh.nodes, mesh.layer.quads, "quad9", materials.shear_modulus, materials.bulk_modulus, mixed=True)
    groups = {"layer": rubber}
    for name, triangles in mesh.triangles.items():
        solid = {"pin": materials.pin, "core": materials.core}.get(name, materials.carrier)
        if solid is not None:
            groups[name] = ElementGroup(mesh.nodes, triangles, "tri6", solid.shear_modulus, solid.bulk_modulus)
    return groups


def _solve(
    joint: JointShape, mesh: SectionMesh, groups: list[ElementGroup], field: Field, motions: tuple[str, ...]
) -> tuple[Array, Array]:
    shape = (len(mesh.nodes), len(field.components))
    held = np.zeros(shape, bool)
    held[mesh.eye] = held[mesh.clamp] = True
    prescribed = np.zeros((*shape, len(motions)))
    for case, motion in enumerate(motions):
        prescribed[mesh.eye, :, case] = _eye_motion(joint, mesh.nodes[mesh.eye], motion)
    solution = solve_harmonic(mesh.nodes, groups, field, held, prescribed)
    return solution.stiffness, solution.displacement


def _eye_motion(joint: JointShape, nodes: Array, motion: str) -> Array:
    """Amplitudes of the cylinder held by the eye."""
    if motion != "prestress":
        return rigid_motion(nodes, motion)
    r, z = nodes.T
    if isinstance(joint.carrier, Rings):
        return np.stack([np.zeros_like(r), -np.sign(z)], axis=1)
    return np.stack([-np.ones_like(r), np.zeros_like(z)], axis=1)


def check_materials(joint: JointShape, materials: Materials) -> None:
    """Raise ValueError naming field, limit, value and remedy unless the materials can be computed with."""
    if not isinstance(materials, Materials):
        raise ValueError(f"materials = {materials!r} must be Materials; give pin, carrier and the moduli of the rubber")
    solids = {"pin": materials.pin, "carrier": materials.carrier}
    if materials.core is not None:
        if joint.core.kind == "none":
            raise ValueError("materials.core is given for core.kind = 'none'; choose a core or leave its material out")
        solids["core"] = materials.core
    for name, solid in solids.items():
        _check_solid(name, solid)
    shear = checked_number("layer.shear_modulus", materials.shear_modulus, "MPa")
    bulk = checked_number("layer.bulk_modulus", materials.bulk_modulus, "MPa")
    if not 0 < shear <= LARGEST_SHEAR_MODULUS:
        raise ValueError(f"layer.shear_modulus = {shear} MPa must exceed 0 MPa and be at most {LARGEST_SHEAR_MODULUS:g} MPa; "
                         "give the shear modulus of the rubber, check the unit")  # fmt: skip
    if not shear < bulk <= BULK_TO_SHEAR_LIMIT * shear:
        raise ValueError(
            f"layer.bulk_modulus = {bulk} MPa must exceed layer.shear_modulus = {shear:g} MPa and be at most "
            "1e8 times it; rubber has some 1000 to 2500 MPa, check the unit"
        )


def _check_solid(name: str, solid: Elastic) -> None:
    if not isinstance(solid, Elastic):
        raise ValueError(f"{name} = {solid!r} must be Elastic; give Young's modulus and Poisson's ratio")
    modulus = checked_number(f"{name}.youngs_modulus", solid.youngs_modulus, "MPa")
    ratio = checked_number(f"{name}.poisson_ratio", solid.poisson_ratio, "")
    if modulus <= 0:
        raise ValueError(f"{name}.youngs_modulus = {modulus} MPa must exceed 0 MPa; enter that of the material")
    if name != "core" and modulus < SOFTEST_METAL:
        raise ValueError(f"{name}.youngs_modulus = {modulus:g} MPa must be at least {SOFTEST_METAL:g} MPa; "
                         "give it in MPa, steel has 210000 MPa")  # fmt: skip
    if not 0 <= ratio < 0.5:
        raise ValueError(f"{name}.poisson_ratio = {ratio} must lie from 0 to below 0.5; 0.3 suits steel")
