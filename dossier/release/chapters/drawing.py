"""The section of both parts from the one geometry: outlines of mechanics, hatched and dimensioned on paper."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier import units
from dossier.mechanics.section import regions
from dossier.mechanics.shapes import GeometryError, JointShape
from dossier.methods.geometry import shape_of_design
from dossier.methods.shapes_in import PinIn
from dossier.records.design import Design, Pin
from dossier.release.kit import Kit
from dossier.release.outlines import Half, Region
from dossier.release.section import Dimension, SectionDrawing, SmallSection
from dossier.store.project import Project

KEYS = {"ring": "D", "half_shell": "D", "pin": "A", "core": "B", "layer": "C"}
NAMES = {"A": "pin", "B": "core", "C": "rubber", "E": "eye", "F": "further parts"}
FLATNESS = 0.02


def half_of(design: Design, reference: Design | None) -> Half:
    """The outlines of a design for drawing. Raises GeometryError."""
    drawn = [*_eye(design, reference), *voids(design.pin)]
    for name, outlines in part_outlines(shape_of_design(design)).items():
        drawn.append(Region(KEYS[name], outlines, changed=bool(reference) and _differs(design, reference, name)))
    return Half(f"{'reference' if design.kind == 'reference' else 'variant'} {design.part_number or design.id}",
                tuple(drawn), (design.title, *_not_in_section(design), *_without_outline(design)))  # fmt: skip


def part_outlines(shape: JointShape) -> dict[str, tuple[tuple[tuple[float, float], ...], ...]]:
    """Outlines (z, r) in mm by the name of each part that is there, in the order of painting. Raises GeometryError."""
    parts = regions(shape, "bolts")
    return {
        name: tuple(tuple((float(z), max(0.0, float(r))) for r, z in line) for line in parts[name].polyline(FLATNESS))
        for name in KEYS if name in parts
    }  # fmt: skip


def _eye(design: Design, reference: Design | None) -> list[Region]:
    """The eye of the link around the joint; broken off outside."""
    if design.eye is None:
        return []
    eye, half = design.eye, design.eye.width / 2
    outline = ((-half, eye.bore_radius), (half, eye.bore_radius), (half, eye.outer_radius), (-half, eye.outer_radius))
    return [Region("E", (outline,), changed=bool(reference) and _differs(design, reference, "eye"))]


def voids(pin: Pin | PinIn) -> list[Region]:
    """What is seen through bolt holes and bores that are not filled: their edges, white between."""
    ends = pin.ends
    height, hole = ends.flat_thickness / 2 or pin.neck_radius, ends.hole_diameter / 2
    boxes = [(side * ends.hole_distance / 2 - hole, side * ends.hole_distance / 2 + hole, height) for side in (-1, 1)]
    boxes += [(bore.start, bore.end, bore.diameter / 2) for bore in pin.bores if not bore.filled]
    return [Region("", tuple(((a, 0.0), (b, 0.0), (b, r), (a, r)) for a, b, r in boxes))]


def _not_in_section(design: Design) -> tuple[str, ...]:
    """The slots between half shells: the section runs through the shells."""
    carrier = design.carrier
    return (f"parting gap {units.show(carrier.parting_gap, 3)} mm, not in this section",) if carrier.kind == "half_shells" else ()


def _without_outline(design: Design) -> tuple[str, ...]:
    """Parts that are known by mass and place only: told, not drawn."""
    parts = [f"{part.name} at {units.show(part.position, 3)} mm" for part in design.rest]
    return ("known by mass and place only, not drawn:", *parts) if parts else ()


def _differs(design: Design, reference: Design | None, name: str) -> bool:
    if reference is None or reference.id == design.id:
        return False
    field = {"ring": "carrier", "half_shell": "carrier"}.get(name, name)
    return getattr(design, field) != getattr(reference, field)


def halves(project: Project) -> tuple[Half, Half] | None:
    """Reference and variant, or None while one of them is missing or cannot be built."""
    if project.reference is None or project.variant is None:
        return None
    try:
        return half_of(project.reference, None), half_of(project.variant, project.reference)
    except GeometryError:
        return None


def small_section(kit: Kit, project: Project) -> Flowable | None:
    """The small section of page 1."""
    both = halves(project)
    return SmallSection(kit, *both) if both else None


def section(kit: Kit, project: Project) -> Flowable:
    """The section at full size, or a sentence that says why there is none."""
    both = halves(project)
    if both is None:
        return kit.paragraph(
            "No section: the reference part or the variant is missing, or its dimensions conflict."
        )
    return SectionDrawing(kit, *both, dimensions(project))


def dimensions(project: Project) -> list[Dimension]:
    """Dimensions of the bores of the variant, and the width of its rings or shells."""
    variant = project.variant
    if variant is None:
        return []
    found = []
    if variant.pin.bores:
        bore = variant.pin.bores[0]
        found.append(
            _dimension("variant", (_middle(bore.start, bore.end), 0), bore.diameter / 2, bore.diameter)
        )
    width = variant.carrier.half_width
    outer = variant.carrier.outer_radius
    text = units.show(2 * width, 3)
    found.append(Dimension("reference", (-width, outer), (width, outer), text))
    return found


def _middle(start: float, end: float) -> float:
    return start + (end - start) * 0.7


def _dimension(half: str, start: tuple[float, float], radius: float, diameter: float) -> Dimension:
    return Dimension(half, start, (start[0], radius), f"⌀{units.show(diameter, 3)} (ref –)")
