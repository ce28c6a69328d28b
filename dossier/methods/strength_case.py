"""A solution of the section under all load cases: stress and peak of each part, and the steel of the pin that is idle."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import pi
from typing import TYPE_CHECKING

from dossier.methods.section_in import Load, loads_of, motion_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from dossier.mechanics.idle_contour import Contour
    from dossier.mechanics.idle_steel import Peak
    from dossier.mechanics.section_mesh import MeshSize
    from dossier.mechanics.section_stress import NodalStress
    from dossier.mechanics.shapes import JointShape
    from dossier.mechanics.whole_section import SectionSolution
    from dossier.methods.section_strength import SectionStrengthInput

CARRIERS = ("ring", "half_shell")
SPLIT = ((0, 3, 5), (3, 1, 4), (5, 4, 2), (3, 4, 5))
"""A six-node triangle as four straight ones on its corners and middles."""


@dataclass(frozen=True)
class PeakUnder:
    """The peak of a part under a load case."""

    load: Load
    peak: Peak


@dataclass(frozen=True)
class StressUnder:
    """Greatest von Mises stress (m,) at the nodes of a part under a load case, and its components (m, 6), in MPa."""

    load: Load
    von_mises: NDArray[np.float64]
    components: NDArray[np.float64]


class StrengthCase:
    """A solution of the section with the core bonded or carrying nothing, under all load cases; parts are read when asked."""

    def __init__(
        self, given: SectionStrengthInput, joint: JointShape, core: bool, size: MeshSize, solution: SectionSolution
    ) -> None:
        self.joint, self.core, self.size, self.solution = joint, core, size, solution
        self.loads = loads_of(given)
        self._stress: dict[str, NodalStress] = {}
        self._under: dict[str, list[StressUnder]] = {}

    @property
    def parts(self) -> list[str]:
        """Pin, core where it carries, ring or half_shell."""
        return [name for name in self.solution.groups if name != "layer"]

    @property
    def core_words(self) -> str:
        if self.joint.core.kind == "none":
            return "none"
        return "bonded" if self.core else "carrying nothing: the worse case for the pin"

    def stress(self, part: str) -> NodalStress:
        """The unit stresses of a part."""
        from dossier.mechanics.section_stress import NodalStress

        if part not in self._stress:
            self._stress[part] = NodalStress(self.solution.mesh.nodes, self.solution.groups[part], self.solution.fields)
        return self._stress[part]

    def under(self, part: str) -> list[StressUnder]:
        """The stress of a part under each load case; equal levels of a programme are computed once."""
        if part not in self._under:
            motions = [motion_of(self.solution.stiffness, load) for load in self.loads]
            found = {motion: self.stress(part).worst(motion) for motion in dict.fromkeys(motions)}
            self._under[part] = [StressUnder(load, *found[motion]) for load, motion in zip(self.loads, motions, strict=True)]
        return self._under[part]

    def peaks(self, part: str) -> list[PeakUnder]:
        """The peak of a part under each load case."""
        from dossier.mechanics.idle_steel import peak

        mesh, stress = self.solution.mesh, self.stress(part)
        return [PeakUnder(one.load, peak(mesh, stress, one.von_mises, self.joint)) for one in self.under(part)]

    def highest(self, part: str) -> PeakUnder:
        """The greatest of them."""
        return max(self.peaks(part), key=lambda one: one.peak.stress)

    @cached_property
    def pin(self) -> PeakUnder:
        return self.highest("pin")

    @cached_property
    def carrier(self) -> PeakUnder:
        return self.highest(next(name for name in CARRIERS if name in self.parts))

    def triangles(self, part: str) -> NDArray[np.int64]:
        """Straight triangles (t, 3) of a part on its own nodes."""
        import numpy as np

        place = np.full(len(self.solution.mesh.nodes), -1)
        place[self.stress(part).nodes] = np.arange(len(self.stress(part).nodes))
        six = place[self.solution.groups[part].connectivity]
        return np.concatenate([six[:, list(corners)] for corners in SPLIT])

    def used(self, part: str, strength: float) -> NDArray[np.float64]:
        """Utilisation (m,) at the nodes of a part: the greatest von Mises stress of all load cases over `strength` in MPa."""
        import numpy as np

        return np.maximum.reduce([one.von_mises for one in self.under(part)]) / strength

    def contour(self, given: SectionStrengthInput) -> Contour:
        """The largest free contour in the idle zone."""
        from dossier.mechanics.idle_contour import idle_contour
        from dossier.mechanics.idle_steel import reach_of

        points, pin = self.solution.mesh.nodes[self.stress("pin").nodes], self.joint.pin
        return idle_contour(points, self.triangles("pin"), self.used("pin", given.pin_yield.ends[0]), given.idle_below, pin,
                            wall=given.minimum_wall, curvature=given.least_curvature, reach=reach_of(pin))  # fmt: skip

    def idle(self, given: SectionStrengthInput) -> dict[str, float]:
        """Mass, share, bore, cylinder and free contour of the idle zone at the lower end of the yield strength."""
        from dossier.mechanics.idle_steel import idle_bore, idle_cavity, idle_volume

        mesh, stress, group = self.solution.mesh, self.stress("pin"), self.solution.groups["pin"]
        used = self.used("pin", given.pin_yield.ends[0])
        below, pin, density = given.idle_below, self.joint.pin, given.pin_density.value
        volume = idle_volume(mesh, group, stress, used, below)
        whole = 2 * pi * float(group.geometry.volume.sum())
        cavity = idle_cavity(mesh, stress, used, below, pin, given.minimum_wall)
        contour = self.contour(given)
        return {"idle_mass": volume * 1e-9 * density, "idle_share": volume / whole,
                "idle_bore": idle_bore(mesh, stress, used, below, pin),
                "cavity_diameter": cavity.diameter, "cavity_length": 2 * cavity.half_length,
                "contour_mass": contour.volume * 1e-9 * density, "contour_volume": contour.volume,
                "contour_diameter": contour.diameter, "contour_length": contour.length}  # fmt: skip

    def numbers(self, given: SectionStrengthInput) -> dict[str, float]:
        """Peaks of the parts and what is idle, by name of the result."""
        core = {"core_stress": self.highest("core").peak.stress} if "core" in self.parts else {}
        return {"pin_stress": self.pin.peak.stress, "carrier_stress": self.carrier.peak.stress, **core, **self.idle(given)}
