"""4 Evidence: what an item still needs, with the key that gives it."""

from __future__ import annotations

from dossier.checks.measuring_channels import not_calibrated_words, uncovered
from dossier.methods.evidence_links import CURVES, WITH_FILES, counted
from dossier.methods.evidence_signs import unanswered
from dossier.records.evidence import Equipment, EvidenceItem, SchemeRecord, Specimen
from dossier.store.project import Project

MEASURED = ("test", "inspection")
UNBUDGETED = ("yes_no", "life", "sn_line", "staircase")  # decided by counting and by scatter alone


def next_words(project: Project, item: EvidenceItem) -> str:
    """The next one or two things to do for the item, each with its key; nothing where it is done."""
    if item.state in ("aborted", "invalid"):
        return ""
    if item.state == "finished":
        return _of_finished(project, item)
    told = _needed(project, item) if item.way in MEASURED and not item.lives_from else []
    if not told:
        told = _of_begun(item)
    return "; then ".join(told[:3])


def _needed(project: Project, item: EvidenceItem) -> list[str]:
    """What must be there before a result can be taken in."""
    told = []
    parts = [specimen.design for specimen in project.of_kind(Specimen)]
    lacking = [design for design in (item.variant, item.reference) if design and design not in parts]
    if lacking:
        told.append(f"n adds specimens of {' and '.join(lacking)}")
    if not item.equipment:
        known = project.of_kind(Equipment)
        told.append("e names its equipment in the fields" if known else "n adds the equipment")
    if item.quantity in WITH_FILES and not item.scheme and not project.of_kind(SchemeRecord):
        told.append("n makes a reading scheme from a measured file")
    return told


def _of_begun(item: EvidenceItem) -> list[str]:
    files = item.quantity in WITH_FILES
    count = len(counted(item)) + len(item.lives_from)
    planned = item.planned_variant + item.planned_reference
    more = f", {count} of {planned} are in" if count and count < planned and not item.lives_from else ""
    bring = f"n brings in {'measured files' if files else 'values'}{more}"
    if not count:
        return [bring]
    return [*([bring] if more else []), "e says that it is finished", "c evaluates it"]


def _of_finished(project: Project, item: EvidenceItem) -> str:
    if item.result is None:
        return "c evaluates it" if item.samples or item.lives_from else ""
    if item.quantity in CURVES and (waiting := unanswered(item)):
        named = ", ".join(dict.fromkeys(sign.specimen for sign in waiting))
        return f"Enter shows the sign of trouble in {named}; a there says what was looked at"
    if not_calibrated_words(project, item):
        machines = " and ".join(dict.fromkeys(fault.equipment for need in uncovered(project, item) for fault in need.faults))
        return f"r leads to {machines}, e there adds the calibration that held then as a channel; else what it serves is conceded"
    if item.way in MEASURED and item.quantity not in UNBUDGETED and not item.budget:
        return "e adds the lines of its uncertainty budget in the fields; without them the value stands without one"
    return ""
