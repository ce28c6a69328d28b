"""Check 4.4: the channels used were calibrated on the day of the test, over the range that was used."""

from __future__ import annotations

from collections.abc import Iterator

from dossier import units
from dossier.checks.base import Computed, Finding, computed, verdict_of
from dossier.checks.evidence_specimens import started
from dossier.checks.view import View
from dossier.methods.evidence_links import PRESS
from dossier.methods.evidence_recorded import RECORDED
from dossier.records.evidence import Channel, Equipment, EvidenceItem, SchemeRecord
from dossier.units import amount

# Channels an item needs: (load, travel) of each direction.
DIRECTIONS = {
    "radial": ("force", "displacement"),
    "axial": ("force", "displacement"),
    "torsional": ("torque", "angle"),
    "conical": ("torque", "angle"),
}
# Stored units of loads and travels in reading schemes.
SCHEME_UNITS = {"force": "N", "displacement": "mm", "torque": "N·mm", "angle": "°"}
# Dimension of a single value → quantities of the channels that may measure it.
MEASURED_BY = {
    "force": ("force",),
    "moment": ("torque",),
    "length": ("length", "displacement"),
    "mass": ("mass",),
    "hardness": ("hardness",),
    "shore_hardness": ("hardness",),
    "angle": ("angle",),
    "temperature": ("temperature",),
}
Need = tuple[tuple[str, ...], list[float], str]


@computed("4.4")
def calibrated(view: View) -> Computed:
    """Every channel that a test or inspection needs was calibrated then and covers what was measured."""
    items = [item for item in started(view, "test", "inspection") if item.quantity != "yes_no"]
    findings: list[Finding] = []
    used = set()
    for item in items:
        found, channels = _looked_at(view, item)
        findings += found
        used |= {name for name, _ in channels}
    looked_at = amount(len(items), "test or inspection", "tests and inspections")
    facts = [f"{looked_at} with {amount(len(used), 'piece')} of equipment"]
    return verdict_of(findings, facts, data=bool(items))


def out_of_calibration_words(view: View, item: EvidenceItem) -> str:
    """Machine, channels and days of calibrations that did not hold when the item was measured, or nothing."""
    if item.way not in ("test", "inspection") or item.quantity == "yes_no":
        return ""
    expired: dict[tuple[str, str, str], dict[str, None]] = {}
    channels = _channels(view, item, [])
    for quantities, values, unit in _needs(view, item):
        if not _uncovered(item, channels, quantities, values, unit):
            continue
        for name, channel in channels:
            if channel.quantity in quantities and not _held(item, channel):
                days = (name, channel.calibrated_on, channel.valid_until)
                expired.setdefault(days, {})[channel.quantity] = None
    begun = " to ".join(dict.fromkeys(day for day in (item.started_on, item.done_on) if day)) or "a day that is not told"
    told = []
    for (name, since, until), quantities in expired.items():
        machine = view.project.find(name)
        title = machine.title if isinstance(machine, Equipment) else name
        word = "channel" if len(quantities) == 1 else "channels"
        told.append(f"{title} ({name}), {word} {' and '.join(quantities)}, calibrated {since}, valid until {until}, but "
                    f"measured {begun}")  # fmt: skip
    return f"Calibration out of date: {'; '.join(told)}. Check 4.4 is not met for it." if told else ""


def calibration_words(view: View, item: EvidenceItem) -> list[str]:
    """The first of what check 4.4 finds of the channels of one item (out of date, out of range, not there), and how many."""
    if item.quantity == "yes_no" or item not in started(view, "test", "inspection"):
        return []
    findings = _looked_at(view, item)[0]
    more = f"; check 4.4 lists {len(findings)} such" if len(findings) > 1 else ""
    return [f"{finding}{more}" for finding in findings[:1]]


def _looked_at(view: View, item: EvidenceItem) -> tuple[list[Finding], list[tuple[str, Channel]]]:
    """What is wrong with the channels an item needs, and all channels of its equipment."""
    findings: list[Finding] = []
    channels = _channels(view, item, findings)
    for quantities, values, unit in _needs(view, item):
        findings += _uncovered(item, channels, quantities, values, unit)
    return findings, channels


def _channels(view: View, item: EvidenceItem, findings: list[Finding]) -> list[tuple[str, Channel]]:
    found = []
    for name in item.equipment:
        record = view.project.find(name)
        if isinstance(record, Equipment):
            found += [(name, channel) for channel in record.channel]
        else:
            remedy = "names no equipment; add it to equipment.toml or correct the id"
            findings.append(Finding(item.id, "equipment", name, remedy))
    return found


