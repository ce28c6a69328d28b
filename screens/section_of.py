"""The section of designs for drawing: the outlines of mechanics as the regions of the section widget."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from dossier.mechanics.section import regions
from dossier.methods.geometry import shape_of_design
from dossier.records.design import Design, carrier_word
from screens.widgets.section_shape import CallOut, Region, Section

FLATNESS = 0.05
LETTERS = {"eye": "E", "pin": "A", "core": "B", "ring": "D", "half_shell": "D", "layer": "C"}
# Part of a design record that each letter is about.
PARTS = {"pin": "A", "core": "B", "layer": "C", "carrier": "D", "eye": "E", "rest": "F"}
# Region named in a requirement, as a letter.
OF_REQUIREMENT = {"pin": "A", "core": "B", "layer": "C", "ring": "D", "half_shell": "D", "eye": "E"}


def regions_of(design: Design, reference: Design | None = None) -> list[Region]:
    """The regions of a design, changed ones marked against `reference`. Raises GeometryError."""
    outlines = regions(shape_of_design(design), "bolts")
    found = [
        Region(letter, [np.array([(z, max(0.0, r)) for r, z in loop]) for loop in outlines[name].polyline(FLATNESS)],
               changed=_another_material(letter, design, reference))
        for name, letter in LETTERS.items() if name in outlines
    ]  # fmt: skip
    return found if design.eye is None or "eye" in outlines else [_eye(design), *found]


def _eye(design: Design) -> Region:
    """The mating eye around the joint, as its record gives it."""
    eye = design.eye
    assert eye is not None
    half = eye.width / 2
    low, high = eye.bore_radius, eye.outer_radius
    return Region("E", [np.array([(-half, low), (half, low), (half, high), (-half, high)])])


def _another_material(letter: str, design: Design, reference: Design | None) -> bool:
    if reference is None or reference.id == design.id:
        return False
    return material_of(letter, design) != material_of(letter, reference)


def material_of(letter: str, design: Design) -> str:
    """Id of the material of a region, empty where none is named."""
    named = {"A": design.pin.material, "B": design.core.material, "C": design.layer.compound, "D": design.carrier.material}
    return named.get(letter, design.eye.material if letter == "E" and design.eye else "")


def section_of(reference: Design | None, variant: Design | None) -> Section:
    """Reference above the axis, variant below; the one there is in both halves. Raises GeometryError."""
    upper, lower = reference or variant, variant or reference
    if upper is None or lower is None:
        return Section((), ())
    names = ("reference" if upper.kind == "reference" else upper.id, lower.id if lower.kind == "variant" else "reference")
    return Section(regions_of(upper), regions_of(lower, upper), names, outer=carrier_word(upper, lower))


def region_names(section: Section) -> dict[str, str]:
    """Letter → name of each region."""
    return {"A": "pin", "B": "core", "C": "rubber", "D": section.outer, "E": "eye", "F": "rest"}


def modelled(section: Section, edges: tuple[float, float]) -> Section:
    """What the utilisation is computed for: without the eye, the pin up to its clamp edges (mm, reference and variant)."""
    upper, lower = (
        [replace(region, loops=[np.clip(loop, (-edge, 0.0), (edge, np.inf)) for loop in region.loops])
         for region in regions if region.key != "E"]
        for regions, edge in zip((section.reference, section.variant), edges, strict=True)
    )  # fmt: skip
    return replace(section, reference=upper, variant=lower)


MOST_CALL_OUTS = 6


def with_call_outs(section: Section, told: Sequence[tuple[str, str]]) -> Section:
    """The section with texts beside its lower half, each (letter of its region, text) at the height of the region."""
    middles = {region.key: region.loops[0].mean(axis=0) for region in section.variant}
    texts = [
        CallOut(letter, f"{letter} {text}", float(middles[letter][0]), float(middles[letter][1]), upper=False)
        for letter, text in told if letter in middles
    ][:MOST_CALL_OUTS]  # fmt: skip
    return replace(section, call_outs=texts)
