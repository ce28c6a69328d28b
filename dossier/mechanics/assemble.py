"""From element matrices to equations: numbering of the unknowns, held components, conditions on the axis."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from dossier.mechanics.elements import ElementGroup, Field

HELD = -1


class Equations:
    """Numbers the free unknowns of one field or of several coupled ones; held components have no equation.

    nodes (N, 2) in mm; held (N, c) bool in the order of `field.components`, field after field. Besides `held`, the
    smoothness of the displacement on the axis r = 0 is applied: u_r = u_θ = 0 for n = 0; u_z = 0 and u_θ = -u_r for
    n = 1; none for n ≥ 2. Nodes that belong to no element are held. `tied` (N, c) bool are components that one common
    unknown moves, such as those of a rigid face free to slide.
    """

    def __init__(
        self,
        nodes: np.ndarray,
        groups: Sequence[ElementGroup],
        field: Field | Sequence[Field],
        held: np.ndarray,
        tied: np.ndarray | None = None,
    ):
        fields = (field,) if isinstance(field, Field) else tuple(field)
        fixed, follows = _axis_conditions(nodes, fields, held)
        used = np.zeros(len(nodes), bool)
        for group in groups:
            used[group.connectivity] = True
        free = ~fixed & used[:, None]
        for follower in follows:
            free[follower.nodes, follower.column] = False
        if tied is not None:
            free &= ~tied
        self.count = int(free.sum())
        self.number = np.full(held.shape, HELD)
        self.number[free] = np.arange(self.count)
        if tied is not None:
            self.number[tied] = self.count
            self.count += 1
        self.sign = np.ones(held.shape)
        for follower in follows:
            self.number[follower.nodes, follower.column] = self.number[follower.nodes, follower.leader]
            self.sign[follower.nodes, follower.column] = -1.0
        self._has_followers = any(follower.nodes.any() for follower in follows)
        self.element_numbers = [_by_element(group, self.number) for group in groups]
        self.element_signs = [_by_element(group, self.sign) for group in groups]

    @cached_property
    def half_bandwidth(self) -> int:
        """Largest distance between two coupled equations."""
        widths = [0]
        for numbers in self.element_numbers:
            lowest = np.where(numbers == HELD, self.count, numbers).min(axis=1)
            widths.append(int((numbers.max(axis=1) - lowest).max()))
        return max(widths)

    def banded_matrix(self, element_matrices: Sequence[np.ndarray]) -> np.ndarray:
        """Lower band (half bandwidth + 1, count) of the symmetric matrix: entry [i - j, j]."""
        rows = self.half_bandwidth + 1
        band = np.zeros(rows * self.count)
        for row, column, value in self._entries(element_matrices):
            lower = row >= column
            place = (row - column)[lower] * self.count + column[lower]
            band += np.bincount(place, weights=value[lower], minlength=rows * self.count)
        return band.reshape(rows, self.count)

    def sparse_matrix(self, element_matrices: Sequence[np.ndarray]):
        """The matrix as scipy.sparse.csc_matrix (count, count)."""
        from scipy.sparse import coo_matrix

        parts = list(self._entries(element_matrices))
        row, column, value = (np.concatenate(part) for part in zip(*parts, strict=True))
        return coo_matrix((value, (row, column)), shape=(self.count, self.count)).tocsc()

    def vector(self, element_vectors: Sequence[np.ndarray]) -> np.ndarray:
        """Sum element vectors (E, k·c, cases) into a right-hand side (count, cases)."""
        cases = element_vectors[0].shape[2]
        total = np.zeros((self.count, cases))
        numbering = zip(self.element_numbers, self.element_signs, strict=True)
        for (numbers, signs), vectors in zip(numbering, element_vectors, strict=True):
            kept = numbers != HELD
            weight = vectors[kept] * signs[kept][:, None]
            for case in range(cases):
                total[:, case] += np.bincount(numbers[kept], weights=weight[:, case], minlength=self.count)
        return total

    def expand(self, solution: np.ndarray) -> np.ndarray:
        """Nodal amplitudes (N, c, cases) of a solution (count, cases); held components are 0."""
        padded = np.concatenate([solution, np.zeros((1, solution.shape[1]))])
        return padded[self.number] * self.sign[..., None]

    def _entries(
        self, element_matrices: Sequence[np.ndarray]
    ) -> Iterator[tuple[np.ndarray, np.ndarray, np.ndarray]]:
        """Row, column and value of every matrix entry between free unknowns, group by group."""
        numbering = zip(self.element_numbers, self.element_signs, strict=True)
        for (numbers, signs), matrices in zip(numbering, element_matrices, strict=True):
            row = np.broadcast_to(numbers[:, :, None], matrices.shape)
            column = np.broadcast_to(numbers[:, None, :], matrices.shape)
            if self._has_followers:
                matrices = matrices * signs[:, :, None] * signs[:, None, :]
            kept = (row != HELD) & (column != HELD)
            yield row[kept], column[kept], matrices[kept]


def _by_element(group: ElementGroup, nodal: np.ndarray) -> np.ndarray:
    """Nodal values (N, c) gathered as (E, k·c)."""
    return nodal[group.connectivity].reshape(len(group.connectivity), -1)


@dataclass(frozen=True)
class _Follower:
    """Column of u_θ that takes minus the value of the leader's column at the marked nodes (N,)."""

    nodes: np.ndarray
    column: int
    leader: int


def _axis_conditions(
    nodes: np.ndarray, fields: Sequence[Field], held: np.ndarray
) -> tuple[np.ndarray, list[_Follower]]:
    """Fixed components (N, c) with the axis added, and the columns that follow another one there."""
    on_axis = nodes[:, 0] == 0.0
    fixed, follows, start = held.copy(), [], 0
    for field in fields:
        column = {component: start + place for place, component in enumerate(field.components)}
        vanishing = {0: (0, 2), 1: (1,)}.get(field.harmonic, (0, 1, 2))
        for component in set(vanishing) & set(column):
            fixed[on_axis, column[component]] = True
        if field.harmonic == 1:
            follows.append(_Follower(on_axis, column[2], column[0]))
        start += len(field.components)
    return fixed, follows
