"""Which calibrated channels an evidence item needs, and what is wrong with those it was measured by."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from dossier import units
from dossier.methods.evidence_links import PRESS
from dossier.methods.evidence_recorded import RECORDED
from dossier.records.evidence import Channel, Equipment, EvidenceItem, SchemeRecord
from dossier.store.project import Project

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


@dataclass(frozen=True)
class ChannelFault:
    """Why one channel of a piece of equipment does not stand for what was measured.

    `kind`: day (the item tells no day), held (not calibrated then), unit (no unit of the value), range (its largest value
    `beyond`, in the channel's unit, lies outside).
    """

    kind: Literal["day", "held", "unit", "range"]
    equipment: str
    channel: Channel
    beyond: float | None = None
    told: str = ""


@dataclass(frozen=True)
class Uncovered:
    """A need that no channel covers: its quantities, and the fault of each channel that might; none where there is none."""

    quantities: tuple[str, ...]
    faults: tuple[ChannelFault, ...]


def uncovered(project: Project, item: EvidenceItem) -> list[Uncovered]:
    """Every channel an item needs and has not, calibrated on its days and over its range."""
    channels, found = channels_of(project, item), []
    for quantities, values, unit in _needs(project, item):
        suitable = [(name, channel) for name, channel in channels if channel.quantity in quantities]
        faults = [_fault(item, name, channel, values, unit) for name, channel in suitable]
        if None not in faults:
            found.append(Uncovered(quantities, tuple(fault for fault in faults if fault)))
    return found


def channels_of(project: Project, item: EvidenceItem) -> list[tuple[str, Channel]]:
    """All channels of the item's equipment, each with the id of its equipment."""
    records = [(name, project.find(name)) for name in item.equipment]
    return [(name, channel) for name, record in records if isinstance(record, Equipment) for channel in record.channel]


def days_of(item: EvidenceItem) -> str:
    """ "2026-11-20", "2026-11-20 to 2026-11-22": the days the item was measured on, or nothing."""
    return " to ".join(dict.fromkeys(day for day in (item.started_on, item.done_on) if day))


def not_calibrated_words(project: Project, item: EvidenceItem) -> str:
    """Why a value measured then is not proven: channels whose calibration did not hold on the day or over the range.

    Nothing for what is no measurement, and for items whose machine is not named: that a check finds.
    """
    if item.way not in ("test", "inspection") or item.quantity == "yes_no":
        return ""
    told: dict[str, dict[str, None]] = {}
    for need in uncovered(project, item):
        for fault in need.faults:
            if words := _words(item, fault):
                told.setdefault(words, {})[fault.channel.quantity] = None
    return "; ".join(words.format(channels=" and ".join(quantities)) for words, quantities in told.items())


def _words(item: EvidenceItem, fault: ChannelFault) -> str:
    channel = fault.channel
    if fault.kind == "day":
        return f"no day tells whether the calibration of {fault.equipment} ({{channels}}) held"
    if fault.kind == "held":
        since, until = channel.calibrated_on, channel.valid_until
        return f"calibration of {fault.equipment} ({{channels}}) holds {since} to {until}, measured {days_of(item)}"
    if fault.kind == "range":
        ends = f"{channel.low:g} .. {channel.high:g} {channel.unit}".replace("-", units.MINUS)
        beyond = units.show(fault.beyond or 0.0, 4)
        return f"calibration of {fault.equipment} ({{channels}}) covers {ends}, measured {beyond} {channel.unit}"
    return ""


def _needs(project: Project, item: EvidenceItem) -> Iterator[Need]:
    """Quantities of the channels an item needs, with the values each must cover."""
    if item.quantity in DIRECTIONS:
        load, travel = DIRECTIONS[item.quantity]
        scheme = project.find(item.scheme) if item.scheme else None
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
        yield from _recorded_needs(project, item)
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


def _recorded_needs(project: Project, item: EvidenceItem) -> Iterator[Need]:
    """Load and travel of a harmonic or endurance record; the channel of a load history."""
    scheme = project.find(item.scheme) if item.scheme else None
    settings = getattr(scheme, item.quantity, None)
    if item.quantity == "load_history":
        channel = settings.channel if settings else "force"
        yield (channel,), [], SCHEME_UNITS[channel]
        return
    amplitude = settings.amplitude if item.quantity == "dynamic" and settings else None
    if item.quantity == "dynamic" and settings and settings.rotational:
        yield ("torque",), [], "N·mm"
        yield ("angle",), [-settings.angle_amplitude, settings.angle_amplitude], "°"
        return
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


def _fault(item: EvidenceItem, name: str, channel: Channel, values: list[float], unit: str) -> ChannelFault | None:
    begun, ended = item.started_on, item.done_on or item.started_on
    if begun is None or ended is None:
        return ChannelFault("day", name, channel)
    if not channel.calibrated_on <= begun <= ended <= channel.valid_until:
        return ChannelFault("held", name, channel)
    try:
        found = [units.convert(value, unit, channel.unit) for value in values]
    except units.UnitError as error:
        return ChannelFault("unit", name, channel, told=str(error))
    rounding = 1e-9 * (channel.high - channel.low)
    outside = [value for value in found if not channel.low - rounding <= value <= channel.high + rounding]
    return ChannelFault("range", name, channel, max(outside, key=abs)) if outside else None
