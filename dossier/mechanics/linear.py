"""Small-strain equilibrium of one harmonic under prescribed motions."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from dossier.mechanics.assemble import Equations
from dossier.mechanics.elements import (
    AXIAL_FIELD,
    LATERAL_FIELD,
    TORSIONAL_FIELD,
    ElementGroup,
    Field,
    circumference,
    element_stiffness,
)

MOTION_FIELD = {
    "axial": AXIAL_FIELD,
    "torsional": TORSIONAL_FIELD,
    "radial": LATERAL_FIELD,
    "conical": LATERAL_FIELD,
}

BAND_LIMIT = 250


@dataclass(frozen=True)
class HarmonicSolution:
    """Amplitudes (N, c, cases) in mm and the stiffness matrix (cases, cases) of the prescribed motions."""

    displacement: np.ndarray
    stiffness: np.ndarray


def rigid_motion(nodes: np.ndarray, motion: str) -> np.ndarray:
    """Amplitudes (N, c) of a unit rigid motion, in the components of MOTION_FIELD[motion].

    axial: 1 mm along z; torsional: 1 rad about z; radial: 1 mm along x; conical: 1 rad about y, through the
    origin, so that the side z > 0 moves along +x.
    """
    r, z = nodes.T
    zero, one = np.zeros_like(r), np.ones_like(r)
    parts = {
        "axial": (zero, one),
        "torsional": (r,),
        "radial": (one, zero, -one),
        "conical": (z, -r, -z),
    }
    return np.stack(parts[motion], axis=1)


def factorise(
    equations: Equations, element_matrices: Sequence[np.ndarray], *, allow_indefinite: bool = False, symmetric: bool = True
) -> Callable[[np.ndarray], np.ndarray]:
    """Factorise the symmetric positive definite matrix once; the result solves right-hand sides (count, m).

    The tangent of a strained body may be indefinite on the way to an equilibrium: `allow_indefinite` then falls back
    on sparse LU with pivoting, and a singular matrix solves to NaN. One that is not `symmetric`, as with sliding
    friction, takes that way at once.

    A narrow band (a structured layer) goes to the banded Cholesky routine, everything else to sparse LU with
    a symmetric ordering. On layer meshes the band was two to three times faster up to a half bandwidth of 200
    and lost its lead near 300, which sets BAND_LIMIT.
    """
    if equations.count == 0:
        return lambda right: right
    if not symmetric:
        return _pivoted_factor(equations, element_matrices)
    narrow = equations.half_bandwidth <= BAND_LIMIT
    try:
        return (_banded_factor if narrow else _sparse_factor)(equations, element_matrices)
    except (np.linalg.LinAlgError, RuntimeError):
        if not allow_indefinite:
            raise
        return _pivoted_factor(equations, element_matrices)


def _banded_factor(equations: Equations, element_matrices: Sequence[np.ndarray]) -> Callable[[np.ndarray], np.ndarray]:
    from scipy.linalg import cho_solve_banded, cholesky_banded

    band = cholesky_banded(
        equations.banded_matrix(element_matrices), overwrite_ab=True, lower=True, check_finite=False
    )
    return lambda right: cho_solve_banded((band, True), right, check_finite=False)


def _sparse_factor(equations: Equations, element_matrices: Sequence[np.ndarray]) -> Callable[[np.ndarray], np.ndarray]:
    from scipy.sparse.linalg import splu

    return splu(
        equations.sparse_matrix(element_matrices),
        permc_spec="MMD_AT_PLUS_A",
        diag_pivot_thresh=0.0,
        options={"SymmetricMode": True},
    ).solve


def _pivoted_factor(equations: Equations, element_matrices: Sequence[np.ndarray]) -> Callable[[np.ndarray], np.ndarray]:
    from scipy.sparse.linalg import splu

    try:
        return splu(equations.sparse_matrix(element_matrices)).solve
    except RuntimeError:
        return lambda right: np.full_like(right, np.nan)


def solve_harmonic(
    nodes: np.ndarray,
    groups: Sequence[ElementGroup],
    field: Field,
    held: np.ndarray,
    prescribed: np.ndarray,
) -> HarmonicSolution:
    """Equilibrium with the held components set to prescribed values.

    nodes (N, 2) in mm, exactly 0 in r on the axis; held (N, c) bool; prescribed (N, c, cases) amplitudes in
    mm, used where held. The stiffness matrix is circumference · u_i' K u_j: for unit motions in N/mm,
    N·mm/rad or N/rad. Raises ValueError when the held components leave the body free to move as a rigid one.
    """
    _require_support(nodes, field, held)
    matrices = [element_stiffness(group, field) for group in groups]
    equations = Equations(nodes, groups, field, held)
    given = np.where(held[..., None], prescribed, 0.0)
    load = equations.vector(_element_forces(groups, matrices, given))
    displacement = given - equations.expand(factorise(equations, matrices)(load))
    forces = _element_forces(groups, matrices, displacement)
    stiffness = sum(
        np.einsum("eki,ekj->ij", _element_values(group, displacement), part)
        for group, part in zip(groups, forces, strict=True)
    )
    return HarmonicSolution(displacement, circumference(field) * stiffness)


def _require_support(nodes: np.ndarray, field: Field, held: np.ndarray) -> None:
    """Refuse held components that some rigid motion of the field leaves in place."""
    motions = [name for name, moved in MOTION_FIELD.items() if moved == field]
    if not motions:
        return
    size = np.abs(nodes).max()
    seen = np.stack([rigid_motion(nodes / size, name)[held] for name in motions], axis=1)
    if np.linalg.matrix_rank(seen, tol=1e-9) < len(motions):
        raise ValueError(
            f"mesh.held = {int(held.sum())} components leave the body free in "
            f"{' or '.join(motions)} direction; hold a whole face"
        )


def _element_values(group: ElementGroup, nodal: np.ndarray) -> np.ndarray:
    return nodal[group.connectivity].reshape(len(group.connectivity), -1, nodal.shape[2])


def _element_forces(
    groups: Sequence[ElementGroup], matrices: Sequence[np.ndarray], nodal: np.ndarray
) -> list[np.ndarray]:
    return [matrix @ _element_values(group, nodal) for group, matrix in zip(groups, matrices, strict=True)]
