"""Sheet 3: where does the steel go, and does the part still hold?"""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.told import sheet_answer
from dossier.records.base import field_at, field_facts
from dossier.records.calculation import Calculation
from dossier.records.design import Design
from dossier.release.chapters.calculation import calculation
from dossier.release.chapters.drawing import NAMES, section
from dossier.release.facts import Facts
from dossier.release.flow import Keep, Wide, block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.matrix import MassRow, mass_table
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold

COST_METHODS = ("cost.piece", "co2.saving")  # printed on sheet 5
QUESTION = "Where does the steel go, and does the part still hold?"
FIELDS = ("pin", "core", "layer", "carrier", "eye", "rest", "tolerances")
_PARTS = (("pin", "A"), ("core", "B"), ("layer", "C"), ("carrier", "D"), ("rest", "F"))


def design(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Section, differences, masses, assumptions and materials, then one calculation after the other."""
    answer = sheet_answer(facts.view, "3")
    story: list[Flowable] = [*sheet(kit, "3", title, QUESTION, answer, answer)]
    story.append(Wide(kit, section(kit, facts.project), before=4))
    masses = _mass_block(kit, facts)
    if masses:
        story.append(masses)
    story.append(
        block(kit, "Dimensions", [_dimension_table(kit, facts)], "bold: differs from the reference part")
    )
    story += [_assumptions(kit, facts), _loads(kit, facts), _materials(kit, facts)]
    for item in facts.project.calculations:
        if item.method in COST_METHODS:
            continue
        story += calculation(kit, facts, item)
    return story


def _dimension_table(kit: Kit, facts: Facts) -> Flowable:
    """Every field of both designs; those that differ are bold."""
    both = [design for design in (facts.project.reference, facts.project.variant) if design]
    leaves = [dict(_leaves({n: facts.project.raw[d.id].get(n) for n in FIELDS})) for d in both]
    rows: list[Row] = []
    for design in both:
        drawing = f"{design.drawing} {design.drawing_index}".strip() or "no drawing recorded"
        words = f"{design.title}, {design.part_number}, drawing {drawing}"
        rows.append(Row((bold(design.id), words, "", "", ""), anchor=design.id,
                        anchor_title=f"{design.id} {design.title}"))  # fmt: skip
    for name in dict.fromkeys(name for found in leaves for name in found):
        values = [_shown(found.get(name)) for found in leaves]
        differs = len(set(values)) > 1
        label = name.replace("_", " ")
        cells = [label, *values, *[""] * (2 - len(values)), _unit(name)]
        rows.append(Row(("", *([bold(cell) for cell in cells] if differs else cells))))
    names = [design.id for design in both] + [""] * (2 - len(both))
    columns = [Column("", 30), Column("field"), Column(names[0], 90, "r"), Column(names[1], 90, "r"),
               Column("unit", 26)]  # fmt: skip
    return table(kit, columns, rows, size=6.9, pad=1.1)


def _leaves(value: object, path: str = "") -> list[tuple[str, object]]:
    if isinstance(value, dict):
        return [
            leaf for name, item in value.items() for leaf in _leaves(item, f"{path}.{name}" if path else name)
        ]
    if isinstance(value, list):
        return [leaf for number, item in enumerate(value, 1) for leaf in _leaves(item, f"{path}[{number}]")]
    return [] if value is None else [(path, value)]


def _shown(value: object) -> str:
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return units.show(float(value), 5) if value else "0"
    return str(value)


def _unit(path: str) -> str:
    steps = tuple(step.split("[")[0] for step in path.split("."))
    info = field_at(Design, steps)
    unit = field_facts(info).get("unit", "") if info else ""
    return "" if unit == "-" else str(unit)


def _mass_block(kit: Kit, facts: Facts) -> Flowable | None:
    runs = {c.design: c for c in facts.project.calculations if c.method == "mass.joint" and c.result}
    variant, reference = facts.project.variant, facts.project.reference
    if not variant or not reference or variant.id not in runs or reference.id not in runs:
        return None
    rows = [
        MassRow(key, NAMES[key], _grams(runs[reference.id], name), _grams(runs[variant.id], name))
        for name, key in _PARTS
    ]
    rows = [row for row in rows if row.reference or row.variant]
    total = "joint, calculated from the section above"
    content = [mass_table(kit, rows, variant=variant.part_number or variant.id, total=total)]
    idea = facts.project.idea
    if idea and idea.weighing:
        weighing = idea.weighing
        told = (
            f"Reference part weighed: {units.show(1000 * weighing.mass, 4)} g, n = {weighing.count}, "
            f"{weighing.on}, {weighing.by}."
        )
        content.append(kit.paragraph(told, "caption"))
    note = kit.trace.note(from_=[runs[reference.id].id, runs[variant.id].id])
    return block(kit, "Mass", [Keep(kit, content)], "from the same outlines as the drawing", note)


def _grams(run: Calculation, name: str) -> float | None:
    value = run.result.value(name) if run.result else None
    return 1000 * value.value if value and value.value else None


def _assumptions(kit: Kit, facts: Facts) -> Flowable:
    rows = []
    for item in facts.project.assumptions:
        value = item.choice or units.show(item.value or 0.0, 4)
        band = (
            f"{_shown(item.low)} .. {_shown(item.high)}"
            if item.low is not None and item.high is not None
            else "–"
        )
        unit = "" if item.unit == "-" else item.unit
        accepted = f"{item.accepted_by} {item.accepted_on or ''}".strip() or "not accepted"
        rows.append(Row((bold(item.id), item.statement, f"{value} {unit}".strip(), band, accepted), anchor=item.id,
                        anchor_title=f"{item.id} {item.title}"))  # fmt: skip
    columns = [
        Column("", 34),
        Column("assumption"),
        Column("value", 90),
        Column("band", 58),
        Column("accepted by", 80),
    ]
    return block(kit, "Assumptions", [table(kit, columns, rows)], "taken as true, and by whom")


def _loads(kit: Kit, facts: Facts) -> Flowable:
    rows = [
        Row(
            (bold(load.id), load.title, units.show(load.radial / 1000, 4), units.show(load.axial / 1000, 4),
             units.show(load.torsion, 3), units.show(load.tilt, 3), f"{load.cycles:g}", load.origin or "–"),
            anchor=load.id, anchor_title=f"{load.id} {load.title}",
        )
        for load in facts.project.loads
    ]  # fmt: skip
    columns = [Column("", 28), Column("load case"), Column("radial kN", 42, "r"), Column("axial kN", 40, "r"),
               Column("torsion °", 40, "r"), Column("tilt °", 30, "r"), Column("cycles", 42, "r"),
               Column("origin", 100)]  # fmt: skip
    return block(kit, "Loads", [table(kit, columns, rows)])


def _materials(kit: Kit, facts: Facts) -> Flowable:
    from dossier.records.material import VALUES

    rows: list[Row] = []
    for material in facts.project.materials:
        rows.append(Row((bold(material.id), f"{material.title}, {material.designation}".strip(", "), "", "", ""),
                        anchor=material.id, anchor_title=f"{material.id} {material.title}"))  # fmt: skip
        for name, (unit, meaning) in VALUES.items():
            banded = getattr(material, name)
            if banded is None:
                continue
            low, high = banded.ends
            band = f"{units.show(low, 4)} .. {units.show(high, 4)}" if high > low else "–"
            shown = "" if unit == "-" else unit
            rows.append(
                Row(("", meaning, f"{units.show(banded.value, 4)} {shown}".strip(), band, banded.source))
            )
    columns = [
        Column("", 30),
        Column("material", 110),
        Column("value", 72),
        Column("band", 72),
        Column("source"),
    ]
    return block(
        kit, "Materials", [table(kit, columns, rows, size=6.9, pad=1.3)], "as this project uses them"
    )
