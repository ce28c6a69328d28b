"""Computed checks of step 5 that need the calculated cost: sums, masses, break-even, levers, CO2."""

from __future__ import annotations

from collections.abc import Iterator

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.cost_sheet import NO_COST, cost_of, footprint_gaps, sides_of
from dossier.checks.view import View
from dossier.methods.cost import LINES
from dossier.methods.freshness import STANDS
from dossier.records.calculation import Calculation
from dossier.records.cost import Cost
from dossier.units import amount

# Rounding of a mass in the cost sheet; common practice, no source.
MASS_TOLERANCE = 0.005
LEAST_LEVERS = 3


def _runs(view: View, method: str) -> tuple[list[Calculation], Computed | None]:
    """Calculations of a method, and the check's answer when they cannot be used."""
    runs = [calculation for calculation in view.project.calculations if calculation.method == method]
    if not runs:
        remedy = f"has no calculation with method {method}; add one"
        return [], Computed("open", [Finding("cost", "", "", remedy)])
    for run in runs:
        state = view.freshness[run.id].state
        if state not in STANDS or run.result is None:
            found = Finding(run.id, "result", state, "; ".join(view.freshness[run.id].problems) or "calculate it again")
            return runs, Computed({"outdated": "outdated", "failed": "not met"}.get(state, "open"), [found])  # type: ignore[arg-type]
    return runs, None


def _number(run: Calculation, name: str) -> float:
    value = run.result.value(name) if run.result else None
    return (value.value if value else None) or 0.0


@computed("5.2")
def sums_and_masses(view: View) -> Computed:
    """The lines of each side add up to its self cost, and its mass is that of the design."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    runs, unusable = _runs(view, "cost.piece")
    if unusable:
        return unusable
    findings, facts, currency = [], [], cost.variant.basis.currency
    for run in runs:
        for side in sides_of(cost):
            total, lines = _number(run, side), sum(_number(run, f"{side}_{name}") for name, _ in LINES)
            facts.append(f"{run.id} {side}: lines {lines:.2f}, self cost {total:.2f} {currency}")
            if abs(lines - total) > 0.005:
                remedy = f"differs from the sum of its lines, {lines:.2f}; calculate it again"
                findings.append(Finding(run.id, side, f"{total:.2f}", remedy))
    findings += _mass_findings(view, cost, facts)
    return verdict_of(findings, facts, data=True)


def _mass_findings(view: View, cost: Cost, facts: list[str]) -> Iterator[Finding]:
    designs = {"reference": view.project.reference, "variant": view.project.variant}
    for side, lines in sides_of(cost).items():
        design = designs[side]
        runs = _mass_runs(view, design.id) if design else {}
        current = {run: mass for run, mass in runs.items() if view.freshness[run].state in STANDS and mass}
        if not current:
            yield from _uncompared(view, side, lines.mass, list(runs))
            continue
        run, mass = next(iter(current.items()))
        told = f"{units.show_quantity(lines.mass, 'kg', 'g', 4)} in the sheet"
        facts.append(f"{side}: {told}, {units.show_quantity(mass, 'kg', 'g', 4)} in {run}")
        if abs(lines.mass / mass - 1) > MASS_TOLERANCE:
            remedy = f"differs from {run}, {units.show_quantity(mass, 'kg', 'g', 4)}; enter the mass of the design"
            yield Finding("cost", f"{side}.mass", units.show_quantity(lines.mass, "kg", "g", 4), remedy)


def _uncompared(view: View, side: str, mass: float, runs: list[str]) -> Iterator[Finding]:
    """Why a mass of the sheet cannot be compared: its calculation waits, or there is none."""
    if runs:
        yield Finding(runs[0], "result", view.freshness[runs[0]].state, f"cost.{side}.mass is compared with it; calculate it")
        return
    remedy = "has no calculated mass to compare with; add a calculation with method mass.joint"
    yield Finding("cost", f"{side}.mass", units.show_quantity(mass, "kg", "g", 4), remedy)


def _mass_runs(view: View, design: str) -> dict[str, float]:
    """Mass calculations of a design, by id, with the mass each gave last."""
    found = {}
    for run in view.project.calculations:
        if run.method == "mass.joint" and run.design == design:
            found[run.id] = _number(run, "total")
        if run.method == "mass.saving" and design in (run.design, run.reference):
            found[run.id] = _number(run, "variant" if run.design == design else "reference")
    return found


@computed("5.5")
def break_even_stable(view: View) -> Computed:
    """Gain per piece at low, mid and high worth; where uncertainty turns its sign, a remark of step 5 says so."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    runs, unusable = _runs(view, "cost.piece")
    if unusable:
        return unusable
    findings, facts, currency = [], [], cost.variant.basis.currency
    if not cost.worth.low < cost.worth.high:
        shown = f"{units.show(cost.worth.low, 3)} to {units.show(cost.worth.high, 3)} {currency}/kg"
        findings.append(Finding("cost", "worth", shown, "has no range; give a low and a high worth of a kilogram"))
    for run in runs:
        worst, best = _gain_ends(run)
        gains = ", ".join(f"{name} {units.show_signed(_number(run, f'gain_{name}'))}" for name in ("low", "mid", "high"))
        facts.append(f"{run.id}: gain per piece {gains} {currency}; with uncertainty {_span(worst, best, currency)}")
        facts += [text for text in (run.result.warnings if run.result else []) if text.startswith("worth ")]
        if worst < 0 < best and not _flagged(view, run):
            remedy = "changes its sign within its uncertainty; say so in a remark on it in step 5, or narrow the bands"
            findings.append(Finding(run.id, "gain", _span(worst, best, currency), remedy))
    return verdict_of(findings, facts, data=True)


