"""Linear stiffness of a spherical rubber layer bonded to rigid faces: axial, radial, torsional, conical.

The layer fills the polar angles from `polar_start` to `polar_end` between two concentric spheres; its
conical end faces are free. The inner sphere moves as a rigid body, the outer one is held. Lengths in mm,
angles in rad from the pin axis, moduli in MPa.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees, log, pi, sqrt

import numpy as np

from dossier.mechanics.elements import AXIAL_FIELD, LATERAL_FIELD, TORSIONAL_FIELD, ElementGroup, Field
from dossier.mechanics.linear import rigid_motion, solve_harmonic
from dossier.mechanics.mesh import GridMesh, end_cell, graded_line, grading_strength, zone_mesh
from dossier.mechanics.numbers import checked_number
from dossier.mechanics.shape_check import check_free_surface
from dossier.mechanics.shapes import FreeSurface, Layer

CORNER_EXPONENT = 0.5946
"""Displacement grows as distance^0.5946 from the 90° corner of a bonded and a free edge in an incompressible
layer: the root of cos(λπ/2) = λ (Williams, J. Appl. Mech. 19 (1952) 526, from memory). The exponent of a
compressible layer is larger, so 0.5946 is the slow side."""

CORNER_GRADING = 2.0
LONG_LAYER_CELLS = (8, 24)
SHORT_LAYER_CELLS = (16, 12)
SHORT_LAYER = 0.7
LENGTH_RATIO_LIMITS = (0.25, 1000.0)
RADIUS_LIMITS = (0.1, 1e5)
"""Outer radii in mm between which no unit is mistaken and no number overflows."""

LARGEST_SHEAR_MODULUS = 1e4
BULK_TO_SHEAR_LIMIT = 1e8
MOST_CELLS = 10_000
AXIS_TOLERANCE = 1e-9


@dataclass(frozen=True)
class LayerStiffness:
    """Stiffness of the pin against the eye.

    axial, radial in N/mm; torsional, conical in N·mm/rad. coupling in N/rad: radial force along x per unit
    tilt about y through the ball centre (equal to the moment per radial travel); 0 for a symmetric layer.
    """

    axial: float
    radial: float
    torsional: float
    conical: float
    coupling: float

    @property
    def conical_free(self) -> float:
        """Tilting stiffness in N·mm/rad when the pin may move radially, without radial force."""
        return self.conical - self.coupling**2 / self.radial


    def in_series(self, metal: LayerStiffness) -> LayerStiffness:
        """Layer and metal one behind the other, such as a slender pin with its clamp: their compliances add up.

        Radial and conical motion are coupled, so there the 2×2 compliances are added.
        """
        first, second = (np.linalg.inv(each._lateral) for each in (self, metal))
        lateral = np.linalg.inv(first + second)
        return LayerStiffness(
            axial=1.0 / (1.0 / self.axial + 1.0 / metal.axial),
            radial=float(lateral[0, 0]),
            torsional=1.0 / (1.0 / self.torsional + 1.0 / metal.torsional),
            conical=float(lateral[1, 1]),
            coupling=float(lateral[0, 1]),
        )

    @property
    def _lateral(self) -> np.ndarray:
        return np.array([[self.radial, self.coupling], [self.coupling, self.conical]])


@dataclass(frozen=True)
class MeshError:
    """Estimated relative mesh error of each stiffness; coupling is referred to sqrt(radial · conical)."""

    axial: float
    radial: float
    torsional: float
    conical: float
    coupling: float


@dataclass(frozen=True)
class LayerEstimate:
    """Stiffness with its mesh error, the cells (across the layer, along the polar angle) and the nodes."""

    stiffness: LayerStiffness
    mesh_error: MeshError
    cells: tuple[int, int]
    nodes: int


@dataclass(frozen=True)
class SphericalLayer:
    """Geometry and moduli of a layer; raises ValueError naming field, limit, given value and remedy.

    The form of its `free` faces is followed at finite strain; `layer_stiffness` takes them as conical.
    """

    inner_radius: float
    outer_radius: float
    polar_start: float
    polar_end: float
    shear_modulus: float
    bulk_modulus: float
    free: FreeSurface = FreeSurface()

    def __post_init__(self):
        units = {"inner_radius": "mm", "outer_radius": "mm", "polar_start": "rad", "polar_end": "rad",
                 "shear_modulus": "MPa", "bulk_modulus": "MPa"}  # fmt: skip
        for name, unit in units.items():
            object.__setattr__(self, name, checked_number(f"layer.{name}", getattr(self, name), unit))
        self._check_depths()
        self._check_radii()
        self._check_angles()
        self._check_moduli()
        self._check_proportions()
        check_free_surface(self.shape)

    @property
    def shape(self) -> Layer:
        """The same layer as part of a joint's section, angles in degrees."""
        return Layer(self.inner_radius, self.outer_radius, degrees(self.polar_start), degrees(self.polar_end),
                     self.free.kind, self.free.edge_fillet, self.free.hollow_depth)  # fmt: skip

    @property
    def length_ratio(self) -> float:
        """Length along the polar angle over thickness, measured in the angle-preserving map (ln r, θ)."""
        return (self.polar_end - self.polar_start) / log(self.outer_radius / self.inner_radius)

    @property
    def free_ends(self) -> tuple[bool, bool]:
        """Whether the layer ends in a free conical face at its start and end, not on the axis."""
        return self.polar_start > 0.0, self.polar_end < pi

    def _check_depths(self) -> None:
        for name in ("edge_fillet", "hollow_depth"):
            depth = checked_number(f"layer.{name}", getattr(self.free, name), "mm")
            if depth < 0.0:
                raise ValueError(f"layer.{name} = {depth:g} mm must be at least 0 mm; give 0 for none")

    def _check_radii(self) -> None:
        if self.inner_radius <= 0.0:
            raise ValueError(
                f"layer.inner_radius = {self.inner_radius:g} mm must exceed 0 mm; give the radius of the ball"
            )
        if self.outer_radius <= self.inner_radius:
            raise ValueError(
                f"layer.outer_radius = {self.outer_radius!r} mm must exceed layer.inner_radius = "
                f"{self.inner_radius!r} mm; enlarge it or reduce the ball"
            )
        low, high = RADIUS_LIMITS
        if not low <= self.outer_radius <= high:
            raise ValueError(
                f"layer.outer_radius = {self.outer_radius:g} mm must lie between {low:g} and {high:g} mm; check the unit"
            )

    def _check_angles(self) -> None:
        if self.polar_start < 0.0:
            raise ValueError(
                f"layer.polar_start = {self.polar_start:g} rad must be at least 0 rad; "
                "measure it from the pin axis"
            )
        if self.polar_end > pi + AXIS_TOLERANCE:
            raise ValueError(
                f"layer.polar_end = {self.polar_end:g} rad must be at most π = 3.14159 rad; "
                "measure it from the pin axis and convert degrees to radians"
            )
        if self.polar_end <= self.polar_start:
            raise ValueError(
                f"layer.polar_end = {self.polar_end:g} rad must exceed layer.polar_start = "
                f"{self.polar_start:g} rad; exchange the two angles or widen the layer"
            )
        if self.polar_start < AXIS_TOLERANCE:
            object.__setattr__(self, "polar_start", 0.0)
        if self.polar_end > pi - AXIS_TOLERANCE:
            object.__setattr__(self, "polar_end", pi)

    def _check_moduli(self) -> None:
        if self.shear_modulus <= 0.0:
            raise ValueError(
                f"layer.shear_modulus = {self.shear_modulus:g} MPa must exceed 0 MPa; "
                "give the shear modulus of the rubber"
            )
        if self.shear_modulus > LARGEST_SHEAR_MODULUS:
            raise ValueError(
                f"layer.shear_modulus = {self.shear_modulus:g} MPa must be at most {LARGEST_SHEAR_MODULUS:g} MPa; "
                "rubber has some 0.3 to 3 MPa, check the unit"
            )
        if self.bulk_modulus <= self.shear_modulus:
            raise ValueError(
                f"layer.bulk_modulus = {self.bulk_modulus:g} MPa must exceed layer.shear_modulus = "
                f"{self.shear_modulus:g} MPa; rubber has some 1000 to 2500 MPa, check the unit"
            )
        if self.bulk_modulus > BULK_TO_SHEAR_LIMIT * self.shear_modulus:
            raise ValueError(
                f"layer.bulk_modulus = {self.bulk_modulus:g} MPa must be at most {BULK_TO_SHEAR_LIMIT:g} "
                f"times layer.shear_modulus = {self.shear_modulus:g} MPa (round-off); check the unit"
            )

    def _check_proportions(self) -> None:
        low, high = LENGTH_RATIO_LIMITS
        if not low <= self.length_ratio <= high:
            raise ValueError(
                f"layer.length_ratio = {self.length_ratio:.3g} (polar length over thickness) must lie "
                f"between {low:g} and {high:g}, the range of the mesh; change radii {self.inner_radius!r} "
                f"and {self.outer_radius!r} mm or angles {self.polar_start:g} and {self.polar_end:g} rad"
            )


