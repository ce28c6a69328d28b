"""Checks 3.2 and 3.16: what the calculations of step 3 rest on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any, get_args

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.methods.links import GIVEN, Resolved, has_value
from dossier.methods.registry import all_methods
from dossier.records.assumption import Assumption
from dossier.records.base import Banded, Record
from dossier.records.calculation import Calculation
from dossier.records.design import Tolerance
from dossier.records.load import LoadCase
from dossier.records.material import Material
from dossier.records.requirement import Requirement
from dossier.store.edges import is_link
from dossier.store.project import Project
from dossier.units import amount


def calculations_of_step(view: View, step: str) -> list[Calculation]:
    """Calculations whose method belongs to the step."""
    methods = all_methods()
    return [c for c in view.project.calculations if c.method in methods and methods[c.method].step == step]


@computed("3.2")
def inputs_founded(view: View) -> Computed:
    """Each input has a unit (every field of a method has one), a source, and a spread where the method takes one."""
    runs = calculations_of_step(view, "3")
    findings: dict[tuple[str, str, str], Finding] = {}
    counts: Counter[str] = Counter()
    for run in runs:
        for finding in _input_findings(view, run, counts):
            findings.setdefault((finding.record, finding.field, finding.remedy), finding)
    told = ", ".join(f"{number} {kind}" for kind, number in counts.items())
    facts = [f"{amount(len(runs), 'calculation')} with {amount(sum(counts.values()), 'input')}: {told}"]
    facts += [f"{run.id}: {words}" for run in runs if (words := _combination(run))]
    return verdict_of(list(findings.values()), facts, data=bool(runs))


def _input_findings(view: View, run: Calculation, counts: Counter[str]) -> Iterator[Finding]:
    resolved = view.freshness[run.id].resolved
    if resolved is None or resolved.problems:
        yield from (Finding(run.id, "inputs", "", problem) for problem in (resolved.problems if resolved else []))
        return
    for name, info in all_methods()[run.method].input_model.model_fields.items():
        wanted = _types_of(info.annotation)
        source = resolved.sources.get(name)
        counts[_kind_of(view.project, source)] += 1
        if source is None:
            link = str((info.json_schema_extra or {}).get("link", ""))  # type: ignore[union-attr]
            yield from _left_out(view.project, run, name, wanted, link)
        elif source == GIVEN:
            yield from _given_findings(run, name, wanted, resolved)
        else:
            yield from _linked_findings(view.project, source, wanted)


def _kind_of(project: Project, source: str | None) -> str:
    if source is None:
        return "at the method's default"
    if source == GIVEN:
        return "given in the calculation"
    record, _ = owner_of(project, source)
    return f"from {project.kinds[record.id]} records" if record else "from records"


def _types_of(annotation: Any) -> set[Any]:
    return {annotation, *get_args(annotation)}


def _left_out(project: Project, run: Calculation, name: str, wanted: set[Any], link: str) -> Iterator[Finding]:
    """A tolerance that the method would read and nothing gives, of a dimension that the design has."""
    if Tolerance not in wanted:
        return
    root, _, path = link.partition(".tolerances.")
    design = run.reference if root == "reference" else run.design
    record = project.find(design)
    if record is not None and has_value(project, record, path):
        remedy = f"is missing: {run.id}.{name} has no spread; give the drawing's deviations"
        yield Finding(design, f"tolerances.{path}", "", remedy)


def _given_findings(run: Calculation, name: str, wanted: set[Any], resolved: Resolved) -> Iterator[Finding]:
    given = run.inputs[name]
    in_place = given.get("source") if isinstance(given, dict) and not is_link(given) else ""
    shown = _shown(resolved.plain.get(name)) if isinstance(given, dict) else str(given)
    if not (in_place or run.sources.get(name)):
        remedy = f"has no source; link the record it comes from, or name it in sources.{name}"
        yield Finding(run.id, f"inputs.{name}", shown, remedy)
    if Banded in wanted and not (isinstance(given, dict) and {"low", "high"} & given.keys()):
        remedy = "has no spread; give value, low and high, or link an assumption that has them"
        yield Finding(run.id, f"inputs.{name}", shown, remedy)


def _shown(plain: Any) -> str:
    if isinstance(plain, dict):
        plain = plain.get("value", "")
    return units.show(plain, 4) if isinstance(plain, float) else str(plain)


def _linked_findings(project: Project, source: str, wanted: set[Any]) -> Iterator[Finding]:
    record, field = owner_of(project, source)
    if isinstance(record, Assumption):
        yield from _assumption_findings(record, Banded in wanted)
    elif isinstance(record, Material):
        banded = getattr(record, field, None)
        if isinstance(banded, Banded):
            yield from _material_findings(record, field, banded)
    elif isinstance(record, LoadCase) and not (record.source or record.origin):
        yield Finding(record.id, "source", "", "is empty; say where the load comes from")
    elif isinstance(record, Requirement) and not record.source:
        yield Finding(record.id, "source", "", "is empty; name clause, law or own reason")


def _assumption_findings(record: Assumption, banded: bool) -> Iterator[Finding]:
    for name, words in (
        ("reason", "say why it is taken as true"),
        ("accepted_by", "have a named person accept it"),
        ("accepted_on", "enter when it was accepted"),
    ):
        if not getattr(record, name):
            yield Finding(record.id, name, "", f"is empty; {words}")
    if banded and record.value is not None and record.low is None and record.high is None:
        shown = units.show_quantity(record.value, record.unit)
        yield Finding(record.id, "value", shown, "has no spread; give low and high")


def _material_findings(record: Material, field: str, banded: Banded) -> Iterator[Finding]:
    shown = units.show(banded.value, 4)
    if not (banded.source or record.source):
        yield Finding(record.id, f"{field}.source", "", f"is empty; say where {field} = {shown} comes from")
    if banded.low is None and banded.high is None:
        yield Finding(record.id, field, shown, "has no spread; give low and high")


def _combination(run: Calculation) -> str:
    """How the spreads of the inputs were put together in the values that serve a requirement."""
    if run.result is None:
        return ""
    told = []
    for name in dict.fromkeys(served.value for served in run.serves):
        value = run.result.value(name)
        if value is None or not value.lines:
            told.append(f"{name} states no band")
        else:
            combined = ", root of the sum of squares" if len(value.lines) > 1 else ""
            told.append(f"{name} has a band of {amount(len(value.lines), 'cause')}{combined}")
    return "; ".join(told)


def owner_of(project: Project, source: str) -> tuple[Record | None, str]:
    """The record that owns the value a source such as "V2.pin.material->density" leads to, and its field there."""
    start, *further = source.split("->")
    record, path = _first_record(project, start)
    for step in further:
        target = _walk(record, path) if record else None
        record, path = (project.find(target) if isinstance(target, str) else None), step
    return record, path


def _first_record(project: Project, text: str) -> tuple[Record | None, str]:
    """The record whose id the text begins with; ids may hold dots."""
    parts = text.split(".")
    for length in range(len(parts), 0, -1):
        record = project.find(".".join(parts[:length]))
        if record:
            return record, ".".join(parts[length:])
    return None, ""


def _walk(start: Any, path: str) -> Any:
    for step in path.split(".") if path else []:
        start = getattr(start, step, None)
    return start


@computed("3.16")
def memory_methods(view: View) -> Computed:
    """The methods that follow a guideline from memory; a person accepts them after comparison with its text."""
    runs = calculations_of_step(view, "3")
    methods = all_methods()
    used: dict[str, list[Calculation]] = {}
    for run in runs:
        if methods[run.method].basis.kind == "memory":
            used.setdefault(run.method, []).append(run)
    facts = [
        f"{name} in {', '.join(run.id for run in found)}: {methods[name].basis.text}" for name, found in used.items()
    ]
    basis = {
        name: sorted({run.result.method_version for run in found if run.result}) for name, found in used.items()
    }
    facts = facts or [f"none of the {amount(len(runs), 'calculation')} follows a guideline from memory"]
    return verdict_of([], facts, data=bool(runs), basis={"methods": basis})
