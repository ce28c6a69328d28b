"""Checks of step 3 on what the section's own model cannot hold: a layer that opens, a pin end that a bore crosses."""

from __future__ import annotations

from dossier import units
from dossier.checks.base import Computed, Finding, absent, computed, verdict_of
from dossier.checks.design_runs import NO_VARIANT, run_again, runs_on, stands
from dossier.checks.verdict import Verdict
from dossier.checks.view import View
from dossier.records.calculation import Calculation
from dossier.records.design import Design
from dossier.records.evidence import EvidenceItem

PIN_END = "pin_end_safety"


@computed("3.17")
def layer_stays_closed(view: View) -> Computed:
    """Under every load case the rubber of the variant neither opens, slides nor tears a cavity, as `layer.limits` finds it."""
    variant = view.project.variant
    if variant is None:
        return Computed("open", [NO_VARIANT])
    runs = runs_on(view, "layer.limits", variant)
    if not runs:
        return absent(variant.id, "", "has no calculation of the layer's own limits; add one with method layer.limits")
    findings, facts, looked_at = [], [], set()
    for run in runs:
        if not stands(view, run) or run.result is None:
            findings.append(run_again(view, run))
            continue
        looked_at |= {load["id"] for load in run.result.inputs["loads"]}
        facts.append(_reached(run))
        findings += [_beyond(run, note) for note in run.result.validity_notes]
    if all(stands(view, run) for run in runs):
        remedy = f"is looked at by no layer.limits of {variant.id}; leave loads of {runs[0].id} to all load cases"
        findings += [Finding(load.id, "", "", remedy) for load in view.project.loads if load.id not in looked_at]
    data = any(view.freshness[run.id].state != "open" for run in runs)
    return verdict_of(findings, facts, data=data)


def _reached(run: Calculation) -> str:
    factor = run.result.value("load_factor") if run.result else None
    number = units.show(factor.value, 3) if factor and factor.value is not None else "–"
    return f"{run.id}: nothing begins below {number} times the worst load case"


def _beyond(run: Calculation, note: str) -> Finding:
    remedy = f"{note}; more pre-stress, a thicker layer or less load, or prove the load by test and concede this"
    factor = run.result.value("load_factor") if run.result else None
    return Finding(run.id, "load_factor", units.show(factor.value, 3) if factor and factor.value is not None else "", remedy)


@computed("3.18")
def pin_end_verified(view: View) -> Computed:
    """A bore in the clamp zone makes the pin end a verification of its own: outside analysis or test, formulas do not do."""
    variant = view.project.variant
    if variant is None:
        return Computed("open", [NO_VARIANT])
    entering = _entering(variant)
    edge = units.show(variant.pin.ends.clamp_edge, 4)
    if not entering:
        return Computed("met", [], [f"no bore of {variant.id} reaches past the clamp edge at {edge} mm"])
    facts = [f"{variant.id}: {', '.join(entering)} past the clamp edge at {edge} mm"]
    demands = [verdict for verdict in view.verdicts.values() if verdict.requirement.quantity == PIN_END]
    if not demands:
        remedy = (
            f"reaches into the clamp zone; add a requirement on {PIN_END} (net section at the crossing, crushing of a "
            "hollow flat), verified by an outside analysis or a test"
        )
        return Computed("not met", [Finding(variant.id, entering[0], "", remedy)], facts)
    findings = [finding for verdict in demands for finding in _proof(view, verdict)]
    return verdict_of(findings, facts + [f"{verdict.requirement.id}: {verdict.state}" for verdict in demands], data=True)


def _entering(design: Design) -> list[str]:
    edge = design.pin.ends.clamp_edge
    return [f"pin.bores.{number}" for number, bore in enumerate(design.pin.bores) if max(abs(bore.start), abs(bore.end)) > edge]


def _proof(view: View, verdict: Verdict) -> list[Finding]:
    """What keeps a demand on the pin end from being proven by something else than a formula."""
    record = verdict.requirement.id
    shown = [s for s in verdict.supports if isinstance(view.project.find(s.record), EvidenceItem)]
    if not shown:
        remedy = "formulas alone do not prove a pin end that a bore crosses; add an outside analysis or a test that serves it"
        return [Finding(record, "verification", "", remedy)]
    if verdict.state in ("met", "conceded"):
        return []
    remedy = verdict.leading.reason if verdict.leading and verdict.leading.reason else "bring its proof to an end, or concede it"
    return [Finding(record, "", verdict.state, remedy)]
