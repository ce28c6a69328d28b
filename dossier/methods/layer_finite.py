"""What the methods of the layer at finite strain read, and how it becomes layer, law and assembly of mechanics."""

from __future__ import annotations

from math import pi, radians
from typing import TYPE_CHECKING, Any, Literal

from dossier import units
from dossier.methods.base import Contribution, InputError
from dossier.methods.layer import LayerBodyInput
from dossier.records.base import q

if TYPE_CHECKING:
    from dossier.mechanics.hyperelastic import StrainEnergy
    from dossier.mechanics.layer import SphericalLayer
    from dossier.mechanics.prestress import RingTravel, ShellClosing

LAWS = {"neo_hookean": (), "mooney_rivlin": ("c10", "c01"), "yeoh": ("c10", "c20", "c30")}
LAW_WORDS = {
    "neo_hookean": "neo-Hooke from G",
    "mooney_rivlin": "Mooney–Rivlin with two terms",
    "yeoh": "Yeoh",
}
MEAN_CLOSING = 2.0 / pi
"""Mean radial travel around the axis of two half shells, each closed by 1 along a line."""

MESH_ORDER = 1.19
"""Order of the mesh error of a stiffness, from the edges between bonded and free faces (see mechanics.layer)."""

SMALL_STRAIN_DIFFERENCE = 0.02

CREASE = 0.35
"""Compression along a free rubber surface at which it creases in plane strain. Source: Hong, Zhao, Suo, Appl. Phys. Lett.
95 (2009) 111901, from memory."""

FINITE_BASIS = (
    "own finite elements at finite strain for this one problem: nine-node quadrilaterals with discontinuous linear pressure, "
    "Newton's method with step halving; checked against exact solutions of inflated spheres, compressed tubes and twisted "
    "cylinders, and against solid elements in space of the package felupe"
)
FINITE_LEFT_OUT = (
    "slip and lift-off: both faces move with pin and rings or half shells",
    "uneven closing of half shells around the axis: the mean radial travel is applied (about 1 % of the radial stiffness)",
    "creases of the rubber in the gap between two rings, and its flow over their edges: it may bulge there, led by the edges "
    "(a surface free to pass over them left 5 % less radial stiffness and 8 % less force of assembly in one comparison)",
    "viscosity, softening by the first loads, set and relaxation with time",
    "cavities; flexibility of rings, shells and eye",
)
FINITE_VALID_FOR = (
    "both faces bonded, or held closed without slip",
    "dimensions of the layer as moulded, before assembly",
)


class FiniteLayerInput(LayerBodyInput):
    """The moulded layer, its law, and the operations of assembly in their order."""

    carrier: Literal["rings", "half_shells"] = q("-", "two rings or two half shells", link="design.carrier.kind")
    travel: float | None = q("mm", "axial travel of each ring at assembly", None, at_least=0, symbol="s",
                             link="design.carrier.travel")  # fmt: skip
    gap: float | None = q("mm", "axial gap between the rings after assembly", None, at_least=0, symbol="g",
                          link="design.carrier.gap")  # fmt: skip
    closing: float | None = q("mm", "radial closing of each half shell when pressed in", None, at_least=0, symbol="δ",
                              link="design.carrier.closing")  # fmt: skip
    press_in: float = q("mm", "by how much the radius of the rings' bore shrinks when they are pressed into the eye", 0.0,
                        at_least=0, symbol="u_e")  # fmt: skip
    free_surface: Literal["straight", "concave"] = q("-", "form of the free faces", "straight",
                                                     link="design.layer.free_surface")  # fmt: skip
    edge_fillet: float = q("mm", "fillet radius of straight free faces at the bonded edges", 0.0, at_least=0, symbol="r_f",
                           link="design.layer.edge_fillet")  # fmt: skip
    hollow_depth: float = q("mm", "depth of concave free faces", 0.0, at_least=0, symbol="h_f",
                            link="design.layer.hollow_depth")  # fmt: skip
    law: Literal["neo_hookean", "mooney_rivlin", "yeoh"] = q(
        "-", "neo_hookean takes G; mooney_rivlin and yeoh take the coefficients, as of a rubber.fit", "neo_hookean")
    c10: float | None = q("MPa", "coefficient of I1 − 3", None, symbol="C_10")
    c01: float | None = q("MPa", "coefficient of I2 − 3, Mooney–Rivlin", None, symbol="C_01")
    c20: float | None = q("MPa", "coefficient of (I1 − 3)², Yeoh", None, symbol="C_20")
    c30: float | None = q("MPa", "coefficient of (I1 − 3)³, Yeoh", None, symbol="C_30")


