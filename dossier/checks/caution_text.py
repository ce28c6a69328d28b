"""Cautions with their numbers put in from records, and the register of cautions a project can take."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

from dossier import units
from dossier.checks.design_inputs import owner_of
from dossier.methods.registry import all_methods
from dossier.records.base import Record, field_at, field_facts
from dossier.records.calculation import Calculation
from dossier.records.evidence import Caution, EvidenceItem
from dossier.store.project import Project

ORDER = ("DANGER", "WARNING", "CAUTION", "NOTICE", "LIMITS", "DISPOSAL")
MISSING = "[value missing]"
FRAME = (
    "This document supports qualified persons. It does not replace the law, the local accident-prevention rules, the "
    "instructions of the press, test machine and chemical suppliers, the vehicle maker's repair instructions, or the "
    "decision of a licensed or otherwise authorised engineer where local rules require one. Where they differ, the "
    "stricter rule applies."
)
_PLACE = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True)
class ToldCaution:
    """A caution as it is read: its text with numbers, the records they are from, the places left without one."""

    record: Caution
    text: str
    sources: tuple[str, ...]
    missing: tuple[str, ...]


def told_cautions(project: Project) -> list[ToldCaution]:
    """All cautions that apply, the gravest first."""
    found = [told_caution(project, caution) for caution in project.of_kind(Caution) if caution.applies]
    return sorted(found, key=lambda told: ORDER.index(told.record.signal))


def told_caution(project: Project, caution: Caution) -> ToldCaution:
    """The caution with each place such as {force} filled from its record; MISSING stands where there is no value."""
    missing: list[str] = []

    def shown(match: re.Match[str]) -> str:
        value = shown_value(project, caution.numbers.get(match[1], ""))
        if value is None:
            missing.append(match[1])
        return value or MISSING

    text = _PLACE.sub(shown, caution.text)
    owners = [owner_of(project, source)[0] for source in caution.numbers.values()]
    sources = dict.fromkeys(owner.id for owner in owners if owner)
    return ToldCaution(caution, text, tuple(sources), tuple(missing))


def shown_value(project: Project, source: str) -> str | None:
    """ "C-009.press_in_greatest" or "V2.carrier.travel" as a number with its unit; None if it leads to none."""
    record, path = owner_of(project, source)
    if record is None:
        return None
    if isinstance(record, Calculation | EvidenceItem):
        return _result_value(record, path)
    return _field_value(record, path)


def _result_value(record: Calculation | EvidenceItem, name: str) -> str | None:
    value = record.result.value(name) if record.result else None
    if value is None or value.value is None:
        return None
    shown = value.unit
    method = all_methods().get(record.method) if isinstance(record, Calculation) else None
    if method and any(field.name == name for field in method.results):
        shown = method.result_field(name).shown or value.unit
    return units.show_quantity(value.value, value.unit, shown)


def _field_value(record: Record, path: str) -> str | None:
    found: object = record
    for step in path.split("."):
        if isinstance(found, list):
            found = found[int(step)] if step.isdigit() and int(step) < len(found) else None
        elif isinstance(found, dict):
            found = found.get(step)
        else:
            found = getattr(found, step, None)
    if isinstance(found, bool) or not isinstance(found, int | float):
        return None
    info = field_at(type(record), tuple(step for step in path.split(".") if not step.isdigit()))
    facts = field_facts(info) if info else {}
    unit = str(facts.get("unit") or getattr(record, "unit", "") or "-")
    number = units.convert(float(found), unit, str(facts.get("shown") or unit))
    tail = str(facts.get("shown") or unit)
    return f"{number:.6g}".replace("-", units.MINUS) + ("" if tail in ("-", "1") else f" {tail}")


@dataclass(frozen=True)
class CautionText:
    """One caution of the register. `places` says which numbers a project puts in."""

    number: int
    signal: str
    title: str
    hazard: str
    text: str
    places: dict[str, str]
    axial: str = ""
    radial: str = ""


@cache
def caution_register() -> tuple[CautionText, ...]:
    """The cautions the trade prints, in our wording, for a project to choose from."""
    raw = tomllib.loads(resources.files("dossier").joinpath("data/cautions.toml").read_text("utf-8"))
    return tuple(CautionText(**{"places": {}, **entry}) for entry in raw["caution"])
