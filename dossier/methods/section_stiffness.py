"""Stiffness of the whole section with flexible pin and rings, with its band, and what the metal takes of the layer's."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from dossier import units
from dossier.methods.base import Basis, Method, Outcome, ResultField, Value
from dossier.methods.section_bands import MESH_LINE, CoarseSection, banded_values, section_causes
from dossier.methods.section_in import SectionInput, section_materials, section_shape
from dossier.methods.working import Working

if TYPE_CHECKING:
    from dossier.mechanics.layer import LayerStiffness
    from dossier.mechanics.section_mesh import MeshSize
    from dossier.mechanics.shapes import JointShape

DIRECTIONS = ("radial", "axial", "torsional", "conical", "coupling")
MESH = 1e-3
"""Difference `verify` accepts: another version of the triangulation may lay the triangles differently."""

CORE_IDLE = "_idle"

SECTION_BASIS = (
    "own finite elements for this one problem: Fourier harmonics 0 and 1 on the meridional section, nine-node "
    "quadrilaterals with discontinuous linear pressure for the rubber, six-node triangles for metal and core; checked "
    "against statics of the pin, rigid limits, and solid elements in space of the package scikit-fem for the layer"
)


class SectionStiffnessMethod(Method):
    """Axial, radial, torsional, conical stiffness and coupling of the joint between clamped pin and held eye."""

    id = "section.stiffness"
    version = 1
    title = "Stiffness of the whole section, metal flexible"
    step = "3"
    input_model = SectionInput
    results = (
        ResultField("radial", "N/mm", "radial stiffness", "kN/mm", "c_r", MESH),
        ResultField("axial", "N/mm", "axial stiffness", "kN/mm", "c_a", MESH),
        ResultField("torsional", "N·mm/rad", "torsional stiffness", "N·m/°", "c_t", MESH),
        ResultField("conical", "N·mm/rad", "conical stiffness, pin held against radial motion", "N·m/°", "c_k", MESH),
        ResultField("coupling", "N/rad", "radial force per unit tilt", symbol="c_rk", tolerance=MESH),
        ResultField("radial_idle", "N/mm", "radial stiffness, core carrying nothing", "kN/mm", "c_r′", MESH),
        ResultField("axial_idle", "N/mm", "axial stiffness, core carrying nothing", "kN/mm", "c_a′", MESH),
        ResultField("torsional_idle", "N·mm/rad", "torsional stiffness, core carrying nothing", "N·m/°", "c_t′", MESH),
        ResultField("conical_idle", "N·mm/rad", "conical stiffness, core carrying nothing", "N·m/°", "c_k′", MESH),
    )
    basis = Basis(
        "library", SECTION_BASIS,
        left_out=(
            "flats, bolt holes and crossing bores: the pin ends at the clamp edge and is held there over its whole section",
            "flexibility of bracket and bolts, often greater than the pin's; flexibility of the eye",
            "parting slots of half shells: they are computed as closed",
            "pre-stress, large strain, lift-off, slip, cavities, viscosity",
        ),
        valid_for=("small strain", "faces bonded, or held closed by pre-stress without slip"),
    )  # fmt: skip

    def run(self, given: SectionInput) -> Outcome:
        from dossier.mechanics.section_mesh import MeshSize

        joint, size = section_shape(given), MeshSize()
        nominal, nodes = _solved(given, joint, size)
        coarse = CoarseSection(given, joint, halved(size))
        values = banded_values(_named(nominal), lambda **changes: _named(_rounded(coarse.solve(**changes)[1].stiffness)),
                               section_causes(given, joint), _mesh_error)  # fmt: skip
        if joint.core.kind != "none":
            idle, _ = _solved(given, joint, size, core=False)
            values |= {name + CORE_IDLE: getattr(idle, name) for name in DIRECTIONS[:4]}
        outside = [
            f"the {face} face is held by friction: this method takes it as bonded and shows neither lift-off nor slip; "
            "layer.limits tells whether it stays closed and at rest"
            for face, kind in (("inner", given.inner_face), ("outer", given.outer_face)) if kind == "friction"
        ]  # fmt: skip
        return Outcome(values, outside=outside, detail={"stiffness": nominal, "nodes": nodes, "size": size, "joint": joint})

    def working(self, given: SectionInput, outcome: Outcome) -> Working:
        working, pin, ends = Working(), given.design.pin, given.design.pin.ends
        layer, arm = given.design.layer, _arm(outcome.detail["joint"])
        across, along = outcome.detail["size"].layer_cells
        working.fact("model", "meridional section of pin, core, rubber and rings or half shells between the two clamp edges")
        working.fact("held", "pin at both clamp edges; the outer cylinder of rings or half shells moved as a rigid body")
        working.fact("mesh", f"{across} cells across the layer, {along} along it, {outcome.detail['nodes']} nodes in all")
        error = max(_mesh_share(outcome, name) for name in DIRECTIONS[:4])
        working.fact("convergence", f"estimated mesh error at most {units.show(100 * error, 2)} % (all lengths doubled)")
        working.given("G", "shear modulus of the rubber", given.shear_modulus.value, "MPa")
        working.given("a", "inner radius of the layer", layer.inner_radius, "mm")
        working.given("b", "outer radius of the layer", layer.outer_radius, "mm")
        working.given("θ_1", "polar angle of the first free edge", layer.polar_start, "°")
        working.given("θ_2", "polar angle of the second free edge", layer.polar_end, "°")
        working.given("E_p", "Young's modulus of the pin", given.pin_modulus.value, "MPa")
        working.given("ν_p", "Poisson's ratio of the pin", given.pin_poisson.value, "-")
        working.given("D", "diameter of the neck", 2 * pin.neck_radius, "mm")
        working.given("d", "bore in the neck, 0 if solid", arm.bore, "mm")
        working.given("z_n", "where the arm begins, the bare sphere meeting the neck", arm.start, "mm")
        working.given("z_c", "clamp edge", ends.clamp_edge, "mm")
        working.line("c_L", "torsional stiffness of the layer between rigid faces, closed form",
                     "6·π·G·(cos(θ_2)³/3 − cos(θ_2) − cos(θ_1)³/3 + cos(θ_1))/(1/a³ − 1/b³)·π/180000", "N·m/°",
                     "exact for free conical faces and an outer face without gap")  # fmt: skip
        working.line("c_p", "torsional stiffness of the two arms of the pin",
                     "2·E_p/(2·(1 + ν_p))·π·(D⁴ − d⁴)/32/(z_c − z_n)·π/180000", "N·m/°", "textbook identity")  # fmt: skip
        working.line("c_x", "both in series", "1/(1/c_L + 1/c_p)", "N·m/°", result=True)
        torsional = outcome.values["torsional"]
        assert isinstance(torsional, Value)
        closed = units.convert(1 / (1 / working.values["c_L"] + 1 / working.values["c_p"]), "N·m/°", "N·mm/rad")
        deviation = 100 * (torsional.value / closed - 1)
        reason = "; the gap between the rings takes away the rest" if given.design.carrier.kind == "rings" else ""
        told = f"finite elements, torsional, against the closed form: {units.show_signed(deviation, 3)} %{reason}"
        working.fact("cross-check", told)
        return working


@dataclass(frozen=True)
class _Arm:
    """Arm of the pin for the cross-check: where it begins (mm), and the bore in it (mm)."""

    start: float
    bore: float


def _arm(joint: JointShape) -> _Arm:
    from dossier.mechanics.shapes import ball_contour

    start = ball_contour(joint.pin).neck_line
    middle = (start + joint.pin.ends.clamp_edge) / 2
    bores = [bore.diameter for bore in joint.pin.bores if bore.start < middle < bore.end]
    return _Arm(start, max(bores, default=0.0))


def _solved(given: SectionInput, joint: JointShape, size: MeshSize, *, core: bool = True) -> tuple[LayerStiffness, int]:
    from dossier.mechanics.whole_section import section_stiffness

    solution = section_stiffness(joint, section_materials(given, core=core), size=size)
    return _rounded(solution.stiffness), len(solution.mesh.nodes)


def _rounded(stiffness: LayerStiffness) -> LayerStiffness:
    """The triangles of a symmetric section are not mirrored: what that leaves of the coupling is dropped."""
    small = 1e-5 * (stiffness.radial * stiffness.conical) ** 0.5
    return stiffness if abs(stiffness.coupling) > small else replace(stiffness, coupling=0.0)


def _named(stiffness: LayerStiffness) -> dict[str, float]:
    return {name: getattr(stiffness, name) for name in DIRECTIONS}


def _mesh_error(_name: str, value: float, coarse: float) -> float:
    """Extrapolated with the order at which the corners of the layer let the stiffness converge."""
    from dossier.mechanics.layer import CORNER_EXPONENT

    return abs(coarse - value) / (2.0 ** (2.0 * CORNER_EXPONENT) - 1.0)


def halved(size: MeshSize) -> MeshSize:
    """The mesh with all lengths doubled, for the estimate of its error."""
    across, along = size.layer_cells
    return replace(size, layer_cells=(across // 2, along // 2), coarse=2 * size.coarse, fillet_sides=size.fillet_sides // 2)


def _mesh_share(outcome: Outcome, name: str) -> float:
    value = outcome.values[name]
    assert isinstance(value, Value)
    return sum(line.plus for line in value.contributions if line.cause == MESH_LINE) / value.value


METHODS: tuple[Method, ...] = (SectionStiffnessMethod(),)
