"""Strain-energy laws of rubber with first Piola stress and consistent tangent, at many points at once.

Energy per undeformed volume, with the modified invariants Ī1 = J^(-2/3) tr C and Ī2 = J^(-4/3) I2(C):

    W(Ī1, Ī2) + p (J - 1) - p²/(2K)

The pressure p is an unknown of its own (positive in tension); its stationary value is K (J - 1). Stress P = ∂W/∂F
and tangent A = ∂P/∂F follow by the chain rule with F⁻ᵀ = ∂J/∂F / J; derived here, checked by finite differences.
Components of F are numbered 3·i + j, i for the current and j for the undeformed direction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from numbers import Real
from typing import Protocol

import numpy as np

ALL_COMPONENTS = tuple(range(9))


class StrainEnergy(Protocol):
    """A law W(Ī1, Ī2) without mixed second derivative and linear in Ī2."""

    @property
    def small_strain_shear_modulus(self) -> float:
        """Shear modulus at small strain in MPa: 2 (∂W/∂Ī1 + ∂W/∂Ī2) in the undeformed state."""

    def energy(self, first: np.ndarray, second: np.ndarray) -> np.ndarray:
        """W in MPa from Ī1 and Ī2 (any shape)."""

    def slopes(self, first: np.ndarray) -> tuple[np.ndarray | float, float, np.ndarray | float]:
        """∂W/∂Ī1, ∂W/∂Ī2 and ∂²W/∂Ī1² in MPa from Ī1."""


@dataclass(frozen=True)
class NeoHookean:
    """W = G/2 (Ī1 - 3). Source: Treloar, The Physics of Rubber Elasticity, ch. 4, from memory."""

    shear_modulus: float

    def __post_init__(self):
        _check_constants(self, "shear_modulus")

    @property
    def small_strain_shear_modulus(self) -> float:
        return self.shear_modulus

    def energy(self, first, second):
        return self.shear_modulus / 2.0 * (first - 3.0)

    def slopes(self, first):
        return self.shear_modulus / 2.0, 0.0, 0.0


@dataclass(frozen=True)
class Yeoh:
    """W = C10 (Ī1 - 3) + C20 (Ī1 - 3)² + C30 (Ī1 - 3)³.

    Source: Yeoh, Rubber Chem. Technol. 63 (1990) 792, from memory.
    """

    c10: float
    c20: float
    c30: float

    def __post_init__(self):
        _check_constants(self, "2·c10")

    @property
    def small_strain_shear_modulus(self) -> float:
        return 2.0 * self.c10

    def energy(self, first, second):
        excess = first - 3.0
        return excess * (self.c10 + excess * (self.c20 + excess * self.c30))

    def slopes(self, first):
        excess = first - 3.0
        slope = self.c10 + excess * (2.0 * self.c20 + excess * 3.0 * self.c30)
        return slope, 0.0, 2.0 * self.c20 + 6.0 * self.c30 * excess


@dataclass(frozen=True)
class MooneyRivlin:
    """W = C10 (Ī1 - 3) + C01 (Ī2 - 3). Source: Treloar, The Physics of Rubber Elasticity, ch. 5, from memory."""

    c10: float
    c01: float

    def __post_init__(self):
        _check_constants(self, "2·(c10 + c01)")

    @property
    def small_strain_shear_modulus(self) -> float:
        return 2.0 * (self.c10 + self.c01)

    def energy(self, first, second):
        return self.c10 * (first - 3.0) + self.c01 * (second - 3.0)

    def slopes(self, first):
        return self.c10, self.c01, 0.0


def _check_constants(law: StrainEnergy, modulus_formula: str) -> None:
    """Finite constants that resist shear at small strain; raises ValueError naming the constant."""
    name = type(law).__name__
    for field in law.__dataclass_fields__:
        value = getattr(law, field)
        if isinstance(value, bool) or not isinstance(value, Real) or not isfinite(value):
            raise ValueError(f"{name}.{field} = {value!r} must be a finite number in MPa; correct the entry")
    if not law.small_strain_shear_modulus > 0.0:
        raise ValueError(
            f"{name}.small_strain_shear_modulus = {modulus_formula} = {law.small_strain_shear_modulus:g} MPa must "
            "exceed 0 MPa; give constants that fit the first slope of the stress-strain curve"
        )


@dataclass(frozen=True)
class Response:
    """What the rubber answers at points of any shape (...), for the R chosen components of F.

    volume_ratio J (...); cofactor ∂J/∂F (..., R); stress P (..., R) in MPa; tangent ∂P/∂F (..., R, R) in MPa or None.
    """

    volume_ratio: np.ndarray
    cofactor: np.ndarray
    stress: np.ndarray
    tangent: np.ndarray | None


def cofactors(gradient: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Determinant J (...) and cofactors J F⁻ᵀ = ∂J/∂F (..., 3, 3) of gradients (..., 3, 3)."""
    result = np.empty_like(gradient)
    for i in range(3):
        a, b = (i + 1) % 3, (i + 2) % 3
        for j in range(3):
            c, d = (j + 1) % 3, (j + 2) % 3
            result[..., i, j] = gradient[..., a, c] * gradient[..., b, d] - gradient[..., a, d] * gradient[..., b, c]
    return np.einsum("...j,...j->...", gradient[..., 0, :], result[..., 0, :]), result


