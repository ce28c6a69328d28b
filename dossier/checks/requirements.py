"""Computed checks of step 2 that look at each requirement by itself."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib import resources

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.statement import contradiction, decided_otherwise
from dossier.checks.view import View
from dossier.records.requirement import Requirement
from dossier.units import amount

STIFFNESS = ("radial_stiffness", "axial_stiffness", "torsional_stiffness", "conical_stiffness")
# Values that are stiffnesses, or are got from them: none means anything without the state it is measured in.
STIFFNESS_LINES = (
    *STIFFNESS, "stiffness_ratio", "stiffness_loss", "dynamic_ratio", "loss_angle", "temperature_ratio",
)  # fmt: skip

# Ends that a limit of each kind holds nothing against.
NO_EFFECT = {"max": ("min",), "min": ("max",), "pass_fail": ("min", "max"), "target": ("min", "max")}

# Words that leave open what would be verified. Common practice, no source.
AMBIGUOUS = (
    "sufficient", "sufficiently", "adequate", "adequately", "approximately", "roughly", "as far as possible",
    "as far as practicable", "if possible", "if necessary", "and/or", "etc", "appropriate", "suitable",
    "user-friendly", "minimal", "optimal", "as appropriate", "normally", "usually", "reasonable", "good", "easy",
    "fast", "several", "some", "maintenance free", "maintenance-free", "state of the art",
)  # fmt: skip
_AMBIGUOUS = re.compile(
    # "about" is a direction in "torsion about the pin axis" and leaves a value open in "about 5°".
    r"(?<![\w-])(" + "|".join(re.escape(word) for word in AMBIGUOUS) + r"|about(?=\s*[\d.±−-]))(?![\w-])",
    re.I,
)


@cache
def quantities() -> dict[str, list[str]]:
    """Quantity → dimensions its unit may have."""
    return tomllib.loads(resources.files("dossier").joinpath("data/quantities.toml").read_text("utf-8"))


def units_of(quantity: str) -> tuple[str, ...]:
    """The units a requirement on `quantity` may have; none for a quantity the register does not know."""
    return tuple(unit for name in quantities().get(quantity, ()) for unit in units.dimensions()[name].factors)


@computed("2.1")
def complete(view: View) -> Computed:
    """Every line has what a requirement needs; id, unit, kind of limit and its numbers no record can lack."""
    findings = [
        Finding(requirement.id, name, value, remedy)
        for requirement in view.project.requirements
        for name, value, remedy in _missing(requirement)
    ]
    return verdict_of(findings, counted(view), data=bool(view.project.requirements))


def _missing(requirement: Requirement) -> Iterator[tuple[str, str, str]]:
    demands = len(re.findall(r"\bshall\b", requirement.statement))
    if not demands:
        yield "statement", "", 'does not say "shall"; write who or what shall do what'
    elif demands > 1:
        yield "statement", f'{demands} times "shall"', "asks more than one thing; make one requirement of each"
    if not any(requirement.conditions.model_dump().values()):
        yield "conditions", "", "is empty; say under which conditions the value is demanded"
    for name in ("source", "owner"):
        if not getattr(requirement, name):
            yield name, "", "is empty; fill it in"
    if not requirement.verification:
        yield "verification", "", "is empty; name analysis, test, inspection or demonstration"
    if not (requirement.criterion or requirement.standards):
        yield "criterion", "", "is empty and no standard is named; say how the value is evaluated"
    tried = [way for way in requirement.verification if way != "analysis"]
    if tried and requirement.sample_size is None:
        yield "sample_size", "", f"is empty; say how many parts the {tried[0]} needs"


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
            remedy = f"does not fit {requirement.quantity}; accepted are {', '.join(units_of(requirement.quantity))}"
            findings.append(Finding(requirement.id, "unit", requirement.unit, remedy))
    return verdict_of(findings, counted(view), data=bool(view.project.requirements))


@computed("2.3")
def in_order(view: View) -> Computed:
    """What could not be read (limits out of order, ids used twice), what has no source, what points nowhere, and
    words that say something else than limit and decision."""
    findings = [
        Finding(problem.record or problem.path, "", "", problem.text)
        for problem in view.project.problems
        if problem.path.startswith("requirements/")
    ]
    for requirement in view.project.requirements:
        if not requirement.source:
            findings.append(Finding(requirement.id, "source", "", "is empty; name clause, law or own reason"))
        findings += without_effect(requirement)
        if told := contradiction(requirement):
            findings.append(Finding(requirement.id, "statement", "", f"{told}; give both the same number"))
        if word := decided_otherwise(requirement):
            remedy = f'but the criterion says "{word}"; set decided_by to worst part, or name the mean in the criterion'
            findings.append(Finding(requirement.id, "decided_by", requirement.decided_by, remedy))
        if requirement.parent and (remedy := _parent_fault(view, requirement)):
            findings.append(Finding(requirement.id, "parent", requirement.parent, remedy))
    return verdict_of(findings, counted(view), data=bool(view.project.requirements or findings))


def without_effect(requirement: Requirement) -> Iterator[Finding]:
    """Ends of a limit that its kind does not hold anything against."""
    limit = requirement.limit
    for name in NO_EFFECT.get(limit.kind, ()):
        value = getattr(limit, name)
        if value is not None:
            remedy = f"has no effect, as limit.kind is {limit.kind}; clear it, or choose the kind that holds it"
            yield Finding(requirement.id, f"limit.{name}", f"{value:g}", remedy)


def _parent_fault(view: View, requirement: Requirement) -> str:
    seen = [requirement.id]
    current: Requirement = requirement
    while current.parent:
        above = view.project.find(current.parent)
        if not isinstance(above, Requirement):
            return "names no requirement; correct it or add the requirement" if current is requirement else ""
        if above.id in seen:
            return f"leads back to itself ({' → '.join([*seen, above.id])}); cut the circle"
        seen.append(above.id)
        current = above
    return ""


@computed("2.4")
def stiffness_conditions(view: View) -> Computed:
    """A stiffness, or what is got from one, means nothing without the state it is measured in."""
    lines = [r for r in view.project.requirements if r.quantity in STIFFNESS_LINES]
    findings = []
    for requirement in lines:
        conditions = requirement.conditions
        for name, words in (
            ("preload", "state the preload, or that there is none"),
            ("range", "state the evaluated range"),
            ("cycle", "state which cycle is evaluated"),
            ("amplitude", "state the amplitude of the cycles"),
            ("temperature", "state it"),
        ):
            if not getattr(conditions, name):
                findings.append(Finding(requirement.id, f"conditions.{name}", "", f"is empty; {words}"))
        if not (conditions.rate or conditions.frequency):
            findings.append(Finding(requirement.id, "conditions.rate", "", "is empty; state rate or frequency"))
    if view.project.requirements and not lines:
        remedy = "holds no requirement on stiffness; add those of the joint's directions"
        findings.append(Finding("requirements", "quantity", "", remedy))
    facts = [f"{amount(len(lines), 'requirement')} on stiffness read"]
    return verdict_of(findings, facts, data=bool(view.project.requirements))


@computed("2.7")
def no_ambiguous_words(view: View) -> Computed:
    """Words that leave open what would be verified."""
    findings = []
    for requirement in view.project.requirements:
        texts = {
            "statement": requirement.statement,
            "criterion": requirement.criterion,
            "limit.criterion": requirement.limit.criterion,
        }
        for name, text in texts.items():
            for word in dict.fromkeys(match.group(1).lower() for match in _AMBIGUOUS.finditer(text)):
                remedy = "cannot be verified; replace it by a value or a criterion"
                findings.append(Finding(requirement.id, name, f'"{word}"', remedy))
    return verdict_of(findings, counted(view), data=bool(view.project.requirements))


def counted(view: View) -> list[str]:
    """The fact of how many requirements were looked at."""
    return [f"{amount(len(view.project.requirements), 'requirement')} read"]
