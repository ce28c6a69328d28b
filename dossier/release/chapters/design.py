"""Sheet 3: where does the steel go, and does the part still hold?"""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier import units
from dossier.checks.policy import step_of_calculation
from dossier.checks.told import sheet_answer
from dossier.records.calculation import Calculation
from dossier.records.design import carrier_word
from dossier.release.chapters.calculation import calculation, old_words
from dossier.release.chapters.dimensions import dimension_table
from dossier.release.chapters.drawing import NAMES, section
from dossier.release.chapters.premises import premises
from dossier.release.facts import Facts
from dossier.release.flow import Keep, Wide, block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.matrix import MassRow, mass_table

QUESTION = "Where does the steel go, and does the part still hold?"
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
        block(kit, "Dimensions", [dimension_table(kit, facts)], "bold: differs from the reference part")
    )
    story += premises(kit, facts)
    for item in facts.project.calculations:
        if step_of_calculation(item) != "5":
            story += calculation(kit, facts, item)
    return story


def _mass_block(kit: Kit, facts: Facts) -> Flowable | None:
    runs = {c.design: c for c in facts.project.calculations if c.method == "mass.joint" and c.result}
    variant, reference = facts.project.variant, facts.project.reference
    if not variant or not reference or variant.id not in runs or reference.id not in runs:
        return None
    carrier = carrier_word(reference, variant)
    names = NAMES | {"D": f"{carrier}s"}
    rows = [
        MassRow(key, names[key], _grams(runs[reference.id], name), _grams(runs[variant.id], name))
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
        content.append(kit.paragraph(f"{told}{_against(weighing.mass, runs[reference.id])}", "caption"))
    used = [runs[reference.id], runs[variant.id]]
    old = [[run.id, " ", mark] for run in used if (mark := old_words(facts, run))]
    note = kit.trace.note(from_=[run.id for run in used])
    return block(kit, "Mass", [Keep(kit, content)], "from the same outlines as the drawing", note, *old)


def _against(weighed: float, run: Calculation) -> str:
    """Whether the calculated band holds the weighed mass in kg."""
    total = run.result.value("total") if run.result else None
    if total is None or total.low is None or total.high is None:
        return ""
    low, high = (units.show(1000 * end, 4) for end in (total.low, total.high))
    inside = "holds it" if total.low <= weighed <= total.high else "does not hold it: calculated and weighed mass lie apart"
    return f" The calculated band, {low} to {high} g, {inside}."


def _grams(run: Calculation, name: str) -> float | None:
    value = run.result.value(name) if run.result else None
    return 1000 * value.value if value and value.value else None
