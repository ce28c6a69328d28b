"""What several chapters need: numbers with sensible digits, margins, sources in words."""

from __future__ import annotations

from dossier import units
from dossier.checks.margin import margin
from dossier.checks.verdict import Verdict
from dossier.release.kit import Kit
from dossier.release.text import Content, Markup, join
from dossier.store.project import Project


def nominal_margin(verdict: Verdict) -> float | None:
    """Margin of the value itself, without its band."""
    leading = verdict.leading
    if leading is None or leading.value is None or leading.margin.absolute:
        return None
    return margin(verdict.requirement.limit, leading.value, leading.value).value


def worst_margin(verdict: Verdict) -> float | None:
    """Margin at the unfavourable end of the band."""
    return None if verdict.margin.absolute else verdict.margin.value


def linked_source(kit: Kit, source: str) -> Content:
    """ "M-04.shear_modulus" with its record as a link."""
    record, dot, field = source.partition(".")
    if not dot and " " in source:
        return source
    return [kit.ref(record, page=False), f"{dot}{field}"]


def number(value: float, unit: str, shown: str = "", digits: int = 4) -> tuple[str, str]:
    """Value and unit as printed in two columns."""
    target = shown or unit
    return units.show(units.convert(value, unit, target), digits), "" if target in ("-", "1") else target


def nobody_yet(names: list[str]) -> str:
    """Names, or a dash."""
    return ", ".join(names) or "–"


def steps_note(project: Project, record_id: str, kit: Kit) -> Markup:
    """What a record serves and rests on, for the margin."""
    return kit.trace.note(serves=project.serves(record_id), rests_on=project.rests_on(record_id))


def listed(kit: Kit, ids: list[str]) -> Markup:
    """Ids as links with commas."""
    return join((kit.ref(record_id, page=False) for record_id in ids), ", ")
