"""Check 4.4: the channels used were calibrated on the day of the test, over the range that was used."""

from __future__ import annotations

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.evidence_specimens import started
from dossier.checks.measuring_channels import ChannelFault, channels_of, days_of, uncovered
from dossier.checks.view import View
from dossier.records.evidence import Equipment, EvidenceItem
from dossier.units import amount


@computed("4.4")
def calibrated(view: View) -> Computed:
    """Every channel that a test or inspection needs was calibrated then and covers what was measured."""
    items = [item for item in started(view, "test", "inspection") if item.quantity != "yes_no"]
    findings = [finding for item in items for finding in _found(view, item)]
    used = {name for item in items for name, _ in channels_of(view.project, item)}
    looked_at = amount(len(items), "test or inspection", "tests and inspections")
    facts = [f"{looked_at} with {amount(len(used), 'piece')} of equipment"]
    return verdict_of(findings, facts, data=bool(items))


def out_of_calibration_words(view: View, item: EvidenceItem) -> str:
    """Machine, channels and days of calibrations that did not hold when the item was measured, or nothing."""
    if item.way not in ("test", "inspection") or item.quantity == "yes_no":
        return ""
    expired: dict[tuple[str, str, str], dict[str, None]] = {}
    for need in uncovered(view.project, item):
        for fault in need.faults:
            if fault.kind in ("day", "held"):
                days = (fault.equipment, fault.channel.calibrated_on, fault.channel.valid_until)
                expired.setdefault(days, {})[fault.channel.quantity] = None
    told = []
    for (name, since, until), quantities in expired.items():
        machine = view.project.find(name)
        title = machine.title if isinstance(machine, Equipment) else name
        word = "channel" if len(quantities) == 1 else "channels"
        told.append(f"{title} ({name}), {word} {' and '.join(quantities)}, calibrated {since}, valid until {until}, but "
                    f"measured {days_of(item) or 'a day that is not told'}")  # fmt: skip
    return f"Calibration out of date: {'; '.join(told)}. Check 4.4 is not met for it." if told else ""


def calibration_words(view: View, item: EvidenceItem) -> list[str]:
    """The first of what check 4.4 finds of the channels of one item (out of date, out of range, not there), and how many."""
    if item.quantity == "yes_no" or item not in started(view, "test", "inspection"):
        return []
    findings = _found(view, item)
    more = f"; check 4.4 lists {len(findings)} such" if len(findings) > 1 else ""
    return [f"{finding}{more}" for finding in findings[:1]]


def _found(view: View, item: EvidenceItem) -> list[Finding]:
    """What is wrong with the channels an item needs."""
    remedy = "names no equipment; add it to equipment.toml or correct the id"
    unknown = [name for name in item.equipment if not isinstance(view.project.find(name), Equipment)]
    findings = [Finding(item.id, "equipment", name, remedy) for name in unknown]
    for need in uncovered(view.project, item):
        if not need.faults:
            remedy = f"has no channel for {need.quantities[0]}; name what measured it"
            findings.append(Finding(item.id, "equipment", ", ".join(item.equipment) or "none", remedy))
        findings += [_finding(item, fault) for fault in need.faults]
    return findings


def _finding(item: EvidenceItem, fault: ChannelFault) -> Finding:
    channel, field = fault.channel, f"channel.{fault.channel.quantity}"
    if fault.kind == "day":
        return Finding(item.id, "started_on", "", "is empty; give the day of the test, the calibration must hold then")
    if fault.kind == "held":
        remedy = (
            f"does not hold on {days_of(item)}, when {item.id} was done; enter the calibration that did as a further channel, or "
            "calibrate and test again, or concede"
        )
        return Finding(fault.equipment, f"{field}.valid_until", f"{channel.calibrated_on} to {channel.valid_until}", remedy)
    if fault.kind == "unit":
        return Finding(fault.equipment, f"{field}.unit", channel.unit, f"does not fit {item.id}: {fault.told}")
    shown = f"{channel.low:g} .. {channel.high:g} {channel.unit}"
    remedy = f"does not cover {units.show(fault.beyond or 0.0, 4)} {channel.unit} of {item.id}; use a channel of that range"
    return Finding(fault.equipment, f"{field}.high", shown, remedy)
