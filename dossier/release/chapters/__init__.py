"""The sheets of the document in order; each chapter is a pure function of kit and facts."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reportlab.platypus import Flowable

    from dossier.release.facts import Facts
    from dossier.release.kit import Kit

TITLES = {
    "1": "Statement of release",
    "2": "Requirements",
    "3": "Design",
    "4": "Evidence",
    "5": "Cost and CO₂",
    "6": "Cautions",
    "7": "Standards",
    "8": "Concessions and changes",
    "9": "Signatures and manifest",
}


def story(kit: Kit, facts: Facts) -> list[Flowable]:
    """All sheets."""
    from dossier.release.chapters import cautions, cost, design, evidence, records, requirements, signatures, statement

    return [
        *statement.statement(kit, facts, TITLES),
        *requirements.requirements(kit, facts, TITLES["2"]),
        *design.design(kit, facts, TITLES["3"]),
        *evidence.evidence(kit, facts, TITLES["4"]),
        *cost.cost(kit, facts, TITLES["5"]),
        *cautions.cautions(kit, facts, TITLES["6"]),
        *records.standards(kit, facts, TITLES["7"]),
        *records.changes(kit, facts, TITLES["8"]),
        *signatures.signatures(kit, facts, TITLES["9"]),
    ]
