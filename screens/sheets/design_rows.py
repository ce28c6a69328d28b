"""Dimensions, masses and calculations of a design as rows."""

from __future__ import annotations

import re
from dataclasses import dataclass

from dossier import units
from dossier.checks.told import leading_value
from dossier.checks.told_numbers import digits_of
from dossier.methods.listing import limits_of
from dossier.records.base import field_at
from dossier.records.calculation import Calculation
from dossier.records.design import Design
from dossier.store.project import Project
from screens.cells import cell_len
from screens.glyphs import MINE, OF_FRESHNESS
from screens.paint import LineLike, Piece, line, state
from screens.section_of import PARTS
from screens.session import Session
from screens.sheets.editing import FieldHere, fields_of
from screens.sheets.margins import state_of
from screens.widgets.columns import Column
from screens.widgets.sheet_list import Row

WIDE = 76
MASS_ROWS = (("pin", "A", "pin"), ("core", "B", "core"), ("layer", "C", "rubber"), ("carrier", "D", ""), ("rest", "F", "rest"))
# Fields of a design that are words about it, listed last.
WORDS = ("title", "part_number", "drawing", "drawing_index")
# Kinds that sheet 3 lists below the calculations, so that r and s find them.
OTHERS = ("design", "assumption", "load case", "material")


@dataclass(frozen=True)
class Dimension:
    """One field of a design beside the reference's: dotted path, letter and name, both texts, unit, tolerance."""

    path: str
    letter: str
    name: str
    reference: str
    variant: str
    unit: str
    tolerance: str = ""

    @property
    def differs(self) -> bool:
        """Whether the two parts differ in it."""
        return self.reference != self.variant


def dimensions(project: Project, reference: Design | None, variant: Design | None) -> list[Dimension]:
    """Every field of both parts, those that differ first, each group in the order of the form."""
    sides = [{field.path: field for field in fields_of(project, design.id)} if design else {} for design in (reference, variant)]
    found = []
    for path in dict.fromkeys([*sides[1], *sides[0]]):
        head = path.partition(".")[0]
        if head in ("kind", "remark"):
            continue
        shown = [side.get(path) for side in sides]
        unit = next((field.unit for field in shown if field), "")
        tolerance = _tolerance(variant or reference, path) if head != "tolerances" else ""
        found.append(Dimension(path, PARTS.get(head, ""), name_of(path), _text(shown[0]), _text(shown[1]), unit, tolerance))
    both = reference is not None and variant is not None
    return sorted(found, key=lambda dimension: (both and not dimension.differs, not dimension.letter, dimension.path in WORDS))


def _text(field: FieldHere | None) -> str:
    return field.text if field and field.text else "-"


def _tolerance(design: Design | None, path: str) -> str:
    if design is None:
        return ""
    listed = re.sub(r"\.(\d+)\.", r"[\1].", path)
    found = design.tolerances.get(path) or design.tolerances.get(listed)
    if found is None:
        return ""
    if found.upper == -found.lower:
        return f"±{found.upper:g}"
    return f"{units.show_signed(found.lower, 3)} {units.show_signed(found.upper, 3)}"


def name_of(path: str) -> str:
    """A dotted path as a short name: `pin.bores.0.diameter` is "bore 1 diameter"."""
    head, _, rest = path.partition(".")
    if head == "tolerances":
        inner, _, end = rest.rpartition(".")
        return f"tol. {name_of(inner)} {end}"
    text = rest if head in PARTS else path
    text = re.sub(r"\bbores[.\[](\d+)\]?", lambda found: f"bore {int(found[1]) + 1}", text)
    text = re.sub(r"^(\d+)\.", lambda found: f"part {int(found[1]) + 1} ", text)
    return text.removeprefix("ends.").replace(".", " ").replace("_", " ")


def dimension_columns(reference: str, variant: str, title: str = "dimension"):
    """Columns for a width: below 76 the unit stands behind the name, and the rest below the list."""

    def columns(width: int) -> list[Column]:
        size = 10 if width >= WIDE else 6
        numbers = [Column(reference, size, "right", gap=1), Column(variant, size, "right")]
        found = [Column("", 1, gap=1), Column(title, 0, gap=1), *numbers]
        if width >= WIDE:
            found += [Column("unit", 4), Column("tolerance", 14), Column("limits", 16)]
        return found

    return columns


