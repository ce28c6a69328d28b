"""Distribution of the noncentral t, by quadrature: exact for any noncentrality and number of values."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

_NODES = 400
_FAR = 9.0
_RARE = 1e-17


def below(limit: float, freedom: float, noncentrality: float) -> float:
    """Probability that (Z + noncentrality)/√(χ²/freedom) is at most `limit`, Z standard normal, χ² of `freedom`
    degrees of freedom; absolute error about 1e-12."""
    if limit < 0:
        return 1.0 - below(-limit, freedom, -noncentrality)
    if limit >= math.sqrt(2 * freedom):
        return _over_normal(limit, freedom, noncentrality)
    return _over_spread(limit, freedom, noncentrality)


def _over_normal(limit: float, freedom: float, noncentrality: float) -> float:
    from scipy.special import chdtrc, ndtr

    start = min(max(-noncentrality, -_FAR), _FAR)
    nodes, weights = _nodes(start, _FAR)
    density = np.exp(-(nodes**2) / 2) / math.sqrt(2 * math.pi)
    wide = chdtrc(freedom, freedom * (np.maximum(nodes + noncentrality, 0.0) / limit) ** 2)
    return float(ndtr(-noncentrality)) + float(weights @ (density * wide))


def _over_spread(limit: float, freedom: float, noncentrality: float) -> float:
    from scipy.special import gammainccinv, gammaincinv, ndtr

    half = freedom / 2
    ends = [math.sqrt(float(find(half, _RARE)) / half) for find in (gammaincinv, gammainccinv)]
    nodes, weights = _nodes(*ends)
    log_density = math.log(2) + half * math.log(half) - math.lgamma(half) + (freedom - 1) * np.log(nodes) - half * nodes**2
    return float(weights @ (np.exp(log_density) * ndtr(limit * nodes - noncentrality)))


def _nodes(start: float, end: float) -> tuple[np.ndarray, np.ndarray]:
    nodes, weights = _unit_nodes()
    return (start + end) / 2 + (end - start) / 2 * nodes, (end - start) / 2 * weights


@lru_cache(maxsize=1)
def _unit_nodes() -> tuple[np.ndarray, np.ndarray]:
    return np.polynomial.legendre.leggauss(_NODES)
