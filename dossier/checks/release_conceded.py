"""Check 6.16: a concession on what the customer demands rests on a document with the customer's acceptance."""

from __future__ import annotations

from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.verdict import Verdict
from dossier.checks.view import View
from dossier.records.evidence import Document
from dossier.units import amount


@computed("6.16")
def customer_accepted(view: View) -> Computed:
    """Each conceded requirement of the customer names a registered document; those of our own need none."""
    conceded = [verdict for verdict in view.verdicts.values() if verdict.concession]
    asked = [verdict for verdict in conceded if verdict.requirement.source_kind == "customer"]
    findings = [finding for verdict in asked if (finding := _without_document(view, verdict))]
    told = f"{amount(len(view.verdicts), 'requirement')}, {len(conceded)} conceded"
    facts = [f"{told}, {len(asked)} of these demanded by the customer"]
    facts += [f"{v.requirement.id}: {v.concession.id}, {v.concession.document or '–'}" for v in asked if v.concession]
    return verdict_of(findings, facts, data=bool(view.verdicts))


def _without_document(view: View, verdict: Verdict) -> Finding | None:
    concession = verdict.concession
    if concession is None or isinstance(view.project.find(concession.document), Document):
        return None
    fault = "is in no register" if concession.document else "is empty"
    remedy = (
        f"{fault}: {concession.id} concedes {verdict.requirement.id}, which the customer demands; register the customer's "
        "acceptance in documents.toml and concede again with it"
    )
    return Finding(concession.id, "document", concession.document, remedy)