def _needs(view: View, item: EvidenceItem) -> Iterator[Need]:
    """Quantities of the channels an item needs, with the values each must cover."""
    if item.quantity in DIRECTIONS:
        load, travel = DIRECTIONS[item.quantity]
        scheme = view.project.find(item.scheme) if item.scheme else None
        ends = {load: [], travel: []}  # type: dict[str, list[float]]
        if isinstance(scheme, SchemeRecord) and scheme.low is not None and scheme.high is not None:
            ends[load if scheme.between == "load" else travel] = [scheme.low, scheme.high]
        for name, kind in ((load, "load"), (travel, "travel")):
            yield (name,), [*ends[name], *_recorded(item, kind)], SCHEME_UNITS[name]
    elif item.quantity in PRESS:
        peaks = [item.result.value(f"largest_force_{group}") for group in ("variant", "reference")] if item.result else []
        yield ("force",), [peak.value for peak in peaks if peak and peak.value is not None], "N"
        yield ("displacement",), [], "mm"
    elif item.quantity in RECORDED:
        yield from _recorded_needs(view, item)
    else:
        values = [sample.value for sample in item.samples if sample.value is not None]
        dimensions = _dimensions(item.unit)
        measured = next((dimension for dimension in dimensions if dimension in MEASURED_BY), None)
        if measured:
            yield MEASURED_BY[measured], values, item.unit
        elif "pressure" in dimensions:
            # a strength: measured as a force, whose range the stress does not tell
            yield ("force",), [], "N"
    if item.temperature is not None:
        yield ("temperature",), [item.temperature], "°C"


def _recorded_needs(view: View, item: EvidenceItem) -> Iterator[Need]:
    """Load and travel of a harmonic or endurance record; the channel of a load history."""
    scheme = view.project.find(item.scheme) if item.scheme else None
    settings = getattr(scheme, item.quantity, None)
    if item.quantity == "load_history":
        channel = settings.channel if settings else "force"
        yield (channel,), [], SCHEME_UNITS[channel]
        return
    amplitude = settings.amplitude if item.quantity == "dynamic" and settings else None
    yield ("force",), [], "N"
    yield ("displacement",), [-amplitude, amplitude] if amplitude else [], "mm"


def _recorded(item: EvidenceItem, kind: str) -> list[float]:
    """Ends of a channel over all files of the item, as its evaluation found them."""
    found = [item.result.value(f"{kind}_{end}") for end in ("low", "high")] if item.result else []
    return [value.value for value in found if value is not None and value.value is not None]


def _dimensions(unit: str) -> tuple[str, ...]:
    try:
        return units.dimensions_of(unit)
    except units.UnitError:
        return ()


def _uncovered(
    item: EvidenceItem, channels: list[tuple[str, Channel]], quantities: tuple[str, ...], values: list[float], unit: str
) -> list[Finding]:
    """Nothing when one channel of these quantities is valid and covers all values, else what is wrong with each."""
    suitable = [(name, channel) for name, channel in channels if channel.quantity in quantities]
    if not suitable:
        shown = ", ".join(item.equipment)
        return [Finding(item.id, "equipment", shown, f"has no channel for {quantities[0]}; name what measured it")]
    faults = []
    for name, channel in suitable:
        fault = _fault(item, name, channel, values, unit)
        if fault is None:
            return []
        faults.append(fault)
    return faults


def _held(item: EvidenceItem, channel: Channel) -> bool:
    """Whether the channel was calibrated on every day of the item; not where the days are not told."""
    begun, ended = item.started_on, item.done_on or item.started_on
    return bool(begun and ended and channel.calibrated_on <= begun <= ended <= channel.valid_until)


def _fault(item: EvidenceItem, name: str, channel: Channel, values: list[float], unit: str) -> Finding | None:
    field = f"channel.{channel.quantity}"
    begun, ended = item.started_on, item.done_on or item.started_on
    if begun is None or ended is None:
        return Finding(item.id, "started_on", "", "is empty; give the day of the test, the calibration must hold then")
    if not _held(item, channel):
        shown = f"{channel.calibrated_on} to {channel.valid_until}"
        days = " to ".join(dict.fromkeys((begun, ended)))
        remedy = f"does not hold on {days}, when {item.id} was done; calibrate and test again, or concede"
        return Finding(name, f"{field}.valid_until", shown, remedy)
    try:
        found = [units.convert(value, unit, channel.unit) for value in values]
    except units.UnitError as error:
        return Finding(name, f"{field}.unit", channel.unit, f"does not fit {item.id}: {error}")
    rounding = 1e-9 * (channel.high - channel.low)
    outside = [value for value in found if not channel.low - rounding <= value <= channel.high + rounding]
    if outside:
        shown = f"{channel.low:g} .. {channel.high:g} {channel.unit}"
        beyond = units.show(max(outside, key=abs), 4)
        remedy = f"does not cover {beyond} {channel.unit} of {item.id}; use a channel of that range"
        return Finding(name, f"{field}.high", shown, remedy)
    return None