def _gain_ends(run: Calculation) -> tuple[float, float]:
    """Gain per piece at its worst and best: ends of the worth and of the band of the difference in cost."""
    value = run.result.value("difference") if run.result else None
    middle = (value.value if value else None) or 0.0
    low = middle if value is None or value.low is None else value.low
    high = middle if value is None or value.high is None else value.high
    return _number(run, "gain_low") - (high - middle), _number(run, "gain_high") + (middle - low)


def _span(worst: float, best: float, currency: str) -> str:
    return f"{units.show_signed(worst)} to {units.show_signed(best)} {currency}"


def _flagged(view: View, run: Calculation) -> bool:
    step = view.project.step("5")
    return any(note.on_record in (run.id, "cost") and "sign" in note.text for note in (step.note if step else []))


@computed("5.7")
def footprint_ranged(view: View) -> Computed:
    """Functional unit, boundary, dated factors (no record can lack them), each with its range, and the balance."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    if cost.footprint is None:
        remedy = "is empty; record functional unit, boundary and factors"
        return Computed("open", [Finding("cost", "footprint", "", remedy)])
    runs, unusable = _runs(view, "co2.saving")
    if unusable:
        return unusable
    footprint = cost.footprint
    years = sorted(line.year for line in footprint.line)
    facts = [
        f"functional unit: {footprint.functional_unit}",
        f"boundary: {footprint.boundary}",
        f"{amount(len(footprint.line), 'factor')} of {years[0]} to {years[-1]}; use phase: {footprint.use.kind}",
    ]
    totals = {}
    for run in runs:
        totals[run.id] = [_number(run, f"total_{end}") for end in ("low", "mid", "high")]
        low, mid, high = (units.show_signed(total) for total in totals[run.id])
        facts.append(f"{run.id}: {mid} kg CO2e saved per joint, {low} to {high}")
    basis = {"footprint": view.project.raw["cost"]["footprint"], "saved": totals}
    return verdict_of(list(footprint_gaps(footprint)), facts, data=True, basis=basis)


@computed("5.10")
def levers_shown(view: View) -> Computed:
    """At least three levers on different lines, with their effect."""
    cost = cost_of(view)
    if cost is None:
        return Computed("open", [NO_COST])
    runs, unusable = _runs(view, "cost.piece")
    if unusable:
        return unusable
    lines = {lever.line for lever in cost.lever if lever.change}
    findings = [
        Finding("cost", f"lever.{lever.name}.change", "0 %", "changes nothing; give the change that is to be shown")
        for lever in cost.lever
        if not lever.change
    ]
    if len(lines) < LEAST_LEVERS:
        remedy = f"are fewer than {LEAST_LEVERS}; add the lines that move the cost most, or the volume"
        findings.append(Finding("cost", "lever", amount(len(lines), "line"), remedy))
    facts = [text for run in runs if run.result for text in run.result.warnings if text.startswith("lever: ")]
    return verdict_of(findings, facts or [amount(len(lines), "line")], data=True)
