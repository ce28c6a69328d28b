"""The spherical layer at finite strain: its mesh, its supports and its equilibrium after a change of the outer face."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import acos

import numpy as np

from dossier.mechanics.axisymmetric import AxisymmetricKinematics
from dossier.mechanics.drive import Follower, RunStopped, Step
from dossier.mechanics.hyperelastic import MooneyRivlin, NeoHookean, StrainEnergy, Yeoh
from dossier.mechanics.increments import Faces
from dossier.mechanics.layer import SHORT_LAYER, SphericalLayer, checked_cells
from dossier.mechanics.layer_grid import between_faces
from dossier.mechanics.mesh import GridMesh, end_cell, graded_line, grading_strength, grid_mesh, zone_mesh
from dossier.mechanics.newton import Equilibrium, Support
from dossier.mechanics.numbers import checked_number
from dossier.mechanics.rubber_body import RubberBody

GRADING = 0.8
"""Mild clustering at faces and edges: finer corner cells fold earlier, see `Equilibrium.folded`."""

FINE_CELLS = {"long": (6, 20), "short": (14, 12)}
COARSE_CELLS = {"long": (4, 14), "short": (10, 8)}
"""For coupled harmonics, whose work grows with the square of the number of harmonics."""

LARGEST_STEP = 0.1
"""Largest step of a motion in parts of the layer's thickness."""

LONGEST_CORNER_CELL = 2.0
"""Longest cell at a free end, in lengths of the cell at the bonded face."""

GAP_CELLS = 2
GAP_WIDTHS_BESIDE = 1.0
"""Length of the cell beside a gap between rings, in widths of the gap."""

THICKEST_CELL_AT_GAP = 0.5
"""Thickness of the cell under a gap in widths of the gap: a thicker one makes the layer soft at some loads."""

STRONGEST_RING_GRADING = 1.6


def finite_cells(layer: SphericalLayer, *, coarse: bool = False) -> tuple[int, int]:
    """Cells across the layer and along the polar angle."""
    sizes = COARSE_CELLS if coarse else FINE_CELLS
    return sizes["short" if layer.length_ratio < SHORT_LAYER else "long"]


@dataclass(frozen=True)
class FiniteLayer:
    """A layer with mesh and law; `held` are the nodes of the outer face that rings or shells hold.

    gap in mm between two rings, None for a face held throughout.
    """

    layer: SphericalLayer
    mesh: GridMesh
    body: RubberBody
    held: np.ndarray
    gap: float | None

    @property
    def thickness(self) -> float:
        return self.layer.outer_radius - self.layer.inner_radius

    @property
    def faces(self) -> Faces:
        return Faces(moved=self.mesh.inner, held=self.held, guided=self.guided)

    @property
    def symmetric(self) -> bool:
        """Whether the layer is its own mirror image in the equator."""
        return abs(self.layer.polar_start + self.layer.polar_end - np.pi) < 1e-12

    @property
    def inwards(self) -> np.ndarray:
        """Unit motion (M, 2) of the held outer nodes towards the axis."""
        return np.tile([-1.0, 0.0], (len(self.held), 1))

    def support(self, components: int) -> np.ndarray:
        """Held components (N, components) when both faces are held in all of them."""
        held = np.zeros((len(self.mesh.nodes), components), bool)
        held[self.mesh.inner] = held[self.held] = True
        held[np.ix_(self.guided, np.arange(1, components, 3))] = True
        return held

    @property
    def guided(self) -> np.ndarray:
        """Nodes of the outer face in the gap: free to bulge and to move around the axis, led along it by both ring edges.

        A surface free along the axis too would flow over the edges, where the ends of the rings stand, and crease when
        the gap closes by a third; the mesh folds there. Without pre-stress leading it adds 0.1 % to the radial
        stiffness of a layer 29/34 with a gap of 1.4 mm; with the rings moved by 0.2 mm each it adds 5 % to a surface free
        to fold over the edges, and 8 % to the force of assembly. At 0.4 mm, against contact with edges of 0.3 mm radius
        (`friction_layer`), the axial stiffness is 1 % and the force of assembly 12 % higher.
        """
        return np.setdiff1d(self.mesh.outer, self.held)

    def place_outer(self, prescribed: np.ndarray, outer: np.ndarray) -> None:
        """Enter the displacement (M, 2) of the held nodes, and what the guided ones take from it, in `prescribed` (N, c)."""
        prescribed[self.held, :2] = outer
        if len(self.guided):
            edges, share = self._leading_edges()
            prescribed[self.guided, 1] = share @ outer[edges, 1]

    def outer_forces(self, forces: np.ndarray) -> np.ndarray:
        """Forces (M, 2) of rings or shells on the rubber in N, from those of all nodes (N, c): the edges lead the gap."""
        result = forces[self.held, :2].copy()
        if len(self.guided):
            edges, share = self._leading_edges()
            result[edges, 1] += forces[self.guided, 1] @ share
        return result

    def _leading_edges(self) -> tuple[np.ndarray, np.ndarray]:
        """Places in `held` of the upper and the lower ring edge, and their shares (guided, 2) in the motion along z."""
        height, led = self.mesh.nodes[self.held, 1], self.mesh.nodes[self.guided, 1]
        upper = int(np.where(height > led.max(), height, np.inf).argmin())
        lower = int(np.where(height < led.min(), height, -np.inf).argmax())
        share = (led - height[lower]) / (height[upper] - height[lower])
        return np.array([upper, lower]), np.stack([share, 1.0 - share], axis=1)


