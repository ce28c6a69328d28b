"""Time of the section engine and of finite strain, and the ratio to solid elements in space.

Run it with `python -m tests.bench.bench_section`. One BLAS thread, median of the runs, nothing is asserted. The
reference solves the same layer in the same run with 27-node hexahedra and trilinear pressure of scikit-fem, one eighth
of the layer in four directions, refined until it is as near to the limit as engineers ask for (0.07 %; ours 0.02 %).
Fairness: it keeps the pressure as unknowns, uses scipy's default ordering, is written for any problem and takes the
eighth that symmetry leaves; a code in space made for this one problem would be several times faster, so read the ratio
as an order of magnitude.
"""

import resource
from collections.abc import Callable
from math import radians
from statistics import median
from time import perf_counter

import numpy as np

from dossier.mechanics import layer_curve, layer_stiffness, section_stiffness
from dossier.mechanics.assemble import Equations
from dossier.mechanics.elements import LATERAL_FIELD, element_stiffness
from dossier.mechanics.layer_limits import layer_limits
from dossier.mechanics.layer_state import LayerState
from dossier.mechanics.linear import factorise
from dossier.mechanics.section_mesh import MeshSize, section_mesh
from dossier.mechanics.section_stress import NodalStress, motion_under
from tests.mechanics.joints import long_arm, steel_and
from tests.published.test_rubber_solid_reference import Solid

LAYER = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
RADIAL = 1764.51
"""Own reference of the layer's radial stiffness in N/mm, extrapolated, uncertain by 2e-5."""

JOINT, MATERIALS = long_arm(16.0), steel_and((1.1, 2000.0))
COARSE_NOTCH = MeshSize((6, 20), 0.35, 6)


def median_time(work: Callable[[], object], runs: int) -> float:
    """Median seconds of `runs` calls after one to warm up."""
    work()
    times = []
    for _ in range(runs):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return median(times)


def whole_section(size: MeshSize) -> None:
    """Stiffness, stress of the pin under a radial load, pressures on both faces, limits of the layer."""
    solution = section_stiffness(JOINT, MATERIALS, size=size)
    stress = NodalStress(solution.mesh.nodes, solution.groups["pin"], solution.fields)
    motion = motion_under(solution.stiffness, radial_force=1e5)
    stress.von_mises(motion)
    state = LayerState(solution.mesh.layer, solution.groups["layer"], solution.fields, 0.8)
    faces = {"pin": state.face(True), "carrier": state.face(False, solution.mesh.carried)}
    layer_limits(state, faces, dict.fromkeys(faces, "bonded"), {}, 1.1, motion)


def split() -> dict[str, float]:
    """Seconds of mesh, element matrices, numbering and factorisation of the radial and conical field."""
    mesh = section_mesh(JOINT)
    solution = section_stiffness(JOINT, MATERIALS, mesh=mesh)
    groups = list(solution.groups.values())
    held = np.zeros((len(mesh.nodes), 3), bool)
    held[mesh.eye] = held[mesh.clamp] = True
    matrices = [element_stiffness(group, LATERAL_FIELD) for group in groups]
    equations = Equations(mesh.nodes, groups, LATERAL_FIELD, held)
    solve = factorise(equations, matrices)
    right = np.ones((equations.count, 2))
    return {
        "mesh": median_time(lambda: section_mesh(JOINT), 15),
        "element matrices, n = 1": median_time(lambda: [element_stiffness(g, LATERAL_FIELD) for g in groups], 15),
        "numbering, n = 1": median_time(lambda: Equations(mesh.nodes, groups, LATERAL_FIELD, held), 15),
        "assembly and factorisation, n = 1": median_time(lambda: factorise(equations, matrices), 15),
        "solve, n = 1, two right-hand sides": median_time(lambda: solve(right), 15),
    }


def main() -> None:
    tasks = {
        "layer, four stiffnesses": (lambda: layer_stiffness(*LAYER), 30),
        "whole section, stress, pressures": (lambda: whole_section(COARSE_NOTCH), 15),
        "the same with the refined notch": (lambda: whole_section(MeshSize()), 15),
        "axial curve, 7 steps": (lambda: layer_curve(*LAYER, direction="axial", displacements=np.linspace(0, 6, 8)[1:]), 5),
        "radial curve, 5 steps": (lambda: layer_curve(*LAYER, direction="radial", displacements=np.linspace(0, 4, 6)[1:]), 3),
    }
    found = {name: median_time(work, runs) for name, (work, runs) in tasks.items()}
    base = found["layer, four stiffnesses"]
    print(f"{'work':<44}{'ms':>9}{'ratio':>9}")
    for name, seconds in (found | split()).items():
        print(f"{name:<44}{seconds * 1e3:9.1f}{seconds / base:9.1f}")
    start = perf_counter()
    solid = Solid()
    for planes in (("x", "y", "xy"), ("yz", "y", "z"), ("yz", "xz", "z"), ("yz", "y", "xy")):
        solid.stiffness(np.eye(3)[0][:, None] * np.ones(solid.place.shape[1]), planes)
    seconds = perf_counter() - start
    print(f"{'layer in space, hexahedra of scikit-fem':<44}{seconds * 1e3:9.1f}{seconds / base:9.1f}")
    print(f"memory at its greatest {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")
    print(f"radial stiffness of the layer here: error {layer_stiffness(*LAYER).radial / RADIAL - 1:+.1e}")


if __name__ == "__main__":
    main()