def modified_invariants(gradient: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Ī1 and Ī2 (...) of gradients (..., 3, 3); Ī2 from the cofactors, whose squares add up to I2."""
    ratio, cofactor = cofactors(gradient)
    first = np.einsum("...ij,...ij->...", gradient, gradient)
    second = np.einsum("...ij,...ij->...", cofactor, cofactor)
    return first * ratio ** (-2.0 / 3.0), second * ratio ** (-4.0 / 3.0)


def response(
    law: StrainEnergy,
    gradient: np.ndarray,
    pressure: np.ndarray,
    *,
    components: Sequence[int] = ALL_COMPONENTS,
    tangent: bool = True,
) -> Response:
    """Stress and tangent at gradients F (..., 3, 3) and pressures p (...) in MPa.

    `components` are those of F that vary; the others are constant, so neither stress nor tangent is needed there.
    A volume ratio J ≤ 0 gives NaN: the caller checks it.
    """
    rows = np.asarray(components)
    ratio, cofactor = cofactors(gradient)
    with np.errstate(invalid="ignore", divide="ignore"):
        shape = gradient.shape[:-2]
        f, t = gradient.reshape(*shape, 9), (cofactor / ratio[..., None, None]).reshape(*shape, 9)
        scale = ratio ** (-2.0 / 3.0)
        trace = np.einsum("...r,...r->...", f, f)
        slope, second_slope, curvature = law.slopes(scale * trace)
        first = _first_invariant_slope(f, t, scale, trace)
        volumetric = pressure * ratio
        stress = np.asarray(slope)[..., None] * first + volumetric[..., None] * t
        if second_slope:
            second = _SecondInvariant(gradient, t, ratio)
            stress = stress + second_slope * second.slope()
        matrix = None
        if tangent:
            matrix = _volumetric_tangent(t, volumetric, rows)
            matrix += _first_invariant_tangent(f, t, slope * scale, trace, rows)
            if np.any(curvature):
                part = first[..., rows]
                matrix += np.asarray(curvature)[..., None, None] * (part[..., :, None] * part[..., None, :])
            if second_slope:
                matrix += second_slope * second.tangent(rows)
        return Response(ratio, (ratio[..., None] * t)[..., rows], stress[..., rows], matrix)


def _first_invariant_slope(f, t, scale, trace):
    """∂Ī1/∂F = J^(-2/3) (2F - 2/3 I1 F⁻ᵀ)."""
    return (2.0 * scale)[..., None] * (f - (trace / 3.0)[..., None] * t)


def _dyad(a: np.ndarray, b: np.ndarray, rows: np.ndarray) -> np.ndarray:
    return a[..., rows, None] * b[..., None, rows]


def _crossed(t: np.ndarray, rows: np.ndarray) -> np.ndarray:
    """T_il T_kj for rows (i, j) and columns (k, l): minus the derivative of F⁻ᵀ."""
    i, j = rows // 3, rows % 3
    return t[..., 3 * i[:, None] + j] * t[..., 3 * i + j[:, None]]


def _volumetric_tangent(t, volumetric, rows):
    """∂(p J F⁻ᵀ)/∂F at constant p."""
    return volumetric[..., None, None] * (_dyad(t, t, rows) - _crossed(t, rows))


def _first_invariant_tangent(f, t, factor, trace, rows):
    """factor · J^(2/3) ∂²Ī1/∂F∂F, `factor` = ∂W/∂Ī1 J^(-2/3)."""
    factor = np.asarray(factor)[..., None, None]
    mixed = _dyad(f, t, rows)
    matrix = (-4.0 / 3.0) * (mixed + np.swapaxes(mixed, -1, -2))
    matrix += (trace[..., None, None] / 9.0) * (4.0 * _dyad(t, t, rows) + 6.0 * _crossed(t, rows))
    place = np.arange(len(rows))
    matrix[..., place, place] += 2.0
    return factor * matrix


class _SecondInvariant:
    """First and second derivative of Ī2 after F."""

    def __init__(self, gradient: np.ndarray, t: np.ndarray, ratio: np.ndarray):
        self.f = gradient.reshape(t.shape)
        self.t = t
        self.right = np.swapaxes(gradient, -1, -2) @ gradient
        self.left = gradient @ np.swapaxes(gradient, -1, -2)
        self.trace = np.einsum("...r,...r->...", self.f, self.f)
        self.invariant = (self.trace**2 - np.einsum("...ij,...ij->...", self.right, self.right)) / 2.0
        self.scale = ratio ** (-4.0 / 3.0)
        self.plain = 2.0 * (self.trace[..., None] * self.f - (gradient @ self.right).reshape(t.shape))
        """∂I2/∂F = 2 (I1 F - F C)"""

    def slope(self) -> np.ndarray:
        return self.scale[..., None] * (self.plain - (4.0 / 3.0 * self.invariant)[..., None] * self.t)

    def tangent(self, rows: np.ndarray) -> np.ndarray:
        i, j = rows // 3, rows % 3
        same_i, same_j = i[:, None] == i, j[:, None] == j
        matrix = 2.0 * _dyad(self.f, self.f, rows) - _crossed(self.f, rows)
        matrix -= same_i * self.right[..., j[:, None], j] + same_j * self.left[..., i[:, None], i]
        matrix += self.trace[..., None, None] * (same_i & same_j)
        mixed = _dyad(self.plain, self.t, rows)
        volumetric = 4.0 * _dyad(self.t, self.t, rows) + 3.0 * _crossed(self.t, rows)
        matrix = 2.0 * matrix - (4.0 / 3.0) * (mixed + np.swapaxes(mixed, -1, -2))
        matrix += (4.0 / 9.0 * self.invariant)[..., None, None] * volumetric
        return self.scale[..., None, None] * matrix