def finite_layer(
    layer: SphericalLayer, law: StrainEnergy, cells: tuple[int, int], *, gap: float | None = None
) -> FiniteLayer:
    """Mesh a layer; with a `gap` in mm between two outer rings, mesh lines end exactly on both ring edges.

    The outer nodes with |z| < gap/2 are guided then, see `FiniteLayer.guided`. Raises ValueError when the gap does not
    lie on the outer face.
    """
    cells = checked_cells(layer, cells, smallest=2)
    across = graded_line(cells[0], GRADING if gap is None else _ring_grading(cells[0], _depth_at_gap(layer, gap)))
    radii = layer.inner_radius * (layer.outer_radius / layer.inner_radius) ** across
    angles = _plain_angles(layer, cells) if gap is None else _angles_with_gap(layer, cells[1], gap)
    mesh = _mesh(layer, radii, angles)
    held = mesh.outer
    if gap is not None:
        height = np.abs(mesh.nodes[mesh.outer, 1])
        held = mesh.outer[height > gap / 2.0 - 1e-9 * layer.outer_radius]
    return FiniteLayer(layer, mesh, RubberBody(mesh.nodes, mesh.quads, law, layer.bulk_modulus), held, gap)


def _mesh(layer: SphericalLayer, radii: np.ndarray, angles: np.ndarray) -> GridMesh:
    """Between the free faces as they are: the same division of both bonded faces whatever their form."""
    if layer.free.plain:
        return zone_mesh(radii, angles)
    shares = (angles - layer.polar_start) / (layer.polar_end - layer.polar_start)
    return grid_mesh(between_faces(layer.shape, radii, shares))


def _plain_angles(layer: SphericalLayer, cells: tuple[int, int]) -> np.ndarray:
    """Clustered towards free ends, in a long layer so much that the cell there is LONGEST_CORNER_CELL at most."""
    low, high = layer.free_ends
    corner = LONGEST_CORNER_CELL * end_cell(cells[0], GRADING, both_ends=True) / layer.length_ratio
    strength = max(GRADING, grading_strength(cells[1], corner, both_ends=low and high))
    places = graded_line(cells[1], strength, low=low, high=high)
    return layer.polar_start + (layer.polar_end - layer.polar_start) * places


def _angles_with_gap(layer: SphericalLayer, cells: int, gap: float) -> np.ndarray:
    """Polar angles of upper ring, gap and lower ring, the cells of the rings shortened towards the gap."""
    if not 0.0 < gap < 2.0 * layer.outer_radius:
        raise ValueError(
            f"rings.gap = {gap:g} mm must exceed 0 mm and stay below the outer diameter "
            f"{2.0 * layer.outer_radius:g} mm; measure it between the ring edges on the layer"
        )
    edge = acos(gap / (2.0 * layer.outer_radius))
    if not layer.polar_start < edge or not np.pi - edge < layer.polar_end:
        raise ValueError(
            f"rings.gap = {gap:g} mm reaches beyond the layer from {layer.polar_start:g} to {layer.polar_end:g} rad, "
            "so a ring would hold nothing; give a smaller gap"
        )
    limits = [(layer.polar_start, edge), (np.pi - edge, layer.polar_end)]
    whole = sum(end - start for start, end in limits)
    gap_angles = edge + (np.pi - 2.0 * edge) * graded_line(GAP_CELLS, 0.0)
    parts = []
    for start, end in limits:
        count = max(3, round(cells * (end - start) / whole))
        beside = GAP_WIDTHS_BESIDE * (np.pi - 2.0 * edge) / (end - start)
        parts.append(start + (end - start) * graded_line(count, _ring_grading(count, beside)))
    return np.concatenate([parts[0], gap_angles[1:-1], parts[1]])


def _depth_at_gap(layer: SphericalLayer, gap: float) -> float:
    """Part of the thickness that the cell under the gap may take."""
    return THICKEST_CELL_AT_GAP * gap / (layer.outer_radius - layer.inner_radius)