class FrictionFaceInput(FiniteLayerInput):
    """The assembled layer with what an outer face held by friction needs."""

    friction: float | None = q("-", "friction coefficient between rubber and rings or half shells, for an outer face held by "
                               "friction", None, at_least=0)  # fmt: skip
    edge_radius: float = q("mm", "radius of the ring edges at the gap, for an outer face held by friction", 0.3, above=0)


def law_of(given: FiniteLayerInput, factor: float = 1.0) -> StrainEnergy:
    """The law, all coefficients times `factor`. Raises InputError for coefficients that are missing or too many."""
    from dossier.mechanics import hyperelastic

    needed = LAWS[given.law]
    for name in ("c10", "c01", "c20", "c30"):
        if name in needed and getattr(given, name) is None:
            raise InputError(f"{name} has no value though law = {given.law}; link it to a rubber.fit, "
                             f'such as {{ record = "C-020", field = "{name}" }}, or choose neo_hookean')  # fmt: skip
        if name not in needed and getattr(given, name):
            raise InputError(f"{name} = {getattr(given, name):g} MPa is given, which the law {given.law} has not; leave it out "
                             "or choose the law it belongs to")  # fmt: skip
    if given.law == "neo_hookean":
        return hyperelastic.NeoHookean(factor * given.shear_modulus.value)
    coefficients = {name: factor * getattr(given, name) for name in needed}
    return (hyperelastic.Yeoh if given.law == "yeoh" else hyperelastic.MooneyRivlin)(**coefficients)


def material_at(given: FiniteLayerInput, **changed: float) -> tuple[StrainEnergy, float]:
    """Law and bulk modulus at the values, or at `changed` shear_modulus or bulk_modulus (MPa).

    A changed shear modulus scales all coefficients of the law alike.
    """
    factor = changed.get("shear_modulus", given.shear_modulus.value) / given.shear_modulus.value
    return law_of(given, factor), changed.get("bulk_modulus", given.bulk_modulus.value)


def spherical_layer(given: FiniteLayerInput, **changed: float) -> SphericalLayer:
    """The checked layer with its free faces, at `changed` moduli as in `material_at`; raises ValueError."""
    from dossier.mechanics.layer import SphericalLayer
    from dossier.mechanics.shapes import FreeSurface

    law, bulk = material_at(given, **changed)
    free = FreeSurface(given.free_surface, given.edge_fillet, given.hollow_depth)
    return SphericalLayer(given.inner_radius, given.outer_radius, radians(given.polar_start), radians(given.polar_end),
                          law.small_strain_shear_modulus, bulk, free)  # fmt: skip


def free_faces_in_words(given: FiniteLayerInput) -> str:
    """The form of the free faces that the mesh follows."""
    if given.free_surface == "concave":
        return f"concave, {units.show(given.hollow_depth, 3)} mm deep; the mesh follows them"
    if given.edge_fillet:
        return f"straight with fillets of {units.show(given.edge_fillet, 3)} mm; the mesh follows them"
    return "straight along the polar rays"


def half_cells(layer: SphericalLayer, *, coarse: bool = False) -> tuple[int, int]:
    """The mesh with all lengths doubled, for the estimate of its error."""
    from dossier.mechanics.finite_layer import finite_cells

    across, along = finite_cells(layer, coarse=coarse)
    return across // 2, along // 2


