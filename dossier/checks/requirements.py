"""Computed checks of step 2."""

from __future__ import annotations

import re
import tomllib
from functools import cache
from importlib import resources
from itertools import combinations

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.records.requirement import Requirement

STIFFNESS = ("radial_stiffness", "axial_stiffness", "torsional_stiffness", "conical_stiffness")

# Words that leave open what would be verified. Common practice, no source.
AMBIGUOUS = (
    "sufficient", "sufficiently", "adequate", "adequately", "approximately", "about", "roughly", "as far as possible",
    "if possible", "if necessary", "and/or", "etc", "appropriate", "suitable", "user-friendly", "minimal", "optimal",
    "as appropriate", "normally", "usually", "reasonable", "good", "easy", "fast", "several", "some",
)  # fmt: skip
_AMBIGUOUS = re.compile(r"(?<![\w-])(" + "|".join(re.escape(word) for word in AMBIGUOUS) + r")(?![\w-])", re.I)


@cache
def quantities() -> dict[str, list[str]]:
    """Quantity → dimensions its unit may have."""
    return tomllib.loads(resources.files("dossier").joinpath("data/quantities.toml").read_text("utf-8"))


@computed("2.1")
def complete(view: View) -> Computed:
    """Every line has what a requirement needs."""
    findings = [
        Finding(requirement.id, name, "", remedy)
        for requirement in view.project.requirements
        for name, remedy in _missing(requirement)
    ]
    return verdict_of(findings, _count(view), data=bool(view.project.requirements))


def _missing(requirement: Requirement) -> list[tuple[str, str]]:
    missing = []
    if not re.search(r"\bshall\b", requirement.statement):
        missing.append(("statement", 'does not say "shall"; write who or what shall do what'))
    if requirement.limit.kind in ("max", "min", "range") and not any(requirement.conditions.model_dump().values()):
        missing.append(("conditions", "is empty; say under which conditions the value is demanded"))
    for name in ("source", "owner"):
        if not getattr(requirement, name):
            missing.append((name, "is empty; fill it in"))
    if not requirement.verification:
        missing.append(("verification", "is empty; name analysis, test, inspection or demonstration"))
    return missing


@computed("2.2")
def unit_fits(view: View) -> Computed:
    """The unit belongs to the dimension of the quantity."""
    findings = []
    for requirement in view.project.requirements:
        wanted = quantities().get(requirement.quantity)
        if wanted is None:
            known = ", ".join(quantities())
            findings.append(Finding(requirement.id, "quantity", requirement.quantity, f"is unknown; known are {known}"))
        elif not set(wanted) & set(units.dimensions_of(requirement.unit)):
            accepted = ", ".join(unit for name in wanted for unit in units.dimensions()[name].factors)
            remedy = f"does not fit {requirement.quantity}; accepted are {accepted}"
            findings.append(Finding(requirement.id, "unit", requirement.unit, remedy))
    return verdict_of(findings, _count(view), data=bool(view.project.requirements))


@computed("2.3")
def in_order(view: View) -> Computed:
    """What could not be read, and what points nowhere."""
    findings = [
        Finding(problem.record or problem.path, "", "", problem.text)
        for problem in view.project.problems
        if problem.path.startswith("requirements/")
    ]
    findings += [
        Finding(requirement.id, "source", "", "is empty; name clause, law or own reason")
        for requirement in view.project.requirements
        if not requirement.source
    ]
    known = view.project.records
    findings += [
        Finding(requirement.id, field, target, "names no record; correct it or add the record")
        for requirement in view.project.requirements
        for field, target in (("parent", requirement.parent), *(("standards", s) for s in requirement.standards))
        if target and target not in known
    ]
    return verdict_of(findings, _count(view), data=bool(view.project.requirements or findings))


@computed("2.4")
def stiffness_conditions(view: View) -> Computed:
    """Stiffness means nothing without the state it is measured in."""
    stiffness = [r for r in view.project.requirements if r.quantity in STIFFNESS]
    findings = []
    for requirement in stiffness:
        conditions = requirement.conditions
        for name in ("range", "cycle", "temperature", "preload"):
            if not getattr(conditions, name):
                findings.append(Finding(requirement.id, f"conditions.{name}", "", "is empty; state it"))
        if not (conditions.rate or conditions.frequency):
            findings.append(Finding(requirement.id, "conditions.rate", "", "is empty; state rate or frequency"))
    return verdict_of(findings, [f"{len(stiffness)} stiffness requirements"], data=bool(stiffness))


@computed("2.6")
def no_contradiction(view: View) -> Computed:
    """The ranges of two requirements for the same quantity and conditions overlap."""
    groups: dict[tuple[object, ...], list[Requirement]] = {}
    for requirement in view.project.requirements:
        if requirement.limit.kind in ("max", "min", "range"):
            conditions = tuple(sorted(requirement.conditions.model_dump().items()))
            groups.setdefault((requirement.quantity, requirement.region, conditions), []).append(requirement)
    pairs = [pair for group in groups.values() for pair in combinations(group, 2)]
    findings = [
        Finding(first.id, "limit", _range_words(first), f"excludes {second.id} ({_range_words(second)}); correct one")
        for first, second in pairs
        if units.same_dimension(first.unit, second.unit) and _disjoint(first, second)
    ]
    return verdict_of(findings, [f"{len(pairs)} pairs compared"], data=bool(view.project.requirements))


def _disjoint(first: Requirement, second: Requirement) -> bool:
    (low, high), (other_low, other_high) = _range(first), _range(second)
    return low > other_high or other_low > high


def _range(requirement: Requirement) -> tuple[float, float]:
    limit, unit = requirement.limit, requirement.unit
    stored = units.stored_unit(unit)
    low = float("-inf") if limit.min is None else units.convert(limit.min, unit, stored)
    high = float("inf") if limit.max is None else units.convert(limit.max, unit, stored)
    return low, high


def _range_words(requirement: Requirement) -> str:
    from dossier.checks.margin import limit_in_words

    return limit_in_words(requirement.limit, requirement.unit)


@computed("2.7")
def no_ambiguous_words(view: View) -> Computed:
    """Words that leave open what would be verified."""
    findings = []
    for requirement in view.project.requirements:
        text = f"{requirement.statement} {requirement.limit.criterion}"
        for word in dict.fromkeys(match.group(1).lower() for match in _AMBIGUOUS.finditer(text)):
            remedy = "cannot be verified; replace it by a value or a criterion"
            findings.append(Finding(requirement.id, "statement", f'"{word}"', remedy))
    return verdict_of(findings, _count(view), data=bool(view.project.requirements))


def _count(view: View) -> list[str]:
    return [f"{len(view.project.requirements)} requirements read"]