def layer_stiffness(
    inner_radius: float,
    outer_radius: float,
    polar_start: float,
    polar_end: float,
    shear_modulus: float,
    bulk_modulus: float,
    *,
    cells: tuple[int, int] | None = None,
) -> LayerStiffness:
    """The four stiffnesses and the coupling of a bonded spherical layer at small strain.

    Radii in mm, angles in rad from the pin axis (0 ≤ start < end ≤ π), moduli in MPa. `cells` are the cells
    across the layer and along the polar angle; by default `default_cells`, whose error against the reference
    layers stays below 0.05 %. Raises ValueError for values out of range.
    """
    layer = SphericalLayer(inner_radius, outer_radius, polar_start, polar_end, shear_modulus, bulk_modulus)
    return _solve(layer, _mesh(layer, checked_cells(layer, cells, smallest=2)))


def layer_stiffness_with_estimate(
    inner_radius: float,
    outer_radius: float,
    polar_start: float,
    polar_end: float,
    shear_modulus: float,
    bulk_modulus: float,
    *,
    cells: tuple[int, int] | None = None,
) -> LayerEstimate:
    """`layer_stiffness` with the mesh error estimated from a second mesh of cells twice as long; cells even.

    Halving the cells reduces the error of a stiffness (an energy) at least by 2^(2·0.5946) = 2.28, the rate
    left by the corners of free and bonded edges, so the error of the fine mesh is at most the difference over
    2.28 - 1. The grading towards the corners and the smooth part of the field converge faster: the estimate
    then lies some four to ten times above the true error, on the safe side. A difference can vanish by chance
    where parts of the error cancel; axial, radial and conical share the corner field, so none is taken below
    half of the largest.
    """
    layer = SphericalLayer(inner_radius, outer_radius, polar_start, polar_end, shear_modulus, bulk_modulus)
    across, along = checked_cells(layer, cells, smallest=4)
    if across % 2 or along % 2:
        raise ValueError(f"layer.cells = {(across, along)} must be even to be halved; add one cell")
    strengths = _grading(layer, (across, along))
    fine_mesh = _mesh(layer, (across, along), strengths)
    fine = _solve(layer, fine_mesh)
    coarse = _solve(layer, _mesh(layer, (across // 2, along // 2), strengths))
    return LayerEstimate(fine, _mesh_error(fine, coarse), (across, along), len(fine_mesh.nodes))


def default_cells(layer: SphericalLayer) -> tuple[int, int]:
    """Cells across the layer and along the polar angle: more across when the layer is shorter than thick."""
    return SHORT_LAYER_CELLS if layer.length_ratio < SHORT_LAYER else LONG_LAYER_CELLS


def _mesh_error(fine: LayerStiffness, coarse: LayerStiffness) -> MeshError:
    reduction = 2.0 ** (2.0 * CORNER_EXPONENT) - 1.0
    scale = {name: getattr(fine, name) for name in ("axial", "radial", "torsional", "conical")}
    scale["coupling"] = sqrt(fine.radial * fine.conical)
    error = {
        name: abs(getattr(coarse, name) - getattr(fine, name)) / (reduction * size)
        for name, size in scale.items()
    }
    floor = max(error["axial"], error["radial"], error["conical"]) / 2.0
    for name in ("axial", "radial", "conical"):
        error[name] = max(error[name], floor)
    return MeshError(**error)


def _grading(layer: SphericalLayer, cells: tuple[int, int]) -> tuple[float, float]:
    """Clustering (across, along) that makes the cells at the corners square in the map (ln r, θ)."""
    across, along = cells
    free_ends = sum(layer.free_ends)
    if free_ends == 0:
        return 0.0, 0.0
    if across <= along:
        corner = end_cell(across, CORNER_GRADING, both_ends=True) / layer.length_ratio
        return CORNER_GRADING, grading_strength(along, corner, both_ends=free_ends == 2)
    corner = end_cell(along, CORNER_GRADING, both_ends=free_ends == 2) * layer.length_ratio
    return grading_strength(across, corner, both_ends=True), CORNER_GRADING


def _mesh(
    layer: SphericalLayer, cells: tuple[int, int], strengths: tuple[float, float] | None = None
) -> GridMesh:
    """Cells even in (ln r, θ) apart from the clustering at bonded faces and free ends."""
    strength_across, strength_along = strengths or _grading(layer, cells)
    across = graded_line(cells[0], strength_across)
    low, high = layer.free_ends
    along = graded_line(cells[1], strength_along, low=low, high=high)
    radii = layer.inner_radius * (layer.outer_radius / layer.inner_radius) ** across
    return zone_mesh(radii, layer.polar_start + (layer.polar_end - layer.polar_start) * along)


def _solve(layer: SphericalLayer, mesh: GridMesh) -> LayerStiffness:
    rubber = ElementGroup(
        mesh.nodes, mesh.quads, "quad9", layer.shear_modulus, layer.bulk_modulus, mixed=True
    )
    axial = _face_stiffness(mesh, rubber, AXIAL_FIELD, ["axial"])
    torsional = _face_stiffness(mesh, rubber, TORSIONAL_FIELD, ["torsional"])
    lateral = _face_stiffness(mesh, rubber, LATERAL_FIELD, ["radial", "conical"])
    return LayerStiffness(
        axial=float(axial[0, 0]),
        radial=float(lateral[0, 0]),
        torsional=float(torsional[0, 0]),
        conical=float(lateral[1, 1]),
        coupling=float(lateral[0, 1]),
    )


def _face_stiffness(
    mesh: GridMesh, rubber: ElementGroup, field: Field, motions: Sequence[str]
) -> np.ndarray:
    """Stiffness matrix of rigid motions of the inner face against the held outer face."""
    shape = (len(mesh.nodes), len(field.components))
    held = np.zeros(shape, bool)
    held[mesh.inner] = held[mesh.outer] = True
    prescribed = np.zeros((*shape, len(motions)))
    for case, motion in enumerate(motions):
        prescribed[mesh.inner, :, case] = rigid_motion(mesh.nodes[mesh.inner], motion)
    return solve_harmonic(mesh.nodes, [rubber], field, held, prescribed).stiffness


def checked_cells(
    layer: SphericalLayer, cells: tuple[int, int] | None, *, smallest: int
) -> tuple[int, int]:
    """Whole numbers of cells across and along the layer; `default_cells` for None."""
    if cells is None:
        return default_cells(layer)
    try:
        across, along = cells
        fit = int(across) == across and int(along) == along and min(across, along) >= smallest and across * along <= MOST_CELLS
    except (TypeError, ValueError):
        fit = False
    if not fit:
        raise ValueError(
            f"layer.cells = {cells!r} must be two whole numbers of at least {smallest}, {MOST_CELLS} cells in all at most; "
            "give cells across and along, such as (6, 20)"
        )
    return int(across), int(along)
