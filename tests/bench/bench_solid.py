"""Radial curve at finite strain against solid elements in space: ratio of times at equal accuracy, in the same run.

Run it with `python -m tests.bench.bench_solid`; it needs felupe (its licence, GPL, keeps it out of the project file:
`pip install felupe`). Nothing is asserted. The solid model is half of the layer (mirror plane y = 0) of 27-node
hexahedra with linear pressure and volume ratio, Newton's method with a direct solver, the same five displacements, the
same neo-Hookean law with bulk modulus.

Reference: our usual mesh with halved lengths, plus what two more harmonics change on the usual one. It is ours, so it
could favour us; the limits to which both series lead stand beside it, each found without the other, and what lies between
them bounds that. Equal accuracy: for each solid mesh, the time that ours takes to be as far from the reference, between
our meshes in the logarithms of time and error; where the solid one errs more than our coarsest, the time of that one, so
that the ratio is "at least".

Fairness: times are seconds of the processor in one thread. felupe is written for any problem and assembles in numpy as
ours does, but takes scipy's usual ordering, keeps pressure and volume ratio as unknowns and takes full Newton steps; only
a half is solved, of a mesh that is even, where ours is graded towards faces and edges. A code in space made for this one
problem would be several times faster.
"""

from collections import Counter
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from math import log, radians
from time import process_time
from unittest import mock

import numpy as np

from dossier.mechanics import PinPlacement, SphericalLayer, combined_loads, layer_curve

LAYER = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
DISPLACEMENTS = np.linspace(0.0, 4.0, 6)[1:]
OURS = ((2, 4), (2, 6), (3, 10), (4, 14))
REFINED = (8, 28)
ORDER = 1.19
"""Twice the exponent of the displacement at an edge between a bonded and a free face (`layer.CORNER_EXPONENT`)."""

MORE_HARMONICS = 5
SOLID = ((2, 4, 4), (3, 6, 6), (4, 8, 8))
_NEWTON = 12
_CONVERGED = 1e-7


class Clock:
    """Processor seconds by part of the work; a part inside another counts for itself alone."""

    def __init__(self) -> None:
        self.seconds: Counter[str] = Counter()
        self._inner = 0.0

    @contextmanager
    def part(self, name: str) -> Iterator[None]:
        outside, self._inner, start = self._inner, 0.0, process_time()
        try:
            yield
        finally:
            whole = process_time() - start
            self.seconds[name] += whole - self._inner
            self._inner = outside + whole

    def timed(self, name: str, work):
        def run(*args, **given):
            with self.part(name):
                return work(*args, **given)

        return run

    def in_words(self) -> str:
        return ", ".join(f"{name} {self.seconds[name]:.2f}" for name in ("mesh", "assembly", "factor", "solve", "rest"))


class SolidHalf:
    """Half of the layer between rigid faces as 27-node hexahedra: `cells` across, along and around."""

    def __init__(self, cells: tuple[int, int, int], clock: Clock) -> None:
        import felupe

        self.clock = clock
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
            with self.clock.part("assembly"):
                tangent = self.body.assemble.matrix(self.field).tocsc()
                residual = np.asarray(self.body.assemble.vector(self.field).todense()).ravel()
            if step and np.linalg.norm(residual[self.free]) < _CONVERGED * np.linalg.norm(residual):
                break
            change = np.zeros(self.starts[-1])
            moved = change[: self.points.size].reshape(-1, 3)
            moved[self.inner] = np.array((displacement, 0.0, 0.0)) - self.field[0].values[self.inner]
            known = residual + tangent @ change
            with self.clock.part("factor"):
                factors = splu(tangent[self.free][:, self.free])
            with self.clock.part("solve"):
                change[self.free] = factors.solve(-known[self.free])
            for number, part in enumerate(self.field.fields):
                part.values[:] += change[self.starts[number] : self.starts[number + 1]].reshape(part.values.shape)
        return 2 * float(residual[: self.points.size].reshape(-1, 3)[self.inner, 0].sum())


class Run:
    """One curve: force at the end in N, processor seconds, and their parts."""

    def __init__(self, name: str, work) -> None:
        self.name, self.clock, start = name, Clock(), process_time()
        with self.clock.part("rest"):
            self.force = float(work(self.clock))
        self.seconds = process_time() - start


