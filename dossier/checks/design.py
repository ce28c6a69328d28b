"""Computed checks of step 3."""

from __future__ import annotations

from dossier import units
from dossier.checks.base import Computed, Finding, State, computed, verdict_of
from dossier.checks.margin import limit_in_words
from dossier.checks.verdict import ORDER, Support, Verdict
from dossier.checks.view import View
from dossier.methods.freshness import STANDS
from dossier.records.calculation import Calculation
from dossier.records.design import Design
from dossier.units import amount

# Demands on cost are verified by analysis too; their analysis is the cost sheet of step 5.
COST_QUANTITIES = ("cost", "cost_change")


def analysed(view: View) -> list[Verdict]:
    """Verdicts of the requirements that step 3 verifies by analysis."""
    return [
        verdict
        for verdict in view.verdicts.values()
        if "analysis" in verdict.requirement.verification and verdict.requirement.quantity not in COST_QUANTITIES
    ]


@computed("3.1")
def analysis_covered(view: View) -> Computed:
    """Every requirement verified by analysis has a calculation with a current result.

    A result always holds method, version and the digest of its input; the margin follows from it and the limit.
    """
    verdicts, findings = analysed(view), []
    for verdict in verdicts:
        supports = [support for support in verdict.supports if support.way == "analysis"]
        if not supports:
            remedy = "rests on no calculation; add one that serves it"
            findings.append(Finding(verdict.requirement.id, "verification", "analysis", remedy))
        for support in supports:
            if support.state in ("open", "outdated"):
                remedy = support.reason or f"its result is {support.state}; calculate it again"
                findings.append(Finding(support.record, "result", support.state, remedy))
    facts = [f"{amount(len(verdicts), 'requirement')} verified by analysis in this step"]
    return verdict_of(findings, facts, data=bool(verdicts))


@computed("3.4")
def analysis_holds(view: View) -> Computed:
    """Every value that proves a requirement by analysis holds its limit, within the method's validity.

    A requirement without any such value leaves the check open; 3.1 names it.
    """
    findings, facts, states = [], [], []
    for verdict in analysed(view):
        supports = [support for support in verdict.supports if support.way == "analysis"]
        facts += [f"{verdict.requirement.id} {support.record}: {support.state}" for support in supports]
        if not supports:
            facts.append(f"{verdict.requirement.id}: no calculation")
        if verdict.state == "conceded":
            states.append("conceded")
            continue
        states += [support.state for support in supports] or ["open"]
        findings += [_limit_finding(view, verdict, s) for s in supports if s.state not in ("met", "conceded")]
    worst = min(states, key=ORDER.index, default="open")
    state: State = {"undecided": "not met", "conceded": "met"}.get(worst, worst)  # type: ignore[assignment]
    return Computed(state, findings, facts)


def _limit_finding(view: View, verdict: Verdict, support: Support) -> Finding:
    requirement = verdict.requirement
    if support.value is None or support.state in ("open", "outdated"):
        return Finding(support.record, "result", support.state, support.reason or "calculate it again")
    unit = "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
    value = f"{units.show(support.value, 4)}{unit}"
    demand = limit_in_words(requirement.limit, requirement.unit)
    changeable = _what_to_change(view, support)
    remedy = f"{requirement.id} demands {demand}: {support.state}; change {changeable} or concede it"
    if support.reason:
        remedy = f"{support.reason}; {remedy}"
    return Finding(support.record, "result", value, remedy)


def _what_to_change(view: View, support: Support) -> str:
    record = view.project.find(support.record)
    return record.design if isinstance(record, Calculation) and record.design else support.record


@computed("3.6")
def wall_at_bore(view: View) -> Computed:
    """Least wall around each bore against the drawing's minimum; bore ends away from the highest bending moment."""
    bored = [design for design in view.project.designs if design.pin.bores]
    findings: list[Finding] = []
    facts: list[str] = []
    for design in bored:
        if design.pin.minimum_wall is None:
            findings.append(Finding(design.id, "pin.minimum_wall", "", "is empty; give the drawing's minimum wall"))
            continue
        _check_wall(design, design.pin.minimum_wall, findings, facts)
        _check_bore_ends(design, findings)
    if not bored and view.project.designs:
        return Computed("met", [], ["no design has a bore"])
    return verdict_of(findings, facts, data=bool(bored))


