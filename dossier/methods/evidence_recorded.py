"""From an item of dynamic, durability or load-history records to the typed settings of its evaluation."""

from __future__ import annotations

from typing import Any

from dossier import units
from dossier.methods.links import Resolved
from dossier.records.evidence import EvidenceItem, SchemeRecord
from dossier.records.load import LoadCase
from dossier.store.project import Project

RECORDED = ("dynamic", "durability", "load_history")
# Channel of a history → amplitude of a block that it is held against.
AMPLITUDES = {"force": "radial", "angle": "torsion"}


def settings_of(project: Project, item: EvidenceItem, scheme: SchemeRecord, resolved: Resolved) -> dict[str, Any]:
    """Reading and settings of the item's kind; what is missing goes to the problems."""
    part = getattr(scheme, item.quantity)
    if part is None:
        resolved.problems.append(f"{scheme.id}.{item.quantity} is empty; state the settings of {item.quantity} records there")
        return {}
    settings = part.model_dump(exclude={"source", "programme"}, exclude_none=True)
    resolved.sources |= {name: f"{scheme.id}.{item.quantity}.{name}" for name in settings} | {"reading": f"{scheme.id}.reading"}
    found = {"reading": scheme.reading, **settings}
    if item.quantity == "dynamic" and item.related_to:
        found["static"] = _static(project, item, "N·mm/rad" if part.rotational else "N/mm", resolved)
    if item.quantity == "load_history" and part.programme:
        found["programme"] = _levels(project, part.programme, part.channel, resolved)
    return found


def _static(project: Project, item: EvidenceItem, unit: str, resolved: Resolved) -> dict[str, float]:
    """Static stiffness in `unit` of each specimen that both items have."""
    other = project.find(item.related_to)
    if not isinstance(other, EvidenceItem) or other.result is None:
        what = "has no result yet; evaluate it first" if isinstance(other, EvidenceItem) else "is no evidence item; correct it"
        resolved.problems.append(f"related_to = {item.related_to} {what}")
        return {}
    found = {}
    for specimen in dict.fromkeys(sample.specimen for sample in item.samples):
        value = other.result.value(f"specimen:{specimen}")
        if value is not None and value.value is not None and units.same_dimension(value.unit, unit):
            found[specimen] = value.value if value.unit == unit else units.convert(value.value, value.unit, unit)
    resolved.sources["static"] = f"{other.id}.result"
    return found


def _levels(project: Project, name: str, channel: str, resolved: Resolved) -> list[dict[str, float]]:
    """Ranges and cycles of the blocks of a load case, for the channel that was measured."""
    case = project.find(name)
    if not isinstance(case, LoadCase) or not case.blocks:
        resolved.problems.append(f"load_history.programme = {name} is no load case with blocks; name one of loads.toml")
        return []
    if channel not in AMPLITUDES:
        known = ", ".join(AMPLITUDES)
        resolved.problems.append(f"load_history.channel = {channel}: blocks state {known} only; leave programme empty")
        return []
    resolved.sources["programme"] = f"{name}.blocks"
    return [{"range": 2 * getattr(block, AMPLITUDES[channel]), "cycles": block.cycles} for block in case.blocks]


def reading_words(scheme: SchemeRecord) -> str:
    """The settings of a scheme for records of harmonic, endurance, history or press tests, in words; "" without any."""
    told = []
    if part := scheme.dynamic:
        step, moves = f"±{part.amplitude:g} mm" if part.amplitude else "", f"mass {part.moving_mass:g} kg"
        if part.rotational:
            step, moves = f"±{part.angle_amplitude:g} °", f"inertia {part.moving_inertia or 0.0:g} kg·mm²"
        told.append(f"decides at {part.frequency:g} Hz {step}; {moves}, delay {1000 * part.channel_delay:g} ms")
    if part := scheme.durability:
        reference = "first settled rows" if part.reference_cycles is None else f"{part.reference_cycles:,.0f} cycles"
        told.append(f"ends at {part.loss:.0%} loss against {reference}")
        if part.temperature_factor is not None:
            told.append(f"brought to {part.reference_temperature:g} °C with {part.temperature_factor:+.3%} per K")
    if part := scheme.load_history:
        slopes = ", ".join(f"{exponent:g}" for exponent in part.exponents)
        told.append(f"{part.channel} range {part.sn_range:g} at {part.sn_cycles:g} cycles, exponent {slopes}; hysteresis "
                    f"{part.hysteresis:g}, driven {part.repeats:g} times")  # fmt: skip
    if part := scheme.press:
        told += [f"seated {part.press_length:g} mm from first contact"] if part.press_length else []
        told += [f"window {number}: {window.words}" for number, window in enumerate(part.windows, 1)]
    return "; ".join(told)
