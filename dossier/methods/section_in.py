"""What the methods of the whole section read, and how it becomes shapes, materials and loads of mechanics."""

from __future__ import annotations

from dataclasses import dataclass
from math import radians
from typing import TYPE_CHECKING

from dossier.methods.base import InputError, MethodInput
from dossier.methods.shapes_in import CarrierIn, CoreIn, LayerIn, PinIn, joint_shape
from dossier.records.base import Banded, Part, q, reduced
from dossier.records.design import Face, Tolerance
from dossier.records.load import Block, LoadCase

if TYPE_CHECKING:
    from dossier.mechanics.layer import LayerStiffness
    from dossier.mechanics.section_stress import Motion
    from dossier.mechanics.shapes import JointShape
    from dossier.mechanics.whole_section import Materials

BlockIn = reduced(Block, "cycles", "frequency")
LoadIn = reduced(LoadCase, "title", "cycles", "origin", "source", "remark", "temperature", blocks=list[BlockIn])


class SectionShapeIn(Part):
    """Dimensions of the meridional section."""

    pin: PinIn
    core: CoreIn = CoreIn()
    layer: LayerIn
    carrier: CarrierIn


class SectionInput(MethodInput):
    """Section, elastic constants of pin, core, rubber and rings or half shells, tolerances of the layer's radii."""

    design: SectionShapeIn = q("-", "dimensions of the section", link="design")
    pin_modulus: Banded = q("MPa", "Young's modulus of the pin", symbol="E_p", link="design.pin.material->youngs_modulus")
    pin_poisson: Banded = q("-", "Poisson's ratio of the pin", symbol="ν_p", link="design.pin.material->poisson_ratio")
    carrier_modulus: Banded = q(
        "MPa", "Young's modulus of rings or half shells", symbol="E_s", link="design.carrier.material->youngs_modulus")
    carrier_poisson: Banded = q(
        "-", "Poisson's ratio of rings or half shells", symbol="ν_s", link="design.carrier.material->poisson_ratio")
    core_modulus: Banded | None = q(
        "MPa", "Young's modulus of the core", None, symbol="E_c", link="design.core.material->youngs_modulus")
    core_poisson: Banded | None = q(
        "-", "Poisson's ratio of the core", None, symbol="ν_c", link="design.core.material->poisson_ratio")
    shear_modulus: Banded = q(
        "MPa", "shear modulus of the rubber, with its band from hardness", symbol="G",
        link="design.layer.compound->shear_modulus")
    bulk_modulus: Banded = q(
        "MPa", "bulk modulus of the rubber, with its band", symbol="K", link="design.layer.compound->bulk_modulus")
    inner_face: Face = q("-", "how the rubber is held on the pin", "bonded", link="design.layer.inner_face")
    outer_face: Face = q("-", "how the rubber is held in rings or half shells", "bonded", link="design.layer.outer_face")
    inner_tolerance: Tolerance | None = q(
        "mm", "deviations of the layer's inner radius", None, link="design.tolerances.layer.inner_radius")
    outer_tolerance: Tolerance | None = q(
        "mm", "deviations of the layer's outer radius", None, link="design.tolerances.layer.outer_radius")


class LoadedInput(SectionInput):
    """A section under load cases: all of the project unless one is linked."""

    loads: list[LoadIn] = q("-", "load cases; one of them: { record = \"L-03\" }", link="loads", remedy="record a load case")


@dataclass(frozen=True)
class Load:
    """Forces (N) and angles (rad) that act together; `name` is the load case, with the block if it has some."""

    name: str
    radial: float
    axial: float
    torsion: float
    tilt: float


def section_shape(given: SectionInput) -> JointShape:
    """The checked shape; raises GeometryError or InputError."""
    joint = joint_shape(given.design)  # type: ignore[arg-type]
    if joint.core.kind != "none" and (given.core_modulus is None or given.core_poisson is None):
        raise InputError(
            f"core.kind = '{joint.core.kind}' needs core_modulus and core_poisson; give the core a material that has both")
    return joint


def section_materials(given: SectionInput, *, core: bool = True, **changed: float) -> Materials:
    """Materials at their values, or at `changed` ones (names of the inputs); without `core` the core carries nothing."""
    from dossier.mechanics.whole_section import Elastic, Materials

    def value(name: str) -> float:
        return changed.get(name, getattr(given, name).value)

    filled = core and given.design.core.kind != "none"
    return Materials(
        Elastic(value("pin_modulus"), value("pin_poisson")), Elastic(value("carrier_modulus"), value("carrier_poisson")),
        value("shear_modulus"), value("bulk_modulus"),
        Elastic(value("core_modulus"), value("core_poisson")) if filled else None)


def loads_of(given: LoadedInput) -> list[Load]:
    """The load cases; each level of a programme is one. Raises InputError when none of them loads the joint."""
    found = []
    for case in given.loads:
        levels = case.blocks or [case]
        for number, level in enumerate(levels, start=1):
            name = f"{case.id} block {number}" if case.blocks else case.id
            load = Load(name, abs(level.radial), abs(level.axial), radians(abs(level.torsion)), radians(abs(level.tilt)))
            if load.radial or load.axial or load.torsion or load.tilt:
                found.append(load)
    if not found:
        raise InputError("loads hold no force and no angle; record one in a load case, such as radial = 11 kN")
    return found


def motion_of(stiffness: LayerStiffness, load: Load, prestress: float = 0.0) -> Motion:
    """Motion of the eye under a load."""
    from dossier.mechanics.section_stress import motion_under

    return motion_under(stiffness, radial_force=load.radial, axial_force=load.axial, torsion=load.torsion, tilt=load.tilt,
                        prestress=prestress)  # fmt: skip
