"""Every dimension of reference part and variant, its tolerance beside it."""

from __future__ import annotations

import re
from collections.abc import Mapping

from reportlab.platypus import Flowable

from dossier import units
from dossier.records.base import field_at, field_facts
from dossier.records.design import Design
from dossier.release.chapters.common import trimmed
from dossier.release.facts import Facts
from dossier.release.kit import Kit
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold

FIELDS = ("pin", "core", "layer", "carrier", "eye", "rest")
PART_NAMES = {"rest": "further part"}
_INDEX = re.compile(r"\[(\d+)\]")


def dimension_table(kit: Kit, facts: Facts) -> Flowable:
    """One row a field with value and tolerance of both designs; those that differ are bold."""
    both = [design for design in (facts.project.reference, facts.project.variant) if design]
    leaves = [_values(facts.project.raw[design.id]) for design in both]
    rows: list[Row] = []
    for design in both:
        drawing = f"{design.drawing} {design.drawing_index}".strip() or "no drawing recorded"
        told = f" {design.title}, {design.part_number or 'no part number'}, drawing {drawing}. {design.remark}"
        words = [bold(design.id), told.rstrip()]
        rows.append(Row((words,), kind="note", anchor=design.id, anchor_title=f"{design.id} {design.title}"))
    for name in dict.fromkeys(name for found in leaves for name in found):
        values = [found.get(name, "–") for found in leaves]
        differs = len(set(values)) > 1
        cells = [_label(name), *values, *[""] * (2 - len(values)), _unit(name)]
        rows.append(Row(tuple(bold(cell) if cell else "" for cell in cells) if differs else cells))
    names = [bold(design.id) for design in both] + [""] * (2 - len(both))
    columns = [Column("dimension"), Column(names[0], 108, "r"), Column(names[1], 108, "r", 4), Column("unit", 34)]
    return table(kit, columns, rows, size=6.9, pad=0.9)


def _values(raw: Mapping[str, object]) -> dict[str, str]:
    """Printed value with tolerance by the path of the field."""
    tolerances = {_counted(name): pair for name, pair in (raw.get("tolerances") or {}).items()}
    found = {}
    for name, value in _leaves({field: raw.get(field) for field in FIELDS}):
        found[name] = _shown(value, name) + _tolerance(tolerances.pop(name, None))
    return found | {name: f"only tolerance{_tolerance(pair)}" for name, pair in tolerances.items()}


def _counted(name: str) -> str:
    """Places of a list counted from 1, as they are printed."""
    return _INDEX.sub(lambda place: f"[{int(place[1]) + 1}]", name)


def _leaves(value: object, path: str = "") -> list[tuple[str, object]]:
    if isinstance(value, dict):
        pairs = [(f"{path}.{name}" if path else name, item) for name, item in value.items()]
    elif isinstance(value, list):
        pairs = [(f"{path}[{number}]", item) for number, item in enumerate(value, 1)]
    else:
        return [] if value is None else [(path, value)]
    return [leaf for name, item in pairs for leaf in _leaves(item, name)]


def _shown(value: object, name: str) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        stored, shown = _units_of(name)
        return trimmed(units.convert(float(value), stored, shown) if stored else float(value), 6)
    return str(value).replace("_", " ") if name.endswith(("kind", "free_surface", "_face")) else str(value)


def _tolerance(pair: object) -> str:
    """" ± 0.3" or " +0.27/0"."""
    if not isinstance(pair, dict) or not {"lower", "upper"} <= set(pair):
        return ""
    lower, upper = float(pair["lower"]), float(pair["upper"])
    if upper == -lower:
        return f" ± {trimmed(upper)}"
    return f" {_signed(upper)}/{_signed(lower)}"


def _signed(value: float) -> str:
    return f"+{trimmed(value)}" if value > 0 else trimmed(value)


def _label(name: str) -> str:
    head, *rest = name.split(".")
    words = [PART_NAMES.get(head.partition("[")[0], head.partition("[")[0]) + _place(head), *(r for r in rest)]
    return " ".join(words).replace("_", " ").replace("[", " ").replace("]", "")


def _place(step: str) -> str:
    found = _INDEX.search(step)
    return f" {found[1]}" if found else ""


def _units_of(name: str) -> tuple[str, str]:
    info = field_at(Design, tuple(step.split("[")[0] for step in name.split(".")))
    facts = field_facts(info) if info else {}
    unit = str(facts.get("unit", ""))
    return unit, str(facts.get("shown") or unit)


def _unit(name: str) -> str:
    shown = _units_of(name)[1]
    return "" if shown == "-" else shown
