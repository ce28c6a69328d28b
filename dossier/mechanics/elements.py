"""Elements of the meridional half plane (r, z) with harmonics around the pin axis.

Displacement amplitudes of harmonic n:  u_r = U cos nθ,  u_z = W cos nθ,  u_θ = V sin nθ
(for n = 0 the torsional part V stands alone, without a factor).  Strain amplitudes, in this order:

    ε_rr = U,r    ε_zz = W,z    ε_θθ = (U + nV)/r    γ_rz = U,z + W,r           (cos nθ)
    γ_rθ = V,r - V/r - nU/r     γ_zθ = V,z - nW/r                               (sin nθ)

Integrals run over the meridional area with the weight r, that is per radian of circumference;
`circumference` gives the factor that turns them into the whole body.

Rubber takes the nine-node quadrilateral with a pressure linear over the element and condensed
element by element: energy 2G ε_dev:ε_dev + K (Π div u)², Π the projection on {1, ξ, η} weighted with r.
It stays accurate up to incompressibility; plain elements are far too stiff there. Metal and plastic take
plain six-node triangles or plain nine-node quadrilaterals. Both have three nodes on each edge and conform.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import pi
from typing import Literal

import numpy as np

ElementKind = Literal["quad9", "tri6"]

_STRAIN_WEIGHT = np.array([2.0, 2.0, 2.0, 1.0, 1.0, 1.0])


@dataclass(frozen=True)
class Field:
    """The components that one harmonic couples: displacement along r (0), z (1) and θ (2), or finite rotation about
    the axis (3, for n = 0 only)."""

    harmonic: int
    components: tuple[int, ...]

    @property
    def strains(self) -> slice:
        """The strain rows that are not zero throughout."""
        if self.harmonic == 0 and self.components == (0, 1):
            return slice(0, 4)
        if self.harmonic == 0 and self.components == (2,):
            return slice(4, 6)
        return slice(0, 6)


AXIAL_FIELD = Field(0, (0, 1))
TORSIONAL_FIELD = Field(0, (2,))
TWISTED_FIELD = Field(0, (0, 1, 3))
LATERAL_FIELD = Field(1, (0, 1, 2))


def circumference(field: Field) -> float:
    """Integral of 1 (n = 0) or cos² nθ (n ≥ 1) over the circumference."""
    return 2.0 * pi if field.harmonic == 0 else pi


@dataclass(frozen=True)
class ReferenceElement:
    """Functions of the unit element at q points.

    shape (q, k); derivative (q, 2, k) after ξ and η; weight (q,); pressure (q, 3) = {1, ξ, η}.
    """

    shape: np.ndarray
    derivative: np.ndarray
    weight: np.ndarray
    pressure: np.ndarray


def quad9_functions(xi: np.ndarray, eta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Shape functions (q, 9) and derivatives (q, 2, 9) at points of the square [-1, 1]².

    Node 3·i + j stands at ξ = i - 1, η = j - 1.
    """

    def line(s):
        return np.stack([s * (s - 1.0) / 2.0, 1.0 - s * s, s * (s + 1.0) / 2.0], axis=1)

    def slope(s):
        return np.stack([s - 0.5, -2.0 * s, s + 0.5], axis=1)

    def product(first, second):
        return (first[:, :, None] * second[:, None, :]).reshape(len(xi), 9)

    derivative = np.stack([product(slope(xi), line(eta)), product(line(xi), slope(eta))], axis=1)
    return product(line(xi), line(eta)), derivative


