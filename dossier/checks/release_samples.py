"""Check 6.13: the first parts of the series tool are measured, certified and judged for capability."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.records.evidence import Document, EvidenceItem, Specimen
from dossier.units import amount


@computed("6.13")
def first_articles(view: View) -> Computed:
    """Inspections on parts of the series tool, a certificate for each steel heat, a report on capability."""
    variant = view.project.variant
    specimens = view.project.of_kind(Specimen)
    first = [s for s in specimens if variant and s.design == variant.id and s.origin == "series tool"]
    inspections = list(_inspections(view, {specimen.id for specimen in first}))
    certificates = [d for d in view.project.of_kind(Document) if d.kind == "certificate"]
    reports = [d for d in view.project.of_kind(Document) if d.kind == "report" and "capability" in d.title.lower()]
    findings = []
    if not first:
        remedy = 'holds no variant of origin "series tool"; enter the first parts, or concede the check'
        findings.append(Finding("specimens", "origin", "", remedy))
    else:
        findings += _unmeasured(view, inspections)
        findings += _uncertified(first, certificates)
    if not reports:
        remedy = 'holds no report with "capability" in its title; enter that of press-in force, stiffness and diameter'
        findings.append(Finding("documents", "title", "", remedy))
    findings += [
        Finding(document.id, "file", "", "is empty; import the file")
        for document in (*certificates, *reports)
        if not document.file
    ]
    facts = [
        f"{len(first)} parts of the series tool, {amount(len(inspections), 'inspection')} of them",
        *(f"{document.id} {document.kind}: {document.title}" for document in (*certificates, *reports)),
    ]
    basis = {
        "parts": [specimen.id for specimen in first],
        "inspections": [item.id for item in inspections],
        "documents": {document.id: document.file for document in (*certificates, *reports)},
    }
    return verdict_of(findings, facts, data=bool(specimens), basis=basis)


def _inspections(view: View, parts: set[str]) -> Iterator[EvidenceItem]:
    for item in view.project.evidence:
        measured = {sample.specimen for sample in item.samples if not sample.left_out}
        if item.way == "inspection" and item.state == "finished" and measured & parts:
            yield item


def _unmeasured(view: View, inspections: list[EvidenceItem]) -> Iterator[Finding]:
    served = {link.requirement for item in inspections for link in item.serves}
    for requirement in view.project.requirements:
        if "inspection" in requirement.verification and requirement.id not in served:
            remedy = "was not inspected on a part of the series tool; add the inspection"
            yield Finding(requirement.id, "verification", "inspection", remedy)


def _uncertified(first: list[Specimen], certificates: list[Document]) -> Iterator[Finding]:
    for heat in sorted({specimen.steel_heat for specimen in first}):
        if not heat:
            named = next(specimen.id for specimen in first if not specimen.steel_heat)
            yield Finding(named, "steel_heat", "", "is empty; name the heat of the pin's steel")
        elif not any(heat in document.title for document in certificates):
            named = next(specimen.id for specimen in first if specimen.steel_heat == heat)
            remedy = "stands in the title of no certificate; enter the inspection document of that heat"
            yield Finding(named, "steel_heat", heat, remedy)
