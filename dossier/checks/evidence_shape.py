"""Check 4.16: what was measured was measured on parts of today's shape, or it is said why the result carries over."""

from __future__ import annotations

from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.view import View
from dossier.methods.evidence_links import counted
from dossier.methods.shape import carried_over


@computed("4.16")
def of_todays_shape(view: View) -> Computed:
    """Drawing index, dimensions and materials of the parts are those of their designs now."""
    items = [item for item in view.project.evidence if item.state == "finished" and item.result and counted(item)]
    findings = []
    for item in items:
        fresh = view.evidence_freshness[item.id]
        if fresh.older:
            findings.append(Finding(item.id, "samples.specimen", "outdated", "; ".join(fresh.problems)))
    facts = [f"{len(items) - len(findings)} of {len(items)} finished items say something about today's shape"] if items else []
    facts += [
        f"{item.id} carries over to {carry.design} index {carry.drawing_index or '–'}: {carry.reason} ({carry.by}, {carry.on})"
        for item in items
        for carry in carried_over(view.project, item)
    ]
    return verdict_of(findings, facts, data=bool(items))
