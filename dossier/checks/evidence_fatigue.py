"""Check 4.9: how each fatigue test ended, with its logs and its stiffness."""

from __future__ import annotations

from collections.abc import Iterator

from dossier.checks.base import Computed, Finding, absent, computed, verdict_of
from dossier.checks.view import View
from dossier.methods.evidence_links import counted
from dossier.methods.evidence_lives import linked_items
from dossier.records.evidence import Document, EvidenceItem, Sample
from dossier.units import amount


@computed("4.9")
def fatigue_told(view: View) -> Computed:
    """Reached life and end of each specimen, temperature, log of blocks, stiffness of the same specimens."""
    if view.project.requirements and not any(r.quantity == "life" for r in view.project.requirements):
        return absent("requirements", "quantity", "asks for no life; add the requirement and its test")
    serving = [each for item in _serving(view, "life") for each in (linked_items(view.project, item) or [item])]
    items = list({item.id: item for item in serving if item.state in ("running", "finished")}.values())
    findings = [finding for item in items for finding in _gaps(view, item)]
    facts = [
        f"{item.id}: {amount(len(counted(item)), 'specimen')}, reached "
        + ", ".join(f"{reached:.5g}" for sample in counted(item) if (reached := _reached(item, sample)) is not None)
        for item in items
    ]
    return verdict_of(findings, facts, data=bool(items))


def _serving(view: View, quantity: str) -> list[EvidenceItem]:
    """Items that serve a requirement on this quantity."""
    wanted = {requirement.id for requirement in view.project.requirements if requirement.quantity == quantity}
    return [item for item in view.project.evidence if wanted & {served.requirement for served in item.serves}]


def _reached(item: EvidenceItem, sample: Sample) -> float | None:
    """The life a part reached: as entered, or from its record of stiffness over cycles."""
    if item.quantity != "durability":
        return sample.value
    found = item.result.value(f"specimen:{sample.specimen}") if item.result else None
    return found.value if found else None


def _gaps(view: View, item: EvidenceItem) -> Iterator[Finding]:
    if item.state == "running":
        yield Finding(item.id, "state", "running", "has not ended; run it to its target or its failure criterion")
        return
    for sample in counted(item):
        if _reached(item, sample) is None:
            remedy = f"of {sample.specimen} is empty; enter the life it reached, in {item.unit}"
            yield Finding(item.id, "samples.value", "", remedy)
        if not sample.observation:
            remedy = f"of {sample.specimen} is empty; say whether target or failure criterion was reached, and how"
            yield Finding(item.id, "samples.observation", "", remedy)
    if item.temperature is None and not (item.result and item.result.value("temperature_max_variant")):
        yield Finding(item.id, "temperature", "", "is empty; give the specimens' temperature under load")
    if not any(isinstance(view.project.find(name), Document) for name in item.documents):
        remedy = "names no document; add the log of blocks and temperature to documents.toml"
        yield Finding(item.id, "documents", ", ".join(item.documents), remedy)
    followed = {
        sample.specimen
        for other in _serving(view, "stiffness_loss")
        if other.state == "finished"
        for sample in counted(other)
    } | ({sample.specimen for sample in counted(item)} if item.quantity == "durability" else set())
    missing = [sample.specimen for sample in counted(item) if sample.specimen not in followed]
    if missing:
        remedy = "has no stiffness before and after the run; add it to the item on the loss of stiffness"
        yield Finding(item.id, "samples.specimen", missing[0], remedy)
