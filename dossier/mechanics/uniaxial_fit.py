"""Laws of incompressible rubber fitted to measured uniaxial points of stretch and nominal stress.

The energy is W = C10 (I1 − 3) + C01 (I2 − 3) + C20 (I1 − 3)² + C30 (I1 − 3)³: neo-Hooke has C10, Mooney–Rivlin C10 and
C01, Yeoh C10, C20 and C30. Stretches without unit, nominal stresses and coefficients in MPa. Stresses are linear in the
coefficients, so that the least squares are linear and have one solution. L. R. G. Treloar, The Physics of Rubber
Elasticity, chapters 4, 5 and 10, from memory; the stresses follow from W.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import qr, solve_triangular
from scipy.special import stdtrit

NAMES = ("c10", "c01", "c20", "c30")
LAWS = {"neo_hookean": ("c10",), "mooney_rivlin": ("c10", "c01"), "yeoh": ("c10", "c20", "c30")}
CONFIDENCE = 0.95
_GRID = 2001


class PointsError(ValueError):
    """Measured points that cannot be fitted; the message names field, limit, value and remedy."""


@dataclass(frozen=True)
class UniaxialFit:
    """A law fitted to measured points.

    `coefficients` and `half_widths` (two-sided 95 %, from the scatter about the curve) hold all four names in MPa, 0 where
    the law has no such term. `deviations` are fitted over measured stress less 1, nan at the stress-free point.
    """

    law: str
    stretches: np.ndarray
    stresses: np.ndarray
    coefficients: dict[str, float]
    half_widths: dict[str, float]
    shear_half_width: float
    fitted: np.ndarray

    @property
    def shear_modulus(self) -> float:
        """Shear modulus at small strain, 2 (C10 + C01)."""
        return 2 * (self.coefficients["c10"] + self.coefficients["c01"])

    @property
    def rms(self) -> float:
        """Root of the mean square of fitted less measured stress, in MPa."""
        return float(np.sqrt(np.mean((self.fitted - self.stresses) ** 2)))

    @property
    def deviations(self) -> np.ndarray:
        """(n,) relative deviations."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.stresses == 0, np.nan, self.fitted / self.stresses - 1)

    @property
    def worst(self) -> int:
        """Number of the point with the largest relative deviation."""
        return int(np.nanargmax(np.abs(self.deviations)))

    @property
    def range(self) -> tuple[float, float]:
        """Least and greatest stretch of the points and of the unstretched state."""
        return min(1.0, float(self.stretches.min())), max(1.0, float(self.stretches.max()))

    def steepness(self) -> tuple[float, float]:
        """Least slope of the nominal stress over the stretch within the range, in MPa, and the stretch where it lies."""
        grid = np.linspace(*self.range, _GRID)
        slopes = slope("uniaxial", self.coefficients, grid)
        return float(slopes.min()), float(grid[slopes.argmin()])

    def falls_in(self) -> dict[str, float]:
        """Other modes in which the curve falls up to the greatest stretch, each with the stretch where it begins to."""
        highest = self.range[1]
        grid = np.linspace(1.0, highest, _GRID) if highest > 1 else np.array([])
        found = {}
        for mode in ("equibiaxial", "pure shear"):
            falling = grid[slope(mode, self.coefficients, grid) <= 0] if len(grid) else grid
            if len(falling):
                found[mode] = float(falling[0])
        return found


def nominal_stress(mode: str, coefficients: dict[str, float], stretch: np.ndarray | float) -> np.ndarray:
    """Nominal stress in MPa at the stretches; `mode` is uniaxial, equibiaxial or pure shear. Missing coefficients are 0."""
    columns = _columns(mode, np.asarray(stretch, float))
    return columns @ np.array([coefficients.get(name, 0.0) for name in NAMES])


def slope(mode: str, coefficients: dict[str, float], stretch: np.ndarray | float) -> np.ndarray:
    """Derivative of the nominal stress by the stretch, in MPa."""
    lam = np.asarray(stretch, float)
    c10, c01, c20, c30 = (coefficients.get(name, 0.0) for name in NAMES)
    power, excess, excess_slope, weight, weight_slope = _kinematics(mode, lam)
    first, second = c10 + 2 * c20 * excess + 3 * c30 * excess**2, c01
    first_slope = (2 * c20 + 6 * c30 * excess) * excess_slope
    drive, drive_slope = lam - lam**-power, 1 + power * lam ** -(power + 1)
    return 2 * (drive_slope * (first + second * weight) + drive * (first_slope + second * weight_slope))


def _columns(mode: str, lam: np.ndarray) -> np.ndarray:
    """(…, 4) stress of each coefficient at 1 MPa."""
    power, excess, _, weight, _ = _kinematics(mode, lam)
    drive = 2 * (lam - lam**-power)
    return np.stack([drive, drive * weight, 2 * drive * excess, 3 * drive * excess**2], axis=-1)


