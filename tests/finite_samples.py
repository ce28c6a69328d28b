"""Bodies, supports and runs for the tests of rubber at finite strain."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians

import numpy as np

from dossier.mechanics.axisymmetric import AxisymmetricKinematics
from dossier.mechanics.fourier import FourierKinematics
from dossier.mechanics.hyperelastic import NeoHookean, StrainEnergy
from dossier.mechanics.increments import Faces
from dossier.mechanics.mesh import GridMesh, graded_line, zone_mesh
from dossier.mechanics.newton import Equilibrium, State, Support
from dossier.mechanics.placement import PinPlacement, rigid_placement, rigid_rates
from dossier.mechanics.rubber_body import RubberBody


@dataclass(frozen=True)
class Sample:
    mesh: GridMesh
    body: RubberBody

    @property
    def faces(self) -> Faces:
        return Faces(self.mesh.inner, self.mesh.outer)

    def held(self, components: int) -> np.ndarray:
        """Both faces held in all components."""
        held = np.zeros((len(self.mesh.nodes), components), bool)
        held[self.mesh.inner] = held[self.mesh.outer] = True
        return held

    def axisymmetric(self, held: np.ndarray | None = None, *, torsion: bool = False) -> Support:
        kinematics = AxisymmetricKinematics(self.body, torsion=torsion)
        return Support(kinematics, self.held(3 if torsion else 2) if held is None else held)

    def fourier(self, harmonics: int) -> Support:
        held = self.held(3 * (harmonics + 1))
        held[:, 2] = True
        return Support(FourierKinematics(self.body, harmonics), held)

    def axial(self, travel: float, components: int = 2) -> np.ndarray:
        """Prescribed displacement of a pin moved along z."""
        given = np.zeros((len(self.mesh.nodes), components))
        given[self.mesh.inner, 1] = travel
        return given

    def placed(self, support: Support, *, axial=0.0, radial=0.0, tilt=0.0) -> np.ndarray:
        given = np.zeros(support.held.shape)
        inner = self.mesh.nodes[self.mesh.inner]
        given[self.mesh.inner] = rigid_placement(support.kinematics, inner, PinPlacement(axial, radial, tilt))
        return given

    def pin_load(self, support: Support, found: Equilibrium, direction: str, tilt: float = 0.0) -> float:
        rates = rigid_rates(support.kinematics, self.mesh.nodes[self.mesh.inner], PinPlacement(tilt=tilt))
        return float((found.forces[self.mesh.inner] * rates[("axial", "radial", "conical").index(direction)]).sum())


def sample(mesh: GridMesh, law: StrainEnergy, bulk_modulus: float) -> Sample:
    return Sample(mesh, RubberBody(mesh.nodes, mesh.quads, law, bulk_modulus))


def zone(inner, outer, start, end, shear, bulk, cells) -> Sample:
    """Zone with evenly spaced cells; angles in degrees."""
    radii = inner + (outer - inner) * graded_line(cells[0], 0.0)
    angles = radians(start) + radians(end - start) * graded_line(cells[1], 0.0)
    return sample(zone_mesh(radii, angles), NeoHookean(shear), bulk)


def shell(inner, outer, cells, bulk=1e6) -> Sample:
    """Full concentric shell of G = 1 MPa, evenly spaced cells."""
    angles = np.pi * graded_line(cells[1], 0.0)
    radii = inner + (outer - inner) * graded_line(cells[0], 0.0)
    return sample(zone_mesh(radii, angles), NeoHookean(1.0), bulk)


def through(support: Support, placements, start: State | None = None) -> list[Equilibrium]:
    """Equilibria at the placements one after the other."""
    state, found = start or support.kinematics.rest, []
    for given in placements:
        found.append(support.solve(state, given))
        state = found[-1].state
    return found
