"""What calculations take as given: the concept that was chosen, assumptions, loads, materials."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.records.load import LoadCase
from dossier.records.material import VALUES
from dossier.release.chapters.common import sentences, trimmed
from dossier.release.facts import Facts
from dossier.release.flow import block
from dossier.release.kit import Kit
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold

LONG = 44  # characters of an origin or source that takes a row of its own


def premises(kit: Kit, facts: Facts) -> list[Flowable]:
    """Concepts, assumptions, loads and materials, each in its table."""
    return [*_concepts(kit, facts), _assumptions(kit, facts), _loads(kit, facts), _materials(kit, facts)]


def _concepts(kit: Kit, facts: Facts) -> list[Flowable]:
    """The concepts that were weighed against each other, and their fate."""
    idea = facts.project.idea
    if idea is None or not idea.concept:
        return []
    rows = [(bold(c.id), c.title, c.fate, c.reason or "–") for c in idea.concept]
    columns = [Column("", 26), Column("concept", 130), Column("fate", 48), Column("reason")]
    return [block(kit, "Concepts", [table(kit, columns, rows, size=6.9, pad=1.2)], "what was weighed, and why")]


def _assumptions(kit: Kit, facts: Facts) -> Flowable:
    rows = []
    for item in facts.project.assumptions:
        value = item.choice.replace("_", " ") or ("–" if item.value is None else trimmed(item.value))
        banded = item.low is not None and item.high is not None
        band = f"{trimmed(item.low)} .. {trimmed(item.high)}" if banded else "–"
        unit = "" if item.unit == "-" else item.unit
        accepted = f"{item.accepted_by} {item.accepted_on or ''}".strip() or "not accepted"
        rows.append(Row((bold(item.id), item.statement, f"{value} {unit}".strip(), band, accepted), anchor=item.id,
                        anchor_title=f"{item.id} {item.title}"))  # fmt: skip
        rows += _note(item.reason, item.remark)
    columns = [Column("", 34), Column("assumption"), Column("value", 82), Column("band", 58), Column("accepted by", 92)]
    shown = table(kit, columns, rows, size=6.9, pad=1.3)
    return block(kit, "Assumptions", [shown], "taken as true, and by whom")


def _note(*words: str) -> list[Row]:
    told = sentences(*words)
    return [Row((told,), kind="note", start=1)] if told else []


def _loads(kit: Kit, facts: Facts) -> Flowable:
    rows: list[Row] = []
    for load in facts.project.loads:
        cells = (bold(load.id), load.title, *_levels(load), f"{load.temperature:g}", f"{load.cycles:.10g}")
        rows.append(Row(cells, anchor=load.id, anchor_title=f"{load.id} {load.title}"))
        rows += _note(load.origin, load.source, _blocks(load), load.remark)
    columns = [Column("", 28), Column("load case"), Column("radial kN", 40, "r"), Column("axial kN", 36, "r"),
               Column("torsion °", 38, "r"), Column("tilt °", 28, "r"), Column("°C", 24, "r"),
               Column("cycles", 44, "r")]  # fmt: skip
    return block(kit, "Loads", [table(kit, columns, rows, size=6.9, pad=1.3)], "what acts, and where it is from")


def _levels(load: LoadCase) -> list[str]:
    """Radial and axial force, torsion and tilt; a programme that states none of its own has those of its blocks."""
    levels = (load.radial / 1000, load.axial / 1000, load.torsion, load.tilt)
    if load.blocks and not any(levels):
        return ["blocks", *["–"] * (len(levels) - 1)]
    return [trimmed(level) for level in levels]


def _blocks(load: LoadCase) -> str:
    """The levels of a programme in a line."""
    told = []
    for level in load.blocks:
        parts = ((level.radial / 1000, "kN radial"), (level.axial / 1000, "kN axial"), (level.torsion, "° torsion"),
                 (level.tilt, "° tilt"))  # fmt: skip
        acting = ", ".join(f"± {trimmed(value)} {unit}" for value, unit in parts if value)
        told.append(f"{level.cycles:.10g} × {acting or 'no load'} at {level.frequency:g} Hz")
    return f"Blocks: {'; '.join(told)}." if told else ""


def _materials(kit: Kit, facts: Facts) -> Flowable:
    rows: list[Row] = []
    for material in facts.project.materials:
        rows.append(Row((bold(material.id), bold(f"{material.title}, {material.designation}".strip(", ")), "", "", ""),
                        anchor=material.id, anchor_title=f"{material.id} {material.title}", together=True))  # fmt: skip
        for name, (unit, meaning) in VALUES.items():
            banded = getattr(material, name)
            if banded is None:
                continue
            low, high = banded.ends
            band = f"{trimmed(low)} .. {trimmed(high)}" if high > low else "–"
            value = f"{trimmed(banded.value)} {'' if unit == '-' else unit}".strip()
            short = len(banded.source) <= LONG
            rows.append(Row(("", meaning, value, band, banded.source if short else "")))
            rows += _note("" if short else banded.source)
        rows += _note(material.condition, material.source, material.remark)
    columns = [Column("", 30), Column("material", 128), Column("value", 72), Column("band", 72), Column("source")]
    return block(kit, "Materials", [table(kit, columns, rows, size=6.9, pad=1.0)], "as this project uses them")
