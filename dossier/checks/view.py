"""The project as checks see it: freshness of every result and verdict of every requirement, worked out once."""

from __future__ import annotations

from datetime import date
from functools import cached_property
from typing import Any

from dossier.checks.evidence_support import support_of_evidence
from dossier.checks.signing import SignOffState, signoff_states
from dossier.checks.verdict import Support, Verdict, support_of_calculation, verdict
from dossier.methods.evidence_links import evaluation_freshness, evidence_freshness
from dossier.methods.freshness import Freshness, freshness
from dossier.records.calculation import Calculation
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from dossier.records.step import Concession, StepRecord
from dossier.store.project import Project


class View:
    """Derived facts of a loaded project on a given day. Reads only. `checks` keeps the states that were worked out."""

    def __init__(self, project: Project, today: date) -> None:
        self.project = project
        self.today = today
        self.checks: dict[str, Any] = {}

    @cached_property
    def freshness(self) -> dict[str, Freshness]:
        """State of every calculation's result, by id."""
        return {c.id: freshness(self.project, c) for c in self.project.calculations}

    @cached_property
    def signoffs(self) -> list[SignOffState]:
        """State of every sign-off, oldest first."""
        return signoff_states(self.project)

    @cached_property
    def concessions(self) -> dict[str, Concession]:
        """The newest concession on each record or check, by the id it is on."""
        found: dict[str, Concession] = {}
        for step in self.project.of_kind(StepRecord):
            for concession in sorted(step.concession, key=lambda c: c.on):
                found[concession.on_record] = concession
        return found

    @cached_property
    def _serving(self) -> dict[str, list[tuple[Calculation, str]]]:
        table: dict[str, list[tuple[Calculation, str]]] = {}
        for calculation in self.project.calculations:
            for served in calculation.serves:
                table.setdefault(served.requirement, []).append((calculation, served.value))
        return table

    @cached_property
    def evaluations(self) -> dict[str, Freshness]:
        """State of every evidence item's evaluation, by id, whatever shape the parts had."""
        return {item.id: evaluation_freshness(self.project, item) for item in self.project.evidence}

    @cached_property
    def evidence_freshness(self) -> dict[str, Freshness]:
        """State of every evidence item's result, by id: outdated too where its parts had another shape than today's."""
        return {item.id: evidence_freshness(self.project, item) for item in self.project.evidence}

    @cached_property
    def _evidence_serving(self) -> dict[str, list[tuple[EvidenceItem, str]]]:
        table: dict[str, list[tuple[EvidenceItem, str]]] = {}
        for item in self.project.evidence:
            for served in item.serves:
                table.setdefault(served.requirement, []).append((item, served.value))
        return table

    def supports(self, requirement: Requirement) -> list[Support]:
        """Everything that says something about a requirement."""
        calculated = [
            support_of_calculation(requirement, calculation, name, self.freshness[calculation.id])
            for calculation, name in self._serving.get(requirement.id, [])
        ]
        found = [
            support_of_evidence(self.project, requirement, item, name, self.evidence_freshness[item.id])
            for item, name in self._evidence_serving.get(requirement.id, [])
        ]
        return calculated + [support for support in found if support is not None]

    @cached_property
    def verdicts(self) -> dict[str, Verdict]:
        """Verdict of every requirement, by id."""
        return {
            requirement.id: verdict(
                requirement, self.supports(requirement), self.concessions.get(requirement.id), self.today
            )
            for requirement in self.project.requirements
        }