def tri6_functions(xi: np.ndarray, eta: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Shape functions (q, 6) and derivatives (q, 2, 6) at points of the triangle (0,0), (1,0), (0,1).

    Corners 0, 1, 2 come first, then the middles of the edges 01, 12, 20.
    """
    rest = 1.0 - xi - eta
    zero = np.zeros_like(xi)
    shape = np.stack(
        [
            rest * (2 * rest - 1),
            xi * (2 * xi - 1),
            eta * (2 * eta - 1),
            4 * xi * rest,
            4 * xi * eta,
            4 * eta * rest,
        ],
        axis=1,
    )
    after_xi = np.stack([1 - 4 * rest, 4 * xi - 1, zero, 4 * (rest - xi), 4 * eta, -4 * eta], axis=1)
    after_eta = np.stack([1 - 4 * rest, zero, 4 * eta - 1, -4 * xi, 4 * xi, 4 * (rest - eta)], axis=1)
    return shape, np.stack([after_xi, after_eta], axis=1)


@lru_cache
def reference_element(kind: ElementKind) -> ReferenceElement:
    """Quadrature of the stiffness: 3x3 Gauss points (quad9) or the six-point rule of degree 4 (tri6)."""
    if kind == "quad9":
        return sampled_quad9(3, 3)
    outer, inner = 0.445948490915965, 0.091576213509771
    xi = np.array([outer, 1 - 2 * outer, outer, inner, 1 - 2 * inner, inner])
    eta = np.array([outer, outer, 1 - 2 * outer, inner, inner, 1 - 2 * inner])
    weight = np.repeat([0.223381589678011 / 2, 0.109951743655322 / 2], 3)
    return _reference(*tri6_functions(xi, eta), weight, xi, eta)


@lru_cache
def sampled_quad9(along: int, across: int) -> ReferenceElement:
    """The nine-node square at Gauss points, `along` of them in the direction ξ and `across` in η."""
    (xi, weight), (eta, other) = np.polynomial.legendre.leggauss(along), np.polynomial.legendre.leggauss(across)
    first, second = (grid.ravel() for grid in np.meshgrid(xi, eta, indexing="ij"))
    return reference_quad9(first, second, np.outer(weight, other).ravel())


def reference_quad9(xi: np.ndarray, eta: np.ndarray, weight: np.ndarray) -> ReferenceElement:
    """The nine-node square at points (q,) of its sides [-1, 1] with the weights (q,)."""
    return _reference(*quad9_functions(xi, eta), weight, xi, eta)


def _reference(shape, derivative, weight, xi, eta) -> ReferenceElement:
    return ReferenceElement(shape, derivative, weight, np.stack([np.ones_like(xi), xi, eta], axis=1))


@dataclass(frozen=True)
class Geometry:
    """Mapped elements at q points each: E elements of k nodes.

    gradient (E, q, 2, k) of the shape functions after r and z in 1/mm; shape_over_radius (E, q, k) in 1/mm;
    volume (E, q) in mm³ per radian.
    """

    gradient: np.ndarray
    shape_over_radius: np.ndarray
    volume: np.ndarray


def geometry_at(
    nodes: np.ndarray, connectivity: np.ndarray, reference: ReferenceElement, least_radius: float = 0.0
) -> Geometry:
    """Map the reference points into elements; nodes (N, 2) in mm as (r, z), connectivity (E, k).

    Points nearer to the axis than `least_radius` mm are taken as lying there, so that points on the axis can be mapped.
    Raises ValueError when an element is folded or numbered clockwise in (r, z).
    """
    corner = nodes[connectivity]
    jacobian = reference.derivative[None] @ corner[:, None]
    determinant = jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0]
    worst = int(determinant.min(axis=1).argmin())
    if not determinant[worst].min() > 0.0:
        raise ValueError(
            f"mesh.element[{worst}]: Jacobian {determinant[worst].min():.3g} mm² must exceed 0; "
            "the element is folded or numbered clockwise: use a finer mesh or larger fillets"
        )
    inverse = np.empty_like(jacobian)
    inverse[..., 0, 0] = jacobian[..., 1, 1]
    inverse[..., 1, 1] = jacobian[..., 0, 0]
    inverse[..., 0, 1] = -jacobian[..., 0, 1]
    inverse[..., 1, 0] = -jacobian[..., 1, 0]
    inverse /= determinant[..., None, None]
    radius = np.maximum(corner[..., 0] @ reference.shape.T, least_radius)
    return Geometry(
        gradient=inverse @ reference.derivative[None],
        shape_over_radius=reference.shape[None] / radius[..., None],
        volume=determinant * radius * reference.weight,
    )


class ElementGroup:
    """Elements of one kind and one material.

    nodes (N, 2) in mm as (r, z); connectivity (E, 9) or (E, 6); moduli in MPa.
    `mixed` condenses a linear pressure in each element (nine-node quadrilaterals only).
    """

    def __init__(
        self,
        nodes: np.ndarray,
        connectivity: np.ndarray,
        kind: ElementKind,
        shear_modulus: float,
        bulk_modulus: float,
        *,
        mixed: bool = False,
    ):
        if mixed and kind != "quad9":
            raise ValueError(
                f"group.kind = {kind!r} cannot be mixed; use quad9 for nearly incompressible rubber"
            )
        self.connectivity = connectivity
        self.shear_modulus = shear_modulus
        self.bulk_modulus = bulk_modulus
        self.mixed = mixed
        self.reference = reference_element(kind)
        self.geometry = geometry_at(nodes, connectivity, self.reference)


def strain_operator(geometry: Geometry, field: Field) -> np.ndarray:
    """Matrix B (E, q, 6, k·c) from nodal amplitudes (node by node) to the six strain amplitudes in 1/mm."""
    elements, points, _, count = geometry.gradient.shape
    after_r, after_z = geometry.gradient[:, :, 0], geometry.gradient[:, :, 1]
    over_r = geometry.shape_over_radius
    n = field.harmonic
    column = {component: place for place, component in enumerate(field.components)}
    operator = np.zeros((elements, points, 6, count, len(column)))
    if 0 in column:
        radial = operator[..., column[0]]
        radial[:, :, 0], radial[:, :, 2], radial[:, :, 3] = after_r, over_r, after_z
        if n:
            radial[:, :, 4] = -n * over_r
    if 1 in column:
        axial = operator[..., column[1]]
        axial[:, :, 1], axial[:, :, 3] = after_z, after_r
        if n:
            axial[:, :, 5] = -n * over_r
    if 2 in column:
        circumferential = operator[..., column[2]]
        circumferential[:, :, 4], circumferential[:, :, 5] = after_r - over_r, after_z
        if n:
            circumferential[:, :, 2] = n * over_r
    return operator.reshape(elements, points, 6, -1)


def strain_amplitudes(geometry: Geometry, displacement: np.ndarray, harmonic: int) -> np.ndarray:
    """Strain amplitudes (E, q, 6) of nodal displacement amplitudes (E, k, 3) as (u_r, u_z, u_θ)."""
    slope = geometry.gradient @ displacement[:, None]
    over_r = geometry.shape_over_radius @ displacement
    n = harmonic
    return np.stack(
        [
            slope[..., 0, 0],
            slope[..., 1, 1],
            over_r[..., 0] + n * over_r[..., 2],
            slope[..., 1, 0] + slope[..., 0, 1],
            slope[..., 0, 2] - over_r[..., 2] - n * over_r[..., 0],
            slope[..., 1, 2] - n * over_r[..., 1],
        ],
        axis=-1,
    )


def element_stiffness(group: ElementGroup, field: Field) -> np.ndarray:
    """Stiffness matrices (E, k·c, k·c) per radian of circumference; the unknowns run node by node.

    Built as S'S from scaled strain rows S, so each matrix is symmetric and never indefinite.
    """
    operator = strain_operator(group.geometry, field)
    dilatation = operator[:, :, 0] + operator[:, :, 1] + operator[:, :, 2]
    operator[:, :, :3] -= dilatation[:, :, None] / 3.0
    scale = np.sqrt(group.geometry.volume[:, :, None] * (group.shear_modulus * _STRAIN_WEIGHT))
    shape_change = operator[:, :, field.strains] * scale[:, :, field.strains, None]
    elements, unknowns = len(operator), operator.shape[-1]
    rows = [shape_change.reshape(elements, -1, unknowns)]
    if field.strains.start == 0:
        rows.append(_volume_change_rows(group, dilatation))
    stacked = np.concatenate(rows, axis=1)
    return stacked.transpose(0, 2, 1) @ stacked


def _volume_change_rows(group: ElementGroup, dilatation: np.ndarray) -> np.ndarray:
    """Scaled rows of div u: point by point, or projected on the pressure functions of a mixed element."""
    volume = group.geometry.volume
    if not group.mixed:
        return np.sqrt(group.bulk_modulus * volume)[..., None] * dilatation
    pressure = group.reference.pressure
    mass = (pressure.T * volume[:, None, :]) @ pressure
    moments = pressure.T @ (volume[..., None] * dilatation)
    return np.sqrt(group.bulk_modulus) * np.linalg.solve(np.linalg.cholesky(mass), moments)
