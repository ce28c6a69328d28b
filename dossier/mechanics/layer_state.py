"""What the rubber layer feels under unit motions: mean stress and strain inside, tractions on its two faces.

Local values at the corners where a bonded and a free face meet grow without bound as the mesh is refined. What is
compared with a limit is therefore averaged: over a disc in the meridional plane inside, over a stretch of the meridian
on a face, both with a length in mm that does not depend on the mesh and is the same for every part compared.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import pi

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.elements import ElementGroup, ReferenceElement, geometry_at, quad9_functions, strain_amplitudes
from dossier.mechanics.linear import MOTION_FIELD
from dossier.mechanics.mesh import GridMesh
from dossier.mechanics.section_stress import stress_of

Array = NDArray[np.float64]

POINTS_ACROSS = 4
"""Gauss points in each direction of a cell at which strain and mean stress are taken."""


@lru_cache
def _inside() -> ReferenceElement:
    points, weights = np.polynomial.legendre.leggauss(POINTS_ACROSS)
    xi, eta = (grid.ravel() for grid in np.meshgrid(points, points, indexing="ij"))
    return _reference(xi, eta, np.outer(weights, weights).ravel())


@lru_cache
def _on_face(side: float) -> ReferenceElement:
    points, weights = np.polynomial.legendre.leggauss(3)
    return _reference(points, np.full(3, side), weights)


def _reference(xi: Array, eta: Array, weight: Array) -> ReferenceElement:
    return ReferenceElement(*quad9_functions(xi, eta), weight, np.stack([np.ones_like(xi), xi, eta], axis=1))


@dataclass(frozen=True)
class FaceState:
    """Tractions on one face at m places, averaged over the averaging length.

    `place` (m, 2) mm; `area` (m,) mm² of the whole circumference; per unit motion `traction[motion]` (m, 3) in MPa:
    normal stress (tension positive) and shear along the meridian (cos nθ), shear along the circumference (sin nθ).
    """

    place: Array
    area: Array
    traction: Mapping[str, Array]


class LayerState:
    """Unit fields of the rubber layer. `fields` are displacement amplitudes (N, 3) by motion, `averaging` a length in mm."""

    def __init__(self, mesh: GridMesh, rubber: ElementGroup, fields: Mapping[str, Array], averaging: float):
        if not averaging > 0:
            raise ValueError(f"averaging = {averaging} mm must exceed 0 mm; a tenth of the layer's thickness suits")
        self._rubber = rubber
        self._fields = fields
        self.averaging = averaging
        self._geometry = geometry_at(mesh.nodes, mesh.quads, _inside(), 1e-9)
        self._mesh = mesh
        nodal = mesh.nodes[mesh.quads]
        self.points = (_inside().shape @ nodal).reshape(-1, 2)
        self._area = (self._geometry.volume / (_inside().shape @ nodal)[..., 0]).ravel()
        self.strain: dict[str, Array] = {}
        self.mean_stress: dict[str, Array] = {}
        self._pressure: dict[str, Array] = {}
        for motion, field in fields.items():
            self.strain[motion] = strain_amplitudes(self._geometry, field[mesh.quads], _harmonic(motion)).reshape(-1, 6)
            self._pressure[motion] = self._pressure_of(field, _harmonic(motion))
            self.mean_stress[motion] = (self._pressure[motion] @ _inside().pressure.T).ravel()

    @cached_property
    def _discs(self):
        """Centres (c, 2) and the sparse matrix (c, points) that averages over the disc around each."""
        from scipy.sparse import csr_matrix
        from scipy.spatial import cKDTree

        centres = self._mesh.nodes[self._mesh.grid.ravel()]
        near = cKDTree(self.points).query_ball_point(centres, self.averaging)
        counts = np.array([len(one) for one in near])
        column = np.concatenate([np.asarray(one, np.int64) for one in near])
        row = np.repeat(np.arange(len(centres)), counts)
        total = np.bincount(row, self._area[column], len(centres))
        enough = counts > 3
        share = self._area[column] / total[row] * enough[row]
        return centres, csr_matrix((share, (row, column)), shape=(len(centres), len(self.points)))

    def averaged(self, values: Array) -> tuple[Array, Array]:
        """Centres (c, 2) in mm and the disc averages (c, …) of values (points, …)."""
        centres, matrix = self._discs
        return centres, matrix @ values

    def face(self, inner: bool, stretches: tuple[NDArray[np.int64], ...] = ()) -> FaceState:
        """The inner or outer face, over its whole length or only over `stretches` of nodes in touch with the carrier."""
        column, side = (0, -1.0) if inner else (-1, 1.0)
        quads = self._mesh.quads.reshape((len(self._mesh.grid) - 1) // 2, -1, 9)[:, column]
        cells = np.arange(len(self._mesh.quads)).reshape(len(quads), -1)[:, column]
        if stretches:
            middle = quads[:, 3 if inner else 5]
            touching = np.isin(middle, np.concatenate([stretch[1::2] for stretch in stretches]))
            quads, cells = quads[touching], cells[touching]
        reference = _on_face(side)
        geometry = geometry_at(self._mesh.nodes, quads, reference, 1e-9)
        nodal = self._mesh.nodes[quads]
        place = reference.shape @ nodal
        along = reference.derivative[:, 0] @ nodal
        length = (np.hypot(along[..., 0], along[..., 1]) * reference.weight).ravel()
        normal = (place / np.hypot(place[..., 0], place[..., 1])[..., None]).reshape(-1, 2)
        average = _stretch_average(length, self.averaging)
        traction = {}
        for motion, field in self._fields.items():
            strain = strain_amplitudes(geometry, field[quads], _harmonic(motion)).reshape(-1, 6)
            mean = (self._pressure[motion][cells] @ reference.pressure.T).ravel()
            traction[motion] = average @ _traction(strain, mean, normal, self._rubber.shear_modulus)
        return FaceState(place.reshape(-1, 2), 2 * pi * place[..., 0].ravel() * length, traction)

    def _pressure_of(self, field: Array, harmonic: int) -> Array:
        """Coefficients (E, 3) of the mean stress on {1, ξ, η}: the projection the stiffness was built with."""
        own = self._rubber.reference
        strain = strain_amplitudes(self._rubber.geometry, field[self._rubber.connectivity], harmonic)
        weighted = self._rubber.geometry.volume * strain[..., :3].sum(axis=-1)
        mass = (own.pressure.T * self._rubber.geometry.volume[:, None, :]) @ own.pressure
        return self._rubber.bulk_modulus * np.linalg.solve(mass, (weighted @ own.pressure)[..., None])[..., 0]


def _harmonic(motion: str) -> int:
    return MOTION_FIELD.get(motion, MOTION_FIELD["axial"]).harmonic


def _traction(strain: Array, mean: Array, normal: Array, shear_modulus: float) -> Array:
    """Normal stress and the two shears (m, 3) on a face with `normal` (m, 2), from strain (m, 6) and mean stress (m,)."""
    stress = stress_of(strain, shear_modulus, 0.0)
    stress[:, :3] += mean[:, None]
    rr, zz, _, rz, rt, zt = stress.T
    n_r, n_z = normal.T
    force_r, force_z = rr * n_r + rz * n_z, rz * n_r + zz * n_z
    return np.stack([force_r * n_r + force_z * n_z, force_z * n_r - force_r * n_z, rt * n_r + zt * n_z], axis=1)


def _stretch_average(length: Array, averaging: float) -> Array:
    """Matrix (m, m): mean over the part of the meridian within half the averaging length; `length` (m,) of each place."""
    middle = np.cumsum(length) - length / 2
    low = np.maximum(middle[:, None] - averaging / 2, (middle - length / 2)[None])
    high = np.minimum(middle[:, None] + averaging / 2, (middle + length / 2)[None])
    share = np.maximum(high - low, 0.0)
    return share / share.sum(axis=1, keepdims=True)
