"""Least squares with several columns, by orthogonal triangles on columns scaled to one length."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError


@dataclass(frozen=True)
class ColumnFit:
    """values = matrix·coefficients + remainder: coefficients (p,), remainder (n,); `spreads` (p,) are the standard
    deviations of the coefficients for values of standard deviation 1."""

    coefficients: np.ndarray
    spreads: np.ndarray
    remainder: np.ndarray

    @property
    def squares(self) -> float:
        """Sum of squares of the remainder."""
        return float(self.remainder @ self.remainder)

    @property
    def residual(self) -> float:
        """Residual standard deviation (n − p); NaN where as many coefficients as values leave none."""
        freedom = len(self.remainder) - len(self.coefficients)
        return (self.squares / freedom) ** 0.5 if freedom > 0 else float("nan")

    @property
    def errors(self) -> np.ndarray:
        """Standard deviations (p,) of the coefficients."""
        return self.residual * self.spreads

    def r_squared(self, values: np.ndarray) -> float:
        """Share of the scatter of `values` (n,) about their mean that the fit explains, for a matrix whose columns can make
        a constant."""
        about = values - values.mean()
        total = float(about @ about)
        return 1.0 - self.squares / total if total else 1.0


def fit_columns(matrix: np.ndarray, values: np.ndarray) -> ColumnFit:
    """The coefficients of the columns of `matrix` (n, p) that leave least of `values` (n,).

    Raises EvaluationError for fewer rows than columns and for columns that depend on each other. Source: QR factorisation
    after scaling the columns, with one step of iterative refinement, as textbooks of numerical linear algebra give it
    (from memory).
    """
    matrix, values = np.asarray(matrix, float), np.asarray(values, float)
    rows, count = matrix.shape
    if rows < count:
        raise EvaluationError(f"{rows} points for {count} coefficients; at least as many are needed: widen the range")
    lengths = np.sqrt(np.einsum("ij,ij->j", matrix, matrix))
    if not lengths.all():
        raise EvaluationError(f"column {int(np.argmin(lengths)) + 1} of {count} is zero throughout; leave it out")
    orthogonal, triangle = np.linalg.qr(matrix / lengths)
    steepness = np.abs(np.diag(triangle))
    if steepness.min() <= rows * np.finfo(float).eps * steepness.max():
        raise EvaluationError(
            f"the {count} columns depend on each other in {rows} points; fit fewer, or widen the range they cover"
        )
    inverse = np.linalg.inv(triangle)
    coefficients = np.zeros(count)
    remainder = values
    for _ in range(2):
        coefficients = coefficients + inverse @ (orthogonal.T @ remainder) / lengths
        remainder = values - matrix @ coefficients
    return ColumnFit(coefficients, np.sqrt(np.einsum("ij,ij->i", inverse, inverse)) / lengths, remainder)