def _kinematics(mode: str, lam: np.ndarray) -> tuple[float, np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """P = 2 (λ − λ^−power)(W1 + weight W2): power, I1 − 3 and its derivative, weight and its derivative."""
    if mode == "uniaxial":
        return 2.0, lam**2 + 2 / lam - 3, 2 * lam - 2 / lam**2, 1 / lam, -1 / lam**2
    if mode == "equibiaxial":
        return 5.0, 2 * lam**2 + lam**-4 - 3, 4 * lam - 4 * lam**-5, lam**2, 2 * lam
    return 3.0, lam**2 + lam**-2 - 2, 2 * lam - 2 * lam**-3, np.ones_like(lam), np.zeros_like(lam)


def fit_uniaxial(law: str, points: Sequence[Sequence[float]], relative: bool = False) -> UniaxialFit:
    """Fit a law of LAWS to points (stretch, nominal stress in MPa) by least squares of the stress.

    `relative` divides each difference by the measured stress, so that small strains count as much as large ones. Needs at
    least one point more than coefficients beside the unstretched state. Raises PointsError.
    """
    if law not in LAWS:
        raise ValueError(f'law = "{law}" is none of {", ".join(LAWS)}; choose one of them')
    names = LAWS[law]
    lam, stress = _checked(points, law, len(names))
    loaded = lam != 1
    weight = 1 / np.abs(stress[loaded]) if relative else np.ones(int(loaded.sum()))
    matrix = _columns("uniaxial", lam)[:, [NAMES.index(name) for name in names]]
    solved, inverse, freedom = _solved(matrix[loaded] * weight[:, None], stress[loaded] * weight, law)
    fitted = _without_roundoff(matrix @ solved, stress)
    errors = (fitted - stress)[loaded] * weight
    spread = float(np.sqrt(np.sum(errors**2) / freedom)) * float(stdtrit(freedom, (1 + CONFIDENCE) / 2))
    shear = np.array([2.0 if name in ("c10", "c01") else 0.0 for name in names])
    widths = spread * np.linalg.norm(inverse, axis=1)
    return UniaxialFit(
        law, lam, stress,
        dict.fromkeys(NAMES, 0.0) | {name: float(value) for name, value in zip(names, solved, strict=True)},
        dict.fromkeys(NAMES, 0.0) | {name: float(value) for name, value in zip(names, widths, strict=True)},
        spread * float(np.linalg.norm(shear @ inverse)),
        fitted,
    )  # fmt: skip


def _without_roundoff(fitted: np.ndarray, stress: np.ndarray) -> np.ndarray:
    """Points that lie on the law have no deviation; what round-off leaves of one is dropped."""
    return stress if np.abs(fitted - stress).max() <= 1e-12 * np.abs(stress).max() else fitted


def _solved(matrix: np.ndarray, right: np.ndarray, law: str) -> tuple[np.ndarray, np.ndarray, int]:
    """Coefficients, a root of their covariance at unit variance, and degrees of freedom; columns are scaled to 1."""
    scale = np.linalg.norm(matrix, axis=0)
    q, r = qr(matrix / scale, mode="economic")
    if abs(r[-1, -1]) < 1e-8:
        raise PointsError(
            f"points do not tell the {len(scale)} coefficients of {law} apart: their stretches lie too close together; "
            "add points further apart, or choose neo_hookean"
        )
    solved = solve_triangular(r, q.T @ right) / scale
    inverse = solve_triangular(r, np.eye(len(scale))) / scale[:, None]
    return solved, inverse, len(right) - len(scale)


def _checked(points: Sequence[Sequence[float]], law: str, count: int) -> tuple[np.ndarray, np.ndarray]:
    for number, (lam, stress) in enumerate(points):
        name, shown = f"points.{number}", f"[{lam:g}, {stress:g}]"
        if not (np.isfinite(lam) and np.isfinite(stress)) or lam <= 0:
            raise PointsError(f"{name} = {shown}: the stretch must exceed 0 and both numbers be finite; correct the point")
        if lam == 1 and stress != 0:
            raise PointsError(
                f"{name} = {shown}: the stress at stretch 1 must be 0 MPa, as every law has it; take the offset off all points"
            )
        if lam != 1 and stress * (lam - 1) <= 0:
            raise PointsError(
                f"{name} = {shown}: the nominal stress must be above 0 MPa at a stretch above 1 and below 0 MPa under it; "
                "give stretch = 1 + strain, compression with a negative stress"
            )
    different = len({lam for lam, _ in points if lam != 1})
    if different <= count:
        raise PointsError(
            f"points has {different} different stretches beside 1, at least {count + 1} needed for {law}; "
            "add points, or choose a law with fewer coefficients"
        )
    found = np.array(points, float)
    return found[:, 0], found[:, 1]
