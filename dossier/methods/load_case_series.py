"""What stands in series with the layer under a load case: metal of the section and clamp of the pin's ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dossier.methods.base import InputError
from dossier.methods.layer import without_roundoff
from dossier.methods.layer_curve_case import as_in_the_section
from dossier.methods.layer_finite import FiniteLayerInput, law_of, spherical_layer
from dossier.records.base import q

if TYPE_CHECKING:
    from dossier.mechanics.compliance import MetalCompliance

SECTION = ("section_radial", "section_axial", "section_torsional", "section_conical")


class SeriesInput(FiniteLayerInput):
    """The assembled layer, the stiffnesses of its whole section and those of the clamp."""

    section_radial: float | None = q("N/mm", "radial stiffness of a section.stiffness, which tells pin and rings in series",
                                     None, above=0, symbol="c_sr")  # fmt: skip
    section_axial: float | None = q("N/mm", "axial stiffness of the same section", None, above=0, symbol="c_sa")
    section_torsional: float | None = q("N·mm/rad", "torsional stiffness of the same section", None, above=0, symbol="c_st")
    section_conical: float | None = q("N·mm/rad", "conical stiffness of the same section", None, above=0, symbol="c_sk")
    section_coupling: float = q("N/rad", "radial force per unit tilt of the same section", 0.0)
    clamp_radial: float | None = q("N/mm", "radial stiffness of bracket and clamp", None, above=0, symbol="c_er")
    clamp_axial: float | None = q("N/mm", "axial stiffness of bracket and clamp", None, above=0, symbol="c_ea")
    clamp_torsional: float | None = q("N·mm/rad", "torsional stiffness of bracket and clamp", None, above=0, symbol="c_et")
    clamp_conical: float | None = q("N·mm/rad", "conical stiffness of bracket and clamp", None, above=0, symbol="c_ek")


def metal_of(given: SeriesInput) -> MetalCompliance:
    """Compliance of all metal in series; 0 where nothing is given. Raises InputError for a section that does not fit."""
    from dossier.mechanics.compliance import MetalCompliance

    clamp = {name: 1.0 / value for name in ("axial", "radial", "torsional", "conical")
             if (value := getattr(given, f"clamp_{name}")) is not None}  # fmt: skip
    return _section_metal(given) + MetalCompliance(**clamp)


def _section_metal(given: SeriesInput) -> MetalCompliance:
    from dossier.mechanics.compliance import MetalCompliance
    from dossier.mechanics.layer import LayerStiffness
    from dossier.mechanics.prestress import pre_stressed_layer

    missing = [name for name in SECTION if getattr(given, name) is None]
    if len(missing) == len(SECTION):
        if given.section_coupling:
            raise InputError(f"section_coupling = {given.section_coupling:g} N/rad is given without {', '.join(SECTION)}; "
                             "take all of them from the same section.stiffness, or leave it out")  # fmt: skip
        return MetalCompliance()
    if missing:
        raise InputError(f"{', '.join(missing)} missing beside the other stiffnesses of the section; take all four, and the "
                         "coupling, from the same section.stiffness, or leave all out for rigid metal")  # fmt: skip
    before = pre_stressed_layer(spherical_layer(given), law=law_of(given), assembly=as_in_the_section(given))
    layer = without_roundoff(before.stiffness)
    whole = LayerStiffness(*(getattr(given, f"section_{name}")
                             for name in ("axial", "radial", "torsional", "conical", "coupling")))  # fmt: skip
    for name in ("axial", "radial", "torsional", "conical"):
        section, alone = getattr(whole, name), getattr(layer, name)
        if section >= alone:
            unit = "N·mm/rad" if name in ("torsional", "conical") else "N/mm"
            raise InputError(f"section_{name} = {section:g} {unit} must be below that of the layer alone, {alone:.6g} {unit}; "
                             "take it from a section.stiffness of the same design, or leave it out for rigid metal")  # fmt: skip
    first, second = MetalCompliance.of(whole), MetalCompliance.of(layer)
    names = ("axial", "radial", "torsional", "conical", "coupling")
    try:
        return MetalCompliance(**{name: getattr(first, name) - getattr(second, name) for name in names})
    except ValueError as error:
        raise InputError(f"the stiffnesses of the section do not fit its layer: {error}; take all from the same "
                         "section.stiffness of this design") from None  # fmt: skip
