"""Straight line by least squares with its standard errors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dossier.evidence.errors import EvaluationError


@dataclass(frozen=True)
class Line:
    """y = intercept + slope·x with standard errors, residual standard deviation (n − 2) and R²."""

    slope: float
    intercept: float
    slope_error: float
    intercept_error: float
    residual: float
    r_squared: float
    points: int


def fit_line(x: np.ndarray, y: np.ndarray) -> Line:
    """The least-squares line through points x (n,), y (n,), all deviations taken in y.

    Raises EvaluationError for fewer than three points or a single x. Source: ordinary least squares on
    centred data, as any textbook of statistics gives it.
    """
    x, y = np.asarray(x, float), np.asarray(y, float)
    if len(x) < 3:
        raise EvaluationError(
            f"{len(x)} points for a line; at least 3 are needed: widen the range or sample faster"
        )
    dx, dy = x - x.mean(), y - y.mean()
    spread = float(dx @ dx)
    if spread == 0.0:
        raise EvaluationError(f"all {len(x)} points lie at {x[0]:g}; a slope needs a range")
    slope = float(dx @ dy) / spread
    remainder = dy - slope * dx
    squares, total = float(remainder @ remainder), float(dy @ dy)
    residual = (squares / (len(x) - 2)) ** 0.5
    return Line(
        slope=slope,
        intercept=float(y.mean() - slope * x.mean()),
        slope_error=residual / spread**0.5,
        intercept_error=residual * (1.0 / len(x) + x.mean() ** 2 / spread) ** 0.5,
        residual=residual,
        r_squared=1.0 - squares / total if total else 1.0,
        points=len(x),
    )
