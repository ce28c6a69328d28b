"""Stress of metal and core at the nodes of the section: amplitudes of the unit fields, and von Mises stress under loads.

At the nodes the strain of each element is evaluated directly and averaged over the elements that meet there, which
follows curved outlines better than values carried outwards from the quadrature points; on the axis, where the direct
value is 0/0, the carried ones stand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.elements import (
    ElementGroup,
    ReferenceElement,
    geometry_at,
    reference_element,
    strain_amplitudes,
    tri6_functions,
)
from dossier.mechanics.layer import LayerStiffness
from dossier.mechanics.linear import MOTION_FIELD

Array = NDArray[np.float64]

ANGLES = np.linspace(0.0, np.pi, 13)
"""Angles around the pin axis (rad, 0 in the direction of the radial force) at which loads are superposed."""

_NEAR_AXIS = 1e-3
_XI = np.array([0.0, 1.0, 0.0, 0.5, 0.5, 0.0])
_ETA = np.array([0.0, 0.0, 1.0, 0.0, 0.5, 0.5])


@dataclass(frozen=True)
class Motion:
    """Motion of the eye against the pin: axial and radial travel in mm, angles in rad, pre-stress travel in mm."""

    axial: float = 0.0
    radial: float = 0.0
    torsional: float = 0.0
    conical: float = 0.0
    prestress: float = 0.0

    def scaled(self, factor: float) -> Motion:
        """The motion of the load times `factor`; the pre-stress stays."""
        return Motion(*(factor * value for value in (self.axial, self.radial, self.torsional, self.conical)), self.prestress)

    def with_signs(self) -> list[Motion]:
        """All relative senses in which the parts of the load can meet."""
        parts = [(value, -value) if value else (0.0,) for value in (self.axial, self.torsional, self.conical)]
        if not self.radial:
            parts[2] = parts[2][:1]
        return [replace(self, axial=axial, torsional=torsional, conical=conical)
                for axial, torsional, conical in product(*parts)]  # fmt: skip


def motion_under(
    stiffness: LayerStiffness,
    *,
    radial_force: float = 0.0,
    axial_force: float = 0.0,
    torsion: float = 0.0,
    tilt: float = 0.0,
    prestress: float = 0.0,
) -> Motion:
    """Motion under forces in N and angles in rad; the tilt lies in the plane of the radial force."""
    radial = (radial_force - stiffness.coupling * tilt) / stiffness.radial
    return Motion(axial_force / stiffness.axial, radial, torsion, tilt, prestress)


@lru_cache
def _at_nodes() -> ReferenceElement:
    return ReferenceElement(*tri6_functions(_XI, _ETA), np.ones(6), np.ones((6, 3)))


@lru_cache
def _outwards() -> Array:
    """Matrix (6, 6) from values at the quadrature points to the nodes, by the linear function of least squares."""
    corners = np.column_stack([_XI, _ETA])
    inside = reference_element("tri6").shape @ corners
    return np.column_stack([np.ones(6), corners]) @ np.linalg.pinv(np.column_stack([np.ones(6), inside]))


class NodalStress:
    """Stress of one group of triangles at its nodes.

    `nodes` (m,) are their numbers in the mesh; `amplitudes` gives per unit motion (m, 6) in MPa: σ_rr, σ_zz, σ_θθ, τ_rz
    (cos nθ), τ_rθ, τ_zθ (sin nθ; without factor for torsion).
    """

    def __init__(self, mesh_nodes: Array, group: ElementGroup, fields: Mapping[str, Array]):
        self.nodes, place = np.unique(group.connectivity, return_inverse=True)
        self._place = place.reshape(group.connectivity.shape)
        self._group = group
        self._direct = geometry_at(mesh_nodes, group.connectivity, _at_nodes(), _NEAR_AXIS)
        self._on_axis = mesh_nodes[group.connectivity][..., 0] == 0.0
        self._meeting = np.bincount(self._place.ravel(), minlength=len(self.nodes))
        self.amplitudes = {motion: self._averaged(self.by_element(field, motion)) for motion, field in fields.items()}

    def by_element(self, displacement: Array, motion: str) -> Array:
        """Amplitudes (E, 6 nodes, 6) of displacement amplitudes (N, 3), before averaging."""
        harmonic = MOTION_FIELD.get(motion, MOTION_FIELD["axial"]).harmonic
        nodal = displacement[self._group.connectivity]
        strain = strain_amplitudes(self._direct, nodal, harmonic)
        if self._on_axis.any():
            carried = _outwards() @ strain_amplitudes(self._group.geometry, nodal, harmonic)
            strain[self._on_axis] = carried[self._on_axis]
        return stress_of(strain, self._group.shear_modulus, self._group.bulk_modulus)

    def von_mises(self, motion: Motion) -> Array:
        """Greatest von Mises stress (m,) in MPa around the axis, over all senses in which the loads can meet."""
        return np.sqrt(np.maximum.reduce([self._squares(signed) for signed in motion.with_signs()]))

    def worst(self, motion: Motion) -> tuple[Array, Array]:
        """The same (m,), and the components (m, 6) in MPa at the angle and in the senses of the loads at which it arises."""
        greatest, components = np.full(len(self.nodes), -1.0), np.zeros((len(self.nodes), 6))
        for signed in motion.with_signs():
            steady, lateral = self._parts(signed)
            for angle in _angles(signed):
                here = steady + lateral * np.repeat([np.cos(angle), np.sin(angle)], [4, 2])
                square = mises_square(here)
                more = square > greatest
                greatest[more], components[more] = square[more], here[more]
        return np.sqrt(greatest), components

    def principal(self, motion: Motion) -> Array:
        """Greatest principal stress (m,) in MPa around the axis, over all senses in which the loads can meet."""
        greatest = np.full(len(self.nodes), -np.inf)
        for signed in motion.with_signs():
            for angle in _angles(signed):
                greatest = np.maximum(greatest, np.linalg.eigvalsh(_tensor(self.at_angle(signed, angle)))[:, -1])
        return greatest

    def at_angle(self, motion: Motion, angle: float) -> Array:
        """Stress components (m, 6) in MPa at `angle` rad around the axis."""
        steady, lateral = self._parts(motion)
        factor = np.repeat([np.cos(angle), np.sin(angle)], [4, 2])
        return steady + lateral * factor

    def _squares(self, motion: Motion) -> Array:
        steady, lateral = self._parts(motion)
        greatest = np.zeros(len(self.nodes))
        for angle in _angles(motion):
            factor = np.repeat([np.cos(angle), np.sin(angle)], [4, 2])
            greatest = np.maximum(greatest, mises_square(steady + lateral * factor))
        return greatest

    def _parts(self, motion: Motion) -> tuple[Array, Array]:
        unit = self.amplitudes
        steady = motion.axial * unit["axial"] + motion.torsional * unit["torsional"] + motion.prestress * unit["prestress"]
        return steady, motion.radial * unit["radial"] + motion.conical * unit["conical"]

    def _averaged(self, found: Array) -> Array:
        rows = self._place.ravel()
        total = np.stack([np.bincount(rows, found[..., row].ravel(), len(self.nodes)) for row in range(6)], axis=1)
        return total / self._meeting[:, None]


def _angles(motion: Motion) -> Array:
    return ANGLES if motion.radial or motion.conical else ANGLES[:1]


def stress_of(strain: Array, shear_modulus: float, bulk_modulus: float) -> Array:
    """Stress (…, 6) in MPa of strain (…, 6) with engineering shear, isotropic."""
    dilatation = strain[..., :3].sum(axis=-1, keepdims=True)
    normal = 2 * shear_modulus * strain[..., :3] + (bulk_modulus - 2 * shear_modulus / 3) * dilatation
    return np.concatenate([normal, shear_modulus * strain[..., 3:]], axis=-1)


def mises_square(stress: Array) -> Array:
    """Square of the von Mises stress (…) of components (…, 6)."""
    first, second, third = np.moveaxis(stress[..., :3], -1, 0)
    normal = (first - second) ** 2 + (second - third) ** 2 + (third - first) ** 2
    return normal / 2 + 3 * (stress[..., 3:] ** 2).sum(axis=-1)


def _tensor(stress: Array) -> Array:
    rr, zz, tt, rz, rt, zt = np.moveaxis(stress, -1, 0)
    return np.stack([rr, rz, rt, rz, zz, zt, rt, zt, tt], axis=-1).reshape(*stress.shape[:-1], 3, 3)