def _ring_grading(cells: int, shortest: float) -> float:
    """Strength for end cells of the part `shortest` of a line, as far as corners of a ring bear it."""
    return min(max(grading_strength(cells, shortest, both_ends=True), GRADING), STRONGEST_RING_GRADING)


def checked_law(layer: SphericalLayer, law: StrainEnergy | None) -> StrainEnergy:
    """The law, by default neo-Hookean; its small-strain shear modulus must be the one of the layer."""
    if law is None:
        return NeoHookean(layer.shear_modulus)
    if not isinstance(law, NeoHookean | MooneyRivlin | Yeoh):
        raise ValueError(f"layer.law = {law!r} must be NeoHookean, MooneyRivlin or Yeoh; leave it out for neo-Hooke from G")
    if abs(law.small_strain_shear_modulus / layer.shear_modulus - 1.0) > 1e-3:
        raise ValueError(
            f"layer.law = {type(law).__name__} has the small-strain shear modulus {law.small_strain_shear_modulus:g} "
            f"MPa, which must equal layer.shear_modulus = {layer.shear_modulus:g} MPa within 0.1 %; give one of them anew"
        )
    return law


def checked_travel(name: str, value: float, layer: SphericalLayer) -> float:
    """A travel of the outer face in mm, from 0 up to below the thickness."""
    thickness = layer.outer_radius - layer.inner_radius
    value = checked_number(name, value, "mm")
    if not 0.0 <= value < thickness:
        raise ValueError(
            f"{name} = {value:g} mm must be at least 0 mm and less than the layer's thickness {thickness:g} mm; "
            "check the travel"
        )
    return value


@dataclass(frozen=True)
class OuterMotion:
    """A stage of assembly: the held outer nodes move by `travel` times `direction` (M, 2), in mm."""

    name: str
    travel: float
    direction: np.ndarray


@dataclass(frozen=True)
class RestingLayer:
    """Equilibrium after the stages so far: outer displacement (M, 2) and the pin's axial offset in mm."""

    equilibrium: Equilibrium
    outer: np.ndarray
    pin_offset: float
    steps: int


class Assembler:
    """Moves the outer face in stages; the pin, held against tilt and radial motion, finds its axial rest meanwhile.

    In a symmetric layer that is where it stands, so there the pin is held.
    """

    def __init__(self, finite: FiniteLayer):
        self.finite = finite
        held, tied = finite.support(2), None
        if not finite.symmetric:
            tied = np.zeros_like(held)
            tied[finite.mesh.inner, 1] = True
            held &= ~tied
        self.support = Support(AxisymmetricKinematics(finite.body), held, tied)

    def undeformed(self) -> RestingLayer:
        still = np.zeros((len(self.finite.held), 2))
        return self._resting(self.support.solve(self.support.kinematics.rest, self.placement(still)), still, 1)

    def placement(self, outer: np.ndarray) -> np.ndarray:
        """Prescribed displacement (N, 2) of the outer face, the pin neither widened nor held."""
        result = np.zeros((len(self.finite.mesh.nodes), 2))
        self.finite.place_outer(result, outer)
        return result

    def move(self, before: RestingLayer, motion: OuterMotion) -> RestingLayer:
        """Move the outer face; raises RunStopped with travel in mm."""
        if motion.travel == 0.0:
            return before
        follower = Follower(
            self.support, lambda travel: self.placement(before.outer + travel * motion.direction), before.equilibrium,
            LARGEST_STEP * self.finite.thickness / 2.0,
        )  # fmt: skip
        moved = follower.go(motion.travel).equilibrium
        outer = before.outer + motion.travel * motion.direction
        return self._resting(moved, outer, before.steps + len(follower.found) - 1)

    def _resting(self, equilibrium: Equilibrium, outer: np.ndarray, steps: int) -> RestingLayer:
        pin = float(equilibrium.state.displacement[self.finite.mesh.inner[0], 1])
        return RestingLayer(equilibrium, outer, pin, steps)


def pin_force(inner: np.ndarray, component: int) -> Callable[[Step], float]:
    """Resultant of one component of the forces the pin exerts, as a function of the step."""
    return lambda step: float(step.equilibrium.forces[inner, component].sum())


def closed_layer(finite: FiniteLayer, closing: float) -> RestingLayer:
    """The layer after every point of its outer face moved by `closing` in mm towards the axis."""
    assembler = Assembler(finite)
    return assembler.move(assembler.undeformed(), OuterMotion("closing", closing, finite.inwards))


def closing_message(owner: str, closing: float, failure: RunStopped) -> str:
    """Why the closing of `owner` was not reached, and what to do."""
    stop = failure.stop
    return (
        f"{owner}.closing = {closing:g} mm not reached: no equilibrium between {stop.reached:.4g} and {stop.tried:.4g} "
        f"mm ({stop.reason}); reduce the closing or make the layer thicker"
    )