def ours(cells: tuple[int, int]) -> Run:
    """Our curve on a mesh; the parts are found by timing what it calls."""

    def work(clock: Clock) -> float:
        from dossier.mechanics import curves, newton
        from dossier.mechanics.assemble import Equations
        from dossier.mechanics.fourier import FourierKinematics

        def factorise(*args, **given):
            with clock.part("factor"):
                return clock.timed("solve", factorised(*args, **given))

        factorised = newton.factorise
        assembly = ((FourierKinematics, "linearise"), (Equations, "banded_matrix"), (Equations, "sparse_matrix"))
        with ExitStack() as patched:
            for owner, name in assembly:
                patched.enter_context(mock.patch.object(owner, name, clock.timed("assembly", getattr(owner, name))))
            patched.enter_context(mock.patch.object(curves, "finite_layer", clock.timed("mesh", curves.finite_layer)))
            patched.enter_context(mock.patch.object(newton, "factorise", factorise))
            return layer_curve(*LAYER, direction="radial", displacements=DISPLACEMENTS, cells=cells).forces[-1]

    return Run(f"ours {cells}", work)


def solid(cells: tuple[int, int, int]) -> Run:
    """The solid curve on a mesh."""

    def work(clock: Clock) -> float:
        with clock.part("mesh"):
            half = SolidHalf(cells, clock)
        return [half.force(each) for each in DISPLACEMENTS][-1]

    return Run(f"solid {cells}", work)


def end_force(cells: tuple[int, int], harmonics: int = 3) -> float:
    """Our force at the end alone."""
    (load,) = combined_loads(SphericalLayer(*LAYER), placements=[PinPlacement(radial=DISPLACEMENTS[-1])], cells=cells,
                             harmonics=harmonics)  # fmt: skip
    return load.radial


def limit(coarse: float, fine: float) -> float:
    """What the forces of a mesh and of one with halved lengths lead to, at the order that the free edges leave both."""
    return fine - (coarse - fine) / (2.0**ORDER - 1.0)


def time_at(error: float, runs: list[Run], reference: float) -> float:
    """Our time at an error, interpolated in logarithms between our meshes; at the ends that of the last mesh."""
    pairs = sorted((abs(run.force / reference - 1.0), run.seconds) for run in runs)
    return float(np.exp(np.interp(log(error), [log(pair[0]) for pair in pairs], [log(pair[1]) for pair in pairs])))


def main() -> None:
    """Print forces at the largest displacement, errors, times and their parts, and the ratios at equal error."""
    ours(OURS[0])
    mine, others = [ours(cells) for cells in OURS], [solid(cells) for cells in SOLID]
    added = end_force(OURS[-1], MORE_HARMONICS) - mine[-1].force
    refined = end_force(REFINED)
    reference = refined + added
    own_limit, solid_limit = limit(mine[-1].force, refined) + added, limit(others[0].force, others[-1].force)
    print(f"radial curve, {len(DISPLACEMENTS)} steps to {DISPLACEMENTS[-1]:g} mm: force at its end, error, processor seconds")
    print(f"reference {reference:.1f} N: ours on {REFINED}, {added:+.1f} N for harmonics 4 and {MORE_HARMONICS} on {OURS[-1]}")
    print(f"limit at order {ORDER} of our series {own_limit:.1f} N ({own_limit / reference - 1:+.2%}), of the solid one "
          f"{solid_limit:.1f} N ({solid_limit / reference - 1:+.2%})")  # fmt: skip
    for run in (*mine, *others):
        print(f"{run.name:16} {run.force:9.1f} N  {run.force / reference - 1:+8.2%} {run.seconds:8.2f} s: {run.clock.in_words()}")
    worst = max(abs(run.force / reference - 1.0) for run in mine)
    for run in others:
        error = abs(run.force / reference - 1.0)
        least = "at least " if error > worst else ""
        print(f"at the error of {run.name}, {error:.2%}: {least}{run.seconds / time_at(error, mine, reference):.0f} times ours")


if __name__ == "__main__":
    main()
