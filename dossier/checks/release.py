"""Computed checks of step 6: the steps before, coverage of the requirements, independence, standards."""

from __future__ import annotations

from collections import Counter

from dossier import units
from dossier.checks.base import Computed, Finding, State, check_states, computed, verdict_of
from dossier.checks.cited_standards import cited_count, standard_findings
from dossier.checks.margin import limit_in_words
from dossier.checks.policy import reviewing_role
from dossier.checks.signing import SUPERSEDED, SignOffState
from dossier.checks.verdict import ORDER, Verdict
from dossier.checks.view import View
from dossier.records.step import STEPS
from dossier.units import amount

BEFORE = ("1", "2", "3", "4", "5")


@computed("6.1")
def steps_closed(view: View) -> Computed:
    """Steps 1 to 5 are closed: all checks met or conceded, signed by all roles, and nothing changed since."""
    from dossier.checks.standing import step_standing

    states = check_states(view, BEFORE)
    found = [step_standing(view, number, states) for number in BEFORE]
    findings = []
    for step in found:
        if step.state == "closed":
            continue
        if step.missing_roles and step.state == "ready":
            remedy = f"{', '.join(step.missing_roles)} must sign it"
        else:
            remedy = f"close it: {step.causes[0].where} {step.causes[0].text}" if step.causes else "close it"
        findings.append(Finding(f"step {step.number} {step.name}", "state", step.state, remedy))
    facts = [f"step {step.number} {step.name}: {step.state}" for step in found]
    return verdict_of(findings, facts, data=bool(view.signoffs))


@computed("6.2")
def requirements_covered(view: View) -> Computed:
    """Every requirement is met or conceded; the worst state of any of them is the state of the check."""
    verdicts = list(view.verdicts.values())
    lacking = [verdict for verdict in verdicts if verdict.state not in ("met", "conceded")]
    worst = min((verdict.state for verdict in verdicts), key=ORDER.index, default="open")
    state: State = {"undecided": "not met", "conceded": "met"}.get(worst, worst)  # type: ignore[assignment]
    counts = Counter(verdict.state for verdict in verdicts)
    facts = [f"{amount(len(verdicts), 'requirement')}: " + ", ".join(f"{n} {s}" for s, n in counts.items())] if verdicts else []
    return Computed(state, [_lacking(verdict) for verdict in lacking], facts)


def _lacking(verdict: Verdict) -> Finding:
    requirement, leading = verdict.requirement, verdict.leading
    value = verdict.state
    if leading and leading.value is not None:
        unit = "" if requirement.unit in ("-", "1") else f" {requirement.unit}"
        value += f", {units.show(leading.value, 4)}{unit} in {leading.record}"
    demand = limit_in_words(requirement.limit, requirement.unit)
    reason = verdict.reason or (leading.reason if leading else "")
    remedy = f"demanded is {demand}{'; ' + reason if reason else ''}; verify it or concede it"
    return Finding(requirement.id, "state", value, remedy)


@computed("6.4")
def independent(view: View) -> Computed:
    """Each step before was released by a reviewer who wrote none of its records, under a signature that holds."""
    releases = [s for s in view.signoffs if s.signoff.step in BEFORE and s.signoff.decision == "released"]
    alive = [state for state in releases if state.state != "withdrawn"]
    remedy = "restore it from the history, or withdraw it and sign again"
    findings = [_of(state, "signature", fault, remedy) for state in alive for fault in state.faults]
    findings += _one_person(alive)
    superseded = [
        _of(s, "state", s.state, f"{', '.join(s.changed[:4])} changed since; sign again")
        for s in alive
        if s.state == SUPERSEDED and not _signed_later(s, alive)
    ]
    reviewed = {state.signoff.step for state in alive if state.signoff.role == reviewing_role() and state.counts}
    waiting = [number for number in BEFORE if number not in reviewed]
    facts = [f"step {s.signoff.step}: {s.signoff.role} {s.signoff.person}, {s.state}" for s in alive]
    facts += [f"step {number} {STEPS[number]}: no valid release of a reviewer" for number in waiting]
    found = verdict_of([*findings, *superseded], facts, data=bool(alive))
    if alive and not findings and (superseded or waiting):
        found.state = "outdated" if superseded else "open"
    return found


def _of(state: SignOffState, field: str, value: str, remedy: str) -> Finding:
    return Finding(state.signoff.id, field, value, f"step {state.signoff.step} {state.signoff.person}: {remedy}")


def _signed_later(state: SignOffState, releases: list[SignOffState]) -> bool:
    mine = state.signoff
    return any(
        other.counts and (other.signoff.step, other.signoff.role) == (mine.step, mine.role) for other in releases
    )


def _one_person(releases: list[SignOffState]) -> list[Finding]:
    """Reviewers who released the same step in another role too."""
    findings = []
    for review in (state for state in releases if state.counts and state.signoff.role == reviewing_role()):
        mine = review.signoff
        also = [
            other.signoff.role
            for other in releases
            if other.counts and (other.signoff.step, other.signoff.person) == (mine.step, mine.person)
            and other.signoff.role != reviewing_role()
        ]  # fmt: skip
        if also:
            remedy = f"signed as {also[0]} too; another person must review the step"
            findings.append(_of(review, "person", mine.person, remedy))
    return findings


@computed("6.5")
def standards_of_the_document(view: View) -> Computed:
    """Every standard that requirements or evidence cite has an edition, confirmed within a year, and is in force."""
    citing = [*view.project.requirements, *view.project.evidence]
    facts = [f"{cited_count(citing)} standards cited, {len(view.project.standards)} in the register"]
    return verdict_of(standard_findings(view, citing), facts, data=bool(citing))
