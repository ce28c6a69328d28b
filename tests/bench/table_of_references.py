"""What the section engine gives beside closed forms and references, with mesh and deviation, as a table.

Run it with `python -m tests.bench.table_of_references`. The same comparisons are tests; here they are read together.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import astuple, dataclass
from math import pi, radians

import numpy as np

from dossier.mechanics import (
    layer_curve,
    layer_stiffness,
    section_stiffness,
    sphere_rotation_stiffness,
    sphere_translation_stiffness,
    zone_torsion_stiffness,
)
from dossier.mechanics.section_mesh import MeshSize
from tests.mechanics.joints import ALUMINIUM, short_arm, steel_and
from tests.mechanics.test_layer_stiffness import OWN_REFERENCE as LAYERS
from tests.mechanics.test_section_stiffness import OWN_REFERENCE as SECTIONS
from tests.mechanics.test_section_stiffness import RUBBER
from tests.published.test_section_reference import Straight

DIRECTIONS = ("axial", "radial", "torsional", "conical")
CLOSED, PROTOTYPE, LIBRARY = "closed form", "own reference, extrapolated", "scikit-fem"


@dataclass(frozen=True)
class Row:
    what: str
    mesh: str
    quantity: str
    ours: float
    reference: float
    source: str

    @property
    def deviation(self) -> float:
        return self.ours / self.reference - 1


def layers() -> Iterator[Row]:
    for layer, reference in LAYERS.items():
        inner, outer, start, end, shear, bulk = layer
        found = layer_stiffness(inner, outer, radians(start), radians(end), shear, bulk)
        for name, value in zip(("axial", "radial", "torsional", "conical"), reference, strict=False):
            source = CLOSED if name == "torsional" else PROTOTYPE
            yield Row(f"layer {inner}/{outer} mm, {start}°-{end}°", "8 x 24", name, getattr(found, name), value, source)


def spheres() -> Iterator[Row]:
    found = layer_stiffness(20.0, 35.0, 0.0, pi, 1.0, 1e7)
    translation, rotation = sphere_translation_stiffness(20.0, 35.0, 1.0), sphere_rotation_stiffness(20.0, 35.0, 1.0)
    for name, value in (("axial", translation), ("radial", translation), ("torsional", rotation), ("conical", rotation)):
        yield Row("full sphere 20/35 mm, K/G = 1e7", "8 x 24", name, getattr(found, name), value, CLOSED)
    zone = zone_torsion_stiffness(29.0, 34.0, radians(50), radians(130), 1.06)
    found = layer_stiffness(29.0, 34.0, radians(50), radians(130), 1.06, 1150.0)
    yield Row("layer 29/34 mm, 50°-130°", "8 x 24", "torsional", found.torsional, zone, CLOSED)


def sections() -> Iterator[Row]:
    for name, (joint, core, reference) in SECTIONS.items():
        solution = section_stiffness(joint, steel_and(RUBBER, core=core))
        mesh = f"{len(solution.mesh.nodes)} nodes"
        for direction, ours, value in zip(DIRECTIONS, astuple(solution.stiffness), reference, strict=False):
            yield Row(f"section, {name}", mesh, direction, ours, value, PROTOTYPE)
    joint = short_arm()
    solution = section_stiffness(joint, steel_and((1.06, 1150.0), carrier=ALUMINIUM))
    other = Straight(joint)
    for direction in ("axial", "torsional"):
        ours, value = getattr(solution.stiffness, direction), getattr(other, direction)()
        yield Row("section, rings and bored pin", f"{len(solution.mesh.nodes)} nodes", direction, ours, value, LIBRARY)


def convergence() -> Iterator[Row]:
    joint, materials = short_arm(), steel_and((1.06, 1150.0), carrier=ALUMINIUM)
    finest = section_stiffness(joint, materials, size=MeshSize().finer(4)).stiffness
    for factor in (1, 2):
        found = section_stiffness(joint, materials, size=MeshSize().finer(factor))
        for direction in DIRECTIONS:
            yield Row(f"section, lengths divided by {factor}", f"{len(found.mesh.nodes)} nodes", direction,
                      getattr(found.stiffness, direction), getattr(finest, direction), "own mesh, a quarter")  # fmt: skip


def curves() -> Iterator[Row]:
    """Figures of a prototype of the formulation on its finest meshes, extrapolated where it says so."""
    zone = (20.0, 35.0, radians(50), radians(130), 1.0, 2000.0)
    runs = (("axial", 3.0, 1730.5), ("radial", 4.0, 7234.8), ("conical", float(np.radians(12)), 26736.5))
    for direction, travel, value in runs:
        ours = layer_curve(*zone, direction=direction, displacements=[travel / 2, travel]).forces[-1]
        quantity = f"{direction} at {travel:.3g}"
        yield Row("finite strain, layer 20/35 mm", "default", quantity, ours, value, "prototype, fine mesh")


def main() -> None:
    print(f"{'what':<44}{'mesh':<14}{'quantity':<18}{'ours':>12}{'reference':>12}{'deviation':>11}  source")
    for rows in (spheres, layers, sections, convergence, curves):
        for row in rows():
            print(f"{row.what:<44}{row.mesh:<14}{row.quantity:<18}{row.ours:12.6g}{row.reference:12.6g}"
                  f"{100 * row.deviation:+10.3f}%  {row.source}")  # fmt: skip


if __name__ == "__main__":
    main()
