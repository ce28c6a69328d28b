"""Radial curve at finite strain against solid elements in space: ratio of times at stated errors, in the same run.

Run it with `python -m tests.bench.bench_solid`; it needs felupe (its licence, GPL, keeps it out of the project file:
`pip install felupe`). Nothing is asserted. The solid model is half of the layer (mirror plane y = 0) of 27-node
hexahedra with linear pressure and volume ratio, Newton's method with a direct solver, the same five displacements, the
same neo-Hookean law with bulk modulus. Both are held against the finest solid mesh of the run.
Fairness: felupe is written for any problem and assembles in numpy as ours does, but takes scipy's usual ordering and a
full Newton step; only a half is solved. A code in space made for this one problem would be several times faster.
"""

from math import radians
from time import perf_counter

import numpy as np

from dossier.mechanics import layer_curve

LAYER = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
DISPLACEMENTS = np.linspace(0.0, 4.0, 6)[1:]
MESHES = ((2, 4, 4), (2, 6, 6), (3, 8, 8))
REPEATS = 5
_NEWTON = 12
_CONVERGED = 1e-7


class SolidHalf:
    """Half of the layer between rigid faces as 27-node hexahedra: `cells` across, along and around."""

    def __init__(self, cells: tuple[int, int, int]) -> None:
        import felupe

        mesh = felupe.Cube(a=(0, 0, 0), b=(1, 1, 1), n=tuple(count + 1 for count in cells))
        for add in (felupe.mesh.add_midpoints_edges, felupe.mesh.add_midpoints_faces, felupe.mesh.add_midpoints_volumes):
            mesh = add(mesh)
        self.points = self._placed(mesh.points)
        region = felupe.RegionTriQuadraticHexahedron(felupe.Mesh(self.points, mesh.cells, "hexahedron27"))
        self.field = felupe.FieldsMixed(region, n=3)
        law = felupe.NearlyIncompressible(felupe.NeoHooke(mu=LAYER[4]), bulk=LAYER[5])
        self.body = felupe.SolidBody(law, self.field)
        distance = np.linalg.norm(self.points, axis=1)
        self.inner = np.flatnonzero(abs(distance - LAYER[0]) < 1e-6)
        sizes = [part.values.size for part in self.field.fields]
        self.starts = np.cumsum([0, *sizes])
        held = np.zeros(self.starts[-1], bool)
        moved = held[: self.points.size].reshape(-1, 3)
        moved[self.inner] = True
        moved[abs(distance - LAYER[1]) < 1e-6] = True
        moved[abs(self.points[:, 1]) < 1e-7, 1] = True
        self.free = np.flatnonzero(~held)

    @staticmethod
    def _placed(unit: np.ndarray) -> np.ndarray:
        radius = LAYER[0] + (LAYER[1] - LAYER[0]) * unit[:, 0]
        polar = LAYER[2] + (LAYER[3] - LAYER[2]) * unit[:, 1]
        around = np.pi * unit[:, 2]
        return np.column_stack((radius * np.sin(polar) * np.cos(around), radius * np.sin(polar) * np.sin(around),
                                radius * np.cos(polar)))  # fmt: skip

    def force(self, displacement: float) -> float:
        """Radial force of the whole layer in N, the inner face moved from where it stands."""
        from scipy.sparse.linalg import splu

        residual = np.zeros(0)
        for step in range(_NEWTON):
            tangent = self.body.assemble.matrix(self.field).tocsc()
            residual = np.asarray(self.body.assemble.vector(self.field).todense()).ravel()
            if step and np.linalg.norm(residual[self.free]) < _CONVERGED * np.linalg.norm(residual):
                break
            change = np.zeros(self.starts[-1])
            moved = change[: self.points.size].reshape(-1, 3)
            moved[self.inner] = np.array((displacement, 0.0, 0.0)) - self.field[0].values[self.inner]
            known = residual + tangent @ change
            change[self.free] = splu(tangent[self.free][:, self.free]).solve(-known[self.free])
            for number, part in enumerate(self.field.fields):
                part.values[:] += change[self.starts[number] : self.starts[number + 1]].reshape(part.values.shape)
        return 2 * float(residual[: self.points.size].reshape(-1, 3)[self.inner, 0].sum())


def main() -> None:
    """Print times, forces at the largest displacement, errors and ratios."""
    times = []
    for _ in range(REPEATS):
        start = perf_counter()
        ours = layer_curve(*LAYER, direction="radial", displacements=DISPLACEMENTS)
        times.append(perf_counter() - start)
    own_time, own = sorted(times)[REPEATS // 2], float(ours.forces[-1])
    found = []
    for cells in MESHES:
        start = perf_counter()
        solid = SolidHalf(cells)
        force = [solid.force(each) for each in DISPLACEMENTS][-1]
        found.append((cells, len(solid.free), perf_counter() - start, force))
    finest = found[-1][-1]
    print(f"radial curve of {len(DISPLACEMENTS)} steps to {DISPLACEMENTS[-1]:g} mm, force at the end, error against the finest")
    print(f"ours                     {own_time:8.2f} s  {own:10.2f} N  {own / finest - 1:+.3%}")
    for cells, unknowns, seconds, force in found:
        print(f"solid {cells!s:12} {unknowns:6d} {seconds:8.2f} s  {force:10.2f} N  {force / finest - 1:+.3%}  "
              f"{seconds / own_time:7.1f} times ours")  # fmt: skip


if __name__ == "__main__":
    main()