def _check_wall(design: Design, minimum: float, findings: list[Finding], facts: list[str]) -> None:
    from dossier.mechanics.section import wall_at_bore as least_wall
    from dossier.mechanics.shapes import GeometryError
    from dossier.methods.geometry import shape_of_design

    try:
        wall = least_wall(shape_of_design(design))
    except GeometryError as error:
        findings.append(Finding(design.id, "", "", str(error)))
        return
    zones = (("ahead of the clamp edge", wall.free, wall.free_z), ("in the clamp zone", wall.clamp, wall.clamp_z))
    for name, value, place in zones:
        if value is None or place is None:
            continue
        facts.append(f"{design.id}: least wall {name} {units.show(value, 3)} mm at z = {units.show(place, 3)} mm")
        if value < minimum:
            remedy = f"leaves less than pin.minimum_wall = {units.show(minimum, 3)} mm; reduce the bore's diameter"
            shown = f"{units.show(value, 3)} mm at z = {units.show(place, 3)} mm"
            findings.append(Finding(design.id, "pin.bores", shown, remedy))


def _check_bore_ends(design: Design, findings: list[Finding]) -> None:
    """Highest bending lies at the neck line and at the clamp edge; a bore must end half a neck radius away from both."""
    from dossier.mechanics.shapes import ball_contour
    from dossier.methods.geometry import shape_of_design

    pin = shape_of_design(design).pin
    zones = {"neck line": ball_contour(pin).neck_line, "clamp edge": pin.ends.clamp_edge}
    half = pin.length / 2
    for number, bore in enumerate(design.pin.bores):
        for field in ("start", "end"):
            position = abs(getattr(bore, field))
            if position >= half - 1e-9:
                continue
            for name, zone in zones.items():
                if abs(position - zone) < pin.neck_radius / 2:
                    shown = f"{units.show(getattr(bore, field), 4)} mm"
                    remedy = (
                        f"ends within half a neck radius of the {name} at {units.show(zone, 4)} mm, where bending is "
                        "highest; move the bore's end"
                    )
                    findings.append(Finding(design.id, f"pin.bores.{number}.{field}", shown, remedy))


@computed("3.7")
def bond_area_compared(view: View) -> Computed:
    """The variant's bonded area against the reference part's, and the least share the design asks for."""
    variant = view.project.variant
    runs = [c for c in view.project.calculations if c.method == "bond.area" and variant and c.design == variant.id]
    if variant is None or not runs:
        name = variant.id if variant else "the variant"
        remedy = "has no bond-area comparison; add a calculation with method bond.area"
        return Computed("open", [Finding(name, "", "", remedy)])
    least = variant.layer.minimum_bond_share
    if least is None:
        remedy = "is empty; give the least bonded area as a share of the reference part's"
        return Computed("open", [Finding(variant.id, "layer.minimum_bond_share", "", remedy)])
    findings, facts = [], []
    for run in runs:
        state = view.freshness[run.id].state
        ratio = run.result.value("ratio") if run.result else None
        if state not in STANDS or ratio is None or ratio.value is None:
            finding = Finding(run.id, "result", state, view.freshness[run.id].remedy)
            return Computed("outdated" if state == "outdated" else "open", [finding])
        facts += [f"{run.id} {v.name}: {units.show_quantity(v.value or 0.0, v.unit)}" for v in run.result.values]
        findings += _unloaded(run)
        if ratio.value < least:
            remedy = (
                f"is below {variant.id}.layer.minimum_bond_share = {units.show(least, 3)}; enlarge the ball or the "
                "polar zone, or lower the share by agreement with the bonding shop"
            )
            findings.append(Finding(run.id, "ratio", units.show(ratio.value, 3), remedy))
    return verdict_of(findings, facts, data=True)


def _unloaded(run: Calculation) -> list[Finding]:
    """Forces that a comparison of bond stresses was run without."""
    given = run.result.inputs if run.result else {}
    remedy = "gives no mean stress of the bond; link the load case it carries"
    return [
        Finding(run.id, f"inputs.{name}", "0 N", remedy)
        for name in ("radial_force", "axial_force")
        if not given.get(name)
    ]
