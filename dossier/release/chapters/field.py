"""The utilisation of a section as a picture, from the stored input of `section.strength`."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.told_numbers import digits_of
from dossier.mechanics.idle_steel import CLAMP_ZONE
from dossier.methods.registry import all_methods
from dossier.methods.section_field import PartField, UtilisationField, field_of_case
from dossier.methods.section_in import section_shape
from dossier.methods.section_strength import SectionStrengthInput, SectionStrengthMethod
from dossier.records.calculation import Calculation
from dossier.records.design import Design
from dossier.release.chapters.drawing import KEYS, part_outlines, voids
from dossier.release.chapters.rebuilt import Rebuilt, rebuilt
from dossier.release.contours import TriangleField
from dossier.release.facts import Facts
from dossier.release.field import FieldDrawing, FieldHalf, Mark
from dossier.release.flow import Wide, block
from dossier.release.kit import Kit
from dossier.release.outlines import Half, Region

NAMES = {"pin": "pin", "core": "core", "ring": "rings", "half_shell": "half shells"}


def field_block(kit: Kit, facts: Facts, record: Calculation) -> list[Flowable]:
    """The field of a calculation of `section.strength`, nothing for others; a sentence where it cannot be drawn."""
    if record.method != SectionStrengthMethod.id:
        return []
    shown = _half_of(facts, record)
    if isinstance(shown, str):
        return [block(kit, "Utilisation", [kit.paragraph(shown, "small")])]
    reference, missing = _reference(facts, record)
    halves = [reference, shown] if reference else [shown]
    content: list[Flowable] = [Wide(kit, FieldDrawing(kit, *halves)), kit.paragraph(_caption(halves), "caption")]
    content += [kit.paragraph(missing, "small")] if missing else []
    return [block(kit, "Utilisation", content, "largest of all load cases")]


def _reference(facts: Facts, record: Calculation) -> tuple[FieldHalf | None, str]:
    """The field of the reference that the calculation names, or why there is none."""
    if not record.reference or record.reference == record.design:
        return None, ""
    found = [one for one in facts.project.calculations
             if one.method == record.method and one.design == record.reference and one.result]  # fmt: skip
    if not found:
        return None, f"No field of {record.reference} beside it: there is no calculated {record.method} of it."
    half = _half_of(facts, found[0])
    return (None, half) if isinstance(half, str) else (half, "")


def _half_of(facts: Facts, record: Calculation) -> FieldHalf | str:
    """What is drawn of a calculation, once per issue, or a sentence why nothing is."""
    return facts.once(("field", record.id), lambda: _drawn(facts, record))


def _drawn(facts: Facts, record: Calculation) -> FieldHalf | str:
    method = all_methods()[record.method]
    again, remedy = rebuilt(facts, record, method), f"calculate {record.id} again"
    if isinstance(again, str):
        return f"The field of {record.id} cannot be drawn: {again}; {remedy}."
    assert record.result is not None
    stored, now = record.result.value("pin_stress"), again.outcome.values["pin_stress"].value
    tolerance = method.result_field("pin_stress").tolerance
    if stored is None or stored.value is None or abs(now - stored.value) > tolerance * abs(stored.value):
        was = "not stored" if stored is None or stored.value is None else f"{units.show(stored.value, 5)} MPa in its result"
        return (f"The field of {record.id} is not drawn: from the stored input the greatest stress of the pin now comes out "
                f"as {units.show(now, 5)} MPa and is {was}; {remedy}.")  # fmt: skip
    design = facts.project.find(record.design)
    name = _name(design) if isinstance(design, Design) else record.design
    return _half(f"{name}, {record.id}", again)


def _name(design: Design) -> str:
    return f"{'reference' if design.kind == 'reference' else 'variant'} {design.part_number or design.id}"


def _half(label: str, again: Rebuilt) -> FieldHalf:
    given: SectionStrengthInput = again.given
    field = field_of_case(given, again.outcome.detail["case"])
    pin = given.design.pin
    held = float(pin.ends.clamp_edge)
    read = held - CLAMP_ZONE * pin.neck_radius
    regions = [*voids(pin), *(Region(KEYS[name], lines) for name, lines in part_outlines(section_shape(given)).items())]
    fields = {KEYS[name]: TriangleField(part.points[:, ::-1], part.triangles, part.utilisation)
              for name, part in field.parts.items()}  # fmt: skip
    marks = [_mark(name, part) for name, part in field.parts.items()]
    half = Half(label, tuple(regions), (_idle_words(field), _contour_words(field)))
    return FieldHalf(half, fields, marks, held, read, field.idle_below, field.contour[:, ::-1])


def _mark(name: str, part: PartField) -> Mark:
    """The highest value of a part where it is read."""
    r, z = part.highest.place
    return Mark((z, r), f"{part.highest.share:.2f} highest of the {NAMES[name]}, {part.highest.load}")


def _idle_words(field: UtilisationField) -> str:
    mass, share = field.idle["idle_mass"], field.idle["idle_share"]
    grams = f"{units.show_quantity(mass, 'kg', 'g', digits_of('kg'))} of the pin's steel between the held edges"
    return f"idle under all load cases, below {field.idle_below:.2f}: {grams}, {units.show(100 * share, 3)} %"


def _contour_words(field: UtilisationField) -> str:
    """The free contour in numbers."""
    if not len(field.contour):
        return "no free contour in the idle steel"
    mass, volume, across, along = (field.idle[f"contour_{name}"] for name in ("mass", "volume", "diameter", "length"))
    return (f"largest free contour in it: {units.show_quantity(mass, 'kg', 'g', digits_of('kg'))}, "
            f"{units.show_quantity(volume, 'mm³', 'cm³')}, ⌀ {across:.1f} mm, length {along:.1f} mm")  # fmt: skip


def _caption(halves: list[FieldHalf]) -> str:
    above = "Above the axis the reference, below it the variant. " if len(halves) > 1 else ""
    reads = " and ".join(sorted({f"{one.held - one.read:.1f} mm" for one in halves}))
    blank = "" if all("B" in one.fields or all(r.key != "B" for r in one.half.regions) for one in halves) else (
        " The core is left without a field: its strength is not given.")  # fmt: skip
    return (f"{above}Von Mises stress over the lower end of each part's own yield strength, the largest of all load cases in "
            "their worst senses around the axis; linear between the nodes of the section. Dashed: the limit of idle steel. "
            "Thick: the largest free contour in it, which keeps its wall and its least radius of curvature. "
            f"Close hatching at the pin: held, and not in the model beyond it; wide hatching: {reads} before the held edge, "
            f"where the stress is not read.{blank}")  # fmt: skip
