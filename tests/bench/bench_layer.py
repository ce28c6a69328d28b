"""Time of the layer stiffness as a ratio to a fixed piece of work in the same run.

Run it with `python -m tests.bench.bench_layer`. Absolute times depend on the machine and its load; the ratio
to the baseline (sparse LU of the five-point Laplacian on a 100 x 100 grid with splu, then one solve) can
be compared between machines and revisions. One BLAS thread, median of the runs; nothing is asserted.
"""

from collections.abc import Callable
from math import radians
from statistics import median
from time import perf_counter

import numpy as np
from scipy import sparse
from scipy.sparse.linalg import splu

from dossier.mechanics import layer_stiffness, layer_stiffness_with_estimate

LAYER = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
RUNS = 30


def laplacian(side: int) -> sparse.csc_matrix:
    line = sparse.diags([-1.0, 2.0, -1.0], [-1, 0, 1], shape=(side, side))
    unit = sparse.identity(side)
    return (sparse.kron(line, unit) + sparse.kron(unit, line)).tocsc()


def median_time(work: Callable[[], object]) -> float:
    """Median seconds of RUNS calls after three to warm up."""
    for _ in range(3):
        work()
    times = []
    for _ in range(RUNS):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


def main() -> None:
    matrix = laplacian(100)
    right = np.ones(matrix.shape[0])
    baseline = median_time(lambda: splu(matrix).solve(right))
    print(f"{'work':<44}{'ms':>8}{'ratio':>8}")
    print(f"{'baseline: splu of a 100 x 100 Laplacian':<44}{baseline * 1e3:8.2f}{1.0:8.2f}")
    tasks = {
        "four stiffnesses, default 8 x 24 cells": lambda: layer_stiffness(*LAYER),
        "four stiffnesses, 6 x 20 cells": lambda: layer_stiffness(*LAYER, cells=(6, 20)),
        "four stiffnesses, 4 x 16 cells": lambda: layer_stiffness(*LAYER, cells=(4, 16)),
        "default cells with mesh error estimate": lambda: layer_stiffness_with_estimate(*LAYER),
    }
    for name, work in tasks.items():
        seconds = median_time(work)
        print(f"{name:<44}{seconds * 1e3:8.2f}{seconds / baseline:8.2f}")


if __name__ == "__main__":
    main()