def mesh_line(value: float, coarse: float) -> Contribution:
    """Estimated mesh error from the value of the mesh with doubled lengths."""
    error = abs(coarse - value) / (2.0**MESH_ORDER - 1.0)
    return Contribution("mesh", -error, error)


def travel_of(given: FiniteLayerInput) -> float:
    """Travel of each ring, or closing of each half shell, in mm. Raises InputError without a value."""
    name = "travel" if given.carrier == "rings" else "closing"
    value = getattr(given, name)
    if value is None:
        raise InputError(f"{name} has no value; give the pre-stress of the assembly in the design, 0 for none")
    return value


def assembly_of(given: FiniteLayerInput, *, unstressed: bool = False) -> RingTravel | ShellClosing:
    """The first operation of assembly; `unstressed` the same parts before it."""
    from dossier.mechanics.prestress import RingTravel, ShellClosing

    travel = travel_of(given)
    if given.carrier == "half_shells":
        if given.press_in:
            raise InputError(f"press_in = {given.press_in:g} mm does not go with half shells, which are closed by pressing in; "
                             "give it as closing")  # fmt: skip
        return ShellClosing(0.0 if unstressed else MEAN_CLOSING * travel)
    if given.gap is None:
        raise InputError("gap has no value; give the gap between the rings after assembly in the design, 0 for none")
    before = gap_before(given)
    if before == 0:
        return ShellClosing(0.0)
    return RingTravel(0.0 if unstressed else travel, before)


def gap_before(given: FiniteLayerInput) -> float:
    """Gap between the rings before assembly, in mm."""
    return (given.gap or 0.0) + 2.0 * (given.travel or 0.0)


def press_in_of(given: FiniteLayerInput, *, unstressed: bool = False) -> float:
    """Shrinkage of the bore in mm."""
    return 0.0 if unstressed else given.press_in


def outside_faces(given: FiniteLayerInput, *, followed: bool = False) -> list[str]:
    """What a face held by friction means for the result, in words; `followed`: results with friction stand beside it."""
    told = []
    for face, kind in (("inner", given.inner_face), ("outer", given.outer_face)):
        if kind != "friction":
            continue
        if face == "outer" and followed:
            told.append("the outer face is held by friction: all but the results with friction, which stand beside them, are "
                        "those of a bonded face")  # fmt: skip
        else:
            told.append(f"the {face} face is held by friction: this method takes it as bonded and shows neither lift-off nor "
                        "slip; layer.limits tells whether it stays closed and at rest")  # fmt: skip
    return told


def law_warnings(given: FiniteLayerInput) -> list[str]:
    """That the fitted law and the compound's G disagree, where they do."""
    fitted, stated = law_of(given).small_strain_shear_modulus, given.shear_modulus.value
    if abs(fitted / stated - 1.0) <= SMALL_STRAIN_DIFFERENCE:
        return []
    return [f"the law has G = {fitted:.3g} MPa at small strain, shear_modulus is {stated:.3g} MPa: the law counts, and the band "
            "of shear_modulus is taken in proportion"]  # fmt: skip


def gap_warnings(given: FiniteLayerInput) -> list[str]:
    """That the rubber in the gap between two rings is pressed together so far that it creases."""
    if given.carrier != "rings" or not given.travel or given.gap is None:
        return []
    closed = 2.0 * given.travel / gap_before(given)
    if closed <= CREASE:
        return []
    return [f"the gap between the rings closes by {100 * closed:.0f} % of its width; a free rubber surface creases from about "
            f"{100 * CREASE:.0f} % on: look at the rubber there, or give a wider gap or a groove"]  # fmt: skip


def banded_inputs(given: FiniteLayerInput) -> dict[str, tuple[str, Any]]:
    """The causes whose bands move the results, as `bands.band_causes` wants them."""
    return {
        "shear modulus (hardness)": ("shear_modulus", given.shear_modulus),
        "bulk modulus": ("bulk_modulus", given.bulk_modulus),
    }