def dimension_row(dimension: Dimension, room: int, draft: bool = False) -> Row:
    """A dimension in one row, its name in `room` columns; what differs stands out, a draft is marked with *."""
    role = "ink" if dimension.differs else "quiet"
    named = f"{dimension.name}, {dimension.unit}" if dimension.unit else dimension.name
    return Row((
        Piece(dimension.letter, "key"), Piece(named if cell_len(named) <= room else dimension.name, role),
        Piece(dimension.reference, role), Piece(dimension.variant, "outdated" if draft else role),
        Piece(dimension.unit, "quiet"), Piece(dimension.tolerance, "quiet"), Piece(_limits(dimension), "quiet"),
    ), mark=Piece(MINE, "outdated") if draft else Piece(" "))  # fmt: skip


def dimension_told(dimension: Dimension, variant: str) -> str:
    """A dimension in full: name, both values with unit, tolerance, limits."""
    unit = f" {dimension.unit}" if dimension.unit else ""
    told = f"{dimension.name}: {variant} {dimension.variant}{unit}, reference {dimension.reference}"
    more = [f"tolerance {dimension.tolerance}"] if dimension.tolerance else []
    more += [f"limits {_limits(dimension)}"] if _limits(dimension) else []
    return "; ".join([told, *more])


def _limits(dimension: Dimension) -> str:
    info = field_at(Design, tuple(dimension.path.split(".")))
    return limits_of(info) if info is not None else ""


def mass_lines(
    reference: dict[str, float] | str, variant: dict[str, float] | str, names: tuple[str, str], carrier: str, name_width: int
) -> list[LineLike]:
    """Masses per region in g, reference left, variant right; a reason stands where there is none. `carrier` names region D."""

    def row(letter: str, name: str, left: str, right: str, role: str) -> LineLike:
        numbers = f" {name:<{name_width}}{left[:7]:>7} {right[:7]:>7}"
        return line(" ", Piece(letter or " ", "key"), Piece(numbers, role))

    lines: list[LineLike] = [row("", "mass, g", *names, "heading")]
    for key, letter, name in MASS_ROWS:
        left, right = (_grams(side, key) for side in (reference, variant))
        lines.append(row(letter, name or carrier, left, right, "ink" if left != right else "quiet"))
    lines.append(row("", "joint", _grams(reference, "total"), _grams(variant, "total"), "heading"))
    return lines + [line(Piece(f" {side}", "notmet")) for side in (reference, variant) if isinstance(side, str) and side]


def _grams(masses: dict[str, float] | str, key: str) -> str:
    if isinstance(masses, str):
        return "-"
    return f"{1000 * masses[key]:.0f}" if masses[key] else "-"


def record_ids(project: Project, design: Design | None) -> list[str]:
    """Calculations on a design first, then the other calculations of sheet 3, then what they rest on."""
    runs = project.calculations
    first = [run.id for run in runs if design is not None and run.design == design.id]
    rest = [run.id for run in runs if run.id not in first]
    kinds = sorted((OTHERS.index(kind), name) for name, kind in project.kinds.items() if kind in OTHERS)
    return [*first, *rest, *(name for _, name in kinds)]


def record_row(session: Session, record_id: str) -> Row:
    """A calculation with value and state, or the title of another record."""
    project, view = session.opened.project, session.opened.view
    record = project.get(record_id)
    if not isinstance(record, Calculation):
        title = str(getattr(record, "title", "") or getattr(record, "name", "") or project.kinds[record_id])
        return Row((Piece(record_id, "key"), title, Piece(project.kinds[record_id], "quiet")))
    fresh = view.freshness[record_id].state
    word = state(OF_FRESHNESS[fresh])
    shown = "newer" if fresh == "newer method available" else "not run" if fresh == "open" else fresh
    return Row((Piece(record_id, "key"), line(f"{value_text(record)}  ", Piece(record.title, "quiet")),
                Piece(f"{word.text[0]} {shown}", word.role)))  # fmt: skip


def value_text(record: Calculation) -> str:
    """The leading value of a calculation with its unit."""
    found = leading_value(record)
    if found is None:
        return "-"
    field, value = found
    return units.show_quantity(value.value or 0.0, value.unit, field.shown or None, digits_of(value.unit))


def needs_run(session: Session, ids: list[str]) -> list[str]:
    """Those of the calculations that have no current result."""
    return [name for name in ids if session.opened.project.kinds.get(name) == "calculation" and state_of(session, name) != "met"]
